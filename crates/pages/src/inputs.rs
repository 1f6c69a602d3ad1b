//! Inputs: what lands on the terminals of every module, and which circuit is on none.

use std::collections::BTreeMap;

use assess::{Assessment, CircuitResult};
use job::{Module, Severity, TableRef};
use maud::{Markup, html};
use view::figures::{terminals, terminals_on_a_phone};
use view::words::{capital, input, inputs, module_profile};

use crate::answer::Answer;
use crate::changes::Stands;
use crate::circuits::{choice_field, heaviest, verdict};
use crate::frame::{Open, Page, Tab, both, mark};

/// The room.
pub(crate) fn room(open: &Open) -> Answer {
    let assessed = open.assessed();
    let assessment = assessed.assessment();
    let job = assessment.job;
    let without: Vec<&CircuitResult> =
        assessment.circuits.iter().filter(|result| result.circuit.input.is_none()).collect();
    let on = job.circuits.len() - without.len();
    let stands = Stands::of(open);
    let heaviest = heaviest(assessment);
    let body = html! {
        @if job.modules.is_empty() {
            p.answer { "No module is written down in this job yet, so no circuit has an input." }
            p { "Write the enclosure and the module, or let the division say which modules would do." }
            p {
                a.button.strong href=(format!("{}#module", open.path(&["equipment"]))) { "Write the equipment" } " "
                a.button href=(open.path(&["inputs", "divide"])) { "Divide the circuits over new modules" } " "
                a.button href=(open.path(&["inputs", "compare"])) { "Compare modes and modules" }
            }
        } @else {
            p.answer {
                (on) " of " (view::words::counted(job.circuits.len(), "circuit", "circuits")) " are on inputs of "
                (view::words::counted(job.modules.len(), "module", "modules")) "."
                @if !without.is_empty() { " " (without.len()) " on none." }
            }
            p {
                a.button href=(open.path(&["inputs", "divide"])) { "Divide the circuits over the inputs" } " "
                a.button href=(open.path(&["inputs", "compare"])) { "Compare modes and modules" } " "
                a.button href=(open.path(&["equipment"])) { "Equipment" } " "
                a.button href=(open.path(&["kit"])) { "Kit and price" }
            }
            @for module in &job.modules { (part(open, &stands, assessment, module, &heaviest)) }
            @if !without.is_empty() {
                section {
                    h2 { "On no input" }
                    ul.pairs { @for result in &without { li { a href=(open.path(&["c", &result.circuit.tag])) { span.tag { (result.circuit.tag.value) } " " span.quiet { (result.circuit.place) } } } } }
                }
            }
        }
    };
    Page::new(Tab::Inputs, "Inputs", body).answer(open)
}

fn part(
    open: &Open,
    stands: &Stands,
    assessment: &Assessment,
    module: &Module,
    heaviest: &BTreeMap<&str, Severity>,
) -> Markup {
    let profile = module_profile(assessment, module);
    let id = module.id.value.as_str();
    let modes: Vec<&str> = profile
        .map(|profile| profile.modes.iter().map(|mode| mode.id.as_str()).collect())
        .unwrap_or_default();
    let used = assessment.circuits.iter().filter(|result| is_on(result, id));
    let mut used: Vec<&CircuitResult> = used.collect();
    used.sort_by_key(|result| result.circuit.input.as_ref().map(|input| input.number));
    let last = inputs(assessment, module);
    let enclosure = module.enclosure.as_ref().map_or(String::new(), |id| format!(" in {}", id.value));
    html! {
        section {
            h2 { "Module " (id) span.beside { (module.profile.as_ref().map_or("no profile named", |id| id.as_str())) (enclosure) } }
            p { (used.len()) " of " (last) " inputs are used." }
            @for (wide, narrow) in terminals(assessment, module).iter().zip(&terminals_on_a_phone(assessment, module)) { (both(wide, narrow)) }
            @if !modes.is_empty() { (choice_field(open, stands, TableRef::named("module", id), "mode", &modes)) }
            @if !used.is_empty() {
                div.wide tabindex="0" role="group" aria-label=(format!("Inputs of module {id}")) {
                    table {
                        thead { tr { th scope="col" { "input" } th scope="col" { "circuit" } th scope="col" { "place" } th scope="col" { "verdict" } } }
                        tbody {
                            @for result in &used {
                                tr {
                                    th scope="row" { (input(result.circuit)) }
                                    td { a href=(open.path(&["c", &result.circuit.tag])) { (result.circuit.tag.value) } }
                                    td { (capital(&result.circuit.place)) }
                                    td { (reads(result, heaviest)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn is_on(result: &CircuitResult, module: &str) -> bool {
    result.circuit.input.as_ref().is_some_and(|input| input.module == module)
}

/// The mark that the circuit has among the circuits, with why it is not known.
fn reads(result: &CircuitResult, heaviest: &BTreeMap<&str, Severity>) -> Markup {
    let of = heaviest.get(result.circuit.tag.as_str()).filter(|severity| **severity > Severity::Note);
    html! {
        (mark(of.map_or_else(|| verdict(result), |severity| severity.word())))
        @if let Some(why) = result.why { " " span.quiet { (why) } }
    }
}
