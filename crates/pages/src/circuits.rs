//! The circuits: the answer, every circuit with its verdict, every finding.

use std::collections::BTreeMap;

use assess::{Assessment, CircuitResult, Need, needs};
use document::Plain;
use job::{Change, Duty, Severity, TableRef};
use maud::{Markup, html};
use view::findings::{FindingRow, finding_rows};
use view::heard::{Heard, hiding_words};
use view::words::{capital, duty_title, input, mode_words};

use crate::answer::Answer;
use crate::changes::{Act, Stands};
use crate::frame::{Open, Page, Tab, mark, refused};

/// Which circuits the table lists.
const FILTERS: [(&str, &str); 5] =
    [("", "all"), ("stop", "stop"), ("fix", "fix"), ("check", "check"), ("right", "nothing found")];

/// The room.
pub(crate) fn room(open: &Open) -> Answer {
    let assessed = open.assessed();
    let assessment = assessed.assessment();
    let body = if open.job().circuits.is_empty() {
        html! {
            p.answer { "No circuit here yet. Tie a tag on every cable that ends in the old panel, and begin with its tag." }
            (add_form(open, false))
        }
    } else {
        html! {
            p.answer { (assess::answer(assessment)) }
            (filters(open))
            (table(open, assessment))
            (found(open, assessment))
            details { summary { "Add a circuit" } (add_form(open, false)) }
        }
    };
    let mut page = Page::new(Tab::Circuits, "Circuits", body);
    page.beside = view::words::counted(open.job().circuits.len(), "circuit", "circuits");
    page.notes = before_lifting(open);
    page.answer(open)
}

fn filters(open: &Open) -> Markup {
    let asked = open.request.asked("only");
    html! {
        nav.filters aria-label="Which circuits" {
            @for (word, words) in FILTERS {
                a href=(format!("{}?only={word}", open.path(&["circuits"]))) aria-current=[(asked == word).then_some("true")] { (words) }
            }
        }
    }
}

/// The heaviest finding of every place.
pub(crate) fn heaviest<'a>(assessment: &'a Assessment) -> BTreeMap<&'a str, Severity> {
    let mut heaviest: BTreeMap<&str, Severity> = BTreeMap::new();
    for finding in &assessment.findings {
        let entry = heaviest.entry(finding.place.as_str()).or_insert(finding.severity);
        *entry = (*entry).max(finding.severity);
    }
    heaviest
}

fn table(open: &Open, assessment: &Assessment) -> Markup {
    let heaviest = heaviest(assessment);
    let needs = needs(assessment);
    let asked = open.request.asked("only");
    let rows: Vec<(&CircuitResult, &str, Need)> = assessment
        .circuits
        .iter()
        .zip(needs)
        .map(|(result, need)| {
            let of = heaviest.get(result.circuit.tag.as_str()).filter(|severity| **severity > Severity::Note);
            (result, of.map_or("", |severity| severity.word()), need)
        })
        .filter(|(_, word, _)| match asked {
            "" => true,
            "right" => word.is_empty(),
            asked => *word == asked,
        })
        .collect();
    html! {
        @if rows.is_empty() { p { "No circuit of this kind." } } @else {
            table.circuits role="table" aria-label="Circuits with their verdicts" {
                thead role="rowgroup" {
                    tr role="row" {
                        th scope="col" role="columnheader" { "verdict" }
                        th scope="col" role="columnheader" { "circuit" }
                        th scope="col" role="columnheader" { "place" }
                        th.number scope="col" role="columnheader" { "meter at rest" }
                        th scope="col" role="columnheader" { "needs" }
                        th scope="col" role="columnheader" { "duty, input, mode" }
                        th.number scope="col" role="columnheader" { "faults that hide an alarm" }
                    }
                }
                tbody role="rowgroup" { @for (result, word, need) in &rows { (row(open, assessment, result, word, *need)) } }
            }
        }
    }
}

