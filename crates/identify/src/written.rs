//! A settled candidate as a network, in the notation of the job file.

use job::{Circuit, Display, Job, ResistorPlace, When};
use library::Wiring;
use network::Network;
use quantity::{Celsius, Metres, Ohms, Written};

use crate::candidate::Candidate;
use crate::evidence::Setting;
use crate::look::Asked;
use crate::survey::Pair;
use crate::testimony::misfits;

/// The temperature at which the usual line is turned into metres.
const ROOM: Celsius = Celsius(20.0);

/// The network of a pair's settled candidate; none when it is not settled, does not show one of the readings of
/// itself (only as a miss, a restless contact or a wrong reading), or has no series-parallel form.
///
/// The line's length is what low readings say, else the range that habits give. Devices that were tripped by name keep
/// their names.
#[must_use]
pub fn network_of(setting: &Setting, job: &Job, pair: &Pair) -> Option<Network> {
    let circuit = job.circuits.get(pair.circuit)?;
    let candidate = pair.ranking.settled()?;
    // A reading that it does not show of itself has to be taken again first: no forced answer.
    if !misfits(setting, &pair.evidence, candidate).is_empty() {
        return None;
    }
    // Detectors that make smoke of a panic button's pair are a trip that was missed more often than a building's mistake.
    let is_smoke = candidate.wiring == Wiring::SmokeTwoWire;
    if is_smoke && circuit.duty.is_some_and(|duty| !duty.is_fire()) {
        return None;
    }
    let network = Network::parse(&notation(setting, job, circuit, pair, candidate)?).ok()?;
    // Readings do not tell where the resistor sits; eyes do.
    if circuit.resistor_at == Some(ResistorPlace::Panel) && candidate.wiring != Wiring::TwoEnds {
        return Some(network.end_resistor_at_terminals().unwrap_or(network));
    }
    Some(network)
}

/// How it is known, for the comment behind it.
#[must_use]
pub fn how_known(pair: &Pair) -> String {
    let probability = pair.ranking.all.first().map_or(0.0, |first| first.probability);
    let count = pair.evidence.looks.ohms.len();
    let readings = if count == 1 { "1 reading".to_owned() } else { format!("{count} readings") };
    // Never rounded up to certainty.
    let percent = (probability * 1000.0).floor().min(999.0) / 10.0;
    format!(
        "inferred from {readings}, {percent:.1} %; length and place of the resistor are not known from here"
    )
}

/// How many contacts of a candidate were told apart by their names, or by the steps that they add; none where no reading
/// counts them.
#[must_use]
pub fn devices(job: &Job, pair: &Pair, candidate: &Candidate) -> Option<usize> {
    if !candidate.wiring.has_contact() || matches!(candidate.wiring, Wiring::OpenPair | Wiring::ShortedPair) {
        return None;
    }
    let named = job.circuits.get(pair.circuit).map_or(0, |circuit| names(circuit).len());
    let step = match candidate.wiring {
        Wiring::NcTwoResistor => candidate.resistors.get(1),
        Wiring::NcStepped => candidate.resistors.first(),
        _ => None,
    };
    let base = if candidate.wiring == Wiring::NcTwoResistor { candidate.resistors.first() } else { None };
    let steps = pair.evidence.looks.ohms.iter().filter_map(|look| match (look.display, step, &look.asked) {
        (Display::Value { value, .. }, Some(step), Asked::Trip { .. }) => {
            let above = value.0 - base.map_or(0.0, |base| base.0);
            // Rounded to whole steps; a negative one is none.
            Some((above / step.0).round().max(0.0) as usize)
        }
        _ => None,
    });
    Some(named.max(steps.max().unwrap_or(0))).filter(|count| *count > 0)
}

fn notation(
    setting: &Setting,
    job: &Job,
    circuit: &Circuit,
    pair: &Pair,
    candidate: &Candidate,
) -> Option<String> {
    let wire = wire(setting, job, circuit, pair, candidate.wiring);
    let names = names(circuit);
    let name = |at: usize| names.get(at).cloned().unwrap_or_else(|| fallback(at));
    let value = |at: usize| candidate.resistors.get(at).map(|ohms| ohms.written());
    let contacts = |form: &str, sign: &str| -> String {
        let all: Vec<String> = (0..names.len().max(1)).map(|at| format!("{form}:{}", name(at))).collect();
        all.join(sign)
    };
    let tamper = if has_tamper(circuit) { format!(" - nc:{}.tamper", name(0)) } else { String::new() };
    Some(match candidate.wiring {
        Wiring::NcBare => format!("{wire}{tamper} - {}", contacts("nc", " - ")),
        Wiring::NcEol => format!("{wire}{tamper} - {} - {}", contacts("nc", " - "), value(0)?),
        Wiring::NoBare => format!("{wire} - {}", contacts("no", " | ")),
        Wiring::NoEol => format!("{wire} - {} | {}", contacts("no", " | "), value(0)?),
        Wiring::NcTwoResistor => {
            let (end, across) = (value(0)?, value(1)?);
            let all: Vec<String> =
                (0..names.len().max(1)).map(|at| format!("(nc:{} | {across})", name(at))).collect();
            format!("{wire}{tamper} - {} - {end}", all.join(" - "))
        }
        Wiring::NoTwoResistor => {
            let (end, line) = (value(0)?, value(1)?);
            let all: Vec<String> =
                (0..names.len().max(1)).map(|at| format!("(no:{} - {line})", name(at))).collect();
            format!("{wire} - {} | {end}", all.join(" | "))
        }
        Wiring::ThreeResistor => {
            let (end, alarm, fault) = (value(0)?, value(1)?, value(2)?);
            let detector = name(0);
            format!("{wire}{tamper} - (nc:{detector} | {alarm}) - (nc:{detector}.fault | {fault}) - {end}")
        }
        Wiring::NcStepped => {
            let step = value(0)?;
            let all: Vec<String> =
                (0..names.len().max(1)).map(|at| format!("(nc:{} | {step})", name(at))).collect();
            format!("{wire} - {}", all.join(" - "))
        }
        Wiring::NcDoubled => {
            let (larger, smaller) = (value(0)?, value(1)?);
            let (first, second) = legs(circuit, candidate, &name(0), &name(1));
            format!("{wire} - (nc:{first} - {larger}) | nc:{second} - {smaller}")
        }
        Wiring::TwoEnds => return two_ends(&wire, circuit, &contacts("nc", " - "), &value(0)?),
        Wiring::SmokeTwoWire => {
            let all: Vec<String> = (0..names.len().max(1)).map(|at| format!("smoke:{}", name(at))).collect();
            format!("{wire} - {} | {}", all.join(" | "), value(0)?)
        }
        Wiring::OpenPair => format!("{wire} - open"),
        Wiring::ShortedPair => format!("{wire} - joined"),
        Wiring::Sounder | Wiring::SupplyPair | Wiring::DataPair | Wiring::UnlikeAny => return None,
    })
}

