//! Swap: everything is dead from the first lift, so each circuit counts until its own proof.

use crate::bound::{Proof, Rest, fluid};
use crate::calendar::Calendar;
use crate::plan::{Act, Middle};
use crate::problem::{NoPlan, Problem, Task};
use crate::stages::{stage, stages};
use crate::swap_search::Search;

/// How a plan is judged: minutes over the limit first, then exposure.
pub(crate) type Score = (u32, u64);

/// So many circuits are planned for every smaller crew too.
const FEW: usize = 12;

/// The work of a swap, as the search sees it: landing `0..n`, proofs `n..2n`, modules from `2n` on.
pub(crate) struct Work<'p> {
    pub(crate) problem: &'p Problem,
    pub(crate) calendar: &'p Calendar,
    /// Circuits of each module.
    pub(crate) of_module: Vec<Vec<usize>>,
    /// Modules that have circuits.
    pub(crate) modules: Vec<usize>,
    pub(crate) fire: Vec<usize>,
    /// The order of lifting: fire last.
    lifts: Vec<(usize, [Task; 1])>,
}

impl<'p> Work<'p> {
    fn new(problem: &'p Problem, calendar: &'p Calendar) -> Self {
        let mut of_module = vec![Vec::new(); problem.modules.len()];
        for (at, line) in problem.lines.iter().enumerate() {
            of_module[line.module].push(at);
        }
        let modules = (0..of_module.len()).filter(|at| !of_module[*at].is_empty()).collect();
        let fire = (0..problem.lines.len()).filter(|at| problem.lines[*at].fire).collect();
        let mut order: Vec<usize> = (0..problem.lines.len()).collect();
        order.sort_by_key(|at| problem.lines[*at].fire);
        let lift = |at: usize| {
            let line = &problem.lines[at];
            (at, [Task { tag: line.tag.clone(), minutes: line.lift }])
        };
        let lifts = order.into_iter().map(lift).collect();
        Self { problem, calendar, of_module, modules, fire, lifts }
    }

    pub(crate) fn lines(&self) -> usize {
        self.problem.lines.len()
    }

    pub(crate) fn tasks(&self) -> usize {
        2 * self.lines() + self.problem.modules.len()
    }

    /// What tasks must have in common to be exchanged without any change to what a plan is worth: the place in the
    /// order of work, the size, and for proofs the weights.
    pub(crate) fn kind(&self, task: usize) -> (usize, usize, bool, (u32, u16), [u32; 2]) {
        let lines = &self.problem.lines;
        let n = lines.len();
        let size = self.size(task);
        match task {
            land if land < n => (0, lines[land].module, lines[land].fire, size, [0; 2]),
            prove if prove < 2 * n => {
                let line = &lines[prove - n];
                (1, line.module, line.fire, size, [line.weight, line.weight_occupied])
            }
            wake => (2, wake - 2 * n, false, size, [0; 2]),
        }
    }

    /// Minutes and technicians of a task.
    pub(crate) fn size(&self, task: usize) -> (u32, u16) {
        let lines = &self.problem.lines;
        let n = lines.len();
        match task {
            land if land < n => (lines[land].land, 1),
            prove if prove < 2 * n => (lines[prove - n].prove, lines[prove - n].crew),
            wake => (self.problem.modules[wake - 2 * n].wake, 1),
        }
    }

    /// The starts of all lifts when the first is at `first`, and the end of the last; none where it does not begin then.
    pub(crate) fn lift(&self, first: u32) -> Option<(Vec<u32>, u32)> {
        let chains: Vec<&[Task]> = self.lifts.iter().map(|(_, lift)| lift.as_slice()).collect();
        let (starts, end) = stage(self.calendar, self.problem.crew, first, &chains).ok()?;
        let starts: Vec<u32> = starts.iter().map(|own| own[0]).collect();
        (starts.first() == Some(&first)).then_some((starts, end))
    }

    /// What a circuit costs that is dead from `from` to `to`.
    pub(crate) fn cost(&self, line: usize, from: u32, to: u32) -> u64 {
        let line = &self.problem.lines[line];
        self.calendar.cost(line.weight_occupied, line.weight, from, to)
    }

