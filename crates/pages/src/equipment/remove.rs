//! Taking equipment out: what hangs on it is named first, with what can be done about each.

use document::{Plain, Source};
use job::{Change, InputRef, Job, Place, TableRef};
use maud::{Markup, html};

use super::form::{Text, Wrong, ids, of_table};
use super::nameless::{longer_ways, words_on_standby};
use super::tables::Table;
use super::write::{gone, problems};
use crate::answer::Answer;
use crate::changes::Act;
use crate::frame::{Open, Page, Tab};

/// Something that names what is to be taken out.
pub(super) struct Hangs {
    /// `Circuit C07 is on M1.7.`
    pub(super) words: String,
    /// What it is called, and where the browser sees it.
    pub(super) link: Option<(String, Vec<String>)>,
    /// What frees it.
    pub(super) free: Vec<Change>,
}

/// The press on an item, or what takes the place of it.
pub(super) fn form(open: &Open, table: &Table, of: &str, then: &str) -> Markup {
    html! {
        form.take-out method="post" action=(open.path(&["equipment"])) {
            (open.form_fields())
            input type="hidden" name="do" value="remove";
            input type="hidden" name="table" value=(table.name);
            input type="hidden" name="of" value=(of);
            @if !then.is_empty() { input type="hidden" name="then" value=(then); }
            button.small type="submit" { "Take " (table.one) " " (of) " out" }
        }
    }
}

/// Takes one out; where something hangs on it, asks first, and takes only what was seen.
pub(super) fn press(open: &Open, table: &Table) -> Answer {
    let of = open.request.field("of");
    let then = match open.request.field("then") {
        "" => format!("{}#{}", open.path(&["equipment"]), table.name),
        then => crate::place::back(then),
    };
    let taken_out = format!("{} {of} taken out", view::words::capital(table.one));
    let is_this = |known: &crate::world::Changed| known.what.starts_with(&taken_out);
    if let Some(answer) = crate::twice::sent_again(open, is_this, &taken_out, &then) {
        return answer;
    }
    if table.id.is_none() || !ids(open.job(), table.name).iter().any(|id| id == of) {
        return gone(open, table, of);
    }
    let text = Text::of(open);
    let name = of_table(table, of);
    let hangs = hangs(open.job(), &text, table.name, of);
    let seen = open.request.field("seen").replace("\r\n", "\n");
    let way = open.request.field("way");
    if !hangs.is_empty() && (way.is_empty() || seen != listed(&hangs)) {
        return ask(open, table, of, &hangs, !seen.is_empty());
    }
    let mut changes: Vec<Change> = match way.strip_prefix("to ") {
        Some(other) => match moved(open.job(), &text, of, other) {
            Ok(changes) => changes,
            Err(says) => return crate::frame::refused(open.request, &says, "", &then),
        },
        None => hangs.iter().flat_map(|one| one.free.iter().cloned()).collect(),
    };
    changes.push(Change {
        at: Place::Table(name.clone()),
        from: text.value(&Place::Table(name)).cloned(),
        to: None,
    });
    let source = Source::new("job.toml", open.kept.text.as_ref());
    let left = match Change::drafted(&changes, &source) {
        Ok(draft) => {
            let draft = Source::new("job.toml", draft);
            problems(open, &draft).iter().map(|problem| Wrong::of(&draft.complaint(problem))).collect()
        }
        Err(_) => Vec::new(),
    };
    if !left.is_empty() {
        return not_yet(open, table, of, &left);
    }
    let what = match hangs.len() {
        0 => format!("{taken_out}."),
        count => format!(
            "{taken_out}; {} {}.",
            view::words::counted(count, "thing that named it", "things that named it"),
            if way.starts_with("to ") { "moved" } else { "freed" }
        ),
    };
    Act::new(what, changes, then).answer(open)
}

/// What was seen, as a form carries it.
fn listed(hangs: &[Hangs]) -> String {
    hangs.iter().map(|one| one.words.as_str()).collect::<Vec<_>>().join("\n")
}

