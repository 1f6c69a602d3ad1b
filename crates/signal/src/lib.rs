//! Alarm messages by the open standards: DC-09 frames with Contact ID or two-letter codes in them, octets to
//! entries and back; and what a job expects to see at the monitoring station.
//!
//! # Where to start
//! [`Cutter`] takes a stream of octets apart, [`Receiver::hear`] reads one piece and says what to answer,
//! [`words::of`] says it to people. [`mod@write`] makes frames. [`Expected::of`] lists the signals that a job must
//! bring, and [`Tally`] ties what came to them. [`Sheet`] is what is programmed, [`station`] what the
//! monitoring station is told, [`history`] what its own list says.
//!
//! # What this crate leaves out
//! It opens no socket, reads no file and no clock. It is a test receiver's reading of the standard, and no
//! monitoring receiver: nobody is called when an alarm comes.

mod body;
pub mod calls;
mod cipher;
mod clock;
mod codes;
mod contact_id;
mod cut;
mod expected;
mod frame;
pub mod history;
pub mod play;
pub mod programming;
mod receiver;
mod repeats;
mod sheet;
pub mod station;
mod table;
mod text;
mod two_letter;
pub mod words;
pub mod write;

pub use body::{Body, ExtendedField, NoBody};
pub use cipher::{Key, KeyError, Keys, MOST_PAD};
pub use clock::{Gmt, GmtError, Stamp, WINDOW_AHEAD_S, WINDOW_BEHIND_S};
pub use codes::{Code, Codes, Numbers};
pub use contact_id::{ContactId, Qualifier, checksum};
pub use cut::{Cutter, Piece};
pub use expected::{Condition, Expected, Signal, SignalCode, Tally, Tie};
pub use frame::{Broken, Frame, MOST_OCTETS, crc};
pub use receiver::{Heard, Outcome, Payload, Receiver, Reply, Why, pad};
pub use sheet::{AreaRow, InputRow, Room, Sheet, Supervised, UserRow};
pub use table::Table;
pub use text::decoded;
pub use two_letter::{Event, Events, Modifier, Modifiers};
