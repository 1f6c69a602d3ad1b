//! What a form of equipment writes: changes from what stood there to what was typed, or what is wrong with it, field by field.

use std::collections::BTreeMap;

use document::{Plain, Problem, Source};
use job::{Change, Job, Place, TableRef};
use maud::html;

use super::apart;
use super::fields::NUMBERED;
use super::form::{Sent, Text, Wrong, ids, next_id, of_table};
use super::placed::placed;
use super::tables::{Field, Kind, List, Table};
use crate::answer::{Answer, Content, said};
use crate::changes::{Act, sentence};
use crate::frame::{Open, refused};
use crate::world::Changed;

/// What a field says: line ends as the job has them, no blanks around it.
fn typed(open: &Open, name: &str) -> String {
    open.request.field(name).replace("\r\n", "\n").trim().to_owned()
}

/// Fields of one line lose line ends in a browser: those are no difference.
fn flat(text: &str) -> String {
    text.chars().filter(|letter| !matches!(letter, '\n' | '\r')).collect()
}

/// All that was typed into the fields of a form.
fn all_typed(open: &Open) -> BTreeMap<String, String> {
    let fields = open.request.form.iter().filter_map(|(name, _)| name.strip_prefix("k-"));
    fields.map(|key| (key.to_owned(), typed(open, &format!("k-{key}")))).collect()
}

/// Where the browser goes once it is written.
fn onward(open: &Open, table: &Table, of: &str) -> String {
    match open.request.field("then") {
        "" => {
            let of = crate::place::encoded(of);
            format!("{}?item={}-{of}#{}-{of}", open.path(&["equipment"]), table.name, table.name)
        }
        then => crate::place::back(then),
    }
}

/// Adds one of many.
pub(super) fn add(open: &Open, table: &Table) -> Answer {
    let Some((id_key, letter)) = table.id else {
        return refused(open.request, "There is one of these only.", "", &open.path(&["equipment"]));
    };
    let typed = all_typed(open);
    let id = typed.get(id_key).cloned().unwrap_or_default();
    let mut sent =
        Sent { table: table.name.to_owned(), of: String::new(), entry: None, typed, wrong: Vec::new() };
    let done = open.world.change(open.id, open.request.field("id")).is_some();
    let there = ids(open.job(), table.name).iter().any(|taken| taken.eq_ignore_ascii_case(&id));
    if id.is_empty() || (there && !done) {
        let free = next_id(open.job(), table.name, letter);
        let accept = if free.is_empty() {
            "a name that no other has".to_owned()
        } else {
            format!("a name that no other has, as {free}")
        };
        let text = if there {
            format!("There is {} {id} already.", super::a(table.one))
        } else {
            format!("The {} needs a name.", table.one)
        };
        sent.wrong.push((id_key.to_owned(), Wrong::said(text, accept)));
        return super::page_with(open, sent);
    }
    let kind = if letter == NUMBERED { Kind::Whole } else { Kind::Words };
    let mut keys = vec![(id_key, kind.value(&id).unwrap_or_else(|| Plain::Text(id.clone())))];
    for field in table.fields {
        keys.extend(
            sent.typed.get(field.key).and_then(|to| field.kind.value(to)).map(|value| (field.key, value)),
        );
    }
    let change = Change::new_table(TableRef::named(table.name, &id), Plain::table(keys));
    let what = format!("{} {id} added.", view::words::capital(table.one));
    let then = onward(open, table, &id);
    finish(open, (table, &id), sent, vec![change], (what, then))
}

