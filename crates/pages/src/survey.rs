//! The survey room: along the strip, then through the building, then only what is unsettled; what a second visit would be
//! needed for.

use std::collections::{BTreeMap, BTreeSet};

use assess::clear::{Clearance, is_surely};
use document::Source;
use identify::{Pass, Survey, Task, before_leaving, is_contradicted, plan, second_visit};
use job::{Circuit, Job};
use maud::{Markup, html};

use crate::answer::Answer;
use crate::beside::Called;
use crate::circuits::add_form;
use crate::clear::{clear, is_foreign};
use crate::frame::{Open, Page, Tab, refused};
use crate::tag::tag_form;
use crate::world::{Entry, World};

/// Tasks of a pass that are listed at once.
const TASKS_SHOWN: usize = 60;
/// Entries of strips that are looked through at once.
const STRIPS_LOOKED_AT: usize = 200;
/// The kind of evidence by which a strip is cleared.
pub(crate) const CLEAR: &str = "strip-clear";

/// The room.
pub(crate) fn room(open: &Open) -> Answer {
    let job = open.job();
    match open.request.asked("after") {
        "" => {}
        after => return crate::card::onward(open, after),
    }
    let surveyed = open.surveyed();
    let body = match surveyed.survey() {
        Some(survey) if !job.circuits.is_empty() => of_survey(open, survey),
        Some(_) => html! {
            p.answer { "No pair here yet. Tie a tag on every cable that ends in the old panel, then add its tag here." }
            (add_form(open, true))
            p { a.button href=(open.path(&["equipment"])) { "Meter and equipment" } }
            (from_sheet(open))
        },
        None => {
            html! { p.answer { "The library has no habits called default, so nothing can be said of a pair." } }
        }
    };
    let mut page = Page::new(Tab::Survey, "Survey", body);
    page.awake = true;
    page.notes = html! {
        section {
            h2 { "The order" }
            p { "First along the old terminal strip, in terminal order: volts, then ohms at rest. Then through the building, tripping what hangs on each pair. Then only what is unsettled." }
            p { "First contact with an unknown pair: a rated meter on its highest AC range, both legs to earth. No voltage is fed into a pair that is not proven clear of releasing, door, lift, suppression or station outputs." }
        }
    };
    page.answer(open)
}

fn of_survey(open: &Open, survey: &Survey) -> Markup {
    let tasks = plan(survey);
    let clearances = clearances(open);
    let cleared = clear(open, &clearances);
    let left = left(&tasks, &cleared);
    let first = left.iter().find(|task| task.act != identify::Act::Volts).or(left.first());
    html! {
        p.answer { (answer(survey)) }
        @if let Some(first) = first {
            @let tag = open.job().circuits[first.circuit].tag.value.as_str();
            p { a.button.strong href=(open.path(&["survey", tag])) { "Go on with " (tag) } " "
                a.button href=(open.path(&["walk"])) { "I am the one who walks" } }
        } @else {
            p { a.button href=(open.path(&["circuits"])) { "Every pair is settled: to the circuits" } }
        }
        (tag_form(open))
        (strips(open, &clearances, &cleared))
        @for (pass, title) in [
            (Pass::Strip, "First, along the old strip"),
            (Pass::Walk, "Second, through the building"),
            (Pass::Unsettled, "Third, only what is unsettled"),
        ] {
            (pass_table(open, title, &left, &cleared, pass))
        }
        (pairs(open, survey))
        (leaving(open, survey))
        details open[open.job().circuits.len() < 4] {
            summary { "Add a pair" }
            (add_form(open, true))
        }
        (from_sheet(open))
    }
}

/// What is left to read: no volts where the safety entry said them, and nothing but the first where ohms may not be read yet.
fn left<'t>(tasks: &'t [Task], cleared: &[bool]) -> Vec<&'t Task> {
    let mut begun = BTreeSet::new();
    let wanted = |task: &&Task| match cleared.get(task.circuit) {
        Some(true) => task.act != identify::Act::Volts,
        _ => begun.insert(task.circuit),
    };
    tasks.iter().filter(wanted).collect()
}

/// The way in for readings that stand in a sheet.
fn from_sheet(open: &Open) -> Markup {
    html! { details { summary { "Take readings from a sheet" } (crate::sheet::form(open)) } }
}