fn row(open: &Open, assessment: &Assessment, result: &CircuitResult, word: &str, need: Need) -> Markup {
    let circuit = result.circuit;
    let study = result.study.as_ref();
    let driven = view::words::driven(assessment, circuit);
    let rest = study.and_then(|study| study.meter.first()).map_or(String::new(), |row| row.fed.shown());
    html! {
        tr role="row" {
            td.verdict role="cell" { @if word.is_empty() { (mark(verdict(result))) } @else { (mark(word)) } }
            th scope="row" role="rowheader" { a href=(open.path(&["c", &circuit.tag])) { (circuit.tag.value) } }
            td.place role="cell" { (capital(&circuit.place)) }
            td.number.meter role="cell" { (rest) }
            td.needs role="cell" { (need_words(need, driven.is_some())) }
            td.seat role="cell" {
                (duty_title(circuit.duty)) @if let Some(says) = &driven { ", " (says) } @else if circuit.input.is_some() { ", " span.whole-word { (input(circuit)) " " (mode_words(result)) } }
            }
            @if Heard::of(assessment, result) == Heard::Always { td.number.hides role="cell" { (hiding_words(assessment, result)) } }
            @else { td.hides.unheard role="cell" { (hiding_words(assessment, result)) } }
        }
    }
}

pub(crate) fn verdict(result: &CircuitResult) -> &'static str {
    match &result.study {
        Some(study) if result.why.is_none() && study.reads_right => "reads right",
        Some(_) if result.why.is_none() => "reads wrong",
        _ => "not known",
    }
}

fn need_words(need: Need, driven: bool) -> &'static str {
    match need {
        Need::Nothing => "nothing",
        Need::Resistor => "a resistor",
        Need::Mode => "another mode",
        Need::Split => "splitting",
        Need::Rewiring if driven => "another output, device or wiring",
        Need::Rewiring => "another input, device or wiring",
        Need::NotAsItIs => "cannot be supervised as it is",
        Need::Driven => "nothing here",
        Need::Spare => "nothing, it is spare",
        Need::Unknown => "to be known better",
    }
}

/// Every finding, the heaviest first; notes behind a press.
fn found(open: &Open, assessment: &Assessment) -> Markup {
    let rows = finding_rows(assessment);
    let (heavy, notes): (Vec<_>, Vec<_>) = rows.iter().partition(|row| row.severity != Severity::Note.word());
    html! {
        @if !heavy.is_empty() {
            section { h2 { "What was found" } (finding_list(open, &heavy)) }
        }
        @if !notes.is_empty() {
            details { summary { (view::words::counted(notes.len(), "note", "notes")) } (finding_list(open, &notes)) }
        }
    }
}

/// Findings with their places and remedies, in every room the same.
pub(crate) fn finding_list(open: &Open, rows: &[&FindingRow]) -> Markup {
    let asks_again = |row: &FindingRow| matches!(row.code, "reading-differs" | "resistor-place");
    let is_worked = |row: &FindingRow| asks_again(row) && crate::circuit::is_worked(open, &row.places);
    html! {
        ol.findings { @for row in rows { li {
            div.at { (mark(row.severity)) " " strong { @for place in row.places.split(", ") { (place_link(open, place)) " " } } }
            div { p { (row.text) } @if !row.remedy.is_empty() { p.remedy { (crate::circuit::cure(row.code, &row.remedy, is_worked(row))) } } }
        } } }
    }
}

/// A way to what a finding is about, where there is a page of it.
fn place_link(open: &Open, place: &str) -> Markup {
    let job = open.job();
    if job.circuits.iter().any(|circuit| circuit.tag.value == place) {
        return html! { a.inline href=(open.path(&["c", place])) { (place) } };
    }
    if job.supplies.iter().any(|supply| supply.id.value == place) {
        return html! { a.inline href=(open.path(&["s", place])) { (place) } };
    }
    html! { span { (if place == "job" { "The job" } else { place }) } }
}

