//! One geometry, two pens: how a job's pictures are laid out, apart from what they are drawn with.
//!
//! # Where to start
//! [`circuit_picture`] draws a pair to scale with its symbols and the checker's marks.
//!
//! # What this crate leaves out
//! It computes no reading and judges nothing: it takes plain numbers and names. It writes nowhere.

mod block;
mod chain;
mod circuit_picture;
mod label;
mod lane;
mod mark;
mod parts;
mod row;
mod run;
mod scale;
mod svg;
mod symbol;
mod text_width;

pub use circuit_picture::{CheckMark, CircuitRequest, MarkPlace, MarkSign, circuit_picture};
pub use scale::{SCALE_FROM, SCALE_TO, Spot};
pub use svg::{Area, Lettering, Picture};
pub use text_width::{Face, text_width};