/// How many are settled, what the building has in common.
pub(crate) fn answer(survey: &Survey) -> String {
    let mut sentences = assess::survey_answer(survey);
    let written = survey.job.circuits.iter().filter(|circuit| circuit.network.is_some()).count();
    if written > 0 {
        let is = if written == 1 { "is" } else { "are" };
        sentences.push(format!("{written} {is} written down already."));
    }
    sentences.join(" ")
}

/// One safety entry a strip.
fn strips(open: &Open, clearances: &[Entry], cleared: &[bool]) -> Markup {
    let job = open.job();
    let mut by_box: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for (circuit, clear) in job.circuits.iter().zip(cleared) {
        let id = circuit.ends_in.as_ref().map_or("", |id| id.as_str());
        let counts = by_box.entry(id).or_default();
        counts.0 += 1;
        counts.1 += usize::from(*clear);
    }
    html! {
        section.strips {
            h2 { "Before any ohms" }
            @for (id, (pairs, clear)) in &by_box {
                @let is_said = clearances.iter().any(|entry| entry.about == **id);
                @if clear == pairs && !is_said && !all_by_themselves(job, id) {
                    p { (strip_name(job, id)) ": its ohms came with a sheet or a job file, and nobody has written its safety entry." }
                    (clear_form(open, id, None))
                } @else if clear == pairs {
                    p { (strip_name(job, id)) ": " (clear_words(open, clearances, id)) }
                    (take_back_form(open, clearances, id))
                } @else {
                    (clear_form(open, id, None))
                    (take_back_form(open, clearances, id))
                }
                @if !id.is_empty() { (strip_photos(open, id)) }
            }
        }
    }
}

/// Whether the volts and legs of every pair of a strip are read, so that no entry is wanted.
fn all_by_themselves(job: &Job, id: &str) -> bool {
    let mut on_it =
        job.circuits.iter().filter(|circuit| circuit.ends_in.as_ref().map_or("", |id| id.as_str()) == id);
    on_it.all(crate::clear::is_read_by_itself)
}

/// The photos of a strip, and the way to one more.
fn strip_photos(open: &Open, id: &str) -> Markup {
    let called = Called::of(open.world, open.id);
    let photos = called.photos(open.world, open.id, id);
    html! {
        details {
            summary { "Photos of strip " (id) @if !photos.is_empty() { ": " (photos.len()) } }
            @if !photos.is_empty() { div.photos { @for photo in &photos { (crate::record::picture(open, photo, &called)) } } }
            (crate::record::photo_form(open, id))
        }
    }
}

fn strip_name(job: &Job, id: &str) -> String {
    let place = job
        .enclosures
        .iter()
        .find(|enclosure| enclosure.id.value == id)
        .map_or("", |known| known.place.as_str());
    match (id, place) {
        ("", _) => "Strip without a name".to_owned(),
        (id, "") => format!("Strip in {id}"),
        (id, place) => format!("Strip in {id}, {place}"),
    }
}

/// The entries that clear strips, the newest of each.
pub(crate) fn clearances(open: &Open) -> Vec<Entry> {
    clearances_of(open.world, open.id)
}

/// The same of a job whose text may be one that cannot be read.
pub(crate) fn clearances_of(world: &dyn World, job: &str) -> Vec<Entry> {
    let mut newest: Vec<Entry> = Vec::new();
    // A strip that was looked at long ago counts as much as one that was written often since.
    for from in (0..).step_by(STRIPS_LOOKED_AT) {
        let entries = world.evidence(job, CLEAR, "", from, STRIPS_LOOKED_AT);
        let is_last = entries.len() < STRIPS_LOOKED_AT;
        for entry in entries {
            if newest.iter().all(|known| known.about != entry.about) {
                newest.push(entry);
            }
        }
        if is_last {
            break;
        }
    }
    newest
}

fn clear_words(open: &Open, clearances: &[Entry], id: &str) -> String {
    match clearances.iter().find(|entry| entry.about == id) {
        Some(entry) => {
            format!(
                "{} {}, \u{2068}{}\u{2069}.",
                entry.words.trim_end_matches('.'),
                open.time(&entry.at),
                entry.author
            )
        }
        None => "every pair of it was read by itself, its volts and its legs first.".to_owned(),
    }
}

/// The press that takes a strip's newest safety entry back, where there is one.
fn take_back_form(open: &Open, clearances: &[Entry], id: &str) -> Markup {
    let newest = clearances.iter().find(|entry| entry.about == id);
    html! {
        @if let Some(entry) = newest.filter(|entry| taken_back(entry).is_empty()) {
            form method="post" action=(open.path(&["strip"])) {
                (open.form_fields())
                input type="hidden" name="strip" value=(id);
                input type="hidden" name="takes_back" value=(entry.id);
                input type="hidden" name="back" value=(open.path(&["survey"]));
                button.small type="submit" aria-label=(format!("Take the safety entry back: {}", strip_name(open.job(), id))) { "Take the safety entry back" }
            }
        }
    }
}