/// The law and the gate: what has to be said before the first circuit is lifted.
fn before_lifting(open: &Open) -> Markup {
    let stands = Stands::of(open);
    let standing = |key: &str| stands.text(&TableRef::single("standing"), key);
    let gate = [
        "authority_in_writing",
        "station_on_test",
        "fire_authority_told",
        "asbestos_register_seen",
        "access",
    ];
    let left = gate.iter().filter(|key| standing(key).is_empty()).count();
    html! {
        section {
            h2 { "Before the first circuit is lifted" }
            @if left == 0 { p { "Everything of the gate is answered." } } @else { p { (left) " of " (gate.len()) " still open." } }
            details {
                summary { "The gate" }
                // Inside, so that a way to it opens it.
                span id="gate" {}
                @for key in gate { (text_field(open, &stands, TableRef::single("standing"), key)) }
                (choice_field(open, &stands, TableRef::single("fire"), "required", &["unknown", "yes", "no"]))
                (choice_field(open, &stands, TableRef::single("fire"), "control_listed_for", &["unknown", "commercial-fire", "household-fire", "none"]))
                (text_field(open, &stands, TableRef::single("fire"), "decision"))
            }
        }
    }
}

/// A field for a line of text.
pub(crate) fn text_field(open: &Open, stands: &Stands, table: TableRef, key: &str) -> Markup {
    crate::changes::field(open, stands, table, key, |id, was| {
        html! { input id=(id) name="to" value=(was) maxlength="2000" autocomplete="off"; }
    })
}

/// A field for one of some words.
pub(crate) fn choice_field(
    open: &Open,
    stands: &Stands,
    table: TableRef,
    key: &str,
    words: &[&str],
) -> Markup {
    crate::changes::field(open, stands, table, key, |id, was| {
        html! {
            select id=(id) name="to" {
                @if was.is_empty() { option value="" selected { "not said" } }
                @for word in words { option value=(word) selected[*word == was] { (word) } }
            }
        }
    })
}

/// The form for a new circuit.
pub(crate) fn add_form(open: &Open, to_card: bool) -> Markup {
    html! {
        form.add method="post" action=(open.path(&["circuits"])) {
            (open.form_fields())
            @if to_card { input type="hidden" name="then" value="card"; }
            div.row {
                div { label for="new-tag" { "Tag on the cable" } input id="new-tag" name="tag" required maxlength="40" autocomplete="off" autocapitalize="characters" placeholder=(next_tag(open)); }
                div { label for="new-place" { "Where it goes" } input id="new-place" name="place" maxlength="200" autocomplete="off"; }
                div { label for="new-duty" { "Duty" } select id="new-duty" name="duty" { option value="" { "not known yet" } @for duty in Duty::ALL { option value=(duty.word()) { (duty.word()) } } } }
                @if !open.job().enclosures.is_empty() {
                    div { label for="new-box" { "Ends in" } select id="new-box" name="ends_in" { @for one in &open.job().enclosures { option value=(one.id.value) { (one.id.value) " " (one.place) } } } }
                }
            }
            button.strong type="submit" { "Add this circuit" }
        }
    }
}

/// A tag that is free, after the pattern of the last one.
fn next_tag(open: &Open) -> String {
    format!("C{:02}", open.job().circuits.len() + 1)
}

/// Adds a circuit.
pub(crate) fn add(open: &Open) -> Answer {
    let field = |name: &str| open.request.field(name).trim();
    let tag = field("tag");
    let back = open.path(&["circuits"]);
    if tag.is_empty() {
        return refused(open.request, "A circuit needs the tag that is tied on its cable.", "", &back);
    }
    let there = open.job().circuits.iter().any(|circuit| circuit.tag.value.eq_ignore_ascii_case(tag));
    if there && open.world.change(open.id, field("id")).is_none() {
        let says = format!("Circuit {tag} is there already.");
        return refused(open.request, &says, "", &open.path(&["c", tag]));
    }
    let mut keys = vec![("tag", Plain::Text(tag.to_owned()))];
    for key in ["place", "duty", "ends_in"] {
        if !field(key).is_empty() {
            keys.push((key, Plain::Text(field(key).to_owned())));
        }
    }
    let change = Change::new_table(TableRef::named("circuit", tag), Plain::table(keys));
    let then = if field("then") == "card" { open.path(&["survey", tag]) } else { open.path(&["c", tag]) };
    Act::new(format!("Circuit {tag} added."), vec![change], then).answer(open)
}
