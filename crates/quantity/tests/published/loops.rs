//! Dividers, parallel and supply checks (`worked-examples.md`, D), and the published bands of two-resistor
//! circuits (`loops.md`, section 2), as far as they are arithmetic of this crate.

use quantity::{Amperes, Interval, Ohms, Ratio, Volts, parse};

use super::close;

/// D1, Lessons in Electric Circuits, DC/divider.sml: 45 V over 5k + 10k + 7.5k: 2 mA; 10, 20, 15 V; at
/// 180 V the first has 40 V.
#[test]
fn three_resistors_in_line() {
    let parts = ["5k", "10k", "7.5k"].map(|text| parse::<Ohms>(text).unwrap());
    let whole: Ohms = parts.into_iter().sum();
    let current = Volts(45.0) / whole;
    close(current.0, 0.002, 1e-15);
    for (part, published) in parts.into_iter().zip([10.0, 20.0, 15.0]) {
        close((current * part).0, published, 1e-12);
    }
    close((Volts(180.0) / whole * parts[0]).0, 40.0, 1e-12);
}

/// D3, sdmmag.com/articles/95557: 120 V over 150 ohm is 0.8 A; 10 A at 4.5 V is 45 W.
/// D4, study notes: 12 V over three 20 ohm in line is 4 V each.
#[test]
fn current_power_and_equal_parts() {
    close((Volts(120.0) / Ohms(150.0)).0, 0.8, 1e-15);
    close((Amperes(10.0) * Volts(4.5)).0, 45.0, 0.0);
    let whole: Ohms = [Ohms(20.0); 3].into_iter().sum();
    close((Volts(12.0) / whole * Ohms(20.0)).0, 4.0, 1e-15);
}

/// `loops.md`, section 2, engineering manual (withheld), in kilohm: the lower limit is 0.8 R, the upper
/// 1.2 (R + A).
#[test]
fn the_published_two_resistor_limits() {
    for (rest, alarm, low, high) in
        [(1.0, 1.0, 0.80, 2.40), (2.2, 2.2, 1.76, 5.28), (4.7, 4.7, 3.76, 11.28), (2.2, 4.7, 1.76, 8.28)]
    {
        let rest = Ohms(rest * 1000.0);
        let tolerance = Ratio(0.2);
        close(Interval::with_tolerance(rest, tolerance).lo().0, low * 1000.0, 5.0);
        let both = rest + Ohms(alarm * 1000.0);
        close(Interval::with_tolerance(both, tolerance).hi().0, high * 1000.0, 5.0);
    }
}
