//! Swaps of a handful of circuits, with as many nodes as the program gives by default: the first hours are nearly over
//! when the gate is reached, so a swap that begins there runs through the night.

use cutover::{Chain, Line, Module, Plan, Presence, Problem, Status, Task, Way, Window, plan};

/// The program's default.
const NODES: u64 = 300_000;

/// Fire or not, weight while empty and while occupied, landing, proof.
type Sizes = (bool, u32, u32, u32, u32);

fn swap(sizes: &[Sizes], crew: u16, windows: Vec<Window>, prepare: u32, limit: u32) -> Problem {
    let line = |(at, (fire, weight, weight_occupied, land, prove)): (usize, &Sizes)| Line {
        tag: format!("C{:02}", at + 1),
        module: 0,
        fire: *fire,
        weight: *weight,
        weight_occupied: *weight_occupied,
        lift: 2,
        land: *land,
        prove: *prove,
        crew: 1,
        core: None,
    };
    Problem {
        way: Way::Swap,
        crew,
        windows,
        before: vec![vec![Chain { tasks: vec![Task { tag: "M1".to_owned(), minutes: prepare }] }]],
        modules: vec![Module { tag: "M1".to_owned(), wake: 33 }],
        lines: sizes.iter().enumerate().map(line).collect(),
        after: Vec::new(),
        fire_hours: None,
        limit: Some(limit),
        nodes: NODES,
    }
}

const SEVEN: [Sizes; 7] = [
    (false, 1, 4, 7, 9),
    (false, 1, 1, 7, 9),
    (false, 1, 4, 7, 9),
    (false, 3, 1, 27, 9),
    (true, 8, 10, 7, 15),
    (true, 4, 10, 7, 15),
    (false, 1, 1, 27, 9),
];

fn seven(crew: u16) -> Problem {
    let day = |day: u32| Window { from: day * 1440, to: day * 1440 + 240, presence: Presence::Occupied };
    swap(&SEVEN, crew, (0..8).map(day).collect(), 152, 30)
}

fn planned(problem: &Problem) -> Plan {
    plan(problem).expect("a plan")
}

#[test]
fn three_technicians_wait_for_the_morning_as_two_do() {
    let plans: Vec<Plan> = (1..=8).map(|crew| planned(&seven(crew))).collect();
    for (crew, pair) in plans.windows(2).enumerate() {
        let [few, many] = pair else { unreachable!("pairs") };
        let score = |plan: &Plan| (plan.over_limit, plan.exposure);
        assert!(
            score(many) <= score(few),
            "{:?} with {}, {:?} with {}",
            score(many),
            crew + 2,
            score(few),
            crew + 1
        );
        assert!(many.exposure <= few.exposure, "here the limit asks for nothing else");
    }
    assert_eq!((plans[2].over_limit, plans[2].exposure), (58, 2845));
    assert!(plans[..3].iter().all(|plan| plan.status == Status::Optimal), "seven circuits are proven");
    assert!(plans.iter().all(|plan| plan.first_lift >= Some(1440)), "all begin in the morning");
}

#[test]
fn a_doubled_duration_never_helps() {
    let score = |plan: &Plan| (plan.over_limit, plan.exposure);
    let short = score(&planned(&seven(2)));
    for at in 0..2 * SEVEN.len() {
        let mut longer = seven(2);
        let line = &mut longer.lines[at / 2];
        *(if at % 2 == 0 { &mut line.land } else { &mut line.prove }) *= 2;
        let long = score(&planned(&longer));
        assert!(long >= short, "{long:?} doubled at {at}, {short:?} before");
    }
}

#[test]
fn five_circuits_are_proven() {
    let five = [
        (false, 3, 1, 7, 9),
        (true, 8, 10, 7, 15),
        (true, 4, 10, 7, 15),
        (false, 1, 4, 7, 9),
        (false, 3, 1, 7, 9),
    ];
    let windows = [(0, 240, false), (3420, 3430, true), (10020, 10320, false)].map(|(from, to, occupied)| {
        Window { from, to, presence: if occupied { Presence::Occupied } else { Presence::Empty } }
    });
    let plan = planned(&swap(&five, 50, windows.to_vec(), 140, 240));
    assert_eq!(plan.status, Status::Optimal, "{} of {}", plan.bound, plan.exposure);
}
