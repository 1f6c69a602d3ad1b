//! A conflict cannot be met, it can be met without any one of its demands, and nothing smaller is one.

mod common;

use std::collections::BTreeSet;

use allocate::{DemandOf, Limits, Problem, Status, allocate};
use common::instances::{Shape, random};

/// The problem with these demands and no other, written down again without the engine.
fn only(problem: &Problem, asked: &BTreeSet<DemandOf>) -> Problem {
    let keep = |demand: DemandOf| asked.contains(&demand);
    let mut left = problem.clone();
    for (index, circuit) in left.circuits.iter_mut().enumerate() {
        circuit.pin = circuit.pin.filter(|_| keep(DemandOf::Pin(index)));
        circuit.zone = circuit.zone.filter(|_| keep(DemandOf::Zone(index)));
        circuit.commons = circuit.commons.take().filter(|name| keep(DemandOf::Commons(name.clone())));
    }
    let circuits = std::mem::take(&mut left.circuits);
    let kept = circuits.into_iter().enumerate().filter(|(index, _)| keep(DemandOf::Circuit(*index)));
    left.circuits = kept.map(|(_, circuit)| circuit).collect();
    for (index, module) in left.existing.iter_mut().enumerate() {
        module.mode = module.mode.filter(|_| keep(DemandOf::Mode(index)));
    }
    for (index, enclosure) in left.enclosures.iter_mut().enumerate() {
        enclosure.positions = enclosure.positions.filter(|_| keep(DemandOf::Positions(index)));
        enclosure.spare = if keep(DemandOf::Spare(index)) { enclosure.spare } else { 0 };
    }
    left.spare = if keep(DemandOf::SpareOfJob) { left.spare } else { 0 };
    left.panel.zones = left.panel.zones.filter(|_| keep(DemandOf::PanelZones));
    left.panel.modules = left.panel.modules.filter(|_| keep(DemandOf::PanelModules));
    for (index, offer) in left.offers.iter_mut().enumerate() {
        offer.most = offer.most.filter(|most| *most == 0 || keep(DemandOf::Most(index)));
    }
    left
}

/// Everything that the problem asks for.
fn universe(problem: &Problem) -> Vec<DemandOf> {
    let mut all = Vec::new();
    for (index, circuit) in problem.circuits.iter().enumerate() {
        all.push(DemandOf::Circuit(index));
        all.extend(circuit.pin.map(|_| DemandOf::Pin(index)));
        all.extend(circuit.zone.map(|_| DemandOf::Zone(index)));
        all.extend(circuit.commons.clone().map(DemandOf::Commons));
    }
    all.extend((0..problem.existing.len()).map(DemandOf::Mode));
    all.extend((0..problem.enclosures.len()).flat_map(|e| [DemandOf::Positions(e), DemandOf::Spare(e)]));
    all.extend([DemandOf::SpareOfJob, DemandOf::PanelZones, DemandOf::PanelModules]);
    all.extend((0..problem.offers.len()).map(DemandOf::Most));
    all.sort();
    all.dedup();
    all
}

fn can_be(problem: &Problem, asked: &BTreeSet<DemandOf>) -> bool {
    match allocate(&only(problem, asked), &Limits { nodes: 20_000, stop: &|| false }).status {
        Status::Optimal | Status::Feasible => true,
        Status::Infeasible => false,
        Status::Unknown => panic!("a small question stays open"),
    }
}

/// Whether some set of `size` demands, with those chosen, cannot be met.
fn some_conflict(problem: &Problem, all: &[DemandOf], size: usize, chosen: &mut BTreeSet<DemandOf>) -> bool {
    if chosen.len() == size {
        return !can_be(problem, chosen);
    }
    (0..all.len()).any(|at| {
        chosen.insert(all[at].clone());
        let found = some_conflict(problem, &all[at + 1..], size, chosen);
        chosen.remove(&all[at]);
        found
    })
}

/// Every conflict is one, and needs each of its demands.
#[test]
fn drop_any_one_demand_and_the_rest_can_be() {
    let shape = Shape { circuits: 14, enclosures: 3, inputs: 6, existing: 3, wishes: 40 };
    let mut conflicts = 0;
    for seed in 30_000..30_160 {
        let problem = random(seed, shape);
        let answer = allocate(&problem, &Limits { nodes: 20_000, stop: &|| false });
        let Some(conflict) = answer.conflict else { continue };
        conflicts += 1;
        assert!(conflict.irreducible);
        let demands: BTreeSet<DemandOf> = conflict.demands.iter().map(|demand| demand.of.clone()).collect();
        assert_eq!(demands.len(), conflict.demands.len());
        assert!(!can_be(&problem, &demands), "seed {seed}: {}", conflict.words);
        for demand in &demands {
            let mut without = demands.clone();
            without.remove(demand);
            assert!(
                can_be(&problem, &without),
                "seed {seed}: {demand:?} is not needed in: {}",
                conflict.words
            );
        }
    }
    assert!(conflicts > 50, "{conflicts} conflicts");
}

/// Brute force over every smaller set, on instances of up to 40 demands.
#[test]
fn no_smaller_set_is_a_conflict() {
    let shape = Shape { circuits: 6, enclosures: 2, inputs: 4, existing: 2, wishes: 35 };
    let (mut proven, mut largest) = (0, 0);
    for seed in 40_000..40_200 {
        let problem = random(seed, shape);
        let all = universe(&problem);
        let answer = allocate(&problem, &Limits { nodes: 20_000, stop: &|| false });
        let Some(conflict) = answer.conflict.filter(|_| all.len() <= 40) else { continue };
        assert!(conflict.smallest, "seed {seed}: {}", conflict.words);
        let size = conflict.demands.len();
        if size > 4 {
            continue;
        }
        proven += 1;
        largest = largest.max(size);
        // A conflict stays one when a demand is added, so the sets of one less say it for all smaller ones.
        let smaller = size > 0 && some_conflict(&problem, &all, size - 1, &mut BTreeSet::new());
        assert!(!smaller, "seed {seed}: something smaller than: {}", conflict.words);
    }
    assert!(proven > 40 && largest >= 3, "{proven} conflicts of up to {largest} demands");
}