/// Writes what was changed in a form.
pub(super) fn write(open: &Open, table: &Table) -> Answer {
    let of = open.request.field("of");
    if table.id.is_some() && !ids(open.job(), table.name).iter().any(|id| id == of) {
        return gone(open, table, of);
    }
    let text = Text::of(open);
    let (mut changes, mut clashes) = (Vec::new(), Vec::new());
    for field in table.fields {
        let key = format!("k-{}", field.key);
        if !open.request.form.iter().any(|(sent, _)| *sent == key) {
            continue;
        }
        let (was, to) = (typed(open, &format!("was-{}", field.key)), typed(open, &key));
        let at = Place::Key(of_table(table, of), field.key.to_owned());
        let stands = text.under(table, of, field);
        let now = field.kind.shown(stands).trim().to_owned();
        if field.kind.same(&was, &to) || field.kind.same(&now, &to) {
            continue;
        }
        if !field.kind.same(&now, &was) {
            clashes.push(Clash { field, was, now, to });
            continue;
        }
        changes.push(Change { at, from: stands.cloned(), to: field.kind.value(&to) });
    }
    if !clashes.is_empty() {
        return meanwhile(open, table, of, &clashes);
    }
    let sent = Sent {
        table: table.name.to_owned(),
        of: of.to_owned(),
        entry: None,
        typed: all_typed(open),
        wrong: Vec::new(),
    };
    let named = |change: &Change| match &change.at {
        Place::Key(_, key) => table.field(key).map_or("value", |field| field.label).to_owned(),
        _ => String::new(),
    };
    let what = match (changes.as_slice(), of) {
        ([one], "") => {
            format!("{}: {} is {}.", view::words::capital(table.one), lower(&named(one)), value_of(one))
        }
        ([one], of) => format!("{of}: {} is {}.", lower(&named(one)), value_of(one)),
        (many, "") => format!("{}: {} written.", view::words::capital(table.one), several(many, &named)),
        (many, of) => format!("{of}: {} written.", several(many, &named)),
    };
    let then = onward(open, table, of);
    finish(open, (table, of), sent, changes, (what, then))
}

fn several(changes: &[Change], named: &dyn Fn(&Change) -> String) -> String {
    let all: Vec<String> = changes.iter().map(|change| lower(&named(change))).collect();
    view::words::listed(&all, 4)
}

fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

fn value_of(change: &Change) -> String {
    match &change.to {
        None => "taken out".to_owned(),
        Some(Plain::Text(text)) => flat(text),
        Some(other) => other.literal(),
    }
}

/// Puts an entry into a list, writes another in its place, takes it out.
pub(super) fn entry(open: &Open, table: &Table) -> Answer {
    let of = open.request.field("of");
    let Some(list) = table.list(open.request.field("list")) else {
        return refused(open.request, "There is no such list.", "", &open.path(&["equipment"]));
    };
    if table.id.is_some() && !ids(open.job(), table.name).iter().any(|id| id == of) {
        return gone(open, table, of);
    }
    let text = Text::of(open);
    let name = of_table(table, of);
    let entries = text.entries(&name, list.key);
    let stood = open.request.field("stood").replace("\r\n", "\n");
    let number: Option<usize> = open.request.field("at").parse().ok();
    let typed = all_typed(open);
    let out = !open.request.field("out").is_empty();
    let sent = Sent {
        table: table.name.to_owned(),
        of: of.to_owned(),
        entry: Some((list.key.to_owned(), number)),
        typed,
        wrong: Vec::new(),
    };
    let owner = if of.is_empty() { view::words::capital(table.one) } else { of.to_owned() };
    let document = name == TableRef::document();
    let what = match (number, out) {
        // What it says stands behind, once that is known.
        (None, _) if document => format!("{} added", view::words::capital(list.one)),
        (_, true) if document => format!("{} taken out", view::words::capital(list.one)),
        _ if document => format!("{} changed", view::words::capital(list.one)),
        (None, _) => format!("{owner}: a {} added.", list.one),
        (_, true) => format!("{owner}: a {} taken out.", list.one),
        _ => format!("{owner}: a {} changed.", list.one),
    };
    let at = match number {
        None => entries.len(),
        Some(number) => {
            let wrote = |one: &Change| match &one.to {
                None => out,
                to => !out && *to == Some(in_its_order(list, one.from.as_ref(), &sent.typed)),
            };
            let same = |known: &Changed| known.what == what || document && known.what.starts_with(&what);
            let is_this = |known: &Changed| same(known) && known.changes.iter().any(wrote);
            if let Some(answer) = crate::twice::sent_again(open, is_this, &what, &onward(open, table, of)) {
                return answer;
            }
            match super::followed::stands_at(open, &name, list.key, number, &stood) {
                Ok(at) => at,
                Err(by) => {
                    let now = entries.get(number).copied();
                    return meanwhile_entry(open, (table, of), list, &sent, (now, by.as_deref()));
                }
            }
        }
    };
    let from = number.and(entries.get(at)).map(|one| (*one).clone());
    let to = (!out).then(|| in_its_order(list, from.as_ref(), &sent.typed));
    if from == to {
        return said(Content::Redirect(onward(open, table, of)));
    }
    let what = if document { apart::said(list, from.as_ref(), to.as_ref()) } else { what };
    // The first comes with its list and the last goes with it, so that nothing empty is left.
    let change = match (entries.as_slice(), from, to) {
        // What stands in the document itself has a header of its own.
        (_, from, to) if document => Change { at: Place::Entry(name, list.key.to_owned(), at), from, to },
        ([], None, Some(first)) => Change::key(name, list.key, None, Some(Plain::List(vec![first]))),
        ([last], Some(_), None) => {
            Change::key(name, list.key, Some(Plain::List(vec![(*last).clone()])), None)
        }
        (_, from, to) => Change { at: Place::Entry(name, list.key.to_owned(), at), from, to },
    };
    let then = onward(open, table, of);
    finish(open, (table, of), sent, vec![change], (what, then))
}

