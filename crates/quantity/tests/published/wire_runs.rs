//! Wire resistance and voltage drop: `worked-examples.md`, W1 to W20, as far as they are conductor
//! arithmetic. W2, W3, W9, W16 and W21 to W24 need other constants or other crates.

use quantity::{Amperes, Celsius, Gauge, Metres, Ohms, OhmsPerMetre, Volts, parse};

use super::close;

const FOOT_M: f64 = 0.3048;
const AT_20: Celsius = Celsius(20.0);
const AT_75: Celsius = Celsius(75.0);

fn per_metre(text: &str) -> OhmsPerMetre {
    parse(text).expect("a resistance by length")
}

/// Feet of conductor that have `resistance` in all.
fn feet(resistance: Ohms, by_length: OhmsPerMetre) -> f64 {
    (resistance / by_length).0 / FOOT_M
}

/// W1, electrician2.com/weltrain05/lpage135.html: 16 AWG stranded at 75 °C, 4.99 ohm/kft, 100 ft one way,
/// 4 A, 24 V: 4.0 V. Once with the printed resistance, once with ours (4.981 ohm/kft: 3.985 V).
#[test]
fn a_hundred_feet_of_16_awg_at_four_amperes() {
    let both_ways: Metres = parse("200 ft").unwrap();
    let ours = Gauge::parse("16 AWG stranded").unwrap().per_metre(AT_75).hi();
    for by_length in [per_metre("4.99 ohm/kft"), ours] {
        close((Amperes(4.0) * (by_length * both_ways)).0, 4.0, 0.05);
    }
}

/// W4, Lessons in Electric Circuits, DC/conduct.sml: 15 ohm at 20 °C are 15.909 ohm at 35 °C with 0.004041
/// per kelvin. Ours is 0.00393 (annealed copper instead of the pure element): 15.884 ohm, 0.16 % less.
/// The drop over each wire of the published circuit (14 V, 250 ohm) is 0.79 V with either.
#[test]
fn fifteen_ohms_warmed_by_fifteen_degrees() {
    let gauge = Gauge::parse("18 AWG").unwrap();
    let factor = gauge.per_metre(Celsius(35.0)).lo() / gauge.per_metre(AT_20).lo();
    let warm = Ohms(15.0) * factor;
    close(warm.0, 15.884, 0.000_5);
    close(warm.0, 15.909, 0.002 * 15.909);
    let current = Volts(14.0) / (warm * 2.0 + Ohms(250.0));
    close((current * warm).0, 0.79, 0.005);
    close((current * Ohms(250.0)).0, 12.42, 0.005);
}

/// W5 to W7, control manual (withheld), coated solid: feet of conductor for 100 ohm, for 1 V at 1 A and for
/// 1 V at 0.5 A. Published figures are truncated.
#[test]
fn feet_of_coated_conductor() {
    let coated = ["8.08 ohm/kft", "5.08 ohm/kft", "3.19 ohm/kft", "2.01 ohm/kft"].map(per_metre);
    for (limit, published) in [
        (Ohms(100.0), [12_376.0, 19_685.0, 31_347.0, 49_751.0]),
        (Volts(1.0) / Amperes(1.0), [123.0, 196.0, 313.0, 497.0]),
        (Volts(1.0) / Amperes(0.5), [247.0, 393.0, 626.0, 995.0]),
    ] {
        for (by_length, feet_printed) in coated.into_iter().zip(published) {
            close(feet(limit, by_length), feet_printed + 0.5, 0.5 + 1e-6);
        }
    }
}

/// W8, other control manual (withheld): 100 ohm at 16.2 / 10.2 / 6.4 / 4.1 / 2.6 ohm/kft, truncated. Its
/// wires are 22 to 14 AWG, solid, at 20 °C (the geometry agrees with all five to half the last digit).
#[test]
fn feet_of_conductor_for_a_hundred_ohms() {
    for (text, awg, published) in [
        ("16.2 ohm/kft", "22 AWG", 6_172.0),
        ("10.2 ohm/kft", "20 AWG", 9_803.0),
        ("6.4 ohm/kft", "18 AWG", 15_625.0),
        ("4.1 ohm/kft", "16 AWG", 24_390.0),
        ("2.6 ohm/kft", "14 AWG", 38_461.0),
    ] {
        close(feet(Ohms(100.0), per_metre(text)), published + 0.5, 0.5 + 1e-6);
        let ours = Gauge::parse(awg).unwrap().per_metre(AT_20).lo();
        close(ours.0 * 304.8, per_metre(text).0 * 304.8, 0.1);
    }
}

