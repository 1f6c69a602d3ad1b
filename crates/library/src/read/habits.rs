//! Habits files: weights made into shares, everything else with its default.

use document::{Document, Key, Located, Problem, Source, Table, Value};
use quantity::{Interval, Minutes, Ohms, Ratio};

use crate::habits::{BuildingHabits, Habits, PlaceHabits, ReadingHabits, ReadingMinutes, Spread, Wiring};
use crate::keys;

/// A resistor that is looked for lies between these.
const LEAST: Ohms = Ohms(1.0);
const MOST: Ohms = Ohms(10e6);
/// As many values, so that the search over a building's habit stays quick.
const MOST_VALUES: usize = 96;

/// Reads a habits file.
pub(super) fn read(source: &Source) -> Result<Habits, Vec<Problem>> {
    let document = Document::parse(source);
    let habits = habits(&document.root("", keys::HABITS));
    match habits {
        Some(habits) if document.problems().is_empty() => Ok(habits),
        _ => Err(document.into_problems()),
    }
}

fn habits(table: &Table<'_>) -> Option<Habits> {
    let id = super::id(table);
    let basis = table.required("basis").and_then(|value| value.text());
    let wiring = wiring(table);
    let resistor = resistor(table);
    let building = building(table);
    let spread = spread(table);
    let reading = reading(table);
    let place = place(table);
    let minutes = minutes(table);
    let van = table.table("van", keys::VAN).map(|van| carried(&van)).unwrap_or_default();
    Some(Habits {
        id: id?.value,
        basis: basis?.value,
        wiring: wiring?,
        resistor: resistor?,
        building,
        spread,
        reading,
        place,
        minutes,
        van,
    })
}

/// Class = weight.
fn wiring(table: &Table<'_>) -> Option<Vec<(Wiring, f64)>> {
    let classes = table.table("wiring", keys::WIRING);
    if classes.is_none() && !table.has("wiring") {
        let _ = table.required("wiring");
    }
    let classes = classes?;
    let weight = |wiring: Wiring| Some((wiring, classes.number(wiring.word(), 0.0, 1e9)?.value));
    let weights: Vec<(Wiring, f64)> = Wiring::ALL.into_iter().filter_map(weight).collect();
    shares(weights, table, "wiring")
}

/// Value = weight.
fn resistor(table: &Table<'_>) -> Option<Vec<(Ohms, f64)>> {
    let value = table.required("resistor")?;
    let mut weights: Vec<(Ohms, f64)> = Vec::new();
    let mut whole = true;
    for (key, weight) in value.entries()? {
        let (ohms, weight) = (nominal(&key, table), weight.number(0.0, 1e9));
        let (Some(ohms), Some(weight)) = (ohms, weight) else {
            whole = false;
            continue;
        };
        if weights.iter().any(|(other, _)| (other.0 - ohms.0).abs() <= 1e-9 * ohms.0) {
            table.problems().report(key.span, "this value is there twice", "each value once");
            continue;
        }
        weights.push((ohms, weight.value));
    }
    if weights.len() > MOST_VALUES {
        table.problems().report(value.span(), "more values than are looked for", "at most 96 values");
        return None;
    }
    if !whole {
        return None;
    }
    weights.sort_by(|one, other| one.0.0.total_cmp(&other.0.0));
    shares(weights, table, "resistor")
}

fn nominal(key: &Located<String>, table: &Table<'_>) -> Option<Ohms> {
    match quantity::parse::<Ohms>(&key.value) {
        Ok(ohms) if ohms >= LEAST && ohms <= MOST => Some(ohms),
        Ok(_) => {
            table.problems().report(
                key.span.clone(),
                "no end-of-line resistor has this value",
                "1 ohm to 10 Mohm",
            );
            None
        }
        Err(error) => {
            table.problems().report(key.span.clone(), error.text, error.accept);
            None
        }
    }
}

/// Weights as shares of their sum; those of none are left out.
fn shares<T>(weights: Vec<(T, f64)>, table: &Table<'_>, key: Key) -> Option<Vec<(T, f64)>> {
    let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
    if sum > 0.0 {
        return Some(
            weights
                .into_iter()
                .filter(|(_, weight)| *weight > 0.0)
                .map(|(of, weight)| (of, weight / sum))
                .collect(),
        );
    }
    let span = table.key_span(key).unwrap_or_else(|| table.span());
    table.problems().report(span, "no weight is more than 0", "at least one weight of more than 0");
    None
}

