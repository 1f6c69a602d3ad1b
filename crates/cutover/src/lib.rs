//! In which order circuits move from old to new equipment, and who is unprotected when.
//!
//! # Where to start
//! [`Problem`] is the work: preparation, circuits, modules, technicians, hours. [`plan`] answers with a [`Plan`]: every
//! task with start, end and who, the exposure with its proven lower bound, and how long fire circuits are out.
//! [`Outage`] counts impairments within any 24 h.
//!
//! # What this crate leaves out
//! It knows no job and no equipment: whole minutes and whole weights come in. It reads no clock: the search ends by a
//! count of tried placements, so the same work and count give the same plan.

mod block;
mod board;
mod bound;
mod calendar;
mod checked;
mod exposure;
mod outage;
mod plan;
mod problem;
mod side;
mod stages;
mod swap;
mod swap_search;
mod swap_state;

pub use calendar::{Presence, Window};
pub use exposure::{Level, Unprotected};
pub use outage::{Out, Outage};
pub use plan::{Act, Plan, Planned, Status, plan};
pub use problem::{Chain, Line, Module, NoPlan, Problem, Task, Way};
