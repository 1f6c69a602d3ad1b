//! Which circuit on which input: which modules, in which modes, where; the cheapest that way, or what stands in the way.
//!
//! # Where to start
//! [`allocate()`] takes a [`Problem`] and gives an [`Allocation`].
//!
//! # What this crate leaves out
//! It computes no resistance and knows no profile: whether an input reads a circuit right, and what it would take, comes in
//! as a table ([`Fit`], [`Refusal`]). It has no clock, no files and no chance: the same problem and the same count of nodes
//! give the same answer.
//!
//! # How
//! Counted, not labelled: how many modules of each kind and mode hang in each enclosure, and how many of each class of
//! circuits land on them, as a linear model in whole numbers, enclosure by enclosure. What enclosures share (the panel's
//! zones and modules, free inputs for the whole job) is then divided exactly. Inputs, tags and numbers come last.

mod allocate;
mod allocation;
mod conflict;
mod demands;
mod items;
mod label;
mod model;
mod order;
mod pack;
mod problem;
mod search;
mod solver;
mod tidy;
mod words;

pub use allocate::allocate;
pub use allocation::{Allocation, Conflict, Demand, DemandOf, Landed, Module, Room, Status, Stopped};
pub use problem::{
    Annex, Circuit, Effort, Enclosure, Existing, Extension, Fit, Limits, Mode, ModePer, Offer, Panel, Pin,
    Problem, Refusal, Unmet, Weights, ZoneUse,
};
