//! Findings, the heaviest first; the same one on many circuits is told once.

use std::collections::BTreeMap;

use job::{Finding, Severity};

use super::page::Page;
use super::severity;

/// Places that one entry lists.
const MOST_PLACES: usize = 12;

/// The same finding in several places.
struct Entry<'a> {
    finding: &'a Finding,
    places: Vec<&'a str>,
}

/// Puts findings; of notes only how many there are, unless all are asked for.
pub(crate) fn put(page: &mut Page, findings: &[Finding], all: bool) {
    let shown: Vec<&Finding> =
        findings.iter().filter(|finding| all || finding.severity > Severity::Note).collect();
    let notes = findings.len() - shown.len();
    for entry in folded(&shown) {
        page.gap();
        let mark = severity::mark(entry.finding.severity);
        page.hanging(&format!("{mark}  "), severity::MARK_COLUMNS + 2, &places(&entry.places));
        page.paragraph(severity::MARK_COLUMNS + 2, &entry.finding.text);
        if !entry.finding.remedy.is_empty() {
            page.hanging("       → ", severity::MARK_COLUMNS + 2, &entry.finding.remedy);
        }
    }
    if notes > 0 {
        page.gap();
        let say = if notes == 1 { "1 note is".to_owned() } else { format!("{notes} notes are") };
        page.paragraph(0, &format!("{say} not listed here; --all lists them."));
    }
}

/// Findings that say the same, in the order of the first of each.
fn folded<'a>(findings: &[&'a Finding]) -> Vec<Entry<'a>> {
    let mut entries: Vec<Entry> = Vec::new();
    let mut known = BTreeMap::new();
    for &finding in findings {
        let same = (finding.severity, finding.code, finding.text.as_str(), finding.remedy.as_str());
        let at = *known.entry(same).or_insert(entries.len());
        match entries.get_mut(at) {
            Some(entry) => entry.places.push(&finding.place),
            None => entries.push(Entry { finding, places: vec![&finding.place] }),
        }
    }
    entries
}

fn places(places: &[&str]) -> String {
    let named = |place: &&str| if *place == "job" { "the job".to_owned() } else { (*place).to_owned() };
    let mut text: Vec<String> = places.iter().take(MOST_PLACES).map(named).collect();
    let more = places.len().saturating_sub(MOST_PLACES);
    if more > 0 {
        let last = text.pop().unwrap_or_default();
        text.push(format!("{last} and {more} more"));
    }
    text.join(", ")
}
