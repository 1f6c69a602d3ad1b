//! Will this input read this circuit right, in every state and under every fault?
//!
//! # Where to start
//! [`study`] answers for one circuit: every state with the band that it surely reads, masking, every single
//! fault with the sizes that make it silent or dangerous, remedies with their proof, and what the meter must
//! show. [`findings`] says it in words.
//!
//! # What this crate leaves out
//! Powered behaviour (volts at a two-wire smoke detector, a supply's limits) belongs to `supply`; which
//! circuit goes on which input to `allocate`. It reads no files and no clock, and takes no samples: every
//! answer is an exact worst case or says that it is not.

mod adapter;
mod as_found;
mod cases;
mod common;
mod fault;
mod findings;
mod judge;
mod masking;
mod measured;
mod model;
mod place;
mod remedy;
mod rewire;
mod scene;
mod sense;
mod setting;
mod state;
mod study;
mod value;
mod verdict;
mod words;

pub use common::Lift;
pub use fault::{Class, Coverage, Fault, FaultKind, Raiser};
pub use findings::{Seat, findings};
pub use masking::{Masking, masking};
pub use measured::Misread;
pub use model::{Model, Reading};
pub use place::{Leg, Place, element_name};
pub use remedy::{Fit, Hidden, ModeCount, Remedy, RemedyKind, may_use};
pub use rewire::{at_end, in_panel};
pub use sense::{Raised, Sense};
pub use setting::Setting;
pub use state::{MAX_PAIRED_CONTACTS, Slack, State};
pub use study::{MeterRow, Study, first_leg, least, model, reading, reads_right, study};
pub use value::{Value, values};
pub use words::{fault_place, fault_words, state_words};
