//! What is unprotected when, and how much that weighs.

use crate::calendar::{Calendar, Presence};
use crate::plan::Plan;
use crate::problem::Problem;

/// From this minute on, until the next level.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Level {
    /// The minute from the job's start.
    pub at: u32,
    /// Circuits without protection.
    pub count: usize,
    /// What a minute without them weighs, at that time.
    pub weight: u64,
}

/// One circuit without protection.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Unprotected {
    /// The circuit, as a place in [`Problem::lines`].
    pub line: usize,
    /// Since when.
    pub since: u32,
}

/// The curve: a level at every minute in which something changes, people coming and going among it.
pub(crate) fn curve(problem: &Problem, calendar: &Calendar, dead: &[(u32, u32)]) -> Vec<Level> {
    // Circuits, and what they weigh while nobody is in and while people are.
    let mut changes: Vec<(u32, [i64; 3])> = Vec::with_capacity(2 * dead.len());
    for (line, (from, to)) in problem.lines.iter().zip(dead) {
        let one = [1, i64::from(line.weight), i64::from(line.weight_occupied)];
        changes.push((*from, one));
        changes.push((*to, one.map(|number| -number)));
    }
    let edges = problem.windows.iter().flat_map(|window| [window.from, window.to]);
    changes.extend(edges.map(|at| (at, [0; 3])));
    changes.sort_unstable();
    let mut levels: Vec<Level> = Vec::new();
    let mut sums = [0_i64; 3];
    for (at, by) in changes {
        for (sum, by) in sums.iter_mut().zip(by) {
            *sum += by;
        }
        let occupied = calendar.presence(at) == Some(Presence::Occupied);
        let weight = sums[if occupied { 2 } else { 1 }].unsigned_abs();
        let count = usize::try_from(sums[0]).unwrap_or(0);
        let level = Level { at, count, weight };
        match levels.last_mut() {
            Some(last) if last.at == at => *last = level,
            _ => levels.push(level),
        }
    }
    // What nothing changes is no level; two moves that meet are two.
    let mut before = (0, 0);
    let starts = |at: u32| dead.iter().any(|(from, to)| *from == at || *to == at);
    levels.retain(|level| {
        let keep = (level.count, level.weight) != before || starts(level.at);
        before = (level.count, level.weight);
        keep
    });
    levels
}

impl Plan {
    /// What is unprotected in a minute, with since when; in the order of the circuits.
    #[must_use]
    pub fn unprotected_at(&self, minute: u32) -> Vec<Unprotected> {
        let dead = self.dead.iter().enumerate();
        dead.filter(|(_, (from, to))| (*from..*to).contains(&minute))
            .map(|(line, (since, _))| Unprotected { line, since: *since })
            .collect()
    }
}