/// The id of the entry that this one takes back; empty for none.
pub(crate) fn taken_back(entry: &Entry) -> String {
    let data: serde_json::Value = serde_json::from_str(&entry.data).unwrap_or_default();
    data.get("takes_back").and_then(serde_json::Value::as_str).unwrap_or_default().to_owned()
}

/// The form by which a strip is cleared at once.
pub(crate) fn clear_form(open: &Open, id: &str, of: Option<&Circuit>) -> Markup {
    let on_it: Vec<&Circuit> = open
        .job()
        .circuits
        .iter()
        .filter(|circuit| circuit.ends_in.as_ref().map_or("", |id| id.as_str()) == id)
        .collect();
    html! {
        form.clear method="post" action=(open.path(&["strip"])) {
            (open.form_fields())
            input type="hidden" name="strip" value=(id);
            input type="hidden" name="seen" value=(open.kept.version);
            input type="hidden" name="back" value=(of.map_or(open.path(&["survey"]), |circuit| open.path(&["survey", &circuit.tag])));
            p { strong { (strip_name(open.job(), id)) } ": volts on every pair and from every leg to earth, on the highest AC range first." }
            details {
                summary { "All but some" }
                div.tags { @for circuit in &on_it { label.choice { input type="checkbox" name="except" value=(circuit.tag.value) checked[is_foreign(circuit)]; span { (circuit.tag.value) } } } }
            }
            button type="submit" aria-label=(format!("All under 1 V and clear of earth: {}", strip_name(open.job(), id))) { "All under 1 V and clear of earth" }
        }
    }
}

/// Writes that a strip is clear.
pub(crate) fn strip(open: &Open) -> Answer {
    let request = open.request;
    let id = request.field("strip");
    let back = crate::place::back(request.field("back"));
    let on_it = open
        .job()
        .circuits
        .iter()
        .filter(|circuit| circuit.ends_in.as_ref().map_or("", |id| id.as_str()) == id);
    let on_it: Vec<&Circuit> = on_it.collect();
    if on_it.is_empty() {
        return refused(request, "No pair ends on this strip.", "", &back);
    }
    let takes_back = request.field("takes_back");
    let asked: Vec<&str> =
        request.form.iter().filter(|(key, _)| key == "except").map(|(_, tag)| tag.as_str()).collect();
    let seen = seen(open);
    // What stands in the job speaks against the press: volts, or a leg to earth; and who pressed did not see what came since.
    let is_out = |circuit: &&Circuit| {
        let is_new = seen.as_ref().is_some_and(|seen| !seen.iter().any(|was| is_surely(was, circuit)));
        !takes_back.is_empty() || asked.contains(&circuit.tag.as_str()) || is_foreign(circuit) || is_new
    };
    let (out, pairs): (Vec<&Circuit>, Vec<&Circuit>) = on_it.into_iter().partition(is_out);
    if pairs.is_empty() && takes_back.is_empty() {
        let says = "Every pair of this strip is left out, has volts or earth on it, or came since this page was shown.";
        return refused(request, says, "Nothing was written: there is nothing to clear.", &back);
    }
    let tags = |all: &[&Circuit]| all.iter().map(|circuit| circuit.tag.value.clone()).collect::<Vec<_>>();
    let (mut except, pairs) = (tags(&out), tags(&pairs));
    let but = if except.is_empty() { String::new() } else { format!(", except {}", except.join(", ")) };
    // Who was left out and is not here now stays left out when it comes again.
    let known = clearances(open).into_iter().find(|entry| entry.about == id);
    let known = known.map(|entry| Clearance::of(id, &entry.data)).unwrap_or_default();
    let known = known.except.into_iter().chain(known.in_doubt);
    except.extend(known.filter(|tag| open.job().circuits.iter().all(|one| one.tag.value != *tag)));
    let (words, mut data) = if takes_back.is_empty() {
        let words = format!("All pairs under 1 V and all legs clear of earth{but}.");
        (words, serde_json::json!({ "pairs": pairs, "except": except }))
    } else {
        let words = "The safety entry of this strip is taken back: no pair of it is known to be clear.";
        (words.to_owned(), serde_json::json!({ "pairs": [], "except": except }))
    };
    data["accuracy"] = open.job().meter.accuracy_written().into();
    if !takes_back.is_empty() {
        data["takes_back"] = takes_back.into();
    }
    let entry = Entry {
        id: entry_id(open),
        at: request.at.clone(),
        author: request.author.clone(),
        instrument: crate::clear::meter(open.job()),
        kind: CLEAR.to_owned(),
        about: id.to_owned(),
        words,
        data: data.to_string(),
    };
    crate::twice::observe(open, entry, back)
}

