//! One module a kind of sheet: what it says, in words and figures, for the template of the same name.

pub(crate) mod doors;
pub(crate) mod modules;
pub(crate) mod schedule;
pub(crate) mod signals;
pub(crate) mod summary;
pub(crate) mod survey;
pub(crate) mod tags;

// What pages say too.
pub(crate) use view::{circuit, cutover, findings, kit, supplies};
