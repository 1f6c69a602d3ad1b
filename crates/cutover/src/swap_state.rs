//! A swap being put together: who is busy when, what waits for what, and what no completion can beat.

use crate::board::Board;
use crate::bound::fluid;
use crate::swap::{Score, Work, whole};

/// What placing a task changed, to take it back.
pub(crate) struct Undo {
    landed: u32,
    fire_landed: u32,
    fire_proven: u32,
}

/// A swap being put together.
pub(crate) struct State<'w, 'p> {
    work: &'w Work<'p>,
    board: Board,
    pub(crate) first: u32,
    lifted: u32,
    pub(crate) starts: Vec<Option<u32>>,
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
    pub(crate) fn new(work: &'w Work<'p>, first: u32, lifted: u32) -> Self {
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
    pub(crate) fn ready(&self, task: usize) -> Option<u32> {
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

    pub(crate) fn eligible(&self) -> Vec<usize> {
        (0..self.work.tasks()).filter(|task| self.ready(*task).is_some()).collect()
    }

    /// Tasks that became ready with this one.
    pub(crate) fn freed(&self, task: usize) -> Vec<usize> {
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

    pub(crate) fn earliest(&self, task: usize, from: u32) -> Option<u32> {
        let (minutes, crew) = self.work.size(task);
        let from = self.ready(task)?.max(from);
        self.board.earliest(self.work.calendar, from, u32::MAX, minutes, crew)
    }

    pub(crate) fn place(&mut self, task: usize, start: u32) -> Undo {
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

    pub(crate) fn take_back(&mut self, task: usize, start: u32, undo: Undo) {
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
    pub(crate) fn score(&self) -> Score {
        let n = self.work.lines();
        let end = |line: usize| self.starts[n + line].unwrap_or(0) + self.work.size(n + line).0;
        let cost = (0..n).map(|line| self.work.cost(line, self.first, end(line))).sum();
        (self.work.over(self.first, self.fire_proven), cost)
    }

    /// No completion of this beginning is better, when nothing more starts before `frontier`.
    pub(crate) fn bound(&self, frontier: u32) -> Score {
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
