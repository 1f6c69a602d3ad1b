//! Taking changes back: byte for byte where nothing came after, else by what others have made of the text since.

use document::{Document, Source};
use job::{Change, Guessed, Place, PutBack, TableRef};

use crate::answer::Answer;
use crate::changes::Act;
use crate::frame::{Open, refused};
use crate::world::Changed;

/// Older texts that are looked through for where a table stood.
const MOST_OLDER: usize = 16;

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
    let left = still_done(open, &later);
    let before = before(open, &change);
    if inverse.is_empty() && before.is_none() && own.is_none() {
        return crate::text::take_back(open, &change, back);
    }
    if own.is_some() || left.is_empty() && before.is_some() {
        (act.text, act.changes) = (before, inverse);
        return act.answer(open);
    }
    match as_it_stands_now(open, &change, inverse, &left) {
        Ok(changes) => {
            if before.is_none() && changes.iter().any(puts_in) {
                let put_back = where_they_stood(open, &change, &changes, &left);
                act.what.push_str(&where_they_stand(put_back.as_ref()));
                act.text = put_back.map(|put_back| put_back.text);
            } else {
                act.text = before;
            }
            act.changes = changes;
        }
        Err(says) => return Answer { status: 409, ..refused(open.request, &says, "", &back) },
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

/// What of the later changes still stands: without those that were taken back since, where nothing came between that is
/// about the same tables.
fn still_done(open: &Open, later: &[Changed]) -> Vec<Changed> {
    let mut left: Vec<Changed> = Vec::new();
    // What does a change again that was taken back is known by that one's id too.
    let mut known: Vec<(String, String)> = Vec::new();
    let mut again: Vec<(String, String)> = Vec::new();
    for one in later {
        let is_of = |done: &Changed, id: &String| {
            done.id == *id || known.iter().any(|(own, other)| *own == done.id && other == id)
        };
        let taken = left.iter().rposition(|done| is_of(done, &one.takes_back));
        if let Some(at) = taken
            && is_way_back(open, &left[at..], one)
        {
            let done = left.remove(at);
            let others = known.iter().filter(|(own, _)| *own == done.id).map(|(_, other)| other.clone());
            again.extend(others.chain([done.id.clone()]).map(|other| (one.id.clone(), other)));
            continue;
        }
        let same = again.iter().filter(|(undone, _)| *undone == one.takes_back);
        known.extend(same.map(|(_, other)| (one.id.clone(), other.clone())));
        left.push(one.clone());
    }
    left
}

/// Whether a change undoes the first of those before it as if the others were not there.
fn is_way_back(open: &Open, since: &[Changed], back: &Changed) -> bool {
    let Some((done, between)) = since.split_first() else { return false };
    let text = |version: u64| open.world.text_at(open.id, version);
    if between.is_empty() && text(back.version).is_some_and(|now| Some(now) == text(done.version - 1)) {
        return true;
    }
    let tables = |of: &Changed| -> Vec<TableRef> {
        of.changes.iter().chain(&back.changes).map(|change| change.at.table().clone()).collect()
    };
    let own = tables(done);
    let apart = |one: &Changed| {
        !one.changes.is_empty() && one.changes.iter().all(|change| !own.contains(change.at.table()))
    };
    let inverse: Vec<Change> = done.changes.iter().rev().map(Change::inverse).collect();
    !inverse.is_empty() && inverse == back.changes && between.iter().all(apart)
}

/// The changes back as they are to be made in what the text has become: entries of lists and tables that are called anew
/// are followed through everything that was done since, and never put anywhere else.
fn as_it_stands_now(
    open: &Open,
    change: &Changed,
    inverse: Vec<Change>,
    later: &[Changed],
) -> Result<Vec<Change>, String> {
    let mut moved = inverse;
    for one in later {
        if one.changes.is_empty() {
            if cannot_be_told(open, one, &moved) {
                return Err(format!(
                    "Where it stood cannot be told any more: the whole text was written anew at {}. Take that back first, or put it right by hand.",
                    open.time(&one.at)
                ));
            }
            continue;
        }
        moved = Change::moved_on(&moved, &one.changes).map_err(|lost| {
            let is_it = one.changes.iter().any(|other| same_list(other, &lost.change));
            let by = if is_it { format!(" at {}: {}", open.time(&one.at), one.what) } else { ".".to_owned() };
            format!(
                "What \"{}\" wrote is not there any more; it was changed{by} Take that back first.",
                change.what.trim_end_matches('.')
            )
        })?;
    }
    Ok(moved)
}

/// Whether it puts one of many tables in.
fn puts_in(one: &Change) -> bool {
    matches!(one.at, Place::Table(TableRef::Named(..))) && one.from.is_none()
}

/// The text with tables back between those that they stood between; none where something is in the way.
fn where_they_stood(open: &Open, change: &Changed, back: &[Change], later: &[Changed]) -> Option<PutBack> {
    let was = Source::new("job.toml", open.world.text_at(open.id, change.version - 1)?.as_ref());
    let now = Source::new("job.toml", open.kept.text.as_ref());
    let called = |table: &TableRef| {
        let mut same = vec![Change::key(table.clone(), "", None, None)];
        for one in later.iter().filter(|one| !one.changes.is_empty()) {
            same = Change::moved_on(&same, &one.changes).ok()?;
        }
        Some(same.first()?.at.table().clone())
    };
    let count = usize::try_from(open.kept.version).unwrap_or(usize::MAX);
    let orders = |one: &Changed| {
        one.version < change.version
            && (one.changes.is_empty() || one.changes.iter().any(|one| matches!(one.at, Place::Table(_))))
    };
    // Read only where somebody asks for them: the tables that stand now are mostly all in the text before.
    let versions = std::cell::OnceCell::new();
    let older = |back: usize| {
        let versions = versions.get_or_init(|| {
            let all = open.world.changes(open.id, count).into_iter().filter(orders);
            all.take(MOST_OLDER).map(|one| one.version).collect::<Vec<u64>>()
        });
        let text = open.world.text_at(open.id, versions.get(back)?.saturating_sub(1))?;
        Some(Source::new("job.toml", text.as_ref()))
    };
    Change::put_back(back, &now, &was, called, older).ok()
}

/// Where tables stand that came back, as far as that is not where they stood; empty where it is. Nothing to be told of means
/// that they went to the end.
fn where_they_stand(put_back: Option<&PutBack>) -> String {
    let Some(put_back) = put_back else {
        return " It stands last of its kind now: where it stood cannot be told.".to_owned();
    };
    put_back.guessed.iter().map(stands).collect()
}

fn stands(one: &Guessed) -> String {
    let table = match &one.table {
        TableRef::Single(kind) => kind.clone(),
        TableRef::Named(kind, id) => format!("{kind} {id}"),
    };
    let place = match (&one.behind, &one.before) {
        (Some(behind), Some(before)) => format!("between {behind} and {before}"),
        (Some(behind), None) => format!("last, behind {behind},"),
        (None, Some(before)) => format!("first, before {before},"),
        (None, None) => "alone".to_owned(),
    };
    format!(" {} stands {place} now: what it stood beside is gone.", view::words::capital(&table))
}

/// Whether after a whole new text nobody can say which table or which entry of a list it was that a change back is about.
fn cannot_be_told(open: &Open, anew: &Changed, inverse: &[Change]) -> bool {
    let plain = |version: u64| {
        let text = open.world.text_at(open.id, version)?;
        Some(Document::parse(&Source::new("job.toml", text.as_ref())).plain())
    };
    let (Some(old), Some(new)) = (plain(anew.version - 1), plain(anew.version)) else { return true };
    inverse.iter().enumerate().any(|(number, change)| {
        let Some(at) = before_these(&inverse[..number], &change.at) else { return false };
        let puts_a_table = matches!(at, Place::Table(_)) && change.from.is_none();
        let written = match &at {
            Place::Entry(table, key, _) => {
                let list = Place::Key(table.clone(), key.clone());
                list.value(&old) != list.value(&new)
            }
            _ => false,
        };
        written || !(puts_a_table || at.table().is_the_same(&old, &new))
    })
}

/// A place as it is called before some changes are made; none for what only they put there.
fn before_these(changes: &[Change], at: &Place) -> Option<Place> {
    let mut at = at.clone();
    for change in changes.iter().rev() {
        if let (Place::Table(table), None) = (&change.at, &change.from)
            && table == at.table()
        {
            return None;
        }
        let (was, is) = (change.at.table(), change.inverse());
        if is.at.table() != was && is.at.table() == at.table() {
            at = match at {
                Place::Table(_) => Place::Table(was.clone()),
                Place::Key(_, key) => Place::Key(was.clone(), key),
                Place::Entry(_, key, number) => Place::Entry(was.clone(), key, number),
            };
        }
    }
    Some(at)
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
