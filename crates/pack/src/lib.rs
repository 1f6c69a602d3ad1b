//! The documents made from a job: the pack as PDF, cable tags, tables as XLSX and CSV.
//!
//! # Where to start
//! [`pack`] takes what [`assess`](assess::assess) returns and gives every file back as bytes. Each kind of
//! sheet is a module of [`sheets`](self) with a template of the same name in `templates/`.
//!
//! # What this crate leaves out
//! It computes nothing, touches no file and no clock: the date and the revision are arguments, so that the
//! same job gives the same bytes. What a drawing looks like is the business of `drawing`.

mod book;
mod csv;
mod cutover_tables;
mod desk;
mod glyphs;
mod kit_tables;
mod options;
mod pack;
mod power_tables;
mod sheets;
mod tables;
mod title_block;
mod typeset;
mod xlsx;

use view::{figures, words};

pub use options::{File, Files, Options, PackError, Paper};
pub use pack::pack;

// For their features alone (docs/dependencies.md).
use {hashbrown as _, num_bigint as _, num_integer as _};