/// The circuits of the job as the page with the form showed them; none where they are still those, or the form does not say.
fn seen(open: &Open) -> Option<Vec<Circuit>> {
    let version: u64 = open.request.field("seen").parse().ok().filter(|seen| *seen != open.kept.version)?;
    let text = open.world.text_at(open.id, version);
    let job = text.and_then(|text| Job::read(&Source::new("job.toml", text.as_ref())).ok());
    Some(job.map(|job| job.circuits).unwrap_or_default())
}

/// The id that the form gave.
pub(crate) fn entry_id(open: &Open) -> String {
    match open.request.field("id") {
        "" => open.request.fresh_id.clone(),
        id => id.to_owned(),
    }
}

fn pass_table(open: &Open, title: &str, left: &[&Task], cleared: &[bool], pass: Pass) -> Markup {
    let of: Vec<&&Task> = left.iter().filter(|task| task.pass == pass).collect();
    html! {
        @if !of.is_empty() {
            section {
                h2 { (title) }
                div.wide tabindex="0" role="group" aria-label=(title) {
                    table {
                        thead { tr { th scope="col" { "pair" } th scope="col" { "reading" } th scope="col" { "where" } th.number scope="col" { "min" } } }
                        tbody {
                            @for task in of.iter().take(TASKS_SHOWN) {
                                @let tag = open.job().circuits[task.circuit].tag.value.as_str();
                                // Where ohms may not be read yet, the card knows what is missing.
                                @let free = cleared[task.circuit];
                                @let when = if free { format!("?when={}", crate::place::encoded(task.act.word())) } else { String::new() };
                                tr {
                                    th scope="row" { a href=(open.path(&["survey", tag]) + &when) { (tag) } }
                                    td { @if free { (task.act.word()) @if task.fed { ", fed" } } @else { "volts" } }
                                    td { (view::words::capital(&task.place)) }
                                    td.number { (task.minutes.0) }
                                }
                            }
                        }
                    }
                }
                @if of.len() > TASKS_SHOWN { p.quiet { "and " (of.len() - TASKS_SHOWN) " more" } }
            }
        }
    }
}

/// Every pair, as a way to its card.
fn pairs(open: &Open, survey: &Survey) -> Markup {
    let state = |at: usize| {
        let pair = survey.pairs.iter().find(|pair| pair.circuit == at);
        match pair {
            None if survey.job.circuits[at].network.is_some() => "written down",
            None => "not read",
            Some(pair) if pair.evidence.refusal().is_some() => "refused",
            Some(pair) if is_contradicted(survey, pair) => "read again",
            Some(pair) if pair.ranking.settled => "settled",
            Some(_) => "open",
        }
    };
    html! {
        section {
            h2 { "All pairs" }
            ul.pairs {
                @for (at, circuit) in open.job().circuits.iter().enumerate() {
                    li { a href=(open.path(&["survey", &circuit.tag])) { span.tag { (circuit.tag.value) } " " span.quiet { (state(at)) } } }
                }
            }
        }
    }
}

fn leaving(open: &Open, survey: &Survey) -> Markup {
    let left = before_leaving(survey);
    let visit = second_visit(survey, &left);
    let mut gathered: BTreeMap<(identify::Left, &str), Vec<&str>> = BTreeMap::new();
    for one in &left {
        let tag = survey.job.circuits[one.circuit].tag.as_str();
        gathered.entry((one.left, one.text.as_str())).or_default().push(tag);
    }
    html! {
        @if !left.is_empty() {
            section {
                h2 { "Before you leave" }
                ul.plain {
                    @for ((_, text), tags) in &gathered {
                        li { (text) " " @for tag in tags { a.inline href=(open.path(&["survey", tag])) { (tag) } " " } }
                    }
                }
                p { "A second visit for all of it: about " (format!("{:.0}", visit.0)) " minutes, coming back included." }
            }
        }
    }
}
