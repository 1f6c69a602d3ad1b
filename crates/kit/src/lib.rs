//! Which parts go along, how long the work takes, and what both cost: as ranges, since a survey is never whole.
//!
//! # Where to start
//! [`Kit::of`] makes lines of needs: what is needed, spares, from the van or to order, with the reasons of each. [`Work`]
//! is one piece of work; [`Bill::of`] adds parts, work, travel and margin to a [`Price`].
//!
//! # What this crate leaves out
//! It knows no job, no circuit and no profile: what is needed, and why, comes in as plain data. No amount of money and no
//! count passes through a float; a time is a whole number of seconds.

mod bill;
mod count;
mod line;
mod need;
mod price;
mod time;
mod work;

pub use bill::{Bill, Rates};
pub use count::Count;
pub use line::{Kit, Line};
pub use need::{Group, Item, Need, Spare, Stock, Terms, Unit};
pub use price::Price;
pub use time::Time;
pub use work::{Sum, Work, by_place, total};