/// Two ends: the form that the trip showed.
fn two_ends(wire: &str, circuit: &Circuit, contacts: &str, value: &str) -> Option<String> {
    let trip =
        circuit.found.iter().find(|reading| matches!(reading.when, When::Tripped | When::Device(_)))?;
    let ohms = trip.shown.iter().find_map(|shown| match shown {
        job::Shown::Ohms(display) => Some(*display),
        _ => None,
    })?;
    match ohms {
        // The trunk opened, or low: where the tap sits is not known, so no network is written.
        Display::Open | Display::Unstable => None,
        Display::Value { value: shown, .. } if shown.0 < 100.0 => None,
        Display::Value { .. } => Some(format!("{value} | {wire} - {contacts} - {value}")),
    }
}

/// Which device opens the leg of the larger resistor: the one whose trip leaves the smaller.
fn legs(circuit: &Circuit, candidate: &Candidate, first: &str, second: &str) -> (String, String) {
    let smaller = candidate.resistors.get(1).map_or(0.0, |ohms| ohms.0);
    let larger = candidate.resistors.first().map_or(0.0, |ohms| ohms.0);
    let leaves_smaller = circuit.found.iter().any(|reading| {
        let is_first = matches!(&reading.when, When::Device(name) if name == first);
        let shown = reading.shown.iter().find_map(|shown| match shown {
            job::Shown::Ohms(Display::Value { value, .. }) => Some(value.0),
            _ => None,
        });
        is_first && shown.is_some_and(|ohms| (ohms - smaller).abs() < (ohms - larger).abs())
    });
    let named =
        circuit.found.iter().any(|reading| matches!(&reading.when, When::Device(name) if name == first));
    if named && !leaves_smaller {
        (second.to_owned(), first.to_owned())
    } else {
        (first.to_owned(), second.to_owned())
    }
}

/// Names of devices that were tripped, without the roles, in the order of the readings.
fn names(circuit: &Circuit) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for reading in &circuit.found {
        if let When::Device(name) = &reading.when {
            let name = name.split('.').next().unwrap_or(name).to_owned();
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    names
}

fn fallback(at: usize) -> String {
    let letter = char::from(b'a' + u8::try_from(at.min(25)).unwrap_or(0));
    letter.to_string()
}

fn has_tamper(circuit: &Circuit) -> bool {
    circuit
        .found
        .iter()
        .any(|reading| matches!(&reading.when, When::Device(name) if name.ends_with(".tamper")))
}

/// The line: measured where it was read alone, else as long as habits have it.
fn wire(setting: &Setting, job: &Job, circuit: &Circuit, pair: &Pair, wiring: Wiring) -> String {
    let low = |at: usize| {
        let look = pair.evidence.looks.ohms.iter().find(|look| look.at == at)?;
        let alone = match look.asked {
            Asked::Rest | Asked::After | Asked::Reversed => {
                matches!(wiring, Wiring::NcBare | Wiring::NcStepped | Wiring::ShortedPair)
            }
            Asked::Trip { .. } => matches!(wiring, Wiring::NoBare | Wiring::NoEol | Wiring::ShortedPair),
            Asked::Joined => true,
            Asked::Opened => false,
        };
        match look.display {
            Display::Value { value, .. } if alone => Some((value.0 - setting.line.leads_mean()).max(0.0)),
            _ => None,
        }
    };
    let measured = (0..circuit.found.len()).find_map(low).filter(|ohms| *ohms < setting.line.ends().1);
    if let Some(ohms) = measured {
        let rounded = Ohms((ohms * 10.0).round() / 10.0);
        return format!("wire:{}", rounded.written().replace(' ', ""));
    }
    let per_metre = circuit.gauge.unwrap_or(job.assume.cable).per_metre(ROOM).hi().0;
    let metres = |ohms: f64| Metres((ohms / (2.0 * per_metre)).round().max(1.0));
    let cable = setting.habits.spread.cable;
    let (from, to) = (metres(cable.lo().0), metres(cable.hi().0));
    format!("wire:{}..{}m", from.0, to.0.max(from.0 + 1.0))
}
