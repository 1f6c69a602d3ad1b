//! Which addresses may be listened on, and by which names this server may be called.

use std::net::SocketAddr;

/// Why an address is refused.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error(
    "{address} can be reached from other machines, and there are no accounts yet that would ask who comes"
)]
pub struct NotLoopback {
    /// The address.
    pub address: SocketAddr,
}

impl NotLoopback {
    /// What would be accepted.
    #[must_use]
    pub fn accepted(&self) -> &'static str {
        "an address of this machine alone: 127.0.0.1:PORT or [::1]:PORT"
    }
}

/// Refuses an address that other machines could reach.
///
/// # Errors
/// Every address but those of loopback.
pub fn check(address: SocketAddr) -> Result<(), NotLoopback> {
    if address.ip().is_loopback() { Ok(()) } else { Err(NotLoopback { address }) }
}

/// Whether a `Host` header names this server. A page of elsewhere that had its own name point here (DNS rebinding) is
/// told by its name.
pub(crate) fn is_ours(host: &str, address: SocketAddr) -> bool {
    let (name, port) = match host.rsplit_once(':') {
        // A colon inside brackets is part of an address.
        Some((name, port)) if !port.contains(']') => (name, port.parse::<u16>().ok()),
        _ => (host, Some(80)),
    };
    let bare = name.strip_prefix('[').and_then(|name| name.strip_suffix(']')).unwrap_or(name);
    let loopback = bare.parse::<std::net::IpAddr>().is_ok_and(|ip| ip.is_loopback());
    port == Some(address.port()) && (loopback || name.eq_ignore_ascii_case("localhost"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_this_machine_is_listened_on() {
        for address in ["127.0.0.1:80", "[::1]:80", "127.9.9.9:0"] {
            assert_eq!(check(address.parse().unwrap()), Ok(()), "{address}");
        }
        for address in
            ["0.0.0.0:80", "[::]:80", "192.168.0.9:80", "10.0.0.1:1", "[fe80::1]:80", "[::ffff:8.8.8.8]:1"]
        {
            assert!(check(address.parse().unwrap()).is_err(), "{address}");
        }
    }

    #[test]
    fn only_our_own_names_are_answered() {
        let address = "127.0.0.1:8420".parse().unwrap();
        for host in ["127.0.0.1:8420", "localhost:8420", "LOCALHOST:8420", "[::1]:8420"] {
            assert!(is_ours(host, address), "{host}");
        }
        let others = [
            "",
            ":8420",
            "127.0.0.1",
            "127.0.0.1:80",
            "example.org:8420",
            "localhost.example.org:8420",
            "localhost:8420@example.org",
            "127.0.0.1:8420.example.org",
            "[::1]",
            "localhost:",
            "0:8420",
        ];
        for host in others {
            assert!(!is_ours(host, address), "{host}");
        }
        assert!(is_ours("localhost", "127.0.0.1:80".parse().unwrap()));
    }
}
