//! Jobs with every version of their text, evidence that is only ever added to, and photos: in one file that survives a
//! kill at any moment.
//!
//! # Where to start
//! [`Store::open`] opens the file and makes it where there is none. [`Store::carry_out`] writes a [`Batch`], all of it or
//! nothing; once it returns, what it wrote is on the disk. [`Store::jobs`], [`Store::job`], [`Store::versions`],
//! [`Store::evidence`] and [`Store::photo`] read. [`Bundle`] is a job with all that belongs to it, as files of a folder.
//!
//! # What this crate leaves out
//! It knows no engine and no clock: times, ids and what a list says of a job come in. It opens no socket.

mod bundle;
mod change_json;
mod copy;
mod dialect;
mod entry;
mod error;
mod folder;
mod jobs;
mod observed;
mod photo;
mod splice;
mod store;
mod version;
mod write;

pub use bundle::Bundle;
pub use copy::{backup, restore};
pub use entry::{Entry, LONGEST_LINE};
pub use error::StoreError;
pub use folder::{read_folder, read_id, write_folder};
pub use jobs::{JobRow, Jobs, Kept, Summary};
pub use observed::Which;
pub use photo::{Photo, PhotoRow};
pub use store::{Store, Tell};
pub use version::Version;
pub use write::{Batch, Write};
