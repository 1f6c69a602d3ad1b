//! The readings of a circuit that still count: of each condition and each kind of value the one that came last.

use crate::model::{Circuit, Reading, Shown, When};

impl Circuit {
    /// Volts, and ohms from a leg to earth, that no later reading under the same condition has replaced, in the order of
    /// the file. Whoever has found a foreign supply and switched it off reads again, and the later reading counts.
    pub fn newest_of_safety(&self) -> impl Iterator<Item = (&Reading, &Shown)> {
        let all =
            self.found.iter().flat_map(|reading| reading.shown.iter().map(move |shown| (reading, shown)));
        let places: Vec<(&Reading, &Shown)> =
            all.filter(|(reading, shown)| is_safety(reading, shown)).collect();
        let newest: Vec<(&Reading, &Shown)> = places
            .iter()
            .enumerate()
            .filter(|(at, (reading, shown))| {
                !places[at + 1..]
                    .iter()
                    .any(|(later, value)| later.when == reading.when && same_kind(value, shown))
            })
            .map(|(_, place)| *place)
            .collect();
        newest.into_iter()
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
        Shown::VoltsDc(_) | Shown::VoltsAc(_) => true,
        Shown::Ohms(_) => reading.is_to_earth(),
        Shown::Amps(_) => false,
    }
}

fn same_kind(one: &Shown, other: &Shown) -> bool {
    std::mem::discriminant(one) == std::mem::discriminant(other)
}
