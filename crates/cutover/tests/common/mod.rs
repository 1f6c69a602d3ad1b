//! Random work, and what must hold of any plan, written without the engine's own sums.

use cutover::{Act, Chain, Line, Module, Out, Plan, Planned, Presence, Problem, Task, Way, Window};
use proptest::prelude::*;

/// Sizes of random work.
#[derive(Clone, Copy)]
pub(crate) struct Size {
    pub(crate) lines: usize,
    pub(crate) minutes: u32,
    pub(crate) windows: usize,
    pub(crate) window: u32,
    pub(crate) chains: usize,
}

fn line(size: Size) -> impl Strategy<Value = Line> {
    let minutes = 1..=size.minutes;
    (
        0..3_usize,
        any::<u8>(),
        (1..=20_u32, 0..=20_u32),
        minutes.clone(),
        minutes.clone(),
        minutes,
        (1..=2_u16, any::<u8>()),
    )
        .prop_map(|(module, fire, (weight, occupied), lift, land, prove, (crew, core))| Line {
            tag: String::new(),
            module,
            fire: fire % 4 == 0,
            weight,
            weight_occupied: occupied,
            lift: lift.div_ceil(2),
            land,
            prove,
            crew,
            core: (core % 3 == 0).then_some(usize::from(core / 128)),
        })
}

fn windows(size: Size) -> impl Strategy<Value = Vec<Window>> {
    let one = (0..=size.window, size.window / 2..=size.window, any::<bool>());
    proptest::collection::vec(one, 1..=size.windows).prop_map(|parts| {
        let mut at = 0;
        let mut windows = Vec::new();
        for (gap, long, occupied) in parts {
            // Every third touches the one before.
            let from = at + if gap % 3 == 0 { 0 } else { gap };
            let presence = if occupied { Presence::Occupied } else { Presence::Empty };
            windows.push(Window { from, to: from + long.max(1), presence });
            at = from + long.max(1);
        }
        windows
    })
}

pub(crate) fn work(size: Size) -> impl Strategy<Value = Problem> {
    let lines = proptest::collection::vec(line(size), 0..=size.lines);
    let chain = proptest::collection::vec(1..=size.minutes, 1..3);
    let chains = proptest::collection::vec(chain, 0..=size.chains);
    let wakes = proptest::collection::vec(1..=size.minutes, 3);
    let limit = proptest::option::of(1..=4 * size.minutes);
    (any::<bool>(), 1..=3_u16, windows(size), lines, chains, wakes, limit, any::<bool>()).prop_map(
        |(swap, crew, windows, mut lines, chains, wakes, limit, quiet)| {
            for (at, line) in lines.iter_mut().enumerate() {
                line.tag = format!("C{:02}", at + 1);
                line.crew = line.crew.min(crew);
            }
            let chain = |(at, minutes): (usize, Vec<u32>)| Chain {
                tasks: minutes.into_iter().map(|minutes| Task { tag: format!("P{at}"), minutes }).collect(),
            };
            let chains: Vec<Chain> = chains.into_iter().enumerate().map(chain).collect();
            let before: Vec<Vec<Chain>> = chains.chunks(2).map(<[Chain]>::to_vec).collect();
            Problem {
                way: if swap { Way::Swap } else { Way::SideBySide },
                crew,
                windows,
                after: before.iter().take(1).cloned().collect(),
                before,
                modules: wakes
                    .into_iter()
                    .enumerate()
                    .map(|(at, wake)| Module { tag: format!("M{}", at + 1), wake })
                    .collect(),
                lines,
                fire_hours: quiet.then_some(Presence::Empty),
                limit,
                nodes: 3_000_000,
            }
        },
    )
}

fn crew_of(problem: &Problem, act: Act) -> usize {
    match act {
        Act::Prove(line) | Act::Move(line) => usize::from(problem.lines[line].crew),
        Act::Gate | Act::Lifted | Act::FireLanded | Act::FireProven | Act::Proven => 0,
        _ => 1,
    }
}

fn minutes_of(problem: &Problem, act: Act) -> u32 {
    match act {
        Act::Prepare(stage, chain, at) => problem.before[stage][chain].tasks[at].minutes,
        Act::Finish(stage, chain, at) => problem.after[stage][chain].tasks[at].minutes,
        Act::Lift(line) => problem.lines[line].lift,
        Act::Land(line) => problem.lines[line].land,
        Act::Prove(line) => problem.lines[line].prove,
        Act::Move(line) => problem.lines[line].moves(),
        Act::Wake(module) => problem.modules[module].wake,
        _ => 0,
    }
}

