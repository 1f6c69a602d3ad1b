//! Preferred values: IEC 60063:2015, rows E12 and E24 of `loops.md`, section 2.

use quantity::preferred::{Series, common_resistors, is_preferred, nearest, values};
use quantity::{Interval, Ohms, parse};

use super::close;

const E12: [f64; 12] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];
const E24_ADDS: [f64; 12] = [1.1, 1.3, 1.6, 2.0, 2.4, 3.0, 3.6, 4.3, 5.1, 6.2, 7.5, 9.1];

fn decade(series: Series) -> Vec<f64> {
    values(series, Interval::new(Ohms(1.0), Ohms(9.99))).map(|value| value.0).collect()
}

#[test]
fn e12_and_e24_as_printed() {
    let mut e24 = [E12, E24_ADDS].concat();
    e24.sort_by(f64::total_cmp);
    assert_eq!(format!("{:?}", decade(Series::E12)), format!("{E12:?}"));
    assert_eq!(format!("{:?}", decade(Series::E24)), format!("{e24:?}"));
    assert!(!is_preferred(Series::E24, Ohms(4200.0)), "one public page prints 4.2 for 4.3: wrong");
}

/// IEC 60063: each series is every second value of the next finer one, E6 in E12 in E24, and E48 in E96.
#[test]
fn each_series_is_every_second_value_of_the_next() {
    for (coarse, fine) in [(Series::E6, Series::E12), (Series::E12, Series::E24), (Series::E48, Series::E96)]
    {
        let every_second: Vec<_> = fine.figures().iter().step_by(2).copied().collect();
        assert_eq!(coarse.figures(), every_second, "{coarse:?}");
    }
}

/// IEC 60063 (from memory): E48 and E96 are `10^(i/n)` to three figures. The loop is the second method.
#[test]
fn e48_and_e96_by_their_formula() {
    for (series, count) in [(Series::E48, 48), (Series::E96, 96)] {
        let rounded: Vec<_> =
            (0..count).map(|i| (100.0 * 10_f64.powf(f64::from(i) / f64::from(count))).round()).collect();
        let figures: Vec<_> = series.figures().iter().map(|figure| f64::from(*figure)).collect();
        assert_eq!(format!("{figures:?}"), format!("{rounded:?}"));
    }
}

/// `loops.md`, section 2: 3.74k and 3.65k belong to E96 and not to E24.
#[test]
fn the_odd_values_of_the_trade() {
    for odd in [3740.0, 3650.0] {
        assert!(is_preferred(Series::E96, Ohms(odd)) && !is_preferred(Series::E24, Ohms(odd)));
    }
}

/// Decades carry no rounding: what is printed on the bag and what is typed are one value.
#[test]
fn the_decades_are_exact() {
    for (text, series) in
        [("4.7k", Series::E6), ("0.33 ohm", Series::E12), ("9.1M", Series::E24), ("0.102 ohm", Series::E96)]
    {
        let typed: Ohms = parse(text).unwrap();
        assert_eq!(nearest(series, typed), typed, "{text}");
    }
}

/// `loops.md`, section 2, both rows of end-of-line values.
#[test]
fn every_end_of_line_value_of_the_reference_is_in_the_trade_list() {
    let listed = "1k 2k 2.2k 3.3k 3.9k 4.7k 5.6k 10k 12k 15k 22k 33k 47k 1.5k 3k 3.65k 3.74k 6.8k 8.2k";
    for text in listed.split(' ') {
        assert!(common_resistors().contains(&parse(text).unwrap()), "{text}");
    }
    assert!(common_resistors().is_sorted());
    for value in common_resistors() {
        assert!(is_preferred(Series::E24, *value) || is_preferred(Series::E96, *value), "{value:?}");
    }
}

/// Hand-worked: between 1.2k and 1.5k the middle by ratio is sqrt(1.2 * 1.5) = 1.3416k.
#[test]
fn the_nearest_value_goes_by_ratio() {
    assert_eq!(nearest(Series::E12, Ohms(1341.0)), Ohms(1200.0));
    assert_eq!(nearest(Series::E12, Ohms(1342.0)), Ohms(1500.0));
    close(nearest(Series::E24, Ohms(9500.0)).0, 9100.0, 0.0);
}
