//! Sockets opened: both transports on one port, both versions of the address where one stands for all.

use std::io;
use std::net::{Ipv6Addr, SocketAddr};

use mio::net::{TcpListener, UdpSocket};
use socket2::{Domain, Protocol, Socket, Type};

/// Connections that may wait to be taken.
const BACKLOG: i32 = 4096;
/// Room for datagrams that come while evidence is written.
const DATAGRAM_ROOM: usize = 4 * 1024 * 1024;
/// Ports tried when any will do and TCP's choice is taken in UDP.
const TRIES: usize = 16;
/// Files and sockets that the program needs besides its connections.
const OTHER_FILES: usize = 64;
/// Connections kept where the system sets no limit.
const MOST_CONNECTIONS: usize = 100_000;

/// TCP and UDP on the same address and port.
pub(crate) struct Sockets {
    /// TCP.
    pub(crate) tcp: TcpListener,
    /// UDP.
    pub(crate) udp: UdpSocket,
    /// Where both listen.
    pub(crate) address: SocketAddr,
}

impl Sockets {
    /// Opens both. `[::]` takes IPv4 too. Port 0: any port that both have free.
    ///
    /// # Errors
    /// What the system says.
    pub(crate) fn open(wanted: SocketAddr) -> io::Result<Self> {
        let mut tries = if wanted.port() == 0 { TRIES } else { 1 };
        loop {
            tries -= 1;
            let tcp = bound(wanted, Type::STREAM, Protocol::TCP)?;
            tcp.listen(BACKLOG)?;
            let mut address = wanted;
            if let Some(chosen) = tcp.local_addr()?.as_socket() {
                address = chosen;
            }
            match bound(address, Type::DGRAM, Protocol::UDP) {
                Ok(udp) => {
                    // Less room than asked for is no failure.
                    let _ = udp.set_recv_buffer_size(DATAGRAM_ROOM);
                    return Ok(Self {
                        tcp: TcpListener::from_std(tcp.into()),
                        udp: UdpSocket::from_std(udp.into()),
                        address,
                    });
                }
                Err(error) if tries == 0 => return Err(error),
                Err(_) => {}
            }
        }
    }
}

fn bound(address: SocketAddr, kind: Type, protocol: Protocol) -> io::Result<Socket> {
    let socket = Socket::new(Domain::for_address(address), kind, Some(protocol))?;
    if address.is_ipv6() {
        socket.set_only_v6(address.ip() != Ipv6Addr::UNSPECIFIED)?;
    }
    // A receiver that was just ended leaves its port in a waiting state; datagrams have none.
    if cfg!(unix) && protocol == Protocol::TCP {
        socket.set_reuse_address(true)?;
    }
    socket.set_nonblocking(true)?;
    socket.bind(&address.into())?;
    Ok(socket)
}

/// Raises the number of files that may be open as far as this user may, and says how many connections that
/// leaves room for.
pub(crate) fn raise_file_limit() -> usize {
    #[cfg(unix)]
    {
        use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
        let limit = getrlimit(Resource::Nofile);
        if limit.current != limit.maximum {
            // What cannot be raised stays as it is.
            let _ = setrlimit(Resource::Nofile, Rlimit { current: limit.maximum, maximum: limit.maximum });
        }
        let files = getrlimit(Resource::Nofile).current.and_then(|files| usize::try_from(files).ok());
        files.map_or(MOST_CONNECTIONS, |files| files.saturating_sub(OTHER_FILES).clamp(1, MOST_CONNECTIONS))
    }
    #[cfg(not(unix))]
    {
        let _ = OTHER_FILES;
        MOST_CONNECTIONS
    }
}
