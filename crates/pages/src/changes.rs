//! Changes: made from a form, said in words, taken back; and both sides of it where two people changed one thing.

use document::{Plain, Source};
use job::{Change, ChangeError, Job, Place, TableRef};
use maud::{Markup, html};

use crate::answer::{Answer, Content, Write};
use crate::frame::{Open, having_written, refused};
use crate::twice;
use crate::world::{Changed, Entry};

/// What a press is to do.
pub(crate) struct Act {
    /// In a sentence, as the margin says it.
    pub(crate) what: String,
    /// From what to what; empty where only evidence is written.
    pub(crate) changes: Vec<Change>,
    /// What was observed with it.
    pub(crate) entries: Vec<Entry>,
    /// Where the browser goes then.
    pub(crate) then: String,
    /// The id of the change that it takes back.
    pub(crate) takes_back: String,
    /// The whole new text, where that is known better than by its changes.
    pub(crate) text: Option<String>,
}

impl Act {
    pub(crate) fn new(what: impl Into<String>, changes: Vec<Change>, then: String) -> Self {
        Self { what: what.into(), changes, entries: Vec::new(), then, takes_back: String::new(), text: None }
    }

    /// Carries it out: makes the new text, or shows what stands in its way.
    pub(crate) fn answer(self, open: &Open) -> Answer {
        let id = match open.request.field("id") {
            "" => open.request.fresh_id.clone(),
            id => id.to_owned(),
        };
        // A form that is sent a second time has done its work already.
        let (mut writes, mut strips) = (Vec::new(), Vec::new());
        let mut then = self.then.clone();
        let known = open.world.change(open.id, &id);
        if known.is_some() {
            then = having_written(&then, &id);
        }
        if let Some(known) = &known
            && !self.does_nothing()
            && !self.is_like(known)
        {
            return twice::of_change(open, known, &self);
        }
        if !self.does_nothing() && known.is_none() {
            let source = Source::new("job.toml", open.kept.text.as_ref());
            let applied = match &self.text {
                Some(text) => Ok(text.clone()),
                None => Change::apply_all(&self.changes, &source).map(|applied| applied.text),
            };
            match applied {
                Ok(text) if text == *open.kept.text => {}
                Ok(text) => {
                    let after = match reads(open, &text) {
                        Ok(after) => after,
                        Err(says) => return refused(open.request, &says, "", &self.then),
                    };
                    strips = crate::clear::anew(open, (&id, &self.what), &after, &self.changes);
                    then = having_written(&then, &id);
                    writes.push(Write::Save {
                        job: open.id.to_owned(),
                        id,
                        version: open.kept.version,
                        text,
                        changes: self.changes,
                        what: self.what,
                        takes_back: self.takes_back,
                    });
                }
                Err(ChangeError::Conflict { at, stands, expected }) => {
                    return both(open, &self, &at, &stands, &expected);
                }
                Err(error) => return refused(open.request, &sentence(&error.to_string()), "", &self.then),
            }
        }
        let entries = self.entries.into_iter().chain(strips);
        writes.extend(entries.map(|entry| Write::Evidence { job: open.id.to_owned(), entry }));
        Answer { status: 303, content: Content::Redirect(then), writes, remember: None }
    }

    fn does_nothing(&self) -> bool {
        self.changes.is_empty() && self.text.is_none()
    }

    /// Whether a change that is kept is this one: where and from what may have moved since, what was wanted has not.
    fn is_like(&self, known: &Changed) -> bool {
        let wanted = |changes: &[Change]| -> Vec<_> {
            let key = |at: &Place| match at {
                Place::Table(_) => String::new(),
                Place::Key(_, key) | Place::Entry(_, key, _) => key.clone(),
            };
            changes
                .iter()
                .map(|change| (change.at.table().clone(), key(&change.at), change.to.clone()))
                .collect()
        };
        wanted(&known.changes) == wanted(&self.changes) && known.takes_back == self.takes_back
    }
}

/// The job of the new text, which names nothing that the library does not have.
fn reads(open: &Open, text: &str) -> Result<Job, String> {
    let source = Source::new("job.toml", text);
    let job = Job::read_and(&source, |job| assess::check_references(job, open.desk.library()));
    match job {
        Ok(job) => Ok(job),
        Err(problems) => {
            let first = problems.first();
            Err(first.map_or(String::new(), |problem| sentence(&problem.text)))
        }
    }
}

pub(crate) fn sentence(text: &str) -> String {
    let text = view::words::capital(text);
    if text.ends_with('.') { text } else { format!("{text}.") }
}

