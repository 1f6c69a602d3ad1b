//! Every resistance that some set of active contacts can give, without trying the sets (method 3).
//!
//! From the elements up, each subtree keeps the union of the intervals that it can reach: in line, sums of
//! one of each; across, parallels of one of each. Exact where every contact stands at one place; contacts
//! that switch several elements together are tried both ways, up to [`MAX_SHARED`] of them.

use crate::sketch::MAX_BRACKETS;
use crate::{Bounds, Network, Step};

/// Contacts with several elements that are tried both ways; above, they count as independent and the answer
/// says that it is not complete.
pub const MAX_SHARED: usize = 12;

/// Above so many separate intervals, gaps under 0.1 % are closed and the answer says that it is not complete.
const MAX_INTERVALS: usize = 2_048;

/// What an element can be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Choice {
    /// With its contact at rest, or always for what is no contact.
    pub rest: Bounds,
    /// With its contact active; none for what is no contact.
    pub active: Option<Bounds>,
}

/// What the terminals can show.
#[derive(Clone, PartialEq, Debug)]
pub struct Reach {
    /// Separate intervals in rising order, each of them reached by some non-empty set of active contacts.
    pub active: Vec<Bounds>,
    /// Whether the intervals are exact; otherwise they hold more than can be reached, never less.
    pub complete: bool,
}

/// One subtree: all contacts at rest, and at least one active.
#[derive(Clone, Default)]
struct Reached {
    rest: Option<Bounds>,
    active: Vec<Bounds>,
}

impl Network {
    /// The resistances that non-empty sets of active contacts can give.
    ///
    /// `choices` holds one entry an element; `fixed` says of each contact whether it is held at rest
    /// (`Some(false)`), held active (`Some(true)`) or free. With a contact held active the set is not empty.
    #[must_use]
    pub fn reach(&self, choices: &[Choice], fixed: &[Option<bool>]) -> Reach {
        let held = |contact: usize| fixed.get(contact).copied().flatten();
        let shared: Vec<usize> = (0..self.contacts().len())
            .filter(|&contact| self.contacts()[contact].elements.len() > 1 && held(contact).is_none())
            .collect();
        let (tried, complete) =
            if shared.len() > MAX_SHARED { (&[][..], false) } else { (&shared[..], true) };
        let mut all = Vec::new();
        let mut reach = Reach { active: Vec::new(), complete };
        let mut held_now: Vec<Option<bool>> = (0..self.contacts().len()).map(held).collect();
        for pattern in 0..1_u32 << tried.len() {
            for (bit, &contact) in tried.iter().enumerate() {
                held_now[contact] = Some(pattern >> bit & 1 == 1);
            }
            let (reached, exact) = self.reached(choices, &held_now);
            reach.complete &= exact;
            let some_held = held_now.contains(&Some(true));
            all.extend(reached.active);
            if some_held {
                all.extend(reached.rest);
            }
        }
        reach.active = merged(all, &mut reach.complete);
        reach
    }

    /// One pass; with a contact held active, "rest" means that no free contact is active.
    fn reached(&self, choices: &[Choice], held: &[Option<bool>]) -> (Reached, bool) {
        let mut stack: Vec<Reached> = Vec::with_capacity(MAX_BRACKETS + 4);
        let mut complete = true;
        for step in self.steps() {
            match *step {
                Step::Element(element) => {
                    let choice = choices.get(element).copied();
                    let choice = choice.unwrap_or(Choice { rest: Bounds::JOINED, active: None });
                    let held =
                        self.contact_of(element).and_then(|contact| held.get(contact).copied().flatten());
                    stack.push(match (held, choice.active) {
                        (Some(true), Some(active)) => Reached { rest: Some(active), active: Vec::new() },
                        (None, Some(active)) => Reached { rest: Some(choice.rest), active: vec![active] },
                        _ => Reached { rest: Some(choice.rest), active: Vec::new() },
                    });
                }
                Step::InLine | Step::Across => {
                    let piece = stack.pop().unwrap_or_default();
                    let rest = stack.pop().unwrap_or_default();
                    let join = if *step == Step::InLine { Bounds::in_line } else { Bounds::across };
                    stack.push(joined(&piece, &rest, join, &mut complete));
                }
            }
        }
        (stack.pop().unwrap_or_default(), complete)
    }
}

fn joined(
    piece: &Reached,
    rest: &Reached,
    join: fn(Bounds, Bounds) -> Bounds,
    complete: &mut bool,
) -> Reached {
    let mut active = Vec::with_capacity((piece.active.len() + 1) * (rest.active.len() + 1));
    for &one in piece.rest.iter().chain(&piece.active) {
        for &other in &rest.active {
            active.push(join(one, other));
        }
    }
    for &one in &piece.active {
        active.extend(rest.rest.map(|other| join(one, other)));
    }
    Reached {
        rest: piece.rest.zip(rest.rest).map(|(one, other)| join(one, other)),
        active: merged(active, complete),
    }
}

/// Sorts and joins what meets.
fn merged(mut intervals: Vec<Bounds>, complete: &mut bool) -> Vec<Bounds> {
    let join = |intervals: Vec<Bounds>, gap: f64| {
        let mut out: Vec<Bounds> = Vec::with_capacity(intervals.len());
        for next in intervals {
            match out.last_mut() {
                Some(last) if next.lo <= last.hi * gap => last.hi = last.hi.max(next.hi),
                _ => out.push(next),
            }
        }
        out
    };
    intervals.sort_by(|one, other| one.lo.total_cmp(&other.lo));
    let mut out = join(intervals, 1.0);
    let mut gap = 1.001;
    while out.len() > MAX_INTERVALS {
        *complete = false;
        out = join(out, gap);
        gap *= 1.002;
    }
    out
}
