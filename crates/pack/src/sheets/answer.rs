//! The answer in a sentence: how many circuits read right, and what the others need.

use std::collections::BTreeSet;

use assess::{Assessment, CircuitResult};
use circuit::RemedyKind;
use job::Severity;

/// Findings about who may do the work and on what, not about what the input reads.
const LEGAL: [&str; 2] = ["fire-law", "class-a-as-b"];

/// What is to be done about a circuit.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Need {
    Nothing,
    Resistor,
    Mode,
    Split,
    Nobody,
    Spare,
    Unknown,
}

/// `31 of 36 circuits read right; 3 need a resistor changed, moved or added.`
pub(crate) fn sentence(assessment: &Assessment) -> String {
    let all = assessment.circuits.len();
    if all == 0 {
        return "No circuits yet: add a [[circuit]] for every pair that ends in the old panel.".to_owned();
    }
    let needs = needs(assessment);
    let count = |wanted: Need| needs.iter().filter(|need| **need == wanted).count();
    let right = count(Need::Nothing);
    let circuits = if all == 1 { "circuit" } else { "circuits" };
    let mut parts = vec![format!("{right} of {all} {circuits} read{} right", if right == 1 { "s" } else { "" })];
    let mut say = |need: Need, one: &str, many: &str| match count(need) {
        0 => {}
        1 => parts.push(format!("1 {one}")),
        more => parts.push(format!("{more} {many}")),
    };
    say(Need::Resistor, "needs a resistor changed, moved or added", "need a resistor changed, moved or added");
    say(Need::Mode, "needs another mode", "need another mode");
    say(Need::Split, "needs splitting over more inputs", "need splitting over more inputs");
    say(Need::Nobody, "cannot be supervised as it is", "cannot be supervised as they are");
    say(Need::Spare, "is spare", "are spare");
    say(Need::Unknown, "is not known well enough yet", "are not known well enough yet");
    parts.join("; ") + "."
}

/// What each circuit needs, in the order of the job.
fn needs(assessment: &Assessment) -> Vec<Need> {
    let mut has_to_change = BTreeSet::new();
    let mut spare = BTreeSet::new();
    for finding in &assessment.findings {
        if finding.severity >= Severity::Fix && !LEGAL.contains(&finding.code) {
            has_to_change.insert(finding.place.as_str());
        }
        if finding.code == "spare" {
            spare.insert(finding.place.as_str());
        }
    }
    let need = |result: &CircuitResult| {
        let tag = result.circuit.tag.as_str();
        let Some(study) = result.study.as_ref().filter(|_| result.why.is_none()) else {
            return if spare.contains(tag) { Need::Spare } else { Need::Unknown };
        };
        if study.reads_right && !has_to_change.contains(tag) {
            return Need::Nothing;
        }
        match study.remedies.first().map(|remedy| remedy.kind) {
            Some(RemedyKind::Value | RemedyKind::Move | RemedyKind::Adapter) => Need::Resistor,
            Some(RemedyKind::Mode) => Need::Mode,
            Some(RemedyKind::Split) => Need::Split,
            None => Need::Nobody,
        }
    };
    assessment.circuits.iter().map(need).collect()
}
