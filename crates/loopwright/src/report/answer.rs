//! The answer in a sentence, and the verdict.

use assess::Assessment;
use job::{Duty, Severity};

use super::page::Page;
use super::severity;

/// What stands wherever fire circuits are spoken of.
pub(crate) const WHO_DECIDES: &str = "Local code, the authority having jurisdiction and licensed people decide; \
                                      Loopwright computes and records.";

/// The sentence, the verdict with its counts, and for fire circuits who decides.
pub(crate) fn put(page: &mut Page, assessment: &Assessment) {
    page.paragraph(0, &assess::answer(assessment));
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
