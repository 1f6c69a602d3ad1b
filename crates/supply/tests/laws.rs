//! Laws of the solver on made-up trees, and against a second method: the sweep from above, step by step.

use proptest::prelude::*;
use supply::{Draw, Solver, Tree};

/// A tree in the making: for each point its parent (taken modulo what stands there), its run, its loads.
type Made = Vec<(usize, f64, f64, f64, f64)>;

fn made(most: usize) -> impl Strategy<Value = Made> {
    let point = (any::<usize>(), 0.0..2.0_f64, 0.0..0.02_f64, 0.0..0.2_f64, 0.0..1.5_f64);
    prop::collection::vec(point, 1..most)
}

fn tree(made: &Made, source_ohms: f64) -> Tree {
    let mut tree = Tree::new(source_ohms);
    for (parent, ohms, siemens, amperes, watts) in made {
        let at = tree.point(parent % tree.len(), *ohms);
        tree.load(at, Draw { siemens: *siemens, amperes: *amperes, watts: *watts });
    }
    tree
}

/// The same by nothing but repeated sweeps from the source's volts down: falls to the greatest solution, slowly. None
/// where a voltage falls to nothing.
fn by_sweeps(tree: &Tree, source: f64) -> Option<Vec<f64>> {
    let points = tree.len();
    let mut volts = vec![source; points];
    for _ in 0..200_000 {
        let mut current: Vec<f64> = (0..points).map(|at| tree.draw(at).at(volts[at])).collect();
        for at in (1..points).rev() {
            let through = current[at];
            current[tree.parent(at)] += through;
        }
        let mut moved = 0.0_f64;
        for at in 0..points {
            let before = if at == 0 { source } else { volts[tree.parent(at)] };
            let now = before - tree.ohms(at) * current[at];
            if now <= 0.0 {
                return None;
            }
            moved = moved.max((volts[at] - now).abs());
            volts[at] = now;
        }
        if moved < 1e-14 * source {
            return Some(volts);
        }
    }
    None
}

