//! The answer, and how it is put together.

use crate::board::Board;
use crate::calendar::Calendar;
use crate::checked::checked;
use crate::exposure::{Level, curve};
use crate::outage::{Out, Outage};
use crate::problem::{Chain, Line, NoPlan, Problem, Way};
use crate::stages::{Starts, stages};
use crate::{side, swap};

/// What is done.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Act {
    /// A preparation: stage, chain, place in it.
    Prepare(usize, usize, usize),
    /// The gate before the first lift; takes no time.
    Gate,
    /// A circuit is lifted.
    Lift(usize),
    /// Every circuit is lifted; takes no time.
    Lifted,
    /// A circuit is measured and landed.
    Land(usize),
    /// Every fire circuit is landed; takes no time.
    FireLanded,
    /// A module is powered up, enrolled, its outputs proven.
    Wake(usize),
    /// A circuit is enrolled and proven.
    Prove(usize),
    /// Side by side: all of these in one go.
    Move(usize),
    /// Every fire circuit is proven; takes no time.
    FireProven,
    /// Every circuit is proven; takes no time.
    Proven,
    /// Closing work: stage, chain, place in it.
    Finish(usize, usize, usize),
}

impl Act {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Prepare(..) => "prepare",
            Self::Gate => "gate",
            Self::Lift(_) => "lift",
            Self::Lifted => "lifted",
            Self::Land(_) => "land",
            Self::FireLanded => "fire-landed",
            Self::Wake(_) => "wake",
            Self::Prove(_) => "prove",
            Self::Move(_) => "move",
            Self::FireProven => "fire-proven",
            Self::Proven => "proven",
            Self::Finish(..) => "finish",
        }
    }
}

/// One piece of work in its place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Planned {
    /// What is done.
    pub act: Act,
    /// Its first minute.
    pub start: u32,
    /// The minute after its last.
    pub end: u32,
    /// Technicians, from 1; empty for what takes no time.
    pub who: Vec<u16>,
    /// What must have ended before, as places in [`Plan::tasks`].
    pub after: Vec<usize>,
}

/// How good the plan is known to be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Status {
    /// No plan has less exposure (none that keeps fire circuits out no longer).
    Optimal,
    /// The best that was found; [`Plan::bound`] says how much less there could be.
    Feasible,
}

impl Status {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Optimal => "optimal",
            Self::Feasible => "feasible",
        }
    }
}

/// A cut-over in order.
#[derive(Clone, PartialEq, Debug)]
pub struct Plan {
    /// By start, then in the order of the work.
    pub tasks: Vec<Planned>,
    /// When the first circuit is lifted; none without circuits.
    pub first_lift: Option<u32>,
    /// When the last work ends.
    pub end: u32,
    /// From when to when each circuit is without protection, in the order of [`Problem::lines`].
    pub dead: Vec<(u32, u32)>,
    /// Circuit-minutes by weight.
    pub exposure: u64,
    /// No plan has less.
    pub bound: u64,
    /// Whether there is nothing better.
    pub status: Status,
    /// Placements that were tried.
    pub nodes: u64,
    /// Whether the search ended because these were used up.
    pub stopped: bool,
    /// When how much is unprotected.
    pub curve: Vec<Level>,
    /// When fire circuits are out, and the most within 24 h.
    pub outage: Outage,
    /// Minutes by which fire circuits are out for longer than the limit; 0 within it, and without one.
    pub over_limit: u32,
    /// Whether the fire circuits, side by side, fit into no single stretch and go over in several.
    pub fire_in_parts: bool,
}

impl Plan {
    /// How much less exposure there could be, as a share of what there is; 0 when proven.
    #[must_use]
    pub fn gap(&self) -> f64 {
        if self.exposure == 0 {
            return 0.0;
        }
        #[expect(clippy::cast_precision_loss, reason = "a share, to a few digits")]
        let gap = (self.exposure - self.bound.min(self.exposure)) as f64 / self.exposure as f64;
        gap
    }
}

/// What a way found: the middle of the plan, between preparation and closing.
pub(crate) struct Middle {
    /// Act, start, minutes, technicians.
    pub(crate) work: Vec<(Act, u32, u32, u16)>,
    pub(crate) dead: Vec<(u32, u32)>,
    pub(crate) bound: u64,
    pub(crate) proven: bool,
    pub(crate) nodes: u64,
    pub(crate) stopped: bool,
    pub(crate) over_limit: u32,
    pub(crate) fire_in_parts: bool,
}

