//! One module a kind of sheet: what it says, in words and figures, for the template of the same name.

pub(crate) mod battery;
pub(crate) mod circuit;
pub(crate) mod cutover;
pub(crate) mod doors;
pub(crate) mod fault_rows;
pub(crate) mod findings;
pub(crate) mod kit;
pub(crate) mod marks;
pub(crate) mod modules;
pub(crate) mod schedule;
pub(crate) mod signals;
pub(crate) mod smoke;
pub(crate) mod state_rows;
pub(crate) mod summary;
pub(crate) mod supplies;
pub(crate) mod survey;
pub(crate) mod tags;
