//! A circuit's sheet: drawn to scale, what its input sees, what the meter must show, what a fault would do, and remedies
//! that one press takes.

use assess::{Assessment, CircuitResult};
use circuit::{Remedy, RemedyKind, Study, at_end};
use document::Plain;
use identify::{how_known, network_of};
use job::{Change, TableRef};
use library::ModePer;
use maud::{Markup, html};
use view::circuit::{CircuitSheet, circuit_sheet, drawn_on_a_phone};
use view::figures::{Drawn, bands_with};

use crate::answer::Answer;
use crate::card::place_of;
use crate::changes::{Act, Stands, standing};
use crate::circuits::{choice_field, text_field};
use crate::frame::{Open, Page, Tab, both, figure, missing, note, refused, tag_head};
use crate::play::ON_A_PHONE;
use crate::survey::entry_id;
use crate::world::Entry;

/// Remedies that are offered at once.
const REMEDIES_SHOWN: usize = 4;
/// The kind of an entry that says that work is done.
const WORK: &str = "work";

/// The sheet, or the way to make the circuit that a tag asks for.
pub(crate) fn page(open: &Open, tag: &str) -> Answer {
    let Some(at) = place_of(open, tag) else { return make_page(open, tag, Tab::Circuits) };
    let assessed = open.assessed();
    let assessment = assessed.assessment();
    let Some(result) = assessment.circuits.get(at) else { return make_page(open, tag, Tab::Circuits) };
    let sheet = circuit_sheet(assessment, result, false, false);
    let narrow = drawn_on_a_phone(assessment, result);
    let body = html! {
        p.answer { (sheet.answer) }
        @if sheet.fire { p.law { "A fire circuit: this work belongs to licensed people, under the local code and the authority having jurisdiction." } }
        (to_notes(result, &sheet))
        (accept_form(open, result, tag))
        (drawings(result, &sheet, narrow.as_ref()))
        (tables(&sheet))
        (crate::play::panel(open, assessment, at))
        (facts(open, result, tag))
        (crate::record::photo_form(open, tag))
        (neighbours(open, at))
    };
    let mut page = Page::new(Tab::Circuits, format!("Circuit {tag}"), body);
    page.head = Some(tag_head(
        &sheet.tag,
        &html! {
            (sheet.place) br; span.quiet { (sheet.seat) } " "
            a.inline href=(open.path(&["survey", tag])) { "Read this pair" }
        },
    ));
    page.beside = format!("{} of {}", at + 1, assessment.circuits.len());
    page.notes = notes(open, result, &sheet, tag);
    page.narrow_scale = narrow.map_or(String::new(), |narrow| narrow.scale);
    page.scale = sheet.scale;
    page.answer(open)
}

/// A tag that no circuit has yet: one press makes it.
pub(crate) fn make_page(open: &Open, tag: &str, tab: Tab) -> Answer {
    let body = html! {
        p.answer { "No circuit of this job has the tag " (tag) " yet." }
        form method="post" action=(open.path(&["circuits"])) {
            (open.form_fields())
            input type="hidden" name="tag" value=(tag);
            input type="hidden" name="then" value="card";
            button.strong type="submit" { "Make circuit " (tag) " and read it" }
        }
        p { a.button href=(open.path(&["circuits"])) { "To the circuits" } }
    };
    let mut page = Page::new(tab, format!("Tag {tag}"), body);
    page.status = 404;
    page.answer(open)
}

/// Where notes and remedies stand below the sheet, the way to them.
fn to_notes(result: &CircuitResult, sheet: &CircuitSheet) -> Markup {
    let remedies = result.study.as_ref().map_or(0, |study| study.remedies.len());
    let notes = view::words::counted(sheet.notes.len(), "note", "notes");
    html! {
        @if !sheet.notes.is_empty() {
            p.narrow-only { a.button href="#margin" { (notes) @if remedies > 0 { ", " (view::words::counted(remedies, "way", "ways")) " to put it right" } } }
        }
    }
}

