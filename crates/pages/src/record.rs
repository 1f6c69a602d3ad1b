//! The record: the pack to take along, what was observed, what was changed, photos; the same as files and JSON.

use assess::wire::{AssessmentJson, IdentifyJson};
use maud::{Markup, html};

use crate::answer::{Answer, Content, Write, said};
use crate::beside::{Called, Now, Since};
use crate::changes;
use crate::frame::{Open, Page, Tab, refused};
use crate::place::back;
use crate::survey::entry_id;
use crate::world::{Entry, Photo};

/// Entries on one page of the timeline.
const ENTRIES_SHOWN: usize = 100;
/// Changes that the record lists.
const CHANGES_SHOWN: usize = 100;
/// The longest note.
const LONGEST_NOTE: usize = 4000;
/// What the pack is made of.
const PACK: [(&str, &str); 3] = [
    ("pack.pdf", "The pack: every sheet, for A4 or Letter"),
    ("tags.pdf", "Cable tags with their square codes"),
    ("tables.xlsx", "All tables as a workbook"),
];

/// The room.
pub(crate) fn room(open: &Open) -> Answer {
    let from = open.request.asked("from").parse().unwrap_or(0);
    // What takes one back may stand on a page before this one.
    let newer = open.world.evidence(open.id, "", "", 0, ENTRIES_SHOWN.saturating_add(from));
    let mut since = Since::default();
    let told: Vec<_> = newer.iter().map(|entry| since.step(entry)).collect();
    let entries: Vec<_> = newer.iter().zip(&told).skip(from).collect();
    let called = Called::of(open.world, open.id);
    let changes = open.world.changes(open.id, CHANGES_SHOWN);
    let photos = open.world.photos(open.id);
    let last = entries.first().map(|(entry, _)| open.time(&entry.at));
    let body = html! {
        p.answer {
            @match last {
                Some(last) => { "The record of " (open.site()) ", observed last " (last) "." }
                None if open.job().circuits.iter().any(|circuit| !circuit.found.is_empty()) => {
                    "No entry yet; the readings that the job file brought stand at their circuits."
                }
                None => { "Nothing was observed here yet: readings, trips and notes are written down as they come, and never edited." }
            }
        }
        section {
            h2 { "To take along" }
            ul.plain.files {
                @for (file, words) in PACK {
                    li {
                        span { (words) } " "
                        a.button href=(format!("{}?paper=a4", open.path(&["pack", file]))) download { (file) @if file.ends_with("pdf") { ", A4" } }
                        @if file.ends_with("pdf") { " " a.button href=(format!("{}?paper=letter", open.path(&["pack", file]))) download { (file) ", Letter" } }
                    }
                }
                li { span { "What goes along, how long it takes, what it costs" } " " a.button href=(open.path(&["kit"])) { "Kit and price" } }
                li { span { "The job as it is written" } " " a.button href=(open.path(&["job.toml"])) download { "job.toml" } " " a.button href=(open.path(&["text"])) { "Read or write it here" } }
                li { span { "The evidence, a line an entry" } " " a.button href=(open.path(&["evidence.jsonl"])) download { "evidence.jsonl" } }
                li { span { "What is said of it, for programs" } " " a.button href=(open.path(&["assess.json"])) { "assess.json" } " " a.button href=(open.path(&["identify.json"])) { "identify.json" } }
            }
        }
        (crate::checked::form(open))
        (note_form(open))
        (photo_form(open, ""))
        @if !photos.is_empty() { section { h2 { "Photos" } div.photos { @for photo in &photos { (picture(open, photo, &called)) } } } }
        section data-fresh="timeline" {
            h2 { "What was observed" }
            @if entries.is_empty() { p.quiet { "Nothing on this page." } }
            ol.timeline { @for (entry, told) in &entries { li { (entry_line(open, entry, told)) } } }
            @if entries.len() == ENTRIES_SHOWN { p { a.button href=(format!("{}?from={}", open.path(&["record"]), from + ENTRIES_SHOWN)) { "Earlier" } } }
        }
    };
    let mut page = Page::new(Tab::Record, "Record", body);
    page.notes = html! {
        @if changes.len() > 5 {
            section {
                h2 { "All changes" }
                details { summary { (view::words::counted(changes.len(), "change", "changes")) }
                    ol.changes { @for change in &changes { li { (changes::line(open, change)) } } }
                }
            }
        }
    };
    page.answer(open)
}

/// An entry, with what has taken it back, and what its tag is called by now.
fn entry_line(open: &Open, entry: &Entry, (by, now): &(Option<Entry>, Now)) -> Markup {
    html! {
        time datetime=(entry.at) { (open.time(&entry.at)) } " "
        span.kind { (entry.kind) } " "
        bdi { (entry.words) } " "
        span.quiet { bdi { (entry.author) } @if !entry.instrument.is_empty() { ", with " bdi { (entry.instrument) } } }
        @if !now.until.is_empty() { " " span.quiet { (was(open, &entry.about, now)) } }
        @if let Some(by) = by { " " strong { "Taken back at " time datetime=(by.at) { (open.time(&by.at)) } " by " bdi { (by.author) } "." } }
    }
}

