//! One geometry, two pens: how a job's pictures are laid out, apart from what they are drawn with.
//!
//! # Where to start
//! [`BandPicture`] lays bands and readings out on the one ohm [`Spot`] scale that every page of a job
//! shares; [`strip`](fn@strip) draws it with characters. [`ladder`](fn@ladder) draws a network as two legs
//! with its parts, and [`sentence`](fn@sentence) says it in words.
//!
//! # What this crate leaves out
//! It computes no reading and knows no job: it takes plain numbers and names. It writes nowhere.

mod bands;
mod canvas;
mod ladder;
mod part;
mod scale;
mod sentence;
mod strip;
mod text;

pub use bands::{Band, BandPicture, Bar, BarKind, Edge, Plumb, Strip};
pub use ladder::ladder;
pub use scale::{SCALE_FROM, SCALE_TO, Spot};
pub use sentence::sentence;
pub use strip::{StripLines, axis, least_width, strip};
pub use text::{clean, clipped, padded, width, wrapped};
