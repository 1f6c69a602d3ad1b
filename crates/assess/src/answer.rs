//! The answer in a sentence, the same on every face.

use std::collections::BTreeSet;

use circuit::{Remedy, RemedyKind, Study};
use job::{Finding, Severity};

use crate::assess::{Assessment, CircuitResult};
use crate::output_of;

/// Findings about who may do the work and on what, not about what the input reads.
const LEGAL: [&str; 2] = ["fire-law", "class-a-as-b"];

/// What is to be done about a circuit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Need {
    /// It reads right.
    Nothing,
    /// A resistor changed, moved or added.
    Resistor,
    /// Another mode.
    Mode,
    /// Its home runs on inputs of their own.
    Split,
    /// Another input, another device, or a rewiring: a stop or a fix that no resistor is the cure of.
    Rewiring,
    /// Nothing was found that does: it cannot be supervised as it is.
    NotAsItIs,
    /// Nothing here: an output drives it, no input reads it.
    Driven,
    /// Nothing, it is a spare pair.
    Spare,
    /// More has to be known first.
    Unknown,
}

/// The remedy that each circuit gets, in the order of the job: the best one that leaves its module's mode as it is; none
/// where nothing needs to change, or nothing was found that does.
///
/// Kit, working time and cut-over count on these; a mode belongs to the whole module and is chosen with the inputs.
#[must_use]
pub fn chosen_remedies<'a>(assessment: &'a Assessment) -> Vec<Option<&'a Remedy>> {
    let one = |(result, need): (&'a CircuitResult, Need)| {
        let study = result.study.as_ref()?;
        match need {
            Need::Nothing | Need::Driven | Need::Spare | Need::Unknown => None,
            _ => within_mode(study).next(),
        }
    };
    assessment.circuits.iter().zip(needs(assessment)).map(one).collect()
}

/// The remedies that leave the mode as it is, best first.
pub(crate) fn within_mode(study: &Study) -> impl Iterator<Item = &Remedy> {
    study.remedies.iter().filter(|remedy| remedy.kind != RemedyKind::Mode)
}

/// The mode that does better than the remedy which is counted on, where there are both.
pub(crate) fn better_mode(study: &Study) -> Option<&Remedy> {
    let best = study.remedies.first().filter(|remedy| remedy.kind == RemedyKind::Mode)?;
    within_mode(study).next().map(|_| best)
}

/// Whether a finding says that the circuit has to change, the law apart.
pub(crate) fn has_to_change(finding: &Finding) -> bool {
    finding.severity >= Severity::Fix && !LEGAL.contains(&finding.code)
}

/// What each circuit needs, in the order of the job.
#[must_use]
pub fn needs(assessment: &Assessment) -> Vec<Need> {
    let mut changes = BTreeSet::new();
    let mut spare = BTreeSet::new();
    for finding in &assessment.findings {
        if has_to_change(finding) {
            changes.insert(finding.place.as_str());
        }
        if finding.code == "spare" {
            spare.insert(finding.place.as_str());
        }
    }
    let need = |result: &CircuitResult| {
        let tag = result.circuit.tag.as_str();
        let Some(study) = result.study.as_ref().filter(|_| result.why.is_none()) else {
            return match result.why {
                _ if spare.contains(tag) => Need::Spare,
                // What hangs on it is known, and it wants no input.
                Some("no input") if output_of(assessment.job, result.circuit).is_some() => {
                    if changes.contains(tag) { Need::Rewiring } else { Need::Driven }
                }
                _ => Need::Unknown,
            };
        };
        if study.reads_right && !changes.contains(tag) {
            // What its detectors draw decides whether an alarm arrives: unsaid, it is not known to be right.
            if result.smoke.as_ref().is_some_and(|smoke| !smoke.known) {
                return Need::Unknown;
            }
            return Need::Nothing;
        }
        // What did not move when it was tripped, no resistor mends.
        if !study.misread.is_empty() {
            return Need::Rewiring;
        }
        if study.written_right && (study.hard == 0 || study.remedies.is_empty()) {
            return Need::Rewiring;
        }
        match study.remedies.first().map(|remedy| remedy.kind) {
            Some(RemedyKind::Value | RemedyKind::Move | RemedyKind::Adapter) => Need::Resistor,
            Some(RemedyKind::Mode) => Need::Mode,
            Some(RemedyKind::Split) => Need::Split,
            None => Need::NotAsItIs,
        }
    };
    assessment.circuits.iter().map(need).collect()
}

/// The answer in a sentence: `31 of 36 circuits read right; 3 need a resistor changed; 2 cannot be supervised as they are.`
#[must_use]
pub fn answer(assessment: &Assessment) -> String {
    let all = assessment.circuits.len();
    let needs = needs(assessment);
    let count = |wanted: Need| needs.iter().filter(|need| **need == wanted).count();
    if all == 0 {
        return "No circuits yet: add a [[circuit]] for every pair that ends in the old panel.".to_owned();
    }
    let right = count(Need::Nothing);
    let circuits = if all == 1 { "circuit" } else { "circuits" };
    let mut parts =
        vec![format!("{right} of {all} {circuits} read{} right", if right == 1 { "s" } else { "" })];
    let mut say = |need: Need, one: &str, many: &str| match count(need) {
        0 => {}
        1 => parts.push(format!("1 {one}")),
        more => parts.push(format!("{more} {many}")),
    };
    say(
        Need::Resistor,
        "needs a resistor changed, moved or added",
        "need a resistor changed, moved or added",
    );
    say(Need::Mode, "needs another mode", "need another mode");
    say(Need::Split, "needs splitting over more inputs", "need splitting over more inputs");
    say(Need::Rewiring, "needs another input, device or wiring", "need another input, device or wiring");
    say(Need::NotAsItIs, "cannot be supervised as it is", "cannot be supervised as they are");
    say(Need::Driven, "is driven by an output", "are driven by outputs");
    say(Need::Spare, "is spare", "are spare");
    say(Need::Unknown, "is not known well enough yet", "are not known well enough yet");
    parts.join("; ") + "." + &supplies(assessment)
}

/// ` 1 of 2 supplies needs a change.`; nothing where there is no supply, or nothing
/// known of one.
fn supplies(assessment: &Assessment) -> String {
    let known: Vec<&str> = assessment
        .supplies
        .iter()
        .filter(|study| study.plan.profile.is_some())
        .map(|study| study.plan.supply.id.as_str())
        .collect();
    let wrong = |id: &&&str| {
        let of = |finding: &&job::Finding| finding.place == **id && finding.severity >= Severity::Fix;
        assessment.findings.iter().any(|finding| of(&finding))
    };
    let all = known.len();
    let short = known.iter().filter(wrong).count();
    let supplies = if all == 1 { "supply" } else { "supplies" };
    match (all, short) {
        (0, _) => String::new(),
        (_, 0) => format!(" {all} {supplies}: nothing found that needs a change."),
        (_, 1) => format!(" 1 of {all} {supplies} needs a change."),
        _ => format!(" {short} of {all} {supplies} need a change."),
    }
}
