//! A lower bound on the exposure of a swap: the crew as one fluid that works on everything at its full rate.
//!
//! A plan's work, minute by minute, is a share of what the whole crew could do; whatever the order, no more protection can
//! be back after `x` technician-minutes than the best order gives with parts of circuits counted. That is a tree of
//! modules (landing and waking weigh nothing) with their proofs below, so the best order is Horn's (densest first, a
//! parent merged with what makes it denser), fire before all else. What a proof gains by being counted in parts is
//! given back: half its minutes.

use crate::calendar::{Calendar, Presence};

/// Work of one module that is still to do.
#[derive(Clone, Debug, Default)]
pub(crate) struct Rest {
    /// Technician-minutes before any proof on it.
    pub(crate) head: u64,
    /// Whether fire circuits are among its proofs.
    pub(crate) fire: bool,
    /// Its proofs.
    pub(crate) proofs: Vec<Proof>,
}

/// One proof that is still to do.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Proof {
    /// Technician-minutes.
    pub(crate) work: u64,
    /// Weight while nobody is in, and while people are.
    pub(crate) weight: [u64; 2],
    pub(crate) fire: bool,
}

/// An item of the fluid: so much work, so much weight.
type Item = (f64, f64);

/// A lower bound on what the proofs still cost from `from` on; `free` is the crew that is free in a minute.
pub(crate) fn fluid(calendar: &Calendar, rests: &[Rest], from: u32, free: impl Fn(u32) -> u16) -> f64 {
    let both = [0, 1].map(|kind| Flow::new(rests, kind));
    let [mut empty, mut occupied] = both;
    let mut sum = 0.0;
    let mut minute = from;
    while empty.left() > 0.0 || occupied.left() > 0.0 {
        let Some(open) = calendar.open_at(minute) else {
            // The hours end before the work: no plan, whatever it would cost.
            return f64::INFINITY;
        };
        sum += empty.left() * f64::from(open - minute);
        let crew = f64::from(free(open));
        let (of_empty, of_occupied) = (empty.minute(crew), occupied.minute(crew));
        sum += match calendar.presence(open) {
            Some(Presence::Occupied) => of_occupied,
            _ => of_empty,
        };
        minute = open + 1;
    }
    sum
}

/// Items in their best order, being worked off.
struct Flow {
    items: Vec<Item>,
    at: usize,
    left: f64,
}

impl Flow {
    fn new(rests: &[Rest], kind: usize) -> Self {
        let mut items = forest(rests, kind, true);
        items.extend(forest(rests, kind, false));
        let left = items.iter().map(|item| item.1).sum();
        Self { items, at: 0, left }
    }

    /// Weight that is not back.
    fn left(&self) -> f64 {
        if self.at == self.items.len() { 0.0 } else { self.left }
    }

    /// What a minute costs in which so many technicians work.
    fn minute(&mut self, crew: f64) -> f64 {
        let mut time = 1.0;
        let mut cost = 0.0;
        while time > 0.0 && self.at < self.items.len() {
            if crew <= 0.0 {
                return self.left;
            }
            let (work, weight) = self.items[self.at];
            let needs = work / crew;
            if needs <= time {
                cost += (self.left - weight / 2.0) * needs;
                self.left -= weight;
                time -= needs;
                self.at += 1;
            } else {
                let done = weight * time / needs;
                cost += (self.left - done / 2.0) * time;
                self.left -= done;
                self.items[self.at] = (work - time * crew, weight - done);
                time = 0.0;
            }
        }
        cost
    }
}

/// The best order of all fire proofs with what they need, or of all others once those are done.
fn forest(rests: &[Rest], kind: usize, fire: bool) -> Vec<Item> {
    let any_fire = rests.iter().any(|rest| rest.fire);
    let mut items: Vec<Item> = Vec::new();
    for rest in rests {
        if fire && !rest.fire {
            continue;
        }
        let head = if !fire && any_fire && rest.fire { 0 } else { rest.head };
        let mut proofs: Vec<Item> = rest
            .proofs
            .iter()
            .filter(|proof| proof.fire == fire)
            .map(|proof| (float(proof.work), float(proof.weight[kind])))
            .collect();
        if proofs.is_empty() && head == 0 {
            continue;
        }
        proofs.sort_by(denser);
        let mut merged = (float(head), 0.0);
        let mut rest = proofs.into_iter().peekable();
        while let Some(next) = rest.next_if(|next| next.1 * merged.0 > merged.1 * next.0) {
            merged = (merged.0 + next.0, merged.1 + next.1);
        }
        if merged.0 > 0.0 {
            items.push(merged);
        }
        items.extend(rest);
    }
    items.sort_by(denser);
    // Work that brings nothing back is never a hurry.
    while items.last().is_some_and(|item| item.1 <= 0.0) {
        items.pop();
    }
    items
}

fn denser(a: &Item, b: &Item) -> std::cmp::Ordering {
    (b.1 * a.0).total_cmp(&(a.1 * b.0))
}

#[expect(clippy::cast_precision_loss, reason = "weights and minutes are far below 2^53")]
fn float(number: u64) -> f64 {
    number as f64
}
