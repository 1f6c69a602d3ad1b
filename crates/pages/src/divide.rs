//! Circuits divided over the inputs, as the engine would: what lands where, what has to be done for it, what it costs; one
//! press writes it into the job.

use assess::{AllocationPlan, InputPlan, Limits, Weights, allocate, changes};
use maud::{Markup, html};
use quantity::{Money, Written};
use view::findings::rows_of;

use crate::answer::Answer;
use crate::changes::Act;
use crate::circuits::finding_list;
use crate::frame::{Open, Page, Tab, refused};

/// The plan.
pub(crate) fn page(open: &Open) -> Answer {
    let assessed = open.assessed();
    let plan = allocate(assessed.assessment().job, open.desk.library(), &Limits::default());
    let written = changes(&plan);
    let body = html! {
        p.answer { (plan.answer()) }
        @if plan.found() { p { (cost(&plan)) } }
        @if let Some(conflict) = &plan.conflict {
            section {
                h2 { "These demands cannot stand together" }
                @if conflict.irreducible { p { "With any one of them given up the others can." } }
                ul.plain { @for demand in &conflict.demands { li { (demand.words) } } }
            }
        }
        @if plan.found() && written.is_empty() { p { "The job says all of it already." } }
        @if plan.found() && !written.is_empty() {
            form method="post" action=(open.path(&["inputs", "divide"])) {
                (open.form_fields())
                button.strong type="submit" { "Write it into the job: " (view::words::counted(written.len(), "change", "changes")) }
            }
        }
        (findings(open, &plan))
        @if plan.found() { (modules(open, &plan)) }
        @if !plan.left.is_empty() {
            section {
                h2 { "Without an input" }
                ul.plain { @for left in &plan.left {
                    @let tag = plan.job.circuits[left.circuit].tag.value.as_str();
                    li { a.inline href=(open.path(&["c", tag])) { (tag) } " " (left.because.words()) }
                } }
            }
        }
        p { a.button href=(open.path(&["inputs"])) { "Inputs as they are" } }
    };
    Page::new(Tab::Inputs, "Circuits to inputs", body).answer(open)
}

fn cost(plan: &AllocationPlan) -> String {
    let currency = plan.job.rates.as_ref().map_or(String::new(), |rates| format!(" {}", rates.currency));
    let currency = currency.trim_end();
    let Weights { cents_per_hour, .. } = plan.weights;
    let money = |cents: u64| Money::of_hundredths(i64::try_from(cents).unwrap_or(i64::MAX)).written();
    format!(
        "It costs {}{currency} beyond landing the circuits: {} of parts, and work at {} an hour.",
        money(plan.cost),
        money(plan.effort.cents),
        money(cents_per_hour)
    )
}

fn findings(open: &Open, plan: &AllocationPlan) -> Markup {
    let told =
        rows_of(&plan.findings, |finding| !matches!(finding.code, "allocate-conflict" | "allocate-left"));
    html! {
        @if !told.is_empty() {
            section {
                h2 { "What was found" }
                (finding_list(open, &told.iter().collect::<Vec<_>>()))
            }
        }
    }
}

fn modules(open: &Open, plan: &AllocationPlan) -> Markup {
    html! {
        @for module in &plan.modules {
            @let title = format!("Module {}", module.id);
            @let mut used: Vec<(u16, &InputPlan, usize)> = on(plan, &module.id);
            @let () = used.sort_by_key(|(number, ..)| *number);
            section {
                h2 { (title) span.beside { (module.profile) @if let Some(mode) = &module.mode { ", mode " (mode) } @if module.existing.is_none() { ", new" } } }
                p.quiet { "Tamper input " (module.tamper.word()) ": " (module.tamper_because) "." }
                @if !used.is_empty() {
                    div.wide tabindex="0" role="group" aria-label=(title) {
                        table {
                            thead { tr { th scope="col" { "input" } th scope="col" { "circuit" } th scope="col" { "what it takes" } } }
                            tbody { @for (number, input, at) in &used {
                                @let circuit = &plan.job.circuits[input.circuit];
                                tr {
                                    th scope="row" { (module.id) "." (number) }
                                    td { a href=(open.path(&["c", &circuit.tag])) { (circuit.tag.value) } " " (circuit.place) }
                                    td { (takes(input, *at)) }
                                }
                            } }
                        }
                    }
                }
            }
        }
    }
}

fn on<'p>(plan: &'p AllocationPlan, module: &str) -> Vec<(u16, &'p InputPlan, usize)> {
    let mut used = Vec::new();
    for input in &plan.inputs {
        for (at, place) in input.inputs.iter().enumerate().filter(|(_, place)| place.module == module) {
            used.push((place.number, input, at));
        }
    }
    used
}

fn takes(input: &InputPlan, at: usize) -> Markup {
    html! {
        @if at > 0 { "for one of its home runs" } @else {
            @if let Some(remedy) = &input.remedy { (remedy.text) " " }
            @if let Some(extension) = &input.extension { "Make its cable longer from " (extension.from) " by " (extension.length.written()) ". " }
            @if input.wrong.is_some() { strong.wrong { "Does not read right here." } }
        }
    }
}

/// Writes the plan into the job.
pub(crate) fn write(open: &Open) -> Answer {
    let back = open.path(&["inputs"]);
    let assessed = open.assessed();
    let plan = allocate(assessed.assessment().job, open.desk.library(), &Limits::default());
    if !plan.found() {
        return refused(open.request, &plan.answer(), "", &back);
    }
    let made: Vec<job::Change> = changes(&plan).into_iter().map(|noted| noted.change).collect();
    let what = format!("Circuits divided over the inputs: {}", plan.answer());
    Act::new(what, made, back).answer(open)
}
