//! What the press that led to a page wrote, at its head: with the way back, or that it was taken back since.

use maud::{Markup, html};

use crate::frame::Open;
use crate::world::Changed;
use crate::{changes, clock};

/// The word of the query by which a press tells the page that it leads to what it wrote.
pub(crate) const WROTE: &str = "wrote";
/// Seconds for which that stands at the head of the page.
const JUST_S: i64 = 120;
/// Entries that are looked through for what took one back.
const LOOKED_AT: usize = 200;
/// Letters of it that stand there; the rest is behind a press.
const JUST_SHOWN: usize = 90;

/// The way onwards from a press, with what it wrote: the page there says it, and no other.
pub(crate) fn having_written(then: &str, id: &str) -> String {
    let (path, part) = then.split_once('#').map_or((then, None), |(path, part)| (path, Some(part)));
    let sign = if path.contains('?') { '&' } else { '?' };
    let part = part.map_or(String::new(), |part| format!("#{part}"));
    format!("{path}{sign}{WROTE}={}{part}", crate::place::encoded(id))
}

/// What the press that led here wrote, with the way back; the margin and the record keep it.
///
/// Never the way back from somebody else's change, nor from one that takes another back, nor on the page of another circuit.
pub(crate) fn just(open: &Open) -> Markup {
    let id = open.request.asked(WROTE);
    let is_now = |at: &str, author: &str| {
        let age = clock::seconds_between(at, &open.request.at);
        author == open.request.author && age.is_some_and(|age| age <= JUST_S)
    };
    let change = (!id.is_empty()).then(|| open.world.change(open.id, id)).flatten();
    if let Some(change) = change.filter(|change| change.version > 1) {
        let back = change.takes_back.is_empty() && is_of_this_page(open, &change);
        let own = change.author == open.request.author;
        if let Some(by) = crate::undo::taken_back_by(open, &change).filter(|_| own) {
            return no_more(open, (&change.at, &change.what), (&by.at, &by.author));
        }
        return html! {
            @if is_now(&change.at, &change.author) {
                div.just role="status" {
                    (written(open, &change.at, &change.what))
                    @if back { (changes::undo_form(open, &change)) }
                }
            }
        };
    }
    let entry = (!id.is_empty()).then(|| open.world.entry(open.id, id)).flatten();
    let mut since = crate::beside::Since::default();
    let newer = entry.iter().flat_map(|entry| open.world.evidence(open.id, &entry.kind, "", 0, LOOKED_AT));
    let gone =
        newer.map(|one| (since.step(&one).0, one)).find(|(_, one)| one.id == id).and_then(|(by, _)| by);
    if let Some((entry, by)) =
        entry.as_ref().zip(gone).filter(|(entry, _)| entry.author == open.request.author)
    {
        return no_more(open, (&entry.at, &entry.words), (&by.at, &by.author));
    }
    html! {
        @if let Some(entry) = entry.filter(|entry| is_now(&entry.at, &entry.author)) {
            div.just role="status" { (written(open, &entry.at, &entry.words)) }
        }
    }
}

/// What the press wrote does not hold any more.
fn no_more(open: &Open, (at, what): (&str, &str), (back, by): (&str, &str)) -> Markup {
    html! {
        div.just role="status" {
            p { "Was written at " time datetime=(at) { (open.time(at)) } ", taken back at "
                time datetime=(back) { (open.time(back)) } " by " bdi { (by) } ": " (what) }
        }
    }
}

/// One line of what was written; all of it behind a press where it is long.
fn written(open: &Open, at: &str, what: &str) -> Markup {
    let head = html! { "Written at " time datetime=(at) { (open.time(at)) } ": " };
    let short = what.char_indices().nth(JUST_SHOWN).and_then(|(end, _)| {
        let cut = what[..end].rfind(' ')?;
        Some(what[..cut].trim_end_matches([',', ':', ';', '.']))
    });
    html! {
        @match short {
            Some(short) => details { summary { (head) (short) " …" } p { (what) } },
            None => p { (head) (what) },
        }
    }
}

/// Whether a change may be taken back above this page: on a page of one circuit only what is about that circuit.
fn is_of_this_page(open: &Open, change: &Changed) -> bool {
    use crate::place::{Place, Room};
    let Place::Job(_, Room::Card(tag) | Room::Circuit(tag)) = Place::of(&open.request.path) else {
        return true;
    };
    let is_it =
        |of: &job::TableRef| matches!(of, job::TableRef::Named(kind, id) if kind == "circuit" && *id == tag);
    !change.changes.is_empty() && change.changes.iter().any(|one| is_it(one.at.table()))
}
