//! Supplies: what is drawn of each limit, the tree with volts at every point, the battery by rule and by physics.

use job::Severity;
use maud::{Markup, html};
use view::battery::BatterySheet;
use view::figures::Figure;
use view::supplies::{SupplySheet, supply_sheet};

use crate::answer::Answer;
use crate::equipment::{self, Sent};
use crate::frame::{Open, Page, Tab, both, figure, mark, missing, note, tag_head};

/// The room: every supply in short; with a form of it that could not be taken, where one was sent.
pub(crate) fn room(open: &Open, sent: Option<&Sent>) -> Answer {
    let assessed = open.assessed();
    let assessment = assessed.assessment();
    let sheets: Vec<SupplySheet> =
        assessment.supplies.iter().map(|study| supply_sheet(assessment, study)).collect();
    let heaviest = |id: &str| {
        let of = assessment.findings.iter().filter(|finding| finding.place == id);
        of.map(|finding| finding.severity).max().filter(|severity| *severity > Severity::Note)
    };
    let short = sheets.iter().filter(|sheet| heaviest(&sheet.id) >= Some(Severity::Fix)).count();
    let body = html! {
        @if sheets.is_empty() {
            p.answer { "No supply is written down in this job yet." }
            p { a.button.strong href=(format!("{}#supply", open.path(&["equipment"]))) { "Write a supply" } }
        } @else {
            p.answer {
                @match short {
                    0 => { (view::words::counted(sheets.len(), "supply", "supplies")) ": nothing found that needs a change." }
                    1 => { "1 of " (view::words::counted(sheets.len(), "supply", "supplies")) " needs a change." }
                    many => { (many) " of " (view::words::counted(sheets.len(), "supply", "supplies")) " need a change." }
                }
            }
            p { a.button href=(format!("{}#supply", open.path(&["equipment"]))) { "Change what is written of them" } }
            @for sheet in &sheets {
                section {
                    h2 { a href=(open.path(&["s", &sheet.id])) { (sheet.id) } span.beside { (sheet.title) } }
                    p { (mark(heaviest(&sheet.id).map_or("nothing found", Severity::word))) " " (sheet.answer) }
                    @if let Some(battery) = &sheet.battery { p { (battery.answer) } }
                    (drawn(sheet.budgets.as_ref(), sheet.budgets_narrow.as_ref()))
                }
            }
        }
        (equipment::standby(open, sent))
    };
    let mut page = Page::new(Tab::Supplies, "Supplies", body);
    page.status = if sent.is_some() { 400 } else { 200 };
    page.notes = caution();
    page.answer(open)
}

/// One supply.
pub(crate) fn page(open: &Open, id: &str) -> Answer {
    let assessed = open.assessed();
    let assessment = assessed.assessment();
    let Some(study) = assessment.supplies.iter().find(|study| study.plan.supply.id.value == id) else {
        return missing(
            open.request,
            "There is no such supply in this job.",
            "To the supplies",
            &open.path(&["supplies"]),
        );
    };
    let sheet = supply_sheet(assessment, study);
    let body = html! {
        p.answer { (sheet.answer) }
        @if !sheet.figures.is_empty() {
            section {
                h2 { "The tree, with volts at every point" }
                div.drawn-wide { @for drawn in &sheet.figures { (figure(drawn)) } }
                (volts(&sheet))
            }
        }
        @if sheet.budgets.is_some() {
            section { h2 { "What is drawn of each limit" } (drawn(sheet.budgets.as_ref(), sheet.budgets_narrow.as_ref())) }
        }
        @if !sheet.runs.is_empty() {
            (table("The smallest conductor that does", &["run", "smallest", "doubled"], sheet.runs.iter().map(|row| row.as_slice())))
        }
        (terminals(&sheet))
        @if let Some(battery) = &sheet.battery { (battery_part(battery)) }
        nav.pages aria-label="Supplies" { a.button href=(open.path(&["supplies"])) { "All supplies" } }
    };
    let mut page = Page::new(Tab::Supplies, format!("Supply {id}"), body);
    page.head = Some(tag_head(&sheet.id, &html! { (sheet.title) br; span.quiet { (sheet.place) } }));
    page.notes = html! {
        section {
            h2 { "Notes" }
            @if sheet.notes.is_empty() { p { "Nothing found that needs fixing." } }
            ol.notes { @for one in &sheet.notes { li { (note(one.number, one.severity, &one.text, &one.remedy)) } } }
        }
        (caution())
    };
    page.answer(open)
}