/// W11 to W15, fire-control manual 2005 (withheld): 3.4 V of drop over a class B pair of uncoated solid wire
/// at 75 °C; feet one way at 12, 14, 16 and 18 AWG. Once with the printed resistances, to the published
/// rounding (some rows rounded, some truncated: one foot); once with our geometry, to 0.2 % more.
#[test]
fn feet_of_pair_for_a_sounder_circuit() {
    let wires = [
        ("12 AWG", "1.93 ohm/kft"),
        ("14 AWG", "3.07 ohm/kft"),
        ("16 AWG", "4.89 ohm/kft"),
        ("18 AWG", "7.77 ohm/kft"),
    ];
    for (amperes, ohms, conductors, published) in [
        (0.25, 13.60, 2.0, [3523.0, 2215.0, 1391.0, 875.0]),
        (1.0, 3.40, 2.0, [881.0, 554.0, 348.0, 219.0]),
        (2.0, 1.70, 2.0, [440.0, 277.0, 174.0, 109.0]),
        (3.0, 1.13, 2.0, [294.0, 185.0, 116.0, 73.0]),
        (0.25, 13.60, 4.0, [1762.0, 1107.0, 695.0, 438.0]),
    ] {
        let limit = Volts(3.4) / Amperes(amperes);
        close(limit.0, ohms, 0.005);
        for ((awg, text), feet_printed) in wires.into_iter().zip(published) {
            close(feet(limit, per_metre(text)) / conductors, feet_printed, 1.0);
            let ours = Gauge::parse(awg).unwrap().per_metre(AT_75).lo();
            close(feet(limit, ours) / conductors, feet_printed, 1.0 + 0.002 * feet_printed);
        }
    }
}

/// W17, firetech.com/my-voltage-drop-problem: 14 AWG solid at 3.07 ohm/kft; 2.55 A over 25 ft, 1.8 A over
/// the next 50 ft, 0.75 A over the last 50 ft: 1.1743 V; all of it at the end of 125 ft: 1.9571 V
/// (computed in `worked-examples.md`).
#[test]
fn point_to_point_and_lump_sum() {
    let by_length = per_metre("3.07 ohm/kft");
    let drop = |amperes: f64, one_way: &str| {
        Amperes(amperes) * (by_length * (parse::<Metres>(one_way).unwrap() * 2.0))
    };
    close((drop(2.55, "25 ft") + drop(1.8, "50 ft") + drop(0.75, "50 ft")).0, 1.1743, 0.000_05);
    close(drop(2.55, "125 ft").0, 1.9571, 0.000_05);
}

/// W18, UK manual table (withheld): 7/0.2 cable, 0.16 ohm/m of loop, 100 m: 0.96, 1.60 and 8.00 V at 60, 100
/// and 500 mA; W19 prints 0.79 V where 0.768 V is right. W20, UK manual (withheld): 0.085 ohm/m of wire,
/// 17 ohm of loop over 100 m. Our range for 0.22 mm2 at 20 °C holds the printed resistances.
#[test]
fn uk_alarm_cable() {
    let range = Gauge::parse("0.22 mm2 stranded").unwrap().per_metre(AT_20);
    let loop_resistance = per_metre("0.16 ohm/m") * Metres(100.0);
    for (milliamperes, published) in [("60 mA", 0.96), ("100 mA", 1.60), ("500 mA", 8.00)] {
        close((parse::<Amperes>(milliamperes).unwrap() * loop_resistance).0, published, 0.005);
    }
    assert!(range.contains(per_metre("0.16 ohm/m") / 2.0));
    close((Amperes(0.08) * (per_metre("0.16 ohm/m") * Metres(60.0))).0, 0.768, 1e-9);
    close((per_metre("0.085 ohm/m") * Metres(200.0)).0, 17.0, 1e-9);
    assert!(range.contains(per_metre("0.085 ohm/m")));
}
