//! Reports for people on a terminal: at most as wide as it, and the same without colour.

pub(crate) mod allocation;
pub(crate) mod answer;
pub(crate) mod circuit;
pub(crate) mod comparison;
pub(crate) mod cutover;
pub(crate) mod finding;
pub(crate) mod kit;
pub(crate) mod page;
pub(crate) mod pair;
pub(crate) mod picture;
pub(crate) mod quotation;
pub(crate) mod severity;
pub(crate) mod supply;
