//! The meter table: what the technician's own meter must show in every state.

use assess::CircuitResult;
use circuit::{MeterRow, Slack, State, Study};
use network::Network;
use quantity::{MeterDisplay, Ohms, Written};
use serde::Serialize;

use crate::words::{band_name, meaning_word};

/// Pairs of contacts that are listed one by one; more are gathered by what the meter shows.
const PAIRS_LISTED: usize = 3;

/// One row.
#[derive(Serialize)]
pub struct StateRow {
    /// What is active.
    pub state: String,
    /// What the meter shows, detectors fed.
    pub meter: String,
    /// The same with their supply off; empty where that changes nothing.
    pub meter_off: String,
    /// The band that the input reads.
    pub reads: String,
    /// What that means.
    pub means: String,
    /// How far the reading can still move.
    pub room: String,
    /// `right`, `wrong` or `not computed`.
    pub verdict: &'static str,
}

/// The rows of a circuit's meter table.
pub fn state_rows(result: &CircuitResult, network: &Network, study: &Study) -> Vec<StateRow> {
    let all: Vec<(&State, &MeterRow)> = study.states.iter().zip(&study.meter).collect();
    let is_pair = |(state, _): &&(&State, &MeterRow)| state.active.len() > 1;
    let pairs: Vec<(&State, &MeterRow)> = all.iter().filter(is_pair).copied().collect();
    let mut rows: Vec<StateRow> = Vec::new();
    for (state, meter) in &all {
        if state.active.len() <= 1 || pairs.len() <= PAIRS_LISTED {
            let words = circuit::state_words(network, &state.active);
            rows.push(row(result, study, state, meter, words));
        }
    }
    if pairs.len() > PAIRS_LISTED {
        gather(result, study, &pairs, &mut rows);
    }
    rows
}

/// One row for all pairs that show and read the same.
fn gather(result: &CircuitResult, study: &Study, pairs: &[(&State, &MeterRow)], rows: &mut Vec<StateRow>) {
    let mut groups: Vec<(String, usize, usize)> = Vec::new();
    for (at, (state, meter)) in pairs.iter().enumerate() {
        let key = format!("{} {:?} {:?}", meter.fed.shown(), state.band, state.ok);
        match groups.iter_mut().find(|group| group.0 == key) {
            Some(group) => group.2 += 1,
            None => groups.push((key, at, 1)),
        }
    }
    for (_, first, count) in groups {
        let (state, meter) = pairs[first];
        rows.push(row(result, study, state, meter, format!("two at once, {count} pairs")));
    }
}

fn row(result: &CircuitResult, study: &Study, state: &State, meter: &MeterRow, words: String) -> StateRow {
    StateRow {
        state: words,
        meter: meter.fed.shown(),
        meter_off: meter.unfed.map(MeterDisplay::shown).unwrap_or_default(),
        reads: match (result.mode, state.band) {
            (None, _) => String::new(),
            (Some(_), None) => "between two bands".to_owned(),
            (Some(_), band) => band_name(result, band),
        },
        means: meaning_word(study, state.band).to_owned(),
        room: room(state.slack),
        verdict: match state.ok {
            Some(true) => "right",
            Some(false) => "wrong",
            None => "not computed",
        },
    }
}

/// How far the reading can move down and up before it leaves its band.
fn room(slack: Slack) -> String {
    let ohms = |ohms: f64| Ohms(ohms).shown(3);
    match (slack.below, slack.above) {
        (Some(below), Some(above)) => format!("−{} / +{}", ohms(below), ohms(above)),
        (Some(below), None) => format!("−{}", ohms(below)),
        (None, Some(above)) => format!("+{}", ohms(above)),
        (None, None) => String::new(),
    }
}