fn drawings(result: &CircuitResult, sheet: &CircuitSheet, narrow: Option<&Drawn>) -> Markup {
    let found = sheet.found.as_ref().zip(narrow.map(|narrow| &narrow.found));
    let shall = sheet.shall.as_ref().zip(narrow.and_then(|narrow| narrow.shall.as_ref()));
    html! {
        @if let Some((wide, narrow)) = found { section { h2 { (view::words::capital(sheet.found_title)) } (both(wide, narrow)) } }
        @if let Some((wide, narrow)) = shall { section { h2 { "As it shall be" } (both(wide, narrow)) } }
        @if !sheet.missing.is_empty() {
            section { h2 { "What is missing" } ul.plain { @for line in &sheet.missing { li { (line) } } } }
        }
        @if let Some(bands) = &sheet.bands {
            section { h2 { "What the input sees" @if !sheet.mode.is_empty() { span.beside { " mode: " (sheet.mode) } } }
                div.drawn-wide { (figure(bands)) }
                @if let Some(bands) = bands_with(result, &[], ON_A_PHONE) { div.drawn-narrow { (figure(&bands)) } }
            }
        }
        @if let Some(power) = &sheet.power {
            section {
                h2 { "Under power" }
                table.plain { tbody { @for [what, much] in &power.currents { tr { th scope="row" { (what) } td.number { (much) } } } } }
                p { (power.limits) }
                p { (power.heads) }
            }
        }
    }
}

fn tables(sheet: &CircuitSheet) -> Markup {
    html! {
        @if !sheet.states.is_empty() {
            section {
                h2 { "What your meter must read, pair off its terminals" }
                table.stack.first role="table" {
                    thead role="rowgroup" { tr role="row" {
                        th scope="col" role="columnheader" { "state" } th.number scope="col" role="columnheader" { "meter" }
                        @if sheet.has_supply_off { th.number scope="col" role="columnheader" { "supply off" } }
                        th scope="col" role="columnheader" { "input reads" } th scope="col" role="columnheader" { "means" }
                        th.number scope="col" role="columnheader" { "room left" } th scope="col" role="columnheader" { "verdict" }
                    } }
                    tbody role="rowgroup" { @for row in &sheet.states { tr role="row" {
                        th scope="row" role="rowheader" { (row.state) } td.number role="cell" data-head="meter" { (row.meter) }
                        @if sheet.has_supply_off { td.number role="cell" data-head="supply off" { (row.meter_off) } }
                        td role="cell" data-head="input reads" { (row.reads) } td role="cell" data-head="means" { (row.means) }
                        td.number role="cell" data-head="room left" { (row.room) }
                        td role="cell" data-head="verdict" { @if row.verdict == "wrong" { strong.wrong { "wrong" } } @else { (row.verdict) } }
                    } } }
                }
            }
        }
        @if !sheet.faults.is_empty() {
            section {
                h2 { "What a fault would do" }
                p { (sheet.coverage) }
                table.stack.first role="table" {
                    thead role="rowgroup" { tr role="row" { @for head in ["fault", "where", "at rest", "so"] { th scope="col" role="columnheader" { (head) } } } }
                    tbody role="rowgroup" { @for row in &sheet.faults { tr role="row" {
                        th scope="row" role="rowheader" { (row.fault) } td role="cell" data-head="where" { (row.places) } td role="cell" data-head="at rest" { (row.rest) }
                        td role="cell" data-head="so" { @if row.class == "silent_dangerous" { strong.wrong { (row.so) } } @else { (row.so) } }
                    } } }
                }
            }
        }
    }
}