    /// What is still to do while `undone` says which tasks are.
    pub(crate) fn rests(&self, undone: impl Fn(usize) -> bool) -> Vec<Rest> {
        let n = self.lines();
        let mut rests = Vec::with_capacity(self.modules.len());
        for &module in &self.modules {
            let mut rest = Rest::default();
            if undone(2 * n + module) {
                rest.head += u64::from(self.problem.modules[module].wake);
            }
            for &at in &self.of_module[module] {
                let line = &self.problem.lines[at];
                if undone(at) {
                    rest.head += u64::from(line.land);
                }
                if undone(n + at) {
                    rest.fire |= line.fire;
                    rest.proofs.push(Proof {
                        work: u64::from(line.prove) * u64::from(line.crew),
                        weight: [u64::from(line.weight), u64::from(line.weight_occupied)],
                        fire: line.fire,
                    });
                }
            }
            if !rest.proofs.is_empty() {
                rests.push(rest);
            }
        }
        rests
    }

    /// What counting proofs in parts leaves out: half the minutes of each at its lesser weight.
    pub(crate) fn halves(&self, undone: impl Fn(usize) -> bool) -> f64 {
        let half = |at: usize| {
            let line = &self.problem.lines[at];
            f64::from(line.weight.min(line.weight_occupied)) * f64::from(line.prove) / 2.0
        };
        (0..self.lines()).filter(|at| undone(*at)).map(half).sum()
    }

    /// No plan that lifts at `first` and has lifted all at `lifted` is better than this.
    fn bound(&self, first: u32, lifted: u32) -> Score {
        let lines = 0..self.lines();
        let dead: u64 = lines.map(|line| self.cost(line, first, lifted)).sum();
        let crew = self.problem.crew;
        let still = fluid(self.calendar, &self.rests(|_| true), lifted, |_| crew) + self.halves(|_| true);
        (self.over(first, self.fire_back(lifted)), dead.saturating_add(whole(still)))
    }

    /// No plan has all fire circuits back sooner.
    fn fire_back(&self, lifted: u32) -> u32 {
        let (mut all, mut longest) = (0_u64, 0);
        let crew = u64::from(self.problem.crew);
        for &module in &self.modules {
            let lines = || self.of_module[module].iter().map(|at| &self.problem.lines[*at]);
            if !lines().any(|line| line.fire) {
                continue;
            }
            let wake = self.problem.modules[module].wake;
            let land: u64 = lines().map(|line| u64::from(line.land)).sum();
            let fire = || lines().filter(|line| line.fire);
            let proof: u64 = fire().map(|line| u64::from(line.prove) * u64::from(line.crew)).sum();
            let last = fire().map(|line| line.prove).max().unwrap_or(0);
            all += land + u64::from(wake) + proof;
            longest =
                longest.max(minutes(land.div_ceil(crew)) + wake + last.max(minutes(proof.div_ceil(crew))));
        }
        if self.fire.is_empty() {
            lifted
        } else {
            self.calendar.after_open(lifted, longest.max(minutes(all.div_ceil(crew))))
        }
    }

    /// Minutes over the limit when fire circuits are out from `first` to `back`.
    pub(crate) fn over(&self, first: u32, back: u32) -> u32 {
        match self.problem.limit {
            Some(limit) if !self.fire.is_empty() => back.saturating_sub(first).saturating_sub(limit),
            _ => 0,
        }
    }

    /// Minutes of all work together after the lifting.
    fn serial(&self) -> u64 {
        let used = (0..2 * self.lines()).chain(self.modules.iter().map(|module| 2 * self.lines() + module));
        used.map(|task| u64::from(self.size(task).0)).sum()
    }

    /// Every minute in which lifting may begin, with what no plan from there can beat.
    ///
    /// A minute that has all the work before it in one window, as the minute before has, is left out: its plans cost
    /// the same.
    fn beginnings(&self, ready: u32) -> Vec<(Score, u32)> {
        let serial =
            self.serial() + self.lifts.iter().map(|(_, lift)| u64::from(lift[0].minutes)).sum::<u64>();
        let mut beginnings = Vec::new();
        for window in self.calendar.windows() {
            for first in window.from.max(ready)..window.to {
                let same =
                    first > window.from.max(ready) && u64::from(first) + serial <= u64::from(window.to);
                if same {
                    continue;
                }
                if let Some((_, lifted)) = self.lift(first) {
                    let bound = self.bound(first, lifted);
                    if bound.1 < u64::MAX {
                        beginnings.push((bound, first));
                    }
                }
            }
        }
        beginnings.sort_unstable();
        beginnings
    }
}

