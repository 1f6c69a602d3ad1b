//! An entry of a list that a form saw: followed to where it stands now. What it says does not tell two equal ones apart.

use document::{Document, Plain, Source};
use job::{Change, Place, TableRef};

use crate::frame::Open;
use crate::world::Changed;

/// The number at which an entry stands now that the form saw at a number, and that said `stood`.
///
/// # Errors
/// It is not there any more, or says something else: with what took it out, where that is known.
pub(super) fn stands_at(
    open: &Open,
    table: &TableRef,
    key: &str,
    number: usize,
    stood: &str,
) -> Result<usize, Option<Box<Changed>>> {
    let seen = open.request.field("version").parse().unwrap_or(open.kept.version);
    let count = usize::try_from(open.kept.version.saturating_sub(seen)).unwrap_or(usize::MAX);
    let mut later = open.world.changes(open.id, count);
    later.retain(|one| one.version > seen);
    let mut at = number;
    for one in later.iter().rev() {
        at = match one.changes.as_slice() {
            [] => over_text(open, table, key, (at, stood), one.version),
            changes => over(table, key, (at, stood), changes),
        }
        .ok_or_else(|| Some(Box::new(one.clone())))?;
    }
    let now = plain(open.kept.text.as_ref());
    let says = literals(&now, table, key);
    if says.get(at).is_some_and(|says| says == stood) { Ok(at) } else { Err(None) }
}

/// Through what somebody changed in the list.
fn over(table: &TableRef, key: &str, (at, stood): (usize, &str), changes: &[Change]) -> Option<usize> {
    let own = Change {
        at: Place::Entry(table.clone(), key.to_owned(), at),
        from: Some(Plain::Text(stood.to_owned())),
        to: None,
    };
    let moved = Change::moved_on(&[own], changes).ok()?;
    match moved.first()?.at {
        Place::Entry(_, _, at) => Some(at),
        _ => None,
    }
}

/// Through a whole new text: where the list is the same in it, or has the entry once as before.
fn over_text(
    open: &Open,
    table: &TableRef,
    key: &str,
    (at, stood): (usize, &str),
    version: u64,
) -> Option<usize> {
    let text = |version: u64| open.world.text_at(open.id, version).map(|text| plain(&text));
    let (old, new) = (text(version - 1)?, text(version)?);
    let (old, new) = (literals(&old, table, key), literals(&new, table, key));
    if old == new {
        return Some(at);
    }
    let only = |all: &[String]| {
        let mut same = all.iter().enumerate().filter(|(_, says)| *says == stood).map(|(at, _)| at);
        same.next().filter(|_| same.next().is_none())
    };
    only(&old).and_then(|_| only(&new))
}

fn plain(text: &str) -> Plain {
    Document::parse(&Source::new("job.toml", text)).plain()
}

fn literals(document: &Plain, table: &TableRef, key: &str) -> Vec<String> {
    match Place::Key(table.clone(), key.to_owned()).value(document) {
        Some(Plain::List(all)) => all.iter().map(Plain::literal).collect(),
        _ => Vec::new(),
    }
}
