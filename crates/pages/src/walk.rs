//! The walker's page: what to trip next, and one large press that tells everybody that it is tripped now.

use identify::{Pass, plan};
use job::Circuit;
use maud::{Markup, html};

use crate::answer::Answer;
use crate::card::place_of;
use crate::clear::in_the_way;
use crate::frame::{Open, Page, Tab};
use crate::survey::{entry_id, taken_back};
use crate::world::Entry;

/// Trips that the page lists.
const TRIPS_SHOWN: usize = 8;

/// The circuits in the order in which one comes by what hangs on them; all of them where nothing is planned.
fn walk(open: &Open, asked: &str) -> Vec<usize> {
    let surveyed = open.surveyed();
    let tasks = surveyed.survey().map(plan).unwrap_or_default();
    let mut walk: Vec<usize> = Vec::new();
    for task in tasks.iter().filter(|task| task.pass == Pass::Walk) {
        // Nothing is tripped on a pair that something feeds.
        if !walk.contains(&task.circuit) && in_the_way(&open.job().circuits[task.circuit]).is_none() {
            walk.push(task.circuit);
        }
    }
    if walk.is_empty() {
        walk = (0..open.job().circuits.len()).collect();
    }
    // Somebody wants it although it is settled by now: again, or back.
    if let Some(at) = place_of(open, asked).filter(|at| !walk.contains(at)) {
        walk.insert(walk.iter().position(|one| *one > at).unwrap_or(walk.len()), at);
    }
    walk
}

/// A press that could not be taken: what was typed stays in its field.
struct Refused<'a> {
    device: &'a str,
    says: &'a str,
    accept: &'a str,
}

/// The page.
pub(crate) fn page(open: &Open) -> Answer {
    shown(open, open.request.asked("tag"), None)
}

