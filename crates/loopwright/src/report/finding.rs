//! Findings, the heaviest first; the same one on many circuits is told once.

use job::{Finding, Severity};
use view::findings::gathered;

use super::page::Page;
use super::severity;

/// Places that one entry lists.
const MOST_PLACES: usize = 12;

/// Puts findings; of notes only how many there are, unless all are asked for.
pub(crate) fn put(page: &mut Page, findings: &[Finding], all: bool) {
    let shown: Vec<&Finding> =
        findings.iter().filter(|finding| all || finding.severity > Severity::Note).collect();
    let notes = findings.len() - shown.len();
    for group in gathered(&shown) {
        let finding = group[0];
        page.gap();
        let mark = severity::mark(finding.severity);
        page.hanging(&format!("{mark}  "), severity::MARK_COLUMNS + 2, &places(&group));
        page.paragraph(severity::MARK_COLUMNS + 2, &finding.text);
        if !finding.remedy.is_empty() {
            page.hanging("       → ", severity::MARK_COLUMNS + 2, &finding.remedy);
        }
    }
    if notes > 0 {
        page.gap();
        let say = if notes == 1 { "1 note is".to_owned() } else { format!("{notes} notes are") };
        page.paragraph(0, &format!("{say} not listed here; --all lists them."));
    }
}

fn places(group: &[&Finding]) -> String {
    let named = |finding: &&Finding| match finding.place.as_str() {
        "job" => "the job".to_owned(),
        place => place.to_owned(),
    };
    let mut text: Vec<String> = group.iter().take(MOST_PLACES).map(named).collect();
    let more = group.len().saturating_sub(MOST_PLACES);
    if more > 0 {
        let last = text.pop().unwrap_or_default();
        text.push(format!("{last} and {more} more"));
    }
    text.join(", ")
}
