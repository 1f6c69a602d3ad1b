//! A cut-over of the example's size and of a campus, both ways.

use cutover::{Chain, Line, Module, Plan, Presence, Problem, Task, Way, Window, plan};

fn main() {
    divan::main();
}

/// Invented work from a seed: modules of 16, one circuit in twelve for fire.
fn work(way: Way, lines: usize, crew: u16, nodes: u64) -> Problem {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut draw = move |least: u32, most: u32| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        least + u32::try_from(state % u64::from(most - least + 1)).expect("small")
    };
    let modules = lines.div_ceil(16);
    let line = |at: usize| {
        let fire = at % 12 == 11;
        Line {
            tag: format!("C{:03}", at + 1),
            module: at / 16,
            fire,
            weight: if fire { 10 } else { draw(1, 4) },
            weight_occupied: if fire { 10 } else { 1 },
            lift: 2,
            land: draw(6, 9) + if draw(0, 9) == 0 { draw(15, 40) } else { 0 },
            prove: if fire { draw(9, 20) } else { draw(5, 9) },
            crew: 1,
            core: None,
        }
    };
    let lines: Vec<Line> = (0..lines).map(line).collect();
    let chain = |at: usize| Chain {
        tasks: vec![Task { tag: format!("M{at}"), minutes: 40 }, Task { tag: format!("M{at}"), minutes: 10 }],
    };
    let day = |day: u32| {
        let from = day * 1440;
        [
            Window { from, to: from + 540, presence: Presence::Occupied },
            Window { from: from + 600, to: from + 840, presence: Presence::Empty },
        ]
    };
    Problem {
        way,
        crew,
        windows: (0..30).flat_map(day).collect(),
        before: vec![(0..modules).map(chain).collect()],
        modules: (0..modules).map(|at| Module { tag: format!("M{at}"), wake: 30 }).collect(),
        lines,
        after: vec![(0..modules).map(chain).collect()],
        fire_hours: Some(Presence::Empty),
        limit: Some(240),
        nodes,
    }
}

#[divan::bench]
fn demo_side_by_side() -> Plan {
    plan(&work(Way::SideBySide, 36, 2, 400_000)).expect("a plan")
}

#[divan::bench(sample_count = 5)]
fn demo_swap() -> Plan {
    plan(&work(Way::Swap, 36, 2, 400_000)).expect("a plan")
}

#[divan::bench(sample_count = 2)]
fn campus_side_by_side() -> Plan {
    plan(&work(Way::SideBySide, 480, 6, 400_000)).expect("a plan")
}

#[divan::bench(sample_count = 2)]
fn campus_swap() -> Plan {
    plan(&work(Way::Swap, 480, 6, 400_000)).expect("a plan")
}
