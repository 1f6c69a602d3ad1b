//! Circuits divided over the inputs, as the engine would: what lands where and why there, what has to be done for it, what it
//! costs; one press writes what was seen into the job, one takes it back.

use assess::{AllocationPlan, InputPlan, NextSeat, Weights};
use maud::{Markup, html};
use quantity::{Money, Written};
use view::findings::{FindingRow, rows_of};

use crate::answer::Answer;
use crate::changes::Act;
use crate::circuits::finding_list;
use crate::divided::Division;
use crate::frame::{Open, Page, Tab, mark, refused};

/// What a plan that was written is called under Changes.
const WHAT: &str = "Circuits divided over the inputs";

/// The plan, in the way that was asked for.
pub(crate) fn page(open: &Open) -> Answer {
    in_way(open, open.request.asked("way"), &|one| of_way(open, one, false))
}

/// Does something with the plan of a way; with that of the job for a word that is none.
fn in_way(open: &Open, way: &str, act: &dyn Fn(Division) -> Answer) -> Answer {
    if !way.is_empty() {
        let compared = open.world.compared(open.id, open.kept.version, &open.desk);
        if let Some(one) = compared.ways().find(|one| one.way.word == way) {
            return act(one);
        }
    }
    let divided = open.world.divided(open.id, open.kept.version, &open.desk);
    match divided.plan() {
        Some(one) => act(one),
        None => refused(open.request, "Nothing can be divided here.", "", &open.path(&["inputs"])),
    }
}

fn of_way(open: &Open, one: Division, again: bool) -> Answer {
    let plan = one.plan;
    let written = one.changes();
    let body = html! {
        @if again { p.stale { "Nothing was written: the job was changed since, and this is how its circuits would be divided now. Look again." } }
        @if !one.way.word.is_empty() { p.quiet { (one.way.title) "." } }
        @for told in unprofiled(plan) { p.answer { (mark(told.severity)) " " (told.text) " " (told.remedy) } }
        p.answer { (plan.answer()) }
        @if plan.found() { p { (cost(plan)) } }
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
                input type="hidden" name="way" value=(one.way.word);
                input type="hidden" name="seen" value=(one.mark());
                button.strong type="submit" { "Write it into the job: " (view::words::counted(written.len(), "change", "changes")) }
            }
        }
        @if plan.found() && !written.is_empty() {
            details {
                summary { "What would be written" }
                ul.plain { @for change in &written { li { (crate::changes::words(change)) } } }
            }
        }
        (findings(open, plan))
        @if plan.found() { (modules(open, plan)) }
        @if !plan.left.is_empty() {
            section {
                h2 { "Without an input" }
                ul.plain { @for left in &plan.left {
                    @let tag = plan.job.circuits[left.circuit].tag.value.as_str();
                    li { a.inline href=(open.path(&["c", tag])) { (tag) } " " (left.because.words()) }
                } }
            }
        }
        p { a.button href=(open.path(&["inputs", "compare"])) { "Compare with other ways" } " " a.button href=(open.path(&["inputs"])) { "Inputs as they are" } }
    };
    let mut page = Page::new(Tab::Inputs, "Circuits to inputs", body);
    page.status = if again { 409 } else { 200 };
    page.answer(open)
}

/// An amount in hundredths, with the office's currency.
pub(crate) fn amount(plan: &AllocationPlan, cents: u64) -> String {
    let currency = plan.job.rates.as_ref().map_or("", |rates| rates.currency.as_str());
    let money = Money::of_hundredths(i64::try_from(cents).unwrap_or(i64::MAX)).written();
    format!("{money} {currency}").trim_end().to_owned()
}

fn cost(plan: &AllocationPlan) -> String {
    format!(
        "It costs {} beyond landing the circuits: {} of parts, and work at {}.",
        amount(plan, plan.cost),
        hundredths(plan.effort.cents),
        wage(plan)
    )
}

fn hundredths(cents: u64) -> String {
    Money::of_hundredths(i64::try_from(cents).unwrap_or(i64::MAX)).written()
}

/// What an hour of work counts, and whether anybody said so.
pub(crate) fn wage(plan: &AllocationPlan) -> String {
    let Weights { cents_per_hour, .. } = plan.weights;
    let job = plan.job;
    let said = job.allocate.hour.is_some() || job.rates.as_ref().is_some_and(|rates| rates.hour.is_some());
    let assumed = if said { "" } else { ", assumed: nobody has said" };
    format!("{} an hour{assumed}", hundredths(cents_per_hour))
}

/// Modules without a profile: what is best possible leaves them out, so that is said before it.
fn unprofiled(plan: &AllocationPlan) -> Vec<FindingRow> {
    rows_of(&plan.findings, |finding| finding.code == "module-without-profile")
}

fn findings(open: &Open, plan: &AllocationPlan) -> Markup {
    let told = rows_of(&plan.findings, |finding| {
        !matches!(finding.code, "allocate-conflict" | "allocate-left" | "module-without-profile")
    });
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
                                    td { (takes(input, *at)) @if *at == 0 { span.quiet { (why_here(plan, input)) } } }
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

/// Why a circuit sits where it does: what the next best seat would take. Nothing where the job says it.
fn why_here(plan: &AllocationPlan, input: &InputPlan) -> String {
    match &input.next {
        NextSeat::Pinned => String::new(),
        NextSeat::Shares => "Here because it shares a core: all that do would have to move.".to_owned(),
        NextSeat::Nowhere => "Here because nothing else that is free reads it.".to_owned(),
        NextSeat::On { module, mode, adds, remedy } => {
            let cents = amount(plan, adds.unsigned_abs());
            let costs = match adds {
                0 => "at the same cost".to_owned(),
                1.. => format!("for {cents} more"),
                _ => format!("for {cents} less by itself"),
            };
            let does = remedy.as_ref().map_or(String::new(), |remedy| format!(": {remedy}"));
            let end = if does.ends_with('.') { "" } else { "." };
            format!("Next best: {module} in mode {mode}, {costs}{does}{end}")
        }
    }
}

/// Writes the plan into the job, as it was seen.
pub(crate) fn write(open: &Open) -> Answer {
    let back = open.path(&["inputs"]);
    // A press that came twice, or one that was answered and got lost, has done its work.
    let is_this = |known: &crate::world::Changed| known.what.starts_with(WHAT);
    if let Some(answer) = crate::twice::sent_again(open, is_this, WHAT, &back) {
        return answer;
    }
    in_way(open, open.request.field("way"), &|one| {
        if !one.plan.found() {
            return refused(open.request, &one.plan.answer(), "", &back);
        }
        if open.request.field("seen") != one.mark() {
            return of_way(open, one, true);
        }
        let what = format!("{WHAT}: {}", one.plan.answer());
        Act::new(what, one.changes(), back.clone()).answer(open)
    })
}
