//! The circuit schedule: every circuit in one table.

use assess::{Assessment, CircuitResult};
use serde::Serialize;
use view::heard::hiding_words;

use crate::words::{capital, duty_title, input, mode_words, verdict_word};

/// One circuit.
#[derive(Serialize)]
pub(crate) struct ScheduleRow {
    tag: String,
    place: String,
    duty: &'static str,
    was: String,
    input: String,
    mode: String,
    network: String,
    /// What the meter must show at rest.
    rest: String,
    faults: String,
    severity: &'static str,
}

/// The schedule, in the order of the job.
pub(crate) fn schedule(assessment: &Assessment) -> Vec<ScheduleRow> {
    assessment.circuits.iter().map(|result| row(assessment, result)).collect()
}

fn row(assessment: &Assessment, result: &CircuitResult) -> ScheduleRow {
    let circuit = result.circuit;
    let network = match (&circuit.network, &circuit.other) {
        (Some(network), _) => network.written(),
        (None, Some(other)) => format!("not computed: {other}"),
        (None, None) => "not known yet".to_owned(),
    };
    let rest = result.study.as_ref().and_then(|study| study.meter.first());
    ScheduleRow {
        tag: circuit.tag.value.clone(),
        place: capital(&circuit.place),
        duty: duty_title(circuit.duty),
        was: circuit.was.clone(),
        input: input(circuit),
        mode: mode_words(result),
        network,
        rest: rest.map(|row| row.fed.shown()).unwrap_or_default(),
        faults: hiding_words(assessment, result),
        severity: verdict_word(assessment, &circuit.tag),
    }
}
