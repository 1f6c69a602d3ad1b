//! What something costs: at least and at most.

use quantity::Money;

use crate::count::Count;

/// An amount that is only known to lie between two ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Price {
    lo: Money,
    hi: Money,
}

impl Price {
    /// Nothing.
    pub const NOTHING: Self = Self { lo: Money::ZERO, hi: Money::ZERO };

    /// So much, for sure.
    #[must_use]
    pub fn exact(amount: Money) -> Self {
        Self { lo: amount, hi: amount }
    }

    /// Between two ends, in whichever order they are given.
    #[must_use]
    pub fn between(one: Money, other: Money) -> Self {
        Self { lo: one.min(other), hi: one.max(other) }
    }

    /// At least.
    #[must_use]
    pub fn lo(self) -> Money {
        self.lo
    }

    /// At most.
    #[must_use]
    pub fn hi(self) -> Money {
        self.hi
    }

    /// The sum.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { lo: self.lo.plus(other.lo), hi: self.hi.plus(other.hi) }
    }

    /// So many of it: the fewest at the lowest price, the most at the highest.
    #[must_use]
    pub fn times(self, count: Count) -> Self {
        Self { lo: self.lo.times(count.lo()), hi: self.hi.times(count.hi()) }
    }

    /// The smallest range that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self { lo: self.lo.min(other.lo), hi: self.hi.max(other.hi) }
    }

    /// `120.00`, or `120.00 to 180.50`.
    #[must_use]
    pub fn written(self) -> String {
        if self.lo == self.hi {
            self.lo.written()
        } else {
            format!("{} to {}", self.lo.written(), self.hi.written())
        }
    }
}
