//! What the manuals say: equipment profiles and rule sets, read from their files or embedded.
//!
//! # Where to start
//! [`Library::embedded`] is what the program knows by itself: generic classes with typical values.
//! [`Library::add`] takes a file of the user's own, which replaces what has the same id. [`Mode`] and its
//! bands are what an input reads.
//!
//! # What this crate leaves out
//! It reads no folders and knows no job: whether a job names things that exist is asked where both are at hand.

pub mod band;
mod embedded;
mod habits;
mod impairment;
mod keys;
mod labour;
mod model;
mod power;
mod read;
mod schema;
mod small_parts;
mod weight;

pub use band::{Band, BandError, Learns, Limits, Mode, Scale};
pub use habits::{BuildingHabits, Habits, PlaceHabits, ReadingHabits, ReadingMinutes, Spread, Wiring};
pub use impairment::{Asked, Impairment};
pub use keys::TABLES;
pub use labour::{Effort, Labour, Task};
pub use model::*;
pub use power::*;
pub use schema::SCHEMA;
pub use small_parts::{Allowance, PartTerms, SmallPart};
pub use weight::DutyWeight;
