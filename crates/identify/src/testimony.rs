//! What speaks for and against a candidate, reading by reading, in a sentence each.

use job::Display;
use library::Wiring;
use network::Role;
use quantity::{Interval, MeterError, Ohms, Written};

use crate::candidate::Candidate;
use crate::evidence::{Evidence, NONE, SCALES, Setting};
use crate::level::{Level, Parts};
use crate::look::{Asked, Look};
use crate::odd;
use crate::sight::{Said, Sight};
use crate::story::{Fixed, can_hang_open, has_place, outcomes};

/// An outcome of less than this share is not what a wiring usually shows.
const SELDOM: f64 = 0.1;
/// A pair that is no circuit of contacts fits what it shows this often (by decades of ohms).
const ODD_FITS: f64 = 0.02;

/// How a reading agrees with a candidate.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Debug)]
pub enum Agreement {
    /// It cannot be shown.
    No,
    /// It can be shown, but seldom is.
    Seldom,
    /// It is what it shows.
    Yes,
}

/// What one reading says of one candidate.
#[derive(Clone, PartialEq, Debug)]
pub struct Statement {
    /// Condition and display, as `tripped: over range`.
    pub reading: String,
    /// What the candidate would show, as the instrument rounds it.
    pub expected: String,
    /// How the two agree.
    pub agreement: Agreement,
}

/// What every ohms reading of a pair says of a candidate.
#[must_use]
pub fn statements(setting: &Setting, evidence: &Evidence, candidate: &Candidate) -> Vec<Statement> {
    let sights = evidence.looks.sights(&setting.meter, setting.habits.reading.wrong, SCALES[0]);
    let looks = evidence.looks.ohms.iter().zip(&sights).enumerate();
    looks
        .map(|(at, (look, sight))| statement(setting, evidence, &sights, candidate, (at, look, sight)))
        .collect()
}

/// One sentence for and one against a candidate; the second is empty when nothing speaks against it.
#[must_use]
pub fn for_and_against(setting: &Setting, evidence: &Evidence, candidate: &Candidate) -> (String, String) {
    let statements = statements(setting, evidence, candidate);
    let with = |wanted: Agreement| statements.iter().filter(move |one| one.agreement == wanted);
    let fitting: Vec<&str> = with(Agreement::Yes).map(|one| one.reading.as_str()).collect();
    let mut against: Vec<String> =
        with(Agreement::No).map(|one| format!("{}, where it shows {}", one.reading, one.expected)).collect();
    against.extend(with(Agreement::Seldom).map(|one| format!("{}, which it seldom shows", one.reading)));
    if candidate.unfed > 0.5 {
        against.push("it would have to hang open for want of a supply".to_owned());
    }
    let for_it = if fitting.is_empty() {
        "No reading speaks for it.".to_owned()
    } else {
        format!("For it: {}.", fitting.join("; "))
    };
    let against =
        if against.is_empty() { String::new() } else { format!("Against it: {}.", against.join("; ")) };
    (for_it, against)
}

fn statement(
    setting: &Setting,
    evidence: &Evidence,
    sights: &[Sight],
    candidate: &Candidate,
    (at, look, sight): (usize, &Look, &Sight),
) -> Statement {
    let reading = format!("{} {}", condition(look), shown(look.display));
    if odd::is_odd(candidate.wiring) {
        let earlier = (&evidence.looks.ohms[..at], &sights[..at]);
        return Statement { reading, ..odd_statement(candidate.wiring, earlier, look, sight) };
    }
    let mut agreement = Agreement::No;
    let mut expected: Option<(f64, Level)> = None;
    for fixed in every(candidate.wiring, look) {
        for (share, level) in outcomes(candidate.wiring, look, &fixed, at, setting.habits).levels {
            let main = !fixed.unfed && !fixed.near;
            if main && expected.is_none_or(|(most, _)| share > most) {
                expected = Some((share, level));
            }
            let usual = share >= SELDOM && !fixed.unfed;
            let this = if usual { Agreement::Yes } else { Agreement::Seldom };
            if this > agreement && can_show(setting, candidate, level, sight) {
                agreement = this;
            }
        }
    }
    let expected = expected.map_or("anything".to_owned(), |(_, level)| would_show(setting, candidate, level));
    Statement { reading, expected, agreement }
}

/// The readings that a candidate shows under no story of its own: only as a miss, a restless contact, a worse instrument
/// or a wrong reading. One story stands for all readings, the one that leaves the fewest.
pub(crate) fn misfits(setting: &Setting, evidence: &Evidence, candidate: &Candidate) -> Vec<String> {
    if odd::is_odd(candidate.wiring) {
        return Vec::new();
    }
    let sights = evidence.looks.sights(&setting.meter, setting.habits.reading.wrong, SCALES[0]);
    let fails = |fixed: &Fixed| -> Vec<&Look> {
        let looks = evidence.looks.ohms.iter().zip(&sights);
        looks
            .filter(|(look, sight)| !is_own(setting, candidate, (look, sight), fixed))
            .map(|(look, _)| look)
            .collect()
    };
    let is_fed = evidence.looks.ohms.iter().all(|look| look.fed);
    let fewest = ways(candidate.wiring, is_fed).iter().map(fails).min_by_key(Vec::len);
    let named = |look: &Look| format!("{} {}", condition(look), shown(look.display));
    fewest.unwrap_or_default().into_iter().map(named).collect()
}

