//! What an ohmmeter shows of a true resistance.
//!
//! `(truth + leads) * (1 ± percent) ± digits` (`docs/format.md`, section 1): the accuracy as data sheets
//! print it, percent of the reading and counts of the last digit.

use crate::{Interval, Ohms, Quantity, Ratio, Written, WrittenError, parse_prefix};

/// The least step of a display, as a power of ten in ohm: 0.1 ohm, as on a 600.0 ohm range (common to
/// handheld meters, from memory).
const LEAST_STEP_POWER: i32 = -1;

/// The leads lie between half and one and a half times the stated value (`docs/format.md`, section 1).
const LEADS_SPREAD: (f64, f64) = (0.5, 1.5);

/// Rounding of sums at the very edge of an interval, as a share.
const EDGE: f64 = 1e-12;

/// The instrument of the survey, from its data sheet.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct MeterError {
    /// Error as a share of the reading.
    pub percent: Ratio,
    /// Error in counts of the last digit.
    pub digits: u32,
    /// Both test leads together, not subtracted from readings.
    pub leads: Ohms,
    /// Steps of the display: a 6000-count meter shows 0 to 5999 and then changes its range.
    pub counts: u32,
    /// Above this it shows 'over range'.
    pub over_range: Ohms,
}

/// The defaults of `docs/format.md`, section 1; 6000 counts and 40 Mohm are a common handheld meter (from memory).
impl Default for MeterError {
    fn default() -> Self {
        Self { percent: Ratio(0.015), digits: 5, leads: Ohms(0.3), counts: 6000, over_range: Ohms(40e6) }
    }
}

/// What a display may show, between two ends; `None` is 'over range'.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct MeterDisplay {
    /// The least value; `None` when it surely is over range.
    pub lo: Option<Ohms>,
    /// The largest value; `None` when it may be over range.
    pub hi: Option<Ohms>,
}

impl MeterDisplay {
    /// For people: `2.07 to 2.34 kΩ`, `over range`, `2.30 kΩ to over range`.
    #[must_use]
    pub fn shown(self) -> String {
        match (self.lo, self.hi) {
            (Some(lo), Some(hi)) => Interval::new(lo, hi).shown(),
            (Some(lo), None) => format!("{} to over range", lo.shown(3)),
            (None, _) => "over range".to_owned(),
        }
    }
}

impl MeterError {
    /// Reads an accuracy as a data sheet prints it: `0.9 % + 2 digits`; `digit`, `counts`, `count` too, and
    /// `0.9 %` alone for none.
    ///
    /// # Errors
    /// [`WrittenError`] for anything else.
    pub fn parse_accuracy(text: &str) -> Result<(Ratio, u32), WrittenError> {
        let accept = "an accuracy such as `0.9 % + 2 digits`";
        let wrong = |error: WrittenError| WrittenError { accept: accept.to_owned(), ..error };
        let (percent, len) = parse_prefix::<Ratio>(text).map_err(wrong)?;
        let rest = &text[len..];
        if rest.trim().is_empty() {
            return Ok((percent, 0));
        }
        let at = len + rest.len() - rest.trim_start().len();
        let Some(counted) = text[at..].strip_prefix('+') else {
            return Err(WrittenError::new(at, "a `+` is wanted between percent and digits", accept));
        };
        let counted = counted.trim();
        let end = counted.bytes().take_while(u8::is_ascii_digit).count();
        let word = counted[end..].trim_start();
        let known = ["digit", "digits", "count", "counts"].contains(&word);
        match counted[..end].parse::<u32>() {
            Ok(digits) if known && digits <= 1000 => Ok((percent, digits)),
            Ok(digits) if known => {
                Err(WrittenError::new(at, format!("{digits} digits are more than any meter's error"), accept))
            }
            _ => Err(WrittenError::new(at, "a whole number of digits is wanted after the `+`", accept)),
        }
    }

    /// The accuracy as [`MeterError::parse_accuracy`] reads it.
    #[must_use]
    pub fn accuracy_written(&self) -> String {
        let plural = if self.digits == 1 { "digit" } else { "digits" };
        format!("{} + {} {plural}", self.percent.written(), self.digits)
    }

    /// What the display may show of a resistance known to lie in `truth`.
    ///
    /// The last digit is that of the range that the meter chooses by itself, on the worse side where either
    /// of two could be chosen. Ends are rounded as the display rounds, and never below zero.
    #[must_use]
    pub fn shows(&self, truth: Interval<Ohms>) -> MeterDisplay {
        let measured = self.with_leads(truth);
        MeterDisplay {
            lo: self.displayed(self.least_indicated(measured)),
            hi: self.displayed(self.most_indicated(measured.hi().0)),
        }
    }

