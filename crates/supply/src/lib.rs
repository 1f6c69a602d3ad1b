//! Does every load get its volts and its hours?
mod solve;
mod tree;

pub use solve::{Balance, Collapse, Solver, bearable_share};
pub use tree::{Draw, Tree};