/// Whether a candidate shows a reading in this story, the contact having done what was asked of it.
fn is_own(setting: &Setting, candidate: &Candidate, (look, sight): (&Look, &Sight), fixed: &Fixed) -> bool {
    // Which contact of a three-resistor detector a trip moved, is free for every trip.
    let moved = if candidate.wiring == Wiring::ThreeResistor { 0..3 } else { 0..1 };
    let mut shows = moved.flat_map(|moved| {
        let levels = outcomes(candidate.wiring, look, &Fixed { moved, ..*fixed }, 0, setting.habits).levels;
        // Of a trip the first is the miss, where there is anything else.
        let missed = usize::from(matches!(look.asked, Asked::Trip { .. }) && levels.len() > 1);
        levels.into_iter().skip(missed)
    });
    shows.any(|(share, level)| share > 0.0 && can_show(setting, candidate, level, sight))
}

/// Every way in which the wiring may be met.
fn every(wiring: Wiring, look: &Look) -> Vec<Fixed> {
    let mut every = ways(wiring, look.fed);
    if wiring == Wiring::ThreeResistor {
        // Which contact a trip moved is not known beforehand.
        for moved in [0b01_0101, 0b10_1010] {
            every.push(Fixed { moved, ..Fixed::default() });
        }
    }
    every
}

/// What holds for all readings alike: place, supply, tap.
fn ways(wiring: Wiring, fed: bool) -> Vec<Fixed> {
    let mut every = vec![Fixed::default()];
    let mut add = |can: bool, change: fn(&mut Fixed)| {
        if can {
            let more: Vec<Fixed> = every
                .iter()
                .map(|fixed| {
                    let mut fixed = *fixed;
                    change(&mut fixed);
                    fixed
                })
                .collect();
            every.extend(more);
        }
    };
    add(has_place(wiring), |fixed| fixed.near = true);
    add(can_hang_open(wiring) && !fed, |fixed| fixed.unfed = true);
    add(wiring == Wiring::TwoEnds, |fixed| fixed.tapped = true);
    every
}

fn parts(setting: &Setting, candidate: &Candidate, high: bool) -> Parts {
    let tolerance = setting.habits.spread.resistor.0;
    let factor = if high { 1.0 + tolerance } else { 1.0 - tolerance };
    let of = |slot: usize| match candidate.values[slot] {
        NONE => 0.0,
        value => setting.values[usize::from(value)] * factor,
    };
    let (lo, hi) = setting.line.ends();
    let (mut r, mut a) = (of(0), of(1));
    match candidate.wiring {
        Wiring::NcDoubled => std::mem::swap(&mut r, &mut a),
        Wiring::NcStepped => a = r,
        _ => {}
    }
    let s = if high { hi } else { lo };
    Parts { s, r, a, t: of(2), leads: setting.line.leads_mean() }
}

fn can_show(setting: &Setting, candidate: &Candidate, level: Level, sight: &Sight) -> bool {
    match (sight.said, level) {
        (Said::Open, Level::Open) => true,
        (Said::Unstable | Said::Open, _) | (Said::Value(_), Level::Open) => false,
        (Said::Value(kernel), level) => {
            let low = level.ohms(&parts(setting, candidate, false));
            let high = level.ohms(&parts(setting, candidate, true));
            high > kernel.shown - kernel.outer && low < kernel.shown + kernel.outer
        }
    }
}

/// What the instrument shows of a level, with a line of usual length.
fn would_show(setting: &Setting, candidate: &Candidate, level: Level) -> String {
    if level == Level::Open {
        return "over range".to_owned();
    }
    let usual = setting.habits.spread.cable.hi().0;
    // The leads are in the line already.
    let meter = MeterError { leads: Ohms(0.0), ..setting.meter };
    let low = level.ohms(&parts(setting, candidate, false));
    let high = level.ohms(&Parts { s: usual, ..parts(setting, candidate, true) });
    meter.shows(Interval::new(Ohms(low), Ohms(high))).shown()
}

fn odd_statement(wiring: Wiring, earlier: (&[Look], &[Sight]), look: &Look, sight: &Sight) -> Statement {
    let likelihood = odd::share_of(wiring, earlier.0, earlier.1, look, sight);
    let agreement = if likelihood >= ODD_FITS { Agreement::Yes } else { Agreement::Seldom };
    Statement { reading: String::new(), expected: odd::usually(wiring).to_owned(), agreement }
}

/// The condition as a person says it.
pub(crate) fn condition(look: &Look) -> String {
    let fed = if look.fed { "fed, " } else { "" };
    let condition = match look.asked {
        Asked::Rest => "at rest",
        Asked::Trip { role: Role::Alarm } => "tripped",
        Asked::Trip { role: Role::Tamper } => "cover open",
        Asked::Trip { role: Role::Fault } => "fault contact moved",
        Asked::Reversed => "leads swapped",
        Asked::Joined => "joined at the far device",
        Asked::Opened => "opened at the far device",
        Asked::After => "after a while",
    };
    format!("{fed}{condition}")
}

/// A display as a person says it.
pub(crate) fn shown(display: Display<Ohms>) -> String {
    match display {
        Display::Value { value, .. } => value.written(),
        Display::Open => "over range".to_owned(),
        Display::Unstable => "restless".to_owned(),
    }
}
