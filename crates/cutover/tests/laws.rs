//! What holds of every plan: precedence, crew, hours, limits; and how plans answer to more crew and longer work.

mod common;

use common::{Size, holds, work};
use cutover::{NoPlan, Problem, Status, plan};
use proptest::prelude::*;

const SMALL: Size = Size { lines: 4, minutes: 5, windows: 4, window: 30, chains: 3 };
const LARGER: Size = Size { lines: 20, minutes: 15, windows: 6, window: 200, chains: 5 };

/// Minutes over the limit, then exposure; none where it is not proven. Without closing work: that is placed when all is
/// proven, and a plan of less exposure may leave no hours for it.
fn best(problem: &Problem) -> Option<Result<(u32, u64), NoPlan>> {
    match plan(&Problem { after: Vec::new(), ..problem.clone() }) {
        Ok(plan) if plan.status == Status::Optimal => Some(Ok((plan.over_limit, plan.exposure))),
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
