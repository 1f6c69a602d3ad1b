//! The job document: what the survey found, read from its file, and changes written back into it.
//!
//! # Where to start
//! [`Job::read`] reads a whole file and says everything that is wrong with it at once; [`Job`] is plain
//! data, one struct per table. [`Change`] puts a value, an entry of a list or a whole table into the
//! text, or takes it out, and leaves the rest as it is.
//!
//! # What this crate leaves out
//! It knows no equipment: whether a profile or a mode exists is asked where the library is at hand. It
//! reads no files and judges no circuit; a missing part of a job is nobody's error here.

mod allocating;
mod change;
mod check;
mod cutover;
mod feeding;
mod finding;
mod keys;
mod model;
mod name;
mod newest;
mod office;
mod read;
mod schema;
mod station;

pub use allocating::{AllocateTerms, DEFAULT_HOUR, Extension};
pub use change::{Applied, Change, ChangeError, Guessed, Lost, Noted, Place, PutBack, TableRef, Undo};
pub use cutover::{Cutover, CutoverStart, CutoverWay, Day, Weekday, WorkHours, time_of_day, whole_minutes};
pub use document::Plain;
pub use feeding::Feeding;
pub use finding::{Finding, Severity};
pub use keys::TABLES;
pub use model::*;
pub use name::is_unseen;
pub use newest::{BOARD_VOLTS, FOREIGN_AMPS, FOREIGN_VOLTS, is_foreign_current};
pub use office::{QuotationWords, Rates, StockValue, VanStock};
pub use read::is_device_name;
pub use schema::SCHEMA;
pub use station::*;
