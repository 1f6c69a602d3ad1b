//! Every finding with its remedy, the heaviest first; notes that say the same of many circuits stand once.

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

/// The rows; findings of one kind and one remedy are gathered when they are stops of the law or notes.
pub fn finding_rows(assessment: &Assessment) -> Vec<FindingRow> {
    finding_rows_of(assessment, |_| true)
}

/// The rows of some findings.
pub fn finding_rows_of(assessment: &Assessment, wanted: impl Fn(&Finding) -> bool) -> Vec<FindingRow> {
    rows_of(&assessment.findings, wanted)
}

/// The rows of some of these.
pub fn rows_of(findings: &[Finding], wanted: impl Fn(&Finding) -> bool) -> Vec<FindingRow> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for finding in findings.iter().filter(|finding| wanted(finding)) {
        let gathers = finding.severity == Severity::Note || finding.code == "fire-law";
        let same = |group: &&mut Vec<&Finding>| {
            let first = group[0];
            gathers && first.code == finding.code && first.remedy == finding.remedy
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups.iter().map(|group| row(group)).collect()
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
