//! The search of a swap: lists of priorities, improved one move at a time, then branch and bound.

use std::collections::BTreeSet;

use crate::problem::Line;
use crate::swap::{Score, Work};
use crate::swap_state::State;

/// So many circuits can be proven with every placement counted once.
const PROVABLE: usize = 8;

/// A complete swap.
#[derive(Clone)]
pub(crate) struct Found {
    pub(crate) score: Score,
    /// The first lift.
    pub(crate) first: u32,
    /// The start of every task after the lifting.
    pub(crate) starts: Vec<u32>,
    /// The priorities that made it.
    list: Vec<usize>,
}

/// When a module's circuits are proven.
#[derive(Clone, Copy)]
enum Rhythm {
    /// As soon as it is awake.
    ModuleByModule,
    /// When the next is landed.
    OneAhead,
    /// When all are landed.
    AllLanded,
}

impl Rhythm {
    const ALL: [Self; 3] = [Self::ModuleByModule, Self::OneAhead, Self::AllLanded];
}

pub(crate) struct Search<'w, 'p> {
    work: &'w Work<'p>,
    left: u64,
    pub(crate) spent: u64,
    pub(crate) best: Option<Found>,
    /// No swap has less exposure.
    pub(crate) bound: u64,
    /// Whether nothing is better than the best.
    pub(crate) proven: bool,
}

impl<'w, 'p> Search<'w, 'p> {
    /// A search from a plan that is known already, where there is one.
    pub(crate) fn new(work: &'w Work<'p>, nodes: u64, known: Option<Found>) -> Self {
        Self { work, left: nodes, spent: 0, best: known, bound: 0, proven: false }
    }

    pub(crate) fn run(&mut self, beginnings: &[(Score, u32)]) {
        self.look_around(beginnings);
        self.prove(beginnings);
    }

    /// Good plans: the usual orders from every promising beginning, then moves of single tasks.
    fn look_around(&mut self, beginnings: &[(Score, u32)]) {
        let mut firsts: Vec<u32> = beginnings.iter().take(6).map(|(_, first)| *first).collect();
        firsts.extend(beginnings.iter().map(|(_, first)| *first).min());
        for window in self.work.calendar.windows() {
            if beginnings.iter().any(|(_, first)| *first == window.from) && firsts.len() < 24 {
                firsts.push(window.from);
            }
        }
        let lists = self.lists();
        for &first in &firsts {
            for list in &lists {
                // At least one plan, however few nodes there are.
                if self.left > 0 || self.best.is_none() {
                    self.offer(first, list);
                }
            }
        }
        self.move_modules();
        let share = self.left / 4;
        self.move_tasks(share);
        if self.begin_elsewhere(beginnings, share) {
            self.move_tasks(share);
        }
    }

    /// The best order from every other beginning that may be better: first those of hours, then the most promising.
    fn begin_elsewhere(&mut self, beginnings: &[(Score, u32)], nodes: u64) -> bool {
        let Some(list) = self.best.as_ref().map(|best| best.list.clone()) else { return false };
        let end = self.left.saturating_sub(nodes);
        let opens = |first: u32| self.work.calendar.windows().iter().any(|window| window.from == first);
        let (mut order, others): (Vec<_>, Vec<_>) = beginnings.iter().partition(|(_, first)| opens(*first));
        order.extend(others);
        let mut better = false;
        for (bound, first) in order {
            if self.left <= end {
                break;
            }
            better |= self.may_beat(bound) && self.offer(first, &list);
        }
        better
    }

    /// The usual orders: module by module; all landed before any is woken; the next landed while one wakes.
    fn lists(&self) -> Vec<Vec<usize>> {
        let order = self.modules_by_density();
        let mut lists: Vec<Vec<usize>> =
            Rhythm::ALL.iter().map(|rhythm| self.list(&order, *rhythm)).collect();
        lists.push(self.list(&self.work.modules, Rhythm::ModuleByModule));
        lists
    }

