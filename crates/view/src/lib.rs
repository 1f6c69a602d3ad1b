//! What is said and drawn of an assessment, once for pages and documents: plain rows of words, and pictures.
//!
//! # Where to start
//! [`circuit::circuit_sheet`] is everything that stands on a circuit's sheet, [`supplies::supply_sheet`] a supply's,
//! [`cutover::cutover_sheets`] all that is said of a cut-over, [`kit::kit_sheets`] of what goes along and what it costs,
//! [`now`] what its plan says of a minute,
//! [`findings::finding_rows`] what was found. [`figures`] and [`power_figures`] make the drawings.
//!
//! # What this crate leaves out
//! It computes nothing and lays nothing out: a page or a typesetter puts its words and pictures where they belong.

pub mod battery;
pub mod circuit;
pub mod cutover;
pub mod fault_rows;
pub mod figures;
pub mod findings;
pub mod heard;
pub mod kit;
pub mod marks;
pub mod now;
pub mod power_figures;
pub mod smoke;
pub mod state_rows;
pub mod supplies;
pub mod words;
