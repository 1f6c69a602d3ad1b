//! Equipment: what the job has of enclosures, modules, supplies and all that belongs to them, each with what changes it.
//!
//! `fields` says what can be written, `tables` what that means, `form` draws it and reads nothing, `write` makes changes of what was typed or says what
//! is wrong with it field by field, `followed` finds the entry of a list that a form saw, `remove` asks before it takes out
//! what something hangs on, `circuit` is the same for a circuit's page, `apart` for what stands in other rooms, `placed` says
//! to which field an error belongs, `profiles` has the library in words.

mod apart;
mod circuit;
mod fields;
mod followed;
mod form;
mod more;
mod nameless;
mod placed;
mod profiles;
mod remove;
mod tables;
mod write;

use document::Source;
use job::Change;
use maud::{Markup, html};
use view::words::counted;

use crate::answer::Answer;
use crate::frame::{Open, Page, Tab, refused};
pub(crate) use apart::{standby, van, weights};
pub(crate) use circuit::forms as circuit_forms;
use fields::{CIRCUIT, EQUIPMENT, TERMS};
pub(crate) use form::Sent;
use form::{Listed, Text, Which, entry, ids, whole};
use tables::Table;

/// Of more than so many of one kind the forms come one by one, so that the page stays light.
const AT_ONCE: usize = 12;

/// The page.
pub(crate) fn room(open: &Open) -> Answer {
    page(open, None)
}

/// The page of a form that could not be taken: what was typed stays, what is wrong stands beside it.
fn page_with(open: &Open, sent: Sent) -> Answer {
    if sent.table == CIRCUIT.name {
        return circuit::page_with(open, &sent);
    }
    apart::page_with(open, &sent).unwrap_or_else(|| page(open, Some(&sent)))
}

/// A press on it.
pub(crate) fn press(open: &Open) -> Answer {
    let Some(table) = tables::table(open.request.field("table")) else {
        return refused(open.request, "There is no such table.", "", &open.path(&["equipment"]));
    };
    match open.request.field("do") {
        "add" => write::add(open, table),
        "write" => write::write(open, table),
        "entry" => write::entry(open, table),
        "remove" => remove::press(open, table),
        "rename" if table.name == CIRCUIT.name => circuit::rename(open),
        _ => refused(open.request, "Nothing was said of what to do.", "", &open.path(&["equipment"])),
    }
}

/// The first thing that would be wrong with the job then: what, and what would be accepted.
fn problems_of(open: &Open, changes: &[Change]) -> Option<(String, String)> {
    let source = Source::new("job.toml", open.kept.text.as_ref());
    let draft = match Change::drafted(changes, &source) {
        Ok(draft) => Source::new("job.toml", draft),
        Err(error) => return Some((crate::changes::sentence(&error.to_string()), String::new())),
    };
    let first = write::problems(open, &draft).into_iter().next()?;
    let accept = if first.accept.is_empty() { String::new() } else { format!("Accepted: {}.", first.accept) };
    Some((crate::changes::sentence(&first.text), accept))
}

fn page(open: &Open, sent: Option<&Sent>) -> Answer {
    let text = Text::of(open);
    let body = html! {
        p.answer { (answer(open)) }
        @if sent.is_some() { p.wrong-here { strong.wrong { "Nothing was written yet: what is wrong stands in the form below." } } }
        nav.filters aria-label="Equipment" {
            @for table in EQUIPMENT { a href=(format!("#{}", table.name)) { (view::words::capital(table.many)) } }
            a href="#extension" { "Cables made longer" }
        }
        @for table in EQUIPMENT { (part(open, &text, table, sent)) }
        (apart::extension(open, sent))
        section {
            h2 { "What holds for the whole job" }
            @for table in TERMS { (part(open, &text, table, sent)) }
            p.quiet {
                "Elsewhere: " a.inline href=(format!("{}#standby", open.path(&["supplies"]))) { "standby" } ", "
                a.inline href=(format!("{}#weights", open.path(&["cut-over"]))) { "weights of the cut-over" } ", "
                a.inline href=(format!("{}#van", open.path(&["kit"]))) { "what the van holds" } ", "
                a.inline href=(format!("{}#gate", open.path(&["circuits"]))) { "the fire alarm's answers" } "."
            }
        }
        p { a.button href=(open.path(&["text"])) { "All of it as text" } " " a.button href=(open.path(&["inputs"])) { "To the inputs" } }
    };
    let mut page = Page::new(Tab::Inputs, "Equipment", body);
    page.status = if sent.is_some() { 400 } else { 200 };
    page.notes = html! {
        section { h2 { "The library" } (profiles::modules(open.desk.library())) }
        section {
            h2 { "Caution" }
            p { "Mains and earth are an electrician's, where the law reserves them. Fire-alarm equipment belongs to licensed people." }
        }
    };
    page.answer(open)
}

/// What there is, and what is missing before circuits can have inputs.
fn answer(open: &Open) -> String {
    let job = open.job();
    let there = [
        counted(job.enclosures.len(), "enclosure", "enclosures"),
        counted(job.modules.len(), "module", "modules"),
        counted(job.supplies.len(), "supply", "supplies"),
    ];
    let missing: Vec<&str> = [
        (job.enclosures.is_empty(), "an enclosure"),
        (job.modules.is_empty(), "a module"),
        (job.supplies.is_empty(), "a supply"),
    ]
    .into_iter()
    .filter_map(|(missing, what)| missing.then_some(what))
    .collect();
    if missing.is_empty() {
        return format!("{}.", there.join(", "));
    }
    format!("Not written yet: {}. Nothing of it is needed for the survey.", missing.join(", "))
}

