//! A lead battery of six cells, of one ampere-hour: what a current takes out of it, and the volts that are left.
//!
//! The rate effect is a published constant-current table itself, not an exponent fitted to it. Let `I(t)` be the
//! current that brings a full battery to 1.75 V a cell after `t`. A current `i` that has flowed for `t` has then used
//! the share `i phi(t)` of it, `phi = U / I`, and shares of successive changes of current add up, each counted from its
//! own beginning: the sizing by sections of IEEE 485 (from memory), read as a model. So a slow discharge spends the
//! whole capacity, a fast one half of it, and a short alarm at the end of a long standby the little that it takes.

use quantity::Celsius;

/// Constant currents of a 20 Ah block down to 1.75 V a cell at 20 C (reference table of three public data sheets of
/// absorbed-glass-mat batteries): minutes, ampere.
pub const DISCHARGE_TABLE: [(f64, f64); 14] = [
    (10.0, 34.4),
    (15.0, 27.0),
    (20.0, 22.2),
    (30.0, 17.4),
    (45.0, 13.0),
    (60.0, 10.6),
    (120.0, 6.59),
    (180.0, 5.06),
    (240.0, 4.09),
    (300.0, 3.33),
    (360.0, 2.95),
    (480.0, 2.31),
    (600.0, 1.96),
    (1200.0, 1.04),
];

/// Ampere-hours of that block in 20 h down to the same volts: its capacity by the name that profiles use.
pub const TABLE_CAPACITY: f64 = 1.04 * 20.0;

/// Capacity by temperature and rate, as a share of that at 25 C: handbook "Uninterruptible Power Supplies and
/// Standby Power Systems", p. 199. Celsius; shares at 15 min, 1 h, 5 h, 8 h, 20 h.
pub const TEMPERATURE_TABLE: [(f64, [f64; 5]); 17] = [
    (-9.4, [0.550, 0.580, 0.650, 0.705, 0.735]),
    (-6.7, [0.600, 0.630, 0.690, 0.735, 0.765]),
    (-3.9, [0.650, 0.680, 0.735, 0.765, 0.790]),
    (-1.1, [0.700, 0.725, 0.765, 0.790, 0.815]),
    (1.7, [0.740, 0.765, 0.800, 0.820, 0.840]),
    (4.4, [0.780, 0.800, 0.830, 0.845, 0.865]),
    (7.2, [0.820, 0.840, 0.855, 0.870, 0.890]),
    (10.0, [0.860, 0.865, 0.880, 0.895, 0.910]),
    (12.8, [0.875, 0.890, 0.910, 0.920, 0.930]),
    (15.8, [0.920, 0.930, 0.940, 0.945, 0.950]),
    (18.3, [0.940, 0.950, 0.955, 0.960, 0.965]),
    (21.1, [0.960, 0.970, 0.975, 0.975, 0.980]),
    (25.0, [1.000, 1.000, 1.000, 1.000, 1.000]),
    (26.7, [1.010, 1.005, 1.003, 1.002, 1.001]),
    (29.4, [1.030, 1.020, 1.015, 1.010, 1.005]),
    (32.2, [1.040, 1.025, 1.020, 1.015, 1.010]),
    (35.0, [1.050, 1.030, 1.025, 1.020, 1.015]),
];

/// Hours of the columns of [`TEMPERATURE_TABLE`].
pub const TEMPERATURE_RATES_H: [f64; 5] = [0.25, 1.0, 5.0, 8.0, 20.0];

/// The temperature of [`DISCHARGE_TABLE`].
const TABLE_TEMPERATURE: Celsius = Celsius(20.0);

/// Below the coldest row its fall goes on, but never below this share.
const LEAST_SHARE: f64 = 0.2;

/// Rested volts of a full block of six cells, and what they fall by until it is empty: the reference table's glass mat
/// A, a straight line from 12.85 V to 11.65 V.
pub const FULL_VOLTS: f64 = 12.85;
const RESTED_FALL: f64 = 1.2;
/// 1.75 V a cell.
const END_VOLTS: f64 = 10.5;
/// How steep the knee is, as an exponent: with it the currents to 1.60 and to 1.80 V a cell come out within 3.2 % of
/// the published ones at 1 h, 5 h and 20 h (tests).
const KNEE: f64 = 8.0;

/// Polarisation of a full battery in ohm for one ampere-hour, on top of its internal resistance: 0.0772 ohm at 7.2
/// Ah, the K of the Shepherd discharge model's lead-acid example set (ns-3's generic battery model).
pub const POLARISATION: f64 = 0.0772 * 7.2;

/// Internal resistance of a new block in ohm for one ampere-hour, for the table's block (15 mohm at 20 Ah).
const TABLE_INTERNAL: f64 = 0.3;

