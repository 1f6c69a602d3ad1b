//! Forms for the tables of equipment: what stands in the job, or what was typed and could not be taken, with the reason.

use std::collections::BTreeMap;

use document::{Complaint, Document, Plain, Source};
use job::{Job, Place, TableRef};
use library::{Kind as Equipment, Library, SmallPart};
use maud::{Markup, html};

use super::fields::NUMBERED;
use super::profiles::{kind_of, words_of};
use super::tables::{Field, Kind, List, Table};
use crate::frame::Open;

/// The job's text as plain values, read once for a page.
pub(crate) struct Text(Plain);

/// A form that came in and could not be taken: what was typed, and what is wrong with it.
pub(crate) struct Sent {
    /// The table's name.
    pub(super) table: String,
    /// Which of many; empty for a new one, and for a table that stands once.
    pub(super) of: String,
    /// The list and the number in it, where it is about an entry of a list; the number is that of a new one for none.
    pub(super) entry: Option<(String, Option<usize>)>,
    /// What was typed, by key.
    pub(super) typed: BTreeMap<String, String>,
    /// By key; under an empty key what belongs to no field.
    pub(super) wrong: Vec<(String, Wrong)>,
}

/// What is wrong with a field.
pub(crate) struct Wrong {
    pub(super) text: String,
    pub(super) accept: String,
    /// The column in what was typed, from 1; none where it is about all of it.
    pub(super) column: Option<usize>,
    /// Where in the text of the job, and that line, for what is no field of the form.
    pub(super) line: Option<(usize, String)>,
}

impl Text {
    pub(crate) fn of(open: &Open) -> Self {
        let source = Source::new("job.toml", open.kept.text.as_ref());
        Self(Document::parse(&source).plain())
    }

    pub(super) fn value(&self, at: &Place) -> Option<&Plain> {
        at.value(&self.0)
    }

    /// What stands under a field of a table.
    pub(super) fn under(&self, table: &Table, of: &str, field: &Field) -> Option<&Plain> {
        self.value(&Place::Key(of_table(table, of), field.key.to_owned()))
    }

    /// What a field shows of what stands there.
    pub(super) fn shown(&self, table: &Table, of: &str, field: &Field) -> String {
        field.kind.shown(self.under(table, of, field))
    }

    /// The entries of a list.
    pub(super) fn entries(&self, table: &TableRef, key: &str) -> Vec<&Plain> {
        match self.value(&Place::Key(table.clone(), key.to_owned())) {
            Some(Plain::List(all)) => all.iter().collect(),
            _ => Vec::new(),
        }
    }
}

impl Sent {
    /// Whether it is about this very form.
    fn is(&self, table: &Table, of: &str, entry: Option<(&str, Option<usize>)>) -> bool {
        let own = self.entry.as_ref().map(|(key, at)| (key.as_str(), *at));
        self.table == table.name && self.of == of && own == entry
    }
}

impl Wrong {
    pub(super) fn of(complaint: &Complaint) -> Self {
        Self {
            text: crate::changes::sentence(&complaint.text),
            accept: complaint.accept.clone(),
            column: None,
            line: Some((complaint.line, complaint.source_line.clone())),
        }
    }

    pub(super) fn said(text: impl Into<String>, accept: impl Into<String>) -> Self {
        Self { text: text.into(), accept: accept.into(), column: None, line: None }
    }
}

/// Which form on the page.
pub(super) struct Which<'a> {
    pub(super) table: &'a Table,
    /// Which of many; empty for a new one, and for a table that stands once.
    pub(super) of: &'a str,
    /// Where the browser goes once it is written; empty for the equipment's own page.
    pub(super) then: &'a str,
    /// The press.
    pub(super) press: String,
}

/// Which list on the page.
pub(super) struct Listed<'a> {
    pub(super) table: &'a Table,
    /// Which of many; empty for a table that stands once.
    pub(super) of: &'a str,
    pub(super) list: &'a List,
    /// Where the browser goes once an entry is written; empty for the equipment's own page.
    pub(super) then: &'a str,
}

