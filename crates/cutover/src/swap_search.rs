//! The search of a swap: lists of priorities, improved one move at a time, then branch and bound.

use std::collections::BTreeSet;

use crate::board::Board;
use crate::bound::fluid;
use crate::problem::Line;
use crate::swap::{Score, Work, whole};

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
    pub(crate) fn new(work: &'w Work<'p>, nodes: u64) -> Self {
        Self { work, left: nodes, spent: 0, best: None, bound: 0, proven: false }
    }

    /// Good plans: the usual orders from every promising beginning, then moves of single tasks.
    pub(crate) fn look_around(&mut self, beginnings: &[(Score, u32)]) {
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
        let whole = self.left;
        self.move_tasks(whole / 2);
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
    pub(crate) fn prove(&mut self, beginnings: &[(Score, u32)]) {
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
        for task in state.eligible() {
            let Some(start) = state.earliest(task, frontier) else { return };
            next.push((start, task));
        }
        if next.is_empty() {
            let score = state.score();
            if self.may_beat(score) {
                let starts = state.starts.iter().map(|start| start.unwrap_or(0)).collect();
                self.best = Some(Found { score, first: state.first, starts, list: Vec::new() });
            }
            return;
        }
        next.sort_unstable();
        for (start, task) in next {
            if self.left == 0 {
                return;
            }
            self.left -= self.left.min(self.work.tasks() as u64);
            self.spent += self.work.tasks() as u64;
            let undo = state.place(task, start);
            if self.may_beat(state.bound(start)) {
                self.branch(state, start);
            }
            state.take_back(task, start, undo);
        }
    }
}

/// What placing a task changed, to take it back.
struct Undo {
    landed: u32,
    fire_landed: u32,
    fire_proven: u32,
}

/// A swap being put together.
struct State<'w, 'p> {
    work: &'w Work<'p>,
    board: Board,
    first: u32,
    lifted: u32,
    starts: Vec<Option<u32>>,
    lands_left: Vec<usize>,
    /// When the last of a module was landed.
    landed: Vec<u32>,
    woken: Vec<Option<u32>>,
    fire_lands_left: usize,
    fire_landed: u32,
    fire_proofs_left: usize,
    fire_proven: u32,
}

impl<'w, 'p> State<'w, 'p> {
    fn new(work: &'w Work<'p>, first: u32, lifted: u32) -> Self {
        let modules = work.problem.modules.len();
        Self {
            work,
            board: Board::new(work.calendar, work.problem.crew),
            first,
            lifted,
            starts: vec![None; work.tasks()],
            lands_left: work.of_module.iter().map(Vec::len).collect(),
            landed: vec![lifted; modules],
            woken: vec![None; modules],
            fire_lands_left: work.fire.len(),
            fire_landed: lifted,
            fire_proofs_left: work.fire.len(),
            fire_proven: lifted,
        }
    }

    /// From when on a task may start; none while it has to wait for another, or is placed.
    fn ready(&self, task: usize) -> Option<u32> {
        let n = self.work.lines();
        let lines = &self.work.problem.lines;
        if self.starts[task].is_some() {
            return None;
        }
        match task {
            land if land < n && lines[land].fire => Some(self.lifted),
            land if land < n => (self.fire_lands_left == 0).then_some(self.fire_landed),
            prove if prove < 2 * n => {
                let line = &lines[prove - n];
                let woken = self.woken[line.module]?;
                match line.fire {
                    true => Some(woken),
                    false => (self.fire_proofs_left == 0).then_some(woken.max(self.fire_proven)),
                }
            }
            wake => {
                let module = wake - 2 * n;
                (self.lands_left[module] == 0 && !self.work.of_module[module].is_empty())
                    .then_some(self.landed[module])
            }
        }
    }

    fn eligible(&self) -> Vec<usize> {
        (0..self.work.tasks()).filter(|task| self.ready(*task).is_some()).collect()
    }

    /// Tasks that became ready with this one.
    fn freed(&self, task: usize) -> Vec<usize> {
        let n = self.work.lines();
        let lines = &self.work.problem.lines;
        let mut freed = Vec::new();
        match task {
            land if land < n => {
                let module = lines[land].module;
                if self.lands_left[module] == 0 {
                    freed.push(2 * n + module);
                }
                if lines[land].fire && self.fire_lands_left == 0 {
                    freed.extend(0..n);
                }
            }
            prove if prove < 2 * n => {
                if lines[prove - n].fire && self.fire_proofs_left == 0 {
                    freed.extend(n..2 * n);
                }
            }
            wake => freed.extend(self.work.of_module[wake - 2 * n].iter().map(|at| n + at)),
        }
        freed.retain(|task| self.ready(*task).is_some());
        freed
    }

