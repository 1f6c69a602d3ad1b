//! What a fault would do: what hides an alarm fault by fault, the others gathered by how they end.

use assess::CircuitResult;
use circuit::{Class, Fault, FaultKind, Study};
use network::{Bounds, Network};
use quantity::{Interval, Ohms};
use serde::Serialize;

use crate::heard::Heard;
use crate::words::reads;

/// One row.
#[derive(Serialize)]
pub struct FaultRow {
    /// What goes wrong, with the sizes that end so.
    pub fault: String,
    /// Empty in a row that gathers several kinds of fault.
    pub places: String,
    /// What the input reads at rest.
    pub rest: String,
    /// What comes of it.
    pub so: &'static str,
    /// The word of its class.
    pub class: &'static str,
}

/// Faults of one kind that end alike.
type Group<'a> = Vec<&'a Fault>;

/// The rows of a circuit's fault table, what hides an alarm first; `heard` is how its alarm is read without a fault.
pub fn fault_rows(result: &CircuitResult, network: &Network, study: &Study, heard: Heard) -> Vec<FaultRow> {
    let mut groups: Vec<Group> = Vec::new();
    for fault in &study.faults {
        let same = |group: &&mut Group| {
            let first = group[0];
            first.kind == fault.kind && first.class == fault.class && first.band == fault.band
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(fault),
            None => groups.push(vec![fault]),
        }
    }
    groups.sort_by_key(|group| (rank(group[0].class), group[0].kind));
    let mut rows: Vec<FaultRow> = Vec::new();
    let mut gathered: Vec<Vec<Group>> = Vec::new();
    for group in groups {
        let (class, band) = (group[0].class, group[0].band);
        if class == Class::SilentDangerous {
            rows.push(one(result, network, study, heard, &group));
            continue;
        }
        let same = |row: &&mut Vec<Group>| row[0][0].class == class && row[0][0].band == band;
        match gathered.iter_mut().find(same) {
            Some(row) => row.push(group),
            None => gathered.push(vec![group]),
        }
    }
    rows.extend(gathered.iter().map(|groups| several(result, network, study, heard, groups)));
    rows
}

fn rank(class: Class) -> u8 {
    match class {
        Class::SilentDangerous => 0,
        Class::TestOnly => 1,
        Class::SilentSafe => 2,
        Class::Announced => 3,
    }
}

/// A row of one kind of fault, with its places.
fn one(result: &CircuitResult, network: &Network, study: &Study, heard: Heard, group: &Group) -> FaultRow {
    FaultRow {
        fault: kind_and_size(group),
        places: place_words(network, group),
        ..ending(result, study, heard, group[0])
    }
}

/// A row of all kinds of fault that end alike.
fn several(
    result: &CircuitResult,
    network: &Network,
    study: &Study,
    heard: Heard,
    groups: &[Group],
) -> FaultRow {
    if let [group] = groups {
        return one(result, network, study, heard, group);
    }
    let kinds: Vec<String> = groups.iter().map(kind_and_size).collect();
    FaultRow { fault: kinds.join("; "), places: String::new(), ..ending(result, study, heard, groups[0][0]) }
}

/// How a fault ends; what it is and where is filled in by the caller.
fn ending(result: &CircuitResult, study: &Study, heard: Heard, fault: &Fault) -> FaultRow {
    FaultRow {
        fault: String::new(),
        places: String::new(),
        rest: reads(result, study, fault.band),
        so: so(fault.class, heard),
        class: fault.class.word(),
    }
}

fn kind_and_size(group: &Group) -> String {
    let kind = kind_words(group[0].kind);
    match group.iter().filter_map(|fault| fault.sizes).reduce(Bounds::hull) {
        Some(sizes) => format!("{kind}, {}", shown(sizes)),
        None => kind.to_owned(),
    }
}

/// The first place, and how many more.
fn place_words(network: &Network, group: &Group) -> String {
    let mut places: Vec<String> = Vec::new();
    for fault in group {
        let words = fault.place.words(network);
        if !places.contains(&words) {
            places.push(words);
        }
    }
    match places.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [first, others @ ..] => format!("{first} and {} more", others.len()),
    }
}

fn shown(bounds: Bounds) -> String {
    if bounds.lo.is_infinite() {
        return "open".to_owned();
    }
    Interval::new(Ohms(bounds.lo), Ohms(bounds.hi)).shown()
}

/// A kind of fault as a heading of its row.
fn kind_words(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::Open => "conductor open",
        FaultKind::Short => "pair shorted",
        FaultKind::Leak => "damp",
        FaultKind::Joint => "bad joint",
        FaultKind::Cross => "core touches another circuit",
        FaultKind::Earth => "earth fault",
        FaultKind::ResistorOpen => "resistor open",
        FaultKind::ResistorShort => "resistor shorted",
        FaultKind::ResistorValue => "another resistor",
        FaultKind::StuckAtRest => "contact stuck at rest",
        FaultKind::StuckActive => "contact stuck active",
        FaultKind::Bridged => "contact bridged",
        FaultKind::LeadOff => "its own lead off",
        FaultKind::HeadRemoved => "head taken out",
        FaultKind::Polarity => "pair the wrong way round",
        FaultKind::SupplyLost => "its supply lost",
    }
}

fn so(class: Class, heard: Heard) -> &'static str {
    match (class, heard) {
        (Class::Announced, _) => "shows",
        (Class::SilentSafe, Heard::Always) => "silent, alarm still works",
        (Class::SilentSafe, _) => "silent, no worse than without it",
        (Class::SilentDangerous, _) => "silent, hides an alarm",
        (Class::TestOnly, _) => "only a test finds it",
    }
}

/// All faults of a circuit counted in a sentence, never as a percentage; `heard` is how its alarm is read without one.
pub fn coverage_words(study: &Study, heard: Heard) -> String {
    let coverage = study.coverage;
    let (beside, silent) = match heard {
        Heard::Always => (String::new(), "are silent and the alarm still works"),
        _ => (format!(", beside {}", heard.beside()), "are silent and no worse than without them"),
    };
    format!(
        "{} single faults{beside}: {} show, {} {silent}, {} are silent and hide an alarm, {} only a test finds.",
        coverage.total(),
        coverage.announced,
        coverage.silent_safe,
        coverage.silent_dangerous,
        coverage.test_only
    )
}
