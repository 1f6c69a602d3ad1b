//! Instances with our answers and our times, as JSON, for the outside solver to look at: `oracles/allocate.py`.
#![expect(clippy::print_stdout, reason = "a tool for the tests: it prints")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::time::Instant;

use allocate::{Allocation, Effort, Limits, ModePer, Problem, Status, Unmet, ZoneUse, allocate};
use common::instances::{Shape, building, campus, random, thirty_six, with_extensions};
use serde_json::{Value, json};

fn main() {
    let small = Shape { circuits: 12, enclosures: 3, inputs: 8, existing: 3, wishes: 40 };
    let large = Shape { circuits: 60, enclosures: 4, inputs: 16, existing: 4, wishes: 30 };
    let calm = Shape { wishes: 8, ..large };
    let mut all: Vec<(String, Problem)> = Vec::new();
    for seed in 0..30 {
        all.push((format!("small {seed}"), random(70_000 + seed, small)));
    }
    // Wild ones often cannot be done at all; with fewer wishes, or with circuits left out, most can.
    for seed in 0..90 {
        let mut problem = random(90_000 + seed, if seed % 3 == 0 { large } else { calm });
        if seed % 3 == 2 {
            problem.unmet = Unmet::Fewest;
        }
        all.push((format!("up to 60 circuits {seed}"), problem));
    }
    all.push(("36 circuits".into(), thirty_six()));
    all.push(("36 circuits, modules to buy".into(), building(36, 36, 1)));
    all.push(("200 circuits, 4 enclosures".into(), building(200, 200, 4)));
    all.push(("200 circuits, cables may be longer".into(), with_extensions(building(201, 200, 4), 1, 30)));
    all.push(("campus, 480 circuits, 9 enclosures".into(), campus()));
    for (name, problem) in all {
        // Some of the wild ones stay open, as in the other solver; a smaller count keeps these short.
        let wild = name.starts_with("small") || name.starts_with("up to");
        let nodes = if wild { 4_000 } else { Limits::default().nodes };
        let begun = Instant::now();
        let answer = allocate(&problem, &Limits { nodes, stop: &|| false });
        let seconds = begun.elapsed().as_secs_f64();
        if answer.status != Status::Infeasible && answer.status != Status::Unknown {
            common::check::holds(&problem, &answer);
        }
        println!(
            "{}",
            json!({ "name": name, "problem": instance(&problem), "ours": ours(&answer, seconds) })
        );
    }
}

fn ours(answer: &Allocation, seconds: f64) -> Value {
    let status = match answer.status {
        Status::Optimal => "optimal",
        Status::Feasible => "feasible",
        Status::Infeasible => "infeasible",
        Status::Unknown => "unknown",
    };
    json!({
        "status": status, "cost": answer.cost, "bound": answer.bound, "unmet": answer.unmet.len(),
        "nodes": answer.nodes, "seconds": seconds,
        "conflict": answer.conflict.as_ref().map(|conflict| conflict.words.clone()),
    })
}

fn effort(effort: Effort) -> Value {
    json!({ "cents": effort.cents, "seconds": effort.seconds })
}

/// The instance in neutral terms.
fn instance(problem: &Problem) -> Value {
    let circuits = problem.circuits.iter().map(|c| {
        json!({
            "tag": c.tag, "ends_in": c.ends_in, "commons": c.commons, "zone": c.zone, "aux_ma": c.aux_ma, "smoke": c.smoke,
            "pin": c.pin.map(|pin| json!({ "existing": pin.existing, "input": pin.input })),
            "extensions": c.extensions.iter().map(|e| json!({ "enclosure": e.enclosure, "effort": effort(e.effort) })).collect::<Vec<_>>(),
            "fits": c.fits.iter().map(|f| json!({ "offer": f.offer, "mode": f.mode, "inputs": f.inputs, "effort": effort(f.effort) })).collect::<Vec<_>>(),
        })
    });
    let enclosures = problem.enclosures.iter().map(|e| {
        json!({
            "positions": e.positions, "spare": e.spare,
            "annex": e.annex.as_ref().map(|a| json!({ "positions": a.positions, "most": a.most, "effort": effort(a.effort) })),
        })
    });
    let offers = problem.offers.iter().map(|o| {
        json!({
            "inputs": o.inputs, "mode_per_input": o.mode_per == ModePer::Input, "aux_ma": o.aux_ma, "positions": o.positions,
            "smoke_inputs": o.modes.iter().map(|m| m.smoke_inputs.clone()).collect::<Vec<_>>(),
            "effort": effort(o.effort), "most": o.most, "zones_for_all_inputs": o.zones == ZoneUse::AllInputs,
        })
    });
    let existing = problem
        .existing
        .iter()
        .map(|m| json!({ "enclosure": m.enclosure, "offer": m.offer, "mode": m.mode }));
    json!({
        "circuits": circuits.collect::<Vec<_>>(), "enclosures": enclosures.collect::<Vec<_>>(),
        "offers": offers.collect::<Vec<_>>(), "existing": existing.collect::<Vec<_>>(),
        "zones": problem.panel.zones, "modules": problem.panel.modules, "taken": problem.panel.taken,
        "spare": problem.spare, "may_leave_out": problem.unmet == Unmet::Fewest,
        "cents_per_hour": problem.weights.cents_per_hour, "money_percent": problem.weights.money_percent,
    })
}
