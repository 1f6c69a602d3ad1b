//! The cut-over: in which order circuits go over, what is without protection when, the method statement, texts to people.

use job::{Severity, TableRef};
use maud::{Markup, html};
use view::cutover::CutoverSheets;
use view::findings::FindingRow;
use view::now::{FireOut, Now};
use view::words::counted;

use crate::answer::Answer;
use crate::changes::Stands;
use crate::circuits::{finding_list, text_field};
use crate::clock;
use crate::equipment::{self, Sent};
use crate::frame::{Open, Page, Tab, figure};
use crate::supplies::rows;

/// Circuits of one duty that stand open on the sheet.
const GONE_SHOWN: usize = 6;

/// The room; with a form of it that could not be taken, where one was sent.
pub(crate) fn room(open: &Open, sent: Option<&Sent>) -> Answer {
    let cut_over = open.cut_over();
    let now = cut_over.sheets().and_then(|sheets| {
        let (day, minute) = clock::day_and_minute(&open.request.at, open.request.ahead_min)?;
        sheets.running.now(day, minute)
    });
    let body = match cut_over.sheets() {
        Some(sheets) => of_sheets(open, sheets, now.as_ref()),
        None => html! {
            p.answer { "Nothing moves yet: no circuit has an input." }
            p { a.button href=(open.path(&["inputs"])) { "Give circuits their inputs first" } }
        },
    };
    let body = html! { (body) (equipment::weights(open, sent)) };
    let mut page = Page::new(Tab::CutOver, "Cut-over", body);
    page.status = if sent.is_some() { 400 } else { 200 };
    page.notes = html! {
        section {
            h2 { "Caution" }
            p { "Fire circuits go out last and come back first, with the authority's word in writing and the account on test. People in the building are told before and after." }
            p { a href=(format!("{}#gate", open.path(&["circuits"]))) { "The gate before the first circuit is lifted" } }
        }
        section.on-screen {
            h2 { "When it begins" }
            @if now.is_none() { p { "With a day and a time this sheet says what is under way and what is without protection at the minute. Write them as " code { "2026-12-01 08:00" } "." } }
            (text_field(open, &Stands::of(open), TableRef::single("cutover"), "start"))
        }
    };
    page.answer(open)
}

/// The parts of the sheet with their anchors, those that it has.
fn contents(sheets: &CutoverSheets) -> Markup {
    let parts = [
        ("when", "When", !sheets.charts.is_empty()),
        ("settle", "To settle", !sheets.findings.is_empty()),
        ("fire", "Fire", !sheets.outs.is_empty() || !sheets.rules.is_empty()),
        ("order", "Running order", !sheets.days.is_empty()),
        ("unprotected", "Unprotected", !sheets.unprotected.is_empty()),
        ("method", "Method", !sheets.steps.is_empty()),
        ("texts", "Texts", !sheets.notices.is_empty()),
    ];
    html! {
        nav.filters aria-label="On this sheet" {
            @for (id, words, there) in parts { @if there { a href=(format!("#{id}")) { (words) } } }
        }
    }
}

fn of_sheets(open: &Open, sheets: &CutoverSheets, now: Option<&Now>) -> Markup {
    html! {
        @if let Some(now) = now { (minute(open, now)) }
        p.answer { (sheets.answer) }
        @if !sheets.notes.is_empty() { p { (sheets.notes) } }
        (contents(sheets))
        @if !sheets.charts.is_empty() {
            section id="when" {
                h2 { "When" span.beside { (sheets.way) } }
                p.quiet { "Outlined is work, black are circuits without protection, hatched are fire circuits." }
                div.drawn-wide { @for chart in &sheets.charts { (figure(chart)) } }
                div.drawn-narrow { @for chart in &sheets.narrow { (figure(chart)) } }
            }
        }
        @if !sheets.glance.is_empty() {
            section {
                h2 { "Without protection" }
                table.plain { tbody { @for [what, much] in &sheets.glance { tr { th scope="row" { (what) } td { (much) } } } } }
            }
        }
        (settle(open, &sheets.findings))
        (fire(sheets))
        (order(sheets, now))
        (lists(sheets))
    }
}

/// This minute by the plan.
fn minute(open: &Open, now: &Now) -> Markup {
    let by_utc = open.request.ahead_min.is_none();
    html! {
        section.now aria-labelledby="now-title" {
            h2 id="now-title" { "Now, by the plan" span.beside { (now.at) @if by_utc { " UTC" } } }
            @if by_utc { p { strong { "This is the minute by UTC, not by the clock on site" } ": without script this sheet does not know the difference. Look the minute up in the running order." } }
            @if let Some(says) = &now.outside { p { (says) } }
            @if let Some(fire) = &now.fire { (fire_out(fire)) }
            (gone(now))
            p { @if now.on_test { strong { "The account is on test." } } @else { "The account is off test." } }
            @if !now.work.is_empty() { (rows(&["when", "under way", "where"], now.work.iter().map(|row| row.as_slice()))) }
            @if !now.next.is_empty() { p { "Next, " (now.next) } }
            p.quiet { "The plan cannot see the building: what was really done is written on the running order. " a href=(open.path(&["cut-over"])) { "Look again" } }
        }
    }
}

/// The fire alarm before all else: since when, how much of the limit is used, what is asked, which circuits.
fn fire_out(fire: &FireOut) -> Markup {
    html! {
        p { strong.wrong { (fire.says) } }
        @if !fire.asked.is_empty() { p { "Asked now:" } ul.plain { @for one in &fire.asked { li { (one) } } } }
        @if !fire.later.is_empty() { p.quiet { "Asked if it stays out:" } ul.plain { @for one in &fire.later { li.quiet { (one) } } } }
        (rows(&["fire circuit", "place", "duty", "since"], fire.gone.iter().map(|row| row.as_slice())))
    }
}