/// The form of a table: everything that can be written of it, in one go.
pub(super) fn whole(open: &Open, text: &Text, which: &Which, sent: Option<&Sent>) -> Markup {
    let Which { table, of, then, press } = which;
    let sent = sent.filter(|sent| sent.is(table, of, None));
    let id = format!("{}-{}", table.name, crate::place::encoded(of));
    let fresh = table.id.filter(|_| of.is_empty());
    html! {
        form.gear method="post" action=(open.path(&["equipment"])) id=(format!("form-{id}")) {
            (open.form_fields())
            input type="hidden" name="do" value=(if fresh.is_some() { "add" } else { "write" });
            input type="hidden" name="table" value=(table.name);
            input type="hidden" name="of" value=(of);
            @if !then.is_empty() { input type="hidden" name="then" value=(then); }
            (heads(sent))
            div.fields {
                @if let Some((key, letter)) = fresh {
                    @let free = next_id(open.job(), table.name, letter);
                    @let field = Field { key, label: "What it is called", kind: Kind::Words, hint: if letter.is_empty() { "leaf1" } else { "" } };
                    (input(open, &field, &id, "", sent, sent.map_or(free.as_str(), |sent| typed(sent, key))))
                }
                @for field in table.fields {
                    @let was = if fresh.is_some() { String::new() } else { text.shown(table, of, field) };
                    @let shows = sent.map_or(was.as_str(), |sent| typed(sent, field.key));
                    (input(open, field, &id, &was, sent, shows))
                }
            }
            button type="submit" { (press) }
        }
    }
}

/// The form of one entry of a list, or of a new one.
pub(super) fn entry(
    open: &Open,
    &Listed { table, of, list, then }: &Listed,
    (at, stands): (Option<usize>, Option<&Plain>),
    sent: Option<&Sent>,
) -> Markup {
    let sent = sent.filter(|sent| sent.is(table, of, Some((list.key, at))));
    let number = at.map_or_else(|| "new".to_owned(), |at| at.to_string());
    let id = format!("{}-{}-{}-{number}", table.name, crate::place::encoded(of), list.key);
    html! {
        form.gear method="post" action=(open.path(&["equipment"])) id=(format!("form-{id}")) {
            (open.form_fields())
            input type="hidden" name="do" value="entry";
            input type="hidden" name="table" value=(table.name);
            input type="hidden" name="of" value=(of);
            input type="hidden" name="list" value=(list.key);
            @if !then.is_empty() { input type="hidden" name="then" value=(then); }
            input type="hidden" name="at" value=(number);
            input type="hidden" name="version" value=(open.kept.version);
            input type="hidden" name="stood" value=(stands.map_or_else(String::new, Plain::literal));
            (heads(sent))
            div.fields {
                @for field in list.fields {
                    @let was = field.kind.shown(stands.and_then(|stands| stands.get(field.key)));
                    @let shows = sent.map_or(was.as_str(), |sent| typed(sent, field.key));
                    (input(open, field, &id, &was, sent, shows))
                }
            }
            div.presses {
                button type="submit" { @if at.is_some() { "Write this " (list.one) } @else { "Add this " (list.one) } }
                @if at.is_some() { button type="submit" name="out" value="yes" formnovalidate { "Take it out" } }
            }
        }
    }
}

fn typed<'s>(sent: &'s Sent, key: &str) -> &'s str {
    sent.typed.get(key).map_or("", String::as_str)
}

/// The table that a form is about.
pub(super) fn of_table(table: &Table, of: &str) -> TableRef {
    if table.id.is_none() { TableRef::single(table.name) } else { TableRef::named(table.name, of) }
}

/// What is wrong and belongs to no field of the form.
fn heads(sent: Option<&Sent>) -> Markup {
    html! {
        @if let Some(sent) = sent {
            div.wrongs role="alert" {
                p { strong { "Nothing was written yet. " } "What you typed is still here." }
                @for (_, wrong) in sent.wrong.iter().filter(|(key, _)| key.is_empty()) { (said(wrong, "")) }
            }
        }
    }
}

/// What is wrong, with the place in what was typed, or in the job's text.
fn said(wrong: &Wrong, typed: &str) -> Markup {
    html! {
        p.wrong-here {
            strong.wrong { (wrong.text) }
            @if !wrong.accept.is_empty() { " " span { "Accepted: " (wrong.accept) "." } }
        }
        @if let Some(column) = wrong.column {
            pre.caret tabindex="0" { (typed) "\n" (" ".repeat(column.saturating_sub(1))) "^ column " (column) }
        } @else if let Some((line, words)) = &wrong.line {
            pre.caret tabindex="0" { "line " (line) ": " (words) }
        }
    }
}

