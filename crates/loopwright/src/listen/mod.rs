//! The receiver's sockets: TCP and UDP on one port, one thread, nobody waits for anybody.
//!
//! [`Server`] carries octets between sockets and a [`Desk`]; what a message means and what is answered is
//! `signal`'s. Evidence is written before the answers of a round go out.

mod connection;
mod desk;
mod line;
mod printer;
mod record;
mod server;
mod sockets;

pub(crate) use desk::{Clock, Desk, JobDesk, tie_json};
pub(crate) use line::{Answered, Line};
pub(crate) use record::{SignalJson, TieJson};
pub(crate) use server::Server;
pub(crate) use sockets::{Sockets, raise_file_limit};
