//! `serve` under load: start to first page, fifty users on a job of 200 circuits, the answer to a reading, the memory of
//! 200 jobs, a list of 50,000.
//!
//! Everything runs on this machine, clients included, over loopback. `-- start`, `-- users`, `-- reading`, `-- memory`,
//! `-- list` do one part alone.

#![expect(clippy::print_stdout, reason = "a benchmark's figures")]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use store::{Batch, Store, Summary, Write as Kept};

const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");
const STARTS: usize = 20;
const USERS: usize = 50;
const EVERY: Duration = Duration::from_secs(2);
const LOADED: Duration = Duration::from_secs(40);
const READINGS: usize = 60;
const JOBS: usize = 200;
const LIST: usize = 50_000;

/// One thing that is measured, with a file of its own for the store.
type Part = fn(&Path);

fn main() {
    if std::env::args().any(|word| word == "--test") {
        return;
    }
    let folder = std::env::temp_dir().join(format!("loopwright-serve-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("the folder for temporary files can be written");
    let parts: [(&str, Part); 5] =
        [("start", start), ("users", users), ("reading", reading), ("memory", memory), ("list", list)];
    let asked: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    for (name, run) in parts {
        if asked.is_empty() || asked.iter().any(|word| word == name) {
            run(&folder.join(format!("{name}.db")));
        }
    }
    let _ = std::fs::remove_dir_all(&folder);
}

/// A server of one's own.
struct Server {
    child: Child,
    address: SocketAddr,
    log: std::thread::JoinHandle<Vec<String>>,
}

impl Server {
    fn start(db: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_loopwright"))
            .args(["serve", "--listen", "127.0.0.1:0", "--db"])
            .arg(db)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program was built");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("piped"))
            .read_line(&mut line)
            .expect("it says its address");
        let address = line.trim().trim_start_matches("http://").trim_end_matches('/');
        let address = address.parse().expect("an address");
        let told = child.stderr.take().expect("piped");
        let log = std::thread::spawn(move || BufReader::new(told).lines().map_while(Result::ok).collect());
        Self { child, address, log }
    }

    /// Stops it; the lines of its log.
    fn stop(mut self) -> Vec<String> {
        let _ = self.child.kill();
        let _ = self.child.wait();
        self.log.join().expect("it only reads")
    }

    /// Resident memory in MB: now, and at most so far.
    fn memory_mb(&self) -> (f64, f64) {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap_or_default();
        let of = |name: &str| {
            let line = status.lines().find_map(|line| line.strip_prefix(name)).unwrap_or_default();
            line.trim().trim_end_matches(" kB").parse::<f64>().unwrap_or(f64::NAN) / 1024.0
        };
        (of("VmRSS:"), of("VmHWM:"))
    }
}

/// A browser's connection.
struct Client(BufReader<TcpStream>, SocketAddr);

impl Client {
    fn new(address: SocketAddr) -> Self {
        let stream = TcpStream::connect(address).expect("it listens");
        stream.set_nodelay(true).expect("a socket");
        Self(BufReader::new(stream), address)
    }

    /// Asks and reads the whole answer: its status, a header that was asked for, its length, and how long it took.
    fn ask(&mut self, method: &str, path: &str, kind: &str, body: &str) -> (u16, String, usize, Duration) {
        let begun = Instant::now();
        let head = format!(
            "{method} {path} HTTP/1.1\r\nhost: {}\r\naccept-encoding: gzip\r\ncontent-type: {kind}\r\ncontent-length: \
             {}\r\n\r\n{body}",
            self.1,
            body.len()
        );
        self.0.get_mut().write_all(head.as_bytes()).expect("it hears");
        let (mut status, mut length, mut location) = (0, 0, String::new());
        loop {
            let mut line = String::new();
            self.0.read_line(&mut line).expect("it answers");
            let line = line.trim_end();
            if line.is_empty() {
                break;
            }
            if status == 0 {
                status = line.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
            } else if let Some((name, value)) = line.split_once(':') {
                match name {
                    "content-length" => length = value.trim().parse().unwrap_or(0),
                    "location" => value.trim().clone_into(&mut location),
                    _ => {}
                }
            }
        }
        let mut body = vec![0; length];
        self.0.read_exact(&mut body).expect("it answers wholly");
        (status, location, length, begun.elapsed())
    }

    fn get(&mut self, path: &str) -> (usize, Duration) {
        let (status, _, length, took) = self.ask("GET", path, "text/plain", "");
        assert_eq!(status, 200, "{path}");
        (length, took)
    }
}

/// A building of 200 circuits: most known, some read and not settled, some untouched.
fn building() -> String {
    let mut text = String::from(
        "format = 1\n[site]\nname = \"A building of 200 circuits\"\n[[enclosure]]\nid = \"E1\"\nprofile = \"enclosure-large\"\n",
    );
    for module in 1..=17 {
        text.push_str(&format!(
            "[[module]]\nid = \"M{module}\"\nenclosure = \"E1\"\nprofile = \"input-12\"\n"
        ));
    }
    for circuit in 0..200 {
        let (module, input) = (circuit / 12 + 1, circuit % 12 + 1);
        text.push_str(&format!(
            "[[circuit]]\ntag = \"C{circuit:03}\"\nplace = \"room {circuit}\"\nduty = \"intrusion\"\nends_in = \"E1\"\ninput = \"M{module}.{input}\"\n"
        ));
        let metres = 10 + circuit * 7 % 60;
        let network = match circuit % 5 {
            0 => format!("wire:{metres}m - nc:door - 2.2k"),
            1 => format!("wire:{metres}m - nc:a - wire:5m - nc:b - wire:4m - nc:c - 2.2k"),
            2 => format!("wire:{metres}m - nc:pir.tamper - (nc:pir | 2.2k) - 2.2k"),
            3 => format!("wire:{metres}m - no:mat | 2.2k"),
            _ => String::new(),
        };
        if !network.is_empty() {
            text.push_str(&format!("network = \"{network}\"\n"));
        } else if circuit % 10 == 4 {
            text.push_str(
                "found = [{ when = \"rest\", ohms = \"2.21k\" }, { when = \"tripped\", ohms = \"open\" }]\n",
            );
        }
    }
    text.push_str("[[supply]]\nid = \"P1\"\nenclosure = \"E1\"\nprofile = \"psu-12v-2a\"\nbattery = \"vrla-12v-12ah\"\nruns = [{ from = \"P1\", to = \"J1\", cable = \"25 m of 18 AWG\" }]\nloads = [{ at = \"J1\", device = \"motion-pir\", count = 10 }]\n");
    text
}

/// Keeps a job through the door for programs; its id.
fn keep(client: &mut Client, id: &str, text: &str) {
    let body = serde_json::json!({ "id": id, "text": text }).to_string();
    let (status, ..) = client.ask("POST", "/api/v1/jobs", "application/json", &body);
    assert_eq!(status, 201);
}

/// The share of a row of times that lies below the printed ones, in ms.
fn said(mut times: Vec<f64>) -> String {
    times.sort_by(f64::total_cmp);
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize];
    format!("median {:.1} ms, 99 % {:.1} ms, worst {:.1} ms of {}", at(0.5), at(0.99), at(1.0), times.len())
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// From the start of the process to the whole first page.
fn start(db: &Path) {
    let mut times = Vec::new();
    for _ in 0..STARTS {
        let begun = Instant::now();
        let server = Server::start(db);
        Client::new(server.address).get("/");
        times.push(ms(begun.elapsed()));
        server.stop();
    }
    println!("start to first page: {}", said(times));
}

/// Fifty users who each load a page every two seconds; one in forty keeps a reading in between.
fn users(db: &Path) {
    let server = Server::start(db);
    let mut first = Client::new(server.address);
    keep(&mut first, "building", &building());
    clear(&mut first);
    let pages: Vec<String> = [
        "circuits",
        "survey",
        "supplies",
        "inputs",
        "record",
        "walk",
        "s/P1",
        "c/C001",
        "c/C102",
        "survey/C004",
        "survey/C009",
        "assess.json",
    ]
    .map(|room| format!("/j/building/{room}"))
    .to_vec();
    let end = Instant::now() + LOADED;
    let users: Vec<_> = (0..USERS)
        .map(|user| {
            let (address, pages) = (server.address, pages.clone());
            std::thread::spawn(move || {
                std::thread::sleep(
                    EVERY * u32::try_from(user).unwrap_or(0) / u32::try_from(USERS).unwrap_or(1),
                );
                let mut client = Client::new(address);
                let (mut times, mut page, mut bytes) = (Vec::new(), user, 0);
                while Instant::now() < end {
                    let begun = Instant::now();
                    let (length, took) = client.get(&pages[page % pages.len()]);
                    times.push(ms(took));
                    bytes += length;
                    if page % 40 == 7 {
                        keep_reading(&mut client, user, page);
                    }
                    page += 1;
                    std::thread::sleep(EVERY.saturating_sub(begun.elapsed()));
                }
                (times, bytes)
            })
        })
        .collect();
    let done: Vec<_> = users.into_iter().map(|user| user.join().expect("a user")).collect();
    let times: Vec<f64> = done.iter().flat_map(|(times, _)| times.iter().copied()).collect();
    let bytes: usize = done.iter().map(|(_, bytes)| bytes).sum();
    println!(
        "{USERS} users, 200 circuits, as they see it: {}, {} kB a page",
        said(times.clone()),
        bytes / times.len() / 1024
    );
    let (now, most) = server.memory_mb();
    println!("memory after it: {now:.0} MB, at most {most:.0} MB");
    let log = server.stop();
    for (what, kind) in
        [("pages by the server's log", "method=GET"), ("changes by the server's log", "method=POST path=/j/")]
    {
        let of_kind = log.iter().filter(|line| line.contains(kind) && line.contains("/j/building/"));
        let times: Vec<f64> =
            of_kind.filter_map(|line| line.split("ms=").nth(1)?.split(' ').next()?.parse().ok()).collect();
        if !times.is_empty() {
            println!("{what}: {}", said(times));
        }
    }
}

/// The safety entry of the strip: no ohms are kept before it.
fn clear(client: &mut Client) {
    let kind = "application/x-www-form-urlencoded";
    let (status, ..) = client.ask("POST", "/j/building/strip", kind, "id=clear&strip=E1&back=%2F");
    assert_eq!(status, 303, "the strip is not clear");
}

fn keep_reading(client: &mut Client, user: usize, at: usize) {
    let circuit = at % 20 * 10 + 4;
    let body = format!("id=r{at}x{user}&when=rest&shown=2.2{}&unit=kohm&then=next", at % 10);
    let kind = "application/x-www-form-urlencoded";
    let path = format!("/j/building/survey/C{circuit:03}");
    let (status, ..) = client.ask("POST", &path, kind, &body);
    assert_eq!(status, 303, "the reading was not kept");
}

/// A reading is kept, and the page with its answer is there.
fn reading(db: &Path) {
    let server = Server::start(db);
    let mut client = Client::new(server.address);
    keep(&mut client, "building", &building());
    clear(&mut client);
    client.get("/j/building/survey");
    let (mut kept, mut weighed) = (Vec::new(), Vec::new());
    for at in 0..READINGS {
        let circuit = at % 20 * 10 + 9;
        let (_, took) = client
            .get(&format!("/j/building/survey/C{circuit:03}/weigh?when=rest&shown=2.2{}&unit=kohm", at % 10));
        weighed.push(ms(took));
        let body = format!("id=q{at}&when=rest&shown=2.2{}&unit=kohm&then=trip", at % 10);
        let begun = Instant::now();
        let path = format!("/j/building/survey/C{circuit:03}");
        let (status, location, ..) = client.ask("POST", &path, "application/x-www-form-urlencoded", &body);
        assert_eq!(status, 303, "the reading was not kept");
        client.get(location.split('#').next().unwrap_or_default());
        kept.push(ms(begun.elapsed()));
    }
    println!("answer while somebody types: {}", said(weighed));
    println!("reading kept, and the page after it: {}", said(kept));
    server.stop();
}

/// Two hundred jobs, each opened.
fn memory(db: &Path) {
    let server = Server::start(db);
    let mut client = Client::new(server.address);
    let (before, _) = server.memory_mb();
    for job in 0..JOBS {
        keep(&mut client, &format!("job{job}"), EXAMPLE);
        for room in ["circuits", "supplies", "survey", "record"] {
            client.get(&format!("/j/job{job}/{room}"));
        }
    }
    let (now, most) = server.memory_mb();
    println!(
        "memory at start {before:.0} MB, with {JOBS} jobs of 36 circuits, each opened: {now:.0} MB, at most {most:.0} MB"
    );
    server.stop();
}

/// The list of fifty jobs, and of fifty thousand.
fn list(db: &Path) {
    for count in [50, LIST] {
        let path: PathBuf = db.with_extension(count.to_string());
        let store = Store::open(&path).expect("a folder for temporary files");
        let one = |at: usize| {
            let summary = Summary {
                name: format!("Site {at}, {} Lane", ["Mill", "Barn", "Church", "Yard"][at % 4]),
                circuits: 36,
                verdict: "fix".to_owned(),
                answer: "25 of 36 circuits read right".to_owned(),
            };
            Kept::NewJob {
                id: format!("site-{at}"),
                text: "format = 1\n".to_owned(),
                summary,
                what: "begun".to_owned(),
            }
        };
        let at = "2026-03-14T09:26:53Z".to_owned();
        let batch = Batch { at, author: "bench".to_owned(), writes: (0..count).map(one).collect() };
        store.carry_out(&batch).expect("room on the disk");
        drop(store);
        let server = Server::start(&path);
        let mut client = Client::new(server.address);
        let mut timed = |path: &str| {
            client.get(path);
            (0..200).map(|_| ms(client.get(path).1)).collect::<Vec<f64>>()
        };
        println!("list of {count}: {}", said(timed("/")));
        println!("search in {count}: {}", said(timed("/?q=church+7")));
        server.stop();
    }
}
