//! Every finding with its remedy, the heaviest first; what is said of many circuits alike stands once.

use std::collections::BTreeMap;

use assess::Assessment;
use job::{Finding, Severity};
use serde::Serialize;

use crate::words::listed;

/// Places that a gathered note names.
const PLACES_NAMED: usize = 40;

/// One row of the findings.
#[derive(Serialize)]
pub struct FindingRow {
    /// Its word.
    pub severity: &'static str,
    /// Where it was found.
    pub places: String,
    /// Its code.
    pub code: &'static str,
    /// What was found.
    pub text: String,
    /// What to do about it.
    pub remedy: String,
}

impl FindingRow {
    /// Whether it weighs so much.
    pub fn is(&self, severity: Severity) -> bool {
        self.severity == severity.word()
    }
}

/// Findings that say the same, gathered in the order of the first of each.
#[must_use]
pub fn gathered<'f>(findings: &[&'f Finding]) -> Vec<Vec<&'f Finding>> {
    gathered_by(findings, says_the_same)
}

/// Every word of it but the place.
fn says_the_same(one: &Finding, other: &Finding) -> bool {
    one.severity == other.severity
        && one.code == other.code
        && one.text == other.text
        && one.remedy == other.remedy
}

/// The same, or of one kind and one remedy where it is a stop of the law or a note: then the first stands for all.
fn is_like(one: &Finding, other: &Finding) -> bool {
    let gathers = one.severity == Severity::Note || one.code == "fire-law";
    says_the_same(one, other) || (gathers && one.code == other.code && one.remedy == other.remedy)
}

fn gathered_by<'f>(
    findings: &[&'f Finding],
    alike: impl Fn(&Finding, &Finding) -> bool,
) -> Vec<Vec<&'f Finding>> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    // Only what has one code is compared: a large job has thousands of findings and some dozen codes.
    let mut of_code: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for &finding in findings {
        let known = of_code.entry(finding.code).or_default();
        match known.iter().find(|at| alike(groups[**at][0], finding)) {
            Some(at) => groups[*at].push(finding),
            None => {
                known.push(groups.len());
                groups.push(vec![finding]);
            }
        }
    }
    groups
}

/// The rows of every finding.
pub fn finding_rows(assessment: &Assessment) -> Vec<FindingRow> {
    finding_rows_of(assessment, |_| true)
}

/// The rows of some findings.
pub fn finding_rows_of(assessment: &Assessment, wanted: impl Fn(&Finding) -> bool) -> Vec<FindingRow> {
    rows_of(&assessment.findings, wanted)
}

/// The rows of some of these.
pub fn rows_of(findings: &[Finding], wanted: impl Fn(&Finding) -> bool) -> Vec<FindingRow> {
    let wanted: Vec<&Finding> = findings.iter().filter(|finding| wanted(finding)).collect();
    gathered_by(&wanted, is_like).iter().map(|group| row(group)).collect()
}

fn row(group: &[&Finding]) -> FindingRow {
    let first = group[0];
    let places: Vec<&str> = group.iter().map(|finding| finding.place.as_str()).collect();
    let alike = group.iter().all(|finding| finding.text == first.text);
    let text = if alike {
        first.text.clone()
    } else {
        format!(
            "{}: {} The others are alike; each circuit's sheet has its own numbers.",
            first.place, first.text
        )
    };
    FindingRow {
        severity: first.severity.word(),
        places: listed(&places, PLACES_NAMED),
        code: first.code,
        text,
        remedy: first.remedy.clone(),
    }
}
