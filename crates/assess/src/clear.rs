//! Whether ohms may be read of a pair: what its strip's safety entry says, and what its own volts and earth say. The one
//! rule for every face that takes readings.

use std::collections::BTreeMap;

use job::{Circuit, Display, FOREIGN_VOLTS, Job, Reading, Shown, When, is_foreign_current};
use quantity::{Ohms, Volts, Written};

mod clearance;
mod wanted;

pub use clearance::{Clearance, followed, is_surely, written_anew};
pub use wanted::{Wanted, wanted};

/// A leg with less than this to earth is not clear of it (common practice, no source).
const EARTHED: Ohms = Ohms(50e3);

/// Where volts are read before ohms.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Spot {
    Pair,
    LegA,
    LegB,
}

/// What is known of one thing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Own {
    /// Somebody has to look yet.
    Unread,
    /// Nothing is in the way.
    Clear,
    /// Something is.
    Foreign,
}

/// What a strip's newest safety entry says of a pair.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Said {
    /// That it is clear.
    Clear,
    /// That it is not, or that the entry was taken back.
    LeftOut,
    /// That it was, until a whole new text came by which it may be another pair.
    InDoubt,
    /// Nothing.
    Nothing,
}

/// Whether the pair's own newest readings forbid ohms.
#[must_use]
pub fn is_foreign(circuit: &Circuit) -> bool {
    has_foreign_volts(circuit) || earth(circuit) == Own::Foreign
}

/// The newest reading of foreign volts, or of a current, that is in the way of ohms: where it was read, and what it showed.
#[must_use]
pub fn in_the_way(circuit: &Circuit) -> Option<(&When, &Shown)> {
    let of_pair = circuit.newest_of_safety().filter(|(reading, shown)| {
        reading.when != When::Live
            && match shown {
                Shown::VoltsDc(display) | Shown::VoltsAc(display) => !is_clear(display),
                _ => is_foreign_current(reading, shown),
            }
    });
    let newest = of_pair.last().map(|(reading, shown)| (&reading.when, shown));
    newest.or_else(|| circuit.foreign_live().last().map(|(reading, shown)| (&reading.when, *shown)))
}

/// Why no ohms may be read of a pair, and what to do; none where they may.
#[must_use]
pub fn why_no_ohms(circuit: &Circuit, clearances: &[Clearance]) -> Option<String> {
    blocked(circuit, clearances, false)
}

/// The same for one reading: volts may always be read, ohms of a leg to earth once all volts are known, ohms at the terminals of
/// a working board never.
#[must_use]
pub fn refuses_reading(circuit: &Circuit, reading: &Reading, clearances: &[Clearance]) -> Option<String> {
    if !has_ohms(reading) {
        return None;
    }
    if reading.when == When::Live {
        return Some(format!(
            "No ohms of {} at the old terminals while the board works: it feeds the pair, and the meter with it. Lift the pair, and read it at rest.",
            circuit.tag.value
        ));
    }
    blocked(circuit, clearances, reading.is_to_earth())
}

/// Why a changed job is refused: the first of its readings that the one before does not have and that may not be taken,
/// each judged by those before it in the list. None where there is no such.
#[must_use]
pub fn refuses_changed(before: &Job, after: &Job, clearances: &[Clearance]) -> Option<String> {
    after.circuits.iter().find_map(|circuit| {
        let known = before.circuits.iter().find(|known| known.tag.value == circuit.tag.value);
        let mut known: Vec<&Reading> = known.map(|known| known.found.iter().collect()).unwrap_or_default();
        circuit.found.iter().enumerate().find_map(|(at, reading)| {
            if let Some(place) = known.iter().position(|one| is_same(one, reading)) {
                known.remove(place);
                return None;
            }
            let so_far = Circuit { found: circuit.found[..at].to_vec(), ..circuit.clone() };
            refuses_reading(&so_far, reading, clearances)
        })
    })
}

/// The strip that a pair ends on; empty for the one without a name.
fn strip_of(circuit: &Circuit) -> &str {
    circuit.ends_in.as_ref().map_or("", |id| id.as_str())
}

