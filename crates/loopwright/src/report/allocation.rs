//! An allocation for people: the answer, what it costs, module by module what lands where, what stays, what stands in
//! the way.

use std::ops::Range;

use assess::{AllocationPlan, InputPlan, ModulePlan, PlacePlan};
use quantity::{Money, Written};

use super::finding;
use super::page::Page;

/// Puts everything that is to be said of a plan; `line` gives the line of a place in the job's text.
pub(crate) fn put(page: &mut Page, plan: &AllocationPlan, line: &dyn Fn(&Range<usize>) -> usize) {
    page.paragraph(0, &plan.answer());
    if plan.found() {
        page.paragraph(0, &cost(plan));
    }
    conflict(page, plan, line);
    // What the tables below say anyway.
    let told = |finding: &&job::Finding| {
        !matches!(finding.code, "allocate-conflict" | "allocate-left" | "allocate-split" | "allocate-gap")
    };
    let findings: Vec<job::Finding> = plan.findings.iter().filter(told).cloned().collect();
    finding::put(page, &findings, false);
    if !plan.found() {
        left(page, plan);
        return;
    }
    for module in &plan.modules {
        of_module(page, plan, module);
    }
    left(page, plan);
    rooms(page, plan);
}

/// `14.90: parts 1.20, working time 2 h 28 min at 60.00 an hour.`
pub(crate) fn cost(plan: &AllocationPlan) -> String {
    let currency = plan.job.rates.as_ref().map_or("", |rates| rates.currency.as_str());
    let gap = if currency.is_empty() { "" } else { " " };
    format!(
        "It costs {}{gap}{currency}: {} of parts and {} of work at {} an hour, beyond landing the circuits.",
        money(plan.cost),
        money(plan.effort.cents),
        time(plan.effort.seconds),
        money(plan.weights.cents_per_hour),
    )
}

pub(crate) fn money(cents: u64) -> String {
    Money::of_hundredths(i64::try_from(cents).unwrap_or(i64::MAX)).written()
}

