//! Pairs that are no circuit of contacts: what they show is no sum of parts, so it has a law of its own.
//!
//! Every share and range in here is from memory, after the rows of public trade pages on what a meter shows of
//! sounders, supplies, data buses, coils, windings and capacitors.

use library::Wiring;

use crate::look::{Asked, Look};
use crate::sight::{Said, Sight, log_even};

/// How a display is spread: over range, restless, and ranges even by logarithm, as shares that sum to 1.
#[derive(Clone, Copy)]
struct Law {
    open: f64,
    restless: f64,
    ranges: &'static [(f64, (f64, f64))],
}

/// One way such a pair behaves.
struct Manner {
    share: f64,
    forward: Law,
    reversed: Law,
    /// After a minute.
    later: Law,
    /// Whether readings of the same kind agree with the first of them.
    steady: bool,
    /// Whether the direction of the leads makes no difference.
    two_way: bool,
}

/// Readings of one thing agree so often.
const AGREE: f64 = 0.95;

const ANYTHING: Law = Law { open: 0.25, restless: 0.15, ranges: &[(0.6, (0.5, 40e6))] };
const SUPPLY: Law = Law { open: 0.15, restless: 0.45, ranges: &[(0.4, (50.0, 20e3))] };
const DATA: Law = Law { open: 0.1, restless: 0.75, ranges: &[(0.15, (100.0, 100e3))] };
const SOUNDER_END: Law = Law { open: 0.2, restless: 0.02, ranges: &[(0.78, (1e3, 15e3))] };
const SOUNDER_LOAD: Law =
    Law { open: 0.15, restless: 0.1, ranges: &[(0.4, (3.0, 200.0)), (0.35, (200.0, 5e3))] };
const SOUNDER_BLOCKS: Law = Law { open: 0.97, restless: 0.02, ranges: &[(0.01, (1e3, 40e6))] };
/// Loudspeakers of 4 to 16 ohm, then windings and coils of any kind.
const COIL: Law = Law { open: 0.0, restless: 0.02, ranges: &[(0.5, (3.0, 16.0)), (0.48, (0.5, 1.5e3))] };
const RISING: Law = Law { open: 0.15, restless: 0.65, ranges: &[(0.2, (1.0, 1e6))] };
const RISEN: Law = Law { open: 0.95, restless: 0.02, ranges: &[(0.03, (1e3, 40e6))] };

fn manners(wiring: Wiring) -> Vec<Manner> {
    let manner = |share, forward, reversed, steady| Manner {
        share,
        forward,
        reversed,
        later: forward,
        steady,
        two_way: false,
    };
    match wiring {
        Wiring::SupplyPair => vec![manner(0.5, SUPPLY, SUPPLY, true), manner(0.5, SUPPLY, SUPPLY, false)],
        Wiring::DataPair => vec![manner(1.0, DATA, DATA, false)],
        Wiring::Sounder => vec![
            manner(0.4, SOUNDER_END, SOUNDER_LOAD, true),
            manner(0.3, SOUNDER_LOAD, SOUNDER_END, true),
            manner(0.15, SOUNDER_BLOCKS, SOUNDER_LOAD, true),
            manner(0.15, SOUNDER_LOAD, SOUNDER_BLOCKS, true),
        ],
        _ => vec![
            manner(0.3, ANYTHING, ANYTHING, false),
            Manner { two_way: true, ..manner(0.4, COIL, COIL, true) },
            Manner { later: RISEN, ..manner(0.3, RISING, RISING, false) },
        ],
    }
}

/// Whether a wiring is one of those in here.
pub(crate) fn is_odd(wiring: Wiring) -> bool {
    matches!(wiring, Wiring::SupplyPair | Wiring::DataPair | Wiring::Sounder | Wiring::UnlikeAny)
}

/// The likelihood of all readings.
pub(crate) fn likelihood(wiring: Wiring, looks: &[Look], sights: &[Sight]) -> f64 {
    manners(wiring).iter().map(|manner| manner.share * of_manner(manner, looks, sights)).sum()
}

fn of_manner(manner: &Manner, looks: &[Look], sights: &[Sight]) -> f64 {
    let mut firsts: [Option<&Sight>; 3] = [None; 3];
    let mut likelihood = 1.0;
    for (look, sight) in looks.iter().zip(sights) {
        let (group, law) = match look.asked {
            Asked::Reversed if !manner.two_way => (1, manner.reversed),
            Asked::After => (2, manner.later),
            Asked::Joined | Asked::Opened => {
                likelihood *= sight.nonsense + sight.sense * density(&ANYTHING, sight);
                continue;
            }
            _ => (0, manner.forward),
        };
        // Without a law of its own, after a minute it is as before.
        let group = if group == 2 && manner.steady { 0 } else { group };
        let alone = density(&law, sight);
        let fit = match firsts[group] {
            Some(first) if manner.steady => AGREE * agreement(first, sight) + (1.0 - AGREE) * alone,
            _ => alone,
        };
        firsts[group] = firsts[group].or(Some(sight));
        likelihood *= sight.nonsense + sight.sense * fit;
    }
    likelihood
}

fn density(law: &Law, sight: &Sight) -> f64 {
    match sight.said {
        Said::Open => law.open,
        Said::Unstable => law.restless,
        Said::Value(kernel) => {
            law.ranges.iter().map(|(share, range)| share * log_even(kernel.shown, *range)).sum()
        }
    }
}

/// How likely a reading is when it is of the same thing as an earlier one.
fn agreement(first: &Sight, other: &Sight) -> f64 {
    agreement_of(first.said, other.said)
}

