//! Changes of list entries where the list has moved on: an entry is known by its number, and numbers move.

use super::Change;
use super::place::{Place, TableRef};

/// A change whose entry cannot be found by its number any more: it was taken out, or its list was written anew.
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
    /// did, in its order; both begin at the same text. Whatever is put in stands between what it stood between.
    ///
    /// # Errors
    /// The first change whose entry is not there any more. Values are not looked at: [`Change::apply_all`] does that.
    pub fn moved_on(changes: &[Self], later: &[Self]) -> Result<Vec<Self>, Lost> {
        let mut later = later.to_vec();
        let mut out = Vec::with_capacity(changes.len());
        for change in changes {
            let mut change = change.clone();
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
}
