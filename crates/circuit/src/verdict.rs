//! Findings about what the input reads: states, masking, and what a fault would hide.

use job::{Circuit, Duty, Severity};
use network::{Meaning, Network};

use crate::RemedyKind;
use crate::fault::{Class, Fault, FaultKind};
use crate::findings::{Seat, Writer};
use crate::place::Place;
use crate::state::State;
use crate::study::Study;
use crate::words::{fault_words, raiser_words, range, state_words};

impl Writer<'_> {
    /// Whether the input reads every state as what it should.
    pub(crate) fn reading(&mut self, network: &Network, seat: &Seat, study: &Study) {
        // Without a way out it is a stop, with one it is work.
        let weight = if study.remedies.is_empty() { Severity::Stop } else { Severity::Fix };
        if !study.can_learn {
            self.cannot_learn(seat, study, weight);
            return;
        }
        let mode = seat.fit.mode();
        self.learns_alarm(network, mode, study);
        let wrong: Vec<&State> = study.states.iter().filter(|state| state.ok == Some(false)).collect();
        if let Some(rest) = wrong.iter().find(|state| state.active.is_empty()) {
            let text = format!(
                "At rest it has {}; mode {} {}.",
                range(rest.ohms),
                mode.id,
                reads(mode, study, rest)
            );
            self.push(weight, "rest-not-normal", text, best_remedy(study));
        }
        self.masked(network, &mode.id, study);
        let others: Vec<&State> = wrong
            .into_iter()
            .filter(|state| !state.active.is_empty() && !study.masking.examples.contains(&state.active))
            .collect();
        if let Some(first) = others.first() {
            self.not_read(network, seat, study, first, others.len(), weight);
        }
    }

    /// A mode that learns takes what it finds: with a device active it may take that for rest.
    fn learns_alarm(&mut self, network: &Network, mode: &library::Mode, study: &Study) {
        if !matches!(mode.scale, library::Scale::ShareOfLearned { .. }) {
            return;
        }
        let accepted = |state: &&State| {
            !state.active.is_empty()
                && state.ohms.lo.is_finite()
                && mode.accepts.is_none_or(|accepts| accepts.meets(state.ohms.interval()))
        };
        if let Some(state) = study.states.iter().find(accepted) {
            let words = state_words(network, &state.active);
            let text = format!(
                "With {words} it has {}, and mode {} would learn that as rest.",
                range(state.ohms),
                mode.id
            );
            let remedy = "See that everything is at rest when it learns, and read back what it has learned.";
            self.push(Severity::Check, "learns-alarm", text, remedy);
        }
    }

    fn cannot_learn(&mut self, seat: &Seat, study: &Study, weight: Severity) {
        let mode = seat.fit.mode();
        let text = format!(
            "Mode {} learns at rest and accepts {}; this circuit has {}.",
            mode.id,
            mode.accepts.map_or_else(|| "any value but 0 and open".to_owned(), |accepts| accepts.shown()),
            study.states.first().map(|rest| range(rest.ohms)).unwrap_or_default()
        );
        self.push(weight, "cannot-learn", text, best_remedy(study));
    }

    fn masked(&mut self, network: &Network, mode: &str, study: &Study) {
        let masked = &study.masking;
        if let Some(first) = masked.examples.first() {
            let code = if first.len() == 1 { "alarm-reads-normal" } else { "masking" };
            let cases = masked.examples.len();
            let more = if cases > 1 { format!(" ({cases} such cases)") } else { String::new() };
            let words = state_words(network, first);
            let text = format!("With {words} the input may still read normal in mode {mode}{more}.");
            self.push(Severity::Stop, code, text, best_remedy(study));
        } else if masked.possible {
            let text = "Some set of active contacts may read normal; the search could not name one.";
            self.push(Severity::Stop, "masking", text, best_remedy(study));
        }
    }

    /// A state that surely does not read normal, and not what it should either.
    fn not_read(
        &mut self,
        network: &Network,
        seat: &Seat,
        study: &Study,
        first: &State,
        states: usize,
        weight: Severity,
    ) {
        let mode = seat.fit.mode();
        let words = state_words(network, &first.active);
        let more = if states > 1 { format!(" ({states} such states)") } else { String::new() };
        let text = format!(
            "With {words} it has {}; mode {} {}{more}.",
            range(first.ohms),
            mode.id,
            reads(mode, study, first)
        );
        match first.band {
            Some(band) if self.circuit.duty == Some(Duty::Valve) && study.means[band] == Meaning::Alarm => {
                let name = &mode.bands[band].name;
                let remedy = format!("Give the band its meaning: `means = {{ {name} = \"supervisory\" }}`.");
                self.push(Severity::Fix, "alarm-not-read", text, remedy);
            }
            Some(band) if study.means[band] == Meaning::Alarm && study.remedies.is_empty() => {
                // It is heard, as something worse than it is.
                let remedy = "Put its tamper and fault contacts on an input of their own, or use a mode of more bands.";
                self.push(Severity::Fix, "tamper-reads-alarm", text, remedy);
            }
            _ => self.push(weight, "alarm-not-read", text, best_remedy(study)),
        }
    }

    /// Silent and dangerous faults.
    pub(crate) fn silent(&mut self, network: &Network, study: &Study) {
        let dangerous = || study.faults.iter().filter(|fault| fault.class == Class::SilentDangerous);
        let mut hard: Vec<_> = dangerous().filter(|fault| fault.kind.is_hard()).collect();
        hard.sort_by_key(|fault| {
            (!fault.reads_normal, fault.kind == FaultKind::HeadRemoved, fault.kind != FaultKind::Short)
        });
        if let Some(first) = hard.first() {
            let faults = hard.len();
            let more = if faults > 1 { format!(" {faults} faults like this.") } else { String::new() };
            let text = format!("{}{more}", danger(network, first));
            let known = known_cure(self.circuit, first);
            if !first.reads_normal {
                let remedy = "Work every device at every inspection, and watch what arrives.";
                self.push(Severity::Check, "silent-misread", text, remedy);
            } else if !study.remedies.is_empty() {
                self.push(Severity::Fix, "silent-danger", text, best_remedy(study));
            } else if let Some(cure) = known {
                // Whether a head opens the pair is a question, not a defect, until somebody has looked.
                let asks = first.kind == FaultKind::HeadRemoved;
                let severity = if asks { Severity::Check } else { Severity::Fix };
                self.push(severity, "silent-danger", text, cure);
            } else {
                let remedy = "No change was found that shows it. Work every device at every inspection.";
                self.push(Severity::Check, "silent-danger", text, remedy);
            }
        }
        let soft: Vec<_> =
            dangerous().filter(|fault| !fault.kind.is_hard() && fault.kind != FaultKind::Polarity).collect();
        let leak = soft.iter().find(|fault| fault.kind == FaultKind::Leak && fault.reads_normal);
        if let Some(first) = leak.or(soft.first()) {
            let text = format!(
                "{} {} faults of damp, joints, earth or touching cores can hide an alarm.",
                danger(network, first),
                soft.len()
            );
            let remedy = if first.kind == FaultKind::Joint {
                "Measure the resistance of the pair, tap and flex every joint, and compare again at service."
            } else {
                "Measure the insulation of the pair and of each leg to earth before it is landed, and again at service."
            };
            self.push(Severity::Note, "silent-leak", text, remedy);
        }
        if dangerous().any(|fault| fault.kind == FaultKind::Polarity) {
            self.push(
                Severity::Check,
                "polarity",
                "The wrong way round this circuit reads normal and its detectors are dead.",
                "Prove every detector by a true alarm after the pair is landed.",
            );
        }
    }
}

