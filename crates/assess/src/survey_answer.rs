//! The answer of a survey in a sentence, the same for every face.

use ::identify::{Pair, Survey, is_contradicted};
use quantity::Written;

/// How many pairs are settled, open, refused and not read, and what the building has in common: whole sentences.
#[must_use]
pub fn survey_answer(survey: &Survey) -> Vec<String> {
    let all = survey.job.circuits.len();
    let is_refused = |pair: &&Pair| pair.evidence.refusal().is_some();
    let is_settled =
        |pair: &&Pair| !is_refused(pair) && pair.ranking.settled && !is_contradicted(survey, pair);
    let settled = survey.pairs.iter().filter(is_settled).count();
    let refused = survey.pairs.iter().filter(is_refused).count();
    let unread = all - survey.pairs.len();
    let mut parts = vec![format!("{settled} of {all} pairs settled")];
    let open = survey.pairs.len() - settled - refused;
    if open > 0 {
        parts.push(format!("{open} open"));
    }
    if refused > 0 {
        parts.push(format!("{refused} not fit for an ohms reading"));
    }
    if unread > 0 {
        parts.push(format!("{unread} not read yet"));
    }
    let mut sentences = vec![format!("{}.", parts.join("; "))];
    if let Some((ohms, probability)) = survey.own {
        // Never rounded up to certainty.
        let percent = (probability * 100.0).clamp(0.1, 99.9);
        sentences.push(format!("The building's own resistor is {} ({percent:.1} %).", ohms.written()));
    }
    sentences
}
