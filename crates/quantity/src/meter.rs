//! What an ohmmeter shows of a true resistance.
//!
//! `(truth + leads) * (1 ± percent) ± digits` (`docs/format.md`, section 1): the accuracy as data sheets
//! print it, percent of the reading and counts of the last digit.

use crate::{Interval, Ohms, Quantity, Ratio, Written, WrittenError, parse_prefix};

/// The least step of a display, as a power of ten in ohm: 0.1 ohm, as on a 600.0 ohm range (common to
/// handheld meters, from memory).
const LEAST_STEP_POWER: i32 = -1;

/// The greatest step that is looked for, as a power of ten in ohm: far beyond any resistance that we take.
const COARSEST_POWER: i32 = 20;

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

    /// What a resistance can be that was shown as `value`, its last digit worth `digit`: the instrument at its worst both
    /// ways, its leads taken off. An infinite `value` is 'over range'.
    #[must_use]
    pub fn behind(&self, value: Ohms, digit: Ohms) -> Interval<Ohms> {
        if !value.is_finite() {
            return Interval::new(Ohms(self.over_range.0 / (1.0 + self.percent.0)), Ohms::INFINITE);
        }
        let (least, most) = LEADS_SPREAD;
        let digits = f64::from(self.digits).max(0.5) * digit.0;
        let lo = (value.0 - digits) / (1.0 + self.percent.0) - self.leads.0 * most;
        let hi = (value.0 + digits) / (1.0 - self.percent.0).max(f64::MIN_POSITIVE) - self.leads.0 * least;
        Interval::new(Ohms(lo.max(0.0)), Ohms(hi.max(0.0)))
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
        if !lo.is_finite() {
            return lo;
        }
        let mut power = self.step_power(lo);
        let mut least = at(lo, power);
        while power < COARSEST_POWER {
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
        while power < COARSEST_POWER && self.range_end(power) < end {
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{parse, parse_interval};

    fn display(meter: &MeterError, truth: &str) -> String {
        meter.shows(parse_interval(truth).unwrap()).shown()
    }

    #[test]
    fn the_default_is_what_the_format_says() {
        let accuracy = MeterError::parse_accuracy("1.5 % + 5 digits").unwrap();
        let default = MeterError::default();
        assert_eq!(accuracy, (default.percent, default.digits));
        assert_eq!(parse::<Ohms>("0.3 ohm").unwrap(), default.leads);
        assert_eq!(MeterError::parse_accuracy(&default.accuracy_written()), Ok(accuracy));
    }

    /// By hand, default meter. Low: (2090 + 0.15) * 0.985 - 5 * 1 = 2053.80, shown 2054.
    /// High: (2310 + 0.45) * 1.015 + 5 * 1 = 2350.11, shown 2350.
    #[test]
    fn a_2k2_resistor_of_five_percent() {
        let shown = MeterError::default().shows(parse_interval("2.2k 5 %").unwrap());
        assert_eq!(shown, MeterDisplay { lo: Some(Ohms(2054.0)), hi: Some(Ohms(2350.0)) });
        assert_eq!(shown.shown(), "2.05 to 2.35\u{2009}k\u{3a9}");
    }

    /// By hand: a joined pair is 0 ohm; low (0 + 0.15) * 0.985 - 0.5 < 0, shown 0;
    /// high (0 + 0.45) * 1.015 + 5 * 0.1 = 0.957, shown 1.0.
    #[test]
    fn nothing_but_the_leads() {
        let shown = MeterError::default().shows(Interval::exact(Ohms(0.0)));
        assert_eq!(shown, MeterDisplay { lo: Some(Ohms(0.0)), hi: Some(Ohms(1.0)) });
    }

    /// By hand: 1 Mohm or more, low (1e6 + 0.15) * 0.985 - 5 * 1000 = 980,000 (the 6.000 Mohm range).
    #[test]
    fn an_open_contact_may_be_over_range() {
        let meter = MeterError::default();
        let open = Interval::new(Ohms(1e6), Ohms::INFINITE);
        assert_eq!(meter.shows(open), MeterDisplay { lo: Some(Ohms(980_000.0)), hi: None });
        assert_eq!(meter.shows(open).shown(), "980\u{2009}k\u{3a9} to over range");
        assert_eq!(display(&meter, "100M"), "over range");
        assert_eq!(meter.shows(Interval::exact(Ohms::INFINITE)).shown(), "over range");
        let blunt = MeterError { percent: Ratio(1.0), ..meter };
        assert_eq!(blunt.shows(Interval::exact(Ohms::INFINITE)).shown(), "over range");
    }

    /// By hand, 6000 counts, no leads, 0 % + 5: from 5990 to 6010 ohm the meter changes from steps of 1 to
    /// steps of 10 at 5999. Low: 5999 - 50 = 5949, in steps of 1. High: 6010 + 50 = 6060, in steps of 10.
    #[test]
    fn a_change_of_range_inside_the_interval() {
        let meter = MeterError { percent: Ratio(0.0), leads: Ohms(0.0), ..MeterError::default() };
        let shown = meter.shows(parse_interval("5990 ohm to 6010 ohm").unwrap());
        assert_eq!(shown, MeterDisplay { lo: Some(Ohms(5949.0)), hi: Some(Ohms(6060.0)) });
    }

    /// By hand: `2.21k` has a digit of 10 ohm, so 5 digits are 50 ohm: from (2090 + 0.15) * 0.985 - 50 =
    /// 2008.8 to (2310 + 0.45) * 1.015 + 50 = 2395.1. `2.395k` has one of 1 ohm and ends at 2350.1.
    #[test]
    fn a_reading_counts_its_own_last_digit() {
        let meter = MeterError::default();
        let truth = parse_interval("2.2k 5 %").unwrap();
        let could = |value, digit| meter.could_show(truth, Ohms(value), Ohms(digit));
        assert!(could(2010.0, 10.0) && could(2390.0, 10.0));
        assert!(!could(2000.0, 10.0) && !could(2400.0, 10.0));
        assert!(could(2350.0, 1.0) && !could(2351.0, 1.0));
        assert!(!could(f64::INFINITY, 1.0));
        assert!(meter.could_show(Interval::exact(Ohms::INFINITE), Ohms::INFINITE, Ohms(0.0)));
        assert!(!meter.could_show(Interval::exact(Ohms::INFINITE), Ohms(1e6), Ohms(1.0)));
    }

    #[test]
    fn accuracies_that_are_refused() {
        for (text, at) in [
            ("0.9", 0),
            ("0.9 % 2 digits", 6),
            ("0.9 % + digits", 6),
            ("0.9 % + 2", 6),
            ("0.9 % + 2.5 digits", 6),
            ("0.9 % + 5000 digits", 6),
            ("-1 % + 2 digits", 0),
            ("200 % + 2 digits", 0),
        ] {
            let error = MeterError::parse_accuracy(text).unwrap_err();
            assert_eq!(
                (error.at, error.accept.as_str()),
                (at, "an accuracy such as `0.9 % + 2 digits`"),
                "{text}"
            );
        }
        assert_eq!(MeterError::parse_accuracy("0.9%+2counts"), Ok((Ratio(0.009), 2)));
    }

    proptest! {
        /// Every reading that an instrument inside its data sheet can show lies inside the predicted display. Its
        /// counts include the half one that rounding adds, so 4.5 of the 5 are drawn here.
        #[test]
        fn a_simulated_reading_lies_inside(
            lo in 0.0..7e4_f64, width in 0.0..2e3_f64, at in 0.0..=1.0_f64, lead in 0.5..=1.5_f64,
            percent in -1.0..=1.0_f64, digits in -0.9..=0.9_f64,
        ) {
            let meter = MeterError::default();
            let truth = Interval::new(Ohms(lo), Ohms(lo + width));
            let measured = lo + at * width + lead * meter.leads.0;
            let step = [0.1, 1.0, 10.0, 100.0].into_iter().find(|step| measured <= step * 5999.0).unwrap();
            let indicated = measured * (1.0 + percent * meter.percent.0) + digits * f64::from(meter.digits) * step;
            // What the rounding of the display adds is half a step of the coarser of two ranges.
            let shown = meter.shows(truth);
            let reading = indicated.max(0.0);
            prop_assert!(shown.lo.unwrap().0 <= reading + step / 2.0 + 1e-9);
            prop_assert!(reading <= shown.hi.unwrap().0 + step * 5.0 + 1e-9);
            let typed = Ohms((indicated / step).round() * step);
            prop_assert!(meter.could_show(truth, typed, Ohms(step)));
        }

        /// What could have been shown of an exact resistance has that resistance behind it.
        #[test]
        fn what_is_behind_a_reading_holds_what_was_read(truth in 0.0..1e6_f64, off in -1.0..1.0_f64) {
            let meter = MeterError::default();
            let value = truth * (1.0 + off * meter.percent.0) + meter.leads.0;
            let (value, digit) = (Ohms(value.max(0.0)), Ohms(0.1));
            prop_assert!(meter.could_show(Interval::exact(Ohms(truth)), value, digit));
            let behind = meter.behind(value, digit);
            prop_assert!(behind.lo().0 <= truth + 1e-9 && truth <= behind.hi().0 * (1.0 + 1e-9) + 1e-9);
        }

        #[test]
        fn a_wider_truth_never_shows_less(
            lo in 0.0..1e6_f64, width in 0.0..1e6_f64, below in 0.0..1e4_f64, above in 0.0..1e6_f64,
        ) {
            let meter = MeterError::default();
            let narrow = meter.shows(Interval::new(Ohms(lo), Ohms(lo + width)));
            let wide = meter.shows(Interval::new(Ohms((lo - below).max(0.0)), Ohms(lo + width + above)));
            prop_assert!(wide.lo.unwrap() <= narrow.lo.unwrap() && narrow.hi.unwrap() <= wide.hi.unwrap());
        }

        #[test]
        fn nonsense_is_refused_not_a_panic(text in "[-+0-9.,% edigtscou\u{b5}\u{3a9}]{0,24}|\\PC{0,24}") {
            if let Err(error) = MeterError::parse_accuracy(&text) {
                prop_assert!(text.is_char_boundary(error.at));
            }
        }
    }
}
