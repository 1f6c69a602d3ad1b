//! One piece of work, and sums of it.

use std::collections::BTreeSet;

use crate::count::Count;
use crate::need::Item;
use crate::time::Time;

/// One piece of work.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Work {
    /// The task's word in the labour table, or `access`.
    pub task: &'static str,
    /// What is done.
    pub what: String,
    /// The enclosure at which it is counted; `site` where it belongs to none.
    pub enclosure: String,
    /// A circuit's tag, a device, an enclosure, a supply, a module, or `job`.
    pub place: String,
    /// How many of it.
    pub count: Count,
    /// Of all of them.
    pub time: Time,
    /// The part that it fits, as part and value.
    pub part: Option<(String, String)>,
}

impl Work {
    pub(crate) fn fits(&self, item: &Item) -> bool {
        self.part.as_ref().is_some_and(|(part, value)| *part == item.part && *value == item.value)
    }
}

/// The sum.
#[must_use]
pub fn total<'w>(work: impl IntoIterator<Item = &'w Work>) -> Time {
    work.into_iter().fold(Time::NONE, |sum, work| sum.plus(work.time))
}

/// All work of one kind at one enclosure.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sum<'w> {
    /// The task's word.
    pub task: &'static str,
    /// What is done.
    pub what: &'w str,
    /// For whom, each once, in the order in which they came.
    pub places: Vec<&'w str>,
    /// How many of it.
    pub count: Count,
    /// Of all of them.
    pub time: Time,
}

/// Work by enclosure, and inside one by what is done, in the order in which they came.
#[must_use]
pub fn by_place(work: &[Work]) -> Vec<(&str, Vec<Sum<'_>>)> {
    let mut places: Vec<(&str, Vec<Sum>)> = Vec::new();
    let mut known = BTreeSet::new();
    for one in work {
        let at = match places.iter().position(|(enclosure, _)| *enclosure == one.enclosure) {
            Some(at) => at,
            None => {
                places.push((&one.enclosure, Vec::new()));
                places.len() - 1
            }
        };
        let sums = &mut places[at].1;
        let row = match sums.iter().position(|sum| sum.task == one.task && sum.what == one.what) {
            Some(row) => row,
            None => {
                let (count, time) = (Count::NONE, Time::NONE);
                sums.push(Sum { task: one.task, what: &one.what, places: Vec::new(), count, time });
                sums.len() - 1
            }
        };
        let sum = &mut sums[row];
        sum.count = sum.count.plus(one.count);
        sum.time = sum.time.plus(one.time);
        if known.insert((at, row, one.place.as_str())) {
            sum.places.push(&one.place);
        }
    }
    places
}
