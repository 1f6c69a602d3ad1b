//! What each wiring shows under each condition: the stories that can stand behind the readings of one circuit.

use library::{Habits, Wiring};
use network::Role;

use crate::level::Level;
use crate::look::{Asked, Look};
use crate::sight::{Kernel, Said, Sight, log_even};

/// An open end that damp makes readable reads from here to where the meter ends, even by logarithm.
const LEAK_FROM: f64 = 100e3;
const LEAK_TO: f64 = 40e6;
/// A two-wire detector read the other way round: its polarity guard and electronics, even by logarithm (from memory).
const DRY_SMOKE: (f64, f64) = (100.0, 50e3);
/// Of trips, those that a three-resistor detector answers with both contacts, as a share of those of the fault.
const BOTH: f64 = 0.5;
/// So many trips of a three-resistor circuit are told apart one by one; of further ones the alarm is taken.
const MOST_TOLD_APART: usize = 3;
/// A cut pair is joined on the near side of its cut as often as beyond it (common practice, no source).
const HALF: f64 = 0.5;

/// One reading under one story: a constant, and levels that it may have been taken at.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Mix {
    /// Density from all that does not depend on the parts.
    pub(crate) base: f64,
    /// Level with its share, where a value was shown.
    pub(crate) terms: Vec<(f64, Level)>,
    /// The curve of the reading; none where no value was shown.
    pub(crate) kernel: Option<Kernel>,
}

/// A story: how likely it is before any reading, and what it makes of every reading.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Story {
    pub(crate) share: f64,
    pub(crate) mixes: Vec<Mix>,
    /// Whether the resistor sits before the far device; none where the story does not say.
    pub(crate) near: Option<bool>,
    /// Whether it hangs open for want of a supply.
    pub(crate) unfed: bool,
    /// Whether it has a T-tap.
    pub(crate) tapped: bool,
}

/// What a story holds fixed.
#[derive(Clone, Copy, Default)]
pub(crate) struct Fixed {
    pub(crate) near: bool,
    pub(crate) unfed: bool,
    pub(crate) tapped: bool,
    /// Which contact of a three-resistor detector each trip moved, two bits a trip.
    pub(crate) moved: u32,
}

/// Where a reading can have been taken, with shares; what is no level comes as a density.
pub(crate) struct Outcomes {
    pub(crate) levels: Vec<(f64, Level)>,
    /// Share and range of what lies even by logarithm.
    pub(crate) spread: Option<(f64, (f64, f64))>,
}

/// Every story of a wiring for these readings.
pub(crate) fn stories(wiring: Wiring, looks: &[Look], sights: &[Sight], habits: &Habits) -> Vec<Story> {
    let trips = looks.iter().filter(|look| matches!(look.asked, Asked::Trip { .. })).count();
    let told = trips.min(MOST_TOLD_APART);
    let far = looks.iter().any(|look| matches!(look.asked, Asked::Joined | Asked::Opened));
    let near = if far && has_place(wiring) { habits.place.near } else { 0.0 };
    let unfed =
        if looks.iter().any(|look| !look.fed) && can_hang_open(wiring) { habits.reading.unfed } else { 0.0 };
    let tapped = if wiring == Wiring::TwoEnds { habits.place.tapped } else { 0.0 };
    let ways = if wiring == Wiring::ThreeResistor { 3_u32.pow(u32::try_from(told).unwrap_or(0)) } else { 1 };
    let mut stories = Vec::new();
    for (is_near, near_share) in both(near) {
        for (is_unfed, unfed_share) in both(unfed) {
            for (is_tapped, tapped_share) in both(tapped) {
                for way in 0..ways {
                    let (moved, way_share) = moved(way, told, looks, habits);
                    let fixed = Fixed { near: is_near, unfed: is_unfed, tapped: is_tapped, moved };
                    let share = near_share * unfed_share * tapped_share * way_share;
                    if share > 0.0 {
                        let mixes = mixes(wiring, looks, sights, &fixed, habits);
                        let near = (far && has_place(wiring)).then_some(is_near);
                        stories.push(Story { share, mixes, near, unfed: is_unfed, tapped: is_tapped });
                    }
                }
            }
        }
    }
    stories
}

/// No and yes with their shares; what has none is left out.
pub(crate) fn both(share: f64) -> impl Iterator<Item = (bool, f64)> {
    [(false, 1.0 - share), (true, share)].into_iter().filter(|(_, share)| *share > 0.0)
}

