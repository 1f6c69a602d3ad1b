//! What the readings of a circuit say: the first candidates, each with a sentence for and one against it.

use identify::for_and_against;
use schemars::JsonSchema;
use serde::Serialize;

use super::{Explained, Target};
use crate::report::page::Page;
use crate::report::pair;

/// Candidates that are explained.
const MOST: usize = 3;

/// One candidate.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct EvidenceJson {
    /// Its wiring and values, in words.
    candidate: String,
    probability: f64,
    /// What speaks for it.
    #[serde(rename = "for")]
    speaks_for: String,
    /// What speaks against it; empty when nothing does.
    against: String,
}

/// The first candidates of the circuit that is explained; none without readings.
pub(crate) fn evidence(explained: &Explained) -> Vec<EvidenceJson> {
    let Target::Circuit(at) = explained.target else { return Vec::new() };
    let job = explained.assessment.job;
    let Some(survey) = assess::identify(job, explained.assessment.library) else { return Vec::new() };
    let Some(pair) = survey.pairs.iter().find(|pair| pair.circuit == at) else { return Vec::new() };
    if pair.evidence.refusal().is_some() {
        return Vec::new();
    }
    let first = pair.ranking.all.iter().take(MOST);
    first
        .map(|candidate| {
            let (speaks_for, against) = for_and_against(&survey.setting, &pair.evidence, candidate);
            EvidenceJson {
                candidate: pair::words(candidate),
                probability: candidate.probability,
                speaks_for,
                against,
            }
        })
        .collect()
}

/// Puts them on a page.
pub(crate) fn put(page: &mut Page, explained: &Explained) {
    let evidence = evidence(explained);
    if evidence.is_empty() {
        return;
    }
    page.heading("What its readings say");
    for one in evidence {
        page.paragraph(2, &format!("{}, {}", pair::percent(one.probability), one.candidate));
        page.paragraph(4, &one.speaks_for);
        if !one.against.is_empty() {
            page.paragraph(4, &one.against);
        }
    }
}
