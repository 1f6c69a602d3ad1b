//! What holds for every instance, and the installation with two modules of one mode each.

mod common;

use allocate::{DemandOf, Effort, Existing, Limits, Problem, Status, Stopped, Unmet, allocate};
use common::instances::{Shape, building, campus, random, thirty_six, with_extensions};
use proptest::prelude::*;

const SHAPE: Shape = Shape { circuits: 24, enclosures: 3, inputs: 8, existing: 3, wishes: 30 };

fn solved(problem: &Problem) -> allocate::Allocation {
    allocate(problem, &Limits { nodes: 20_000, stop: &|| false })
}

/// Hand-worked: nine circuits carry another value than `fixed-2k2` asks for, the smoke circuit needs the one smoke input
/// of that mode, and any circuit reads right in `learned`. One module must be in `fixed-2k2`, for the smoke circuit; the
/// nine go on the other, which is free to be in `learned`, and no resistor is changed: cost 0.
#[test]
fn odd_resistors_go_on_the_module_that_need_not_keep_its_smoke_mode() {
    let problem = thirty_six();
    let answer = solved(&problem);
    common::check::holds(&problem, &answer);
    assert_eq!((answer.status, answer.cost), (Status::Optimal, 0));
    let smoke = answer.landed.iter().find(|one| problem.circuits[one.circuit].smoke).unwrap();
    assert_eq!(answer.modules[smoke.module].mode, Some(0));
    let odd: Vec<_> =
        answer.landed.iter().filter(|one| problem.circuits[one.circuit].fits[0].effort.seconds > 0).collect();
    assert_eq!(odd.len(), 9);
    for one in odd {
        assert_ne!(one.module, smoke.module);
        assert_eq!(answer.modules[one.module].mode, Some(1));
    }
}

/// Hand-worked: with both modules in `fixed-2k2` each of the nine is changed: 9 x (30 + 18 min at 60 an hour = 1800).
#[test]
fn a_module_that_keeps_its_mode_costs_what_has_to_be_changed_for_it() {
    let mut problem = thirty_six();
    problem.existing[0].mode = Some(0);
    problem.existing[1].mode = Some(0);
    let answer = solved(&problem);
    common::check::holds(&problem, &answer);
    assert_eq!((answer.status, answer.cost), (Status::Optimal, 9 * 1_830));
}

#[test]
fn the_other_mode_is_refused_with_its_reason() {
    let mut problem = thirty_six();
    problem.existing[0].mode = Some(1);
    problem.existing[1].mode = Some(1);
    let answer = solved(&problem);
    assert_eq!(answer.status, Status::Infeasible);
    let conflict = answer.conflict.unwrap();
    assert!(conflict.smallest);
    let demands: Vec<DemandOf> = conflict.demands.iter().map(|demand| demand.of.clone()).collect();
    assert_eq!(demands, [DemandOf::Circuit(35), DemandOf::Mode(0), DemandOf::Mode(1)]);
    assert_eq!(
        conflict.words,
        "C36 is a two-wire smoke circuit and ends in E1, and no input there can take it, because M1 is to keep the mode \
         learned and M2 is to keep the mode learned; M1 and M2 do not take C36 because it takes no two-wire smoke in learned"
    );
}

/// The sentence of the task: two modules with one smoke input each in E2, and three smoke circuits.
#[test]
fn too_many_smoke_circuits_are_counted_against_the_inputs_that_take_one() {
    let mut problem = thirty_six();
    problem.enclosures[0].id = "E2".into();
    problem.circuits[7].smoke = true;
    problem.circuits[11].smoke = true;
    let answer = solved(&problem);
    let conflict = answer.conflict.unwrap();
    assert!(conflict.smallest);
    assert_eq!(conflict.words, "3 smoke circuits end in E2, and 2 inputs there can take one");
    assert_eq!(conflict.demands.len(), 3);
    assert_eq!(conflict.demands[0].words, "C08 (two-wire smoke) ends in E2 and wants an input");
}

/// The order in which a job names its circuits, modules of the job and offers says nothing.
#[test]
fn the_order_of_the_job_does_not_matter() {
    for seed in 0..40 {
        let problem = random(5_000 + seed, SHAPE);
        let mut turned = problem.clone();
        turned.circuits.reverse();
        let (one, other) = (solved(&problem), solved(&turned));
        assert_eq!((one.status, one.cost), (other.status, other.cost));
        let told =
            |problem: &Problem, answer: &allocate::Allocation| -> Vec<(String, String, Vec<u16>, Vec<u32>)> {
                let of = |one: &allocate::Landed| {
                    let tag = problem.circuits[one.circuit].tag.clone();
                    (tag, answer.modules[one.module].id.clone(), one.inputs.clone(), one.zones.clone())
                };
                answer.landed.iter().map(of).collect()
            };
        assert_eq!(told(&problem, &one), told(&turned, &other), "seed {seed}");
    }
}