/// Which contact each trip moved in one of the ways, and the share of that way.
fn moved(way: u32, told: usize, looks: &[Look], habits: &Habits) -> (u32, f64) {
    let mut rest = way;
    let mut share = 1.0;
    let mut moved = 0;
    let trips = looks.iter().filter_map(|look| match look.asked {
        Asked::Trip { role } => Some(role),
        _ => None,
    });
    for (at, role) in trips.take(told).enumerate() {
        let what = rest % 3;
        rest /= 3;
        let fault = habits.reading.fault;
        let shares = match role {
            Role::Alarm => [1.0 - fault, fault * (1.0 - BOTH), fault * BOTH],
            Role::Fault => [0.0, 1.0, 0.0],
            Role::Tamper => [1.0, 0.0, 0.0],
        };
        share *= shares.get(what as usize).copied().unwrap_or(0.0);
        moved |= what << (2 * at);
    }
    (moved, share)
}

fn mixes(wiring: Wiring, looks: &[Look], sights: &[Sight], fixed: &Fixed, habits: &Habits) -> Vec<Mix> {
    let mut trip = 0;
    looks
        .iter()
        .zip(sights)
        .map(|(look, sight)| {
            let outcomes = outcomes(wiring, look, fixed, trip, habits);
            trip += usize::from(matches!(look.asked, Asked::Trip { .. }));
            mix(sight, &outcomes, habits)
        })
        .collect()
}

/// What a sight makes of the levels that it may have been taken at.
fn mix(sight: &Sight, outcomes: &Outcomes, habits: &Habits) -> Mix {
    let (restless, leak) = (habits.reading.restless, habits.spread.leak);
    let steady = sight.sense * (1.0 - restless);
    let mut mix = Mix { base: sight.nonsense, terms: Vec::new(), kernel: None };
    for &(share, level) in &outcomes.levels {
        match (sight.said, level) {
            (Said::Unstable, _) => mix.base += share * sight.sense * restless,
            (Said::Open, Level::Open) => mix.base += share * steady * (1.0 - leak),
            (Said::Open, _) => {}
            (Said::Value(kernel), Level::Open) => {
                mix.base += share * steady * leak * log_even(kernel.shown, (LEAK_FROM, LEAK_TO));
            }
            (Said::Value(kernel), level) => {
                mix.kernel = Some(kernel);
                mix.terms.push((share * steady, level));
            }
        }
    }
    if let Some((share, range)) = outcomes.spread {
        match sight.said {
            Said::Value(kernel) => mix.base += share * steady * log_even(kernel.shown, range),
            Said::Unstable => mix.base += share * sight.sense * restless,
            Said::Open => {}
        }
    }
    mix
}

/// The level at rest.
fn at_rest(wiring: Wiring, fixed: &Fixed) -> Level {
    use Wiring as W;
    match wiring {
        W::NcBare | W::NcStepped | W::ShortedPair => Level::Line,
        W::NoBare | W::OpenPair => Level::Open,
        W::NcDoubled => Level::Across,
        W::TwoEnds if fixed.tapped => Level::Across,
        W::TwoEnds => Level::Ends,
        _ => Level::First,
    }
}

/// The level when a closed circuit hangs open for want of a supply.
fn unfed(wiring: Wiring) -> Level {
    match wiring {
        Wiring::NcTwoResistor => Level::Steps(1),
        Wiring::ThreeResistor => Level::All,
        Wiring::NcStepped => Level::First,
        _ => Level::Open,
    }
}

/// Where a reading can have been taken under a story.
pub(crate) fn outcomes(wiring: Wiring, look: &Look, fixed: &Fixed, trip: usize, habits: &Habits) -> Outcomes {
    let rest = if fixed.unfed && !look.fed { unfed(wiring) } else { at_rest(wiring, fixed) };
    let only = |level: Level| Outcomes { levels: vec![(1.0, level)], spread: None };
    match look.asked {
        Asked::Rest | Asked::After => only(rest),
        Asked::Reversed if wiring == Wiring::SmokeTwoWire => {
            Outcomes { levels: vec![(HALF, rest)], spread: Some((HALF, DRY_SMOKE)) }
        }
        Asked::Reversed => only(rest),
        Asked::Joined => Outcomes { levels: joined(wiring, fixed), spread: None },
        Asked::Opened => Outcomes { levels: opened(wiring, fixed), spread: None },
        Asked::Trip { role } => {
            let moved = (fixed.moved >> (2 * trip.min(MOST_TOLD_APART))) & 3;
            let levels = tripped(wiring, role, rest, moved, fixed, habits);
            Outcomes { levels, spread: None }
        }
    }
}

