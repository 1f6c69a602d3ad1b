//! What resistance lies between the terminals when a circuit is in a state, in terms of its parts.

/// A level: how line `s` and resistors `r`, `a`, `t` lie together.
///
/// `r` is the end-of-line resistor (or the first of two equal ones), `a` the alarm resistor (or the second), `t` the
/// third.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Level {
    /// Nothing joins the cores.
    Open,
    /// The line alone.
    Line,
    /// `s + r`
    First,
    /// `s + a`
    Second,
    /// `s + r + k a`
    Steps(u8),
    /// `s + r + t`
    Third,
    /// `s + r + a + t`
    All,
    /// `s + r || a`
    Across,
    /// `(s + r) || a`, the second at the near end
    Ends,
    /// `a` at the near end, nothing else
    Near,
}

/// Values of the parts, in ohm.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub(crate) struct Parts {
    pub(crate) s: f64,
    pub(crate) r: f64,
    pub(crate) a: f64,
    pub(crate) t: f64,
    /// The leads alone.
    pub(crate) leads: f64,
}

impl Level {
    /// Ohms between the tips of the leads.
    pub(crate) fn ohms(self, parts: &Parts) -> f64 {
        let Parts { s, r, a, t, leads } = *parts;
        match self {
            Self::Open => f64::INFINITY,
            Self::Line => s,
            Self::First => s + r,
            Self::Second => s + a,
            Self::Steps(steps) => s + r + f64::from(steps) * a,
            Self::Third => s + r + t,
            Self::All => s + r + a + t,
            Self::Across => s + r * a / (r + a),
            Self::Ends => (s + r) * a / (s + r + a),
            Self::Near => a + leads,
        }
    }

    /// The second resistor at which the level is `ohms`, the other parts given; none where it does not depend on it.
    pub(crate) fn second_for(self, ohms: f64, parts: &Parts) -> Option<f64> {
        let Parts { s, r, t, leads, .. } = *parts;
        let across = |whole: f64, other: f64| {
            if whole <= 0.0 {
                0.0
            } else if whole >= other {
                f64::INFINITY
            } else {
                whole * other / (other - whole)
            }
        };
        match self {
            Self::Second => Some(ohms - s),
            Self::Steps(steps) => Some((ohms - s - r) / f64::from(steps)),
            Self::All => Some(ohms - s - r - t),
            Self::Across => Some(across(ohms - s, r)),
            Self::Ends => Some(across(ohms, s + r)),
            Self::Near => Some(ohms - leads),
            _ => None,
        }
    }

    /// How many ohms more one more ohm of the second resistor is, where that is the same everywhere.
    pub(crate) fn slope(self) -> Option<f64> {
        match self {
            Self::Second | Self::Near => Some(1.0),
            Self::Steps(steps) => Some(f64::from(steps)),
            _ => None,
        }
    }

    /// Whether the second resistor matters.
    pub(crate) fn has_second(self) -> bool {
        matches!(self, Self::Second | Self::Steps(_) | Self::All | Self::Across | Self::Ends | Self::Near)
    }

    /// Whether the third resistor matters.
    pub(crate) fn has_third(self) -> bool {
        matches!(self, Self::Third | Self::All)
    }

    /// Whether anything but the line and the first resistor matters.
    pub(crate) fn is_inner(self) -> bool {
        self.has_second() || self.has_third()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_resistor_is_found_again() {
        let parts = Parts { s: 5.0, r: 2200.0, a: 4700.0, t: 1000.0, leads: 0.3 };
        for level in [Level::Second, Level::Steps(2), Level::All, Level::Across, Level::Ends, Level::Near] {
            let again = level.second_for(level.ohms(&parts), &parts).unwrap();
            assert!((again - 4700.0).abs() < 1e-8, "{level:?} {again}");
        }
        for level in [Level::Line, Level::First, Level::Third] {
            assert_eq!(level.second_for(100.0, &parts), None);
        }
    }
}