/// The notes column: what was found, then the remedies.
fn notes(open: &Open, result: &CircuitResult, sheet: &CircuitSheet, tag: &str) -> Markup {
    let remedies = result.study.as_ref().map(|study| study.remedies.as_slice()).unwrap_or_default();
    let photos: Vec<_> = open.world.photos(open.id).into_iter().filter(|photo| photo.about == tag).collect();
    let worked = is_worked(open, tag);
    html! {
        section {
            h2 { "Notes" }
            @if sheet.notes.is_empty() { p { "Nothing found that needs fixing." } }
            ol.notes { @for one in &sheet.notes { li { (note(one.number, one.severity, &one.text, cure(one.code, &one.remedy, worked))) } } }
        }
        @if !remedies.is_empty() {
            section {
                h2 { "What can be done" }
                ol.remedies {
                    @for (at, remedy) in remedies.iter().enumerate().take(REMEDIES_SHOWN) { li { (remedy_form(open, tag, at, remedy)) } }
                }
                p.quiet { "Each is proven by the same engine." }
            }
        }
        @if !result.circuit.found.is_empty() {
            section {
                h2 { "As found" }
                ul.plain { @for reading in &result.circuit.found { li.number { (view::circuit::reading(reading)) } } }
            }
        }
        @if !photos.is_empty() {
            section { h2 { "Photos" } @for photo in &photos { (crate::record::picture(open, photo)) } }
        }
    }
}

fn remedy_form(open: &Open, tag: &str, at: usize, remedy: &Remedy) -> Markup {
    let coverage = remedy.coverage;
    let can = remedy.network.is_some() || remedy.mode_id.is_some();
    html! {
        p { (remedy.text) }
        p.quiet { "About " (format!("{:.0}", remedy.minutes.0)) " min. Then " (coverage.announced) " of " (coverage.total()) " faults show and " (coverage.silent_dangerous) " hide an alarm." }
        @for hidden in &remedy.hides { p.quiet { "It hides " (hidden.kind.word()) " " (hidden.place) "." } }
        @if can {
            p.quiet { @if is_work(remedy) { "Press when it is done. Until then it stays in kit, cut-over and method." } @else { "The press writes the mode into the job; setting it is still yours." } }
            form method="post" action=(open.path(&["c", tag, "remedy"])) {
                (open.form_fields())
                input type="hidden" name="remedy" value=(at);
                input type="hidden" name="text" value=(remedy.text);
                button type="submit" { (press(remedy)) }
            }
        } @else { p.quiet { "This one is drawn circuit by circuit: add the new ones, then take this one out." } }
    }
}

/// What a press does, in its own words.
fn press(remedy: &Remedy) -> String {
    let does = remedy.text.split([':', ',']).next().unwrap_or(&remedy.text).trim_end_matches('.');
    if is_work(remedy) { format!("Done: {does}") } else { does.to_owned() }
}

/// Whether it is work in the field, which a press can only say is done; a mode is set from the desk.
fn is_work(remedy: &Remedy) -> bool {
    remedy.kind != RemedyKind::Mode
}

/// Whether the network that stands is the one that somebody said was made by work.
pub(crate) fn is_worked(open: &Open, tag: &str) -> bool {
    let Some(work) = open.world.evidence(open.id, WORK, tag, 0, 1).pop() else { return false };
    let data: serde_json::Value = serde_json::from_str(&work.data).unwrap_or_default();
    let made = data.get("network").and_then(serde_json::Value::as_str).unwrap_or_default();
    !made.is_empty() && made == standing(open, TableRef::named("circuit", tag), "network")
}