/// What a tag was, and until when.
fn was(open: &Open, tag: &str, now: &Now) -> Markup {
    let until = html! { time datetime=(now.until) { (open.time(&now.until)) } };
    html! {
        @match &now.tag {
            Some(is) => { (is) ", was " (tag) " until " (until) "." }
            None => { (tag) " was taken out at " (until) "." }
        }
    }
}

fn note_form(open: &Open) -> Markup {
    html! {
        form.note method="post" action=(open.path(&["note"])) {
            (open.form_fields())
            input type="hidden" name="back" value=(open.path(&["record"]));
            label for="words" { "Note something that was seen, said or decided" }
            textarea id="words" name="words" rows="2" maxlength=(LONGEST_NOTE) required {}
            button type="submit" { "Write it down" }
        }
    }
}

/// Writes a note.
pub(crate) fn note(open: &Open) -> Answer {
    let to = back(open.request.field("back"));
    let words = open.request.field("words").trim();
    if words.is_empty() {
        return refused(open.request, "A note without a word says nothing.", "", &to);
    }
    if words.chars().count() > LONGEST_NOTE {
        return refused(
            open.request,
            "A note of this length is a document: keep it under 4,000 letters.",
            "",
            &to,
        );
    }
    let entry = Entry {
        id: entry_id(open),
        at: open.request.at.clone(),
        author: open.request.author.clone(),
        instrument: String::new(),
        kind: "note".to_owned(),
        about: open.request.field("about").to_owned(),
        words: words.to_owned(),
        data: "{}".to_owned(),
    };
    crate::twice::observe(open, entry, to)
}

/// The form for a photo of a strip, a tag, a device.
pub(crate) fn photo_form(open: &Open, about: &str) -> Markup {
    let id =
        if about.is_empty() { "photo".to_owned() } else { format!("photo-{}", crate::place::encoded(about)) };
    html! {
        form.photo method="post" action=(open.path(&["photo"])) enctype="multipart/form-data" {
            (open.form_fields())
            input type="hidden" name="about" value=(about);
            input type="hidden" name="back" value=(open.request.path);
            label for=(id) { @if about.is_empty() { "A photo: strip, tag or device" } @else { "A photo of " (about) ": strip, tag or device" } }
            div.with-press { input id=(id) type="file" name="photo" accept="image/jpeg,image/png" capture="environment" required; button type="submit" { "Attach" } }
        }
    }
}

/// Hands a photo on to be kept.
pub(crate) fn photo(open: &Open) -> Answer {
    let to = back(open.request.field("back"));
    let Some(upload) = open.request.upload.as_ref().filter(|upload| !upload.bytes.is_empty()) else {
        return refused(open.request, "No photo came along.", "", &to);
    };
    let is_picture =
        upload.bytes.starts_with(&[0xff, 0xd8, 0xff]) || upload.bytes.starts_with(b"\x89PNG\r\n\x1a\n");
    if !is_picture {
        return refused(open.request, "This file is no photo.", "Accepted: JPEG and PNG.", &to);
    }
    let about = open.request.field("about");
    if !about.is_empty() && !open.job().names(about) {
        let says = format!(
            "There is no \u{2068}{about}\u{2069} in this job any more, so the photo would be of nothing."
        );
        let accept = "Attach it to what it shows as that is called now, or to the whole job in the record.";
        return Answer { status: 409, ..refused(open.request, &says, accept, &to) };
    }
    let mut answer = said(Content::Redirect(to));
    answer.writes.push(Write::Photo {
        job: open.id.to_owned(),
        id: entry_id(open),
        about: open.request.field("about").to_owned(),
        bytes: upload.bytes.clone(),
    });
    answer
}

/// A photo with when and who.
pub(crate) fn picture(open: &Open, photo: &Photo, called: &Called) -> Markup {
    let now = called.now(&photo.about, &photo.at);
    let of = if photo.about.is_empty() { "the job" } else { now.tag.as_deref().unwrap_or(&photo.about) };
    html! {
        figure {
            a href=(open.path(&["photo", &photo.id])) { img src=(open.path(&["photo", &photo.id])) alt=(format!("Photo of {of}")) loading="lazy"; }
            figcaption {
                @if now.until.is_empty() { (of) ", " } @else { (was(open, &photo.about, &now)) " " }
                (open.time(&photo.at)) ", " bdi { (photo.author) } }
        }
    }
}

/// The same bytes as `assess --json --all` prints.
pub(crate) fn assessment(open: &Open) -> Answer {
    let assessed = open.assessed();
    json(serde_json::to_string_pretty(&AssessmentJson::new(assessed.assessment(), true)))
}

/// The same as `identify --json` prints.
pub(crate) fn identified(open: &Open) -> Answer {
    let surveyed = open.surveyed();
    match surveyed.survey() {
        Some(survey) => json(serde_json::to_string_pretty(&IdentifyJson::new(survey, Vec::new()))),
        None => {
            refused(open.request, "The library has no habits called default.", "", &open.path(&["survey"]))
        }
    }
}

fn json(text: Result<String, serde_json::Error>) -> Answer {
    // Plain structs of numbers and texts always become JSON.
    said(Content::Json(text.unwrap_or_default() + "\n"))
}
