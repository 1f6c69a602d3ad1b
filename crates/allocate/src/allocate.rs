//! The way through: count, search, lay out, tidy, label; or the conflict.

use crate::allocation::{Allocation, Conflict, Status, Stopped};
use crate::conflict;
use crate::demands::clash;
use crate::items::Counted;
use crate::label::label;
use crate::model::to_i64;
use crate::problem::{Effort, Limits, Problem};
use crate::search::{Found, Layout, Search};
use crate::solver::{Budget, Microlp, Solver};
use crate::tidy::tidy;

/// Divides the circuits over modules: as few as possible without an input (where that is allowed at all), then the least
/// cost, then circuits of one area together. Ties are broken by tag, so the order of the circuits does not matter.
///
/// # Panics
/// When an index in the problem points at nothing, or a mode is named that the offer does not have.
#[must_use]
pub fn allocate(problem: &Problem, limits: &Limits) -> Allocation {
    with(problem, limits, &Microlp)
}

fn with(problem: &Problem, limits: &Limits, solver: &dyn Solver) -> Allocation {
    let mut budget = Budget::new(limits.nodes, limits.stop);
    if clash(problem) {
        return impossible(problem, limits, solver, &budget);
    }
    let counted = Counted::of(problem);
    let search = Search::new(problem, &counted, solver);
    match search.run(&mut budget) {
        Found::Layout(layout) => laid_out(problem, &counted, &search, layout, &budget),
        Found::Impossible => impossible(problem, limits, solver, &budget),
        Found::Nothing { bound } => {
            let bound = search.unscaled(bound);
            Allocation { status: Status::Unknown, bound, ..empty(problem, &budget, stopped(&budget)) }
        }
    }
}

fn laid_out(
    problem: &Problem,
    counted: &Counted,
    search: &Search,
    mut layout: Layout,
    budget: &Budget,
) -> Allocation {
    tidy(problem, counted, &mut layout.slots);
    let mut answer = label(problem, counted, &layout);
    let weight = search.unmet_cost * to_i64(answer.unmet.len());
    let proven = layout.bound >= layout.cost;
    answer.cost = search.unscaled(layout.cost - weight);
    answer.bound = if proven { answer.cost } else { search.unscaled(layout.bound - weight).min(answer.cost) };
    answer.status = if proven { Status::Optimal } else { Status::Feasible };
    answer.stopped = if proven { Stopped::No } else { stopped(budget) };
    answer.nodes = budget.spent();
    answer
}

fn impossible(problem: &Problem, limits: &Limits, solver: &dyn Solver, spent: &Budget) -> Allocation {
    // What stands in the way has a count of its own: the search may have used all of the first.
    let mut budget = Budget::new(limits.nodes, limits.stop);
    let conflict = conflict::find(problem, solver, &mut budget);
    let nodes = spent.spent() + budget.spent();
    let stopped = match &conflict {
        conflict if conflict.smallest => Stopped::No,
        _ if budget.by_clock() => Stopped::Clock,
        conflict if conflict.irreducible => Stopped::No,
        _ => Stopped::Nodes,
    };
    Allocation {
        status: Status::Infeasible,
        nodes,
        conflict: Some::<Conflict>(conflict),
        ..empty(problem, &budget, stopped)
    }
}

fn stopped(budget: &Budget) -> Stopped {
    if budget.by_clock() { Stopped::Clock } else { Stopped::Nodes }
}

fn empty(problem: &Problem, budget: &Budget, stopped: Stopped) -> Allocation {
    Allocation {
        status: Status::Unknown,
        cost: 0,
        bound: 0,
        effort: Effort::default(),
        nodes: budget.spent(),
        stopped,
        modules: Vec::new(),
        landed: Vec::new(),
        unmet: Vec::new(),
        rooms: Vec::new(),
        zones_left: problem.panel.zones,
        modules_left: problem.panel.modules,
        conflict: None,
    }
}
