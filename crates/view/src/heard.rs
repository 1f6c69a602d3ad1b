//! Whether the healthy circuit's own alarm is read: beside one that is not, no fault can be said to leave it working.

use assess::{Assessment, CircuitResult};
use network::{Network, Role};

use crate::words::findings_of;

/// How well the alarm of a circuit without a fault is read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Heard {
    /// In every state that must alarm, or nothing is known.
    Always,
    /// Not in every state that must alarm, or some contact is too quick.
    NotAlways,
    /// In none.
    Never,
}

/// Findings that a two-wire detector's alarm is not read.
const SMOKE: [&str; 2] = ["smoke-not-read", "smoke-input"];

impl Heard {
    /// Of a circuit on its input.
    #[must_use]
    pub fn of(assessment: &Assessment, result: &CircuitResult) -> Self {
        let on_input = result.study.as_ref().filter(|_| result.why.is_none());
        let Some((study, network)) = on_input.zip(result.circuit.network.as_ref()) else {
            return Self::Always;
        };
        let found = findings_of(assessment, &result.circuit.tag);
        let says = |code: &str, label: &str| {
            found.iter().any(|finding| finding.code == code && finding.text.starts_with(&format!("{label} ")))
        };
        let alarms = alarm_contacts(network);
        let wrong = |active: &[usize]| {
            study.states.iter().any(|state| state.active == active && state.ok == Some(false))
                || study.misread.iter().any(|misread| misread.active == active)
        };
        let lost = |at: &&usize| wrong(&[**at]) || says("input-too-slow", &network.contacts()[**at].label());
        let unheard = alarms.iter().filter(lost).count();
        let smoke = found.iter().any(|finding| SMOKE.contains(&finding.code));
        let of_any = |active: &[usize]| active.iter().any(|at| alarms.contains(at));
        let together = study.states.iter().any(|state| state.ok == Some(false) && of_any(&state.active))
            || !study.misread.is_empty()
            || study.masking.examples.iter().any(|active| of_any(active));
        match unheard {
            0 if smoke && alarms.is_empty() => Self::Never,
            0 if !smoke && !together => Self::Always,
            all if all > 0 && all == alarms.len() => Self::Never,
            _ => Self::NotAlways,
        }
    }

    /// What stands before the faults; empty where the alarm is read.
    #[must_use]
    pub fn beside(self) -> &'static str {
        match self {
            Self::Always => "",
            Self::NotAlways => "an alarm that is not read in every state",
            Self::Never => "an alarm that is not read at all",
        }
    }
}

fn alarm_contacts(network: &Network) -> Vec<usize> {
    let all = network.contacts().iter().enumerate();
    all.filter(|(_, contact)| contact.role == Role::Alarm).map(|(at, _)| at).collect()
}

/// `6 of 27`: faults that hide an alarm, of all; that the alarm is not read, where it is not; empty where nothing is known.
#[must_use]
pub fn hiding_words(assessment: &Assessment, result: &CircuitResult) -> String {
    // Where network and what was seen disagree, the worse of the two places counts.
    let worse = |study: &circuit::Study| {
        let seen = study.elsewhere.filter(|seen| seen.silent_dangerous > study.coverage.silent_dangerous);
        seen.unwrap_or(study.coverage)
    };
    let coverage = result.study.as_ref().map(worse).filter(|coverage| coverage.total() > 0);
    match (coverage, Heard::of(assessment, result)) {
        (None, _) => String::new(),
        (Some(coverage), Heard::Always) => format!("{} of {}", coverage.silent_dangerous, coverage.total()),
        (Some(_), Heard::NotAlways) => "alarm not always read".to_owned(),
        (Some(_), Heard::Never) => "alarm not read".to_owned(),
    }
}
