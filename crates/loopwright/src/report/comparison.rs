//! Two allocations side by side, then the circuits that differ.

use assess::{AllocationPlan, InputPlan};

use super::allocation::{counted, money, time};
use super::page::Page;

/// A plan with what it is called.
pub(crate) struct Side<'a> {
    /// Its heading.
    pub(crate) name: &'a str,
    /// The plan.
    pub(crate) plan: &'a AllocationPlan<'a>,
}

/// Puts both sides; the second is the first in the row of things that could be instead.
pub(crate) fn put(page: &mut Page, one: &Side, other: &Side) {
    page.paragraph(0, &format!("{}: {}", one.name, one.plan.answer()));
    page.paragraph(0, &format!("{}: {}", other.name, other.plan.answer()));
    let rows = [
        ("", (|side: &Side| side.name.to_owned()) as fn(&Side) -> String),
        ("modules", |side| side.plan.modules.len().to_string()),
        ("of these to be bought", |side| {
            side.plan.modules.iter().filter(|module| module.existing.is_none()).count().to_string()
        }),
        ("circuits on inputs", |side| side.plan.inputs.len().to_string()),
        ("read wrong there", |side| {
            side.plan.inputs.iter().filter(|input| input.wrong.is_some()).count().to_string()
        }),
        ("circuits to be changed", |side| {
            side.plan.inputs.iter().filter(|input| input.remedy.is_some()).count().to_string()
        }),
        ("free inputs", |side| {
            side.plan.modules.iter().map(|module| module.spare.len()).sum::<usize>().to_string()
        }),
        ("parts, all modules counted", |side| money(side.plan.effort.cents + side.plan.standing.cents)),
        ("work, all modules counted", |side| time(side.plan.effort.seconds + side.plan.standing.seconds)),
        ("both as one number", |side| money(whole(side.plan))),
    ];
    page.gap();
    let row = |(what, of): (&str, fn(&Side) -> String)| {
        // What was not found has no price and no modules.
        let said = |side: &Side| {
            if what.is_empty() || side.plan.found() { of(side) } else { "-".to_owned() }
        };
        vec![what.to_owned(), said(one), said(other)]
    };
    let rows: Vec<Vec<String>> = rows.into_iter().map(row).collect();
    page.table(2, &rows);
    if one.plan.found() && other.plan.found() {
        differing(page, one, other);
    }
}

/// The plan's cost with the modules of the job as if they were new.
pub(crate) fn whole(plan: &AllocationPlan) -> u64 {
    plan.cost + plan.weights.fold(plan.standing)
}

fn differing(page: &mut Page, one: &Side, other: &Side) {
    let mut rows = vec![vec!["circuit".to_owned(), one.name.to_owned(), other.name.to_owned()]];
    let mut tags: Vec<&str> = Vec::new();
    for plan in [one.plan, other.plan] {
        for circuit in &plan.job.circuits {
            if !tags.contains(&circuit.tag.as_str()) {
                tags.push(circuit.tag.as_str());
            }
        }
    }
    let mut alike = 0;
    for tag in tags {
        let (first, second) = (said(one.plan, tag), said(other.plan, tag));
        match first == second {
            true => alike += 1,
            false => rows.push(vec![tag.to_owned(), first, second]),
        }
    }
    if rows.len() > 1 {
        page.heading("Circuits that are read or changed differently");
        page.table(2, &rows);
    }
    page.gap();
    page.paragraph(0, &format!("{} alike in mode and in what is done.", counted(alike, "circuit")));
}

/// What reads a circuit and what is done to it; not the number of the input, which says nothing across two plans.
fn said(plan: &AllocationPlan, tag: &str) -> String {
    let of = |input: &&InputPlan| plan.job.circuits[input.circuit].tag.value == tag;
    match plan.inputs.iter().find(of) {
        None => "no input".to_owned(),
        Some(input) => {
            let mut words = vec![input.mode.clone()];
            words.extend(input.wrong.as_ref().map(|_| "reads wrong".to_owned()));
            words.extend(input.remedy.as_ref().map(|remedy| remedy.text.trim_end_matches('.').to_owned()));
            words.extend(input.extension.as_ref().map(|extension| format!("longer, to {}", extension.to)));
            words.join("; ")
        }
    }
}