fn shown(open: &Open, asked: &str, refused: Option<&Refused<'_>>) -> Answer {
    let job = open.job();
    let pressed = open.request.asked("pressed");
    let walk = walk(open, asked);
    let at = walk.iter().position(|at| job.circuits[*at].tag.value == asked).unwrap_or(0);
    let trips = open.world.evidence(open.id, "trip", "", 0, TRIPS_SHOWN);
    let gone: Vec<String> = trips.iter().map(taken_back).collect();
    let body = match walk.get(at) {
        None => html! { p.answer { "No pair here yet, so there is nothing to trip." } },
        Some(circuit) => {
            let circuit = &job.circuits[*circuit];
            let tag = circuit.tag.value.as_str();
            let near = |at: usize| walk.get(at).map(|at| job.circuits[*at].tag.value.as_str());
            let link = |tag: &str| format!("{}?tag={}", open.path(&["walk"]), crate::place::encoded(tag));
            let last = pressed == tag;
            html! {
                (bidding(open, circuit, last))
                @if let Some(refused) = refused {
                    div.wrongs #walk-wrong role="alert" {
                        p { strong { "Nothing was written yet. " } (refused.says) " " (refused.accept) }
                    }
                }
                form.walk method="post" action=(open.path(&["walk"])) {
                    (open.form_fields())
                    input type="hidden" name="tag" value=(tag);
                    button.huge type="submit" { span.big-tag { (tag) } span { @if last { "tripped again" } @else { "tripped now" } } }
                    label for="device" { "What it is, if you can name it" }
                    input id="device" name="device" autocomplete="off" autocapitalize="off" spellcheck="false" placeholder="as door or hall_pir"
                        value=[refused.map(|refused| refused.device)] aria-invalid=[refused.map(|_| "true")]
                        aria-describedby=[refused.map(|_| "walk-wrong")] autofocus[refused.is_some()];
                }
                nav.pages aria-label="The walk" {
                    @if let Some(before) = at.checked_sub(1).and_then(near) { a.button href=(link(before)) { "Back: " (before) } }
                    span { (at + 1) " of " (walk.len()) }
                    @if let Some(after) = near(at + 1) { a.button href=(link(after)) { "Skip to " (after) } }
                    @if last { a.button href=(open.path(&["survey"])) { "To the survey" } }
                    @if place_of(open, pressed).is_some() && !last { a.button href=(link(pressed)) { "Again: " (pressed) } }
                    a.button data-plain="yes" href=(link(tag)) { "Look again" }
                }
                section data-fresh="trips" {
                    h2 { "Tripped so far" }
                    @if trips.is_empty() { p.quiet { "Nothing yet. Whoever holds the meter sees and hears each press at once." } }
                    ul.plain {
                        @for trip in &trips {
                            @let correction = !taken_back(trip).is_empty();
                            li data-trip=[(!correction).then_some(&trip.id)] {
                                time datetime=(trip.at) { (open.time(&trip.at)) } " " (trip.words) " " bdi.quiet { (trip.author) }
                                @if !correction && !gone.contains(&trip.id) {
                                    form method="post" action=(open.path(&["walk"])) {
                                        (open.form_fields())
                                        input type="hidden" name="tag" value=(trip.about);
                                        input type="hidden" name="takes_back" value=(trip.id);
                                        button.small type="submit" aria-label=(format!("Take back: {}, tripped now", trip.words)) { "Take back" }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    };
    let mut page = Page::new(Tab::Survey, "Walk", body);
    page.awake = true;
    if refused.is_some() {
        page.status = 400;
    }
    page.answer(open)
}

/// What the walker is asked to do, or to leave alone.
fn bidding(open: &Open, circuit: &Circuit, last: bool) -> Markup {
    let tag = circuit.tag.value.as_str();
    html! {
        @if in_the_way(circuit).is_some() {
            p.answer.wrong { (crate::frame::mark("stop")) " Something feeds " (tag) ": nothing on it is touched or tripped before that is gone. " a href=(open.path(&["survey", tag])) { "Its card" } }
        } @else if last {
            p.answer { "That was the last of the walk: " (tag) ". Press again, or go back to one." }
        } @else {
            p.answer { "Go to " @if circuit.place.is_empty() { "whatever hangs on " (tag) } @else { (circuit.place) } ", trip it, and press." }
        }
    }
}

/// Writes that something is tripped now.
pub(crate) fn trip(open: &Open) -> Answer {
    let tag = open.request.field("tag");
    let back = format!("{}?tag={}", open.path(&["walk"]), crate::place::encoded(tag));
    let device = open.request.field("device").trim();
    let Some(circuit) = open.job().circuits.iter().find(|circuit| circuit.tag.value == tag) else {
        // Named, so that nobody takes the pair that the page shows now for the one that was tripped.
        let says = format!("There is no pair \u{2068}{tag}\u{2069} in this job any more.");
        let accept = "What was typed is still here, beside the pair that comes next now.";
        return shown(open, tag, Some(&Refused { device, says: &says, accept }));
    };
    if !device.is_empty() && !job::is_device_name(device) {
        let says = "This is no name of a device.";
        let accept = "Accepted: a letter, then letters, figures or _, as hall_pir.";
        return shown(open, tag, Some(&Refused { device, says, accept }));
    }
    let what = if device.is_empty() { &circuit.place } else { device };
    let takes_back = open.request.field("takes_back");
    let words = if !takes_back.is_empty() {
        format!("{tag}: tripped now, taken back")
    } else if what.is_empty() {
        tag.to_owned()
    } else {
        format!("{tag}, {what}")
    };
    let entry = Entry {
        id: entry_id(open),
        at: open.request.at.clone(),
        author: open.request.author.clone(),
        instrument: String::new(),
        kind: "trip".to_owned(),
        about: tag.to_owned(),
        words,
        data: if takes_back.is_empty() {
            serde_json::json!({ "device": device }).to_string()
        } else {
            serde_json::json!({ "takes_back": takes_back }).to_string()
        },
    };
    crate::twice::observe(open, entry, if takes_back.is_empty() { onward(open, tag) } else { back })
}

/// The page of the next one of the walk; that of the same one behind the last.
fn onward(open: &Open, tag: &str) -> String {
    let walk = walk(open, tag);
    let tag_at = |at: usize| open.job().circuits[at].tag.value.as_str();
    let next = walk.iter().skip_while(|at| tag_at(**at) != tag).nth(1).map_or(tag, |at| tag_at(*at));
    let encoded = crate::place::encoded;
    format!("{}?tag={}&pressed={}", open.path(&["walk"]), encoded(next), encoded(tag))
}