/// Two people changed one thing: both are shown, and nothing is lost.
fn both(open: &Open, act: &Act, at: &Place, stands: &str, expected: &str) -> Answer {
    let last = open
        .world
        .changes(open.id, 20)
        .into_iter()
        .find(|change| change.changes.iter().any(|one| one.at == *at));
    let wanted = act.changes.iter().find(|change| change.at == *at);
    let now = at.standing(&Source::new("job.toml", open.kept.text.as_ref()));
    let body = html! {
        div.head { h1 { "Changed meanwhile" } }
        p.answer { "Somebody changed this while you looked at it. Nothing of yours was written yet." }
        table.plain {
            tbody {
                tr { th scope="row" { "What" } td { (place(at)) } }
                tr { th scope="row" { "You saw" } td { (expected) } }
                tr {
                    th scope="row" { "It is now" }
                    td {
                        (stands)
                        @if let Some(last) = &last { span.quiet { ", by " bdi { (last.author) } " at " (open.time(&last.at)) } }
                    }
                }
                tr { th scope="row" { "You wanted" } td { (wanted.map_or_else(String::new, |wanted| value(wanted.to.as_ref()))) } }
            }
        }
        div.choices {
            a.button href=(act.then) { "Leave it as it is now" }
            form method="post" action=(open.request.path) {
                @for (key, sent) in &open.request.form {
                    @if key != "id" && key != "was" { input type="hidden" name=(key) value=(sent); }
                }
                input type="hidden" name="id" value=(open.request.fresh_id);
                input type="hidden" name="was" value=(text_of(now.as_ref()));
                button type="submit" { "Write mine in its place" }
            }
        }
    };
    let mut answer = crate::frame::plain(open.request, 409, "Changed meanwhile", &body);
    answer.writes.clear();
    answer
}

/// A change in the margin: when, who, what, from what to what, and the way back.
pub(crate) fn line(open: &Open, change: &Changed) -> Markup {
    html! {
        p { time datetime=(change.at) { (open.time(&change.at)) } " " bdi.quiet { (change.author) } }
        p { (change.what) }
        @if !change.changes.is_empty() {
            details {
                summary { "From what to what" }
                ul { @for one in &change.changes { li { (words(one)) } } }
            }
        } @else if is_of_text(change) {
            (crate::text::link(open, change))
        }
        @if change.version > 1 { (undo_form(open, change)) }
    }
}

/// Whether it wrote the whole text anew; a job's first text is none of those.
pub(crate) fn is_of_text(change: &Changed) -> bool {
    change.changes.is_empty() && change.version > 1
}

/// The press that takes a change back.
pub(crate) fn undo_form(open: &Open, change: &Changed) -> Markup {
    html! {
        form method="post" action=(open.path(&["undo"])) {
            (open.form_fields())
            input type="hidden" name="change" value=(change.id);
            input type="hidden" name="back" value=(back_here(open));
            button.small type="submit" aria-label=(format!("Take back: {}", change.what)) { "Take back" }
        }
    }
}

/// The page to come back to: the one that is open, where it is one that can be opened.
fn back_here(open: &Open) -> String {
    if open.request.method == crate::request::Method::Get {
        open.request.path.clone()
    } else {
        open.path(&[])
    }
}

/// `network of circuit C07: from … to …`.
pub(crate) fn words(change: &Change) -> String {
    let at = place(&change.at);
    match (&change.from, &change.to) {
        (None, Some(to)) => format!("{at}: {}", value(Some(to))),
        (Some(from), None) => format!("{at}: {} taken out", value(Some(from))),
        (from, to) => format!("{at}: from {} to {}", value(from.as_ref()), value(to.as_ref())),
    }
}

/// A place as people say it.
fn place(at: &Place) -> String {
    let table = |table: &TableRef| match table {
        TableRef::Single(name) => name.clone(),
        TableRef::Named(kind, id) => format!("{kind} {id}"),
    };
    match at {
        Place::Table(of) => table(of),
        Place::Key(of, key) => format!("{key} of {}", table(of)),
        Place::Entry(of, key, at) if *of == TableRef::document() => format!("{key} {}", at + 1),
        Place::Entry(of, key, at) if key == "found" => format!("reading {} of {}", at + 1, table(of)),
        Place::Entry(of, key, at) => format!("entry {} of {key} of {}", at + 1, table(of)),
    }
}

fn value(value: Option<&Plain>) -> String {
    match value {
        None => "nothing".to_owned(),
        Some(Plain::Text(text)) if text.is_empty() => "nothing written".to_owned(),
        Some(Plain::Text(text)) => text.clone(),
        Some(Plain::Table(entries)) => {
            let all: Vec<String> =
                entries.iter().map(|(key, own)| format!("{key} {}", self::value(Some(own)))).collect();
            all.join(", ")
        }
        Some(other) => other.literal(),
    }
}

/// A key from what the form saw (`was`) to what it says (`to`); empty is none.
///
/// A form shows an empty text, a text with blanks around it and no text at all alike, so where what stands looks as the form
/// saw it, it is taken to be that.
pub(crate) fn key(open: &Open, table: TableRef, key: &str, was: &str, to: &str) -> Change {
    let text = |text: &str| (!text.is_empty()).then(|| Plain::Text(text.to_owned()));
    let at = Place::Key(table, key.to_owned());
    let stands = at.standing(&Source::new("job.toml", open.kept.text.as_ref()));
    let from = if text_of(stands.as_ref()).trim() == was.trim() { stands } else { text(was) };
    Change { at, from, to: text(to) }
}

