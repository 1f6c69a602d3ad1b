//! The server over its socket.

mod common;
mod doors;
mod hostile;
mod together;