/// What a circuit costs, minute by minute.
pub(crate) fn cost(problem: &Problem, line: usize, from: u32, to: u32) -> u64 {
    let line = &problem.lines[line];
    let occupied = |minute: u32| {
        let of = |window: &Window| (window.from..window.to).contains(&minute);
        problem.windows.iter().find(|window| of(window)).is_some_and(|w| w.presence == Presence::Occupied)
    };
    (from..to).map(|at| u64::from(if occupied(at) { line.weight_occupied } else { line.weight })).sum()
}

/// The circuits that share a core with one, itself among them.
pub(crate) fn on_core(problem: &Problem, line: usize) -> Vec<usize> {
    let core = problem.lines[line].core;
    let shares = |other: &usize| *other == line || core.is_some() && problem.lines[*other].core == core;
    (0..problem.lines.len()).filter(shares).collect()
}

/// Everything that must hold of a plan.
pub(crate) fn holds(problem: &Problem, plan: &Plan) {
    let find = |act: Act| -> &Planned {
        let found: Vec<&Planned> = plan.tasks.iter().filter(|task| task.act == act).collect();
        assert_eq!(found.len(), 1, "{act:?} stands once");
        found[0]
    };
    for task in &plan.tasks {
        assert_eq!(task.end - task.start, minutes_of(problem, task.act), "{:?}", task.act);
        assert_eq!(task.who.len(), crew_of(problem, task.act));
        assert!(task.who.iter().all(|who| (1..=problem.crew).contains(who)));
        assert!(task.after.iter().all(|before| plan.tasks[*before].end <= task.start), "{task:?}");
        for minute in task.start..task.end {
            let open = problem.windows.iter().any(|window| (window.from..window.to).contains(&minute));
            assert!(open, "{:?} outside the hours at {minute}", task.act);
        }
    }
    for (at, task) in plan.tasks.iter().enumerate() {
        for other in &plan.tasks[at + 1..] {
            let at_once = task.start < other.end && other.start < task.end;
            assert!(!at_once || !task.who.iter().any(|who| other.who.contains(who)), "{task:?} {other:?}");
        }
    }
    let gate = find(Act::Gate);
    let fire: Vec<usize> = (0..problem.lines.len()).filter(|line| problem.lines[*line].fire).collect();
    let mut dead = Vec::new();
    stages(&problem.before, &find, Act::Prepare, 0, gate.start);
    match problem.way {
        Way::SideBySide => {
            for line in 0..problem.lines.len() {
                let moved = find(Act::Move(line));
                assert!(moved.start >= gate.start);
                let together: Vec<usize> = on_core(problem, line);
                let spans: Vec<(u32, u32)> =
                    together.iter().map(|line| find(Act::Move(*line))).map(|it| (it.start, it.end)).collect();
                let first = spans.iter().map(|(from, _)| *from).min().unwrap_or(0);
                let last = spans.iter().map(|(_, to)| *to).max().unwrap_or(0);
                // One right after the other, and fire before others.
                assert_eq!(last - first, spans.iter().map(|(from, to)| to - from).sum::<u32>());
                for other in together {
                    let fire = |line: usize| problem.lines[line].fire;
                    assert!(!fire(line) || fire(other) || moved.start < find(Act::Move(other)).start);
                }
                dead.push((first, moved.end));
            }
            side(problem, plan, &fire, &dead);
        }
        Way::Swap => swap(problem, &find, &fire, gate, &mut dead),
    }
    assert_eq!(plan.dead, dead);
    let sum: u64 = dead.iter().enumerate().map(|(line, (from, to))| cost(problem, line, *from, *to)).sum();
    assert_eq!(plan.exposure, sum);
    assert!(plan.bound <= plan.exposure);
    let proven = dead.iter().map(|(_, to)| *to).max().unwrap_or(gate.start);
    stages(&problem.after, &find, Act::Finish, proven, plan.end);
    limits(problem, plan, &fire, &dead);
    curve(problem, plan, &dead);
}

/// Stages one after the other, chains in their order.
fn stages<'p>(
    stages: &[Vec<Chain>],
    find: &dyn Fn(Act) -> &'p Planned,
    act: fn(usize, usize, usize) -> Act,
    from: u32,
    to: u32,
) {
    let mut ended = from;
    for (stage, chains) in stages.iter().enumerate() {
        let mut end = ended;
        for (chain, one) in chains.iter().enumerate() {
            let mut last = ended;
            for at in 0..one.tasks.len() {
                let task = find(act(stage, chain, at));
                assert!(task.start >= last && task.end <= to);
                last = task.end;
            }
            end = end.max(last);
        }
        ended = end;
    }
}

