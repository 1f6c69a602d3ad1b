//! From quantities to text: exactly, for files; to three significant figures, for people.
//!
//! Numbers for people: unit after a thin space, ranges as `2.09 to 2.31 kΩ` (`look.md`, 'numbers'; the thin
//! space after ISO 80000-1).

use super::Written;
use super::spelling::{Printed, Spelled, Spelling};
use crate::{Interval, Metres, Ohms};

/// Between a number and its unit, for people: U+2009.
const THIN_SPACE: char = '\u{2009}';

/// The minus for people: U+2212. It reads back.
const MINUS: char = '\u{2212}';

/// Above so many characters a number is written with an exponent.
const LONGEST_PLAIN: usize = 24;

/// The figures that people see unless the working needs more (`look.md`, 'numbers').
const FIGURES: usize = 3;

/// One foot in metres, exactly: NIST SP 811 (from memory).
const FOOT_M: f64 = 0.3048;

/// Whether [`written`] puts a blank before a unit that takes one.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Blank {
    Kept,
    LeftOut,
}

/// The units that a job shows lengths and gauges in: one switch a job.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum UnitsShown {
    /// Metres and mm².
    #[default]
    Metric,
    /// Feet and AWG.
    Us,
}

/// The shortest text that reads back to the same value.
pub(crate) fn written(value: f64, spelling: &Spelling, blank: Blank) -> String {
    if let Some(word) = unlimited(value, spelling) {
        return word.to_owned();
    }
    let (negative, digits, lead) = decimal(format!("{:e}", value.abs()), value < 0.0);
    let unit = printed_for(lead, value, spelling);
    // Nothing is nothing in every unit: 0 %, not 000 %.
    let mut number = if digits == "0" { digits.clone() } else { placed(&digits, lead - unit.power) };
    if number.len() > LONGEST_PLAIN {
        let (first, rest) = digits.split_at(1);
        let point = if rest.is_empty() { "" } else { "." };
        number = format!("{first}{point}{rest}e{}", lead - unit.power);
    }
    let minus = if negative { "-" } else { "" };
    let between = if unit.tight || blank == Blank::LeftOut { "" } else { " " };
    format!("{minus}{number}{between}{}", unit.typed)
}

/// So many significant figures, for people.
pub(crate) fn shown(value: f64, spelling: &Spelling, figures: usize) -> String {
    let (number, unit) = shown_parts(value, spelling, figures);
    match unit {
        Some(unit) => format!("{number}{THIN_SPACE}{}", unit.shown),
        None => number,
    }
}

/// The number and the unit that it is in; no unit where a word says it all.
fn shown_parts(value: f64, spelling: &Spelling, figures: usize) -> (String, Option<Printed>) {
    if let Some(word) = unlimited(value, spelling) {
        return (word.to_owned(), None);
    }
    let places = figures.clamp(1, 17) - 1;
    let (negative, digits, lead) = decimal(format!("{:.places$e}", value.abs()), value < 0.0);
    let unit = printed_for(lead, value, spelling);
    let number = if digits.bytes().all(|digit| digit == b'0') {
        "0".to_owned()
    } else {
        placed(&digits, lead - unit.power)
    };
    (if negative { format!("{MINUS}{number}") } else { number }, Some(unit))
}

/// The word for a value that is no number.
fn unlimited(value: f64, spelling: &Spelling) -> Option<&'static str> {
    match value {
        f64::INFINITY if spelling.what == Ohms::SPELLING.what => Some("open"),
        f64::INFINITY => Some("no limit"),
        f64::NEG_INFINITY => Some("no lower limit"),
        _ if value.is_nan() => Some("undefined"),
        _ => None,
    }
}

/// Digits without a point and the power of ten of the first, from Rust's `{:e}`.
fn decimal(scientific: String, negative: bool) -> (bool, String, i32) {
    let (mantissa, power) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    (negative, mantissa.replace('.', ""), power.parse().unwrap_or(0))
}

