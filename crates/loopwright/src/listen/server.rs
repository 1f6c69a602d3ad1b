//! The loop: readiness in, one read a connection and round, evidence, then answers.
//!
//! A connection is read at most once a round, so a sender that floods waits for the others like everybody else; one
//! that does not take its answers is not read from; one that begins a frame and does not end it is closed after
//! [`PATIENCE_S`]; where there is no room for another connection, the one that was silent longest goes.

use std::io::{self, ErrorKind};
use std::net::SocketAddr;
use std::time::{Duration, Instant};

use mio::{Events, Interest, Poll, Token};
use signal::{Cutter, Piece, Reply};

use super::connection::{Connection, Got};
use super::desk::Post;
use super::sockets::Sockets;

/// A frame that was begun, or an answer that nobody takes, may wait so long, in seconds.
const PATIENCE_S: u64 = 30;
/// Octets of one read.
const READ: usize = 8 * 1024;
/// Datagrams of one round.
const DATAGRAMS: usize = 1024;
/// Connections taken in one round.
const ACCEPTS: usize = 256;
/// How often the clock is looked at when nothing comes.
const TICK: Duration = Duration::from_secs(1);
/// How long no connection is taken when the system has no more files.
const PAUSE: Duration = Duration::from_millis(100);

const TCP: Token = Token(usize::MAX);
const UDP: Token = Token(usize::MAX - 1);

/// The sockets with everything that is connected.
pub(crate) struct Server {
    poll: Poll,
    sockets: Sockets,
    connections: Vec<Option<Connection>>,
    free: Vec<usize>,
    /// Connections that may have something to read, in the order in which that was known.
    ready: Vec<usize>,
    /// Connections with answers to send after this round's evidence.
    answered: Vec<usize>,
    datagrams: Vec<(SocketAddr, Reply)>,
    room: usize,
    accept: bool,
    udp_ready: bool,
    begun: Instant,
    swept_s: u64,
}

impl Server {
    /// A server of these sockets with room for so many connections.
    ///
    /// # Errors
    /// What the system says.
    pub(crate) fn new(mut sockets: Sockets, room: usize) -> io::Result<Self> {
        let poll = Poll::new()?;
        poll.registry().register(&mut sockets.tcp, TCP, Interest::READABLE)?;
        poll.registry().register(&mut sockets.udp, UDP, Interest::READABLE)?;
        Ok(Self {
            poll,
            sockets,
            connections: Vec::new(),
            free: Vec::new(),
            ready: Vec::new(),
            answered: Vec::new(),
            datagrams: Vec::new(),
            room,
            accept: false,
            udp_ready: false,
            begun: Instant::now(),
            swept_s: 0,
        })
    }

    /// Serves until the post says that it is over.
    ///
    /// # Errors
    /// What the system says, or the post: a message that could not be kept is not answered.
    pub(crate) fn run(&mut self, post: &mut impl Post) -> io::Result<()> {
        let mut events = Events::with_capacity(1024);
        let mut buffer = vec![0; READ];
        while !post.is_over() {
            let wait = match (self.ready.is_empty() && !self.udp_ready, self.accept) {
                (false, _) => Duration::ZERO,
                (true, true) => PAUSE,
                (true, false) => TICK,
            };
            match self.poll.poll(&mut events, Some(wait)) {
                Err(error) if error.kind() == ErrorKind::Interrupted => continue,
                other => other?,
            }
            for event in &events {
                match event.token() {
                    TCP => self.accept = true,
                    UDP => self.udp_ready = true,
                    Token(at) => self.wake(at, event.is_writable()),
                }
            }
            let now_s = self.begun.elapsed().as_secs();
            if self.accept {
                self.accept = self.take_connections(now_s);
            }
            self.read_connections(&mut buffer, now_s, post);
            if self.udp_ready {
                self.udp_ready = self.read_datagrams(&mut buffer, post);
            }
            post.settle()?;
            self.send_answers(now_s);
            if now_s != self.swept_s {
                self.swept_s = now_s;
                self.sweep(now_s, post);
            }
        }
        Ok(())
    }

    fn wake(&mut self, at: usize, writable: bool) {
        let Some(Some(connection)) = self.connections.get_mut(at) else { return };
        if writable && connection.is_stalled() {
            self.answered.push(at);
        }
        if !connection.queued {
            connection.queued = true;
            self.ready.push(at);
        }
    }

    /// Takes connections that wait; whether to try again soon.
    fn take_connections(&mut self, now_s: u64) -> bool {
        for _ in 0..ACCEPTS {
            match self.sockets.tcp.accept() {
                Ok((mut socket, peer)) => {
                    if self.connections.len() - self.free.len() >= self.room {
                        self.make_room();
                    }
                    let at = self.free.pop().unwrap_or(self.connections.len());
                    let interest = Interest::READABLE | Interest::WRITABLE;
                    if self.poll.registry().register(&mut socket, Token(at), interest).is_err() {
                        if at < self.connections.len() {
                            self.free.push(at);
                        }
                        continue;
                    }
                    let connection = Some(Connection::new(socket, peer, now_s));
                    match self.connections.get_mut(at) {
                        Some(slot) => *slot = connection,
                        None => self.connections.push(connection),
                    }
                }
                Err(error) if error.kind() == ErrorKind::WouldBlock => return false,
                // One that is gone already, or no more files: others are served meanwhile.
                Err(_) => return true,
            }
        }
        true
    }