    fn modules_by_density(&self) -> Vec<usize> {
        let lines = &self.work.problem.lines;
        let mut order = self.work.modules.clone();
        order.sort_by(|a, b| {
            let sums = |module: usize| {
                let of = self.work.of_module[module].iter().map(|at| &lines[*at]);
                let sum = |(weight, work): (u64, u64), line: &Line| {
                    (weight + u64::from(line.weight), work + u64::from(line.land + line.prove))
                };
                of.fold((0, u64::from(self.work.problem.modules[module].wake)), sum)
            };
            let fire = |module: usize| !self.work.of_module[module].iter().any(|at| lines[*at].fire);
            let ((wa, pa), (wb, pb)) = (sums(*a), sums(*b));
            fire(*a).cmp(&fire(*b)).then((wb * pa).cmp(&(wa * pb)))
        });
        order
    }

    /// A list of priorities from an order of modules.
    fn list(&self, order: &[usize], rhythm: Rhythm) -> Vec<usize> {
        let n = self.work.lines();
        let lines = &self.work.problem.lines;
        let late = match rhythm {
            Rhythm::ModuleByModule => 0,
            Rhythm::OneAhead => 1,
            Rhythm::AllLanded => order.len(),
        };
        let mut list = Vec::with_capacity(self.work.tasks());
        let mut proofs: Vec<Vec<usize>> = Vec::new();
        for (place, &module) in order.iter().enumerate() {
            let mut lands = self.work.of_module[module].clone();
            lands.sort_by_key(|at| !lines[*at].fire);
            let mut own = lands.clone();
            list.extend(lands);
            list.push(2 * n + module);
            self.densest_first(&mut own);
            proofs.push(own.into_iter().map(|at| n + at).collect());
            if place >= late {
                list.append(&mut proofs[place - late]);
            }
        }
        let mut left: Vec<usize> = proofs.into_iter().flatten().map(|prove| prove - n).collect();
        self.densest_first(&mut left);
        list.extend(left.into_iter().map(|at| n + at));
        list
    }

    /// Fire first, then the most weight a minute of proof.
    fn densest_first(&self, lines: &mut [usize]) {
        lines.sort_by(|a, b| {
            let (a, b) = (&self.work.problem.lines[*a], &self.work.problem.lines[*b]);
            let effort = |line: &Line| u64::from(line.prove) * u64::from(line.crew);
            let dense = (u64::from(b.weight) * effort(a)).cmp(&(u64::from(a.weight) * effort(b)));
            b.fire.cmp(&a.fire).then(dense)
        });
    }

    /// Plans a list, and keeps it where it is better.
    fn offer(&mut self, first: u32, list: &[usize]) -> bool {
        let cost = list.len() as u64;
        self.spent += cost;
        self.left = self.left.saturating_sub(cost);
        let Some((starts, score)) = self.decode(first, list) else { return false };
        let better = self.best.as_ref().is_none_or(|best| score < best.score);
        if better {
            self.best = Some(Found { score, first, starts, list: list.to_vec() });
        }
        better
    }

    fn decode(&self, first: u32, list: &[usize]) -> Option<(Vec<u32>, Score)> {
        let (_, lifted) = self.work.lift(first)?;
        let mut state = State::new(self.work, first, lifted);
        let mut key = vec![0; self.work.tasks()];
        for (place, task) in list.iter().enumerate() {
            key[*task] = place;
        }
        let mut ready: BTreeSet<(usize, usize)> = list
            .iter()
            .filter(|task| state.ready(**task).is_some())
            .map(|task| (key[*task], *task))
            .collect();
        while let Some((_, task)) = ready.pop_first() {
            let start = state.earliest(task, 0)?;
            state.place(task, start);
            let freed = state.freed(task);
            ready.extend(freed.into_iter().map(|task| (key[task], task)));
        }
        let score = state.score();
        Some((state.starts.iter().map(|start| start.unwrap_or(0)).collect(), score))
    }

