//! Which reading is missing before any ohms: the one that a card asks for.

use job::{Circuit, Shown, When};

use super::{Clearance, Spot, clear_legs, earthed, in_the_way, refuses_reading, unread_volts, why_no_ohms};

/// A reading that opens the way to ohms, or shows that it stays shut.
#[derive(Clone, PartialEq, Debug)]
pub enum Wanted {
    /// Volts AC.
    VoltsAc(When),
    /// Volts DC.
    VoltsDc(When),
    /// A current.
    Amps(When),
    /// Ohms of a leg, or of both, to earth.
    Earth(When),
}

impl Wanted {
    /// Where it is read.
    #[must_use]
    pub fn when(&self) -> &When {
        match self {
            Self::VoltsAc(when) | Self::VoltsDc(when) | Self::Amps(when) | Self::Earth(when) => when,
        }
    }

    /// As a sentence asks for it: `volts AC from the first leg to earth`.
    #[must_use]
    pub fn words(&self) -> String {
        let what = match self {
            Self::VoltsAc(_) => "volts AC",
            Self::VoltsDc(_) => "volts DC",
            Self::Amps(_) => "the current",
            Self::Earth(_) => "ohms",
        };
        let place = match self.when() {
            When::EarthA => "from the first leg to earth",
            When::EarthB => "from the second leg to earth",
            When::Earth => "from each leg to earth",
            When::Rest => "of the pair, off its terminals",
            other => return format!("{what}, {}", super::where_read(other)),
        };
        format!("{what} {place}")
    }

    fn volts((spot, alternating): (Spot, bool)) -> Self {
        let when = match spot {
            Spot::Pair => When::Rest,
            Spot::LegA => When::EarthA,
            Spot::LegB => When::EarthB,
        };
        if alternating { Self::VoltsAc(when) } else { Self::VoltsDc(when) }
    }
}

/// The reading to take next of a pair whose ohms may not be read; none where they may.
///
/// What is in the way is looked for again where it was; what was at the old terminals, on the pair and from each leg. Else the
/// first of the volts that nobody has read, the volts AC before all; then the legs.
#[must_use]
pub fn wanted(circuit: &Circuit, clearances: &[Clearance]) -> Option<Wanted> {
    why_no_ohms(circuit, clearances)?;
    if let Some((when, shown)) = in_the_way(circuit) {
        return Some(match shown {
            _ if *when == When::Live => after_live(circuit, shown),
            Shown::VoltsAc(_) => Wanted::VoltsAc(when.clone()),
            Shown::Amps(_) => Wanted::Amps(when.clone()),
            _ => Wanted::VoltsDc(when.clone()),
        });
    }
    let legs = clear_legs(circuit);
    let earth = |legs: [Option<&bool>; 2]| match legs {
        [Some(true), _] => When::EarthB,
        [_, Some(true)] => When::EarthA,
        _ => When::Earth,
    };
    // A leg that found earth is read again as it was read.
    let again = earthed(circuit).map(|(reading, _)| reading.when.clone()).last();
    let to_earth =
        Wanted::Earth(again.unwrap_or_else(|| earth([legs.get(&Spot::LegA), legs.get(&Spot::LegB)])));
    let probe = job::Reading {
        when: to_earth.when().clone(),
        fed: false,
        shown: vec![Shown::Ohms(job::Display::Open)],
        line: 0,
    };
    if refuses_reading(circuit, &probe, clearances).is_none() {
        return Some(to_earth);
    }
    unread_volts(circuit).first().map(|first| Wanted::volts(*first))
}

/// Of what was foreign at the old terminals: the first of pair and legs that was not read since.
fn after_live(circuit: &Circuit, shown: &Shown) -> Wanted {
    let alternating = matches!(shown, Shown::VoltsAc(_));
    let mut since = circuit.newest_of_safety().skip_while(|(reading, value)| {
        reading.when != When::Live || std::mem::discriminant(*value) != std::mem::discriminant(shown)
    });
    since.next();
    let read: Vec<&When> = since
        .filter(|(_, value)| std::mem::discriminant(*value) == std::mem::discriminant(shown))
        .map(|(reading, _)| &reading.when)
        .collect();
    let is_read = |spot: &Spot| match spot {
        Spot::Pair => read.iter().any(|when| when.is_of_pair()),
        Spot::LegA => read.iter().any(|when| matches!(when, When::Earth | When::EarthA)),
        Spot::LegB => read.iter().any(|when| matches!(when, When::Earth | When::EarthB)),
    };
    let left = [Spot::Pair, Spot::LegA, Spot::LegB].into_iter().find(|spot| !is_read(spot));
    Wanted::volts((left.unwrap_or(Spot::Pair), alternating))
}