fn is_same(one: &Reading, other: &Reading) -> bool {
    one.when == other.when && one.fed == other.fed && one.shown == other.shown
}

fn has_ohms(reading: &Reading) -> bool {
    reading.shown.iter().any(|shown| matches!(shown, Shown::Ohms(_)))
}

fn is_clear(volts: &Display<Volts>) -> bool {
    matches!(volts, Display::Value { value, .. } if value.0.abs() < FOREIGN_VOLTS.0)
}

/// Volts that the newest readings of the pair off its terminals say, each with the condition and whether alternating.
fn volts(circuit: &Circuit) -> impl Iterator<Item = (&When, bool, &Display<Volts>)> {
    circuit.newest_of_safety().filter_map(|(reading, shown)| match shown {
        _ if reading.when == When::Live => None,
        Shown::VoltsDc(display) => Some((&reading.when, false, display)),
        Shown::VoltsAc(display) => Some((&reading.when, true, display)),
        _ => None,
    })
}

fn has_foreign_volts(circuit: &Circuit) -> bool {
    in_the_way(circuit).is_some()
}

/// Where something was read, as a sentence goes on.
pub(crate) fn where_read(when: &When) -> &'static str {
    match when {
        When::Rest => "at rest",
        When::Earth => "either leg to earth",
        When::EarthA => "first leg to earth",
        When::EarthB => "second leg to earth",
        When::Live => "live at the old terminals",
        When::Reversed => "leads swapped",
        When::Joined => "joined at the far device",
        When::Opened => "opened at the far device",
        When::After(_) => "after a while",
        When::Core(_) => "on a core",
        When::Tripped | When::Device(_) => "tripped",
    }
}

/// What volts, or a current, showed.
pub(crate) fn volts_shown(shown: &Shown) -> String {
    let kind = match shown {
        Shown::Amps(Display::Value { value, .. }) => return value.shown(3),
        Shown::Amps(_) => return "unstable".to_owned(),
        Shown::VoltsAc(_) => " AC",
        _ => " DC",
    };
    format!("{}{kind}", identify::as_typed(shown))
}

/// Volts that nobody has read yet and that are to be known before any ohms: AC and DC, on the pair and from each leg to
/// earth (common practice, no source).
fn unread_volts(circuit: &Circuit) -> Vec<(Spot, bool)> {
    let mut read: Vec<(Spot, bool)> = Vec::new();
    for (when, alternating, _) in volts(circuit) {
        match when {
            When::Earth => read.extend([(Spot::LegA, alternating), (Spot::LegB, alternating)]),
            When::EarthA => read.push((Spot::LegA, alternating)),
            When::EarthB => read.push((Spot::LegB, alternating)),
            When::Core(_) => {}
            _ => read.push((Spot::Pair, alternating)),
        }
    }
    let order = [(Spot::Pair, true), (Spot::Pair, false)];
    let legs = [(Spot::LegA, true), (Spot::LegB, true), (Spot::LegA, false), (Spot::LegB, false)];
    order.into_iter().chain(legs).filter(|one| !read.contains(one)).collect()
}

/// The same in words; both legs are said once.
fn unread_words(unread: &[(Spot, bool)]) -> String {
    let mut words = Vec::new();
    for (spot, alternating) in unread {
        let said = match (spot, alternating) {
            (Spot::Pair, true) => "volts AC of the pair",
            (Spot::Pair, false) => "volts DC of the pair",
            (_, true) => "volts AC from each leg to earth",
            (_, false) => "volts DC from each leg to earth",
        };
        if !words.contains(&said) {
            words.push(said);
        }
    }
    words.join(", ")
}

/// The earth of a pair: of each leg the reading that came last.
fn earth(circuit: &Circuit) -> Own {
    let clear = clear_legs(circuit);
    match (clear.values().all(|clear| *clear), clear.len()) {
        (false, _) => Own::Foreign,
        // One leg alone says nothing of the other.
        (true, 2) => Own::Clear,
        (true, _) => Own::Unread,
    }
}