fn share(table: &Table<'_>, key: Key, default: f64) -> f64 {
    table.number(key, 0.0, 1.0).map_or(default, |share| share.value)
}

/// A share that must leave something for the rest.
fn part(table: &Table<'_>, key: Key, default: f64) -> f64 {
    table.number(key, 0.0, 0.3).map_or(default, |share| share.value)
}

fn building(table: &Table<'_>) -> BuildingHabits {
    let default = BuildingHabits::default();
    let Some(table) = table.table("building", keys::BUILDING) else { return default };
    BuildingHabits {
        keeps: share(&table, "keeps", default.keeps),
        pair_equal: share(&table, "pair_equal", default.pair_equal),
        later_hand: share(&table, "later_hand", default.later_hand),
        later_share: share(&table, "later_share", default.later_share),
    }
}

fn spread(table: &Table<'_>) -> Spread {
    let default = Spread::default();
    let Some(table) = table.table("spread", keys::SPREAD) else { return default };
    let tolerance = |text: &str| {
        quantity::parse::<Ratio>(text)
            .map_err(|error| document::Misread::from(error.at, error.text, error.accept))
    };
    let resistor = table.read("resistor", "5 %", tolerance).map_or(default.resistor, |ratio| ratio.value);
    if !(0.0005..=0.3).contains(&resistor.0) {
        let span = table.key_span("resistor").unwrap_or_else(|| table.span());
        table.problems().report(span, "no resistor is made like this", "0.05 % to 30 %");
    }
    let cable =
        table.interval_within("cable", Ohms(0.0), Ohms(1000.0)).map_or(default.cable, |cable| cable.value);
    let joints =
        table.quantity_within("joints", Ohms(0.0), Ohms(100.0)).map_or(default.joints, |joints| joints.value);
    let most = Ohms(10_000.0);
    let long_to =
        table.quantity_within("long_to", Ohms(1.0), most).map_or(default.long_to, |ohms| ohms.value);
    Spread {
        resistor,
        cable: Interval::new(cable.lo(), cable.hi()),
        joints,
        long: part(&table, "long", default.long),
        long_to,
        leak: part(&table, "leak", default.leak),
    }
}

fn reading(table: &Table<'_>) -> ReadingHabits {
    let default = ReadingHabits::default();
    let Some(table) = table.table("reading", keys::READING) else { return default };
    ReadingHabits {
        wrong: part(&table, "wrong", default.wrong),
        restless: part(&table, "restless", default.restless),
        worse: part(&table, "worse", default.worse),
        missed: part(&table, "missed", default.missed),
        together: part(&table, "together", default.together),
        tamper: part(&table, "tamper", default.tamper),
        fault: part(&table, "fault", default.fault),
        unfed: part(&table, "unfed", default.unfed),
    }
}

fn place(table: &Table<'_>) -> PlaceHabits {
    let default = PlaceHabits::default();
    let Some(table) = table.table("place", keys::PLACE) else { return default };
    PlaceHabits { near: share(&table, "near", default.near), tapped: share(&table, "tapped", default.tapped) }
}

fn minutes(table: &Table<'_>) -> ReadingMinutes {
    let default = ReadingMinutes::default();
    let Some(table) = table.table("minutes", keys::MINUTES) else { return default };
    let minutes = |key, default: Minutes| {
        table.number(key, 0.05, 10_000.0).map_or(default, |minutes| Minutes(minutes.value))
    };
    ReadingMinutes {
        meter: minutes("meter", default.meter),
        wait: minutes("wait", default.wait),
        trip: minutes("trip", default.trip),
        far: minutes("far", default.far),
        feed: minutes("feed", default.feed),
        second_visit: minutes("second_visit", default.second_visit),
    }
}

fn carried(van: &Table<'_>) -> Vec<Ohms> {
    let read = |value: &Value<'_>| value.quantity_within::<Ohms>(LEAST, MOST).map(|ohms| ohms.value);
    let mut carried: Vec<Ohms> = van.list("carries").iter().filter_map(read).collect();
    carried.sort_by(|one, other| one.0.total_cmp(&other.0));
    carried
}
