//! The fire circuits' unbroken block: the whole crew on them, in as short a time as can be.

/// A packed block.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Block {
    /// The start of each task within the block.
    pub(crate) starts: Vec<u32>,
    /// How long it takes.
    pub(crate) minutes: u32,
}

/// Packs tasks (minutes, technicians) on a crew; the shortest block where the nodes suffice, and whether that is proven.
pub(crate) fn pack(tasks: &[(u32, u16)], crew: u16, nodes: u64) -> (Block, bool) {
    let work: u64 = tasks.iter().map(|(minutes, crew)| u64::from(*minutes) * u64::from(*crew)).sum();
    let longest = tasks.iter().map(|(minutes, _)| *minutes).max().unwrap_or(0);
    let least = u32::try_from(work.div_ceil(u64::from(crew))).unwrap_or(u32::MAX).max(longest);
    // As written first, so that people find their own order; then the longest first.
    let mut order: Vec<usize> = (0..tasks.len()).collect();
    let mut best = listed(tasks, crew, &order);
    order.sort_by_key(|&at| std::cmp::Reverse(tasks[at]));
    let longest_first = listed(tasks, crew, &order);
    if longest_first.minutes < best.minutes {
        best = longest_first;
    }
    let mut search = Search { tasks, crew, order, least, best, left: nodes, starts: vec![None; tasks.len()] };
    if search.best.minutes > least {
        search.go(0, 0);
    }
    let proven = search.best.minutes == least || search.left > 0;
    (search.best, proven)
}

/// Tasks in this order, each as early as it goes.
fn listed(tasks: &[(u32, u16)], crew: u16, order: &[usize]) -> Block {
    let mut starts = vec![None; tasks.len()];
    let mut minutes = 0;
    for &at in order {
        let start = earliest(tasks, crew, &starts, at, 0);
        starts[at] = Some(start);
        minutes = minutes.max(start + tasks[at].0);
    }
    Block { starts: starts.into_iter().map(|start| start.unwrap_or(0)).collect(), minutes }
}

/// The first start at or after `from`: there, or where another task ends.
fn earliest(tasks: &[(u32, u16)], crew: u16, starts: &[Option<u32>], at: usize, from: u32) -> u32 {
    let placed = || starts.iter().zip(tasks).filter_map(|(start, task)| Some(((*start)?, *task)));
    let fits = |start: u32| {
        let end = start + tasks[at].0;
        let meets = |minute: u32| -> u16 {
            placed().filter(|(s, (p, _))| (*s..s + p).contains(&minute)).map(|(_, (_, crew))| crew).sum()
        };
        let points = placed().map(|(s, _)| s).filter(|s| (start..end).contains(s)).chain([start]);
        points.into_iter().all(|minute| meets(minute) + tasks[at].1 <= crew)
    };
    let mut candidates: Vec<u32> = placed().map(|(s, (p, _))| s + p).filter(|end| *end > from).collect();
    candidates.push(from);
    candidates.sort_unstable();
    candidates.into_iter().find(|&start| fits(start)).unwrap_or(from)
}

struct Search<'t> {
    tasks: &'t [(u32, u16)],
    crew: u16,
    order: Vec<usize>,
    least: u32,
    best: Block,
    left: u64,
    starts: Vec<Option<u32>>,
}

impl Search<'_> {
    /// Tries every task next, none before the one placed last.
    fn go(&mut self, placed: usize, from: u32) {
        if placed == self.tasks.len() {
            let starts: Vec<u32> = self.starts.iter().map(|start| start.unwrap_or(0)).collect();
            let minutes =
                starts.iter().zip(self.tasks).map(|(start, task)| start + task.0).max().unwrap_or(0);
            if minutes < self.best.minutes {
                self.best = Block { starts, minutes };
            }
            return;
        }
        let mut tried: Vec<(u32, u16)> = Vec::new();
        for place in 0..self.order.len() {
            let at = self.order[place];
            if self.starts[at].is_some() || tried.contains(&self.tasks[at]) {
                continue;
            }
            if self.left == 0 || self.best.minutes == self.least {
                return;
            }
            self.left -= 1;
            tried.push(self.tasks[at]);
            let start = earliest(self.tasks, self.crew, &self.starts, at, from);
            if start + self.tasks[at].0 < self.best.minutes && self.may_win(start) {
                self.starts[at] = Some(start);
                self.go(placed + 1, start);
                self.starts[at] = None;
            }
        }
    }

    /// Whether what is left can still end before the best.
    fn may_win(&self, from: u32) -> bool {
        let all = u64::from(self.best.minutes - 1) * u64::from(self.crew);
        let mut needed = 0;
        for (start, (minutes, crew)) in self.starts.iter().zip(self.tasks) {
            let after = start.map_or(*minutes, |start| (start + minutes).saturating_sub(from));
            needed += u64::from(after) * u64::from(*crew);
        }
        u64::from(from) * u64::from(self.crew) + needed <= all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_longest_first_misses() {
        // 3 3 2 2 2 on two: longest first gives 7, and 6 goes.
        let tasks = [(3, 1), (3, 1), (2, 1), (2, 1), (2, 1)];
        let (block, proven) = pack(&tasks, 2, 10_000);
        assert_eq!((block.minutes, proven), (6, true));
    }

    #[test]
    fn two_technicians_at_one_detector() {
        let (block, proven) = pack(&[(4, 2), (3, 1), (3, 1)], 2, 10_000);
        assert_eq!((block.minutes, proven), (7, true));
    }
}
