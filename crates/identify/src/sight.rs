//! What the instrument showed, as a density over what lies between the tips of its leads.

use job::Display;
use quantity::{MeterError, Ohms};

/// Nonsense lies evenly by logarithm between these (`docs/format.md`, habits).
const NONSENSE: (f64, f64) = (1.0, 1e6);
/// The rounding of a display hides half a step of its last digit.
const ROUNDING: f64 = 0.5;
/// Less than this is shown as nothing; it stands in for 0 where a logarithm is taken.
const LEAST_SHOWN: f64 = 0.05;

/// The error of a reading around the truth: percent and digits, each even inside its limit, so a trapezoid.
///
/// The percentage is of the reading, as data sheets have it, so the width does not depend on the truth and the
/// same curve is the density of the reading given the truth and the other way round.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Kernel {
    /// As shown.
    pub(crate) shown: f64,
    /// Half the width of the flat part, and of all of it.
    inner: f64,
    pub(crate) outer: f64,
    height: f64,
}

impl Kernel {
    fn new(shown: f64, percent: f64, digits: f64) -> Self {
        let (one, other) = (percent.max(1e-9 * shown).max(1e-9), digits.max(1e-9));
        Self { shown, inner: (one - other).abs(), outer: one + other, height: 0.5 / one.max(other) }
    }

    /// Density per ohm, `truth` ohms being between the tips.
    pub(crate) fn at(&self, truth: f64) -> f64 {
        let off = (truth - self.shown).abs();
        if off <= self.inner {
            self.height
        } else if off < self.outer {
            self.height * (self.outer - off) / (self.outer - self.inner)
        } else {
            0.0
        }
    }

    /// Integral of the density from far below up to `truth`.
    pub(crate) fn below(&self, truth: f64) -> f64 {
        let off = truth - self.shown;
        let half = |off: f64| {
            if off <= self.inner {
                self.height * off
            } else if off < self.outer {
                let slope = self.outer - self.inner;
                let left = self.outer - off;
                0.5 - self.height * left * left / (2.0 * slope)
            } else {
                0.5
            }
        };
        if off >= 0.0 { 0.5 + half(off) } else { 0.5 - half(-off) }
    }

    /// Where the curve has its corners, rising.
    pub(crate) fn corners(&self) -> [f64; 4] {
        [self.shown - self.outer, self.shown - self.inner, self.shown + self.inner, self.shown + self.outer]
    }
}

/// What a display said.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Said {
    /// A value.
    Value(Kernel),
    /// Over range.
    Open,
    /// It would not stand still.
    Unstable,
}

/// A reading in ohms, with how likely it is as nonsense.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Sight {
    pub(crate) said: Said,
    /// Density as a nonsense reading, its share included.
    pub(crate) nonsense: f64,
    /// Share that is no nonsense.
    pub(crate) sense: f64,
}

impl Sight {
    /// A display of an instrument that is `scale` times worse than its data sheet says.
    pub(crate) fn new(display: Display<Ohms>, meter: &MeterError, wrong: f64, scale: f64) -> Self {
        let (said, nonsense) = match display {
            Display::Open => (Said::Open, 0.5),
            Display::Unstable => (Said::Unstable, 0.0),
            Display::Value { value, digit } => {
                let shown = value.0.max(0.0);
                let percent = meter.percent.0 * shown * scale;
                let digits = (f64::from(meter.digits) * scale + ROUNDING) * digit.0.abs();
                let within = (NONSENSE.0..=NONSENSE.1).contains(&shown);
                let density = if within { 0.5 * log_even(shown, NONSENSE) } else { 0.0 };
                (Said::Value(Kernel::new(shown, percent, digits)), density)
            }
        };
        Self { said, nonsense: wrong * nonsense, sense: 1.0 - wrong }
    }

    /// The value that was shown.
    pub(crate) fn value(&self) -> Option<f64> {
        match self.said {
            Said::Value(kernel) => Some(kernel.shown),
            _ => None,
        }
    }
}

/// Density per ohm at `value` of what lies evenly by logarithm between two ends; zero outside.
pub(crate) fn log_even(value: f64, (lo, hi): (f64, f64)) -> f64 {
    let value = value.max(LEAST_SHOWN);
    if value < lo || value > hi || hi <= lo {
        return 0.0;
    }
    1.0 / (value * libm::log(hi / lo))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 1.5 % of 2000 is 30, five digits of 1 and half a digit are 5.5; flat to 24.5, gone at 35.5, height
    /// 1/60, area 24.5 * 2 / 60 + 11 / 60 = 1.
    #[test]
    fn a_trapezoid_of_area_one() {
        let kernel = Kernel::new(2000.0, 30.0, 5.5);
        assert_eq!((kernel.inner, kernel.outer), (24.5, 35.5));
        assert!((kernel.at(2024.0) - 1.0 / 60.0).abs() < 1e-15);
        assert!((kernel.at(1970.0) - 1.0 / 60.0 * 5.5 / 11.0).abs() < 1e-15);
        assert!((kernel.below(3000.0) - 1.0).abs() < 1e-15 && kernel.below(1000.0).abs() < 1e-15);
        assert!((kernel.below(2000.0) - 0.5).abs() < 1e-15);
        // The integral up to 2030: 0.5 + 24.5/60 + (5.5 of the slope: 5.5/60 * (1 + 0.5)/2).
        assert!((kernel.below(2030.0) - (0.5 + 24.5 / 60.0 + 5.5 / 60.0 * 0.75)).abs() < 1e-12);
    }

    #[test]
    fn nonsense_of_the_format() {
        let meter = MeterError::default();
        let sight = |display| Sight::new(display, &meter, 0.005, 1.0);
        assert!((sight(Display::Open).nonsense - 0.0025).abs() < 1e-15);
        let value = sight(Display::Value { value: Ohms(1000.0), digit: Ohms(1.0) });
        assert!((value.nonsense - 0.0025 / (1000.0 * 1e6_f64.ln())).abs() < 1e-15);
    }
}
