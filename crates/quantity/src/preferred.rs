//! Preferred values: the numbers that resistors are made in (IEC 60063), and those that the trade puts at
//! the end of a line.

use crate::{Interval, Ohms};

/// A series of IEC 60063, by its count of values in a decade.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Series {
    /// 20 %
    E6,
    /// 10 %
    E12,
    /// 5 %
    E24,
    /// 2 %
    E48,
    /// 1 %
    E96,
}

/// IEC 60063:2015, E24 (every second one is E12, every fourth E6): `loops.md`, section 2. Times ten.
const E24: [u16; 24] = [
    100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470, 510, 560, 620, 680,
    750, 820, 910,
];

/// IEC 60063:2015, E12: `loops.md`, section 2. Times ten.
const E12: [u16; 12] = [100, 120, 150, 180, 220, 270, 330, 390, 470, 560, 680, 820];

/// IEC 60063:2015, E6 (from memory; every second value of E12). Times ten.
const E6: [u16; 6] = [100, 150, 220, 330, 470, 680];

/// IEC 60063:2015, E96 (from memory): `10^(i/96)` to three figures, without exception. Times a hundred.
const E96: [u16; 96] = [
    100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150, 154, 158, 162,
    165, 169, 174, 178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255, 261, 267,
    274, 280, 287, 294, 301, 309, 316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442,
    453, 464, 475, 487, 499, 511, 523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665, 681, 698, 715, 732,
    750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976,
];

/// IEC 60063:2015, E48 (from memory): every second value of E96. Times a hundred.
const E48: [u16; 48] = [
    100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205, 215, 226, 237, 249, 261,
    274, 287, 301, 316, 332, 348, 365, 383, 402, 422, 442, 464, 487, 511, 536, 562, 590, 619, 649, 681, 715,
    750, 787, 825, 866, 909, 953,
];

/// The decades that resistors are sold in: 0.1 ohm up to, not including, 100 Mohm (trade catalogues, from memory).
const DECADES: std::ops::RangeInclusive<i32> = -1..=7;

/// What the trade puts at the end of a line, in ohm: `loops.md`, section 2 (both rows of end-of-line values;
/// 3.65k and 3.74k are of E96), with 470 and 680 ohm of smoke circuits and sounder lines (from memory).
const COMMON: [Ohms; 21] = [
    Ohms(470.0),
    Ohms(680.0),
    Ohms(1_000.0),
    Ohms(1_500.0),
    Ohms(2_000.0),
    Ohms(2_200.0),
    Ohms(3_000.0),
    Ohms(3_300.0),
    Ohms(3_650.0),
    Ohms(3_740.0),
    Ohms(3_900.0),
    Ohms(4_700.0),
    Ohms(5_600.0),
    Ohms(6_800.0),
    Ohms(8_200.0),
    Ohms(10_000.0),
    Ohms(12_000.0),
    Ohms(15_000.0),
    Ohms(22_000.0),
    Ohms(33_000.0),
    Ohms(47_000.0),
];

impl Series {
    /// The values of one decade as three digits: 4.7 is 470.
    #[must_use]
    pub fn figures(self) -> &'static [u16] {
        match self {
            Self::E6 => &E6,
            Self::E12 => &E12,
            Self::E24 => &E24,
            Self::E48 => &E48,
            Self::E96 => &E96,
        }
    }
}

/// The values of `series` inside `within`, both ends included, in rising order, from 0.1 ohm to 100 Mohm.
pub fn values(series: Series, within: Interval<Ohms>) -> impl Iterator<Item = Ohms> {
    all(series).filter(move |value| within.contains(*value))
}

/// The value of `series` nearest to `to` by ratio, as tolerances are: 1.34k is nearer to 1.5k than to 1.2k.
///
/// Below 0.1 ohm it is the least value, above 100 Mohm (and for an open circuit) the largest.
#[must_use]
pub fn nearest(series: Series, to: Ohms) -> Ohms {
    let mut below = Ohms(0.1);
    for value in all(series) {
        if value >= to {
            return if to.0 * to.0 < below.0 * value.0 { below } else { value };
        }
        below = value;
    }
    below
}

/// Whether `value` is of `series`, to one part in a thousand million (rounding of sums).
#[must_use]
pub fn is_preferred(series: Series, value: Ohms) -> bool {
    let near = nearest(series, value);
    (value.0 - near.0).abs() <= 1e-9 * near.0
}

/// The end-of-line values that the trade uses, in rising order.
#[must_use]
pub fn common_resistors() -> &'static [Ohms] {
    &COMMON
}

fn all(series: Series) -> impl Iterator<Item = Ohms> {
    DECADES.flat_map(move |decade| series.figures().iter().map(move |figure| in_decade(*figure, decade)))
}

/// `figure / 100 * 10^decade` with one rounding at most: powers of ten up to 1e22 are exact as `f64`.
fn in_decade(figure: u16, decade: i32) -> Ohms {
    let power = decade - 2;
    let size = (0..power.abs()).fold(1.0, |product, _| product * 10.0);
    Ohms(if power < 0 { f64::from(figure) / size } else { f64::from(figure) * size })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const SERIES: [Series; 5] = [Series::E6, Series::E12, Series::E24, Series::E48, Series::E96];

    proptest! {
        #[test]
        fn no_other_value_is_nearer_by_ratio(power in -1.0..8.0_f64, which in 0..5_usize) {
            let (series, to) = (SERIES[which], Ohms(10_f64.powf(power)));
            let distance = |value: Ohms| (value / to).max(to / value);
            let found = nearest(series, to);
            prop_assert!(is_preferred(series, found));
            for other in all(series) {
                prop_assert!(distance(found) <= distance(other) * (1.0 + 1e-12));
            }
        }

        #[test]
        fn the_values_inside_are_all_those_inside(lo in 1.0..1e6_f64, factor in 1.0..100.0_f64) {
            let within = Interval::new(Ohms(lo), Ohms(lo * factor));
            let found: Vec<_> = values(Series::E24, within).collect();
            prop_assert!(found.is_sorted() && found.iter().all(|value| within.contains(*value)));
            prop_assert_eq!(found.len(), all(Series::E24).filter(|value| within.contains(*value)).count());
        }
    }

    #[test]
    fn what_cannot_be_bought_goes_to_the_end_of_the_series() {
        assert_eq!(nearest(Series::E12, Ohms(0.0)), Ohms(0.1));
        assert_eq!(nearest(Series::E12, Ohms(-5.0)), Ohms(0.1));
        assert_eq!(nearest(Series::E12, Ohms::INFINITE), Ohms(82e6));
        assert_eq!(nearest(Series::E12, Ohms(f64::NAN)), Ohms(82e6));
    }
}
