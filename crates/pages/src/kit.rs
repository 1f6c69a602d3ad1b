//! The kit: what goes along, how long it takes, what it costs and why that is a range; the same rows as in the pack.

use maud::{Markup, html};
use view::kit::{GroupTable, KitRow, KitSheets, OptionRows};

use crate::answer::Answer;
use crate::circuits::finding_list;
use crate::equipment::{self, Sent};
use crate::frame::{Open, Page, Tab};

/// The page; with a form of it that could not be taken, where one was sent.
pub(crate) fn page(open: &Open, sent: Option<&Sent>) -> Answer {
    let year = open.request.at.get(..4).and_then(|year| year.parse().ok());
    let kit = open.world.kit(open.id, open.kept.version, &open.desk, year);
    let body = match kit.sheets() {
        Some(sheets) => of_sheets(open, sheets),
        None => html! {
            p.answer { "Nothing has to be taken along yet: no equipment is written and no circuit wants a part." }
            p { a.button href=(open.path(&["equipment"])) { "Write the equipment" } " " a.button href=(open.path(&["survey"])) { "To the survey" } }
        },
    };
    let body = html! { (body) (equipment::van(open, sent)) };
    let mut page = Page::new(Tab::Record, "Kit", body);
    page.status = if sent.is_some() { 400 } else { 200 };
    page.notes = html! {
        section {
            h2 { "The price" }
            p { "It is an estimate from what is written and read so far. Prices and minutes are those of the library and of the rates; type in your own." }
            p { a href=(format!("{}#rates-", open.path(&["equipment"]))) { "Rates" } " · " a href=(format!("{}#quotation-", open.path(&["equipment"]))) { "Quotation" } }
        }
    };
    page.answer(open)
}

fn of_sheets(open: &Open, sheets: &KitSheets) -> Markup {
    let quotation = &sheets.quotation;
    html! {
        p.answer { (sheets.answer) }
        @if !sheets.caveat.is_empty() { p.remark { strong { (sheets.caveat) } } }
        @if !sheets.findings.is_empty() {
            section { h2 { "To settle first" } (finding_list(open, &sheets.findings.iter().collect::<Vec<_>>())) }
        }
        section {
            h2 { "Price" }
            dl.sum { @for [what, amount, remark] in &quotation.price {
                div { dt { (view::words::capital(what)) @if !remark.is_empty() { ", " (remark) } } dd.number { (amount) } }
            } }
            p.quiet { (quotation.tax) }
        }
        @if !sheets.causes.is_empty() {
            section {
                h2 { "What makes it a range" }
                ul.plain { @for [cause, adds, narrowed] in &sheets.causes { li { (cause) ": " strong { (adds) } "." p.remedy { (narrowed) } } } }
            }
        }
        section {
            h2 { "What goes along" }
            @for (at, group) in sheets.groups.iter().enumerate() { (group_part(group, at == 0)) }
        }
        section {
            h2 { "Working time" }
            p { (sheets.time) }
            @for enclosure in &sheets.enclosures {
                details.print-too {
                    summary { strong { (enclosure.title) } " " span.quiet { (enclosure.sum) } }
                    ul.goes { @for [what, count, time, places] in &enclosure.rows {
                        li { strong { (what) } dl.figures { (pair("how many", count)) (pair("how long", time)) } p.quiet { (places) } }
                    } }
                }
            }
        }
        @if !sheets.second_visit.is_empty() {
            section { h2 { "What forces a second visit, unless it is settled before" } ul.plain { @for reason in &sheets.second_visit { li { (reason) } } } }
        }
        @if !sheets.choices.is_empty() {
            section {
                h2 { "Options" }
                details.print-too {
                    summary { "What can be done, circuit by circuit: " (view::words::counted(sheets.choices.len(), "circuit", "circuits")) }
                    @for one in &sheets.choices { (choices(one)) }
                }
            }
        }
        section {
            h2 { "For the quotation" }
            p { (quotation.answer) }
            @for (title, texts) in [
                ("In it", &quotation.scope),
                ("Also offered", &quotation.offered),
                ("Not in it", &quotation.exclusions),
                ("What it stands on", &quotation.assumptions),
                ("To be said with it", &quotation.cautions),
            ] {
                @if !texts.is_empty() { details.print-too open[title == "To be said with it"] { summary { (title) } ul.plain { @for text in texts { li { (text) } } } } }
            }
        }
    }
}

fn group_part(group: &GroupTable, open: bool) -> Markup {
    html! {
        details.print-too open[open] {
            summary { strong { (group.title) } " " span.quiet { (view::words::counted(group.rows.len(), "line", "lines")) } }
            ul.goes { @for row in &group.rows { li { (line(group, row)) } } }
        }
    }
}

/// One line: on a phone its figures stand below its name, on a laptop beside it.
fn line(group: &GroupTable, row: &KitRow) -> Markup {
    html! {
        strong { (row.what) } @if !row.part.is_empty() { " " span.quiet { (row.part) } }
        @if group.sold {
            dl.figures {
                (pair("needed", &row.needed)) (pair("spare", &row.spare)) (pair("van", &row.van)) (pair("order", &row.order)) (pair("price", &row.price))
                @if !row.time.is_empty() { (pair("to fit", &row.time)) }
            }
        }
        @for why in &row.why { p.quiet { (why) } }
    }
}

fn pair(what: &str, much: &str) -> Markup {
    html! { div { dt { (what) } dd.number { (much) } } }
}

fn choices(one: &OptionRows) -> Markup {
    html! {
        h3 { (one.tag) @if !one.place.is_empty() { ", " (one.place) } }
        p { (view::words::capital(one.matter)) "." }
        ul.plain { @for [way, text, price, time, inside] in &one.rows {
            li { strong { (way) } " " (text) " " span.quiet { (price) @if !time.is_empty() { ", " (time) } @if !inside.is_empty() { "; " (inside) } } }
        } }
    }
}