fn ask(open: &Open, table: &Table, of: &str, hangs: &[Hangs], again: bool) -> Answer {
    let others: Vec<String> = match table.name {
        "module" => ids(open.job(), "module").into_iter().filter(|id| id != of).collect(),
        "enclosure" => ids(open.job(), "enclosure").into_iter().filter(|id| id != of).collect(),
        _ => Vec::new(),
    };
    let press = |way: &str, words: Markup| {
        html! {
            form method="post" action=(open.path(&["equipment"])) {
                @for key in ["do", "table", "of", "then"] { input type="hidden" name=(key) value=(open.request.field(key)); }
                (open.form_fields())
                input type="hidden" name="seen" value=(listed(hangs));
                input type="hidden" name="way" value=(way);
                button type="submit" { (words) }
            }
        }
    };
    let body = html! {
        @if again { p.stale { "What hangs on it is not what you saw: somebody changed the job meanwhile. Look again." } }
        p.answer {
            "Nothing was taken out yet. " (view::words::counted(hangs.len(), "thing names", "things name")) " " (table.one) " " (of) "."
        }
        ul.plain { @for one in hangs {
            li {
                @if let Some((words, path)) = &one.link {
                    @let parts: Vec<&str> = path.iter().map(String::as_str).collect();
                    a.inline href=(open.path(&parts)) { (words) } " "
                }
                (one.words)
            }
        } }
        h2 { "What can be done" }
        div.choices {
            (press("free", html! { "Take " (of) " out, and its name out of these" }))
            @for other in &others { (press(&format!("to {other}"), html! { "Take " (of) " out, and put these on " (other) })) }
            a.button href=(open.path(&["equipment"])) { "Leave all of it" }
        }
        p.quiet { "Either is one change, and one press takes it back." }
    };
    let mut page = Page::new(Tab::Inputs, format!("Take {} {of} out", table.one), body);
    page.status = 409;
    page.answer(open)
}

/// What no press here can free.
fn not_yet(open: &Open, table: &Table, of: &str, left: &[Wrong]) -> Answer {
    let body = html! {
        p.answer { "Nothing was taken out. Without " (table.one) " " (of) " this would be wrong in the job:" }
        ul.plain { @for wrong in left { li {
            strong.wrong { (wrong.text) } " "
            @if let Some((line, words)) = &wrong.line { code { "line " (line) ": " (words) } }
        } } }
        p { a.button href=(open.path(&["equipment"])) { "To the equipment" } " " a.button href=(open.path(&["text"])) { "The job as it is written" } }
    };
    let mut page = Page::new(Tab::Inputs, format!("Take {} {of} out", table.one), body);
    page.status = 409;
    page.answer(open)
}

fn without(text: &Text, table: TableRef, key: &str) -> Vec<Change> {
    let at = Place::Key(table, key.to_owned());
    let from = text.value(&at).cloned();
    if from.is_some() { vec![Change { at, from, to: None }] } else { Vec::new() }
}

/// Everything in a job that names one thing, in the order of the format.
fn hangs(job: &Job, text: &Text, table: &str, of: &str) -> Vec<Hangs> {
    match table {
        "enclosure" => on_enclosure(job, text, of),
        "module" => on_module(job, text, of),
        "supply" => on_supply(job, text, of),
        "circuit" => on_circuit(job, text, of),
        "area" => on_area(job, text, of),
        _ => Vec::new(),
    }
}