/// What stands in the text of a job, read once for a whole page.
pub(crate) struct Stands(Plain);

impl Stands {
    pub(crate) fn of(open: &Open) -> Self {
        let source = Source::new("job.toml", open.kept.text.as_ref());
        Self(document::Document::parse(&source).plain())
    }

    /// The text under a key; empty for none.
    pub(crate) fn text(&self, table: &TableRef, key: &str) -> String {
        let found = match table {
            TableRef::Single(name) => self.0.get(name),
            TableRef::Named(kind, id) => match self.0.get(kind) {
                Some(Plain::List(all)) => {
                    let name = if kind == "circuit" { "tag" } else { "id" };
                    all.iter().find(|one| matches!(one.get(name), Some(Plain::Text(text)) if text == id))
                }
                _ => None,
            },
        };
        text_of(found.and_then(|table| table.get(key)))
    }
}

/// What stands under a key of the text; empty for none, and for what is no text.
pub(crate) fn standing(open: &Open, table: TableRef, key: &str) -> String {
    let at = Place::Key(table, key.to_owned());
    text_of(at.standing(&Source::new("job.toml", open.kept.text.as_ref())).as_ref())
}

fn text_of(value: Option<&Plain>) -> String {
    match value {
        Some(Plain::Text(text)) => text.clone(),
        Some(other) => other.literal(),
        None => String::new(),
    }
}

/// Keys that a form may change, table by table.
const FREE: [(&str, &[&str]); 6] = [
    (
        "circuit",
        &["place", "duty", "was", "ends_in", "network", "input", "resistor_at", "name", "mode", "gauge"],
    ),
    ("module", &["mode"]),
    ("cutover", &["start"]),
    ("site", &["name"]),
    ("fire", &["required", "control_listed_for", "decision"]),
    (
        "standing",
        &[
            "authority_in_writing",
            "station_on_test",
            "fire_authority_told",
            "asbestos_register_seen",
            "access",
        ],
    ),
];

/// One key changed by a form: `table`, `of`, `key`, `was`, `to`.
pub(crate) fn change(open: &Open) -> Answer {
    let field = |name: &str| open.request.field(name);
    let back = crate::place::back(field("back"));
    let (kind, of, name) = (field("table"), field("of"), field("key"));
    let free = FREE.iter().any(|(table, keys)| *table == kind && keys.contains(&name));
    if !free {
        return refused(open.request, "Nothing on these pages changes that.", "", &back);
    }
    let table = if of.is_empty() { TableRef::single(kind) } else { TableRef::named(kind, of) };
    let (was, to) = (field("was").trim(), field("to").trim());
    if was == to {
        return Answer { status: 303, content: Content::Redirect(back), writes: Vec::new(), remember: None };
    }
    let what = match (of.is_empty(), to.is_empty()) {
        (true, false) => format!("{}: {to}.", label(name)),
        (false, false) => format!("{of}: {} is {to}.", label(name)),
        (true, true) => format!("{} taken out.", label(name)),
        (false, true) => format!("{of}: {} taken out.", label(name)),
    };
    Act::new(view::words::capital(&what), vec![key(open, table, name, was, to)], back).answer(open)
}

/// A key as a form names it.
pub(crate) fn label(key: &str) -> &'static str {
    match key {
        "place" => "place",
        "duty" => "duty",
        "was" => "what the old panel calls it",
        "ends_in" => "the enclosure in which it ends",
        "network" => "what hangs on it",
        "input" => "input",
        "resistor_at" => "where its resistor was seen",
        "name" => "name",
        "mode" => "mode",
        "gauge" => "conductor",
        "required" => "whether this fire alarm is a required one",
        "control_listed_for" => "what the new control equipment is listed for",
        "decision" => "decision",
        "authority_in_writing" => "the authority's word, in writing",
        "station_on_test" => "account on test at the station",
        "fire_authority_told" => "fire authority told",
        "asbestos_register_seen" => "asbestos register seen",
        "access" => "access",
        "start" => "day and time",
        _ => "value",
    }
}

/// A field of a form that changes one key, with the press that does it.
pub(crate) fn field(
    open: &Open,
    stands: &Stands,
    table: TableRef,
    name: &str,
    input: impl FnOnce(&str, &str) -> Markup,
) -> Markup {
    let was = stands.text(&table, name);
    let (kind, of) = match &table {
        TableRef::Single(kind) => (kind.clone(), String::new()),
        TableRef::Named(kind, of) => (kind.clone(), of.clone()),
    };
    let id = format!("f-{kind}-{}-{name}", crate::place::encoded(&of));
    html! {
        form.field method="post" action=(open.path(&["change"])) {
            (open.form_fields())
            input type="hidden" name="table" value=(kind);
            input type="hidden" name="of" value=(of);
            input type="hidden" name="key" value=(name);
            input type="hidden" name="was" value=(was);
            input type="hidden" name="back" value=(back_here(open));
            label for=(id) { (view::words::capital(label(name))) }
            div.with-press { (input(&id, &was)) button.small type="submit" aria-label=(format!("Write {}", label(name))) { "Write" } }
        }
    }
}
