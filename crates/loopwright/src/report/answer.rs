//! The answer in a sentence, and the verdict.

use std::collections::BTreeSet;

use assess::{Assessment, CircuitResult};
use circuit::RemedyKind;
use job::{Duty, Severity};

use super::page::Page;
use super::severity;

/// What stands wherever fire circuits are spoken of.
pub(crate) const WHO_DECIDES: &str = "Local code, the authority having jurisdiction and licensed people decide; \
                                      Loopwright computes and records.";

/// Findings about who may do the work and on what, not about what the input reads.
const LEGAL: [&str; 2] = ["fire-law", "class-a-as-b"];

/// What is to be done about a circuit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Need {
    Nothing,
    Resistor,
    Mode,
    Split,
    Nobody,
    Spare,
    Unknown,
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

/// `31 of 36 circuits read right; 3 need a resistor changed; 2 cannot be supervised as they are.`
pub(crate) fn sentence(assessment: &Assessment) -> String {
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
    say(Need::Nobody, "cannot be supervised as it is", "cannot be supervised as they are");
    say(Need::Spare, "is spare", "are spare");
    say(Need::Unknown, "is not known well enough yet", "are not known well enough yet");
    parts.join("; ") + "."
}

/// The sentence, the verdict with its counts, and for fire circuits who decides.
pub(crate) fn put(page: &mut Page, assessment: &Assessment) {
    page.paragraph(0, &sentence(assessment));
    let counts: Vec<String> = counts(assessment).into_iter().map(|(_, words)| words).collect();
    let of = if counts.is_empty() { "no findings".to_owned() } else { counts.join(", ") };
    match assessment.verdict {
        Some(severity) => {
            let first = severity::mark(severity);
            page.hanging(
                &format!("{first}  "),
                severity::MARK_COLUMNS + 2,
                &format!("{}. {of}.", meaning(severity)),
            );
        }
        None => page.paragraph(0, &format!("Nothing found that needs fixing ({of}).")),
    }
    let fire = assessment.circuits.iter().any(|result| result.circuit.duty.is_some_and(Duty::is_fire));
    if fire {
        page.gap();
        page.paragraph(0, &format!("There are fire circuits here. {WHO_DECIDES}"));
    }
}

fn meaning(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "Nothing goes on before what is marked stop is settled",
        Severity::Fix => "Something has to be changed before it works as it should",
        Severity::Check => "Nothing found that needs fixing; something to look at, ask or measure",
        Severity::Note => "Nothing found that needs fixing",
    }
}

/// How many findings of each severity, the heaviest first, as `3 fix`.
pub(crate) fn counts(assessment: &Assessment) -> Vec<(Severity, String)> {
    [Severity::Stop, Severity::Fix, Severity::Check, Severity::Note]
        .into_iter()
        .filter_map(|severity| {
            let count = assessment.findings.iter().filter(|finding| finding.severity == severity).count();
            let word = match (severity, count) {
                (Severity::Note, 2..) => "notes",
                (other, _) => other.word(),
            };
            (count > 0).then(|| (severity, format!("{count} {word}")))
        })
        .collect()
}