    /// Exchanges modules in the order of the best, while that helps.
    fn move_modules(&mut self) {
        let mut order = self.modules_by_density();
        let most = order.len().min(24);
        let mut better = true;
        while better && self.left > 0 {
            better = false;
            for a in 0..most {
                for b in a + 1..most {
                    if self.left == 0 {
                        return;
                    }
                    let Some(first) = self.best.as_ref().map(|best| best.first) else { return };
                    order.swap(a, b);
                    let kept = Rhythm::ALL.into_iter().any(|rhythm| {
                        let list = self.list(&order, rhythm);
                        self.offer(first, &list)
                    });
                    if kept {
                        better = true;
                    } else {
                        order.swap(a, b);
                    }
                }
            }
        }
    }

    /// Moves single tasks to other places of the list, near ones first, while that helps.
    fn move_tasks(&mut self, nodes: u64) {
        let end = self.left.saturating_sub(nodes);
        let mut better = true;
        while better {
            better = false;
            let length = self.best.as_ref().map_or(0, |best| best.list.len());
            for step in [1, 2, 4, 8, 16, 32] {
                for from in 0..length.saturating_sub(step) {
                    if self.left <= end {
                        return;
                    }
                    let Some(best) = &self.best else { return };
                    let (first, mut list) = (best.first, best.list.clone());
                    list[from..=from + step].rotate_left(1);
                    better |= self.offer(first, &list);
                    let Some(best) = &self.best else { return };
                    let (first, mut list) = (best.first, best.list.clone());
                    list[from..=from + step].rotate_right(1);
                    better |= self.offer(first, &list);
                }
            }
        }
    }

    /// Branch and bound from every beginning that may still hold something better.
    fn prove(&mut self, beginnings: &[(Score, u32)]) {
        let mut open = u64::MAX;
        for ((over, bound), first) in beginnings {
            if !self.may_beat((*over, *bound)) {
                continue;
            }
            if self.left > 0
                && let Some((_, lifted)) = self.work.lift(*first)
            {
                let mut state = State::new(self.work, *first, lifted);
                self.branch(&mut state, lifted);
            }
            if self.left == 0 {
                open = open.min(*bound);
            }
        }
        self.proven = open == u64::MAX;
        self.bound = beginnings.iter().map(|((_, bound), _)| *bound).min().unwrap_or(0);
    }

    fn may_beat(&self, score: Score) -> bool {
        self.best.as_ref().is_none_or(|best| score < best.score)
    }

    fn branch(&mut self, state: &mut State, frontier: u32) {
        let mut next: Vec<(u32, usize)> = Vec::new();
        let mut kinds = Vec::new();
        for task in state.eligible() {
            // Of equals the first: exchanging them changes no score.
            let kind = self.work.kind(task);
            if kinds.contains(&kind) {
                continue;
            }
            kinds.push(kind);
            let Some(start) = state.earliest(task, frontier) else { return };
            next.push((start, task));
        }
        if next.is_empty() {
            let score = state.score();
            if self.may_beat(score) {
                let starts: Vec<u32> = state.starts.iter().map(|start| start.unwrap_or(0)).collect();
                let mut list: Vec<usize> =
                    (0..starts.len()).filter(|task| state.starts[*task].is_some()).collect();
                list.sort_by_key(|task| starts[*task]);
                self.best = Some(Found { score, first: state.first, starts, list });
            }
            return;
        }
        next.sort_unstable();
        // Among many circuits a placement costs as much as a list; among few hardly anything, and a proof is near.
        let cost = if self.work.lines() <= PROVABLE { 1 } else { self.work.tasks() as u64 };
        for (start, task) in next {
            if self.left == 0 {
                return;
            }
            self.left -= self.left.min(cost);
            self.spent += cost;
            let undo = state.place(task, start);
            if self.may_beat(state.bound(start)) {
                self.branch(state, start);
            }
            state.take_back(task, start, undo);
        }
    }
}
