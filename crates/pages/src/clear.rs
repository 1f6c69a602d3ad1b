//! Whether ohms may be read of a pair: what its strip's safety entry says, and what its own volts and earth say.

use std::collections::BTreeMap;

use job::{Circuit, Display, Reading, Shown, When};
use quantity::Ohms;

use crate::frame::Open;
use crate::world::Entry;

/// Volts from which ohms say nothing (common practice, no source).
const FOREIGN_V: f64 = 1.0;
/// A leg with less than this to earth is not clear of it (common practice, no source).
const EARTHED: Ohms = Ohms(50e3);

/// What a pair's own readings say of one thing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Own {
    /// Nobody looked.
    Unread,
    /// Nothing is in the way.
    Clear,
    /// Something is.
    Foreign,
}

impl Own {
    fn of(all: impl Iterator<Item = bool>) -> Self {
        all.fold(Self::Unread, |so_far, clear| match (so_far, clear) {
            (Self::Foreign, _) | (_, false) => Self::Foreign,
            _ => Self::Clear,
        })
    }
}

/// What a strip's newest safety entry says of a pair.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Said {
    /// That it is clear.
    Clear,
    /// That it is not, or that the entry was taken back.
    LeftOut,
    /// Nothing.
    Nothing,
}

fn is_earth(reading: &Reading) -> bool {
    matches!(reading.when, When::Earth | When::EarthA | When::EarthB)
}

fn has_ohms(reading: &Reading) -> bool {
    reading.shown.iter().any(|shown| matches!(shown, Shown::Ohms(_)))
}

/// The volts of a pair: of each condition and kind the reading that came last. What the old panel feeds it is no matter.
fn volts(circuit: &Circuit) -> Own {
    let mut last: BTreeMap<(String, bool), bool> = BTreeMap::new();
    for reading in circuit.found.iter().filter(|reading| reading.when != When::Live) {
        for shown in &reading.shown {
            let (display, alternating) = match shown {
                Shown::VoltsDc(display) => (display, false),
                Shown::VoltsAc(display) => (display, true),
                _ => continue,
            };
            let clear = matches!(display, Display::Value { value, .. } if value.0.abs() < FOREIGN_V);
            last.insert((format!("{:?}", reading.when), alternating), clear);
        }
    }
    Own::of(last.into_values())
}

/// The earth of a pair: of each leg the reading that came last.
fn earth(circuit: &Circuit) -> Own {
    let mut last: BTreeMap<String, bool> = BTreeMap::new();
    for reading in circuit.found.iter().filter(|reading| is_earth(reading)) {
        for shown in &reading.shown {
            if let Shown::Ohms(display) = shown {
                let clear = match display {
                    Display::Value { value, .. } => *value >= EARTHED,
                    Display::Open => true,
                    Display::Unstable => false,
                };
                last.insert(format!("{:?}", reading.when), clear);
            }
        }
    }
    // One leg alone says nothing of the other.
    let both = last.contains_key("Earth") || (last.contains_key("EarthA") && last.contains_key("EarthB"));
    match Own::of(last.into_values()) {
        Own::Clear if !both => Own::Unread,
        own => own,
    }
}

/// Whether the pair's own readings forbid ohms.
pub(crate) fn is_foreign(circuit: &Circuit) -> bool {
    volts(circuit) == Own::Foreign || earth(circuit) == Own::Foreign
}

fn said(circuit: &Circuit, clearances: &[Entry]) -> Said {
    let strip = circuit.ends_in.as_ref().map_or("", |id| id.as_str());
    let names = |entry: &Entry, key: &str| {
        let data: serde_json::Value = serde_json::from_str(&entry.data).unwrap_or_default();
        let tags = data.get(key).and_then(serde_json::Value::as_array);
        tags.is_some_and(|tags| tags.iter().any(|tag| tag.as_str() == Some(circuit.tag.as_str())))
    };
    // What was added since then was not looked at.
    if clearances.iter().any(|entry| entry.about == strip && names(entry, "pairs")) {
        Said::Clear
    } else if clearances.iter().any(|entry| names(entry, "except")) {
        Said::LeftOut
    } else {
        Said::Nothing
    }
}

/// Why no ohms may be read of a pair, and what to do; none where they may.
pub(crate) fn why_not(circuit: &Circuit, clearances: &[Entry]) -> Option<String> {
    blocked(circuit, clearances, false)
}

/// The same for one reading: volts may always be read, a leg to earth once the volts are known.
pub(crate) fn refuses(circuit: &Circuit, reading: &Reading, clearances: &[Entry]) -> Option<String> {
    if has_ohms(reading) { blocked(circuit, clearances, is_earth(reading)) } else { None }
}

fn blocked(circuit: &Circuit, clearances: &[Entry], to_earth: bool) -> Option<String> {
    let tag = &circuit.tag.value;
    let (volts, earth) = (volts(circuit), earth(circuit));
    if volts == Own::Foreign {
        return Some(format!(
            "{tag} has volts on it: no ohms are read. Find what feeds it and switch that off, then read its volts again: under 1 V, ohms may be read."
        ));
    }
    if to_earth {
        let free = volts == Own::Clear || may_be_read(circuit, clearances);
        return (!free).then(|| {
            format!("No ohms of {tag} before its volts: read volts AC and DC first. Under 1 V, each leg to earth may be read.")
        });
    }
    if earth == Own::Foreign {
        return Some(format!(
            "A leg of {tag} finds earth: no ohms are read. Find the place and clear it, then read each leg to earth again: from 50 kohm or over range, ohms may be read."
        ));
    }
    if may_be_read(circuit, clearances) || (volts == Own::Clear && earth == Own::Clear) {
        return None;
    }
    let why = match said(circuit, clearances) {
        Said::LeftOut => "the safety entry of its strip leaves it out",
        _ => "its strip has no safety entry that covers it",
    };
    Some(format!(
        "No ohms of {tag} yet: {why}. Read its volts first (under 1 V), then each leg to earth (50 kohm or more, or over range); or write the safety entry of the strip once it is true of this pair."
    ))
}

/// By its strip's entry, or because somebody read its ohms before and nobody left it out.
fn may_be_read(circuit: &Circuit, clearances: &[Entry]) -> bool {
    match said(circuit, clearances) {
        Said::Clear => true,
        Said::LeftOut => false,
        Said::Nothing => circuit.found.iter().any(|reading| has_ohms(reading) && !is_earth(reading)),
    }
}

/// Which circuits ohms may be read of, in the order of the job.
pub(crate) fn clear(open: &Open, clearances: &[Entry]) -> Vec<bool> {
    open.job().circuits.iter().map(|circuit| why_not(circuit, clearances).is_none()).collect()
}
