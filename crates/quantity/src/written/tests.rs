//! Reading and printing: what is taken, what is refused and how, and that one undoes the other.

use proptest::prelude::*;

use super::*;
use crate::{
    AmpereHours, Amperes, Celsius, Farads, Gauge, Hours, Interval, Metres, Minutes, Ohms, OhmsPerMetre,
    Ratio, Seconds, SquareMillimetres, Volts, Watts,
};

fn check<Q: Written>(text: &str, value: f64) {
    assert_eq!(parse::<Q>(text), Ok(Q::of(value)), "{text}");
}

#[test]
fn resistances_as_people_write_them() {
    for text in [
        "4.7k",
        "4k7",
        "4.7 k",
        "4K7",
        "4.7kohm",
        "4.7 kohm",
        "4.7 k\u{3a9}",
        "4.7k\u{2126}",
        "4k7 ohm",
        "4k70",
        " 4700 ohm ",
        "4700R",
        "4700 \u{3a9}",
        "4700\u{2126}",
        "4.7e3 ohm",
        "0.0047M",
        "+4.7k",
        "4.70\u{2009}k\u{3a9}",
    ] {
        check::<Ohms>(text, 4700.0);
    }
    for (text, value) in [
        ("470 ohm", 470.0),
        ("470R", 470.0),
        ("4R7", 4.7),
        ("0R22", 0.22),
        ("1M", 1e6),
        ("1M5", 1.5e6),
        ("1 Mohm", 1e6),
        ("0 ohm", 0.0),
        (".5 ohm", 0.5),
        ("2.2G", 2.2e9),
        ("470\nohm", 470.0),
    ] {
        check::<Ohms>(text, value);
    }
}

#[test]
fn the_other_quantities_as_people_write_them() {
    check::<Metres>("38 m", 38.0);
    check::<Metres>("38m", 38.0);
    check::<Metres>("125 ft", 38.1);
    check::<Metres>("3 in", 0.0762);
    check::<Metres>("40 cm", 0.4);
    check::<Metres>("250 mm", 0.25);
    check::<Metres>("1.2 km", 1200.0);
    check::<Amperes>("350 mA", 0.35);
    check::<Amperes>("2 A", 2.0);
    for micro in ["50 uA", "50 \u{b5}A", "50\u{3bc}A"] {
        check::<Amperes>(micro, 5e-5);
    }
    check::<AmpereHours>("7 Ah", 7.0);
    check::<AmpereHours>("800 mAh", 0.8);
    check::<Watts>("2.4 W", 2.4);
    check::<Watts>("300mW", 0.3);
    check::<Volts>("12 V", 12.0);
    check::<Volts>("-13.8V", -13.8);
    check::<Volts>("500 mV", 0.5);
    check::<Celsius>("-10 C", -10.0);
    check::<Celsius>("\u{2212}10\u{2009}\u{b0}C", -10.0);
    check::<Celsius>("50 F", 10.0);
    check::<Celsius>("104\u{b0}F", 40.0);
    check::<Ratio>("5 %", 0.05);
    check::<Ratio>("0.9%", 0.009);
    check::<Ratio>("100 %", 1.0);
    check::<Seconds>("500 ms", 0.5);
    check::<Seconds>("2 s", 2.0);
    check::<Seconds>("5 min", 300.0);
    check::<Minutes>("5 min", 5.0);
    check::<Minutes>("1 h", 60.0);
    check::<Minutes>("30 s", 0.5);
    check::<Hours>("24 h", 24.0);
    check::<Hours>("90 min", 1.5);
    check::<Farads>("47uF", 47e-6);
    check::<Farads>("47 \u{b5}F", 47e-6);
    check::<Farads>("100 nF", 100e-9);
    check::<Farads>("33pF", 33e-12);
    check::<SquareMillimetres>("0.5 mm2", 0.5);
    check::<SquareMillimetres>("0.5mm\u{b2}", 0.5);
    check::<SquareMillimetres>("0.5 mm^2", 0.5);
    check::<OhmsPerMetre>("52.9 ohm/km", 0.0529);
}

fn refused<Q: Written>(text: &str, at: usize, says: &str, accepts: &str) {
    let error = parse::<Q>(text).unwrap_err();
    assert_eq!(error.at, at, "{text}: {error}");
    assert!(error.text.contains(says), "{text}: {error}");
    assert!(error.accept.contains(accepts), "{text}: {error}");
}