/// The largest printed unit not above the first digit, else the smallest; nothing of it is in the own unit.
fn printed_for(lead: i32, value: f64, spelling: &Spelling) -> Printed {
    let none = value.abs() <= 0.0;
    let fitting =
        spelling.printed.iter().rev().find(|unit| if none { unit.power == 0 } else { unit.power <= lead });
    let first = spelling.printed.first();
    *fitting.or(first).unwrap_or(&Printed { power: 0, typed: "", tight: true, shown: "" })
}

/// The digits with the decimal point set so that the first has the power `lead`.
fn placed(digits: &str, lead: i32) -> String {
    let count = i32::try_from(digits.len()).unwrap_or(i32::MAX);
    if lead < 0 {
        let zeros = usize::try_from(-lead - 1).unwrap_or(0);
        return format!("0.{}{digits}", "0".repeat(zeros));
    }
    if lead + 1 >= count {
        let zeros = usize::try_from(lead + 1 - count).unwrap_or(0);
        return format!("{digits}{}", "0".repeat(zeros));
    }
    let (whole, fraction) = digits.split_at(usize::try_from(lead + 1).unwrap_or(0));
    format!("{whole}.{fraction}")
}

impl<Q: Written> Interval<Q> {
    /// For people, to three significant figures: `2.09 to 2.31 kΩ`, `950 Ω to 1.05 kΩ`, `1.00 MΩ to open`;
    /// one value where both ends look the same.
    #[must_use]
    pub fn shown(self) -> String {
        self.shown_digits(FIGURES)
    }

    /// As [`shown`](Interval::shown), with so many significant figures.
    #[must_use]
    pub fn shown_digits(self, figures: usize) -> String {
        range_shown(self.lo().value(), self.hi().value(), Q::SPELLING, figures)
    }

    /// The shortest text that [`parse_interval`](crate::parse_interval) reads back to the same ends.
    #[must_use]
    pub fn written(self) -> String {
        if self.lo() == self.hi() {
            return self.lo().written();
        }
        format!("{} to {}", self.lo().written(), self.hi().written())
    }
}

fn range_shown(lo: f64, hi: f64, spelling: &Spelling, figures: usize) -> String {
    let (low, low_unit) = shown_parts(lo, spelling, figures);
    let (high, high_unit) = shown_parts(hi, spelling, figures);
    let with_unit = |number: &str, unit: Option<Printed>| match unit {
        Some(unit) => format!("{number}{THIN_SPACE}{}", unit.shown),
        None => number.to_owned(),
    };
    if low == high && (low_unit == high_unit || low == "0") {
        return with_unit(&high, high_unit);
    }
    let same_unit = low_unit == high_unit || (low == "0" && high_unit.is_some());
    if same_unit {
        return format!("{low} to {}", with_unit(&high, high_unit));
    }
    format!("{} to {}", with_unit(&low, low_unit), with_unit(&high, high_unit))
}

impl Metres {
    /// For people, in the job's units, to three significant figures: `38.0 m`, `125 ft`.
    #[must_use]
    pub fn shown_in(self, units: UnitsShown) -> String {
        match units {
            UnitsShown::Metric => self.shown(FIGURES),
            UnitsShown::Us => shown(self.0 / FOOT_M, &FEET, FIGURES),
        }
    }
}

impl Interval<Metres> {
    /// As [`Metres::shown_in`], for a length known only as a range.
    #[must_use]
    pub fn shown_in(self, units: UnitsShown) -> String {
        match units {
            UnitsShown::Metric => self.shown(),
            UnitsShown::Us => range_shown(self.lo().0 / FOOT_M, self.hi().0 / FOOT_M, &FEET, FIGURES),
        }
    }
}

/// Feet as a unit of their own, for people only.
const FEET: Spelling = Spelling {
    printed: &[Printed { power: 0, typed: "ft", tight: false, shown: "ft" }],
    ..*<Metres as Spelled>::SPELLING
};
