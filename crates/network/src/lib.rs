//! The circuit notation: its text, its tree, its flat program, evaluation and exact bounds.
//!
//! # Where to start
//! [`Network::parse`] reads the notation of `docs/format.md`, section 2; [`Network::bounds`] is the exact
//! worst case at the terminals, [`Network::effects`] how the terminals follow one part or one fault, and
//! [`Network::reach`] what any set of active contacts can show. [`Sketch`] is the form to edit.
//!
//! # What this crate leaves out
//! It knows nothing of jobs, equipment or inputs: what an element's resistance is comes from outside.

mod bounds;
mod effect;
mod element;
mod meaning;
mod parse;
mod reach;
mod sketch;
mod tree;

pub use bounds::Bounds;
pub use effect::{Effect, End, parallel};
pub use element::{Conductor, Element, LengthUnit, Part, Run, label};
pub use meaning::{Form, Meaning, Role};
pub use parse::NotationError;
pub use reach::{Choice, MAX_SHARED, Reach};
pub use sketch::{MAX_BRACKETS, MAX_ELEMENTS, Piece, Sign, Sketch};
pub use tree::{Contact, Network, Node, Step};
