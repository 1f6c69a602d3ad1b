//! What each mode of the library would read of these circuits, and what dividing them in one way or another would take:
//! before anything is written.

use std::collections::BTreeMap;

use assess::{AllocationPlan, CircuitCompared, ModeCompared, Reads};
use maud::{Markup, html};
use quantity::Written;
use view::words::counted;

use crate::answer::Answer;
use crate::divided::{Compared, Divided, Division};
use crate::frame::{Open, Page, Tab};

/// The page.
pub(crate) fn page(open: &Open) -> Answer {
    let divided = open.world.divided(open.id, open.kept.version, &open.desk);
    let compared = open.world.compared(open.id, open.kept.version, &open.desk);
    let circuits = compared.modes().first().map_or(0, |mode| mode.circuits.len());
    let body = html! {
        @if circuits == 0 {
            p.answer { "No circuit here can be compared yet: of none is known what hangs on it." }
            p { a.button href=(open.path(&["survey"])) { "To the survey" } }
        } @else {
            p.answer { (answer(&compared, circuits)) }
            (ways(open, &divided, &compared))
            (modes(open, &compared))
        }
        nav.pages aria-label="Inputs" {
            a.button href=(open.path(&["inputs"])) { "Inputs as they are" }
            a.button href=(open.path(&["inputs", "divide"])) { "Divide the circuits" }
        }
    };
    Page::new(Tab::Inputs, "Compare", body).answer(open)
}

/// The mode that reads most as it is.
fn answer(compared: &Compared, circuits: usize) -> String {
    let best = compared.modes().iter().max_by_key(|mode| {
        let [right, once, _] = mode.counts();
        (right, once, !mode.set_on.is_empty())
    });
    let of = counted(circuits, "circuit", "circuits");
    match best {
        Some(mode) => {
            let [right, once, _] = mode.counts();
            format!(
                "Of {of} that are known, mode {} of {} reads most as they are: {right}, and {once} more once something is done.",
                mode.mode, mode.profile
            )
        }
        None => format!("{of}, and no module in the library."),
    }
}

/// Ways to divide, side by side.
fn ways(open: &Open, divided: &Divided, compared: &Compared) -> Markup {
    let first = divided.plan().map(|first| first.mark());
    html! {
        section {
            h2 { "Ways to divide" }
            p.quiet {
                "Nothing is written before a press on the page of a way."
                @if let Some(one) = divided.plan() { " Costs count work at " (crate::divide::wage(one.plan)) "." }
            }
            ul.goes { @for (at, one) in divided.plan().into_iter().chain(compared.ways()).enumerate() {
                li {
                    strong { (one.way.title) }
                    @if at > 0 && one.plan.found() && Some(one.mark()) == first { p { "The same as the first." } } @else { (way(open, one)) }
                }
            } }
        }
    }
}

fn way(open: &Open, one: Division) -> Markup {
    let plan = one.plan;
    let path = format!("{}?way={}", open.path(&["inputs", "divide"]), crate::place::encoded(&one.way.word));
    let changes = one.changes().len();
    html! {
        p { (plan.answer()) }
        @if plan.found() {
            dl.figures {
                (figure("costs", &crate::divide::amount(plan, plan.cost)))
                (figure("new modules", &new_modules(plan)))
                (figure("circuits that get an input", &moves(plan).to_string()))
                (figure("to be changed", &plan.inputs.iter().filter(|input| input.remedy.is_some()).count().to_string()))
                (figure("stay wrong", &plan.inputs.iter().filter(|input| input.wrong.is_some()).count().to_string()))
                (figure("without an input", &plan.left.len().to_string()))
            }
            @if changes == 0 { p.quiet { "The job says all of it already." } }
        }
        p { a.button href=(path) aria-label=(format!("{}: look at it closely", one.way.title)) { "Look at it closely" } }
    }
}

fn figure(what: &str, much: &str) -> Markup {
    html! { div { dt { (what) } dd.number { (much) } } }
}

fn new_modules(plan: &AllocationPlan) -> String {
    let mut new: BTreeMap<&str, usize> = BTreeMap::new();
    for module in plan.modules.iter().filter(|module| module.existing.is_none()) {
        *new.entry(module.profile.as_str()).or_default() += 1;
    }
    let all: Vec<String> = new.iter().map(|(profile, count)| format!("{count} × {profile}")).collect();
    if all.is_empty() { "none".to_owned() } else { all.join(", ") }
}

/// Circuits that have no input in the job and get one.
fn moves(plan: &AllocationPlan) -> usize {
    plan.inputs.iter().filter(|input| plan.job.circuits[input.circuit].input.is_none()).count()
}

/// Mode by mode: how many it reads, and which.
fn modes(open: &Open, compared: &Compared) -> Markup {
    html! {
        section {
            h2 { "What each mode would read" }
            p.quiet { "Each circuit alone, as the division asks for it; what modules are full, and what circuits share, is in the ways above." }
            div.wide tabindex="0" role="group" aria-label="Modes with what they read" {
                table.modes {
                    thead { tr { th scope="col" { "mode" } th.number scope="col" { "as they are" } th.number scope="col" { "once changed" } th.number scope="col" { "not" } } }
                    tbody { @for mode in compared.modes() {
                        @let [right, once, not] = mode.counts();
                        tr {
                            th scope="row" { (mode.mode) " " span.quiet { (mode.profile) @if !mode.set_on.is_empty() { ", set on " (mode.set_on.join(", ")) } } }
                            td.number { (right) } td.number { (once) } td.number { (not) }
                        }
                    } }
                }
            }
            @for mode in compared.modes() { (mode_part(open, mode)) }
        }
    }
}

fn mode_part(open: &Open, mode: &ModeCompared) -> Markup {
    let [right, once, not] = mode.counts();
    let list = |title: String, wanted: &dyn Fn(&Reads) -> bool| {
        let those: Vec<&CircuitCompared> = mode.circuits.iter().filter(|one| wanted(&one.reads)).collect();
        html! {
            @if !those.is_empty() {
                h3 { (title) }
                ul.plain { @for one in those { (circuit(open, one)) } }
            }
        }
    };
    html! {
        details {
            summary {
                strong { (mode.mode) } " "
                span.quiet { (mode.profile) ", " (counted(usize::from(mode.inputs), "input", "inputs")) @if !mode.offered && mode.set_on.is_empty() { ", not on offer in this job" } }
            }
            p { (mode.title) "." @if mode.mode_is_own { " Each input has its own mode." } }
            (list(format!("Right as they are: {right}"), &|reads| matches!(reads, Reads::AsItIs { .. })))
            (list(format!("Right once something is done: {once}"), &|reads| matches!(reads, Reads::Once { .. })))
            (list(format!("Not: {not}"), &|reads| matches!(reads, Reads::No { .. })))
        }
    }
}

fn circuit(open: &Open, one: &CircuitCompared) -> Markup {
    let tag = open.job().circuits.get(one.circuit).map_or("", |circuit| circuit.tag.as_str());
    html! {
        li {
            a.inline href=(open.path(&["c", tag])) { (tag) } " "
            @match &one.reads {
                Reads::AsItIs { remains } => @if let Some(remains) = remains { (remains) },
                Reads::Once { text, minutes, inputs, remains } => {
                    (text) " " span.quiet { "About " (minutes.written()) @if *inputs > 1 { ", " (inputs) " inputs" } "." }
                    @if let Some(remains) = remains { " " (remains) }
                }
                Reads::No { why } => span.quiet { "Because " (why) "." },
            }
        }
    }
}