    /// Whether a reading typed as `value`, its last digit worth `digit`, can come from a resistance known
    /// to lie in `truth`. An infinite `value` is 'over range'.
    ///
    /// The digits are those of the reading as typed, and never fewer than the half one that its rounding hides.
    #[must_use]
    pub fn could_show(&self, truth: Interval<Ohms>, value: Ohms, digit: Ohms) -> bool {
        if !value.is_finite() {
            return self.shows(truth).hi.is_none();
        }
        let measured = self.with_leads(truth);
        let digits = f64::from(self.digits).max(0.5) * digit.0;
        let lo = measured.lo().0 * (1.0 - self.percent.0) - digits;
        let hi = measured.hi().0 * (1.0 + self.percent.0) + digits;
        lo * (1.0 - EDGE * lo.signum()) <= value.0 && value.0 <= hi * (1.0 + EDGE)
    }

    /// What lies between the tips of the leads.
    fn with_leads(&self, truth: Interval<Ohms>) -> Interval<Ohms> {
        let (least, most) = LEADS_SPREAD;
        Interval::new(truth.lo() + self.leads * least, truth.hi() + self.leads * most)
    }

    /// The least that may be indicated. It falls where the meter changes to a coarser range, so the first
    /// value of every range inside `measured` is tried too.
    fn least_indicated(&self, measured: Interval<Ohms>) -> f64 {
        let at = |value: f64, power: i32| {
            value * (1.0 - self.percent.0) - f64::from(self.digits) * power_of_ten(power)
        };
        let lo = measured.lo().0;
        let mut power = self.step_power(lo);
        let mut least = at(lo, power);
        while lo.is_finite() {
            let range_end = self.range_end(power);
            if range_end >= measured.hi().0.min(self.over_range.0) {
                break;
            }
            power += 1;
            least = least.min(at(range_end, power));
        }
        least.max(0.0)
    }

    /// The most that may be indicated, in the coarsest range that it may be shown in.
    fn most_indicated(&self, measured: f64) -> f64 {
        let read = measured * (1.0 + self.percent.0);
        let error = |value: f64| f64::from(self.digits) * power_of_ten(self.step_power(value));
        read + error(read + error(read))
    }

    /// The value rounded to the step of the range that shows it.
    fn displayed(&self, value: f64) -> Option<Ohms> {
        if !value.is_finite() || value > self.over_range.0 {
            return None;
        }
        let mut power = self.step_power(value);
        let mut steps = steps(value, power);
        if steps >= f64::from(self.counts.max(2)) {
            power += 1;
            steps = self::steps(value, power);
        }
        let shown = if power < 0 { steps / power_of_ten(-power) } else { steps * power_of_ten(power) };
        Some(Ohms::of(shown))
    }

    /// The power of ten of the last digit in the range that shows `value`.
    fn step_power(&self, value: f64) -> i32 {
        let end = value.min(self.over_range.0);
        let mut power = LEAST_STEP_POWER;
        // Every range is ten times the one before; 20 of them are beyond the largest resistance we take.
        while power < 20 && self.range_end(power) < end {
            power += 1;
        }
        power
    }

    /// The largest value of the range with this last digit.
    fn range_end(&self, power: i32) -> f64 {
        (f64::from(self.counts.max(2)) - 1.0) * power_of_ten(power)
    }
}

/// Whole steps of the last digit, rounded to the nearest.
fn steps(value: f64, power: i32) -> f64 {
    let exact = if power < 0 { value * power_of_ten(-power) } else { value / power_of_ten(power) };
    exact.round()
}

/// Exact for powers from 0 to 22.
fn power_of_ten(power: i32) -> f64 {
    let size = (0..power.abs()).fold(1.0, |product, _| product * 10.0);
    if power < 0 { 1.0 / size } else { size }
}

/// Reads the default text, so that documentation and code cannot disagree.
#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse;

    #[test]
    fn the_default_is_what_the_format_says() {
        let accuracy = MeterError::parse_accuracy("1.5 % + 5 digits").unwrap();
        let default = MeterError::default();
        assert_eq!(accuracy, (default.percent, default.digits));
        assert_eq!(parse::<Ohms>("0.3 ohm").unwrap(), default.leads);
    }
}