fn drawn(wide: Option<&Figure>, narrow: Option<&Figure>) -> Markup {
    html! { @if let Some((wide, narrow)) = wide.zip(narrow) { (both(wide, narrow)) } }
}

/// Points deeper than this stand under one another all the same.
const DEEPEST: usize = 8;

/// Every point with its volts and what hangs on it; on a phone this is the tree.
fn volts(sheet: &SupplySheet) -> Markup {
    let heads = ["at rest, V", "in alarm, V", "last minute, V"];
    html! {
        table.stack.volts role="table" {
            caption.hidden { "Volts at every point" }
            thead role="rowgroup" { tr role="row" { th scope="col" role="columnheader" { "point, and what hangs on it" } @for head in heads { th.number scope="col" role="columnheader" { (head) } } } }
            tbody role="rowgroup" { @for point in &sheet.points { tr role="row" {
                th scope="row" role="rowheader" class=(format!("depth-{}", point.depth.min(DEEPEST))) {
                    span.tag { (point.name) } @if !point.what.is_empty() { " " span.quiet { (point.what) } }
                    @if !point.way.is_empty() { span.way.quiet { (point.way) } }
                    @for load in &point.loads {
                        span.load { (load.what) @if !load.needs.is_empty() { ": " @if load.fails { strong.wrong { (load.needs) } } @else { span.quiet { (load.needs) } } } }
                    }
                }
                @for (volts, head) in point.volts.iter().zip(heads) { td.number role="cell" data-head=(head) { (volts) } }
            } } }
        }
    }
}

fn terminals(sheet: &SupplySheet) -> Markup {
    html! {
        @if !sheet.terminals.is_empty() {
            (table("What lands on its terminals", &["terminal", "lands on it", "mind"], sheet.terminals.iter().map(|row| row.as_slice())))
        }
    }
}

fn battery_part(battery: &BatterySheet) -> Markup {
    html! {
        section {
            h2 { "Battery" span.beside { (battery.fitted) } }
            p { (battery.answer) }
            @for compared in &battery.compared {
                @let heads: Vec<&str> = std::iter::once("").chain(compared.heads.iter().map(String::as_str)).collect();
                (table("By rule, side by side", &heads, compared.rows.iter().map(Vec::as_slice)))
            }
            @for worked in &battery.worked {
                details {
                    summary { (worked.title) ": " (worked.asks) }
                    ul.plain.working { @for line in &worked.lines { li { (line) } } }
                    @for line in &worked.margin { p.quiet { (line) } }
                }
            }
            (pairs("By physics", &battery.physics))
            @for curve in &battery.curves {
                h3 { "Discharge: " (curve.title) }
                p { (curve.words) }
                (drawn(curve.figure.as_ref(), curve.narrow.as_ref()))
            }
            (pairs("Charger", &battery.charger))
            (pairs("Mains side", &battery.mains))
            @if !battery.mains_working.is_empty() { ul.plain.working { @for line in &battery.mains_working { li { (line) } } } }
        }
    }
}

fn pairs(title: &str, rows: &[[String; 2]]) -> Markup {
    html! {
        @if !rows.is_empty() {
            h3 { (title) }
            table.plain { tbody { @for [what, much] in rows { tr { th scope="row" { (what) } td { (much) } } } } }
        }
    }
}

/// A table of words.
pub(crate) fn table<'a>(title: &str, heads: &[&str], of: impl Iterator<Item = &'a [String]>) -> Markup {
    html! {
        section {
            h3 { (title) }
            (rows(heads, of))
        }
    }
}

/// The same without its title: side by side, or under one another where the sheet is narrow.
pub(crate) fn rows<'a>(heads: &[&str], rows: impl Iterator<Item = &'a [String]>) -> Markup {
    html! {
        table.stack.first role="table" {
            thead role="rowgroup" { tr role="row" { @for head in heads { @if head.is_empty() { td role="cell" {} } @else { th scope="col" role="columnheader" { (head) } } } } }
            tbody role="rowgroup" { @for row in rows { tr role="row" { @for (cell, head) in row.iter().zip(heads).take(1) { th scope="row" role="rowheader" data-head=(head) { (cell) } } @for (cell, head) in row.iter().zip(heads).skip(1) { td role="cell" data-head=(head) { (cell) } } } } }
        }
    }
}

fn caution() -> Markup {
    html! {
        section {
            h2 { "Caution" }
            p { "Mains and earth are an electrician's, where the law reserves them. A battery gives hundreds of amperes into a ring or a tool: fuse out first, terminals covered." }
        }
    }
}
