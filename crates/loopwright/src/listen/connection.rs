//! One sender's connection: what it has begun to send, what it has not yet taken.

use std::io::{self, ErrorKind, Read, Write};
use std::net::SocketAddr;

use mio::net::TcpStream;
use signal::Cutter;

/// One connection. Idle, it holds no buffer.
pub(super) struct Connection {
    pub(super) socket: TcpStream,
    pub(super) peer: SocketAddr,
    pub(super) cutter: Cutter,
    /// Answers that wait to be sent.
    pub(super) out: Vec<u8>,
    /// How many of them were.
    sent: usize,
    /// The second in which something last came or went.
    pub(super) heard_s: u64,
    /// The second in which the frame at hand, or the answer that nobody takes, began.
    pub(super) waits_since_s: Option<u64>,
    /// Stands in the row of those to be read.
    pub(super) queued: bool,
    /// No more will come.
    pub(super) ended: bool,
}

/// What one read gave.
pub(super) enum Got {
    /// So many octets.
    Octets(usize),
    /// Nothing for now.
    Nothing,
    /// The sender has finished, or the connection broke.
    End,
}

impl Connection {
    pub(super) fn new(socket: TcpStream, peer: SocketAddr, now_s: u64) -> Self {
        // Small answers go out at once; where that cannot be set they go out a little later.
        let _ = socket.set_nodelay(true);
        // A sender that lost its power is found out some day.
        let _ = socket2::SockRef::from(&socket).set_keepalive(true);
        Self {
            socket,
            peer,
            cutter: Cutter::default(),
            out: Vec::new(),
            sent: 0,
            heard_s: now_s,
            waits_since_s: None,
            queued: false,
            ended: false,
        }
    }

    pub(super) fn read(&mut self, into: &mut [u8]) -> Got {
        loop {
            match self.socket.read(into) {
                Ok(0) => return Got::End,
                Ok(count) => return Got::Octets(count),
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) if error.kind() == ErrorKind::WouldBlock => return Got::Nothing,
                Err(_) => return Got::End,
            }
        }
    }

    /// Whether answers wait: then nothing more is read from this sender, so that it cannot fill our memory.
    pub(super) fn is_stalled(&self) -> bool {
        !self.out.is_empty()
    }

    /// Sends as much as the sender takes.
    pub(super) fn flush(&mut self) -> io::Result<()> {
        while self.sent < self.out.len() {
            match self.socket.write(&self.out[self.sent..]) {
                Ok(0) => return Err(ErrorKind::WriteZero.into()),
                Ok(count) => self.sent += count,
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) if error.kind() == ErrorKind::WouldBlock => return Ok(()),
                Err(error) => return Err(error),
            }
        }
        self.sent = 0;
        if self.out.capacity() > KEPT {
            self.out = Vec::new()
        } else {
            self.out.clear()
        }
        Ok(())
    }

    /// Gives back what an idle connection does not need.
    pub(super) fn rest(&mut self) {
        if self.out.is_empty() {
            self.out = Vec::new();
        }
    }
}

/// A buffer of this size is kept between answers.
const KEPT: usize = 1024;