/// What to do about a finding: readings from before the work are no reason to write its network back.
pub(crate) fn cure<'a>(code: &str, remedy: &'a str, worked: bool) -> &'a str {
    match code {
        "reading-differs" if worked => {
            "Measure again; if the work is not done yet, take it back under Changes."
        }
        "resistor-place" if worked => {
            "Look again, and correct where its resistor was seen; if the work is not done yet, take it back under Changes."
        }
        // Options of a command line are nothing to press here.
        "network-inferred" => {
            "Its card shows what speaks for it; one press on its sheet writes it into the job."
        }
        "kit-without-profile" => {
            "Name its profile under Equipment. Profiles of your own go into the library that this program is started with."
        }
        "kit-typical-prices" => {
            "What the office charges is written under Equipment, Rates. Prices of parts and working times of your own go into the library that this program is started with."
        }
        "split-without-input" => {
            "Name its further inputs under Further inputs on the circuit's sheet, or write each home run as a circuit of its own, before the first lift. Dividing the inputs does the first of the two."
        }
        "allocate-unknown" | "allocate-gap" => {
            "Give some circuits their inputs by hand, or give up a demand, and divide again: less is left to search then."
        }
        "allocate-conflict" if remedy.contains("--") => {
            "Some of the demands that are listed have to go; which, was not looked for to the end."
        }
        _ => remedy,
    }
}

/// Writes what readings settle into the job.
fn accept_form(open: &Open, result: &CircuitResult, tag: &str) -> Markup {
    html! {
        @if let Some(network) = result.circuit.network.as_ref().filter(|_| result.circuit.inferred) {
            form method="post" action=(open.path(&["c", tag, "accept"])) {
                (open.form_fields())
                p { "Its readings say " code { (network.written()) } ". Nobody has written that into the job." }
                button type="submit" { "Write it into the job" }
            }
        }
    }
}

/// What is written of the circuit, each with the press that changes it.
fn facts(open: &Open, result: &CircuitResult, tag: &str) -> Markup {
    let stands = Stands::of(open);
    let circuit = || TableRef::named("circuit", tag);
    let duties: Vec<&str> = job::Duty::ALL.iter().map(|duty| duty.word()).collect();
    let boxes: Vec<&str> = open.job().enclosures.iter().map(|enclosure| enclosure.id.as_str()).collect();
    html! {
        details.facts {
            summary { "What is written of it" }
            div.fields {
                (text_field(open, &stands, circuit(), "place"))
                (choice_field(open, &stands, circuit(), "duty", &duties))
                (choice_field(open, &stands, circuit(), "ends_in", &boxes))
                (choice_field(open, &stands, circuit(), "resistor_at", &["panel", "splice", "device", "end", "unknown"]))
                (text_field(open, &stands, circuit(), "was"))
                (text_field(open, &stands, circuit(), "name"))
            }
            (crate::equipment::circuit_forms(open, tag))
            @if let Some(other) = &result.circuit.other { p { "Described as: " (other) } }
        }
    }
}

fn neighbours(open: &Open, at: usize) -> Markup {
    let tag = |at: usize| open.job().circuits.get(at).map(|circuit| circuit.tag.value.as_str());
    html! {
        nav.pages aria-label="Circuits" {
            @if let Some(before) = at.checked_sub(1).and_then(tag) { a.button href=(open.path(&["c", before])) rel="prev" { "Back: " (before) } }
            @if let Some(after) = tag(at + 1) { a.button href=(open.path(&["c", after])) rel="next" { "Next: " (after) } }
        }
    }
}