/// One field with its label, what stood there when the form was made, and what is wrong with what was typed.
fn input(open: &Open, field: &Field, form: &str, was: &str, sent: Option<&Sent>, shows: &str) -> Markup {
    let id = format!("g-{form}-{}", field.key);
    let name = format!("k-{}", field.key);
    let wrong: Vec<&Wrong> = sent
        .map(|sent| sent.wrong.iter().filter(|(key, _)| key == field.key).map(|(_, wrong)| wrong).collect())
        .unwrap_or_default();
    let told = format!("{id}-wrong");
    let described = (!wrong.is_empty()).then_some(told.as_str());
    let invalid = described.map(|_| "true");
    // The page opens at the first field that is wrong, with or without script.
    let first = sent.and_then(|sent| sent.wrong.iter().find(|(key, _)| !key.is_empty()));
    let focus = first.is_some_and(|(key, _)| key == field.key);
    let options = options(open, field, shows);
    let usual = (field.kind == Kind::Weight).then(|| weight(open.desk.library(), field.key));
    let hint = usual.as_deref().unwrap_or(field.hint);
    html! {
        div.field {
            label for=(id) { (field.label) }
            input type="hidden" name=(format!("was-{}", field.key)) value=(was);
            @match &options {
                Options::Words(all) => {
                    select id=(id) name=(name) aria-invalid=[invalid] aria-describedby=[described] autofocus[focus] {
                        option value="" selected[shows.is_empty()] { "not said" }
                        @for (value, words) in all { option value=(value) selected[value == shows] { (words) } }
                    }
                }
                Options::Known(all) => {
                    @let list = format!("{id}-known");
                    input id=(id) name=(name) value=(shows) list=(list) maxlength="4000" autocomplete="off" placeholder=(hint) aria-invalid=[invalid] aria-describedby=[described] autofocus[focus];
                    datalist id=(list) { @for one in all { option value=(one) {} } }
                }
                Options::None => {
                    @match field.kind {
                        Kind::Network | Kind::Lines | Kind::Texts => textarea id=(id) name=(name) rows="2" maxlength="100000" autocomplete="off" autocapitalize="none" spellcheck="false" placeholder=(hint) aria-invalid=[invalid] aria-describedby=[described] autofocus[focus] { "\n" (shows) },
                        Kind::Whole | Kind::Weight => input id=(id) name=(name) value=(shows) inputmode="numeric" maxlength="4000" autocomplete="off" placeholder=(hint) aria-invalid=[invalid] aria-describedby=[described] autofocus[focus];,
                        _ => input id=(id) name=(name) value=(shows) maxlength="4000" autocomplete="off" placeholder=(hint) aria-invalid=[invalid] aria-describedby=[described] autofocus[focus];,
                    }
                }
            }
            @if !wrong.is_empty() { div id=(told) { @for one in wrong { (said(one, shows)) } } }
        }
    }
}

/// What a field offers.
enum Options {
    /// Anything may be typed.
    None,
    /// Anything may be typed, these are known.
    Known(Vec<String>),
    /// One of these, each with its words.
    Words(Vec<(String, String)>),
}

fn options(open: &Open, field: &Field, shows: &str) -> Options {
    let (job, library) = (open.job(), open.desk.library());
    let plain = |words: &[&str]| words.iter().map(|word| ((*word).to_owned(), (*word).to_owned())).collect();
    let mut all: Vec<(String, String)> = match field.kind {
        Kind::One(words) => plain(words),
        Kind::YesNo => plain(&["yes", "no"]),
        Kind::Profile(kind) => profiles(library, kind),
        Kind::Enclosure => {
            job.enclosures.iter().map(|one| (one.id.value.clone(), named(&one.id, &one.place))).collect()
        }
        Kind::Mode => modes(job, library),
        Kind::Input => inputs(job, library, shows),
        Kind::Point => return Options::Known(points(job, library)),
        Kind::Part => return Options::Known(parts(library)),
        Kind::Rules => rules(job, library),
        _ => return Options::None,
    };
    // What stands there stays to be chosen, whatever it is.
    if !shows.is_empty() && all.iter().all(|(value, _)| value != shows) {
        all.insert(0, (shows.to_owned(), shows.to_owned()));
    }
    Options::Words(all)
}

fn named(id: &str, place: &str) -> String {
    if place.is_empty() { id.to_owned() } else { format!("{id}, {place}") }
}

fn profiles(library: &Library, kind: &str) -> Vec<(String, String)> {
    let fits = |own: &str| match kind {
        "device" => matches!(own, "detector" | "sounder"),
        "load" => matches!(own, "detector" | "sounder" | "keypad" | "relay" | "module" | "panel"),
        kind => own == kind,
    };
    let all = library.profiles.values().filter(|profile| fits(kind_of(profile)));
    all.map(|profile| (profile.id.clone(), words_of(profile))).collect()
}

/// Small parts, then profiles.
fn parts(library: &Library) -> Vec<String> {
    let small = SmallPart::ALL.iter().map(|part| part.word().to_owned());
    small.chain(library.profiles.keys().cloned()).collect()
}

/// Rule sets of the site: no other has a say there.
fn rules(job: &Job, library: &Library) -> Vec<(String, String)> {
    let title = |id: &str| library.rules.get(id).map_or(String::new(), |set| format!(": {}", set.title));
    let all = job.site.rules.iter().map(|id| (id.value.clone(), format!("{}{}", id.value, title(&id.value))));
    all.collect()
}

