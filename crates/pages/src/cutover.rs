//! The cut-over: in which order circuits go over, what is without protection when, the method statement, texts to people.

use maud::{Markup, html};
use view::cutover::CutoverSheets;

use crate::answer::Answer;
use crate::frame::{Open, Page, Tab, figure, mark};

/// The room.
pub(crate) fn room(open: &Open) -> Answer {
    let cut_over = open.cut_over();
    let body = match cut_over.sheets() {
        Some(sheets) => of_sheets(sheets),
        None => html! {
            p.answer { "Nothing moves yet: no circuit has an input." }
            p { a.button href=(open.path(&["inputs"])) { "Give circuits their inputs first" } }
        },
    };
    let mut page = Page::new(Tab::CutOver, "Cut-over", body);
    page.notes = html! {
        section {
            h2 { "Caution" }
            p { "Fire circuits go out last and come back first, with the authority's word in writing and the account on test. People in the building are told before and after." }
            p { a href=(open.path(&["circuits"])) { "The gate before the first circuit is lifted" } }
        }
    };
    page.answer(open)
}

fn of_sheets(sheets: &CutoverSheets) -> Markup {
    html! {
        p.answer { (sheets.answer) }
        @if !sheets.notes.is_empty() { p { (sheets.notes) } }
        @if !sheets.charts.is_empty() { section { h2 { "When" span.beside { (sheets.way) } } @for chart in &sheets.charts { (figure(chart)) } } }
        @if !sheets.findings.is_empty() {
            section {
                h2 { "To be settled before" }
                ol.findings { @for [severity, place, text, remedy] in &sheets.findings { li {
                    (mark(severity)) " " strong { (if place == "job" { "The job" } else { place }) } " " span { (text) }
                    @if !remedy.is_empty() { p.remedy { (remedy) } }
                } } }
            }
        }
        (fire(sheets))
        @if !sheets.unprotected.is_empty() {
            (table("Without protection, and since when", &["from", "circuits", "which"], sheets.unprotected.iter().map(|row| row.as_slice())))
        }
        @for day in &sheets.days {
            (table(&format!("Running order, {}", day.day), &["when", "who", "what", "where"], day.rows.iter().map(|row| row.as_slice())))
        }
        @if !sheets.dummies.is_empty() {
            (table("Dummy resistors on the old terminals, each on the list until it is out", &["circuit", "old terminal", "what"], sheets.dummies.iter().map(|row| row.as_slice())))
        }
        details {
            summary { "Method statement: " (view::words::counted(sheets.steps.len(), "step", "steps")) }
            ol.steps { @for step in &sheets.steps { li {
                span.number { (step.number) } " "
                @if !step.place.is_empty() { strong { (step.place) ": " } } (step.act)
                p.quiet { "Seen: " (step.proof) }
                @if !step.undoes.is_empty() { p.quiet { "Undo: " (step.undoes) } }
                @if !step.caution.is_empty() { p.remark { (step.caution) } }
            } } }
        }
        @for notice in &sheets.notices {
            details {
                summary { (notice.title) }
                p { (notice.text) }
                table.plain { tbody { @for [label, value] in &notice.fields { tr { th scope="row" { (label) } td { (value) } } } } }
                @for caution in &notice.cautions { p.remark { (caution) } }
                p.quiet { "For " (notice.holder) }
            }
        }
        @if !sheets.circuits.is_empty() {
            details { summary { "Circuit by circuit" } @for chart in &sheets.circuits { (figure(chart)) } }
        }
    }
}

fn fire(sheets: &CutoverSheets) -> Markup {
    html! {
        @if !sheets.outs.is_empty() || !sheets.rules.is_empty() {
            section {
                h2 { "Fire alarm out of service" }
                @if !sheets.limit.is_empty() { p { (sheets.limit) } }
                @if !sheets.outs.is_empty() { (table("When it is out", &["from", "to", "how long"], sheets.outs.iter().map(|row| row.as_slice()))) }
                @if !sheets.rules.is_empty() { (table("What is asked", &["after", "clause", "what", "read in"], sheets.rules.iter().map(|row| row.as_slice()))) }
            }
        }
    }
}

fn table<'a>(title: &str, heads: &[&str], rows: impl Iterator<Item = &'a [String]>) -> Markup {
    crate::supplies::table(title, heads, rows)
}
