//! Which circuit on which input: which modules, in which modes, where; the cheapest that way, or what stands in the way.
//!
//! # Where to start
//! [`allocate()`] takes a [`Problem`] and gives an [`Allocation`].
//!
//! # What this crate leaves out
//! It computes no resistance and knows no profile: whether an input reads a circuit right, and what it would take, comes in
//! as a table ([`Fit`], [`Refusal`]). It has no clock, no files and no chance: the same problem and the same count of nodes
//! give the same answer.

mod allocation;
mod problem;

pub use allocation::{Allocation, Conflict, Demand, DemandOf, Landed, Module, Room, Status, Stopped};
pub use problem::{
    Annex, Circuit, Effort, Enclosure, Existing, Extension, Fit, Limits, Mode, ModePer, Offer, Panel, Pin,
    Problem, Refusal, Unmet, Weights, ZoneUse,
};

/// Divides the circuits over modules.
///
/// # Panics
/// When an index in the problem points at nothing.
#[must_use]
pub fn allocate(problem: &Problem, limits: &Limits) -> Allocation {
    let _ = (problem, limits);
    Allocation {
        status: Status::Unknown,
        cost: 0,
        bound: 0,
        effort: Effort::default(),
        nodes: 0,
        stopped: Stopped::No,
        modules: Vec::new(),
        landed: Vec::new(),
        unmet: Vec::new(),
        rooms: Vec::new(),
        zones_left: problem.panel.zones,
        modules_left: problem.panel.modules,
        conflict: None,
    }
}