fn on_enclosure(job: &Job, text: &Text, of: &str) -> Vec<Hangs> {
    let is = |id: Option<&document::Located<String>>| id.is_some_and(|id| id.value == of);
    let one = |words: String, table: &str, id: &str, key: &str, link: Option<(String, Vec<String>)>| Hangs {
        words,
        link,
        free: without(text, TableRef::named(table, id), key),
    };
    let mut all = Vec::new();
    for other in job.enclosures.iter().filter(|other| is(other.beside.as_ref())) {
        all.push(one(
            format!("Enclosure {} hangs beside it.", other.id.value),
            "enclosure",
            &other.id,
            "beside",
            None,
        ));
    }
    for module in job.modules.iter().filter(|module| is(module.enclosure.as_ref())) {
        all.push(one(
            format!("Module {} hangs in it.", module.id.value),
            "module",
            &module.id,
            "enclosure",
            None,
        ));
    }
    for circuit in job.circuits.iter().filter(|circuit| is(circuit.ends_in.as_ref())) {
        let words = format!("The cable of circuit {} ends in it.", circuit.tag.value);
        all.push(one(words, "circuit", &circuit.tag, "ends_in", to_circuit(&circuit.tag)));
    }
    for cable in job.cables.iter().filter(|cable| is(cable.ends_in.as_ref())) {
        all.push(one(format!("Cable {} ends in it.", cable.id.value), "cable", &cable.id, "ends_in", None));
    }
    for supply in job.supplies.iter().filter(|supply| is(supply.enclosure.as_ref())) {
        all.push(one(
            format!("Supply {} is in it.", supply.id.value),
            "supply",
            &supply.id,
            "enclosure",
            None,
        ));
    }
    all.extend(longer_ways(text, of));
    all
}

fn to_circuit(tag: &str) -> Option<(String, Vec<String>)> {
    Some((tag.to_owned(), vec!["c".to_owned(), tag.to_owned()]))
}

fn written(input: &InputRef) -> String {
    format!("{}.{}", input.module, input.number)
}

fn on_module(job: &Job, text: &Text, of: &str) -> Vec<Hangs> {
    let mut all = Vec::new();
    for circuit in &job.circuits {
        let own = circuit.input.iter().chain(&circuit.also).filter(|input| input.module == of);
        let inputs: Vec<String> = own.map(|input| written(input)).collect();
        if inputs.is_empty() {
            continue;
        }
        let table = || TableRef::named("circuit", &circuit.tag);
        let free = ["input", "also", "mode"].iter().flat_map(|key| without(text, table(), key)).collect();
        let words = format!("Circuit {} is on {}.", circuit.tag.value, inputs.join(", "));
        all.push(Hangs { words, link: to_circuit(&circuit.tag), free });
    }
    all.extend(outputs(job, text, of));
    all.extend(fed(job, text, of));
    all
}

/// Outputs of a module or a supply: they go with it.
fn outputs(job: &Job, text: &Text, of: &str) -> Vec<Hangs> {
    let own =
        job.outputs.iter().filter(|output| output.id.rsplit_once('.').is_some_and(|(owner, _)| owner == of));
    own.map(|output| {
        let at = Place::Table(TableRef::named("output", &output.id));
        let from = text.value(&at).cloned();
        Hangs {
            words: format!("Output {} is its own, and goes with it.", output.id.value),
            link: None,
            free: vec![Change { at, from, to: None }],
        }
    })
    .collect()
}

/// What is fed by a module's or a supply's own points.
fn fed(job: &Job, text: &Text, of: &str) -> Vec<Hangs> {
    let runs = job.supplies.iter().filter(|supply| supply.id.value == of).flat_map(|supply| &supply.runs);
    let ends: Vec<&str> = runs.map(|run| run.to.as_str()).collect();
    let own = |point: &str| {
        point == of || ends.contains(&point) || point.rsplit_once('.').is_some_and(|(owner, _)| owner == of)
    };
    let is = |point: Option<&document::Located<String>>| point.is_some_and(|point| own(point.as_str()));
    let mut all = Vec::new();
    let mut push = |table: &str, id: &str, key: &str| {
        let words = format!("{} {id} is fed by it.", view::words::capital(table));
        all.push(Hangs { words, link: None, free: without(text, TableRef::named(table, id), key) });
    };
    for module in job.modules.iter().filter(|module| module.id.value != of && is(module.fed_by.as_ref())) {
        push("module", &module.id, "fed_by");
    }
    for device in job.devices.iter().filter(|device| is(device.fed_by.as_ref())) {
        push("device", &device.id, "fed_by");
    }
    let others =
        job.outputs.iter().filter(|output| output.id.rsplit_once('.').is_none_or(|(owner, _)| owner != of));
    for output in others.filter(|output| is(output.fed_from.as_ref())) {
        push("output", &output.id, "fed_from");
    }
    all
}

