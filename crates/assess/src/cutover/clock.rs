//! What a minute of the plan is called, and in which minutes work may be done.

use cutover::{Presence, Window};
use job::{Cutover, Day, WorkHours, time_of_day};

/// Minutes of a day.
const DAY: u32 = 24 * 60;
/// So many days are looked at: a cut-over that takes longer wants another crew.
const MOST_DAYS: u32 = 90;

/// From minutes of the plan to dates and times: minute 0 is the midnight before the work begins.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Clock {
    day: Option<Day>,
    begin: u32,
    hours: Vec<WorkHours>,
}

impl Clock {
    pub(crate) fn new(cutover: &Cutover) -> Self {
        let usual = WorkHours { days: Vec::new(), from: 8 * 60, to: 17 * 60, occupied: true };
        let hours = if cutover.hours.is_empty() { vec![usual] } else { cutover.hours.clone() };
        Self {
            day: cutover.start.map(|start| start.day),
            begin: cutover.start.map_or(0, |start| start.minute),
            hours,
        }
    }

    /// `2026-12-01 08:15`, or `day 1 08:15` where the job says no date. Midnight at the end of a day belongs to it.
    #[must_use]
    pub fn written(&self, minute: u32) -> String {
        let (day, minute) = (minute / DAY, minute % DAY);
        format!("{} {}", self.day(day), time_of_day(minute))
    }

    /// The minute of the plan at a time of a day, below 0 before the plan's first midnight; none where the job says no date.
    #[must_use]
    pub fn minute_at(&self, day: Day, time: u32) -> Option<i64> {
        self.day.map(|first| (day.0 - first.0) * i64::from(DAY) + i64::from(time))
    }

    /// The day of a minute, from 0.
    #[must_use]
    pub fn day_of(minute: u32) -> u32 {
        minute / DAY
    }

    /// A day in words: `2026-12-01`, `day 1`.
    #[must_use]
    pub fn day(&self, day: u32) -> String {
        match self.day {
            Some(first) => Day(first.0 + i64::from(day)).written(),
            None => format!("day {}", day + 1),
        }
    }

    /// The time of day of a minute.
    #[must_use]
    pub fn time(minute: u32) -> String {
        time_of_day(minute % DAY)
    }

    /// Hours in which work may be done, for so many days at most as hold that many minutes twice over.
    pub(crate) fn windows(&self, minutes: u64) -> Vec<Window> {
        let mut windows: Vec<Window> = Vec::new();
        let mut sum = 0;
        for day in 0..MOST_DAYS {
            let weekday = self.day.map(|first| Day(first.0 + i64::from(day)).weekday());
            let of_day = |hours: &&WorkHours| {
                hours.days.is_empty() || weekday.is_some_and(|weekday| hours.days.contains(&weekday))
            };
            let mut today: Vec<&WorkHours> = self.hours.iter().filter(of_day).collect();
            today.sort_by_key(|hours| hours.from);
            for hours in today {
                let from = (day * DAY + hours.from).max(self.begin);
                let to = day * DAY + hours.to;
                if from >= to {
                    continue;
                }
                let presence = if hours.occupied { Presence::Occupied } else { Presence::Empty };
                sum += u64::from(to - from);
                match windows.last_mut() {
                    Some(last) if last.to == from && last.presence == presence => last.to = to,
                    _ => windows.push(Window { from, to, presence }),
                }
            }
            // A week more than the work takes by itself, so that every kind of hours comes up.
            if sum > 2 * minutes && day >= 8 + Clock::days(minutes) {
                break;
            }
        }
        windows
    }

    fn days(minutes: u64) -> u32 {
        u32::try_from(minutes / u64::from(DAY)).unwrap_or(MOST_DAYS)
    }
}

/// `2 h 05 min`, `45 min`.
pub(crate) fn length(minutes: u32) -> String {
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}
