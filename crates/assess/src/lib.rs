//! From a job and a library to everything that is shown of it: one pure function.
//!
//! # Where to start
//! [`identify()`] says what is on every pair, [`with_settled`] makes a job of it in which what is settled counts as known.
//! [`cutover()`] puts the moves from old to new equipment in order and says what is unprotected when.
//! [`assess()`] calls the engines and gathers their findings; [`check_references`] says what a job names and
//! the library does not have. [`wire`] holds the serialisable twins and their schemas.
//!
//! # What this crate leaves out
//! It shows nothing and knows no face: no files, no clock, no sockets.

mod allocate;
mod answer;
mod assess;
pub mod clear;
mod commons;
mod cutover;
mod identify;
mod job_findings;
pub mod kit;
mod references;
mod survey_answer;
mod threads;
mod trial;
pub mod wire;

pub use allocate::{
    AllocationPlan, Annexed, CircuitCompared, ConflictPlan, DemandPlan, Effort, ExtensionPlan, InputPlan,
    Left, LeftBecause, Limits, ModeCompared, ModulePlan, NextSeat, PlacePlan, Reads, Status, Stopped,
    TIME_LIMITS, Weights, allocate, changes, compare_modes, freed, planned, time_limit,
};
pub use answer::{Need, answer, chosen_remedies, needs};
pub use assess::{Assessment, CircuitResult, assess};
pub use cutover::{
    CUTOVER_NODES, ChartBar, ChartDay, ChartRow, Clock, Cutover, CutoverAsked, Dummy, Endless, Field, Gone,
    Limit, Notice, OrderRow, Phase, Rule, Step, Why, cutover, output_of,
};
pub use identify::{identify, identify_one, with_settled, with_settled_in};
pub use references::check as check_references;
pub use survey_answer::survey_answer;
pub use trial::{Trial, trial};