/// Takes a remedy: its network or its mode goes into the job.
pub(crate) fn take_remedy(open: &Open, tag: &str) -> Answer {
    let back = open.path(&["c", tag]);
    let assessed = open.assessed();
    let assessment = assessed.assessment();
    let Some(at) = place_of(open, tag) else {
        return missing(
            open.request,
            "There is no such circuit.",
            "To the circuits",
            &open.path(&["circuits"]),
        );
    };
    let Some(result) = assessment.circuits.get(at) else {
        return refused(open.request, "Nothing is known of it.", "", &back);
    };
    let text = open.request.field("text");
    let is_this = |known: &crate::world::Changed| known.what.ends_with(text);
    if let Some(answer) = crate::twice::sent_again(open, is_this, &format!("{tag}: {text}"), &back) {
        return answer;
    }
    let offered = |study: &&Study| study.remedies.iter().any(|remedy| remedy.text == text);
    let Some(study) = result.study.as_ref().filter(offered) else {
        let says = "This is not offered any more: somebody changed the circuit meanwhile. Look at it again.";
        return refused(open.request, says, "", &back);
    };
    let remedy = study.remedies.iter().find(|remedy| remedy.text == text);
    let made = remedy.and_then(|remedy| Some((remedy, change_of(open, assessment, result, remedy)?)));
    let Some((remedy, change)) = made else {
        return refused(open.request, "This one has to be drawn circuit by circuit.", "", &back);
    };
    if !is_work(remedy) {
        return Act::new(format!("{tag}: {text}"), vec![change], back).answer(open);
    }
    let words = format!("Done: {tag}, {}", uncapital(text));
    let mut changes = vec![change];
    changes.extend(place_change(open, tag, remedy));
    let mut act = Act::new(words.clone(), changes, back);
    let network = remedy.network.as_ref().map(network::Network::written).unwrap_or_default();
    act.entries.push(Entry {
        id: entry_id(open),
        at: open.request.at.clone(),
        author: open.request.author.clone(),
        instrument: String::new(),
        kind: WORK.to_owned(),
        about: tag.to_owned(),
        words,
        data: serde_json::json!({ "network": network }).to_string(),
    });
    act.answer(open)
}

/// A sentence's first letter small, for the middle of another.
fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

/// Where the resistor was seen, once it is somewhere else; nothing where that was not written, or still holds.
fn place_change(open: &Open, tag: &str, remedy: &Remedy) -> Option<Change> {
    let network = remedy.network.as_ref().filter(|_| remedy.kind != RemedyKind::Adapter)?;
    let circuit = TableRef::named("circuit", tag);
    let was = standing(open, circuit.clone(), "resistor_at");
    let to = match (was.as_str(), at_end(network)) {
        ("panel" | "splice" | "unknown", true) => "end",
        ("end" | "device", false) => "",
        _ => return None,
    };
    Some(crate::changes::key(open, circuit, "resistor_at", &was, to))
}

fn change_of(
    open: &Open,
    assessment: &Assessment,
    result: &CircuitResult,
    remedy: &Remedy,
) -> Option<Change> {
    let circuit = TableRef::named("circuit", &result.circuit.tag);
    if let Some(network) = &remedy.network {
        let was = standing(open, circuit.clone(), "network");
        return Some(crate::changes::key(open, circuit, "network", &was, &network.written()));
    }
    let mode = remedy.mode_id.as_ref()?;
    let input = result.circuit.input.as_ref()?;
    let module = assessment.job.modules.iter().find(|module| module.id.value == input.module)?;
    let per_input = view::words::module_profile(assessment, module)
        .is_some_and(|profile| profile.mode_per == ModePer::Input);
    let table = if per_input { circuit } else { TableRef::named("module", &module.id) };
    let was = standing(open, table.clone(), "mode");
    Some(crate::changes::key(open, table, "mode", &was, mode))
}

/// Writes the network that a pair's readings settle.
pub(crate) fn accept(open: &Open, tag: &str) -> Answer {
    let back = open.path(&["c", tag]);
    let surveyed = open.surveyed();
    let pair = place_of(open, tag).zip(surveyed.survey()).and_then(|(at, survey)| {
        let pair = survey.pairs.iter().find(|pair| pair.circuit == at)?;
        Some((network_of(&survey.setting, survey.job, pair)?, how_known(pair)))
    });
    let Some((network, how)) = pair else {
        return refused(open.request, "Its readings do not settle what it is.", "", &back);
    };
    let change =
        Change::key(TableRef::named("circuit", tag), "network", None, Some(Plain::Text(network.written())));
    Act::new(format!("{tag}: {}, {how}.", network.written()), vec![change], back).answer(open)
}
