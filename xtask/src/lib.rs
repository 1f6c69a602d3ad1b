//! The house rules, checked by `cargo test -p xtask`: who may import whom, what the pure crates must not
//! touch, how long a file may get, which words are never printed, whether links lead somewhere.
//!
//! # Where to start
//! `tests/house.rs` asks for every rule by name. Each rule is a module with its table on top and a function
//! that returns what breaks it, one sentence each; none returned means that the rule is kept.
//!
//! # What this crate leaves out
//! What the compiler and clippy can say is left to them. Nothing here is part of the program.

pub mod arrows;
pub mod closure;
pub mod length;
pub mod licences;
pub mod links;
pub mod metadata;
pub mod pure;
pub mod scan;
pub mod tree;
pub mod words;