/// What a duty weighs by the labour table: `10; occupied 20`.
fn weight(library: &Library, duty: &str) -> String {
    match library.working_time().weight(duty) {
        Some(weight) if weight.empty == weight.occupied => {
            format!("{}, whether or not anybody is in", weight.empty)
        }
        Some(weight) => format!("{} while people are in, else {}", weight.occupied, weight.empty),
        None => String::new(),
    }
}

/// Modes of the modules that the job has, then of the others: `fixed-2k2` of `input-12`.
fn modes(job: &Job, library: &Library) -> Vec<(String, String)> {
    let has = |id: &str| {
        job.modules.iter().any(|module| module.profile.as_ref().is_some_and(|own| own.value == id))
    };
    let mut all: Vec<(String, String)> = Vec::new();
    for here in [true, false] {
        for profile in library.profiles.values().filter(|profile| has(&profile.id) == here) {
            let Equipment::Module(module) = &profile.kind else { continue };
            for mode in &module.modes {
                match all.iter_mut().find(|(id, _)| *id == mode.id) {
                    Some((_, words)) => *words = format!("{words}, {}", profile.id),
                    None => all.push((mode.id.clone(), format!("{} of {}", mode.id, profile.id))),
                }
            }
        }
    }
    all
}

/// Free inputs, and the one that is shown.
fn inputs(job: &Job, library: &Library, shows: &str) -> Vec<(String, String)> {
    let taken = |name: &str| {
        job.circuits.iter().any(|circuit| {
            let own = circuit.input.iter().chain(&circuit.also);
            own.clone().any(|input| format!("{}.{}", input.module, input.number) == name)
        })
    };
    let mut all = Vec::new();
    for module in &job.modules {
        let profile = module.profile.as_ref().and_then(|id| library.profiles.get(id.as_str()));
        let count = match profile.map(|profile| &profile.kind) {
            Some(Equipment::Module(module)) => module.inputs,
            _ => 16,
        };
        for number in 1..=count {
            let name = format!("{}.{number}", module.id.value);
            if name == shows || !taken(&name) {
                all.push((name.clone(), name));
            }
        }
    }
    all
}

/// Where a load or a module can be fed: supplies, their outputs and the ends of their runs, auxiliary outputs of modules.
fn points(job: &Job, library: &Library) -> Vec<String> {
    let kind = |id: Option<&document::Located<String>>| {
        id.and_then(|id| library.profiles.get(id.as_str())).map(|profile| &profile.kind)
    };
    let mut all = Vec::new();
    for supply in &job.supplies {
        all.push(supply.id.value.clone());
        if let Some(Equipment::Supply(profile)) = kind(supply.profile.as_ref()) {
            all.extend(profile.outputs.iter().map(|output| format!("{}.{}", supply.id.value, output.id)));
        }
        all.extend(supply.runs.iter().map(|run| run.to.value.clone()));
    }
    for module in &job.modules {
        if let Some(Equipment::Module(profile)) = kind(module.profile.as_ref())
            && profile.aux.is_some()
        {
            all.push(format!("{}.aux", module.id.value));
        }
    }
    all
}

/// The next name that is free: `M2`; nothing where such names follow no order.
pub(super) fn next_id(job: &Job, table: &str, letter: &str) -> String {
    if letter.is_empty() {
        return String::new();
    }
    let taken = ids(job, table);
    let letter = if letter == NUMBERED { "" } else { letter };
    (1..)
        .map(|number| format!("{letter}{number}"))
        .find(|id| !taken.iter().any(|taken| taken.eq_ignore_ascii_case(id)))
        .unwrap_or_default()
}

/// The names of all tables of a kind, in the order of the job.
pub(super) fn ids(job: &Job, table: &str) -> Vec<String> {
    let own: Vec<&str> = match table {
        "enclosure" => job.enclosures.iter().map(|one| one.id.as_str()).collect(),
        "module" => job.modules.iter().map(|one| one.id.as_str()).collect(),
        "supply" => job.supplies.iter().map(|one| one.id.as_str()).collect(),
        "device" => job.devices.iter().map(|one| one.id.as_str()).collect(),
        "cable" => job.cables.iter().map(|one| one.id.as_str()).collect(),
        "output" => job.outputs.iter().map(|one| one.id.as_str()).collect(),
        "circuit" => job.circuits.iter().map(|one| one.tag.as_str()).collect(),
        "area" => return job.areas.iter().map(|one| one.number.value.to_string()).collect(),
        "user" => return job.users.iter().map(|one| one.number.value.to_string()).collect(),
        _ => Vec::new(),
    };
    own.into_iter().map(str::to_owned).collect()
}
