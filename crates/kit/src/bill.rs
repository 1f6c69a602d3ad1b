//! What all of it costs.

use quantity::{Money, Ratio};

use crate::price::Price;
use crate::time::Time;

/// What the office charges.
#[derive(Clone, PartialEq, Debug)]
pub struct Rates {
    /// An hour of one technician; none where nobody has said.
    pub hour: Option<Money>,
    /// How many technicians come.
    pub crew: u32,
    /// Working time of a day on site, in seconds.
    pub day_s: u64,
    /// Travel, for each day of the crew.
    pub travel: Money,
    /// Coming back another day, all in.
    pub second_visit: Money,
    /// Put on the price of parts.
    pub margin: Ratio,
}

/// A price with its parts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Bill {
    /// Parts, as far as their prices are given.
    pub parts: Price,
    /// Put on the parts.
    pub margin: Price,
    /// Working time, of all technicians together.
    pub time: Time,
    /// What it costs; none without an hour's price.
    pub labour: Option<Price>,
    /// Days on site: fewest and most.
    pub days: (u64, u64),
    /// What they cost in travel.
    pub travel: Price,
    /// A second visit: none at least, one at most where something may force it.
    pub second_visit: Price,
    /// The sum of all that is given.
    pub total: Price,
}

/// Seconds in an hour.
const HOUR_S: u64 = 3_600;

impl Bill {
    /// The bill for parts and working time. Every sum is in whole hundredths; the low end rounds down, the high end up.
    #[must_use]
    pub fn of(parts: Price, time: Time, rates: &Rates, may_come_back: bool) -> Self {
        let margin = margin(parts, rates.margin);
        let labour = rates.hour.map(|hour| labour(hour, time));
        let a_day = rates.day_s.saturating_mul(u64::from(rates.crew.max(1))).max(1);
        let days = (time.lo().div_ceil(a_day), time.hi().div_ceil(a_day));
        let travel = Price::between(rates.travel.share_down(days.0, 1), rates.travel.share_up(days.1, 1));
        let second_visit =
            if may_come_back { Price::between(Money::ZERO, rates.second_visit) } else { Price::NOTHING };
        let total = parts.plus(margin).plus(labour.unwrap_or_default()).plus(travel).plus(second_visit);
        Self { parts, margin, time, labour, days, travel, second_visit, total }
    }

    /// Parts, margin and labour alone: what an option costs, which brings no travel of its own.
    #[must_use]
    pub fn of_option(parts: Price, time: Time, rates: &Rates) -> Price {
        let labour = rates.hour.map_or(Price::NOTHING, |hour| labour(hour, time));
        parts.plus(margin(parts, rates.margin)).plus(labour)
    }
}

fn labour(hour: Money, time: Time) -> Price {
    Price::between(hour.share_down(time.lo(), HOUR_S), hour.share_up(time.hi(), HOUR_S))
}

fn margin(parts: Price, margin: Ratio) -> Price {
    // In hundredths of a percent, whole.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 10,000")]
    let share = (margin.0.clamp(0.0, 1.0) * 10_000.0).round() as u64;
    Price::between(parts.lo().share_down(share, 10_000), parts.hi().share_up(share, 10_000))
}
