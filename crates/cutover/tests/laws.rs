//! What holds of every plan: precedence, crew, hours, limits; and how plans answer to more crew and longer work.

mod common;

use common::{Size, holds, work};
use cutover::{Line, Module, NoPlan, Presence, Problem, Status, Way, Window, plan};
use proptest::prelude::*;

const SMALL: Size = Size { lines: 4, minutes: 5, windows: 4, window: 30, chains: 3 };
const LARGER: Size = Size { lines: 20, minutes: 15, windows: 6, window: 200, chains: 5 };

/// Minutes over the limit, then exposure; none where it is not proven. Without closing work: that is placed when all is
/// proven, and a plan of less exposure may leave no hours for it. Nor where fire circuits go over in parts: a block that no
/// hours hold is broken up, and its parts may find cheaper hours than the whole.
fn best(problem: &Problem) -> Option<Result<(u32, u64), NoPlan>> {
    match plan(&Problem { after: Vec::new(), ..problem.clone() }) {
        Ok(plan) if plan.status == Status::Optimal && !plan.fire_in_parts => {
            Some(Ok((plan.over_limit, plan.exposure)))
        }
        Ok(_) => None,
        Err(error) => Some(Err(error)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn every_plan_keeps_precedence_crew_hours_and_limits(problem in work(SMALL)) {
        if let Ok(plan) = plan(&problem) {
            holds(&problem, &plan);
        }
    }

    #[test]
    fn so_do_larger_ones_with_few_nodes(mut problem in work(LARGER), nodes in 0..20_000_u64) {
        problem.nodes = nodes;
        if let Ok(plan) = plan(&problem) {
            holds(&problem, &plan);
        }
    }

    /// One more technician.
    #[test]
    fn more_crew_never_raises_exposure(problem in work(SMALL)) {
        let mut more = problem.clone();
        more.crew += 1;
        if let (Some(Ok(few)), Some(many)) = (best(&problem), best(&more)) {
            let many = many.expect("what fits with fewer fits with more");
            prop_assert!(many <= few, "{many:?} with one more, {few:?} without");
        }
    }

    /// Any one duration doubled, of circuits, modules and preparations.
    #[test]
    fn a_doubled_duration_never_lowers_exposure(problem in work(SMALL), which in any::<prop::sample::Index>()) {
        let mut longer = problem.clone();
        let mut minutes: Vec<&mut u32> = Vec::new();
        for line in &mut longer.lines {
            minutes.extend([&mut line.lift, &mut line.land, &mut line.prove]);
        }
        minutes.extend(longer.modules.iter_mut().map(|module| &mut module.wake));
        minutes.extend(longer.before.iter_mut().flatten().flat_map(|chain| &mut chain.tasks).map(|task| &mut task.minutes));
        let at = which.index(minutes.len());
        *minutes[at] *= 2;
        if let (Some(short), Some(Ok(long))) = (best(&problem), best(&longer)) {
            let short = short.expect("what fits when longer fits when shorter");
            prop_assert!(long >= short, "{long:?} doubled, {short:?} before");
        }
    }

    #[test]
    fn the_same_work_gives_the_same_plan(problem in work(SMALL)) {
        prop_assert_eq!(plan(&problem), plan(&problem));
    }
}

/// C01 and C02 share a core, C03 is alone. Fire goes first of the two, and both are dead from its lift.
#[test]
fn what_shares_a_core_is_dead_from_the_first_lift() {
    let line = |tag: &str, fire: bool, core: Option<usize>| Line {
        tag: tag.to_owned(),
        module: 0,
        fire,
        weight: if fire { 10 } else { 1 },
        weight_occupied: if fire { 10 } else { 1 },
        lift: 1,
        land: 4,
        prove: 5,
        crew: 1,
        core,
    };
    let problem = Problem {
        way: Way::SideBySide,
        crew: 2,
        windows: vec![Window { from: 0, to: 100, presence: Presence::Empty }],
        before: Vec::new(),
        modules: vec![Module { tag: "M1".to_owned(), wake: 5 }],
        lines: vec![line("C01", false, Some(7)), line("C02", true, Some(7)), line("C03", false, None)],
        after: Vec::new(),
        fire_hours: None,
        limit: Some(5),
        nodes: 100_000,
    };
    let plan = plan(&problem).expect("a plan");
    holds(&problem, &plan);
    assert_eq!(plan.dead[0].0, plan.dead[1].0, "one lift takes the core from both");
    assert_eq!(plan.dead[0].1, plan.dead[1].1 + 10, "each is back with its own proof");
    assert_eq!(plan.exposure, 10 * 10 + 20 + 10);
    assert_eq!((plan.outage.worst, plan.over_limit), (10, 5));
}