/// What else is without protection; many of one duty stand behind a press.
fn gone(now: &Now) -> Markup {
    let count: usize = now.gone.iter().map(|of| of.gone.len()).sum();
    let other = if now.fire.is_some() { "other " } else { "" };
    let circuits = counted(count, &format!("{other}circuit is"), &format!("{other}circuits are"));
    html! {
        @if count > 0 {
            p { strong.wrong { (circuits) " without protection" } }
            @for of in &now.gone {
                details open[of.gone.len() <= GONE_SHOWN] {
                    summary { (of.duty) ": " (of.gone.len()) }
                    (rows(&["circuit", "place", "since"], of.gone.iter().map(|row| row.as_slice())))
                }
            }
        } @else if now.fire.is_none() { p { strong { "Nothing is without protection." } } }
    }
}

fn settle(open: &Open, findings: &[FindingRow]) -> Markup {
    let of = |wanted: &[Severity]| -> Vec<&FindingRow> {
        findings.iter().filter(|row| wanted.iter().any(|severity| row.is(*severity))).collect()
    };
    let heavy = of(&[Severity::Stop, Severity::Fix]);
    let (checks, notes) = (of(&[Severity::Check]), of(&[Severity::Note]));
    html! {
        @if !findings.is_empty() {
            section id="settle" {
                h2 { "To be settled before" }
                @if heavy.is_empty() { p { "Nothing that stops the work or wants a change." } } @else { (finding_list(open, &heavy)) }
                @if !checks.is_empty() { details { summary { (counted(checks.len(), "thing", "things")) " to look at or ask" } (finding_list(open, &checks)) } }
                @if !notes.is_empty() { details { summary { (counted(notes.len(), "note", "notes")) } (finding_list(open, &notes)) } }
            }
        }
    }
}

/// The running order, a day at a time; the present day is open, else the first.
fn order(sheets: &CutoverSheets, now: Option<&Now>) -> Markup {
    let open = now.and_then(|now| now.day).unwrap_or(0);
    html! {
        @if !sheets.days.is_empty() {
            section id="order" {
                h2 { "Running order" }
                @for (at, day) in sheets.days.iter().enumerate() {
                    details.printed open[at == open] {
                        summary { (day.day) ": " (counted(day.rows.len(), "line", "lines")) }
                        div id=(format!("order-{}", at + 1)) { (rows(&["when", "who", "what", "where"], day.rows.iter().map(|row| row.as_slice()))) }
                    }
                }
            }
        }
    }
}

/// What is long: each behind a press, its anchor inside, so that a way to it opens it.
fn lists(sheets: &CutoverSheets) -> Markup {
    html! {
        @if !sheets.unprotected.is_empty() {
            details.printed {
                summary { "Without protection, and since when: " (counted(sheets.unprotected.len(), "moment", "moments")) }
                div id="unprotected" { (rows(&["from", "circuits", "which"], sheets.unprotected.iter().map(|row| row.as_slice()))) }
            }
        }
        @if !sheets.dummies.is_empty() {
            details {
                summary { "Dummy resistors on the old terminals, each on the list until it is out: " (sheets.dummies.len()) }
                div id="dummies" { (rows(&["circuit", "old terminal", "what"], sheets.dummies.iter().map(|row| row.as_slice()))) }
            }
        }
        @if !sheets.circuits.is_empty() {
            details {
                summary { "Circuit by circuit" }
                div.drawn-wide { @for chart in &sheets.circuits { (figure(chart)) } }
                div.drawn-narrow { @for chart in &sheets.circuits_narrow { (figure(chart)) } }
            }
        }
        details {
            summary { "Method statement: " (counted(sheets.steps.len(), "step", "steps")) }
            ol.steps id="method" { @for step in &sheets.steps { li {
                span.number { (step.number) } " "
                @if !step.place.is_empty() { strong { (step.place) ": " } } (step.act)
                p.quiet { "Seen: " (step.proof) }
                @if !step.undoes.is_empty() { p.quiet { "Undo: " (step.undoes) } }
                @if !step.caution.is_empty() { p.remark { (step.caution) } }
            } } }
        }
        section id="texts" {
            @for notice in &sheets.notices {
                details {
                    summary { (notice.title) }
                    p { (notice.text) }
                    (rows(&["asked", "known"], notice.fields.iter().map(|row| row.as_slice())))
                    @for caution in &notice.cautions { p.remark { (caution) } }
                    p.quiet { "For " (notice.holder) }
                }
            }
        }
    }
}

/// Clauses stand alone on the sheet; where each was read is for whoever looks it up.
fn fire(sheets: &CutoverSheets) -> Markup {
    let asked: Vec<[String; 3]> =
        sheets.rules.iter().map(|[after, clause, what, _]| [after, clause, what].map(Clone::clone)).collect();
    html! {
        @if !sheets.outs.is_empty() || !sheets.rules.is_empty() {
            section id="fire" {
                h2 { "Fire alarm out of service" }
                @if !sheets.limit.is_empty() { p { (sheets.limit) } }
                @if !sheets.outs.is_empty() { (rows(&["from", "to", "how long"], sheets.outs.iter().map(|row| row.as_slice()))) }
                @if !asked.is_empty() {
                    h3 { "What is asked" }
                    (rows(&["after", "clause", "what"], asked.iter().map(|row| row.as_slice())))
                    details {
                        summary { "Where the clauses were read" }
                        ul.plain { @for [_, clause, _, source] in &sheets.rules { li { (clause) ": " (source) } } }
                    }
                }
            }
        }
    }
}