fn solved(tree: &Tree, source: f64) -> Option<Vec<f64>> {
    let mut solver = Solver::new();
    solver.solve(tree, source).ok().map(|()| solver.volts().to_vec())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// The sweep needs resistances small enough to converge for conductances, so those are left out here.
    #[test]
    fn newton_finds_the_solution_that_sweeps_from_above_fall_to(made in made(12), ohms in 0.0..0.5_f64) {
        let made: Made = made.into_iter().map(|(p, r, _, i, w)| (p, r, 0.0, i, w)).collect();
        let tree = tree(&made, ohms);
        match (solved(&tree, 13.0), by_sweeps(&tree, 13.0)) {
            (Some(ours), Some(theirs)) => {
                for (one, other) in ours.iter().zip(&theirs) {
                    prop_assert!((one - other).abs() < 1e-8, "{one} {other}");
                }
            }
            (None, None) => {}
            // So near the edge that the sweep needs more than its steps: there it crawls.
            (Some(_), None) => prop_assert!(solved_share(&tree, 1.0 + 1e-6).is_none()),
            (None, Some(_)) => prop_assert!(false, "a solution was missed"),
        }
    }

    #[test]
    fn the_source_gives_what_loads_take_and_runs_lose(made in made(60), ohms in 0.0..0.5_f64) {
        let tree = tree(&made, ohms);
        let mut solver = Solver::new();
        if solver.solve(&tree, 13.0).is_ok() {
            let balance = solver.balance(&tree);
            let given = 13.0 * solver.amperes()[0];
            prop_assert!((balance.loads_w + balance.lost_w - given).abs() < 1e-9 * given.max(1.0));
        }
    }

    #[test]
    fn more_resistance_never_raises_a_voltage_beyond_it(made in made(30), at in any::<usize>(), more in 0.0..1.0_f64) {
        let before = tree(&made, 0.1);
        let at = 1 + at % (before.len() - 1);
        let mut after = before.clone();
        after.set_ohms(at, before.ohms(at) + more);
        let (Some(one), other) = (solved(&before, 13.0), solved(&after, 13.0)) else { return Ok(()) };
        let Some(other) = other else { return Ok(()) };
        let beyond = |mut point: usize| loop {
            if point == at { return true }
            if point == 0 { return false }
            point = before.parent(point);
        };
        let resistive = made.iter().any(|(_, _, siemens, _, _)| *siemens > 0.0);
        for point in 0..before.len() {
            if beyond(point) || !resistive {
                prop_assert!(other[point] <= one[point] + 1e-9, "{point}: {} {}", one[point], other[point]);
            }
        }
    }

    #[test]
    fn with_constant_currents_and_powers_more_resistance_raises_nothing_anywhere(made in made(30), at in any::<usize>(), more in 0.0..1.0_f64) {
        let made: Made = made.into_iter().map(|(p, r, _, i, w)| (p, r, 0.0, i, w)).collect();
        let before = tree(&made, 0.1);
        let mut after = before.clone();
        let at = at % before.len();
        after.set_ohms(at, before.ohms(at) + more);
        let (one, other) = (solved(&before, 13.0), solved(&after, 13.0));
        // What collapses with less resistance collapses with more.
        prop_assert!(one.is_some() || other.is_none());
        if let (Some(one), Some(other)) = (one, other) {
            for (one, other) in one.iter().zip(&other) {
                prop_assert!(other <= &(one + 1e-9));
            }
        }
    }

    #[test]
    fn volts_rise_with_the_source_and_fall_with_every_load(made in made(30), at in any::<usize>(), more in 0.0..0.5_f64) {
        let low = tree(&made, 0.1);
        let (one, raised) = (solved(&low, 12.0), solved(&low, 12.5));
        prop_assert!(one.is_none() || raised.is_some());
        let mut heavier = low.clone();
        heavier.load(at % low.len(), Draw { amperes: more, watts: more, siemens: 0.0 });
        let loaded = solved(&heavier, 12.0);
        prop_assert!(one.is_some() || loaded.is_none());
        if let (Some(one), Some(raised)) = (&one, &raised) {
            prop_assert!(one.iter().zip(raised).all(|(one, raised)| raised >= &(one - 1e-9)));
        }
        if let (Some(one), Some(loaded)) = (&one, &loaded) {
            prop_assert!(one.iter().zip(loaded).all(|(one, loaded)| loaded <= &(one + 1e-9)));
        }
    }

    /// At the edge found by halving, a little less still solves and a little more does not.
    #[test]
    fn a_collapse_is_told_exactly_where_none_exists(made in made(20)) {
        let tree = tree(&made, 0.2);
        if solved(&tree, 13.0).is_none() {
            let share = supply::bearable_share(&tree, 13.0);
            prop_assert!(share < 1.0);
            prop_assert!(solved_share(&tree, share).is_some());
            prop_assert!(solved_share(&tree, share + 3e-6).is_none());
        }
    }

    /// Beginning at an earlier solution gives the same as beginning at the source.
    #[test]
    fn going_on_is_beginning_again(made in made(30), fall in 0.0..1.0_f64) {
        let tree = tree(&made, 0.1);
        let mut solver = Solver::new();
        if solver.solve(&tree, 13.0).is_ok() {
            let on = solver.go_on(&tree, 13.0 - fall).is_ok().then(|| solver.volts().to_vec());
            let again = solved(&tree, 13.0 - fall);
            prop_assert_eq!(on.is_some(), again.is_some());
            if let (Some(on), Some(again)) = (on, again) {
                prop_assert!(on.iter().zip(&again).all(|(one, other)| (one - other).abs() < 1e-9));
            }
        }
    }
}

/// The tree with its currents and powers times a share.
fn solved_share(tree: &Tree, share: f64) -> Option<Vec<f64>> {
    let mut part = tree.clone();
    part.unload();
    for at in 0..tree.len() {
        let draw = tree.draw(at);
        part.load(
            at,
            Draw { siemens: draw.siemens, amperes: draw.amperes * share, watts: draw.watts * share },
        );
    }
    solved(&part, 13.0)
}
