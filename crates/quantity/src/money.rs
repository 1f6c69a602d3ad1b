//! Money: whole hundredths of a currency that the office names; no sum of it ever passes through a float.

/// An amount in hundredths of the office's own currency.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Money(i64);

/// The largest amount that is taken from a file, in whole units.
const MOST: f64 = 10_000_000.0;

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// So many whole units.
    #[must_use]
    pub const fn of_whole(units: i64) -> Self {
        Self(units.saturating_mul(100))
    }

    /// So many hundredths.
    #[must_use]
    pub fn of_hundredths(hundredths: i64) -> Self {
        Self(hundredths)
    }

    /// An amount as typed (`95`, `0.5`): from 0 to 10 million with at most two decimals, else none.
    #[must_use]
    pub fn of_number(number: f64) -> Option<Self> {
        if !(0.0..=MOST).contains(&number) {
            return None;
        }
        let hundredths = (number * 100.0).round();
        // A tenth of a thousandth of a hundredth: what the nearest float of a number with two decimals is off by.
        let whole = (number * 100.0 - hundredths).abs() <= 1e-4;
        #[expect(clippy::cast_possible_truncation, reason = "at most 1e9, and whole")]
        whole.then_some(Self(hundredths as i64))
    }

    /// In hundredths.
    #[must_use]
    pub fn hundredths(self) -> i64 {
        self.0
    }

    /// The sum; an amount that no office ever charges stays at the end of the scale.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// So many times.
    #[must_use]
    pub fn times(self, count: u32) -> Self {
        Self(self.0.saturating_mul(i64::from(count)))
    }

    /// `self · times / over`, down to the whole hundredth below.
    #[must_use]
    pub fn share_down(self, times: u64, over: u64) -> Self {
        Self::fitted(i128::from(self.0) * i128::from(times) / i128::from(over.max(1)))
    }

    /// `self · times / over`, up to the whole hundredth above.
    #[must_use]
    pub fn share_up(self, times: u64, over: u64) -> Self {
        let over = i128::from(over.max(1));
        Self::fitted((i128::from(self.0) * i128::from(times) + over - 1) / over)
    }

    fn fitted(hundredths: i128) -> Self {
        Self(i64::try_from(hundredths).unwrap_or(i64::MAX))
    }

    /// With two decimals, without a currency: `1234.50`.
    #[must_use]
    pub fn written(self) -> String {
        let sign = if self.0 < 0 { "-" } else { "" };
        let size = self.0.unsigned_abs();
        format!("{sign}{}.{:02}", size / 100, size % 100)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn amounts_are_typed_with_two_decimals_at_most() {
        for (number, hundredths) in
            [(0.0, 0), (95.0, 9500), (0.1, 10), (0.29, 29), (1_234_567.89, 123_456_789)]
        {
            assert_eq!(Money::of_number(number), Some(Money(hundredths)), "{number}");
        }
        for number in [-1.0, 0.005, 12.345, 1e8, f64::NAN, f64::INFINITY] {
            assert_eq!(Money::of_number(number), None, "{number}");
        }
        assert_eq!(Money(123_450).written(), "1234.50");
        assert_eq!(Money(5).written(), "0.05");
    }

    /// By hand: 95.00 an hour for 20 min is 31.666...: 31.66 below, 31.67 above.
    #[test]
    fn a_share_is_rounded_outwards() {
        let hour = Money(9_500);
        assert_eq!(
            (hour.share_down(1_200, 3_600), hour.share_up(1_200, 3_600)),
            (Money(3_166), Money(3_167))
        );
        assert_eq!((hour.share_down(3_600, 3_600), hour.share_up(3_600, 3_600)), (hour, hour));
    }

    proptest! {
        #[test]
        fn shares_hold_the_truth_between_them(amount in 0..1_000_000_000_i64, times in 0..1_000_000_u64, over in 1..1_000_000_u64) {
            let (down, up) = (Money(amount).share_down(times, over).0, Money(amount).share_up(times, over).0);
            prop_assert!(up - down <= 1);
            let (true_times, over) = (i128::from(amount) * i128::from(times), i128::from(over));
            prop_assert!(i128::from(down) * over <= true_times && true_times <= i128::from(up) * over);
        }
    }
}
