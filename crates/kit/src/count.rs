//! How many: at least and at most.

/// A number of pieces, or of whole metres, that is only known to lie between two ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Count {
    lo: u32,
    hi: u32,
}

impl Count {
    /// None at all.
    pub const NONE: Self = Self { lo: 0, hi: 0 };
    /// One.
    pub const ONE: Self = Self { lo: 1, hi: 1 };

    /// So many, for sure.
    #[must_use]
    pub fn exact(count: u32) -> Self {
        Self { lo: count, hi: count }
    }

    /// Between two ends, in whichever order they are given.
    #[must_use]
    pub fn between(one: u32, other: u32) -> Self {
        Self { lo: one.min(other), hi: one.max(other) }
    }

    /// At least.
    #[must_use]
    pub fn lo(self) -> u32 {
        self.lo
    }

    /// At most.
    #[must_use]
    pub fn hi(self) -> u32 {
        self.hi
    }

    /// The sum.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { lo: self.lo.saturating_add(other.lo), hi: self.hi.saturating_add(other.hi) }
    }

    /// Enough for either: what one ladder does for two devices.
    #[must_use]
    pub fn most(self, other: Self) -> Self {
        Self { lo: self.lo.max(other.lo), hi: self.hi.max(other.hi) }
    }

    /// So many times.
    #[must_use]
    pub fn times(self, count: u32) -> Self {
        Self { lo: self.lo.saturating_mul(count), hi: self.hi.saturating_mul(count) }
    }

    /// `3`, or `0 to 2`.
    #[must_use]
    pub fn written(self) -> String {
        if self.lo == self.hi { self.lo.to_string() } else { format!("{} to {}", self.lo, self.hi) }
    }
}