/// Puts a cut-over in order: the least exposure among the plans that keep fire circuits out of service beyond the limit
/// for the least time; side by side equals by the window in which all is done, then in the order of the circuits with fire last.
///
/// # Errors
/// [`NoPlan`] when something does not fit into the hours, or the data contradict themselves.
pub fn plan(problem: &Problem) -> Result<Plan, NoPlan> {
    let calendar = checked(problem)?;
    let (starts, ready) = stages(&calendar, problem.crew, 0, &problem.before)?;
    let middle = match problem.way {
        Way::SideBySide => side::solve(problem, &calendar, ready)?,
        Way::Swap => swap::solve(problem, &calendar, ready)?,
    };
    let proven = middle.work.iter().map(|(_, start, minutes, _)| start + minutes).max().unwrap_or(ready);
    let (finish, end) = stages(&calendar, problem.crew, proven, &problem.after)?;
    let mut work = Vec::new();
    put(&problem.before, &starts, Act::Prepare, &mut work);
    put(&problem.after, &finish, Act::Finish, &mut work);
    work.push((Act::Gate, ready, 0, 0));
    work.extend(middle.work.iter().copied());
    milestones(problem, ready, &mut work);
    let tasks = who(problem, &calendar, work);
    let fire = problem.lines.iter().zip(&middle.dead).filter(|(line, _)| line.fire);
    let outs: Vec<Out> = fire.map(|(_, (from, to))| Out { from: *from, to: *to }).collect();
    let exposure = exposure(problem, &calendar, &middle.dead);
    Ok(Plan {
        tasks,
        first_lift: middle.dead.iter().map(|(from, _)| *from).min(),
        end,
        exposure,
        bound: if middle.proven { exposure } else { middle.bound.min(exposure) },
        status: if middle.proven || middle.bound >= exposure { Status::Optimal } else { Status::Feasible },
        nodes: middle.nodes,
        stopped: middle.stopped,
        curve: curve(problem, &calendar, &middle.dead),
        outage: Outage::new(&outs),
        over_limit: middle.over_limit,
        fire_in_parts: middle.fire_in_parts,
        dead: middle.dead,
    })
}

/// The tasks of stages, each in its place.
fn put(
    stages: &[Vec<Chain>],
    starts: &[Starts],
    act: fn(usize, usize, usize) -> Act,
    work: &mut Vec<(Act, u32, u32, u16)>,
) {
    for (stage, (chains, starts)) in stages.iter().zip(starts).enumerate() {
        for (chain, (one, starts)) in chains.iter().zip(starts).enumerate() {
            for (place, (task, start)) in one.tasks.iter().zip(starts).enumerate() {
                work.push((act(stage, chain, place), *start, task.minutes, 1));
            }
        }
    }
}

/// Circuit-minutes by weight.
pub(crate) fn exposure(problem: &Problem, calendar: &Calendar, dead: &[(u32, u32)]) -> u64 {
    let one = |(line, (from, to)): (&Line, &(u32, u32))| {
        calendar.cost(line.weight_occupied, line.weight, *from, *to)
    };
    problem.lines.iter().zip(dead).map(one).sum()
}

/// Moments that later work waits for.
fn milestones(problem: &Problem, ready: u32, work: &mut Vec<(Act, u32, u32, u16)>) {
    let fire = |line: usize| problem.lines[line].fire;
    let end_of = |which: &dyn Fn(Act) -> bool| {
        let of = work.iter().filter(|(act, ..)| which(*act));
        of.map(|(_, start, minutes, _)| start + minutes).max()
    };
    let mut more = Vec::new();
    if problem.way == Way::Swap {
        more.push((Act::Lifted, end_of(&|act| matches!(act, Act::Lift(_)))));
        more.push((Act::FireLanded, end_of(&|act| matches!(act, Act::Land(line) if fire(line)))));
        more.push((Act::FireProven, end_of(&|act| matches!(act, Act::Prove(line) if fire(line)))));
    }
    more.push((Act::Proven, end_of(&|act| matches!(act, Act::Prove(_) | Act::Move(_)))));
    let none = problem.lines.is_empty().then_some(ready);
    work.extend(more.into_iter().filter_map(|(act, at)| Some((act, at.or(none)?, 0, 0))));
}