fn side(problem: &Problem, plan: &Plan, fire: &[usize], dead: &[(u32, u32)]) {
    for (line, (from, to)) in dead.iter().enumerate() {
        let inside = |window: &Window| {
            let fire = on_core(problem, line).into_iter().any(|line| problem.lines[line].fire);
            let hours = problem.fire_hours.filter(|_| fire);
            window.from <= *from && *to <= window.to && hours.is_none_or(|hours| hours == window.presence)
        };
        assert!(problem.windows.iter().any(inside), "in one window that it may be in");
    }
    if plan.fire_in_parts || fire.is_empty() {
        return;
    }
    // One unbroken block: somebody is at a fire circuit in each of its minutes, or at one that shares a core with such;
    // and nobody at another circuit.
    let fire: Vec<usize> = fire.iter().flat_map(|line| on_core(problem, *line)).collect();
    let from = fire.iter().map(|line| dead[*line].0).min().unwrap_or(0);
    let to = fire.iter().map(|line| dead[*line].1).max().unwrap_or(0);
    for minute in from..to {
        let at = |line: &usize| (dead[*line].0..dead[*line].1).contains(&minute);
        assert!(fire.iter().any(at));
        assert!((0..dead.len()).filter(at).all(|line| fire.contains(&line)));
    }
}

fn swap<'p>(
    problem: &Problem,
    find: &dyn Fn(Act) -> &'p Planned,
    fire: &[usize],
    gate: &Planned,
    dead: &mut Vec<(u32, u32)>,
) {
    let n = problem.lines.len();
    let Some(first) = (0..n).map(|line| find(Act::Lift(line)).start).min() else { return };
    let lifted = (0..n).map(|line| find(Act::Lift(line)).end).max().unwrap_or(0);
    assert!(first >= gate.start);
    let is_fire = |line: &usize| problem.lines[*line].fire;
    let last_other = (0..n).filter(|line| !is_fire(line)).map(|line| find(Act::Lift(line)).start).max();
    let fire_landed = fire.iter().map(|line| find(Act::Land(*line)).end).max().unwrap_or(0);
    let fire_proven = fire.iter().map(|line| find(Act::Prove(*line)).end).max().unwrap_or(0);
    for line in 0..n {
        let (lift, land, prove) = (find(Act::Lift(line)), find(Act::Land(line)), find(Act::Prove(line)));
        let wake = find(Act::Wake(problem.lines[line].module));
        assert!(land.start >= lifted && wake.start >= land.end && prove.start >= wake.end);
        if is_fire(&line) {
            assert!(last_other.is_none_or(|last| lift.start >= last), "lifted last");
        } else {
            assert!(land.start >= fire_landed && prove.start >= fire_proven, "fire landed and proven first");
        }
        dead.push((first, prove.end));
    }
}

/// Minutes of any fire circuit out, added up over each 24 h.
fn limits(problem: &Problem, plan: &Plan, fire: &[usize], dead: &[(u32, u32)]) {
    let out = |minute: u32| fire.iter().any(|line| (dead[*line].0..dead[*line].1).contains(&minute));
    let last = plan.end + 1;
    let minutes: Vec<u32> = (0..last + 1440).map(|minute| u32::from(out(minute))).collect();
    let mut sum: u32 = minutes[..1440].iter().sum();
    let mut worst = sum;
    for from in 0..last as usize {
        sum = sum + minutes[from + 1440] - minutes[from];
        worst = worst.max(sum);
    }
    assert_eq!(plan.outage.worst, worst);
    if let Some(limit) = problem.limit {
        // What is over within 24 h is told; an outage longer than a day may be told as longer than that.
        assert!(plan.over_limit >= worst.saturating_sub(limit));
        assert!(plan.over_limit > 0 || worst <= limit);
    }
    assert!(plan.outage.intervals.iter().all(|Out { from, to }| (*from..*to).all(out)));
}

fn curve(problem: &Problem, plan: &Plan, dead: &[(u32, u32)]) {
    for minute in 0..=plan.end {
        let is_dead = |line: &usize| (dead[*line].0..dead[*line].1).contains(&minute);
        let lines: Vec<usize> = (0..dead.len()).filter(is_dead).collect();
        let level = plan.curve.iter().rev().find(|level| level.at <= minute);
        let weight: u64 = lines.iter().map(|line| cost(problem, *line, minute, minute + 1)).sum();
        assert_eq!(level.map_or((0, 0), |level| (level.count, level.weight)), (lines.len(), weight));
        let told: Vec<(usize, u32)> =
            plan.unprotected_at(minute).iter().map(|one| (one.line, one.since)).collect();
        assert_eq!(told, lines.iter().map(|line| (*line, dead[*line].0)).collect::<Vec<_>>());
    }
}