fn agreement_of(first: Said, other: Said) -> f64 {
    match (first, other) {
        (Said::Open, Said::Open) | (Said::Unstable, Said::Unstable) => 1.0,
        (Said::Value(one), Said::Value(other)) => {
            let reach = one.outer + other.outer;
            if (one.shown - other.shown).abs() <= reach { 0.5 / reach } else { 0.0 }
        }
        _ => 0.0,
    }
}

/// How well a reading fits what such a pair shows, given the earlier ones: a share for over range and restless, a
/// share by natural logarithm of ohms for a value.
pub(crate) fn share_of(wiring: Wiring, looks: &[Look], sights: &[Sight], look: &Look, sight: &Sight) -> f64 {
    expected(wiring, looks, sights, &look.asked)
        .iter()
        .map(|expected| {
            let law = Law { open: expected.open, restless: expected.restless, ranges: expected.ranges };
            let ohms = sight.value().unwrap_or(1.0);
            let fresh = (1.0 - expected.again) * density(&law, sight) * ohms;
            let again = expected.shown.map_or(0.0, |shown| {
                if agreement_of(shown, sight.said) > 0.0 { expected.again } else { 0.0 }
            });
            expected.share * (fresh + again)
        })
        .sum()
}

/// What such a pair usually shows.
pub(crate) fn usually(wiring: Wiring) -> &'static str {
    match wiring {
        Wiring::SupplyPair => "a restless 50 ohm to 20 kohm, or volts",
        Wiring::DataPair => "nothing that stands still",
        Wiring::Sounder => "a resistor one way and a low load the other way",
        _ => "anything",
    }
}

/// What a reading is expected to show: shares of over range, of restless, of ranges even by logarithm, and of what an
/// earlier reading showed.
pub(crate) struct Expected {
    pub(crate) share: f64,
    pub(crate) open: f64,
    pub(crate) restless: f64,
    pub(crate) ranges: &'static [(f64, (f64, f64))],
    /// Share that agrees with an earlier reading, and what that showed.
    pub(crate) again: f64,
    pub(crate) shown: Option<Said>,
}

/// What such a pair is expected to show next, by each manner, likelier ones by the readings so far.
pub(crate) fn expected(wiring: Wiring, looks: &[Look], sights: &[Sight], asked: &Asked) -> Vec<Expected> {
    let manners = manners(wiring);
    let weights: Vec<f64> =
        manners.iter().map(|manner| manner.share * of_manner(manner, looks, sights)).collect();
    let sum: f64 = weights.iter().sum();
    let of = |(manner, weight): (&Manner, &f64)| {
        let backwards = *asked == Asked::Reversed && !manner.two_way;
        let law = match asked {
            Asked::Reversed if !manner.two_way => manner.reversed,
            Asked::After => manner.later,
            Asked::Joined | Asked::Opened => ANYTHING,
            _ => manner.forward,
        };
        let same = |look: &Look| {
            let other = look.asked == Asked::Reversed && !manner.two_way;
            other == backwards && !matches!(look.asked, Asked::Joined | Asked::Opened)
        };
        let earlier = looks.iter().zip(sights).find(|(look, _)| same(look)).map(|(_, sight)| sight.said);
        let shown = earlier.filter(|_| manner.steady && !matches!(asked, Asked::Joined | Asked::Opened));
        let again = if shown.is_some() { AGREE } else { 0.0 };
        let Law { open, restless, ranges } = law;
        Expected { share: weight / sum, open, restless, ranges, again, shown }
    };
    if sum > 0.0 { manners.iter().zip(&weights).map(of).collect() } else { Vec::new() }
}

/// The likelihood of volts on a pair that was lifted: of nothing to speak of, of a bus's, of a supply's, of more.
pub(crate) fn of_volts(wiring: Wiring, dc: Option<f64>, ac: Option<f64>, restless: bool) -> f64 {
    let (direct, restless_share, alternating) = volts_shares(wiring);
    let class = |volts: f64| [1.0, 10.0, 30.0].into_iter().filter(|edge| volts > *edge).count();
    let of = |shares: &[f64; 4], volts: Option<f64>| volts.map_or(1.0, |volts| shares[class(volts)]);
    of(&direct, dc) * of(&alternating, ac) * if restless { restless_share } else { 1.0 }
}

/// Shares of DC volts by class, of restless ones, and of AC volts by class.
pub(crate) fn volts_shares(wiring: Wiring) -> ([f64; 4], f64, [f64; 4]) {
    // Shares of up to 1, 10, 30 volts and above; restless (from memory).
    let (direct, restless_share): ([f64; 4], f64) = match wiring {
        Wiring::SupplyPair => ([0.4, 0.04, 0.54, 0.02], 0.05),
        Wiring::DataPair => ([0.25, 0.65, 0.08, 0.02], 0.6),
        Wiring::Sounder => ([0.85, 0.03, 0.11, 0.01], 0.01),
        Wiring::UnlikeAny => ([0.6, 0.1, 0.2, 0.1], 0.1),
        _ => ([0.985, 0.008, 0.006, 0.001], 0.005),
    };
    let alternating: [f64; 4] = match wiring {
        Wiring::SupplyPair => [0.8, 0.03, 0.15, 0.02],
        Wiring::UnlikeAny => [0.5, 0.1, 0.3, 0.1],
        _ => [0.97, 0.02, 0.005, 0.005],
    };
    (direct, restless_share, alternating)
}
