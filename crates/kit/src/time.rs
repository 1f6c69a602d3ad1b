//! How long: whole seconds, at least and at most.

use quantity::{Interval, Minutes};

use crate::count::Count;

/// A working time that is only known to lie between two ends, in whole seconds.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Time {
    lo: u64,
    hi: u64,
}

/// A century in seconds: nothing that is planned takes longer, and nothing overflows.
const MOST: f64 = 3.2e9;

impl Time {
    /// None at all.
    pub const NONE: Self = Self { lo: 0, hi: 0 };

    /// Between two ends in seconds, in whichever order they are given.
    #[must_use]
    pub fn seconds(one: u64, other: u64) -> Self {
        Self { lo: one.min(other), hi: one.max(other) }
    }

    /// From minutes: the low end down, the high end up to the whole second.
    #[must_use]
    pub fn of_minutes(minutes: Interval<Minutes>) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to a century")]
        let whole = |seconds: f64| seconds.clamp(0.0, MOST) as u64;
        // Within a millionth of a second of a whole one it is that one: 0.1 min are 6 s, not 7.
        let near = |seconds: f64| {
            let round = seconds.round();
            ((seconds - round).abs() < 1e-6).then_some(round)
        };
        let (lo, hi) = (minutes.lo().0 * 60.0, minutes.hi().0 * 60.0);
        Self {
            lo: whole(near(lo).unwrap_or_else(|| lo.floor())),
            hi: whole(near(hi).unwrap_or_else(|| hi.ceil())),
        }
    }

    /// At least, in seconds.
    #[must_use]
    pub fn lo(self) -> u64 {
        self.lo
    }

    /// At most, in seconds.
    #[must_use]
    pub fn hi(self) -> u64 {
        self.hi
    }

    /// The sum.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { lo: self.lo.saturating_add(other.lo), hi: self.hi.saturating_add(other.hi) }
    }

    /// So many of it, when it is the time for `per` at once: `self · count / per`, rounded outwards.
    #[must_use]
    pub fn for_each(self, count: Count, per: u32) -> Self {
        let per = u64::from(per.max(1));
        Self {
            lo: self.lo.saturating_mul(u64::from(count.lo())) / per,
            hi: self.hi.saturating_mul(u64::from(count.hi())).div_ceil(per),
        }
    }

    /// The smallest range that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self { lo: self.lo.min(other.lo), hi: self.hi.max(other.hi) }
    }

    /// `35 min`, `20 to 35 min`, `4.5 to 7 h`: outwards to the minute, from two hours on to the tenth of an hour.
    #[must_use]
    pub fn written(self) -> String {
        if self.lo == self.hi && self.lo > 0 {
            // One time, to the next minute or tenth of an hour.
            let up = if self.hi >= 7_200 { self.hi.div_ceil(360) * 360 } else { self.hi.div_ceil(60) * 60 };
            if up != self.lo {
                return Self { lo: up, hi: up }.written();
            }
        }
        const TWO_HOURS: u64 = 7_200;
        let (lo, hi, unit) = if self.hi >= TWO_HOURS {
            (tenths(self.lo / 360), tenths(self.hi.div_ceil(360)), "h")
        } else {
            ((self.lo / 60).to_string(), self.hi.div_ceil(60).to_string(), "min")
        };
        if lo == hi { format!("{hi} {unit}") } else { format!("{lo} to {hi} {unit}") }
    }
}

fn tenths(tenths: u64) -> String {
    if tenths.is_multiple_of(10) {
        (tenths / 10).to_string()
    } else {
        format!("{}.{}", tenths / 10, tenths % 10)
    }
}
