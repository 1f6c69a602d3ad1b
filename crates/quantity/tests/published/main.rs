//! Figures that we did not write: tables and worked examples, with their sources beside them.
//!
//! Most come from the project's reference pages: `conductors.csv` (copied beside this file),
//! `worked-examples.md` and `loops.md`, which name the source of each row and say what was re-computed.

mod conductors;
mod loops;
mod resistors;
mod wire_runs;

/// Half a step of the last printed digit, the tolerance of most published figures.
fn close(value: f64, published: f64, tolerance: f64) {
    assert!(
        (value - published).abs() <= tolerance,
        "{value} is not within {tolerance} of the published {published}"
    );
}
