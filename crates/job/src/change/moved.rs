//! Changes where the text has moved on: an entry of a list is known by its number, and numbers move; a table is known by
//! its id, and ids change hands.

use document::Plain;

use super::Change;
use super::place::{Place, TableRef, id_of};

/// A change whose place cannot be found any more: its entry or its table was taken out, or was written anew.
#[derive(Clone, PartialEq, Debug)]
pub struct Lost {
    /// The change as it was.
    pub change: Box<Change>,
}

/// What a change does to the numbers of a list.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Deed {
    In,
    Out,
    Anew,
}

impl Change {
    /// Changes that were meant for a text, as they are to be made in what others have made of it since. `later` is what they
    /// did, in its order; both begin at the same text. Whatever is put in stands between what it stood between. A table that
    /// is called anew is followed; one that was taken out is not found in another that is called so since.
    ///
    /// # Errors
    /// The first change whose entry or table is not there any more. Values are not looked at: [`Change::apply_all`] does that.
    pub fn moved_on(changes: &[Self], later: &[Self]) -> Result<Vec<Self>, Lost> {
        let mut later = later.to_vec();
        let mut out = Vec::with_capacity(changes.len());
        let mut made: Vec<TableRef> = Vec::new();
        for change in changes {
            let mut change = change.clone();
            // What is put in here none of the later ones is about, whatever they call so.
            let own = made.iter().position(|table| table == change.at.table());
            let puts_in = change.from.is_none() && matches!(change.at, Place::Table(TableRef::Named(..)));
            if own.is_some() || puts_in {
                made.extend(puts_in.then(|| change.at.table().clone()));
                if let (Some(at), Some((_, Some(anew)))) = (own, change.called_anew()) {
                    made[at] = anew;
                }
                out.push(change);
                continue;
            }
            // Each of the later ones is met as it would be had this change been there before it.
            for one in &mut later {
                let met = one.clone();
                *one = one.behind(&change);
                change = change.over(&met)?;
            }
            out.push(change);
        }
        Ok(out)
    }

    /// This change as it is to be made after another one.
    fn over(self, other: &Self) -> Result<Self, Lost> {
        if let Some((old, new)) = other.called_anew()
            && self.at.table() == &old
        {
            return match new {
                Some(new) => Ok(self.of_table(new)),
                None => Err(Lost { change: Box::new(self) }),
            };
        }
        // Out, or another whole one in its place: what was meant is not there any more.
        if let Place::Table(table @ TableRef::Named(..)) = &other.at
            && table == self.at.table()
            && other.from.is_some()
        {
            return Err(Lost { change: Box::new(self) });
        }
        let Some((list, at, deed)) = self.entry() else { return Ok(self) };
        if other.writes_anew(list) {
            return Err(Lost { change: Box::new(self) });
        }
        let Some((_, by, done)) = other.entry().filter(|(other, ..)| *other == list) else { return Ok(self) };
        let to = match (done, deed) {
            // What was put in later at the same number stands behind.
            (Deed::In, Deed::In) if by < at => at + 1,
            (Deed::In, Deed::Out | Deed::Anew) if by <= at => at + 1,
            (Deed::Out, _) if by < at => at - 1,
            (Deed::Out, Deed::Out | Deed::Anew) if by == at => {
                return Err(Lost { change: Box::new(self) });
            }
            _ => at,
        };
        Ok(self.at_number(to))
    }

    /// This change as it would have been had another one been there before it.
    fn behind(&self, other: &Self) -> Self {
        if let Some((old, Some(new))) = other.called_anew()
            && *self.at.table() == old
        {
            let renames = self.at.names_its_table();
            let mut own = self.clone().of_table(new);
            if renames {
                own.from.clone_from(&other.to);
            }
            return own;
        }
        let Some((list, at, _)) = self.entry() else { return self.clone() };
        let Some((_, by, done)) = other.entry().filter(|(other, ..)| *other == list) else {
            return self.clone();
        };
        let to = match done {
            Deed::In if by <= at => at + 1,
            Deed::Out if by < at => at - 1,
            _ => at,
        };
        self.clone().at_number(to)
    }

    /// Where it calls a table anew: how that was called and how it is called then; none where it has no name then.
    fn called_anew(&self) -> Option<(TableRef, Option<TableRef>)> {
        let TableRef::Named(kind, _) = self.at.table() else { return None };
        let named = |to: &Option<Plain>| Some(TableRef::Named(kind.clone(), id_of(to.as_ref()?)?));
        self.at.names_its_table().then(|| (self.at.table().clone(), named(&self.to)))
    }

    fn of_table(mut self, table: TableRef) -> Self {
        match &mut self.at {
            Place::Table(own) | Place::Key(own, _) | Place::Entry(own, ..) => *own = table,
        }
        self
    }

    /// The list, the number in it, and what is done there; none for what is no entry of a list.
    fn entry(&self) -> Option<((&TableRef, &str), usize, Deed)> {
        let Place::Entry(table, key, at) = &self.at else { return None };
        let deed = match (&self.from, &self.to) {
            (None, Some(_)) => Deed::In,
            (Some(_), None) => Deed::Out,
            _ => Deed::Anew,
        };
        Some(((table, key), *at, deed))
    }

    fn writes_anew(&self, (table, key): (&TableRef, &str)) -> bool {
        match &self.at {
            Place::Table(own) => own == table,
            Place::Key(own, name) => own == table && name == key,
            Place::Entry(..) => false,
        }
    }