/// Everything of one kind.
fn part(open: &Open, text: &Text, table: &Table, sent: Option<&Sent>) -> Markup {
    if table.id.is_none() {
        return html! { div id=(table.name) { (single(open, text, table, sent)) } };
    }
    let level = |words: Markup| {
        let is_term = TERMS.iter().any(|term| term.name == table.name);
        html! { @if is_term { h3 { (words) } } @else { h2 { (words) } } }
    };
    let all = ids(open.job(), table.name);
    let many = all.len() > AT_ONCE;
    let asked = |of: &str| open.request.asked("item") == format!("{}-{of}", table.name);
    let here = |of: &str| sent.is_some_and(|sent| sent.table == table.name && sent.of == of);
    html! {
        section id=(table.name) {
            (level(html! { (view::words::capital(table.many)) " " span.beside { (all.len()) } }))
            p.quiet { (table.about) }
            @if many { div.pairs { @for id in &all { (way_to(open, table, id)) } } }
            @for id in all.iter().filter(|id| !many || here(id) || asked(id)) {
                @let then = "";
                details.item id=(format!("{}-{}", table.name, crate::place::encoded(id))) open[here(id) || asked(id)] {
                    summary { strong { (id) } " " span.quiet { (words(open, text, table, id)) } }
                    (whole(open, text, &Which { table, of: id, then, press: format!("Write all of this into {id}") }, sent))
                    (lists(open, text, table, id, sent))
                    (remove::form(open, table, id, then))
                }
            }
            details.item open[here("") || (all.is_empty() && table.name == first_missing(open))] {
                summary { "Add " (a(table.one)) }
                (whole(open, text, &Which { table, of: "", then: "", press: format!("Add this {}", table.one) }, sent))
            }
        }
    }
}

/// The way to the forms of one of many.
fn way_to(open: &Open, table: &Table, id: &str) -> Markup {
    let encoded = crate::place::encoded(id);
    html! { a href=(format!("{}?item={}-{encoded}#{}-{encoded}", open.path(&["equipment"]), table.name, table.name)) { span.tag { (id) } } }
}

fn a(what: &str) -> String {
    // A user begins like a young one.
    let vowel = what.starts_with(['a', 'e', 'i', 'o', 'u']) && what != "user";
    format!("{} {what}", if vowel { "an" } else { "a" })
}

/// What a job needs next before circuits can have inputs.
fn first_missing(open: &Open) -> &'static str {
    let job = open.job();
    match (job.enclosures.is_empty(), job.modules.is_empty(), job.supplies.is_empty()) {
        (true, ..) => "enclosure",
        (_, true, _) => "module",
        (.., true) => "supply",
        _ => "",
    }
}

/// A table that stands once.
fn single(open: &Open, text: &Text, table: &Table, sent: Option<&Sent>) -> Markup {
    let asked = open.request.asked("item") == format!("{}-", table.name);
    let here = asked || sent.is_some_and(|sent| sent.table == table.name);
    html! {
        details.item id=(format!("{}-", table.name)) open[here] {
            summary { (view::words::capital(table.one)) " " span.quiet { (words(open, text, table, "")) } }
            @if !table.about.is_empty() { p.quiet { (table.about) } }
            (whole(open, text, &Which { table, of: "", then: "", press: "Write all of this".to_owned() }, sent))
            (lists(open, text, table, "", sent))
        }
    }
}

/// What is written of one, in a line.
fn words(open: &Open, text: &Text, table: &Table, id: &str) -> String {
    let mut all: Vec<String> = table
        .fields
        .iter()
        .map(|field| text.shown(table, id, field))
        .filter(|shown| !shown.is_empty())
        .take(3)
        .collect();
    if table.name == "module" {
        let used = open.job().circuits.iter().flat_map(|circuit| circuit.input.iter().chain(&circuit.also));
        all.push(counted(used.filter(|input| input.module == id).count(), "input used", "inputs used"));
    }
    if all.is_empty() { "nothing written".to_owned() } else { all.join(", ") }
}

/// The fields of one that are written, with their names.
fn written_part(text: &Text, table: &Table, id: &str, most: usize) -> Vec<String> {
    let shown = |field: &tables::Field| {
        let shown = text.shown(table, id, field);
        (!shown.is_empty()).then(|| format!("{} {shown}", field.label.to_lowercase()))
    };
    table.fields.iter().filter_map(shown).take(most).collect()
}

/// The lists of one: each entry with what changes it, and one more.
fn lists(open: &Open, text: &Text, table: &Table, id: &str, sent: Option<&Sent>) -> Markup {
    let name = form::of_table(table, id);
    html! {
        @for list in table.lists {
            @let entries = text.entries(&name, list.key);
            @let which = Listed { table, of: id, list, then: "" };
            @let open_at = sent.filter(|sent| sent.of == id && sent.table == table.name).and_then(|sent| sent.entry.as_ref()).filter(|(key, _)| key == list.key).map(|(_, at)| *at);
            h3 { (view::words::capital(list.many)) }
            @for (at, stands) in entries.iter().enumerate() {
                details.item open[open_at == Some(Some(at))] {
                    summary { (in_words(list, stands)) }
                    (entry(open, &which, (Some(at), Some(stands)), sent))
                }
            }
            details.item open[open_at == Some(None)] {
                summary { "Add " (a(list.one)) }
                (entry(open, &which, (None, None), sent))
            }
        }
    }
}

fn in_words(list: &tables::List, stands: &document::Plain) -> String {
    let part = |field: &tables::Field| {
        let shown = field.kind.shown(stands.get(field.key));
        (!shown.is_empty()).then(|| format!("{} {shown}", field.label.to_lowercase()))
    };
    let all: Vec<String> = list.fields.iter().filter_map(part).collect();
    if all.is_empty() { format!("{}, nothing written", list.one) } else { all.join(", ") }
}