/// At the end of its life a battery has this share of its capacity (IEEE 450 as restated in UFGS 16265A).
pub const AGED_SHARE: f64 = 0.80;
/// And this many times its resistance (from memory: 1.3 to 2).
pub const AGED_RESISTANCE: f64 = 1.5;

/// Self-discharge as a current for one ampere-hour: 3 % a month at 20 C (data sheets).
pub const SELF_DISCHARGE: f64 = 0.03 / 730.0;

/// Rested volts of six cells of which a share is used, by the model: straight, with a knee at the end.
#[must_use]
pub fn rested_volts(used: f64) -> f64 {
    let used = used.max(0.0);
    FULL_VOLTS - RESTED_FALL * used - (FULL_VOLTS - RESTED_FALL - END_VOLTS) * libm::pow(used, KNEE)
}

/// The share used at which rested volts are so many.
fn used_at(volts: f64) -> f64 {
    let (mut low, mut high) = (0.0, 2.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if rested_volts(middle) > volts { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Capacity at a temperature as a share of that at 25 C, for a discharge that lasts so long: straight between the
/// rows and over the logarithm of time.
#[must_use]
pub fn temperature_share(at: Celsius, hours: f64) -> f64 {
    let row = |at: usize| -> f64 {
        let shares = TEMPERATURE_TABLE[at].1;
        let last = TEMPERATURE_RATES_H.len() - 1;
        if hours <= TEMPERATURE_RATES_H[0] {
            return shares[0];
        }
        if hours >= TEMPERATURE_RATES_H[last] {
            return shares[last];
        }
        let next = TEMPERATURE_RATES_H.iter().position(|rate| *rate > hours).unwrap_or(last);
        let (from, to) = (TEMPERATURE_RATES_H[next - 1], TEMPERATURE_RATES_H[next]);
        let part = libm::log(hours / from) / libm::log(to / from);
        shares[next - 1] + part * (shares[next] - shares[next - 1])
    };
    let rows = TEMPERATURE_TABLE.len();
    let warmest = TEMPERATURE_TABLE[rows - 1].0;
    let celsius = at.0.min(warmest);
    let above = TEMPERATURE_TABLE.iter().position(|(row, _)| *row >= celsius).unwrap_or(rows - 1).max(1);
    let (cold, warm) = (TEMPERATURE_TABLE[above - 1].0, TEMPERATURE_TABLE[above].0);
    let part = (celsius - cold) / (warm - cold);
    (row(above - 1) + part * (row(above) - row(above - 1))).max(LEAST_SHARE)
}

/// `phi` at one temperature: the share that one ampere uses of one ampere-hour in so many hours.
#[derive(Clone, Debug)]
pub struct Rate {
    /// Logarithms of hours and of `phi`, rising.
    knots: [(f64, f64); DISCHARGE_TABLE.len()],
}

impl Rate {
    /// At a temperature.
    #[must_use]
    pub fn at(temperature: Celsius) -> Self {
        let ohms = TABLE_INTERNAL + POLARISATION;
        let knots = DISCHARGE_TABLE.map(|(minutes, amperes)| {
            let hours = minutes / 60.0;
            let share = temperature_share(temperature, hours) / temperature_share(TABLE_TEMPERATURE, hours);
            let current = amperes / TABLE_CAPACITY * share;
            let used = used_at(END_VOLTS + ohms * current);
            (libm::log(hours), libm::log(used / current))
        });
        Self { knots }
    }

    /// The share that one ampere uses of one ampere-hour in so many hours. Beyond the slowest rate of the table it
    /// grows with time alone: no more than the rated capacity can be had.
    #[must_use]
    pub fn phi(&self, hours: f64) -> f64 {
        if hours <= 0.0 {
            return 0.0;
        }
        let time = libm::log(hours);
        let last = self.knots.len() - 1;
        if time >= self.knots[last].0 {
            return libm::exp(self.knots[last].1 + time - self.knots[last].0);
        }
        let next = self.knots.iter().position(|(knot, _)| *knot > time).unwrap_or(last).max(1);
        let (from, to) = (self.knots[next - 1], self.knots[next]);
        let slope = (to.1 - from.1) / (to.0 - from.0);
        libm::exp(from.1 + slope * (time - from.0))
    }
}

/// What has been drawn so far, as changes of current.
#[derive(Clone, Debug, Default)]
pub struct History {
    /// Hours, and the change of current in ampere for one ampere-hour.
    changes: Vec<(f64, f64)>,
    now: f64,
}

impl History {
    /// From here on it draws so much, for one ampere-hour.
    pub fn draw(&mut self, hours: f64, current: f64) {
        let change = current - self.now;
        if change.abs() > 1e-9 * self.now.abs() {
            self.changes.push((hours, change));
            self.now = current;
        }
    }

    /// The share that is used at a time.
    #[must_use]
    pub fn used(&self, rate: &Rate, hours: f64) -> f64 {
        self.changes.iter().map(|(since, change)| change * rate.phi(hours - since)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How long a constant current lasts down to so many volts, by the model alone.
    fn hours_to(volts: f64, current: f64, temperature: Celsius) -> f64 {
        let rate = Rate::at(temperature);
        let wanted = used_at(volts + (TABLE_INTERNAL + POLARISATION) * current);
        let (mut low, mut high) = (1e-3, 1e4);
        for _ in 0..100 {
            let middle = f64::sqrt(low * high);
            if current * rate.phi(middle) < wanted { low = middle } else { high = middle }
        }
        low
    }

    /// Source: the published table itself; to 1e-6, since it is the model's own grid.
    #[test]
    fn every_point_of_the_published_table_comes_back() {
        for (minutes, amperes) in DISCHARGE_TABLE {
            let hours = hours_to(10.5, amperes / TABLE_CAPACITY, Celsius(20.0));
            assert!((hours * 60.0 / minutes - 1.0).abs() < 1e-6, "{amperes} A: {} min", hours * 60.0);
        }
    }

    /// Source: currents by end volts of the same sheets (reference/lead-acid.md, 1): V a cell, 1 h, 5 h, 20 h.
    #[test]
    fn other_end_volts_come_out_near_the_published_currents() {
        const PUBLISHED: [(f64, [f64; 3]); 5] = [
            (1.60, [11.7, 3.63, 1.08]),
            (1.65, [11.3, 3.51, 1.07]),
            (1.70, [10.9, 3.41, 1.06]),
            (1.75, [10.6, 3.33, 1.04]),
            (1.80, [10.1, 3.24, 1.03]),
        ];
        let mut worst = 0.0_f64;
        for (cell, currents) in PUBLISHED {
            for (hours, amperes) in [1.0, 5.0, 20.0].into_iter().zip(currents) {
                // The current that lasts exactly so long.
                let (mut low, mut high) = (0.5 * amperes, 1.5 * amperes);
                for _ in 0..60 {
                    let middle = 0.5 * (low + high);
                    if hours_to(6.0 * cell, middle / TABLE_CAPACITY, Celsius(20.0)) > hours {
                        low = middle;
                    } else {
                        high = middle;
                    }
                }
                let off = low / amperes - 1.0;
                worst = worst.max(off.abs());
                assert!(off.abs() < 0.032, "{cell} V a cell, {hours} h: {low} A against {amperes} A");
            }
        }
        assert!(worst > 0.0);
    }

    /// Source: the handbook's table, every row at its rates; 15.8 is printed so.
    #[test]
    fn capacity_follows_the_published_temperatures() {
        for (celsius, shares) in TEMPERATURE_TABLE {
            for (hours, share) in TEMPERATURE_RATES_H.into_iter().zip(shares) {
                assert!((temperature_share(Celsius(celsius), hours) - share).abs() < 1e-12);
                // And the model's own capacity moves by as much, where both tables have the rate.
                let table =
                    DISCHARGE_TABLE.iter().find(|(minutes, _)| (*minutes - 60.0 * hours).abs() < 1e-9);
                let Some((_, amperes)) = table else { continue };
                let share = share / temperature_share(Celsius(20.0), hours);
                let lasts = hours_to(10.5, amperes / TABLE_CAPACITY * share, Celsius(celsius));
                assert!((lasts / hours - 1.0).abs() < 1e-6, "{celsius} C, {hours} h: {lasts}");
            }
        }
    }

    /// By hand: 20 h at a twentieth are the rated capacity, and half the current lasts twice as long, not longer.
    #[test]
    fn slower_than_the_table_gives_no_more_than_the_rated_capacity() {
        let slow = hours_to(10.5, 0.025, Celsius(20.0));
        assert!((39.5..=41.0).contains(&slow), "{slow}");
    }

    /// By sections (IEEE 485, from memory): a standby of 0.02 C for 24 h and an alarm of 0.4 C for half an hour.
    #[test]
    fn an_alarm_after_a_standby_adds_up_by_sections() {
        let rate = Rate::at(Celsius(20.0));
        let mut history = History::default();
        history.draw(0.0, 0.02);
        history.draw(24.0, 0.4);
        let by_sections = 0.02 * rate.phi(24.5) + 0.38 * rate.phi(0.5);
        assert!((history.used(&rate, 24.5) - by_sections).abs() < 1e-12);
    }
}
