//! One module a kind of sheet: what it says, in words and figures, for the template of the same name.

pub(crate) mod circuit;
pub(crate) mod doors;
pub(crate) mod fault_rows;
pub(crate) mod findings;
pub(crate) mod marks;
pub(crate) mod modules;
pub(crate) mod schedule;
pub(crate) mod state_rows;
pub(crate) mod summary;
pub(crate) mod tags;