/// The legs whose earth was read, each with whether it is clear.
fn clear_legs(circuit: &Circuit) -> BTreeMap<Spot, bool> {
    let mut clear: BTreeMap<Spot, bool> = BTreeMap::new();
    for (reading, shown) in circuit.newest_of_safety() {
        let Shown::Ohms(display) = shown else { continue };
        let legs: &[Spot] = match reading.when {
            When::EarthA => &[Spot::LegA],
            When::EarthB => &[Spot::LegB],
            _ => &[Spot::LegA, Spot::LegB],
        };
        for leg in legs {
            let so_far = clear.entry(*leg).or_insert(true);
            *so_far &= is_off_earth(display);
        }
    }
    clear
}

fn is_off_earth(display: &Display<Ohms>) -> bool {
    match display {
        Display::Value { value, .. } => *value >= EARTHED,
        Display::Open => true,
        Display::Unstable => false,
    }
}

/// The newest readings of legs that find earth.
fn earthed(circuit: &Circuit) -> impl Iterator<Item = (&Reading, &Shown)> {
    circuit
        .newest_of_safety()
        .filter(|(_, shown)| matches!(shown, Shown::Ohms(display) if !is_off_earth(display)))
}

fn said(circuit: &Circuit, clearances: &[Clearance]) -> Said {
    let strip = strip_of(circuit);
    let names = |tags: &[String]| tags.contains(&circuit.tag.value);
    // What was added since then was not looked at.
    if clearances.iter().any(|entry| entry.strip == strip && names(&entry.pairs)) {
        Said::Clear
    } else if clearances.iter().any(|entry| names(&entry.in_doubt)) {
        Said::InDoubt
    } else if clearances.iter().any(|entry| names(&entry.except)) {
        Said::LeftOut
    } else {
        Said::Nothing
    }
}

/// By its strip's entry, or because somebody read its ohms before and nobody left it out.
fn may_be_read(circuit: &Circuit, said: Said) -> bool {
    match said {
        Said::Clear => true,
        Said::LeftOut | Said::InDoubt => false,
        Said::Nothing => circuit.found.iter().any(|reading| has_ohms(reading) && !reading.is_to_earth()),
    }
}

fn blocked(circuit: &Circuit, clearances: &[Clearance], to_earth: bool) -> Option<String> {
    let tag = &circuit.tag.value;
    if let Some((when, shown)) = in_the_way(circuit) {
        let again = match (when, shown) {
            (When::Live, _) => {
                "then lift it and read the same volts of the pair and from each leg to earth: each under 1 V, ohms may be read."
            }
            (_, Shown::Amps(_)) => {
                "then read its current and its volts again: without either, ohms may be read."
            }
            _ => "then read it again there: under 1 V, ohms may be read.",
        };
        return Some(format!(
            "{tag} has {}, {} {}: no ohms are read. Find what feeds it and switch that off, {again}",
            if matches!(shown, Shown::Amps(_)) { "a current through it" } else { "volts on it" },
            where_read(when),
            volts_shown(shown)
        ));
    }
    let (said, unread, earth) = (said(circuit, clearances), unread_volts(circuit), earth(circuit));
    let free = may_be_read(circuit, said);
    if to_earth {
        let wanted = unread_words(&unread);
        return (!free && !unread.is_empty()).then(|| {
            format!("No ohms of {tag} before its volts: read {wanted} first. Under 1 V, each leg to earth may be read.")
        });
    }
    if earth == Own::Foreign {
        return Some(format!(
            "A leg of {tag} finds earth: no ohms are read. Find the place and clear it, then read each leg to earth again: from 50 kohm or over range, ohms may be read."
        ));
    }
    if free || (unread.is_empty() && earth == Own::Clear) {
        return None;
    }
    let why = match said {
        Said::LeftOut => "the safety entry of its strip leaves it out",
        Said::InDoubt => {
            "the whole text of the job was written anew since the safety entry of its strip, and by that it may be another pair"
        }
        _ => "its strip has no safety entry that covers it",
    };
    let first = if unread.is_empty() {
        String::new()
    } else {
        format!("{} (each under 1 V), then ", unread_words(&unread))
    };
    Some(format!(
        "No ohms of {tag} yet: {why}. Read {first}ohms from each leg to earth (50 kohm or more, or over range); or write the safety entry of the strip once it is true of this pair."
    ))
}
