//! Where a table that was taken out comes to stand again among those of its kind.

use std::cmp::Ordering;

use document::Plain;

use super::Change;
use super::place::{Place, TableRef};

/// A table that was put back where neither of those stands any more that it stood beside, and others stand where it may
/// have been as well.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Guessed {
    /// The table.
    pub table: TableRef,
    /// How the one is called that it stands behind now; none where it is the first.
    pub behind: Option<String>,
    /// How the one is called that it stands before now; none where it is the last.
    pub before: Option<String>,
}

/// A number among the tables of a kind.
pub(super) struct Number {
    pub(super) at: usize,
    /// Where it is not certain.
    pub(super) guessed: Option<Guessed>,
}

/// What is known of the order in which tables stood.
pub(super) struct Orders<'a> {
    /// The text before the table was taken out.
    pub(super) was: &'a Plain,
    /// How a table of that text is called now; none for one that is gone.
    pub(super) called: &'a dyn Fn(&TableRef) -> Option<TableRef>,
    /// Older texts, from the newest: asked for only where the first does not say enough.
    pub(super) older: &'a dyn Fn(usize) -> Option<Plain>,
}

/// The number that a table which is put back gets among those of its kind: between those that ever stood before it and those
/// that ever stood behind it, right before the one that came right behind it where others are between. None for what is no
/// table put in, or none that stood there.
pub(super) fn number_back(change: &Change, orders: &Orders<'_>, now: &Plain) -> Option<Number> {
    let (Place::Table(TableRef::Named(kind, id)), None, Some(_)) = (&change.at, &change.from, &change.to)
    else {
        return None;
    };
    let (stood, now) = (TableRef::named_in(kind, orders.was), TableRef::named_in(kind, now));
    let own = stood.iter().position(|name| name == id)?;
    let number = |name: &String| match (orders.called)(&TableRef::named(kind, name))? {
        TableRef::Named(_, name) => now.iter().position(|other| *other == name),
        TableRef::Single(_) => None,
    };
    let mut sides: Vec<Option<Ordering>> = vec![None; now.len()];
    for (at, name) in stood.iter().enumerate() {
        if let Some(side) = number(name).and_then(|number| sides.get_mut(number)) {
            *side = Some(at.cmp(&own));
        }
    }
    from_older(kind, id, &now, orders.older, &mut sides);
    let low = sides.iter().rposition(|side| *side == Some(Ordering::Less)).map(|at| at + 1);
    let high = sides.iter().position(|side| *side == Some(Ordering::Greater));
    let before = own.checked_sub(1).and_then(|at| stood.get(at)).and_then(number);
    let behind = stood.get(own + 1).and_then(number);
    let (least, most) = (low.unwrap_or(0), high.unwrap_or(now.len()));
    // Somebody has put them in another order since: the nearest counts.
    let in_order = least <= most;
    let at = match (behind, before, low, high) {
        (Some(next), ..) if !in_order || next == most => next,
        (_, Some(last), ..) if !in_order => last + 1,
        (_, _, Some(low), _) => low,
        (_, _, None, Some(high)) => high,
        (_, _, None, None) => now.len(),
    };
    let beside = behind == Some(at) || before.is_some_and(|last| last + 1 == at);
    let certain = beside || least == most;
    let guessed = (!certain).then(|| Guessed {
        table: change.at.table().clone(),
        behind: at.checked_sub(1).and_then(|at| now.get(at)).cloned(),
        before: now.get(at).cloned(),
    });
    Some(Number { at, guessed })
}

/// Looks through older texts for those that stand now and of which nothing is known yet: the newest that has both says it.
fn from_older(
    kind: &str,
    id: &str,
    now: &[String],
    older: &dyn Fn(usize) -> Option<Plain>,
    sides: &mut [Option<Ordering>],
) {
    let mut back = 0;
    while sides.contains(&None)
        && let Some(text) = older(back)
    {
        back += 1;
        let names = TableRef::named_in(kind, &text);
        let Some(own) = names.iter().position(|name| name == id) else { continue };
        for (name, side) in now.iter().zip(sides.iter_mut()).filter(|(_, side)| side.is_none()) {
            *side = names.iter().position(|other| other == name).map(|at| at.cmp(&own));
        }
    }
}