#[test]
fn each_slip_has_its_own_error() {
    refused::<Ohms>("470", 0, "the unit of `470` is missing", "`470 ohm`");
    refused::<Ohms>("  470 ", 2, "the unit of `470` is missing", "`470 ohm`");
    refused::<Ohms>("470 - nc:a", 0, "unit of `470` is missing", "`470 ohm`");
    refused::<Ohms>("1 000 ohm", 0, "unit of `1` is missing", "`4.7k`");
    refused::<Ohms>("4,7k", 0, "the decimal sign is a point", "`4.7k`");
    refused::<Ohms>("4.7k1%", 0, "runs into its tolerance", "`4.7k 1 %`");
    refused::<Ohms>("4k71%", 0, "runs into its tolerance", "`4.7k 1 %`");
    refused::<Ohms>("4.7q", 3, "`q` is no unit of a resistance", "`4.7k`");
    refused::<Ohms>("4.7 KOHM", 4, "capitals matter", "`4.7k`");
    refused::<Ohms>("10 mohm", 3, "capitals matter", "a thousandth of an ohm as `0.001 ohm`");
    refused::<Ohms>("10m", 2, "capitals matter", "a million ohm");
    refused::<Ohms>("4.7k spare", 5, "`spare` after a resistance is not understood", "`4.7k`");
    refused::<Ohms>("4k7k", 1, "`k7k` is no unit", "`4k7`");
    refused::<Ohms>("4.7k7", 3, "`k7` is no unit", "`4k7`");
    refused::<Ohms>("-5 ohm", 0, "`-5 ohm` is negative", "from 0 to 1000 Gohm");
    refused::<Ohms>("1e400 ohm", 0, "`1e400 ohm` is above 1000 Gohm", "from 0 to 1000 Gohm");
    refused::<Ohms>("1e99999999999999999999 ohm", 0, "is above 1000 Gohm", "from 0");
    refused::<Ohms>("nan ohm", 0, "`nan` does not start with a number", "`4.7k`");
    refused::<Ohms>("inf", 0, "`inf` does not start with a number", "`4.7k`");
    refused::<Ohms>("", 0, "a resistance is wanted here", "`4.7k`");
    refused::<Ohms>("\u{3a9}", 0, "does not start with a number", "`4.7k`");
    refused::<Celsius>("-274 C", 0, "below -273.15 C", "`-10 C`");
    refused::<Celsius>("-500 F", 0, "below -273.15 C", "`-10 C`");
    refused::<Celsius>("20 c", 3, "capitals matter: `C`", "`-10 C`");
    refused::<Ratio>("-5 %", 0, "is negative", "from 0 to 100 %");
    refused::<Ratio>("101 %", 0, "above 100 %", "from 0 to 100 %");
    refused::<Ratio>("0.05", 0, "unit of `0.05` is missing", "`5 %`");
    refused::<Metres>("12 mm2", 3, "`mm2` is no unit of a length", "`38 m`");
    refused::<Metres>("38 ohm", 3, "`ohm` is no unit of a length", "`125 ft`");
    refused::<Amperes>("-5 mA", 0, "is negative; a current is not", "`350 mA`");
}

#[test]
fn a_long_wrong_text_is_clipped_in_its_error() {
    let error = parse::<Ohms>(&format!("1 {}", "\u{3b1}".repeat(100_000))).unwrap_err();
    assert!(error.to_string().len() < 300, "{}", error.to_string().len());
    let digits = format!("{}{}", "9".repeat(100_000), " ohm");
    assert!(parse::<Ohms>(&digits).unwrap_err().to_string().len() < 300);
}

#[test]
fn ranges_as_people_write_them() {
    let check = |text: &str, lo: f64, hi: f64| {
        assert_eq!(parse_interval::<Metres>(text), Ok(Interval::new(Metres(lo), Metres(hi))), "{text}");
    };
    check("10 m to 60 m", 10.0, 60.0);
    check("10 to 60 m", 10.0, 60.0);
    check("10m to 60m", 10.0, 60.0);
    check("100 ft to 61 m", 30.48, 61.0);
    check("38 m to 38 m", 38.0, 38.0);
    check("38 m", 38.0, 38.0);
    let celsius = parse_interval::<Celsius>("-10 to 40 C").unwrap();
    assert_eq!((celsius.lo(), celsius.hi()), (Celsius(-10.0), Celsius(40.0)));
    let volts = parse_interval::<Volts>("5 V 2 %").unwrap();
    assert_eq!(volts, Interval::with_tolerance(Volts(5.0), Ratio(0.02)));
    assert_eq!(parse_interval::<Volts>("5 V \u{b1}2%"), Ok(volts));
    let ohms = parse_interval::<Ohms>("2.09k to 2.31k").unwrap();
    assert_eq!((ohms.lo(), ohms.hi()), (Ohms(2090.0), Ohms(2310.0)));
}