/// An entry as it was typed, in the order in which it stands; what was not touched stays as it was written.
fn in_its_order(list: &List, stands: Option<&Plain>, typed: &BTreeMap<String, String>) -> Plain {
    let stood: &[(String, Plain)] = match stands {
        Some(Plain::Table(keys)) => keys,
        _ => &[],
    };
    let mut keys = Vec::new();
    for (key, value) in stood {
        let typed = list
            .fields
            .iter()
            .find(|field| field.key == key)
            .and_then(|field| Some((field, typed.get(key)?)));
        match typed {
            Some((field, typed)) if !field.kind.same(&field.kind.shown(Some(value)), typed) => {
                keys.extend(field.kind.value(typed).map(|value| (key.clone(), value)));
            }
            _ => keys.push((key.clone(), value.clone())),
        }
    }
    for field in list.fields.iter().filter(|field| stood.iter().all(|(key, _)| key != field.key)) {
        let value = typed.get(field.key).and_then(|typed| field.kind.value(typed));
        keys.extend(value.map(|value| (field.key.to_owned(), value)));
    }
    Plain::Table(keys)
}

/// Writes the changes, or says field by field what would be wrong with the job then.
fn finish(
    open: &Open,
    (table, of): (&Table, &str),
    mut sent: Sent,
    changes: Vec<Change>,
    (what, then): (String, String),
) -> Answer {
    let done = open.world.change(open.id, open.request.field("id")).is_some();
    if changes.is_empty() {
        return said(Content::Redirect(then));
    }
    let source = Source::new("job.toml", open.kept.text.as_ref());
    match Change::drafted(&changes, &source) {
        _ if done => {}
        Err(error) => sent.wrong.push((String::new(), Wrong::said(sentence(&error.to_string()), ""))),
        Ok(draft) => {
            let draft = Source::new("job.toml", draft);
            for problem in problems(open, &draft) {
                let (key, wrong) = placed(&draft, &problem, (table, of), &sent);
                sent.wrong.push((key, wrong));
            }
        }
    }
    if sent.wrong.is_empty() {
        Act::new(what, changes, then).answer(open)
    } else {
        super::page_with(open, sent)
    }
}

/// What would be wrong with a job of this text.
pub(super) fn problems(open: &Open, draft: &Source) -> Vec<Problem> {
    Job::read_and(draft, |job| assess::check_references(job, open.desk.library())).err().unwrap_or_default()
}

/// A field that somebody else changed meanwhile.
struct Clash {
    field: &'static Field,
    was: String,
    now: String,
    to: String,
}

