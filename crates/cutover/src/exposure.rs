//! What is unprotected when, and how much that weighs.

use crate::plan::Plan;
use crate::problem::Problem;

/// From this minute on, until the next level.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Level {
    /// The minute from the job's start.
    pub at: u32,
    /// Circuits without protection.
    pub count: usize,
    /// What they weigh together, a minute, while nobody is in.
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

/// The curve: a level at every minute in which something changes.
pub(crate) fn curve(problem: &Problem, dead: &[(u32, u32)]) -> Vec<Level> {
    let mut changes: Vec<(u32, isize, i64)> = Vec::with_capacity(2 * dead.len());
    for (line, (from, to)) in problem.lines.iter().zip(dead) {
        let weight = i64::from(line.weight);
        changes.push((*from, 1, weight));
        changes.push((*to, -1, -weight));
    }
    changes.sort_unstable();
    let mut levels: Vec<Level> = Vec::new();
    let (mut count, mut weight) = (0_isize, 0_i64);
    for (at, one, heavy) in changes {
        count += one;
        weight += heavy;
        let level = Level { at, count: count.unsigned_abs(), weight: weight.unsigned_abs() };
        match levels.last_mut() {
            Some(last) if last.at == at => *last = level,
            _ => levels.push(level),
        }
    }
    levels.dedup_by(|next, last| next.count == last.count && next.weight == last.weight);
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