#[test]
fn ranges_that_are_refused() {
    fn check<Q: Written>(text: &str, at: usize, says: &str) {
        let error = parse_interval::<Q>(text).unwrap_err();
        assert_eq!(error.at, at, "{text}: {error}");
        assert!(error.text.contains(says) && !error.accept.is_empty(), "{text}: {error}");
    }
    check::<Metres>("60 m to 10 m", 0, "are reversed");
    check::<Metres>("10 to 60", 6, "the unit of `60` is missing");
    check::<Metres>("10 m to", 5, "`to` after a length is not understood");
    check::<Metres>("to 60 m", 0, "`to` does not start with a number");
    check::<Metres>("10 m to 60 m to 90 m", 13, "`to 90 m` after a length");
    check::<Metres>("-10 to 60 m", 0, "is negative");
    check::<Metres>("10 m to 60 q", 11, "`q` is no unit");
    check::<Metres>("4,5 to 60 m", 0, "the decimal sign is a point");
    check::<Ohms>("1 to 4k7", 0, "the unit of `1` is missing");
    check::<Ohms>("4.7k 101 %", 5, "above 100 %");
    check::<Ohms>("4.7k -1 %", 5, "is negative");
    check::<Ohms>("4.7k 1", 5, "the unit of `1` is missing");
    check::<Ohms>("4.7k1%", 0, "runs into its tolerance");
    check::<Celsius>("20 C 5 %", 5, "takes no tolerance");
}

#[test]
fn a_prefix_takes_the_longest_unit_and_no_more() {
    let check = |text: &str, value: f64, len: usize| {
        assert_eq!(parse_prefix::<Ohms>(text), Ok((Ohms(value), len)), "{text}");
    };
    check("4k7-nc:a", 4700.0, 3);
    check("4.7k 1% | 10k", 4700.0, 4);
    check("470 ohm - 1k", 470.0, 7);
    check("470kohm|x", 470_000.0, 7);
    check("1M5)", 1.5e6, 3);
    check("10k^ - nc:a", 10_000.0, 3);
    assert_eq!(parse_prefix::<Metres>("38m@22AWG"), Ok((Metres(38.0), 3)));
    assert_eq!(parse_prefix::<Metres>("25 m of 18 AWG"), Ok((Metres(25.0), 4)));
    assert_eq!(parse_prefix::<Ratio>("42 % of source"), Ok((Ratio(0.42), 4)));
    assert!(parse_prefix::<Ohms>("4.7k_a").is_err());
}

#[test]
fn a_span_of_the_notation() {
    let check = |text: &str, lo: f64, hi: f64, len: usize| {
        let span = Interval::new(Metres(lo), Metres(hi));
        assert_eq!(parse_span_prefix::<Metres>(text), Ok((span, len)), "{text}");
    };
    check("10..60m@22AWG", 10.0, 60.0, 7);
    check("10m..60m - 1k", 10.0, 60.0, 8);
    check("10.5 .. 60.5 m", 10.5, 60.5, 14);
    check("38m - nc:a", 38.0, 38.0, 3);
    assert_eq!(parse_span_prefix::<Metres>("60..10m").unwrap_err().at, 0);
    assert_eq!(parse_span_prefix::<Metres>("10..60").unwrap_err().at, 4);
    assert_eq!(parse_span_prefix::<Metres>("10..").unwrap_err().at, 4);
}

#[test]
fn the_last_digit_as_typed() {
    for (text, digit) in
        [("2.21k", 10.0), ("2.210k", 1.0), ("4k7", 100.0), ("470 ohm", 1.0), ("0.3 ohm", 0.1), ("1M", 1e6)]
    {
        assert_eq!(parse_typed::<Ohms>(text).unwrap().digit, Ohms(digit), "{text}");
    }
}

#[test]
fn a_share_may_be_more_than_all() {
    assert_eq!(parse_share("140 %"), Ok(Ratio(1.4)));
    assert_eq!(parse_share("70 %"), Ok(Ratio(0.7)));
    assert!(parse_share("-1 %").is_err() && parse_share("20000 %").is_err());
}