#[test]
fn the_large_ones_are_proven() {
    let two_hundred = building(200, 200, 4);
    for problem in [building(36, 36, 1), two_hundred.clone(), with_extensions(two_hundred, 1, 30), campus()] {
        let answer = solved(&problem);
        common::check::holds(&problem, &answer);
        assert_eq!((answer.status, answer.stopped), (Status::Optimal, Stopped::No));
    }
}

/// A clock that is over at once, and a count that ends in the middle: no answer claims more than was found.
#[test]
fn a_search_that_is_ended_says_so() {
    let problem = campus();
    let stopped = allocate(&problem, &Limits { nodes: 100_000, stop: &|| true });
    assert_eq!((stopped.status, stopped.stopped), (Status::Unknown, Stopped::Clock));
    let best = solved(&problem).cost;
    let mut feasible = 0;
    for nodes in [1, 20, 200, 1_000, 4_000, 8_000, 12_000] {
        let answer = allocate(&problem, &Limits { nodes, stop: &|| false });
        assert_eq!(
            answer,
            allocate(&problem, &Limits { nodes, stop: &|| false }),
            "the same count, the same answer"
        );
        assert!(answer.bound <= best);
        match answer.status {
            Status::Feasible => {
                feasible += 1;
                common::check::holds(&problem, &answer);
                assert_eq!(answer.stopped, Stopped::Nodes);
                assert!(answer.cost >= best);
            }
            Status::Unknown => assert_eq!(answer.stopped, Stopped::Nodes),
            Status::Optimal => assert_eq!(answer.cost, best),
            Status::Infeasible => panic!("there is an answer"),
        }
    }
    assert!(feasible > 0);
}

/// Modules without a price: the fewest are hung.
#[test]
fn modules_without_a_price_are_not_hung_for_nothing() {
    let mut problem = building(36, 30, 1);
    for offer in &mut problem.offers {
        offer.effort = Effort::default();
    }
    let answer = solved(&problem);
    common::check::holds(&problem, &answer);
    assert_eq!(answer.status, Status::Optimal);
    assert!(answer.modules.len() <= 4, "{} modules for 30 circuits", answer.modules.len());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, ..ProptestConfig::default() })]

    /// Inputs, smoke, modes, commons, budgets, pins, numbers and the sum of the cost: `common::check`.
    #[test]
    fn every_answer_keeps_everything(seed in any::<u64>(), fewest in any::<bool>()) {
        let mut problem = random(seed, SHAPE);
        problem.unmet = if fewest { Unmet::Fewest } else { Unmet::Never };
        let answer = solved(&problem);
        match answer.status {
            Status::Optimal | Status::Feasible => common::check::holds(&problem, &answer),
            Status::Infeasible => prop_assert!(answer.conflict.is_some()),
            Status::Unknown => prop_assert_eq!(answer.stopped, Stopped::Nodes),
        }
    }

    /// More inputs, in a larger module type or in one more module, never cost more.
    #[test]
    fn an_input_more_never_raises_the_cost(seed in any::<u64>(), which in 0_usize..8) {
        let problem = random(seed, SHAPE);
        let before = solved(&problem);
        prop_assume!(before.status == Status::Optimal);
        let mut larger = problem.clone();
        let used_inputs = |offer: usize| problem.offers[offer].zones == allocate::ZoneUse::UsedInputs;
        let offer = which % problem.offers.len();
        // Where the panel counts every input of a module, one more is one more zone: another matter.
        prop_assume!(used_inputs(offer));
        larger.offers[offer].inputs += 1;
        let after = solved(&larger);
        prop_assert_ne!(after.status, Status::Infeasible);
        prop_assert!(after.bound <= before.cost);
        prop_assert!(after.status != Status::Optimal || after.cost <= before.cost);
        let mut another = problem.clone();
        another.existing.push(Existing { id: "M99".into(), enclosure: 0, offer, mode: None });
        another.panel.modules = another.panel.modules.map(|modules| modules + 1);
        let after = solved(&another);
        prop_assert_ne!(after.status, Status::Infeasible);
        prop_assert!(after.bound <= before.cost);
        prop_assert!(after.status != Status::Optimal || after.cost <= before.cost);
    }
}