/// Technicians by number, the lowest that is free; and what each task waits for.
fn who(problem: &Problem, calendar: &Calendar, mut work: Vec<(Act, u32, u32, u16)>) -> Vec<Planned> {
    work.sort_by_key(|(act, start, minutes, _)| (*start, *minutes > 0, *act));
    let mut free = vec![0; usize::from(problem.crew)];
    let number = |who: &usize| u16::try_from(who + 1).unwrap_or(u16::MAX);
    let mut tasks = Vec::with_capacity(work.len());
    for (act, start, minutes, crew) in &work {
        let mut able: Vec<usize> = (0..free.len()).filter(|&who| free[who] <= *start).collect();
        // Whoever moved a circuit moves the next on the same core.
        if let Some(before) = before_on_core(problem, &work, *act, *start)
            && let Some(task) = tasks.iter().find(|task: &&Planned| task.act == before)
        {
            able.sort_by_key(|who| !task.who.contains(&number(who)));
        }
        let mut who: Vec<usize> = able.into_iter().take(usize::from(*crew)).collect();
        who.sort_unstable();
        for &who in &who {
            free[who] = start + minutes;
        }
        tasks.push(Planned {
            act: *act,
            start: *start,
            end: start + minutes,
            who: who.iter().map(number).collect(),
            after: Vec::new(),
        });
    }
    debug_assert!(tasks.iter().zip(&work).all(|(task, (.., crew))| task.who.len() == usize::from(*crew)));
    debug_assert!(fits_board(problem, calendar, &work));
    wait(problem, &mut tasks);
    tasks
}

/// The move on the same core that ends when this one begins.
fn before_on_core(problem: &Problem, work: &[(Act, u32, u32, u16)], act: Act, start: u32) -> Option<Act> {
    let Act::Move(line) = act else { return None };
    let core = problem.lines[line].core?;
    let before = |(act, from, minutes, _): &&(Act, u32, u32, u16)| {
        matches!(act, Act::Move(other) if problem.lines[*other].core == Some(core)) && from + minutes == start
    };
    work.iter().find(before).map(|(act, ..)| *act)
}

/// Whether no minute asks for more technicians than there are.
fn fits_board(problem: &Problem, calendar: &Calendar, work: &[(Act, u32, u32, u16)]) -> bool {
    let mut board = Board::new(calendar, problem.crew);
    work.iter().filter(|(_, _, minutes, _)| *minutes > 0).all(|&(_, start, minutes, crew)| {
        let fits = board.earliest(calendar, start, start + minutes, minutes, crew) == Some(start);
        if fits {
            board.take(start, minutes, crew);
        }
        fits
    })
}

/// What each task waits for.
fn wait(problem: &Problem, tasks: &mut [Planned]) {
    let place: std::collections::BTreeMap<Act, usize> =
        tasks.iter().enumerate().map(|(at, task)| (task.act, at)).collect();
    let fire = |line: usize| problem.lines[line].fire;
    let lines = || 0..problem.lines.len();
    let waits = |act: Act| -> Vec<Act> {
        match act {
            Act::Prepare(0, _, 0) => Vec::new(),
            Act::Prepare(stage, _, 0) => lasts(&problem.before, stage - 1, Act::Prepare),
            Act::Prepare(stage, chain, at) => vec![Act::Prepare(stage, chain, at - 1)],
            Act::Gate => {
                (0..problem.before.len()).flat_map(|at| lasts(&problem.before, at, Act::Prepare)).collect()
            }
            Act::Lift(_) | Act::Move(_) => vec![Act::Gate],
            Act::Lifted => lines().map(Act::Lift).collect(),
            Act::Land(line) if fire(line) => vec![Act::Lifted],
            Act::Land(_) => vec![Act::Lifted, Act::FireLanded],
            Act::FireLanded => lines().filter(|line| fire(*line)).map(Act::Land).collect(),
            Act::Wake(module) => {
                lines().filter(|line| problem.lines[*line].module == module).map(Act::Land).collect()
            }
            Act::Prove(line) if fire(line) => vec![Act::Wake(problem.lines[line].module)],
            Act::Prove(line) => vec![Act::Wake(problem.lines[line].module), Act::FireProven],
            Act::FireProven => lines().filter(|line| fire(*line)).map(Act::Prove).collect(),
            Act::Proven => lines().flat_map(|line| [Act::Prove(line), Act::Move(line)]).collect(),
            Act::Finish(0, _, 0) => vec![Act::Proven],
            Act::Finish(stage, _, 0) => {
                let mut waits = lasts(&problem.after, stage - 1, Act::Finish);
                waits.push(Act::Proven);
                waits
            }
            Act::Finish(stage, chain, at) => vec![Act::Finish(stage, chain, at - 1)],
        }
    };
    let work: Vec<(Act, u32, u32, u16)> =
        tasks.iter().map(|task| (task.act, task.start, task.end - task.start, 0)).collect();
    for task in tasks.iter_mut() {
        let acts = waits(task.act).into_iter().chain(before_on_core(problem, &work, task.act, task.start));
        task.after = acts.filter_map(|act| place.get(&act).copied()).collect();
    }
}

/// The last task of every chain of a stage.
fn lasts(stages: &[Vec<Chain>], stage: usize, act: fn(usize, usize, usize) -> Act) -> Vec<Act> {
    let last = |(at, chain): (usize, &Chain)| Some(act(stage, at, chain.tasks.len().checked_sub(1)?));
    stages[stage].iter().enumerate().filter_map(last).collect()
}
