//! A number as typed: its decimal digits and exponent, kept as text so that a prefix costs no rounding.
//!
//! `4.7k` becomes the one decimal `47e2` and is rounded to `f64` once; `4.7 * 1000.0` would round twice.

use super::spelling::{Scale, Unit};

/// The exponent at which a decimal is surely zero or surely infinite as `f64`, whatever its digits.
const EXPONENT_LIMIT: i64 = 1_000_000;

/// A number at the start of a text, before any unit.
#[derive(Clone, Debug)]
pub(crate) struct Number {
    negative: bool,
    /// Decimal digits without a point.
    digits: String,
    /// Power of ten of the last digit.
    exponent: i64,
    /// Bytes that it takes in the text.
    pub(crate) len: usize,
    /// Only digits: no point and no exponent, so that a letter may stand for the point (`4k7`).
    pub(crate) whole: bool,
}

/// Why no number could be read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum NoNumber {
    /// The text does not start with one.
    Absent,
    /// A comma between two digits.
    Comma,
}

impl Number {
    /// Reads the longest number at the very start of `text`.
    pub(crate) fn at_start(text: &str) -> Result<Self, NoNumber> {
        let (negative, sign_len) = sign(text);
        let mut len = sign_len;
        let whole_part = digits(&text[len..]);
        len += whole_part.len();
        let mut number = Self { negative, digits: whole_part.to_owned(), exponent: 0, len, whole: true };
        let rest = &text[len..];
        if let Some(after) = rest.strip_prefix(',')
            && after.starts_with(|c: char| c.is_ascii_digit())
            && !whole_part.is_empty()
        {
            return Err(NoNumber::Comma);
        }
        if let Some(after) = rest.strip_prefix('.') {
            let fraction = digits(after);
            if !fraction.is_empty() {
                number.push_fraction(fraction);
                number.len += 1 + fraction.len();
                number.whole = false;
            }
        }
        if number.digits.is_empty() {
            return Err(NoNumber::Absent);
        }
        number.read_exponent(text);
        Ok(number)
    }

    /// Appends digits that stand behind the decimal point.
    pub(crate) fn push_fraction(&mut self, fraction: &str) {
        self.digits.push_str(fraction);
        self.exponent -= i64::try_from(fraction.len()).unwrap_or(EXPONENT_LIMIT);
    }

    fn read_exponent(&mut self, text: &str) {
        let Some(after) = text[self.len..].strip_prefix(['e', 'E']) else { return };
        let (negative, sign_len) = sign(after);
        let figures = digits(&after[sign_len..]);
        if figures.is_empty() {
            return;
        }
        let size = figures.parse::<i64>().unwrap_or(EXPONENT_LIMIT).min(EXPONENT_LIMIT);
        self.exponent += if negative { -size } else { size };
        self.len += 1 + sign_len + figures.len();
        self.whole = false;
    }

    /// Whether it was typed with a minus and is not zero.
    pub(crate) fn is_negative(&self) -> bool {
        self.negative && self.digits.bytes().any(|digit| digit != b'0')
    }

    /// Its value in `unit`, rounded once wherever the unit is a decimal multiple.
    pub(crate) fn value(&self, unit: &Unit) -> f64 {
        scaled(&self.digits, self.exponent, self.negative, unit.scale)
    }

    /// The step of its last typed digit in `unit`: `2.21k` has 10 ohm.
    pub(crate) fn last_digit(&self, unit: &Unit) -> f64 {
        let scale = match unit.scale {
            Scale::Fahrenheit => Scale::Ratio { times: 5, over: 9 },
            other => other,
        };
        scaled("1", self.exponent, false, scale)
    }
}

/// `digits * 10^exponent` in a unit of `scale`.
fn scaled(digits: &str, exponent: i64, negative: bool, scale: Scale) -> f64 {
    match scale {
        Scale::Decimal { times, power } => {
            let exponent = exponent + i64::from(power);
            let significant = digits.trim_start_matches('0');
            match significant.parse::<u128>() {
                Ok(mantissa) if significant.len() <= 28 => {
                    decimal(&(mantissa * u128::from(times)).to_string(), exponent, negative)
                }
                _ => decimal(digits, exponent, negative) * f64::from(times),
            }
        }
        Scale::Ratio { times, over } => {
            decimal(digits, exponent, negative) * f64::from(times) / f64::from(over)
        }
        Scale::Fahrenheit => (decimal(digits, exponent, negative) - 32.0) * 5.0 / 9.0,
    }
}

/// The correctly rounded `f64` of a decimal; infinite when it is beyond the largest.
fn decimal(digits: &str, exponent: i64, negative: bool) -> f64 {
    let minus = if negative { "-" } else { "" };
    let figures = if digits.is_empty() { "0" } else { digits };
    format!("{minus}{figures}e{exponent}").parse().unwrap_or(f64::INFINITY)
}

/// The sign at the start of `text` and its length; U+2212 is the minus that we print.
fn sign(text: &str) -> (bool, usize) {
    match text.chars().next() {
        Some(minus @ ('-' | '\u{2212}')) => (true, minus.len_utf8()),
        Some('+') => (false, 1),
        _ => (false, 0),
    }
}

/// The ASCII digits at the start of `text`.
pub(crate) fn digits(text: &str) -> &str {
    let end = text.bytes().take_while(u8::is_ascii_digit).count();
    &text[..end]
}