    fn at_number(mut self, to: usize) -> Self {
        if let Place::Entry(_, _, at) = &mut self.at {
            *at = to;
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use document::Plain;
    use proptest::prelude::*;

    use super::*;

    fn one(at: usize, from: Option<i64>, to: Option<i64>) -> Change {
        let table = TableRef::named("circuit", "C01");
        Change {
            at: Place::Entry(table, "found".to_owned(), at),
            from: from.map(Plain::Integer),
            to: to.map(Plain::Integer),
        }
    }

    fn made(list: &mut Vec<i64>, change: &Change) -> bool {
        let Place::Entry(_, _, at) = change.at else { return false };
        let number = |plain: &Option<Plain>| match plain {
            Some(Plain::Integer(number)) => Some(*number),
            _ => None,
        };
        match (number(&change.from), number(&change.to)) {
            (None, Some(to)) if at <= list.len() => list.insert(at, to),
            (Some(from), None) if list.get(at) == Some(&from) => {
                list.remove(at);
            }
            _ => return false,
        }
        true
    }

    /// Presses on a list of numbers of which each is there once: what is put in is new.
    fn edits() -> impl Strategy<Value = Vec<(bool, usize)>> {
        proptest::collection::vec((any::<bool>(), 0_usize..12), 1..12)
    }

    fn carried_out(start: &[i64], edits: &[(bool, usize)], first_new: i64) -> (Vec<Change>, Vec<i64>) {
        let mut list = start.to_vec();
        let mut changes = Vec::new();
        for (number, (puts, at)) in (first_new..).zip(edits) {
            let change = if *puts || list.is_empty() {
                one(at % (list.len() + 1), None, Some(number))
            } else {
                let at = at % list.len();
                one(at, Some(list[at]), None)
            };
            assert!(made(&mut list, &change));
            changes.push(change);
        }
        (changes, list)
    }

    proptest! {
        /// The oracle is the order of numbers, which knows no places: whatever is put back stands before and behind the
        /// same ones as it did.
        #[test]
        fn what_is_taken_back_stands_where_it_stood(
            count in 0_usize..6, mine in edits(), others in edits(),
        ) {
            let start: Vec<i64> = (0..i64::try_from(count).unwrap()).collect();
            let (changes, between) = carried_out(&start, &mine, 100);
            let (later, mut now) = carried_out(&between, &others, 200);
            let back: Vec<Change> = changes.iter().rev().map(Change::inverse).collect();
            let Ok(moved) = Change::moved_on(&back, &later) else {
                // Only what somebody else took out can be lost.
                let mut left = between.clone();
                left.retain(|one| now.contains(one));
                prop_assert!(left.len() < between.len());
                return Ok(());
            };
            for change in &moved {
                prop_assert!(made(&mut now, change), "{change:?} in {now:?}");
            }
            let first: Vec<i64> = now.iter().copied().filter(|one| *one < 100).collect();
            let mut expected = start.clone();
            expected.retain(|one| first.contains(one));
            prop_assert_eq!(&first, &expected, "the order of the first ones");
            prop_assert!(!now.iter().any(|one| (100..200).contains(one)), "{:?}", now);
            // What others put in is there, in its order.
            let theirs = |list: &[i64]| list.iter().copied().filter(|one| *one >= 200).collect::<Vec<_>>();
            let (_, after) = carried_out(&between, &others, 200);
            prop_assert_eq!(theirs(&now), theirs(&after));
        }
    }

    #[test]
    fn a_list_that_was_written_anew_loses_its_numbers() {
        let table = TableRef::named("circuit", "C01");
        let back = one(1, None, Some(7));
        let whole = Change::key(table.clone(), "found", None, Some(Plain::List(Vec::new())));
        assert!(Change::moved_on(std::slice::from_ref(&back), &[whole]).is_err());
        let elsewhere = Change::key(table, "place", None, Some(Plain::Text("yard".to_owned())));
        assert_eq!(Change::moved_on(std::slice::from_ref(&back), &[elsewhere]), Ok(vec![back]));
    }

    fn tag(from: &str, to: &str) -> Change {
        let text = |text: &str| Some(Plain::Text(text.to_owned()));
        Change::key(TableRef::named("circuit", from), "tag", text(from), text(to))
    }

    #[test]
    fn a_table_is_followed_by_its_name_and_lost_once_it_is_out() {
        let of = |tag: &str| {
            let table = TableRef::named("circuit", tag);
            Change::key(table, "place", None, None)
        };
        let (back, anew) = (of("C1"), of("C9"));
        let hands = [tag("C1", "C9"), tag("C2", "C1")];
        assert_eq!(Change::moved_on(std::slice::from_ref(&back), &hands), Ok(vec![anew]));
        let keys = Some(Plain::Table(vec![("tag".to_owned(), Plain::Text("C1".to_owned()))]));
        let table = Place::Table(TableRef::named("circuit", "C1"));
        let out = Change { at: table.clone(), from: keys.clone(), to: None };
        let put = Change { at: table, from: None, to: keys };
        assert!(Change::moved_on(std::slice::from_ref(&back), &[out.clone(), put.clone()]).is_err());
        // What is put back and what is done to it has nothing to do with another one that was called so.
        let both = [put.clone(), back];
        assert_eq!(Change::moved_on(&both, &[put, tag("C1", "C5")]), Ok(both.to_vec()));
    }
}
