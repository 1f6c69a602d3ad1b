//! `[cutover]`

use std::collections::BTreeMap;

use document::{Misread, Table, Value};
use quantity::Hours;

use super::words;
use crate::cutover::{Cutover, CutoverStart, CutoverWay, Day, Weekday, WorkHours};
use crate::keys;
use crate::model::Duty;

/// More technicians than any cut-over has.
const MOST_CREW: i64 = 50;
/// Only how weights stand to each other matters.
const HEAVIEST: i64 = 1000;
/// Minutes of a day.
const DAY: u32 = 24 * 60;

pub(super) fn cutover(root: &Table<'_>) -> Cutover {
    let Some(table) = root.table("cutover", keys::CUTOVER) else { return Cutover::default() };
    let table = &table;
    let usual = Cutover::default();
    let ways = CutoverWay::ALL.map(|way| (way.word(), way));
    let start = table.read("start", "2026-12-01 08:00", start).map(|start| start.value);
    // In words of its own: a sixtieth of an hour is no number to read.
    let impairment = table.quantity::<Hours>("impairment").filter(|limit| {
        let within = (1.0 / 60.0..=24.0).contains(&limit.value.0);
        if !within {
            table.problems().report(limit.span.clone(), "out of range", "1 min to 24 h");
        }
        within
    });
    let reason = words(table, "impairment_reason");
    if let Some(limit) = &impairment
        && reason.is_empty()
    {
        let accept = "`impairment_reason`: who said so, on what paper, when";
        table.problems().report(limit.span.clone(), "a limit other than the rules' needs its reason", accept);
    }
    Cutover {
        way: table.word("way", &ways).map_or(usual.way, |way| way.value),
        crew: table
            .whole("crew", 1, MOST_CREW)
            .map_or(usual.crew, |crew| u16::try_from(crew.value).unwrap_or(1)),
        hours: hours(table, start.is_some()),
        start,
        impairment: impairment.map(|limit| limit.value),
        impairment_reason: reason,
        weights: weights(table),
        dummy_resistors: table.yes_or_no("dummy_resistors").map_or(usual.dummy_resistors, |yes| yes.value),
        notes: words(table, "notes"),
    }
}

fn weights(table: &Table<'_>) -> BTreeMap<Duty, u32> {
    let Some(weights) = table.table("weights", keys::CUTOVER_WEIGHTS) else { return BTreeMap::new() };
    let one = |duty: Duty| {
        let weight = weights.whole(duty.word(), 0, HEAVIEST)?;
        Some((duty, u32::try_from(weight.value).ok()?))
    };
    Duty::ALL.into_iter().filter_map(one).collect()
}

fn hours(table: &Table<'_>, dated: bool) -> Vec<WorkHours> {
    let mut all: Vec<WorkHours> = Vec::new();
    for value in table.list("hours") {
        let Some(hours) = value.table(keys::CUTOVER_HOURS).and_then(|table| one(&table)) else { continue };
        if !hours.days.is_empty() && !dated {
            let accept = "`start` with its date, or hours without `days`";
            table.problems().report(
                value.span(),
                "days of the week, and no date from which they count",
                accept,
            );
        }
        let meets = |other: &&WorkHours| {
            let day = |day: &Weekday| other.days.is_empty() || other.days.contains(day);
            let shared = hours.days.is_empty() || hours.days.iter().any(day);
            shared && hours.from < other.to && other.from < hours.to
        };
        if all.iter().any(|other| meets(&other)) {
            let accept = "hours of a day that do not overlap";
            table.problems().report(value.span(), "these hours lie over others", accept);
        }
        all.push(hours);
    }
    all
}

fn one(table: &Table<'_>) -> Option<WorkHours> {
    let weekdays = Weekday::ALL.map(|day| (day.word(), day));
    let building = [("occupied", true), ("empty", false)];
    let days = table.list("days").iter().filter_map(|day| day.word(&weekdays)).map(|day| day.value).collect();
    let time = |value: Value<'_>| value.read("08:00", time);
    let from = table.required("from").and_then(time);
    let to = table.required("to").and_then(time);
    let occupied = table.required("building").and_then(|value| value.word(&building));
    let (from, to) = (from?, to?);
    if to.value <= from.value {
        let text = "these hours end before they begin";
        table.problems().report(
            to.span,
            text,
            "a later time; hours over midnight are two entries, to 24:00 and from 00:00",
        );
        return None;
    }
    Some(WorkHours { days, from: from.value, to: to.value, occupied: occupied?.value })
}

/// `08:15`, to `24:00`.
fn time(text: &str) -> Result<u32, Misread> {
    const ACCEPT: &str = "hours and minutes, as `08:15`, to `24:00`";
    let wrong = || Misread::whole(format!("`{text}` is no time of day"), ACCEPT);
    let (hours, minutes) = text.split_once(':').ok_or_else(wrong)?;
    let two = |part: &str| part.len() == 2 && part.bytes().all(|digit| digit.is_ascii_digit());
    if !two(hours) || !two(minutes) {
        return Err(wrong());
    }
    let (hours, minutes): (u32, u32) =
        (hours.parse().map_err(|_| wrong())?, minutes.parse().map_err(|_| wrong())?);
    let sum = 60 * hours + minutes;
    if minutes < 60 && sum <= DAY { Ok(sum) } else { Err(wrong()) }
}

/// `2026-12-01 08:00`
fn start(text: &str) -> Result<CutoverStart, Misread> {
    const ACCEPT: &str = "date and time, as `2026-12-01 08:00`";
    let wrong = || Misread::whole(format!("`{text}` is no date with its time"), ACCEPT);
    let (date, clock) = text.split_once(' ').ok_or_else(wrong)?;
    let parts: Vec<&str> = date.split('-').collect();
    let [year, month, day] = parts[..] else { return Err(wrong()) };
    let number = |part: &str, long: usize| {
        let good = part.len() == long && part.bytes().all(|digit| digit.is_ascii_digit());
        good.then(|| part.parse::<i64>().ok()).flatten().ok_or_else(wrong)
    };
    let (year, month, day) = (number(year, 4)?, number(month, 2)?, number(day, 2)?);
    let day = Day::new(year, month, day).ok_or_else(|| {
        Misread::whole(format!("there is no day {date}"), "a day from 1970 on, as `2026-12-01`")
    })?;
    let minute = time(clock)?;
    if minute == DAY {
        return Err(wrong());
    }
    Ok(CutoverStart { day, minute })
}
