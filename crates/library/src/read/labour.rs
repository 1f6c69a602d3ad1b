//! Labour files: what is left out stays as built in.

use document::{Document, Located, Problem, Source, Table};
use quantity::{Interval, Minutes};

use crate::keys;
use crate::labour::{Effort, Labour, TASK_KEYS, Task};
use crate::weight::{DUTY_KEYS, DutyWeight};

/// The longest that one task may take: a working month, so that a slip of the unit is seen.
const LONGEST: Minutes = Minutes(10_000.0);
/// The most pieces that a time may be given for.
const MOST_AT_ONCE: i64 = 10_000;

/// The heaviest weight: only how they stand to each other matters.
const HEAVIEST: i64 = 1000;

/// Reads a labour file; a task that it leaves out is taken from `base`, or is missing when there is none.
pub(super) fn read(source: &Source, base: Option<&Labour>) -> Result<Labour, Vec<Problem>> {
    let document = Document::parse(source);
    let labour = labour(&document.root("", keys::LABOUR), base);
    match labour {
        Some(labour) if document.problems().is_empty() => Ok(labour),
        _ => Err(document.into_problems()),
    }
}

fn labour(table: &Table<'_>, base: Option<&Labour>) -> Option<Labour> {
    let id = super::id(table);
    let basis = table.required("basis").and_then(|value| value.text());
    let efforts = efforts(table, base);
    let weights = weights(table, base);
    Some(Labour { id: id?.value, basis: basis?.value, efforts: efforts?, weights: weights? })
}

fn weights(table: &Table<'_>, base: Option<&Labour>) -> Option<Vec<DutyWeight>> {
    let duties = table.table("weight", DUTY_KEYS);
    if duties.is_none() && !table.has("weight") && base.is_none() {
        let _ = table.required("weight");
    }
    let of = |duty: &document::Key| match duties.as_ref().filter(|duties| duties.has(duty)) {
        Some(duties) => weight(&duties.table(duty, keys::DUTY_WEIGHT)?),
        None => base.and_then(|base| base.weight(duty).cloned()).or_else(|| {
            let _ = duties.as_ref()?.required(duty);
            None
        }),
    };
    // All of them first, so that every slip is told.
    let read: Vec<Option<DutyWeight>> = DUTY_KEYS.iter().map(of).collect();
    read.into_iter().collect()
}

fn weight(table: &Table<'_>) -> Option<DutyWeight> {
    let number = |key| table.required(key).and_then(|value| value.whole(0, HEAVIEST));
    let (empty, occupied) = (number("empty"), number("occupied"));
    let basis = table.required("basis").and_then(|value| value.text());
    let small = |number: Located<i64>| u32::try_from(number.value).expect("from 0 to 1000");
    Some(DutyWeight { empty: small(empty?), occupied: small(occupied?), basis: basis?.value })
}

fn efforts(table: &Table<'_>, base: Option<&Labour>) -> Option<Vec<Effort>> {
    let tasks = table.table("task", TASK_KEYS);
    if tasks.is_none() && !table.has("task") && base.is_none() {
        let _ = table.required("task");
    }
    let of = |task: &Task| match tasks.as_ref().filter(|tasks| tasks.has(task.word())) {
        Some(tasks) => effort(&tasks.table(task.word(), keys::EFFORT)?),
        None => base.map(|base| base.effort(*task).clone()).or_else(|| {
            let _ = tasks.as_ref()?.required(task.word());
            None
        }),
    };
    // All of them first, so that every slip is told.
    let read: Vec<Option<Effort>> = Task::ALL.iter().map(of).collect();
    read.into_iter().collect()
}

fn effort(table: &Table<'_>) -> Option<Effort> {
    let minutes =
        table.required("minutes").and_then(|value| value.interval_within::<Minutes>(Minutes(0.0), LONGEST));
    let per = table.whole("per", 1, MOST_AT_ONCE).map_or(1, |per| per.value);
    let basis = table.required("basis").and_then(|value| value.text());
    let (minutes, basis): (Located<Interval<Minutes>>, Located<String>) = (minutes?, basis?);
    Some(Effort {
        minutes: minutes.value,
        per: u32::try_from(per).expect("from 1 to 10,000"),
        basis: basis.value,
    })
}
