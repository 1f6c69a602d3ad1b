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
