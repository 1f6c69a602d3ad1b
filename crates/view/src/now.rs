//! A minute of the cut-over, by the plan: what is under way, what is without protection, what comes next.

use assess::{Clock, Cutover, OrderRow};
use job::Day;

/// The plan as far as a minute of it can be looked up.
pub struct Running {
    clock: Clock,
    order: Vec<OrderRow>,
    moments: Vec<Moment>,
}

/// From when on what is without protection.
struct Moment {
    at: u32,
    gone: Vec<String>,
    on_test: bool,
}

/// What the plan says of a minute.
pub struct Now {
    /// The minute: `2026-12-01 10:32`.
    pub at: String,
    /// Before the first minute of work, or after the last.
    pub outside: Option<String>,
    /// Until when, what, where: what is under way.
    pub work: Vec<[String; 3]>,
    /// What is without protection, each with since when.
    pub gone: Vec<String>,
    /// Whether the account is on test.
    pub on_test: bool,
    /// When the next work begins and what it is; empty at the end.
    pub next: String,
    /// The place of the present day in the running order.
    pub day: Option<usize>,
}

impl Running {
    pub(crate) fn of(cutover: &Cutover) -> Self {
        let moment = |(at, _): (u32, usize)| Moment {
            at,
            gone: cutover
                .gone_at(at)
                .into_iter()
                .map(|one| format!("{} since {}", one.what, cutover.clock.written(one.since)))
                .collect(),
            on_test: cutover.on_test_since(at).is_some(),
        };
        Self {
            clock: cutover.clock.clone(),
            order: cutover.order(),
            moments: cutover.moments().into_iter().map(moment).collect(),
        }
    }

    /// The plan at a day, counted from 1970-01-01, and a minute of it; none where the job says no date, or nothing is planned.
    #[must_use]
    pub fn now(&self, day: i64, time: u32) -> Option<Now> {
        let minute = self.clock.minute_at(Day(day), time)?;
        let (first, end) = (self.order.first()?.from, self.order.iter().map(|row| row.to).max()?);
        let known = u32::try_from(minute.max(0)).unwrap_or(u32::MAX);
        let outside = if minute < i64::from(first) {
            Some(format!("The work begins {}.", self.clock.written(first)))
        } else if minute >= i64::from(end) {
            Some(format!("By the plan the work ended {}.", self.clock.written(end)))
        } else {
            None
        };
        let under_way = |row: &&OrderRow| row.from <= known && known < row.to;
        let work = self
            .order
            .iter()
            .filter(under_way)
            .map(|row| [format!("until {}", Clock::time(row.to)), row.what.clone(), row.place.clone()]);
        let next = self.order.iter().find(|row| i64::from(row.from) > minute);
        let moment = self.moments.iter().rev().find(|moment| i64::from(moment.at) <= minute);
        let mut days: Vec<u32> = self.order.iter().map(|row| row.day).collect();
        days.dedup();
        Some(Now {
            at: format!("{} {}", Day(day).written(), Clock::time(time)),
            outside,
            work: work.collect(),
            gone: moment.map_or(Vec::new(), |moment| moment.gone.clone()),
            on_test: moment.is_some_and(|moment| moment.on_test),
            next: next.map_or(String::new(), |row| {
                format!("{}: {} {}", self.clock.written(row.from), row.what, row.place).trim_end().to_owned()
            }),
            day: days.iter().position(|one| i64::from(*one) == minute.div_euclid(24 * 60)),
        })
    }
}

/// What the whole plan comes to at a glance: what and how much.
pub(crate) fn glance(cutover: &Cutover) -> Vec<[String; 2]> {
    let named = |at: u32| {
        let gone = cutover.gone_at(at);
        let tags: Vec<&str> = gone.iter().map(|one| one.what.as_str()).collect();
        format!("{}: {}", cutover.clock.written(at), crate::words::listed(&tags, 12))
    };
    let levels = cutover.levels();
    let mut rows = Vec::new();
    if let Some((at, ..)) = levels.iter().find(|(_, count, _)| *count > 0) {
        rows.push(["The first without protection".to_owned(), named(*at)]);
    }
    let heaviest = levels.iter().rev().max_by_key(|(_, _, weight)| *weight);
    if let Some((at, count, weight)) = heaviest.filter(|(_, count, _)| *count > 0) {
        let circuits = crate::words::counted(*count, "circuit", "circuits");
        rows.push([format!("Most weight at once: {weight}, {circuits}"), named(*at)]);
    }
    let last = match (levels.last(), cutover.endless.is_empty()) {
        (Some((at, ..)), true) => cutover.clock.written(*at),
        (Some(_), false) => "not in this plan; what has no end is named above".to_owned(),
        (None, _) => return rows,
    };
    rows.push(["All have protection again".to_owned(), last]);
    let spans: Vec<String> = cutover
        .on_test
        .iter()
        .map(|(on, off)| format!("{} to {}", cutover.clock.written(*on), Clock::time(*off)))
        .collect();
    if !spans.is_empty() {
        rows.push(["The account is on test".to_owned(), spans.join("; ")]);
    }
    rows
}
