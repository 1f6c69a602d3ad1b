//! Reports for people on a terminal: at most as wide as it, and the same without colour.

pub(crate) mod answer;
pub(crate) mod circuit;
pub(crate) mod cutover;
pub(crate) mod finding;
pub(crate) mod page;
pub(crate) mod pair;
pub(crate) mod picture;
pub(crate) mod severity;
pub(crate) mod supply;