fn on_supply(job: &Job, text: &Text, of: &str) -> Vec<Hangs> {
    let mut all: Vec<Hangs> = outputs(job, text, of).into_iter().chain(fed(job, text, of)).collect();
    let Some(supply) = job.supplies.iter().find(|supply| supply.id.value == of) else { return all };
    if !supply.runs.is_empty() || !supply.loads.is_empty() {
        let words = format!(
            "It has {} and {} of its own, which go with it.",
            view::words::counted(supply.runs.len(), "run of cable", "runs of cable"),
            view::words::counted(supply.loads.len(), "load", "loads")
        );
        all.insert(0, Hangs { words, link: None, free: Vec::new() });
    }
    all.extend(words_on_standby(text, of));
    all
}

fn on_circuit(job: &Job, text: &Text, of: &str) -> Vec<Hangs> {
    let mut all = Vec::new();
    let circuit = job.circuits.iter().find(|circuit| circuit.tag.value == of);
    if let Some(count) = circuit.map(|circuit| circuit.found.len()).filter(|count| *count > 0) {
        let words = format!(
            "{} stand in it, and go with it; what was observed stays in the record.",
            view::words::counted(count, "reading", "readings")
        );
        all.push(Hangs { words, link: None, free: Vec::new() });
    }
    for device in &job.devices {
        if device.id.split_once('/').is_some_and(|(tag, _)| tag == of) {
            let at = Place::Table(TableRef::named("device", &device.id));
            let from = text.value(&at).cloned();
            all.push(Hangs {
                words: format!("Device {} is on it, and goes with it.", device.id.value),
                link: None,
                free: vec![Change { at, from, to: None }],
            });
        }
    }
    for cable in &job.cables {
        let free = cores_without(text, &cable.id, of);
        if !free.is_empty() {
            all.push(Hangs {
                words: format!("Cores of cable {} serve it.", cable.id.value),
                link: None,
                free,
            });
        }
    }
    for area in &job.areas {
        let table = TableRef::named("area", &area.number.value.to_string());
        if area.route.iter().any(|tag| tag.value == of) {
            let at = Place::Key(table, "route".to_owned());
            let from = text.value(&at).cloned();
            let left: Vec<Plain> = area
                .route
                .iter()
                .filter(|tag| tag.value != of)
                .map(|tag| Plain::Text(tag.value.clone()))
                .collect();
            let to = (!left.is_empty()).then_some(Plain::List(left));
            all.push(Hangs {
                words: format!("It is on the way in of area {}.", area.number.value),
                link: None,
                free: vec![Change { at, from, to }],
            });
        }
    }
    all
}

fn on_area(job: &Job, text: &Text, of: &str) -> Vec<Hangs> {
    let own = |circuit: &&job::Circuit| {
        circuit.programmed.area.as_ref().is_some_and(|area| area.value.to_string() == of)
    };
    let hangs = job.circuits.iter().filter(own).map(|circuit| Hangs {
        words: format!("Circuit {} is in it.", circuit.tag.value),
        link: to_circuit(&circuit.tag),
        free: without(text, TableRef::named("circuit", &circuit.tag), "area"),
    });
    hangs.collect()
}

/// The cores of a cable without what they serve of a circuit.
fn cores_without(text: &Text, cable: &str, tag: &str) -> Vec<Change> {
    cores(text, cable, &|name| (name != tag).then(|| name.to_owned()))
}