/// `2 h 28 min`
pub(crate) fn time(seconds: u64) -> String {
    let minutes = seconds.div_ceil(60);
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// Each demand with its line; only one has to go.
fn conflict(page: &mut Page, plan: &AllocationPlan, line: &dyn Fn(&Range<usize>) -> usize) {
    let Some(conflict) = &plan.conflict else { return };
    page.gap();
    page.paragraph(
        0,
        if conflict.irreducible {
            "These demands cannot stand together; with any one of them given up the others can:"
        } else {
            "These demands cannot stand together; whether fewer of them are to blame was not searched to the end:"
        },
    );
    let row = |demand: &assess::DemandPlan| {
        let at = demand.span.as_ref().map_or("the job".to_owned(), |span| format!("line {}", line(span)));
        vec![at, demand.words.clone()]
    };
    page.table(2, &conflict.demands.iter().map(row).collect::<Vec<_>>());
    if !conflict.forbids.is_empty() {
        page.paragraph(0, "What might make room, the job forbids:");
        page.table(2, &conflict.forbids.iter().map(row).collect::<Vec<_>>());
    }
    if conflict.smallest {
        page.paragraph(0, "No smaller set of demands stands in the way.");
    }
}

fn of_module(page: &mut Page, plan: &AllocationPlan, module: &ModulePlan) {
    let mode =
        module.mode.as_ref().map_or("each input its own mode".to_owned(), |mode| format!("mode {mode}"));
    let place = module.enclosure.as_ref().map_or(String::new(), |id| format!(" in {id}"));
    let new = if module.existing.is_none() { ", new" } else { "" };
    page.heading(&format!("{}: {}{place}{new}, {mode}", module.id, module.profile));
    page.paragraph(4, &format!("Tamper input {}: {}.", module.tamper.word(), module.tamper_because));
    let mut rows = Vec::new();
    let mut used: Vec<(u16, &InputPlan, usize)> = Vec::new();
    for input in &plan.inputs {
        for (at, place) in input.inputs.iter().enumerate().filter(|(_, place)| place.module == module.id) {
            used.push((place.number, input, at));
        }
    }
    used.sort_by_key(|(number, ..)| *number);
    for (number, input, at) in used {
        rows.push(row(plan, module, number, input, at));
    }
    if !rows.is_empty() {
        page.table(2, &rows);
    }
    if !module.spare.is_empty() {
        page.paragraph(4, &format!("Free: {}.", runs(&module.spare)));
    }
}

/// Input, tag, zone, mode where it is the input's own, what has to be done.
fn row(plan: &AllocationPlan, module: &ModulePlan, number: u16, input: &InputPlan, at: usize) -> Vec<String> {
    let circuit = &plan.job.circuits[input.circuit];
    let zone = input.zones.get(at).map_or(String::new(), |zone| format!("zone {zone}"));
    let mut cells = vec![format!("{}.{number}", module.id), circuit.tag.value.clone(), zone];
    if module.mode.is_none() {
        cells.push(input.mode.clone());
    }
    let mut words = vec![circuit.place.clone()];
    if at > 0 {
        words = vec!["for one of its home runs".to_owned()];
    } else {
        words.extend(
            input.remedy.as_ref().map(|remedy| format!("{} {} min.", remedy.text, remedy.minutes.0.ceil())),
        );
        words.extend(input.extension.as_ref().map(|extension| {
            format!("Make its cable longer from {} by {}.", extension.from, extension.length.written())
        }));
        words.extend(input.wrong.as_ref().map(|_| "Does not read right here.".to_owned()));
    }
    words.retain(|part| !part.is_empty());
    cells.push(words.join(": "));
    cells
}

/// `8, 11 to 14`
fn runs(numbers: &[u16]) -> String {
    let mut parts: Vec<(u16, u16)> = Vec::new();
    for &number in numbers {
        match parts.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => parts.push((number, number)),
        }
    }
    let said = |(first, last): &(u16, u16)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first} to {last}"),
    };
    parts.iter().map(said).collect::<Vec<_>>().join(", ")
}

fn left(page: &mut Page, plan: &AllocationPlan) {
    if plan.left.is_empty() {
        return;
    }
    page.heading("Without an input");
    let row = |left: &assess::Left| {
        let circuit = &plan.job.circuits[left.circuit];
        vec![circuit.tag.value.clone(), left.because.words().to_owned()]
    };
    page.table(2, &plan.left.iter().map(row).collect::<Vec<_>>());
}

fn rooms(page: &mut Page, plan: &AllocationPlan) {
    page.heading("What is left");
    let mut rows: Vec<Vec<String>> = plan.places.iter().map(room).collect();
    let mut panel = Vec::new();
    panel.extend(plan.zones_left.map(|zones| counted(zones, "zone")));
    panel.extend(plan.modules_left.map(|modules| format!("room for {}", counted(modules, "module"))));
    if !panel.is_empty() {
        rows.push(vec!["panel".to_owned(), panel.join(", ")]);
    }
    page.table(2, &rows);
}

fn room(place: &PlacePlan) -> Vec<String> {
    let mut words = vec![counted(place.spare, "free input")];
    words.push(match place.positions_left {
        Some(left) => counted(left, "module position"),
        None => "positions not known".to_owned(),
    });
    words.push(match place.battery_spaces {
        Some(spaces) => format!("{} of {} taken", place.batteries, counted(spaces, "battery space")),
        None => "battery spaces not known".to_owned(),
    });
    for annex in &place.annexes {
        words.push(format!("{} to be hung beside it, a new {}", annex.id, annex.profile));
    }
    vec![if place.id.is_empty() { "inputs".to_owned() } else { place.id.clone() }, words.join(", ")]
}

pub(crate) fn counted(count: u32, what: &str) -> String {
    match count {
        1 => format!("1 {what}"),
        count => format!("{count} {what}s"),
    }
}