/// Two people changed one thing: both are shown, and nothing is lost.
fn meanwhile(open: &Open, table: &Table, of: &str, clashes: &[Clash]) -> Answer {
    let name = if of.is_empty() { table.one.to_owned() } else { format!("{} {of}", table.one) };
    let body = html! {
        div.head { h1 { "Changed meanwhile" } }
        p.answer { "Somebody changed " (name) " while you wrote. Nothing of yours was written yet." }
        @for clash in clashes {
            section {
                h2 { (clash.field.label) }
                table.plain { tbody {
                    tr { th scope="row" { "You saw" } td { (or_nothing(&clash.was)) } }
                    tr { th scope="row" { "It is now" } td { (or_nothing(&clash.now)) } }
                    tr { th scope="row" { "You wanted" } td { (or_nothing(&clash.to)) } }
                } }
            }
        }
        div.choices {
            a.button href=(onward(open, table, of)) { "Leave it as it is now" }
            form method="post" action=(open.request.path) {
                @for (key, sent) in &open.request.form {
                    @let clash = clashes.iter().find(|clash| format!("was-{}", clash.field.key) == *key);
                    @if key != "id" { input type="hidden" name=(key) value=(clash.map_or(sent, |clash| &clash.now)); }
                }
                input type="hidden" name="id" value=(open.request.fresh_id);
                button type="submit" { "Write mine in its place" }
            }
        }
    };
    crate::frame::plain(open.request, 409, "Changed meanwhile", &body)
}

fn or_nothing(text: &str) -> &str {
    if text.is_empty() { "nothing" } else { text }
}

fn meanwhile_entry(
    open: &Open,
    (table, of): (&Table, &str),
    list: &List,
    sent: &Sent,
    (now, by): (Option<&Plain>, Option<&Changed>),
) -> Answer {
    let out = !open.request.field("out").is_empty();
    let body = html! {
        div.head { h1 { "Changed meanwhile" } }
        @match by {
            Some(by) => p.answer { "This " (list.one) " of " (of) " is not there any more: \"" (by.what.trim_end_matches('.')) "\", by " bdi { (by.author) } " at " (open.time(&by.at)) ". Nothing of yours was written yet." }
            None => p.answer { "Somebody changed this " (list.one) " of " (of) ", or took it out, while you wrote. Nothing of yours was written yet." }
        }
        table.plain { tbody {
            tr { th scope="row" { "You saw" } td { (open.request.field("stood")) } }
            // Where it is known to be gone, what stands at its number now is another one.
            @if by.is_none() { tr { th scope="row" { "It is now" } td { (now.map_or_else(|| "nothing".to_owned(), Plain::literal)) } } }
            @for (key, value) in sent.typed.iter().filter(|(_, value)| !out && !value.is_empty()) {
                tr { th scope="row" { "You wanted: " (list.fields.iter().find(|field| field.key == key).map_or(key.as_str(), |field| field.label)) } td { (value) } }
            }
        } }
        div.choices {
            a.button href=(onward(open, table, of)) { "Leave it as it is now" }
            @if !out {
                form method="post" action=(open.request.path) {
                    @for (key, sent) in &open.request.form {
                        @if key != "id" && key != "at" && key != "stood" { input type="hidden" name=(key) value=(sent); }
                    }
                    input type="hidden" name="id" value=(open.request.fresh_id);
                    input type="hidden" name="at" value="new";
                    button type="submit" { "Add mine beside it" }
                }
            }
        }
    };
    crate::frame::plain(open.request, 409, "Changed meanwhile", &body)
}

/// What was written about is not there any more; what was typed is shown.
pub(super) fn gone(open: &Open, table: &Table, of: &str) -> Answer {
    let typed = all_typed(open);
    let body = html! {
        div.head { h1 { "Not there any more" } }
        p.answer { "There is no " (table.one) " " (of) " any more: somebody took it out or called it anew while you wrote. Nothing of yours was written." }
        @if typed.values().any(|value| !value.is_empty()) {
            p { "This is what you typed:" }
            table.plain { tbody {
                @for (key, value) in typed.iter().filter(|(_, value)| !value.is_empty()) {
                    tr { th scope="row" { (table.field(key).map_or(key.as_str(), |field| field.label)) } td { (value) } }
                }
            } }
        }
        p { a.button href=(open.path(&["equipment"])) { "To the equipment" } " " a.button href=(open.path(&["record"])) { "To the changes" } }
    };
    crate::frame::plain(open.request, 409, "Not there any more", &body)
}
