//! The readings of a circuit that still count: of each condition and each kind of value the one that came last.

use quantity::{Amperes, Volts};

use crate::model::{Circuit, Display, Reading, Shown, When};

/// Volts from which an ohms reading says nothing (common practice, no source).
pub const FOREIGN_VOLTS: Volts = Volts(1.0);
/// More DC than this at the terminals of a working board is not its own: the upper end of what 24 V appliance circuits may
/// give (16 to 33 V, UL 1971 and UL 464 as manuals quote them). Old intrusion boards give 12 to 14 V or less.
pub const BOARD_VOLTS: Volts = Volts(33.0);
/// Current through a pair off its terminals from which something feeds it; below, a meter's own unrest (common practice, no source).
pub const FOREIGN_AMPS: Amperes = Amperes(100e-6);

impl Circuit {
    /// Volts and current, and ohms from a leg to earth, that no later reading under the same condition has replaced, in the order of
    /// the file. Whoever has found a foreign supply and switched it off reads again, and the later reading counts; what was
    /// at the old terminals is gone when the pair and each leg say so later.
    pub fn newest_of_safety(&self) -> impl Iterator<Item = (&Reading, &Shown)> {
        let all =
            self.found.iter().flat_map(|reading| reading.shown.iter().map(move |shown| (reading, shown)));
        let places: Vec<(&Reading, &Shown)> =
            all.filter(|(reading, shown)| is_safety(reading, shown)).collect();
        let newest: Vec<(&Reading, &Shown)> = places
            .iter()
            .enumerate()
            .filter(|(at, (reading, shown))| {
                !places[at + 1..].iter().any(|(later, value)| {
                    later.when == reading.when && replaces((later, value), (reading, shown))
                })
            })
            .map(|(_, place)| *place)
            .collect();
        let stands = |(at, (reading, shown)): &(usize, &(&Reading, &Shown))| {
            !(is_foreign_live(reading, shown) && is_looked_for(shown, &newest[at + 1..]))
        };
        let standing: Vec<(&Reading, &Shown)> =
            newest.iter().enumerate().filter(stands).map(|(_, place)| *place).collect();
        standing.into_iter()
    }

    /// Volts at the old terminals that no working board explains, and that nobody has looked for since; in the order of the file.
    #[must_use]
    pub fn foreign_live(&self) -> Vec<(&Reading, &Shown)> {
        self.newest_of_safety().filter(|(reading, shown)| is_foreign_live(reading, shown)).collect()
    }
}

/// Whether no working board explains these volts at the old terminals: alternating ones, or more than a board has.
fn is_foreign_live(reading: &Reading, shown: &Shown) -> bool {
    reading.when == When::Live
        && match shown {
            Shown::VoltsAc(Display::Value { value, .. }) => value.0.abs() >= FOREIGN_VOLTS.0,
            Shown::VoltsAc(_) => true,
            Shown::VoltsDc(Display::Value { value, .. }) => value.0.abs() > BOARD_VOLTS.0,
            _ => false,
        }
}

/// Whether the pair off its terminals and each leg to earth were read since in the same kind of volts: both conductors on one
/// phase show nothing between them.
fn is_looked_for(shown: &Shown, since: &[(&Reading, &Shown)]) -> bool {
    let later = |wanted: &dyn Fn(&When) -> bool| {
        since.iter().any(|(later, value)| wanted(&later.when) && same_kind(value, shown))
    };
    let leg = |own: &When| later(&|when| matches!(when, When::Earth) || when == own);
    later(&When::is_of_pair) && leg(&When::EarthA) && leg(&When::EarthB)
}

impl When {
    /// Whether it is read between the two conductors of the pair, off its terminals.
    #[must_use]
    pub fn is_of_pair(&self) -> bool {
        match self {
            Self::Rest
            | Self::Tripped
            | Self::Device(_)
            | Self::Reversed
            | Self::Joined
            | Self::Opened
            | Self::After(_) => true,
            Self::Earth | Self::EarthA | Self::EarthB | Self::Core(_) | Self::Live => false,
        }
    }
}

/// Whether something feeds the pair, as a current through it says: off its terminals, and with no supply of its detectors on.
#[must_use]
pub fn is_foreign_current(reading: &Reading, shown: &Shown) -> bool {
    let off = reading.when != When::Live && !reading.fed;
    match shown {
        Shown::Amps(Display::Value { value, .. }) => off && value.0.abs() >= FOREIGN_AMPS.0,
        Shown::Amps(_) => off,
        _ => false,
    }
}

impl Reading {
    /// Whether it was taken from a leg to earth.
    #[must_use]
    pub fn is_to_earth(&self) -> bool {
        matches!(self.when, When::Earth | When::EarthA | When::EarthB)
    }
}

fn is_safety(reading: &Reading, shown: &Shown) -> bool {
    match shown {
        Shown::VoltsDc(_) | Shown::VoltsAc(_) | Shown::Amps(_) => true,
        Shown::Ohms(_) => reading.is_to_earth(),
    }
}

/// Whether a later value tells what became of an earlier one. What a supply drives through its detectors says nothing of a current
/// that flowed without it.
fn replaces((later, value): (&Reading, &Shown), (earlier, shown): (&Reading, &Shown)) -> bool {
    same_kind(value, shown) && (!matches!(shown, Shown::Amps(_)) || later.fed == earlier.fed)
}

fn same_kind(one: &Shown, other: &Shown) -> bool {
    std::mem::discriminant(one) == std::mem::discriminant(other)
}
