//! The second stage: nothing about cost changes any more, circuits of one area come together.
//!
//! An exchange search: pairs that can change places without a change of cost, and single moves between modules of one
//! kind, as long as areas are spread over fewer modules afterwards. It ends where no single exchange helps, which is not
//! proven to be the best there is.

use std::collections::BTreeMap;

use crate::items::Counted;
use crate::pack::{Put, Slot};
use crate::problem::Problem;

/// Brings areas together.
pub(crate) fn tidy(problem: &Problem, counted: &Counted, slots: &mut [Slot]) {
    let mut table = Table::new(problem, counted, slots);
    let class_of = classes(counted);
    // Each round that changes something lowers the spread, so this ends; the count guards the longest jobs.
    for _ in 0..64 {
        let mut better = false;
        for one in 0..slots.len() {
            for other in 0..slots.len() {
                if one < other {
                    better |= exchange(problem, counted, slots, &mut table, &class_of, (one, other));
                }
                if one != other {
                    better |= shift(problem, counted, slots, &mut table, (one, other));
                }
            }
        }
        if !better {
            return;
        }
    }
}

fn classes(counted: &Counted) -> Vec<usize> {
    let mut of = vec![0; counted.items.len()];
    for (index, class) in counted.classes.iter().enumerate() {
        for item in &class.items {
            of[*item] = index;
        }
    }
    of
}

/// Whether modules of one kind, in one mode, so that whatever is on one costs the same on the other.
fn same_kind(one: &Slot, other: &Slot) -> bool {
    (one.pool, one.host) == (other.pool, other.host)
}

fn exchange(
    problem: &Problem,
    counted: &Counted,
    slots: &mut [Slot],
    table: &mut Table,
    class_of: &[usize],
    (one, other): (usize, usize),
) -> bool {
    let mut better = false;
    for at in 0..slots[one].contents.len() {
        for with in 0..slots[other].contents.len() {
            let (a, b) = (slots[one].contents[at], slots[other].contents[with]);
            let gain = table.gain(&[(a.item, one, other), (b.item, other, one)]);
            if gain <= 0 {
                continue;
            }
            let (to_one, to_other) = if class_of[a.item] == class_of[b.item] {
                (Put { item: b.item, choice: a.choice }, Put { item: a.item, choice: b.choice })
            } else if same_kind(&slots[one], &slots[other])
                && swapped(problem, counted, &slots[one], at, b)
                && swapped(problem, counted, &slots[other], with, a)
            {
                (b, a)
            } else {
                continue;
            };
            slots[one].contents[at] = to_one;
            slots[other].contents[with] = to_other;
            table.shift(a.item, one, other);
            table.shift(b.item, other, one);
            better = true;
        }
    }
    better
}

fn swapped(problem: &Problem, counted: &Counted, slot: &Slot, at: usize, put: Put) -> bool {
    let contents = slot.contents.iter().enumerate().map(|(index, own)| if index == at { put } else { *own });
    slot.holds(problem, counted, contents)
}

fn shift(
    problem: &Problem,
    counted: &Counted,
    slots: &mut [Slot],
    table: &mut Table,
    (from, to): (usize, usize),
) -> bool {
    if !same_kind(&slots[from], &slots[to]) {
        return false;
    }
    let mut better = false;
    let mut at = 0;
    while at < slots[from].contents.len() {
        let put = slots[from].contents[at];
        let fits = || slots[to].holds(problem, counted, slots[to].contents.iter().copied().chain([put]));
        if table.gain(&[(put.item, from, to)]) > 0 && fits() {
            slots[from].contents.remove(at);
            slots[to].contents.push(put);
            table.shift(put.item, from, to);
            better = true;
        } else {
            at += 1;
        }
    }
    better
}

/// How many circuits of each area are on each module.
struct Table {
    areas: Vec<Vec<usize>>,
    counts: Vec<Vec<u32>>,
}

impl Table {
    fn new(problem: &Problem, counted: &Counted, slots: &[Slot]) -> Self {
        let mut names: BTreeMap<&str, usize> = BTreeMap::new();
        let mut areas = Vec::new();
        for item in &counted.items {
            let of = item.members.iter().filter_map(|member| problem.circuits[*member].area.as_deref());
            let of: Vec<usize> = of
                .map(|name| {
                    let next = names.len();
                    *names.entry(name).or_insert(next)
                })
                .collect();
            areas.push(of);
        }
        let mut counts = vec![vec![0; names.len()]; slots.len()];
        for (slot, row) in slots.iter().zip(&mut counts) {
            for area in slot.contents.iter().flat_map(|put| &areas[put.item]) {
                row[*area] += 1;
            }
        }
        Self { areas, counts }
    }

    /// By how much fewer modules areas are spread when these items go from one module to another.
    fn gain(&mut self, moves: &[(usize, usize, usize)]) -> i32 {
        if moves.iter().all(|(item, _, _)| self.areas[*item].is_empty()) {
            return 0;
        }
        let mut gain = 0;
        for (item, from, to) in moves {
            gain += self.shift(*item, *from, *to);
        }
        for (item, from, to) in moves.iter().rev() {
            self.shift(*item, *to, *from);
        }
        gain
    }

    fn shift(&mut self, item: usize, from: usize, to: usize) -> i32 {
        let mut gain = 0;
        for area in &self.areas[item] {
            self.counts[from][*area] -= 1;
            gain += i32::from(self.counts[from][*area] == 0);
            gain -= i32::from(self.counts[to][*area] == 0);
            self.counts[to][*area] += 1;
        }
        gain
    }
}