#[test]
fn what_is_written_for_files() {
    for (value, text, compact) in [
        (4700.0, "4.7k", "4.7k"),
        (470.0, "470 ohm", "470ohm"),
        (1e6, "1M", "1M"),
        (3.2, "3.2 ohm", "3.2ohm"),
        (0.0, "0 ohm", "0ohm"),
        (2e9, "2G", "2G"),
        (1e-30, "1e-30 ohm", "1e-30ohm"),
        (f64::INFINITY, "open", "open"),
    ] {
        assert_eq!((Ohms(value).written(), Ohms(value).compact()), (text.to_owned(), compact.to_owned()));
    }
    assert_eq!(Metres(38.0).written(), "38 m");
    assert_eq!(Metres(38.0).compact(), "38m");
    assert_eq!(Amperes(0.35).written(), "350 mA");
    assert_eq!(Ratio(0.05).written(), "5 %");
    assert_eq!(Farads(47e-6).compact(), "47uF");
    assert_eq!(Celsius(-10.0).written(), "-10 C");
    assert_eq!(Interval::new(Metres(10.0), Metres(60.0)).written(), "10 m to 60 m");
}

#[test]
fn what_is_shown_to_people() {
    let ohms = |value| Ohms(value).shown(3).replace('\u{2009}', " ");
    assert_eq!(ohms(4700.0), "4.70 k\u{3a9}");
    assert_eq!(ohms(470.0), "470 \u{3a9}");
    assert_eq!(ohms(999.6), "1.00 k\u{3a9}");
    assert_eq!(ohms(0.0), "0 \u{3a9}");
    assert_eq!(ohms(0.07), "0.0700 \u{3a9}");
    assert_eq!(ohms(f64::INFINITY), "open");
    assert_eq!(Celsius(-10.0).shown(3), "\u{2212}10.0\u{2009}\u{b0}C");
    assert_eq!(Amperes(0.0213).shown(2), "21\u{2009}mA");
    assert_eq!(Ratio(0.05).shown(3), "5.00\u{2009}%");
    assert_eq!(Ohms(2213.7).shown(4), "2.214\u{2009}k\u{3a9}");

    let range = |lo, hi| Interval::new(Ohms(lo), Ohms(hi)).shown().replace('\u{2009}', " ");
    assert_eq!(range(2090.0, 2310.0), "2.09 to 2.31 k\u{3a9}");
    assert_eq!(range(950.0, 1050.0), "950 \u{3a9} to 1.05 k\u{3a9}");
    assert_eq!(range(0.0, 1.0), "0 to 1.00 \u{3a9}");
    assert_eq!(range(4700.0, 4700.0), "4.70 k\u{3a9}");
    assert_eq!(range(1e6, f64::INFINITY), "1.00 M\u{3a9} to open");
    assert_eq!(range(0.0, f64::INFINITY), "0 \u{3a9} to open");
    assert_eq!(range(f64::INFINITY, f64::INFINITY), "open");
    assert_eq!(Metres(38.1).shown_in(UnitsShown::Us), "125\u{2009}ft");
    assert_eq!(Metres(38.1).shown_in(UnitsShown::Metric), "38.1\u{2009}m");
    let span = Interval::new(Metres(3.048), Metres(38.1));
    assert_eq!(span.shown_in(UnitsShown::Us), "10.0 to 125\u{2009}ft");
}

/// A magnitude anywhere from 1e-40 to the most that `Q` takes, with all 53 bits at random.
fn magnitude() -> impl Strategy<Value = f64> {
    (-40.0..6.0_f64, any::<u32>())
        .prop_map(|(power, low)| f64::from_bits(10_f64.powf(power).to_bits() ^ u64::from(low)))
}

fn comes_back<Q: Written>(value: f64) -> Result<(), TestCaseError> {
    let value = Q::of(value.min(Q::SPELLING.most.0));
    prop_assert_eq!(parse::<Q>(&value.written()), Ok(value));
    prop_assert_eq!(parse::<Q>(&value.compact()), Ok(value));
    prop_assert_eq!(parse_interval::<Q>(&Interval::exact(value).written()), Ok(Interval::exact(value)));
    let roughly = parse::<Q>(&value.shown(17));
    prop_assert!(
        roughly.is_ok_and(|back| (back.value() - value.value()).abs() <= 1e-15 * value.value().abs())
    );
    Ok(())
}

