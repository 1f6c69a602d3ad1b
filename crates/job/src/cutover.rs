//! `[cutover]`: how circuits go from old to new, by how many technicians and in which hours.

use std::collections::BTreeMap;

use quantity::{Hours, Minutes};

use crate::model::Duty;

/// `[cutover]`, with every default where the file is silent.
#[derive(Clone, PartialEq, Debug)]
pub struct Cutover {
    /// How circuits go over; default side by side.
    pub way: CutoverWay,
    /// Technicians; default 1.
    pub crew: u16,
    /// When work begins; none: day 1, when the first hours begin.
    pub start: Option<CutoverStart>,
    /// Hours in which work may be done; empty: every day 08:00 to 17:00, with people in.
    pub hours: Vec<WorkHours>,
    /// In place of the rules' limit: how long fire circuits may be out within 24 h.
    pub impairment: Option<Hours>,
    /// Who said so, on what paper, when; required with it.
    pub impairment_reason: String,
    /// In place of the labour table's: what a minute without a circuit weighs, by duty.
    pub weights: BTreeMap<Duty, u32>,
    /// Whether dummy resistors keep the old panel quiet as circuits leave; default yes.
    pub dummy_resistors: bool,
    /// What else has to be said; empty when nothing.
    pub notes: String,
}

impl Default for Cutover {
    fn default() -> Self {
        Self {
            way: CutoverWay::SideBySide,
            crew: 1,
            start: None,
            hours: Vec::new(),
            impairment: None,
            impairment_reason: String::new(),
            weights: BTreeMap::new(),
            dummy_resistors: true,
            notes: String::new(),
        }
    }
}

/// How circuits go over.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum CutoverWay {
    /// The new equipment works beside the old; each circuit is dead only while it moves. The default.
    SideBySide,
    /// The old equipment comes out first: every circuit is dead from the first lift.
    Swap,
}

impl CutoverWay {
    /// Both, in the order of the format.
    pub const ALL: [Self; 2] = [Self::SideBySide, Self::Swap];

    /// The word in the job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::SideBySide => "side by side",
            Self::Swap => "swap",
        }
    }
}

/// `2026-12-01 08:00`: a day, and a time on it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct CutoverStart {
    /// The day.
    pub day: Day,
    /// Minutes after midnight.
    pub minute: u32,
}

/// A day of the calendar, counted from 1970-01-01.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Day(pub i64);

impl Day {
    /// A day by year, month and day of the month; none where there is no such day.
    ///
    /// # Source
    /// Howard Hinnant's days_from_civil (public domain): years begin in March, so that the day that leap years add is
    /// the last.
    #[must_use]
    pub fn new(year: i64, month: i64, day: i64) -> Option<Self> {
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let days = match month {
            2 => 28 + i64::from(leap),
            4 | 6 | 9 | 11 => 30,
            1..=12 => 31,
            _ => return None,
        };
        if !(1..=days).contains(&day) || !(1970..=9999).contains(&year) {
            return None;
        }
        let shifted = if month > 2 { year } else { year - 1 };
        let era = shifted.div_euclid(400);
        let of_era = shifted - era * 400;
        let of_year = (153 * (month + if month > 2 { -3 } else { 9 }) + 2) / 5 + day - 1;
        Some(Self(era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468))
    }

    /// Year, month and day of the month.
    #[must_use]
    pub fn date(self) -> (i64, i64, i64) {
        let from_march = self.0 + 719_468;
        let era = from_march.div_euclid(146_097);
        let of_era = from_march - era * 146_097;
        let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year + year / 4 - year / 100);
        let part = (5 * of_year + 2) / 153;
        let month = if part < 10 { part + 3 } else { part - 9 };
        (year + era * 400 + i64::from(month <= 2), month, of_year - (153 * part + 2) / 5 + 1)
    }

    /// The day of the week.
    #[must_use]
    pub fn weekday(self) -> Weekday {
        // 1970-01-01 was a Thursday.
        let at = usize::try_from((self.0 + 3).rem_euclid(7)).unwrap_or(0);
        Weekday::ALL[at]
    }

    /// As written in the job file: `2026-12-01`.
    #[must_use]
    pub fn written(self) -> String {
        let (year, month, day) = self.date();
        format!("{year:04}-{month:02}-{day:02}")
    }
}

/// A day of the week.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Weekday {
    /// Monday.
    Mon,
    /// Tuesday.
    Tue,
    /// Wednesday.
    Wed,
    /// Thursday.
    Thu,
    /// Friday.
    Fri,
    /// Saturday.
    Sat,
    /// Sunday.
    Sun,
}

impl Weekday {
    /// Every day, Monday first.
    pub const ALL: [Self; 7] = [Self::Mon, Self::Tue, Self::Wed, Self::Thu, Self::Fri, Self::Sat, Self::Sun];

    /// The word in the job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        ["mon", "tue", "wed", "thu", "fri", "sat", "sun"][self as usize]
    }
}

/// Hours in which work may be done.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WorkHours {
    /// On these days; empty: every day.
    pub days: Vec<Weekday>,
    /// Minutes after midnight.
    pub from: u32,
    /// Minutes after midnight, later than `from`; at most 1440.
    pub to: u32,
    /// Whether people are in the building.
    pub occupied: bool,
}

/// `08:15`
#[must_use]
pub fn time_of_day(minute: u32) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

/// A limit as whole minutes, cut down.
#[must_use]
pub fn whole_minutes(hours: Hours) -> u32 {
    let minutes = Minutes(hours.0 * 60.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most a day, not negative"
    )]
    let whole = (minutes.0 + 1e-9).floor().clamp(0.0, 1e6) as u32;
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_the_calendar() {
        assert_eq!(Day::new(1970, 1, 1), Some(Day(0)));
        assert_eq!(Day(0).weekday(), Weekday::Thu);
        // 2000-03-01 is day 11017: 30 years of 365 days, 7 leap days before 2000, then 31 + 29 days.
        assert_eq!(Day::new(2000, 3, 1), Some(Day(30 * 365 + 7 + 60)));
        assert_eq!(Day::new(2026, 2, 29), None);
        assert_eq!(Day::new(2100, 2, 29), None);
        for day in (0..60_000).step_by(13) {
            let (year, month, of_month) = Day(day).date();
            assert_eq!(Day::new(year, month, of_month), Some(Day(day)));
        }
    }
}
