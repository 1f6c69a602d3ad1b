//! Labour files: what is left out stays as built in.

use document::{Document, Key, Located, Problem, Source, Table, Value};
use quantity::{Interval, Metres, Minutes, Money, Ratio};

use crate::keys;
use crate::labour::{Effort, Labour, TASK_KEYS, Task};
use crate::small_parts::{Allowance, PART_KEYS, PartTerms, SmallPart};
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
    let parts = parts(table, base);
    let allowance = allowance(table, base);
    let weights = weights(table, base);
    Some(Labour {
        id: id?.value,
        basis: basis?.value,
        efforts: efforts?,
        parts: parts?,
        allowance: allowance?,
        weights: weights?,
    })
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
    let tasks = inside(table, "task", TASK_KEYS, base);
    let of = |task: &Task| {
        one(tasks.as_ref(), task.word(), keys::EFFORT, effort, base.map(|base| base.effort(*task)))
    };
    // All of them first, so that every slip is told.
    let read: Vec<Option<Effort>> = Task::ALL.iter().map(of).collect();
    read.into_iter().collect()
}

fn parts(table: &Table<'_>, base: Option<&Labour>) -> Option<Vec<PartTerms>> {
    let parts = inside(table, "part", PART_KEYS, base);
    let of = |part: &SmallPart| {
        one(parts.as_ref(), part.word(), keys::PART, terms, base.map(|base| base.part(*part)))
    };
    let read: Vec<Option<PartTerms>> = SmallPart::ALL.iter().map(of).collect();
    read.into_iter().collect()
}

/// A table that may only be left out where there is something to stand on.
fn inside<'d>(table: &Table<'d>, key: Key, keys: &'static [Key], base: Option<&Labour>) -> Option<Table<'d>> {
    if !table.has(key) && base.is_none() {
        let _ = table.required(key);
    }
    table.table(key, keys)
}

/// One entry of such a table; what is left out is taken from what it stands on.
fn one<T: Clone>(
    table: Option<&Table<'_>>,
    word: Key,
    keys: &'static [Key],
    read: impl Fn(&Table<'_>) -> Option<T>,
    base: Option<&T>,
) -> Option<T> {
    match table.filter(|table| table.has(word)) {
        Some(table) => read(&table.table(word, keys)?),
        None => base.cloned().or_else(|| {
            let _ = table?.required(word);
            None
        }),
    }
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

fn terms(table: &Table<'_>) -> Option<PartTerms> {
    let price = table.required("price").and_then(|value| money(table, &value));
    let spare = table.quantity::<Ratio>("spare").map_or(Ratio(0.0), |spare| spare.value);
    let spare_least = table.whole("spare_least", 0, MOST_AT_ONCE).map_or(0, |least| least.value);
    let basis = table.required("basis").and_then(|value| value.text());
    Some(PartTerms {
        price: price?,
        spare,
        spare_least: u32::try_from(spare_least).expect("from 0 to 10,000"),
        basis: basis?.value,
    })
}

fn money(table: &Table<'_>, value: &Value<'_>) -> Option<Money> {
    let number = value.number(0.0, 1e7)?;
    let money = Money::of_number(number.value);
    if money.is_none() {
        table.problems().report(value.span(), "more than two decimals", "an amount as `95` or `0.25`");
    }
    money
}

fn allowance(table: &Table<'_>, base: Option<&Labour>) -> Option<Allowance> {
    let base = base.map(|base| base.allowance);
    let table = match inside_allowance(table, base.is_some()) {
        Some(table) => table,
        None => return base,
    };
    let need = |key: Key| {
        if base.is_none() && !table.has(key) {
            let _ = table.required(key);
        }
    };
    for key in keys::ALLOWANCE {
        need(key);
    }
    let share = |key, from: Option<Interval<Ratio>>| {
        table.interval_within::<Ratio>(key, Ratio(0.0), Ratio(1.0)).map(|share| share.value).or(from)
    };
    let years = |key, from: Option<u32>| {
        table.whole(key, 1, 100).and_then(|years| u32::try_from(years.value).ok()).or(from)
    };
    let dead = share("dead", base.map(|base| base.dead));
    let repaired = share("repaired", base.map(|base| base.repaired));
    let extension = table
        .interval_within::<Metres>("extension", Metres(0.0), Metres(10_000.0))
        .map(|extension| extension.value)
        .or(base.map(|base| base.extension));
    let old_after = years("old_after", base.map(|base| base.old_after));
    let due_after = years("due_after", base.map(|base| base.due_after));
    Some(Allowance {
        dead: dead?,
        extension: extension?,
        repaired: repaired?,
        old_after: old_after?,
        due_after: due_after?,
    })
}

fn inside_allowance<'d>(table: &Table<'d>, may_be_left_out: bool) -> Option<Table<'d>> {
    if !table.has("allowance") && !may_be_left_out {
        let _ = table.required("allowance");
    }
    table.table("allowance", keys::ALLOWANCE)
}
