//! A value that is only known to lie between two ends.

use crate::{Quantity, Ratio};

/// All values from [`lo`](Interval::lo) to [`hi`](Interval::hi), both ends included.
///
/// The low end is never above the high end and neither is undefined; the high end may be infinite.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Interval<Q> {
    lo: Q,
    hi: Q,
}

impl<Q: Quantity> Interval<Q> {
    /// The interval between two ends, in whichever order they are given.
    #[must_use]
    pub fn new(one: Q, other: Q) -> Self {
        if one <= other { Self { lo: one, hi: other } } else { Self { lo: other, hi: one } }
    }

    /// A value known exactly.
    #[must_use]
    pub fn exact(value: Q) -> Self {
        Self { lo: value, hi: value }
    }

    /// `nominal` give or take a share of itself: 4.7 kohm with 5 % is 4.465 to 4.935 kohm.
    #[must_use]
    pub fn with_tolerance(nominal: Q, tolerance: Ratio) -> Self {
        Self::new(Q::of(nominal.value() * (1.0 - tolerance.0)), Q::of(nominal.value() * (1.0 + tolerance.0)))
    }

    /// The low end.
    #[must_use]
    pub fn lo(self) -> Q {
        self.lo
    }

    /// The high end.
    #[must_use]
    pub fn hi(self) -> Q {
        self.hi
    }

    /// Whether `value` lies in it.
    #[must_use]
    pub fn contains(self, value: Q) -> bool {
        self.lo <= value && value <= self.hi
    }

    /// Whether all of `other` lies in it.
    #[must_use]
    pub fn holds(self, other: Self) -> bool {
        self.lo <= other.lo && other.hi <= self.hi
    }

    /// Whether the two have a value in common.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.lo <= other.hi && other.lo <= self.hi
    }

    /// The smallest interval that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self {
            lo: if other.lo < self.lo { other.lo } else { self.lo },
            hi: if other.hi > self.hi { other.hi } else { self.hi },
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Ohms;

    fn interval() -> impl Strategy<Value = Interval<Ohms>> {
        // Few different ends, so that equal ones and touching ones come up.
        (0_u8..12, 0_u8..12).prop_map(|(a, b)| Interval::new(Ohms(f64::from(a)), Ohms(f64::from(b))))
    }

    proptest! {
        #[test]
        fn the_low_end_is_never_above_the_high_end(a: f64, b: f64) {
            prop_assume!(!a.is_nan() && !b.is_nan());
            let made = Interval::new(Ohms(a), Ohms(b));
            prop_assert!(made.lo() <= made.hi() && made.contains(Ohms(a)) && made.contains(Ohms(b)));
        }

        #[test]
        fn a_hull_holds_both_and_no_smaller_one_does(a in interval(), b in interval()) {
            let hull = a.hull(b);
            prop_assert!(hull.holds(a) && hull.holds(b));
            prop_assert!(hull.lo() == a.lo() || hull.lo() == b.lo());
            prop_assert!(hull.hi() == a.hi() || hull.hi() == b.hi());
            prop_assert_eq!(hull, b.hull(a));
        }

        #[test]
        fn two_meet_when_a_value_lies_in_both(a in interval(), b in interval()) {
            let common = (0..12_u8).any(|value| {
                let value = Ohms(f64::from(value));
                a.contains(value) && b.contains(value)
            });
            prop_assert_eq!(a.meets(b), common);
            prop_assert_eq!(b.meets(a), common);
            prop_assert!(!a.holds(b) || a.meets(b));
        }

        #[test]
        fn a_tolerance_lies_around_its_nominal(nominal in 0.0..1e6_f64, tolerance in 0.0..1.0_f64) {
            let made = Interval::with_tolerance(Ohms(nominal), Ratio(tolerance));
            prop_assert!(made.contains(Ohms(nominal)) && made.lo() >= Ohms(0.0));
        }
    }
}
