//! Cable tags: one for every circuit, and blank numbered ones to print before the visit.

use assess::Assessment;
use serde::Serialize;

use crate::figures::{Figure, tag};

/// Blank tags are printed in whole rows; at least so many.
const BLANK: usize = 24;

/// All tags.
#[derive(Serialize)]
pub(crate) struct Tags {
    circuits: Vec<Figure>,
    blank: Vec<Figure>,
    first_blank: String,
    last_blank: String,
}

/// Tags of the job's circuits, then blank ones that go on counting.
pub(crate) fn tags(assessment: &Assessment) -> Tags {
    let circuits = &assessment.job.circuits;
    let highest = circuits.iter().filter_map(|circuit| number(&circuit.tag)).max().unwrap_or(0);
    let numbers: Vec<String> =
        (1..=BLANK).map(|more| format!("C{:02}", highest.saturating_add(more))).collect();
    Tags {
        circuits: circuits.iter().map(|circuit| tag(assessment, &circuit.tag, &circuit.place)).collect(),
        blank: numbers.iter().map(|number| tag(assessment, number, "")).collect(),
        first_blank: numbers.first().cloned().unwrap_or_default(),
        last_blank: numbers.last().cloned().unwrap_or_default(),
    }
}

/// `C07` is 7.
fn number(tag: &str) -> Option<usize> {
    let digits = tag.strip_prefix('C')?;
    (digits.len() <= 9).then(|| digits.parse().ok()).flatten()
}