/// What a trip can lead to.
fn tripped(
    wiring: Wiring,
    role: Role,
    rest: Level,
    moved: u32,
    fixed: &Fixed,
    habits: &Habits,
) -> Vec<(f64, Level)> {
    use Wiring as W;
    let reading = &habits.reading;
    if matches!(wiring, W::OpenPair | W::ShortedPair | W::SmokeTwoWire) {
        return vec![(1.0, rest)];
    }
    let hit = 1.0 - reading.missed;
    let mut levels = vec![(reading.missed, rest)];
    if role == Role::Tamper || (role == Role::Fault && wiring != W::ThreeResistor) {
        levels.push((hit, Level::Open));
        return levels;
    }
    let tamper = if has_tamper(wiring) { reading.tamper } else { 0.0 };
    let alone = hit * (1.0 - tamper);
    if tamper > 0.0 {
        levels.push((hit * tamper, Level::Open));
    }
    let together = reading.together;
    match wiring {
        W::NoBare | W::NoEol => levels.push((alone, Level::Line)),
        W::NcTwoResistor => {
            levels.push((alone * (1.0 - together), Level::Steps(1)));
            levels.push((alone * together, Level::Steps(2)));
        }
        W::NoTwoResistor => levels.push((alone, Level::Across)),
        W::ThreeResistor => {
            let level = [Level::Steps(1), Level::Third, Level::All].get(moved as usize).copied();
            levels.push((alone, level.unwrap_or(Level::Steps(1))));
        }
        W::NcStepped => {
            levels.push((alone * (1.0 - together), Level::First));
            levels.push((alone * together, Level::Steps(1)));
        }
        W::NcDoubled => {
            levels.push((alone * (1.0 - together) / 2.0, Level::First));
            levels.push((alone * (1.0 - together) / 2.0, Level::Second));
            levels.push((alone * together, Level::Open));
        }
        W::TwoEnds if fixed.tapped => {
            // A contact in the trunk, in one branch, or open ones across it, in equal shares.
            levels.extend([Level::Open, Level::First, Level::Line].map(|level| (alone / 3.0, level)));
        }
        W::TwoEnds => levels.push((alone, Level::Near)),
        _ => levels.push((alone, Level::Open)),
    }
    levels
}

/// The pair joined at the far device.
fn joined(wiring: Wiring, fixed: &Fixed) -> Vec<(f64, Level)> {
    use Wiring as W;
    match wiring {
        W::NcEol | W::NcTwoResistor | W::ThreeResistor if fixed.near => vec![(1.0, Level::First)],
        W::OpenPair => vec![(HALF, Level::Line), (HALF, Level::Open)],
        _ => vec![(1.0, Level::Line)],
    }
}

/// The pair opened at the far device.
fn opened(wiring: Wiring, fixed: &Fixed) -> Vec<(f64, Level)> {
    use Wiring as W;
    match wiring {
        W::NoEol | W::NoTwoResistor | W::SmokeTwoWire if fixed.near => vec![(1.0, Level::First)],
        W::TwoEnds if fixed.tapped => vec![(HALF, Level::First), (HALF, Level::Open)],
        W::TwoEnds => vec![(1.0, Level::Near)],
        W::NcDoubled => {
            vec![(HALF, Level::Open), (HALF / 2.0, Level::First), (HALF / 2.0, Level::Second)]
        }
        W::ShortedPair => vec![(HALF, Level::Line), (HALF, Level::Open)],
        _ => vec![(1.0, Level::Open)],
    }
}

/// Whether the place of its resistor is a question.
pub(crate) fn has_place(wiring: Wiring) -> bool {
    use Wiring as W;
    matches!(
        wiring,
        W::NcEol | W::NoEol | W::NcTwoResistor | W::NoTwoResistor | W::ThreeResistor | W::SmokeTwoWire
    )
}

/// Whether a detector without supply holds it open.
pub(crate) fn can_hang_open(wiring: Wiring) -> bool {
    use Wiring as W;
    matches!(wiring, W::NcBare | W::NcEol | W::NcTwoResistor | W::ThreeResistor | W::NcStepped)
}

/// Whether a tamper contact may lie in line with its alarm contacts.
fn has_tamper(wiring: Wiring) -> bool {
    matches!(wiring, Wiring::NcTwoResistor | Wiring::ThreeResistor)
}
