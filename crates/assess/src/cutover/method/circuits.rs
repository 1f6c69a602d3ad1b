//! Steps of one circuit: lifted, measured, changed, landed, proven; its other home runs.

use job::Circuit;
use quantity::Written;

use super::{Phase, Writer};
use crate::assess::CircuitResult;
use crate::cutover::tasks::rest_reading;
use crate::cutover::words::{alarm, caution, feeds, first, input, lowered, old_terminal, open_runs};

impl Writer<'_, '_> {
    pub(super) fn moves(&mut self, line: usize) {
        let circuit = self.work.circuits[line];
        let dummy = self.work.dummies.iter().find(|dummy| dummy.tag == circuit.tag.value);
        let dummy = match dummy.map(|dummy| dummy.value) {
            None => String::new(),
            Some(Some(value)) if value.0 > 0.0 => format!("; dummy {} on the old terminals", value.written()),
            Some(Some(_)) => "; wire link on the old terminals".to_owned(),
            Some(None) => "; dummy resistor on the old terminals, its value as measured now".to_owned(),
        };
        let act = format!(
            "{}lift {}{dummy}; measure; {}land on {}; trip it; read the identity back",
            first(circuit),
            old_terminal(circuit),
            self.change(line),
            input(circuit)
        );
        let proof = format!("{}; {}", self.measured(circuit), alarm(circuit));
        let out = if dummy.is_empty() { "" } else { ", what keeps the old panel quiet out" };
        let undoes = format!("land it on {} again{out}", old_terminal(circuit));
        let caution = caution(circuit);
        self.put(Phase::Circuit, &circuit.tag.value.clone(), [act, proof, undoes, caution]);
        self.other_runs(line);
        self.smoke_proven(line);
    }

    pub(super) fn lifts(&mut self, line: usize) {
        let circuit = self.work.circuits[line];
        let act = format!("{}lift {}, ends apart", first(circuit), old_terminal(circuit));
        let undoes = format!("land it on {} again", old_terminal(circuit));
        let proof = "tagged, ends apart, on the unprotected list".to_owned();
        let caution = feeds(circuit).unwrap_or_default();
        self.put(Phase::Circuit, &circuit.tag.value.clone(), [act, proof, undoes, caution]);
    }

    pub(super) fn lands(&mut self, line: usize) {
        let circuit = self.work.circuits[line];
        let act = format!("measure; {}land on {}", self.change(line), input(circuit));
        let (proof, caution) = (self.measured(circuit), caution(circuit));
        self.put(
            Phase::Circuit,
            &circuit.tag.value.clone(),
            [act, proof, "lift it again".to_owned(), caution],
        );
    }

    pub(super) fn proves(&mut self, line: usize) {
        let circuit = self.work.circuits[line];
        let act = format!("enrol {}; trip it; read the identity back", input(circuit));
        self.plain(Phase::Circuit, &circuit.tag.value.clone(), &act, &alarm(circuit), "delete the input");
        self.other_runs(line);
        self.smoke_proven(line);
    }

    /// `do this; ` where something is to be changed at the device.
    fn change(&self, line: usize) -> String {
        match self.work.remedies[line].as_ref().filter(|remedy| !remedy.at_terminals) {
            Some(remedy) => {
                format!("change: {}, and measure again; ", lowered(remedy.text.trim_end_matches('.')))
            }
            None => String::new(),
        }
    }

    /// What the meter must show before a pair is landed.
    fn measured(&self, circuit: &Circuit) -> String {
        let of = |result: &&CircuitResult| result.circuit.tag.value == circuit.tag.value;
        let result = self.assessment.circuits.iter().find(of);
        let rest = result.and_then(|result| result.study.as_ref()?.meter.first());
        match (rest_reading(circuit), rest) {
            (Some(read), Some(row)) => format!(
                "the meter shows {} at rest, as found; by its network {}",
                read.written(),
                row.fed.shown()
            ),
            (Some(read), None) => format!("the meter shows {} at rest, as found", read.written()),
            (None, Some(row)) => {
                format!("the meter shows {} at rest, by its network; it was not read", row.fed.shown())
            }
            (None, None) => "the meter shows what it showed before it was lifted".to_owned(),
        }
    }

    /// Every home run of a split circuit beside the first: landed, enrolled, proven by itself.
    fn other_runs(&mut self, line: usize) {
        let runs = self.work.remedies[line].as_ref().map_or(1, |remedy| remedy.runs);
        let circuit = self.work.circuits[line];
        let open = open_runs(circuit, runs);
        for run in 2..=runs {
            let (on, until) = match circuit.also.get(run - 2) {
                Some(also) => (format!("{}.{}", also.module, also.number), String::new()),
                None => (
                    "an input of its own (OPEN: the job names none for it)".to_owned(),
                    format!(
                        "; until then {} {} stands on the unprotected list",
                        circuit.tag.value,
                        open.as_deref().unwrap_or_default()
                    ),
                ),
            };
            let act = format!("run {run}: measure, land on {on}; enrol it; trip it; read the identity back");
            let proof = format!(
                "the meter shows its own resistor at rest; an alarm arrives from run {run}, and it restores{until}"
            );
            let undoes = "lift it, delete the input";
            let caution = caution(circuit);
            self.put(Phase::Circuit, &circuit.tag.value, [act, proof, undoes.to_owned(), caution]);
        }
    }
}
