//! Taking changes back: byte for byte where nothing came after, else by what others have made of the text since.

use document::Source;
use job::{Change, Place};

use crate::answer::Answer;
use crate::changes::Act;
use crate::frame::{Open, refused};
use crate::world::Changed;

/// Takes a change back.
pub(crate) fn undo(open: &Open) -> Answer {
    let back = crate::place::back(open.request.field("back"));
    let Some(change) = open.world.change(open.id, open.request.field("change")) else {
        return refused(open.request, "There is no such change to take back.", "", &back);
    };
    if change.version <= 1 {
        return refused(open.request, "This is how the job began: there is nothing before it.", "", &back);
    }
    let later = later_than(open, &change);
    // A form that is sent a second time has done its work already; any other comes too late.
    let own = open.world.change(open.id, open.request.field("id"));
    if own.is_none()
        && let Some(by) = taken_back(&later, &change.id)
    {
        let says = format!(
            "This was taken back already, at {}, by \u{2068}{}\u{2069}.",
            open.time(&by.at),
            by.author
        );
        let accept = "What took it back stands under Changes and can be taken back too.";
        return Answer { status: 409, ..refused(open.request, &says, accept, &back) };
    }
    let inverse: Vec<Change> = change.changes.iter().rev().map(Change::inverse).collect();
    let mut act = Act::new(format!("Taken back: {}", change.what), Vec::new(), back.clone());
    act.takes_back.clone_from(&change.id);
    match before(open, &change) {
        Some(text) => (act.text, act.changes) = (Some(text), inverse),
        None if own.is_some() => act.changes = inverse,
        None => match as_it_stands_now(open, &change, inverse, &later) {
            Ok(changes) => act.changes = changes,
            Err(says) => return Answer { status: 409, ..refused(open.request, &says, "", &back) },
        },
    }
    act.answer(open)
}

/// What was changed after a change, the oldest first.
fn later_than(open: &Open, change: &Changed) -> Vec<Changed> {
    let count = usize::try_from(open.kept.version.saturating_sub(change.version)).unwrap_or(usize::MAX);
    let mut later = open.world.changes(open.id, count);
    later.retain(|one| one.version > change.version);
    later.reverse();
    later
}

/// What has taken a change back and was not taken back itself.
fn taken_back<'c>(later: &'c [Changed], id: &str) -> Option<&'c Changed> {
    later.iter().rev().find(|one| one.takes_back == id && taken_back(later, &one.id).is_none())
}

/// The text before a change, where the job stands as the change left it.
fn before(open: &Open, change: &Changed) -> Option<String> {
    let after = open.world.text_at(open.id, change.version)?;
    if *after != *open.kept.text {
        return None;
    }
    Some(open.world.text_at(open.id, change.version - 1)?.to_string())
}

/// The changes back as they are to be made in what the text has become: entries of lists are followed through everything
/// that was done since, and never put anywhere else.
fn as_it_stands_now(
    open: &Open,
    change: &Changed,
    inverse: Vec<Change>,
    later: &[Changed],
) -> Result<Vec<Change>, String> {
    if inverse.is_empty() {
        return Err(
            "It wrote the whole text anew, and the text was changed since. Take back what came later first."
                .to_owned(),
        );
    }
    if let Some(anew) = later.iter().find(|one| one.changes.is_empty() && touches(open, one, &inverse)) {
        return Err(format!(
            "Where it stood cannot be told any more: the whole text was written anew at {}. Take that back first, or put it right by hand.",
            open.time(&anew.at)
        ));
    }
    let done: Vec<Change> = later.iter().flat_map(|one| one.changes.clone()).collect();
    Change::moved_on(&inverse, &done).map_err(|lost| {
        let by =
            later.iter().rev().find(|one| one.changes.iter().any(|other| same_list(other, &lost.change)));
        let by = by.map_or(String::new(), |by| format!(" at {}: {}", open.time(&by.at), by.what));
        format!(
            "What \"{}\" wrote is not there any more; it was changed{by} Take that back first.",
            change.what.trim_end_matches('.')
        )
    })
}

/// Whether a whole new text has changed a list that a change back is about.
fn touches(open: &Open, anew: &Changed, inverse: &[Change]) -> bool {
    if !inverse.iter().any(|change| matches!(change.at, Place::Entry(..))) {
        return false;
    }
    let text = |version: u64| open.world.text_at(open.id, version);
    let (Some(old), Some(new)) = (text(anew.version - 1), text(anew.version)) else { return true };
    let (old, new) = (Source::new("job.toml", old.as_ref()), Source::new("job.toml", new.as_ref()));
    inverse.iter().any(|change| match &change.at {
        Place::Entry(table, key, _) => {
            let list = Place::Key(table.clone(), key.clone());
            list.standing(&old) != list.standing(&new)
        }
        _ => false,
    })
}

fn same_list(one: &Change, other: &Change) -> bool {
    match (&one.at, &other.at) {
        (Place::Entry(table, key, _) | Place::Key(table, key), Place::Entry(of, name, _)) => {
            table == of && key == name
        }
        (Place::Table(table), other) => table == other.table(),
        _ => false,
    }
}