    /// Closes the connection that was silent longest.
    fn make_room(&mut self) {
        let silent = |at: &usize| self.connections[*at].as_ref().map(|connection| connection.heard_s);
        let used = (0..self.connections.len()).filter(|&at| self.connections[at].is_some());
        if let Some(at) = used.min_by_key(silent) {
            self.close(at);
        }
    }

    fn close(&mut self, at: usize) {
        if let Some(mut connection) = self.connections.get_mut(at).and_then(Option::take) {
            // The socket is closed either way.
            let _ = self.poll.registry().deregister(&mut connection.socket);
            self.free.push(at);
        }
    }

    /// One read of each connection that may have something.
    fn read_connections(&mut self, buffer: &mut [u8], now_s: u64, post: &mut impl Post) {
        let ready = std::mem::take(&mut self.ready);
        let mut reply = Reply::default();
        for at in ready {
            let Some(Some(connection)) = self.connections.get_mut(at) else { continue };
            connection.queued = false;
            if connection.is_stalled() || connection.ended {
                continue;
            }
            let got = connection.read(buffer);
            let Connection { cutter, out, peer, .. } = connection;
            let mut each = |piece: Piece<'_>| {
                post.take(piece, *peer, "tcp", &mut reply);
                out.extend_from_slice(reply.octets());
            };
            match got {
                Got::Octets(count) => {
                    cutter.take(&buffer[..count], &mut each);
                    connection.heard_s = now_s;
                    connection.queued = true;
                    self.ready.push(at);
                }
                Got::Nothing => {}
                Got::End => {
                    cutter.end(&mut each);
                    connection.ended = true;
                }
            }
            let waits = connection.cutter.waits();
            connection.waits_since_s = waits.then(|| connection.waits_since_s.unwrap_or(now_s));
            if connection.is_stalled() || connection.ended {
                self.answered.push(at);
            }
        }
    }

    /// Some datagrams; whether there may be more.
    fn read_datagrams(&mut self, buffer: &mut [u8], post: &mut impl Post) -> bool {
        for _ in 0..DATAGRAMS {
            match self.sockets.udp.recv_from(buffer) {
                Ok((count, peer)) => {
                    let mut cutter = Cutter::default();
                    let mut each = |piece: Piece<'_>| {
                        let mut reply = Reply::default();
                        post.take(piece, peer, "udp", &mut reply);
                        if !reply.octets().is_empty() {
                            self.datagrams.push((peer, reply));
                        }
                    };
                    cutter.take(&buffer[..count], &mut each);
                    cutter.end(&mut each);
                }
                Err(error) if error.kind() == ErrorKind::WouldBlock => return false,
                // A port that nobody listens on any more is told on our next read: not our trouble.
                Err(_) => {}
            }
        }
        true
    }

    /// What was kept is answered.
    fn send_answers(&mut self, now_s: u64) {
        for (peer, reply) in self.datagrams.drain(..) {
            // A datagram that cannot go now is like one that was lost: the sender repeats.
            let _ = self.sockets.udp.send_to(reply.octets(), peer);
        }
        let mut answered = std::mem::take(&mut self.answered);
        for at in answered.drain(..) {
            let Some(Some(connection)) = self.connections.get_mut(at) else { continue };
            let sent = connection.flush();
            let stalled = connection.is_stalled();
            if sent.is_err() || (connection.ended && !stalled) {
                self.close(at);
                continue;
            }
            connection.waits_since_s = match (stalled, connection.cutter.waits()) {
                (false, false) => None,
                _ => Some(connection.waits_since_s.unwrap_or(now_s)),
            };
            if !stalled && !connection.queued {
                // It may have sent more while its answers waited.
                connection.queued = true;
                self.ready.push(at);
            }
        }
        self.answered = answered;
    }

    /// Closes what has waited too long, and gives back what idle connections do not need.
    fn sweep(&mut self, now_s: u64, post: &mut impl Post) {
        for at in 0..self.connections.len() {
            let Some(Some(connection)) = self.connections.get_mut(at) else { continue };
            if connection.heard_s + 1 < now_s {
                connection.rest();
            }
            if connection.waits_since_s.is_some_and(|since_s| now_s > since_s + PATIENCE_S) {
                let peer = connection.peer;
                connection.cutter.end(|piece| post.take(piece, peer, "tcp", &mut Reply::default()));
                self.close(at);
            }
        }
    }
}