/// What is known to cure a fault that no other resistor cures.
fn known_cure(circuit: &Circuit, fault: &Fault) -> Option<&'static str> {
    match (fault.kind, fault.place) {
        _ if circuit.means.values().any(|means| *means == Meaning::Normal) => {
            Some("This circuit's `means` says that such a band is normal: take that out.")
        }
        (FaultKind::SupplyLost, _) => Some(
            "Put a supply-supervision relay behind the last detector, its contact in line before the resistor, as \
             `nc:relay.fault`.",
        ),
        (FaultKind::Open | FaultKind::Joint, Place::Branch(_)) => {
            Some("Run the pair in and out of the device instead of branching to it.")
        }
        (FaultKind::HeadRemoved, _) => Some(
            "Find out whether taking the head out opens the pair (`connection = \"in-out\"`); if not, change the base.",
        ),
        _ => None,
    }
}

/// A silent and dangerous fault as a sentence.
fn danger(network: &Network, fault: &Fault) -> String {
    let so = fault.endangers.map(|raiser| raiser_words(network, raiser)).unwrap_or_default();
    let then =
        if fault.reads_normal { "the input still reads normal" } else { "it does not arrive as what it is" };
    if fault.kind == FaultKind::HeadRemoved {
        return format!("With {}, nothing sees smoke there and {then}.", fault_words(network, fault));
    }
    format!("With {}, {so} and {then}.", fault_words(network, fault))
}

fn reads(mode: &library::Mode, study: &Study, state: &State) -> String {
    match state.band {
        Some(band) => format!("reads {}, which means {}", mode.bands[band].name, study.means[band].word()),
        None => "may read it as one band or another".to_owned(),
    }
}

/// The best remedy in words, with what it costs; what to do where there is none.
fn best_remedy(study: &Study) -> String {
    let Some(best) = study.remedies.first() else {
        return "No mode, resistor or adapter of this module was found to do; use another module or rewire it."
            .to_owned();
    };
    let mut text = best.text.clone();
    if best.kind != RemedyKind::Mode {
        text.push_str(&format!(" About {:.0} min.", best.minutes.0));
    }
    if let Some(hidden) = best.hides.first() {
        text.push_str(&format!(" It hides a fault: {} {}.", hidden.kind.word(), hidden.place));
    }
    // A mode belongs to the whole module: kit and cut-over follow it once the job says it, and not before.
    let kept = study.remedies.iter().find(|other| other.kind != RemedyKind::Mode);
    if let Some(kept) = kept.filter(|_| best.kind == RemedyKind::Mode) {
        text.push_str(&format!(" Until the job says that mode, this is counted on: {}", kept.text));
    }
    match study.remedies.len() - 1 {
        0 => {}
        1 => text.push_str(" One other way."),
        others => text.push_str(&format!(" {others} other ways.")),
    }
    text
}