    fn earliest(&self, task: usize, from: u32) -> Option<u32> {
        let (minutes, crew) = self.work.size(task);
        let from = self.ready(task)?.max(from);
        self.board.earliest(self.work.calendar, from, u32::MAX, minutes, crew)
    }

    fn place(&mut self, task: usize, start: u32) -> Undo {
        let n = self.work.lines();
        let (minutes, crew) = self.work.size(task);
        let end = start + minutes;
        self.board.take(start, minutes, crew);
        self.starts[task] = Some(start);
        let mut undo = Undo { landed: 0, fire_landed: self.fire_landed, fire_proven: self.fire_proven };
        match task {
            land if land < n => {
                let line = &self.work.problem.lines[land];
                undo.landed = self.landed[line.module];
                self.lands_left[line.module] -= 1;
                self.landed[line.module] = self.landed[line.module].max(end);
                if line.fire {
                    self.fire_lands_left -= 1;
                    self.fire_landed = self.fire_landed.max(end);
                }
            }
            prove if prove < 2 * n => {
                if self.work.problem.lines[prove - n].fire {
                    self.fire_proofs_left -= 1;
                    self.fire_proven = self.fire_proven.max(end);
                }
            }
            wake => self.woken[wake - 2 * n] = Some(end),
        }
        undo
    }

    fn take_back(&mut self, task: usize, start: u32, undo: Undo) {
        let n = self.work.lines();
        let (minutes, crew) = self.work.size(task);
        self.board.give_back(start, minutes, crew);
        self.starts[task] = None;
        match task {
            land if land < n => {
                let line = &self.work.problem.lines[land];
                self.lands_left[line.module] += 1;
                self.landed[line.module] = undo.landed;
                if line.fire {
                    self.fire_lands_left += 1;
                }
            }
            prove if prove < 2 * n => {
                if self.work.problem.lines[prove - n].fire {
                    self.fire_proofs_left += 1;
                }
            }
            wake => self.woken[wake - 2 * n] = None,
        }
        self.fire_landed = undo.fire_landed;
        self.fire_proven = undo.fire_proven;
    }

    /// The score of a complete swap.
    fn score(&self) -> Score {
        let n = self.work.lines();
        let end = |line: usize| self.starts[n + line].unwrap_or(0) + self.work.size(n + line).0;
        let cost = (0..n).map(|line| self.work.cost(line, self.first, end(line))).sum();
        (self.work.over(self.first, self.fire_proven), cost)
    }

    /// No completion of this beginning is better, when nothing more starts before `frontier`.
    fn bound(&self, frontier: u32) -> Score {
        let n = self.work.lines();
        let (mut sure, mut soonest) = (0, 0);
        let mut fire_back = self.fire_proven;
        for line in 0..n {
            if let Some(start) = self.starts[n + line] {
                sure += self.work.cost(line, self.first, start + self.work.size(n + line).0);
                continue;
            }
            sure += self.work.cost(line, self.first, frontier);
            let back = self.soonest(line, frontier);
            soonest += self.work.cost(line, frontier, back);
            if self.work.problem.lines[line].fire {
                fire_back = fire_back.max(back);
            }
        }
        let undone = |task: usize| self.starts[task].is_none();
        let free = |minute: u32| self.board.free(minute);
        let flow = fluid(self.work.calendar, &self.work.rests(undone), frontier, free);
        let flow = whole(flow + self.work.halves(|line| undone(n + line)));
        (self.work.over(self.first, fire_back), sure.saturating_add(flow.max(soonest)))
    }

    /// No sooner can a circuit be back: what it waits for, each in its time.
    fn soonest(&self, line: usize, frontier: u32) -> u32 {
        let n = self.work.lines();
        let calendar = self.work.calendar;
        let one = &self.work.problem.lines[line];
        let module = one.module;
        let woken = self.woken[module].unwrap_or_else(|| {
            let lands = self.work.of_module[module].iter().filter(|at| self.starts[**at].is_none());
            let (mut work, mut longest) = (0_u64, 0);
            for &at in lands {
                let minutes = self.work.size(at).0;
                work += u64::from(minutes);
                longest = longest.max(minutes);
            }
            let crew = u64::from(self.work.problem.crew);
            let land = longest.max(u32::try_from(work.div_ceil(crew)).unwrap_or(u32::MAX));
            let landed = calendar.after_open(frontier, land).max(self.landed[module]);
            calendar.after_open(landed, self.work.size(2 * n + module).0)
        });
        calendar.after_open(woken.max(frontier), one.prove)
    }
}
