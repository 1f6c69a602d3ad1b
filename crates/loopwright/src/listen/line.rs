//! A sender's line to a receiver: one message at a time, again when no answer comes.

use std::io::{self, ErrorKind, Read, Write};
use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr, TcpStream, UdpSocket};
use std::time::Duration;

use signal::{Cutter, Frame, MOST_OCTETS, Piece, Stamp};

use super::desk::Clock;

/// How long an answer may take before the message is sent again (from memory; the standard's times were not found).
const PATIENCE: Duration = Duration::from_secs(5);
/// How often a message is sent.
const TRIES: usize = 3;

/// What a receiver answered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Answered {
    /// Received.
    Ack,
    /// The time was wrong.
    Nak,
    /// Not understood.
    Duh,
    /// Received, with something for the sender.
    Rsp,
}

impl Answered {
    /// The word in JSON.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Ack => "ack",
            Self::Nak => "nak",
            Self::Duh => "duh",
            Self::Rsp => "rsp",
        }
    }
}

/// A line that is open.
pub(crate) struct Line {
    socket: Socket,
    /// What the receiver's clock showed more than ours when it refused a message, in seconds.
    off_s: i64,
}

enum Socket {
    Tcp(TcpStream),
    Udp(UdpSocket),
}

impl Line {
    /// Opens a line.
    ///
    /// # Errors
    /// What the system says.
    pub(crate) fn open(to: SocketAddr, udp: bool) -> io::Result<Self> {
        let socket = if udp {
            let any = if to.is_ipv4() { Ipv4Addr::UNSPECIFIED.into() } else { Ipv6Addr::UNSPECIFIED.into() };
            let socket = UdpSocket::bind(SocketAddr::new(any, 0))?;
            socket.connect(to)?;
            socket.set_read_timeout(Some(PATIENCE))?;
            Socket::Udp(socket)
        } else {
            let stream = TcpStream::connect_timeout(&to, PATIENCE)?;
            stream.set_nodelay(true)?;
            stream.set_read_timeout(Some(PATIENCE))?;
            Socket::Tcp(stream)
        };
        Ok(Self { socket, off_s: 0 })
    }

    /// Sends what `write` makes and waits for its answer; after a refusal once more with the receiver's own time.
    pub(crate) fn ask(
        &mut self,
        sequence: &[u8],
        write: &mut dyn FnMut(&mut [u8], i64) -> usize,
    ) -> Option<Answered> {
        let mut frame = [0; MOST_OCTETS];
        let mut answered = None;
        for _ in 0..TRIES {
            let length = write(&mut frame, self.off_s);
            if self.send(&frame[..length]).is_err() {
                return answered;
            }
            match self.answer(sequence) {
                Some((Answered::Nak, Some(stamp))) => {
                    answered = Some(Answered::Nak);
                    self.off_s = stamp.at.0 - Clock::Machine.now().0;
                }
                Some((answer, _)) => return Some(answer),
                None => {}
            }
        }
        answered
    }

    fn send(&mut self, octets: &[u8]) -> io::Result<()> {
        match &mut self.socket {
            Socket::Tcp(stream) => stream.write_all(octets),
            Socket::Udp(socket) => socket.send(octets).map(|_| ()),
        }
    }

    /// The answer to a message; a refusal has no number of its own.
    fn answer(&mut self, sequence: &[u8]) -> Option<(Answered, Option<Stamp>)> {
        let mut cutter = Cutter::default();
        let mut buffer = [0; 1024];
        let mut found = None;
        loop {
            let count = match &mut self.socket {
                Socket::Tcp(stream) => stream.read(&mut buffer),
                Socket::Udp(socket) => socket.recv(&mut buffer),
            };
            let count = match count {
                Ok(0) => return None,
                Ok(count) => count,
                Err(error) if error.kind() == ErrorKind::Interrupted => continue,
                Err(_) => return None,
            };
            cutter.take(&buffer[..count], |piece| {
                if let Piece::Frame(octets) = piece
                    && let Some(answer) = read(octets, sequence)
                {
                    found = Some(answer);
                }
            });
            if found.is_some() {
                return found;
            }
        }
    }
}

fn read(octets: &[u8], sequence: &[u8]) -> Option<(Answered, Option<Stamp>)> {
    let frame = Frame::read(octets).ok()?;
    let answer = match frame.id {
        b"ACK" => Answered::Ack,
        b"NAK" => Answered::Nak,
        b"DUH" => Answered::Duh,
        b"RSP" => Answered::Rsp,
        _ => return None,
    };
    let ours = frame.sequence == sequence || answer == Answered::Nak;
    let stamp = if frame.encrypted {
        None
    } else {
        signal::Body::read(frame.content).ok().and_then(|body| body.stamp)
    };
    ours.then_some((answer, stamp))
}