/// Texts that are nearly right, so that the parser is entered deeply.
fn nearly() -> impl Strategy<Value = String> {
    prop_oneof![
        "[-+0-9.,eEkKMGRmuACVWhF%\u{b5}\u{3a9}\u{2126}\u{b0}\u{b2}\u{b1}\u{2212}\u{2009} ^@|()]{0,16}",
        "[-+]?[0-9]{0,3}[.,]?[0-9]{0,3} ?(k|ohm|R|M|m|ft|C|%|mm2|AWG|to|\u{3a9}|)( to |\\.\\.| |)[0-9]{0,3}[kMm%\u{3a9}]?",
        "\\PC{0,24}",
    ]
}

fn holds_its_bounds<Q: Written>(text: &str) -> Result<(), TestCaseError> {
    let errors = [
        parse::<Q>(text).err(),
        parse_interval::<Q>(text).err(),
        parse_span_prefix::<Q>(text).err(),
        parse_prefix::<Q>(text).err(),
    ];
    for error in errors.into_iter().flatten() {
        prop_assert!(text.is_char_boundary(error.at), "{error:?}");
        prop_assert!(!error.text.is_empty() && !error.accept.is_empty());
    }
    if let Ok((value, len)) = parse_prefix::<Q>(text) {
        prop_assert!(text.is_char_boundary(len));
        prop_assert_eq!(parse::<Q>(&text[..len]), Ok(value));
        let (least, most) = (Q::SPELLING.least.0, Q::SPELLING.most.0);
        prop_assert!((least..=most).contains(&value.value()));
    }
    Ok(())
}

proptest! {
    #[test]
    fn what_is_written_reads_back_to_the_same_value(value in magnitude()) {
        comes_back::<Ohms>(value)?;
        comes_back::<Volts>(-value)?;
        comes_back::<Amperes>(value)?;
        comes_back::<Watts>(value)?;
        comes_back::<AmpereHours>(value)?;
        comes_back::<Metres>(value)?;
        comes_back::<Celsius>(-value.min(273.0))?;
        comes_back::<Farads>(value)?;
        comes_back::<Hours>(value)?;
        comes_back::<Minutes>(value)?;
        comes_back::<Seconds>(value)?;
        comes_back::<SquareMillimetres>(value)?;
        comes_back::<OhmsPerMetre>(value)?;
        comes_back::<Ratio>(value)?;
    }

    #[test]
    fn a_prefix_costs_no_rounding(whole in 0_u32..1000, fraction in 0_u32..100_000) {
        let exact: f64 = format!("{whole}.{fraction}e3").parse().unwrap();
        check::<Ohms>(&format!("{whole}.{fraction}k"), exact);
        check::<Ohms>(&format!("{whole}k{fraction}"), exact);
    }

    /// Tenths of a foot are whole multiples of 0.03048 m: the oracle is integer arithmetic.
    #[test]
    fn feet_are_rounded_once(tenths in 0_u32..1_000_000) {
        let exact: f64 = format!("{}e-5", u64::from(tenths) * 3048).parse().unwrap();
        check::<Metres>(&format!("{}.{} ft", tenths / 10, tenths % 10), exact);
    }

    #[test]
    fn nonsense_is_refused_not_a_panic(text in nearly()) {
        holds_its_bounds::<Ohms>(&text)?;
        holds_its_bounds::<Metres>(&text)?;
        holds_its_bounds::<Celsius>(&text)?;
        holds_its_bounds::<Ratio>(&text)?;
        holds_its_bounds::<SquareMillimetres>(&text)?;
        if let Ok((gauge, len)) = Gauge::parse_prefix(&text) {
            prop_assert_eq!(Gauge::parse(&text[..len]), Ok(gauge));
        }
        if let Err(error) = Gauge::parse(&text) {
            prop_assert!(text.is_char_boundary(error.at));
        }
    }

    #[test]
    fn a_gauge_reads_back(number in 4_i8..=36, area in 0.05..50.0_f64, stranded: bool) {
        for gauge in [Gauge::Awg { number, stranded }, Gauge::Area { area: SquareMillimetres(area), stranded }] {
            prop_assert_eq!(Gauge::parse(&gauge.written()), Ok(gauge));
            prop_assert_eq!(Gauge::parse(&gauge.compact()), Ok(gauge));
        }
    }
}

#[test]
fn nothing_is_a_single_nought_in_every_unit() {
    assert_eq!(crate::Ratio(0.0).written(), "0 %");
    assert_eq!(crate::Ohms(0.0).written(), "0 ohm");
    assert_eq!(crate::parse::<crate::Ratio>("0 %").map(|ratio| ratio.0), Ok(0.0));
}