/// The cores of a cable with the circuits that they serve called anew; `None` takes an end out.
pub(super) fn cores(text: &Text, cable: &str, named: &dyn Fn(&str) -> Option<String>) -> Vec<Change> {
    let table = TableRef::named("cable", cable);
    let end = |plain: &Plain| match plain {
        Plain::Text(end) => match end.rsplit_once('.') {
            Some((tag, leg)) if matches!(leg, "a" | "b") => {
                named(tag).map(|tag| Plain::Text(format!("{tag}.{leg}")))
            }
            _ => Some(plain.clone()),
        },
        other => Some(other.clone()),
    };
    let mut changes = Vec::new();
    for (at, core) in text.entries(&table, "cores").into_iter().enumerate() {
        let Plain::Table(keys) = core else { continue };
        let changed = |(key, value): &(String, Plain)| {
            if key != "to" {
                return Some((key.clone(), value.clone()));
            }
            let value = match value {
                Plain::List(all) => {
                    let left: Vec<Plain> = all.iter().filter_map(end).collect();
                    if left.is_empty() { None } else { Some(Plain::List(left)) }
                }
                one => end(one),
            };
            value.map(|value| (key.clone(), value))
        };
        let to = Plain::Table(keys.iter().filter_map(changed).collect());
        if to != *core {
            let at = Place::Entry(table.clone(), "cores".to_owned(), at);
            changes.push(Change { at, from: Some(core.clone()), to: Some(to) });
        }
    }
    changes
}

/// What was on one module or in one enclosure put on another, with the same numbers.
fn moved(job: &Job, text: &Text, of: &str, other: &str) -> Result<Vec<Change>, String> {
    let mut changes = Vec::new();
    let mut put = |table: TableRef, key: &str, to: Plain| {
        let at = Place::Key(table, key.to_owned());
        let from = text.value(&at).cloned();
        changes.push(Change { at, from, to: Some(to) });
    };
    if job.modules.iter().any(|module| module.id.value == of) {
        for circuit in &job.circuits {
            let table = || TableRef::named("circuit", &circuit.tag);
            let anew = |input: &InputRef| Plain::Text(format!("{other}.{}", input.number));
            if let Some(input) = circuit.input.as_ref().filter(|input| input.module == of) {
                let taken = |one: &&job::Circuit| {
                    one.input
                        .iter()
                        .chain(&one.also)
                        .any(|taken| taken.module == other && taken.number == input.number)
                };
                if let Some(taken) = job.circuits.iter().find(taken) {
                    return Err(format!(
                        "Nothing was changed: {} is on {other}.{} already, so {} cannot go there. Give one of the two another input first.",
                        taken.tag.value, input.number, circuit.tag.value
                    ));
                }
                put(table(), "input", anew(input));
                if !circuit.also.is_empty() {
                    put(table(), "also", Plain::List(circuit.also.iter().map(|also| anew(also)).collect()));
                }
            }
        }
        return Ok(with_the_rest(changes, on_module(job, text, of)));
    }
    let is = |id: Option<&document::Located<String>>| id.is_some_and(|id| id.value == of);
    let to = || Plain::Text(other.to_owned());
    for module in job.modules.iter().filter(|module| is(module.enclosure.as_ref())) {
        put(TableRef::named("module", &module.id), "enclosure", to());
    }
    for circuit in job.circuits.iter().filter(|circuit| is(circuit.ends_in.as_ref())) {
        put(TableRef::named("circuit", &circuit.tag), "ends_in", to());
    }
    for cable in job.cables.iter().filter(|cable| is(cable.ends_in.as_ref())) {
        put(TableRef::named("cable", &cable.id), "ends_in", to());
    }
    for supply in job.supplies.iter().filter(|supply| is(supply.enclosure.as_ref())) {
        put(TableRef::named("supply", &supply.id), "enclosure", to());
    }
    Ok(with_the_rest(changes, on_enclosure(job, text, of)))
}

/// What cannot be moved is freed.
fn with_the_rest(mut changes: Vec<Change>, hangs: Vec<Hangs>) -> Vec<Change> {
    for free in hangs.into_iter().flat_map(|one| one.free) {
        // The mode of an input stays with its circuit.
        let stays = matches!(&free.at, Place::Key(TableRef::Named(kind, _), key) if kind == "circuit" && key == "mode");
        if !stays && changes.iter().all(|change| change.at != free.at) {
            changes.push(free);
        }
    }
    changes
}
