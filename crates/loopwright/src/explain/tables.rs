//! The rows of an explained circuit's tables.

use assess::CircuitResult;
use circuit::{Class, Coverage, Fault, Study, fault_words, state_words};
use library::{Limits, Scale};
use network::{Bounds, Network};
use quantity::{Ohms, Ratio, Volts, Written};
use schemars::JsonSchema;
use serde::Serialize;

use super::element::{RangeJson, shown};

/// One band of the mode.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct BandJson {
    /// Its name.
    pub(crate) name: String,
    /// What it means to this circuit.
    pub(crate) means: &'static str,
    /// Its upper edge as the manual gives it.
    pub(crate) below: Option<String>,
    /// `ohms`, or `share of the learned value`.
    pub(crate) unit: &'static str,
    /// What surely reads as this band.
    pub(crate) sure: RangeJson,
    /// What may read as this band.
    pub(crate) may: RangeJson,
}

/// Every band of the circuit's mode.
pub(crate) fn bands(result: &CircuitResult) -> Vec<BandJson> {
    let (Some(mode), Some(study)) = (result.mode, &result.study) else { return Vec::new() };
    let learns = matches!(mode.scale, Scale::ShareOfLearned { .. });
    let edge = |below: f64| match mode.scale {
        Scale::Ohms => Ohms(below).shown(3),
        Scale::Volts { .. } => Volts(below).shown(3),
        Scale::ShareOfSource { .. } => format!("{} of the source", Ratio(below).shown(3)),
        Scale::ShareOfLearned { .. } => format!("{} of the learned value", Ratio(below).shown(3)),
    };
    mode.bands
        .iter()
        .zip(&mode.limits)
        .zip(&study.means)
        .map(|((band, limits), means)| {
            let Limits { sure_lo, sure_hi, may_lo, may_hi } = *limits;
            BandJson {
                name: band.name.clone(),
                means: means.word(),
                below: band.below.map(edge),
                unit: if learns { "share of the learned value" } else { "ohms" },
                sure: RangeJson::new(Bounds { lo: sure_lo, hi: sure_hi }),
                may: RangeJson::new(Bounds { lo: may_lo, hi: may_hi }),
            }
        })
        .collect()
}

/// `rest: normal`, or that no band is sure.
fn reads(result: &CircuitResult, study: &Study, band: Option<usize>) -> String {
    let named = band.and_then(|at| Some((result.mode?.bands.get(at)?, study.means.get(at)?)));
    match named {
        Some((band, means)) => format!("{}: {}", band.name, means.word()),
        None if result.mode.is_some() => "no band surely".to_owned(),
        None => "-".to_owned(),
    }
}

/// Heading and rows of the states: what the input makes of each.
pub(crate) fn states(result: &CircuitResult, network: &Network, study: &Study) -> Vec<Vec<String>> {
    let mut rows = vec![heading(&["state", "at the input", "reads", "room below", "above", ""])];
    for state in &study.states {
        let room = |ohms: Option<f64>| ohms.map_or("-".to_owned(), |ohms| Ohms(ohms).shown(3));
        rows.push(vec![
            state_words(network, &state.active),
            shown(state.ohms),
            reads(result, study, state.band),
            room(state.slack.below),
            room(state.slack.above),
            state.ok.map_or("-", |ok| if ok { "right" } else { "wrong" }).to_owned(),
        ]);
    }
    rows
}

/// Heading and rows of the meter table.
pub(crate) fn meter(network: &Network, study: &Study) -> Vec<Vec<String>> {
    let unfed = study.meter.iter().any(|row| row.unfed.is_some());
    let mut rows = vec![heading(if unfed {
        &["state", "meter, detectors fed", "meter, their supply off"]
    } else {
        &["state", "meter"]
    })];
    for (state, row) in study.states.iter().zip(&study.meter) {
        let mut cells = vec![state_words(network, &state.active), row.fed.shown()];
        if unfed {
            cells.push(row.unfed.map_or("-".to_owned(), |display| display.shown()));
        }
        rows.push(cells);
    }
    rows
}

/// Heading and rows of the faults of one class.
pub(crate) fn faults(
    result: &CircuitResult,
    network: &Network,
    study: &Study,
    class: Class,
) -> Vec<Vec<String>> {
    let of_class: Vec<&Fault> = study.faults.iter().filter(|fault| fault.class == class).collect();
    if of_class.is_empty() {
        return Vec::new();
    }
    let so = match class {
        Class::Announced => "arrives as",
        Class::SilentDangerous => "lost",
        _ => "",
    };
    let mut rows = vec![heading(&["fault", "at rest then", "reads", so])];
    for fault in of_class {
        let so = match class {
            Class::Announced => {
                fault.announced_as.map_or("one or another", network::Meaning::word).to_owned()
            }
            _ => fault.endangers.map_or(String::new(), |raiser| match raiser {
                circuit::Raiser::Contact(contact) => {
                    network.contacts().get(contact).map(network::Contact::label).unwrap_or_default()
                }
                circuit::Raiser::Smoke(element) => circuit::element_name(network, element),
            }),
        };
        rows.push(vec![fault_words(network, fault), shown(fault.ohms), reads(result, study, fault.band), so]);
    }
    rows
}

/// Faults by class, in words.
pub(crate) fn coverage(coverage: Coverage) -> String {
    format!(
        "{} of {} show at rest, {} silent while alarms still get through, {} silent and dangerous, {} found \
         only by working the device",
        coverage.announced,
        coverage.total(),
        coverage.silent_safe,
        coverage.silent_dangerous,
        coverage.test_only
    )
}

fn heading(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}
