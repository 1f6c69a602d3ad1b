//! The web server: carries requests to the pages and what they change to the store, on this machine alone.
//!
//! # Where to start
//! [`run`] serves until it is told to stop. One request goes through `server` (limits, log), `guard` (by which name we
//! are called, and from whose page), and then to `carry` (pages), `api` (programs), `files`, `assets` or `events`.
//!
//! # What this crate leaves out
//! It makes no page and no document, and has no accounts yet: it listens on loopback and nowhere else.

mod address;
mod api;
mod assets;
mod carry;
mod clock;
mod compress;
mod desks;
mod events;
mod files;
mod form;
mod guard;
mod incoming;
mod long;
mod photo;
mod refusal;
mod reply;
mod scan;
mod server;
mod state;
mod summaries;
mod turns;
mod world;

pub use address::{NotLoopback, check as check_address};
pub use api::description as api_description;
pub use server::{Stopper, run};
pub use state::{Log, Options, PackFile, PackOf, Packer};