/// A bound of many halves, as the least whole number that it allows.
pub(crate) fn whole(bound: f64) -> u64 {
    if bound.is_infinite() {
        return u64::MAX;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "rounded up, not negative, and a float beyond the range saturates"
    )]
    let whole = (bound - 1e-6 * bound.abs().max(1.0)).ceil().max(0.0) as u64;
    whole
}

fn minutes(count: u64) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX / 4).min(u32::MAX / 4)
}

/// Smaller crews, each with the minute in which its preparations end; none for work of many circuits, where each would
/// take as long as the whole.
fn crews(problem: &Problem, calendar: &Calendar, ready: u32) -> Vec<(u16, u32)> {
    let most: u16 = problem.lines.iter().map(|line| line.crew).fold(0, u16::saturating_add);
    let least = problem.lines.iter().map(|line| line.crew).max().unwrap_or(1);
    if problem.lines.len() > FEW {
        return Vec::new();
    }
    let mut crews: Vec<(u16, u32)> = Vec::new();
    for crew in least..problem.crew {
        let Ok((_, prepared)) = stages(calendar, crew, 0, &problem.before) else { continue };
        // More than can be at work at once only prepare sooner.
        let one = (crew.min(most), prepared.max(ready));
        if crews.last() != Some(&one) {
            crews.push(one);
        }
    }
    crews
}

/// The middle of a swap: lift all, land, wake, prove.
pub(crate) fn solve(problem: &Problem, calendar: &Calendar, ready: u32) -> Result<Middle, NoPlan> {
    let work = Work::new(problem, calendar);
    let n = work.lines();
    if n == 0 {
        return Ok(Middle {
            work: Vec::new(),
            dead: Vec::new(),
            bound: 0,
            proven: true,
            nodes: 0,
            stopped: false,
            over_limit: 0,
            fire_in_parts: false,
        });
    }
    let run_out = || NoPlan::HoursRunOut { tag: "the swap".to_owned() };
    // What fewer technicians can do, more can: their plan is where more begin, so that no further one ever harms.
    let (mut fewer, mut spent) = (None, 0);
    for (crew, ready) in crews(problem, calendar, ready) {
        let smaller = Problem { crew, ..problem.clone() };
        let work = Work::new(&smaller, calendar);
        let mut search = Search::new(&work, problem.nodes, fewer);
        search.run(&work.beginnings(ready));
        spent += search.spent;
        fewer = search.best;
    }
    let mut search = Search::new(&work, problem.nodes, fewer);
    search.run(&work.beginnings(ready));
    let best = search.best.as_ref().ok_or_else(run_out)?;
    let (lifts, _) = work.lift(best.first).ok_or_else(run_out)?;
    let mut tasks: Vec<(Act, u32, u32, u16)> = Vec::with_capacity(3 * n);
    for ((line, lift), start) in work.lifts.iter().zip(lifts) {
        tasks.push((Act::Lift(*line), start, lift[0].minutes, 1));
    }
    let used = (0..2 * n).chain(work.modules.iter().map(|module| 2 * n + module));
    for task in used {
        let act = match task {
            land if land < n => Act::Land(land),
            prove if prove < 2 * n => Act::Prove(prove - n),
            wake => Act::Wake(wake - 2 * n),
        };
        let (minutes, crew) = work.size(task);
        tasks.push((act, best.starts[task], minutes, crew));
    }
    let dead = (0..n).map(|line| (best.first, best.starts[n + line] + work.size(n + line).0)).collect();
    Ok(Middle {
        work: tasks,
        dead,
        bound: search.bound.min(best.score.1),
        proven: search.proven,
        nodes: spent + search.spent,
        stopped: !search.proven,
        over_limit: best.score.0,
        fire_in_parts: false,
    })
}
