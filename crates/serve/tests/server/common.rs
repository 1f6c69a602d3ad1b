//! A server of one's own, and a client that says exactly what it is told to.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::{Arc, Mutex, mpsc};
use std::time::Duration;

use library::Library;
use serve::{Options, PackFile, Stopper};
use store::Store;

/// The example job.
pub(crate) const EXAMPLE: &str = include_str!("../../../../examples/orchard-row/job.toml");

/// A running server; stopped when it goes.
pub(crate) struct Server {
    pub(crate) address: SocketAddr,
    pub(crate) log: Arc<Mutex<Vec<String>>>,
    stopper: Stopper,
    thread: Option<std::thread::JoinHandle<std::io::Result<()>>>,
    _folder: tempfile::TempDir,
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: Vec<u8>,
}

impl Server {
    pub(crate) fn start() -> Self {
        let folder = tempfile::tempdir().expect("a server of the test's own");
        let store = Store::open(&folder.path().join("jobs.db")).expect("a server of the test's own");
        let log = Arc::new(Mutex::new(Vec::new()));
        let lines = Arc::clone(&log);
        let options = Options {
            listen: "127.0.0.1:0".parse().expect("a server of the test's own"),
            store,
            library: Arc::new(Library::embedded()),
            author: "A. Person".to_owned(),
            packer: Box::new(|assessed, of| {
                let circuits = assessed.summary().circuits;
                Ok(vec![PackFile {
                    name: "pack.pdf".to_owned(),
                    bytes: format!("{} {circuits} change {} checked {:?}", of.paper, of.version, of.checked)
                        .into(),
                }])
            }),
            log: Box::new(move |line| {
                lines.lock().expect("a server of the test's own").push(line.to_owned())
            }),
        };
        let stopper = Stopper::default();
        let stops = stopper.clone();
        let (ready, is_ready) = mpsc::channel();
        let thread = std::thread::spawn(move || {
            serve::run(options, &stops, |address| ready.send(address).expect("a server of the test's own"))
        });
        let address = is_ready.recv().expect("a server of the test's own");
        Self { address, log, stopper, thread: Some(thread), _folder: folder }
    }

    /// Stops it, and what it says then.
    pub(crate) fn stop(mut self) -> std::io::Result<()> {
        self.stopper.stop();
        self.thread.take().expect("a server of the test's own").join().expect("it ends without a panic")
    }

    pub(crate) fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.address).expect("a server of the test's own");
        stream.set_read_timeout(Some(Duration::from_secs(20))).expect("a server of the test's own");
        stream
    }

    /// Sends octets as they are, and reads to the end.
    pub(crate) fn raw(&self, octets: &[u8]) -> Answer {
        let mut stream = self.connect();
        // The server may hang up before it has heard all.
        let _ = stream.write_all(octets);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        parse(&all)
    }

    pub(crate) fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let mut head = format!("{method} {path} HTTP/1.1\r\nconnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "host") {
            head.push_str(&format!("host: {}\r\n", self.address));
        }
        for (name, value) in headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        if !body.is_empty() {
            head.push_str(&format!("content-length: {}\r\n", body.len()));
        }
        let mut octets = format!("{head}\r\n").into_bytes();
        octets.extend_from_slice(body);
        self.raw(&octets)
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        self.ask("GET", path, &[], b"")
    }

    pub(crate) fn form(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let body: Vec<String> =
            fields.iter().map(|(name, value)| format!("{name}={}", encoded(value))).collect();
        let kind = ("content-type", "application/x-www-form-urlencoded");
        self.ask("POST", path, &[kind], body.join("&").as_bytes())
    }

    pub(crate) fn json(&self, method: &str, path: &str, body: &serde_json::Value) -> Answer {
        self.ask(method, path, &[("content-type", "application/json")], body.to_string().as_bytes())
    }

    /// Keeps a job with a text.
    pub(crate) fn keep(&self, id: &str, text: &str) {
        let made = self.json("POST", "/api/v1/jobs", &serde_json::json!({ "id": id, "text": text }));
        assert_eq!(made.status, 201, "{}", made.text());
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.stopper.stop();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl Answer {
    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub(crate) fn as_json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.text()))
    }

    /// A header; empty when it is not there.
    pub(crate) fn header(&self, name: &str) -> &str {
        let lines = self.head.lines().filter_map(|line| line.split_once(':'));
        let found =
            lines.filter(|(key, _)| key.eq_ignore_ascii_case(name)).map(|(_, value)| value.trim()).next();
        found.unwrap_or_default()
    }
}

/// As a form encodes it.
pub(crate) fn encoded(text: &str) -> String {
    let one = |byte: u8| match byte {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => char::from(byte).to_string(),
        other => format!("%{other:02X}"),
    };
    text.bytes().map(one).collect()
}

fn parse(all: &[u8]) -> Answer {
    let split = all.windows(4).position(|part| part == b"\r\n\r\n");
    let Some(split) = split else { return Answer { status: 0, head: String::new(), body: all.to_vec() } };
    let head = String::from_utf8_lossy(&all[..split]).into_owned();
    let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
    Answer { status, head, body: all[split + 4..].to_vec() }
}
