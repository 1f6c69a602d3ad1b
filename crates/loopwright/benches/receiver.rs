//! The receiver against a bare echo server with the same sockets and the same clients, in the same run; how long an
//! answer takes at a steady rate; what idle connections cost.
//!
//! Everything runs on this machine, clients included. `-- rate`, `-- steady`, `-- idle` do one part alone. `--echo` makes
//! this program the echo server.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a benchmark's figures, and the echo server's port"
)]

use std::io::{BufRead, BufReader, ErrorKind, Read, Write};
use std::net::SocketAddr;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use mio::net::{TcpListener, TcpStream};
use mio::{Events, Interest, Poll, Token};

const CLIENTS: usize = 64;
const WARM_UP: Duration = Duration::from_millis(500);
const MEASURED: Duration = Duration::from_secs(3);
const ROUNDS: usize = 3;
const STEADY_PER_S: u32 = 10_000;
const STEADY: Duration = Duration::from_secs(5);
const IDLE: usize = 10_000;

fn main() {
    if std::env::args().any(|word| word == "--echo") {
        echo();
        return;
    }
    if std::env::args().any(|word| word == "--test") {
        return;
    }
    let folder = std::env::temp_dir().join(format!("loopwright-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("the folder for temporary files can be written");
    let job = folder.join("job.toml");
    std::fs::write(
        &job,
        "format = 1\n[station]\naccount = \"4401\"\n[[module]]\nid = \"M1\"\nprofile = \"input-12\"\n[[circuit]]\n\
         tag = \"C01\"\nduty = \"intrusion\"\ninput = \"M1.1\"\nnetwork = \"nc:a - 2.2k\"\n",
    )
    .expect("the folder for temporary files can be written");
    let job = job.to_string_lossy().into_owned();
    let kinds: [(&str, Vec<&str>); 3] = [
        ("receive, words", vec![]),
        ("receive --json", vec!["--json"]),
        ("receive JOB --json, evidence kept", vec!["--json", &job]),
    ];
    let parts = ["rate", "steady", "idle"];
    let asked: Vec<String> = std::env::args().filter(|word| parts.contains(&word.as_str())).collect();
    let wanted = |part: &str| asked.is_empty() || asked.iter().any(|word| word == part);
    for round in (1..=ROUNDS).filter(|_| wanted("rate")) {
        let bare = rate(&Server::echo());
        println!("round {round}: echo {bare:>9.0} messages/s");
        for (name, words) in &kinds {
            let ours = rate(&Server::receive(words));
            println!(
                "round {round}: {name:<34} {ours:>9.0} messages/s, {:.2} of the echo server",
                ours / bare
            );
        }
    }
    if wanted("steady") {
        for (name, words) in &kinds {
            steady(name, &Server::receive(words));
        }
        steady("echo", &Server::echo());
    }
    if wanted("idle") {
        idle(&Server::receive(&[]));
    }
    // What is left behind in the folder for temporary files hurts nobody.
    let _ = std::fs::remove_dir_all(&folder);
}

/// A server in a process of its own.
struct Server {
    child: Child,
    address: SocketAddr,
}

impl Server {
    fn receive(words: &[&str]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_loopwright"));
        command.args(["receive", "--listen", "127.0.0.1:0"]).args(words);
        Self::start(command)
    }

    fn echo() -> Self {
        let mut command = Command::new(std::env::current_exe().expect("this program's own file"));
        command.arg("--echo");
        Self::start(command)
    }

    fn start(mut command: Command) -> Self {
        let spawned = command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn();
        let mut server = Self { child: spawned.expect("it starts"), address: SocketAddr::from(([0; 4], 0)) };
        let mut told = BufReader::new(server.child.stderr.take().expect("stderr is piped"));
        loop {
            let mut line = String::new();
            assert!(told.read_line(&mut line).expect("it is text") > 0, "it ended");
            let address = line.split("listening on ").nth(1).and_then(|rest| rest.split(',').next());
            if let Some(address) = address {
                server.address = address.trim().parse().expect("an address");
                return server;
            }
        }
    }

    fn memory_mb(&self) -> f64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap_or_default();
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
        let kilobytes = line.and_then(|line| line.split_whitespace().next()?.parse::<f64>().ok());
        kilobytes.unwrap_or(f64::NAN) / 1024.0
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn frame(number: usize) -> Vec<u8> {
    let sequence = format!("{:04}", number % 9999 + 1);
    let header = signal::write::Header {
        id: b"ADM-CID",
        sequence: sequence.as_bytes(),
        receiver: None,
        prefix: b"0",
        account: b"4401",
    };
    let mut into = [0; 128];
    signal::write::clear(&mut into, &header, b"#4401|1130 01 001", b"", None).expect("it fits").to_vec()
}

/// Connected clients, all in this thread.
struct Clients {
    poll: Poll,
    events: Events,
    sockets: Vec<TcpStream>,
}

impl Clients {
    fn connected(to: SocketAddr, count: usize) -> Self {
        let poll = Poll::new().expect("a poll");
        let mut sockets = Vec::with_capacity(count);
        for at in 0..count {
            let stream = std::net::TcpStream::connect(to).expect("it listens");
            stream.set_nodelay(true).expect("a setting");
            stream.set_nonblocking(true).expect("a setting");
            let mut socket = TcpStream::from_std(stream);
            poll.registry().register(&mut socket, Token(at), Interest::READABLE).expect("room for it");
            sockets.push(socket);
        }
        Self { poll, events: Events::with_capacity(1024), sockets }
    }

    fn send(&mut self, at: usize, octets: &[u8]) {
        let sent = self.sockets[at].write(octets).expect("room in the socket");
        assert_eq!(sent, octets.len());
    }

    /// Hands out, for each client, how many answers came.
    fn answers(&mut self, wait: Duration, mut each: impl FnMut(usize, usize)) {
        self.poll.poll(&mut self.events, Some(wait)).expect("events");
        let mut buffer = [0; 16 * 1024];
        for event in &self.events {
            let at = event.token().0;
            let mut ends = 0;
            loop {
                match self.sockets[at].read(&mut buffer) {
                    Ok(0) => panic!("it closed"),
                    Ok(count) => ends += buffer[..count].iter().filter(|octet| **octet == b'\r').count(),
                    Err(error) if error.kind() == ErrorKind::WouldBlock => break,
                    Err(error) => panic!("{error}"),
                }
            }
            each(at, ends);
        }
    }
}

/// Messages a second with every client sending its next message when the last one was answered.
fn rate(server: &Server) -> f64 {
    let mut clients = Clients::connected(server.address, CLIENTS);
    let frames: Vec<Vec<u8>> = (0..9999).map(frame).collect();
    let mut next = 0;
    for (at, frame) in frames.iter().enumerate().take(CLIENTS) {
        clients.send(at, frame);
        next += 1;
    }
    let begun = Instant::now();
    let mut counted = 0_usize;
    let mut counting_since = None;
    let mut answered = Vec::new();
    loop {
        clients.answers(Duration::from_secs(10), |at, ends| answered.push((at, ends)));
        for (at, ends) in answered.drain(..) {
            for _ in 0..ends {
                clients.send(at, &frames[next % frames.len()]);
                next += 1;
            }
            counted += ends;
        }
        match counting_since {
            None if begun.elapsed() >= WARM_UP => {
                counted = 0;
                counting_since = Some(Instant::now());
            }
            Some(since) if since.elapsed() >= MEASURED => {
                return counted as f64 / since.elapsed().as_secs_f64();
            }
            _ => {}
        }
    }
}

/// How long answers take at a steady rate, whatever the server does meanwhile.
fn steady(name: &str, server: &Server) {
    let mut clients = Clients::connected(server.address, CLIENTS);
    let mut asked: Vec<std::collections::VecDeque<Instant>> = vec![Default::default(); CLIENTS];
    let mut took: Vec<Duration> = Vec::new();
    let begun = Instant::now();
    let mut sent = 0_u32;
    let wanted = STEADY_PER_S * u32::try_from(STEADY.as_secs()).unwrap_or(1);
    while took.len() < wanted as usize && begun.elapsed() < STEADY * 4 {
        while sent < wanted {
            let due = begun + Duration::from_secs(1) / STEADY_PER_S * sent;
            if due > Instant::now() {
                break;
            }
            let at = sent as usize % CLIENTS;
            // Counted from when it was due: a server that makes us late is not forgiven for it.
            asked[at].push_back(due);
            clients.send(at, &frame(sent as usize));
            sent += 1;
        }
        clients.answers(Duration::from_micros(100), |at, ends| {
            for _ in 0..ends {
                took.extend(asked[at].pop_front().map(|due| due.elapsed()));
            }
        });
    }
    took.sort_unstable();
    let share = |share: f64| took[((took.len() - 1) as f64 * share) as usize].as_secs_f64() * 1e3;
    println!(
        "{name}: {} of {wanted} answered at {STEADY_PER_S} messages/s: half within {:.3} ms, 99 % within {:.3} ms, all within {:.3} ms",
        took.len(),
        share(0.5),
        share(0.99),
        share(1.0)
    );
}

/// What idle connections cost.
fn idle(server: &Server) {
    let before = server.memory_mb();
    let mut clients = Clients::connected(server.address, IDLE);
    for at in 0..IDLE {
        clients.send(at, &frame(at));
    }
    let mut count = 0;
    while count < IDLE {
        clients.answers(Duration::from_secs(10), |_, ends| count += ends);
    }
    std::thread::sleep(Duration::from_secs(3));
    println!(
        "{IDLE} connections that have each sent a message and are idle: {:.1} MB in all, {:.1} MB before",
        server.memory_mb(),
        before
    );
}

/// The peer: takes connections, sends back what comes.
fn echo() {
    const LISTENER: Token = Token(usize::MAX);
    let mut poll = Poll::new().expect("a poll");
    let mut listener = TcpListener::bind(SocketAddr::from(([127, 0, 0, 1], 0))).expect("a port");
    poll.registry().register(&mut listener, LISTENER, Interest::READABLE).expect("room for it");
    eprintln!("listening on {}, echo", listener.local_addr().expect("an address"));
    let mut events = Events::with_capacity(1024);
    let mut sockets: Vec<TcpStream> = Vec::new();
    let mut buffer = vec![0; 16 * 1024];
    loop {
        poll.poll(&mut events, None).expect("events");
        for event in &events {
            if event.token() == LISTENER {
                while let Ok((mut socket, _)) = listener.accept() {
                    socket.set_nodelay(true).expect("a setting");
                    poll.registry()
                        .register(&mut socket, Token(sockets.len()), Interest::READABLE | Interest::WRITABLE)
                        .expect("room for it");
                    sockets.push(socket);
                }
                continue;
            }
            let socket = &mut sockets[event.token().0];
            while let Ok(count) = socket.read(&mut buffer) {
                if count == 0 || socket.write(&buffer[..count]).is_err() {
                    break;
                }
            }
        }
    }
}
