//! The server over its socket.

mod common;
mod hostile;
mod together;
