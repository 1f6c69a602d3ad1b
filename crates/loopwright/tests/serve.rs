//! `serve` and `store` as a person starts them: the address, the numbers, kills at any moment, copies and folders.

#![expect(clippy::print_stdout, reason = "how many kills and what they hit")]

mod common;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::time::Duration;

use common::{program, run};
use serde_json::{Value, json};

const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");

/// A running server.
struct Server {
    child: Child,
    address: SocketAddr,
}

impl Server {
    fn start(db: &Path) -> Self {
        let mut child = program(&["serve", "--listen", "127.0.0.1:0", "--db", &db.to_string_lossy()])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program was built");
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().expect("piped"))
            .read_line(&mut line)
            .expect("it says its address");
        let address = line.trim().strip_prefix("http://").and_then(|rest| rest.strip_suffix('/'));
        let address = address.and_then(|address| address.parse().ok());
        Self { child, address: address.unwrap_or_else(|| panic!("no address: {line:?}")) }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Asks; the status and what came, or none when nobody answers any more.
fn ask(address: SocketAddr, method: &str, path: &str, body: &str) -> Option<(u16, String)> {
    let mut stream = TcpStream::connect(address).ok()?;
    stream.set_read_timeout(Some(Duration::from_secs(20))).ok()?;
    let head = format!(
        "{method} {path} HTTP/1.1\r\nhost: {address}\r\nconnection: close\r\ncontent-type: application/json\r\n\
         content-length: {}\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(head.as_bytes()).ok()?;
    let mut all = String::new();
    stream.read_to_string(&mut all).ok()?;
    let (head, body) = all.split_once("\r\n\r\n")?;
    let status = head.split(' ').nth(1)?.parse().ok()?;
    let length = head.lines().find_map(|line| line.strip_prefix("content-length: "))?;
    (length.parse() == Ok(body.len())).then(|| (status, body.to_owned()))
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("the build's folder can be written");
    folder
}

#[test]
fn the_first_page_is_there_without_an_account_and_other_machines_are_kept_out() {
    let folder = folder("serve-first");
    let server = Server::start(&folder.join("jobs.db"));
    let (status, page) = ask(server.address, "GET", "/", "").expect("it answers");
    assert_eq!(status, 200);
    assert!(page.contains("Open the example"));
    for address in ["0.0.0.0:0", "[::]:0", "192.0.2.7:8420"] {
        let refused = run(&["serve", "--listen", address]);
        assert_eq!(refused.code, 2, "{address}");
        assert!(refused.talk.contains("127.0.0.1:PORT"), "{}", refused.talk);
    }
    let port = server.address.to_string();
    let taken = run(&["serve", "--listen", &port, "--db", &folder.join("other.db").to_string_lossy()]);
    assert_eq!(taken.code, 2);
    assert!(taken.talk.contains("in use already"), "{}", taken.talk);
    let not_ours = folder.join("not.db");
    std::fs::write(&not_ours, "not a database ".repeat(100)).expect("the build's folder can be written");
    let refused = run(&["serve", "--listen", "127.0.0.1:0", "--db", &not_ours.to_string_lossy()]);
    assert_eq!(refused.code, 2, "{}", refused.talk);
}

#[test]
fn the_numbers_are_those_of_the_command_line() {
    let server = Server::start(&folder("serve-numbers").join("jobs.db"));
    let orchard = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/orchard-row");
    let orchard = orchard.to_string_lossy();
    let body = json!({ "id": "orchard", "text": EXAMPLE }).to_string();
    let (status, _) = ask(server.address, "POST", "/api/v1/jobs", &body).expect("it answers");
    assert_eq!(status, 201);
    for (path, words) in [
        ("assessment", &["assess", &orchard, "--json"][..]),
        ("assessment?all=true", &["assess", &orchard, "--json", "--all"]),
        ("identify", &["identify", &orchard, "--json"]),
        ("allocate", &["allocate", &orchard, "--json"]),
        ("allocate?nodes=3", &["allocate", &orchard, "--json", "--nodes", "3"]),
        ("allocate?compare=", &["allocate", &orchard, "--json", "--compare"]),
        (
            "allocate?compare=orchard&time_limit=10s",
            &["allocate", &orchard, "--json", "--compare", &orchard, "--time-limit", "10s"],
        ),
        ("cutover", &["cutover", &orchard, "--json"]),
        ("cutover?way=swap&nodes=2000", &["cutover", &orchard, "--json", "--way", "swap", "--nodes", "2000"]),
        ("kit", &["kit", &orchard, "--json"]),
        ("kit?date=2031-01-31", &["kit", &orchard, "--json", "--date", "2031-01-31"]),
    ] {
        let path = format!("/api/v1/jobs/orchard/{path}");
        let (status, text) = ask(server.address, "GET", &path, "").expect("it answers");
        assert_eq!(status, 200);
        assert!(text == run(words).out, "{path} is not what {words:?} prints");
    }
}

/// What computes for long waits for its turn, and no page waits for it.
#[test]
fn pages_come_while_much_is_computed() {
    let folder = folder("serve-long");
    let server = Server::start(&folder.join("jobs.db"));
    let campus = include_str!("../../../examples/campus/job.toml");
    for (id, text) in [("campus", campus), ("yard", "format = 1\n")] {
        let body = json!({ "id": id, "text": text }).to_string();
        assert_eq!(ask(server.address, "POST", "/api/v1/jobs", &body).expect("it answers").0, 201);
    }
    let address = server.address;
    std::thread::scope(|scope| {
        let long =
            || ask(address, "GET", "/api/v1/jobs/campus/allocate?nodes=1", "").map(|(status, _)| status);
        let asked: Vec<_> = (0..8).map(|_| scope.spawn(long)).collect();
        let mut slowest = Duration::ZERO;
        while !asked.iter().all(std::thread::ScopedJoinHandle::is_finished) {
            let begun = std::time::Instant::now();
            assert_eq!(ask(address, "GET", "/j/yard/circuits", "").expect("it answers").0, 200);
            slowest = slowest.max(begun.elapsed());
            std::thread::sleep(Duration::from_millis(20));
        }
        let statuses: Vec<_> = asked.into_iter().map(|one| one.join().expect("no panic")).collect();
        assert_eq!(statuses, [Some(200); 8]);
        // A machine that builds beside it is slow; a page that waited for all of them would take far longer.
        assert!(slowest < Duration::from_secs(3), "{slowest:?}");
        println!("slowest page {slowest:?}");
    });
}

#[cfg(unix)]
#[test]
fn a_word_from_the_system_ends_it_in_order() {
    let folder = folder("serve-term");
    let db = folder.join("jobs.db");
    let mut server = Server::start(&db);
    let body = json!({ "id": "yard", "text": "format = 1\n" }).to_string();
    ask(server.address, "POST", "/api/v1/jobs", &body).expect("it answers");
    let process = rustix::process::Pid::from_child(&server.child);
    rustix::process::kill_process(process, rustix::process::Signal::TERM).expect("our own child");
    assert_eq!(server.child.wait().expect("our own child").code(), Some(0));
    let left = std::fs::read_dir(&folder).expect("our own folder");
    let mut left: Vec<_> = left.map(|entry| entry.expect("our own folder").file_name()).collect();
    left.sort();
    assert_eq!(left, ["jobs.db", "jobs.db.lock"], "the one file is everything, beside its empty lock");
}

/// A kill in the middle of writing, again and again; `LOOPWRIGHT_KILLS` says how often.
#[test]
fn what_was_answered_survives_a_kill() {
    let kills: usize = std::env::var("LOOPWRIGHT_KILLS").map_or(12, |count| count.parse().expect("a number"));
    let db = folder("serve-kills").join("jobs.db");
    let mut acknowledged: Vec<String> = Vec::new();
    let mut version = 0;
    for round in 0..kills {
        let server = Server::start(&db);
        let address = server.address;
        if round == 0 {
            let body = json!({ "id": "yard", "text": "format = 1\n[site]\nname = \"0\"\n" }).to_string();
            assert_eq!(ask(address, "POST", "/api/v1/jobs", &body).expect("it answers").0, 201);
        }
        check(address, &acknowledged, version);
        let clients: Vec<_> =
            (0..3).map(|client| std::thread::spawn(move || write(address, round, client))).collect();
        std::thread::sleep(Duration::from_micros((round as u64 * 7919) % 60_000));
        drop(server);
        for client in clients {
            let (ids, newest) = client.join().expect("a client");
            acknowledged.extend(ids);
            version = version.max(newest);
        }
    }
    let server = Server::start(&db);
    check(server.address, &acknowledged, version);
    assert!(acknowledged.len() >= kills, "too few were acknowledged: {}", acknowledged.len());
    println!("{kills} kills, {} entries acknowledged, version {version}", acknowledged.len());
}

/// Writes until nobody answers: ids of entries, and the newest version, that were acknowledged.
fn write(address: SocketAddr, round: usize, client: usize) -> (Vec<String>, i64) {
    let (mut ids, mut newest) = (Vec::new(), 0);
    for at in 0.. {
        let id = format!("e{round}-{client}-{at}");
        let entry = json!({ "id": id, "kind": "note", "words": "x".repeat(at % 50 * 20) }).to_string();
        match ask(address, "POST", "/api/v1/jobs/yard/evidence", &entry) {
            Some((201, _)) => ids.push(id.clone()),
            Some((status, said)) => panic!("{status}: {said}"),
            None => break,
        }
        let Some((_, kept)) = ask(address, "GET", "/api/v1/jobs/yard", "") else { break };
        let version = serde_json::from_str::<Value>(&kept).expect("JSON")["version"].clone();
        let text = format!("format = 1\n[site]\nname = \"{round} {client} {at}\"\n");
        let put = json!({ "version": version, "id": format!("c{id}"), "text": text }).to_string();
        match ask(address, "PUT", "/api/v1/jobs/yard", &put) {
            Some((200, said)) => {
                let said: Value = serde_json::from_str(&said).expect("JSON");
                newest = newest.max(said["version"].as_i64().expect("a version"));
            }
            // Another client was quicker.
            Some((409, _)) => {}
            Some((status, said)) => panic!("{status}: {said}"),
            None => break,
        }
    }
    (ids, newest)
}

fn check(address: SocketAddr, acknowledged: &[String], version: i64) {
    let (_, kept) = ask(address, "GET", "/api/v1/jobs/yard", "").expect("it answers");
    let kept: Value = serde_json::from_str(&kept).expect("JSON");
    assert!(kept["version"].as_i64() >= Some(version), "version {version} is lost: {kept}");
    let (_, lines) = ask(address, "GET", "/j/yard/evidence.jsonl", "").expect("it answers");
    for id in acknowledged {
        assert!(lines.contains(&format!("\"{id}\"")), "{id} is lost");
    }
}

#[test]
fn a_job_goes_in_and_comes_out_as_it_was() {
    let folder = folder("store-folders");
    let db = folder.join("jobs.db");
    let db = db.to_string_lossy();
    let source = folder.join("Mill Lane");
    std::fs::create_dir_all(&source).expect("our own folder");
    std::fs::write(source.join("job.toml"), EXAMPLE).expect("our own folder");
    let evidence = "{\"kind\":\"signal\",\"way\":\"received\",\"at\":\"2026-03-14T09:26:53Z\"}\n{\"kind\":\"signal\",\"way\":\"received\",\"at\":\"2026-03-14T09:26:53Z\"}\nnot JSON\n";
    std::fs::write(source.join("evidence.jsonl"), evidence).expect("our own folder");
    let taken = run(&["store", "import", &source.to_string_lossy(), "--db", &db]);
    assert_eq!((taken.code, taken.out.as_str()), (0, "mill-lane\n"), "{}", taken.talk);
    let again = run(&["store", "import", &source.to_string_lossy(), "--db", &db]);
    assert_eq!(again.code, 2);
    assert!(again.talk.contains("--as ID"), "{}", again.talk);
    let out = folder.join("out");
    let out = out.to_string_lossy();
    assert_eq!(run(&["store", "export", "mill-lane", &out, "--db", &db]).code, 0);
    let read = |name: &str| std::fs::read_to_string(Path::new(&*out).join(name)).expect("it was written");
    assert_eq!((read("job.toml").as_str(), read("evidence.jsonl").as_str()), (EXAMPLE, evidence));
    assert_eq!(run(&["store", "import", &out, "--as", "second", "--db", &db]).code, 0);
    let missing = run(&["store", "export", "third", &out, "--db", &db]);
    assert_eq!(missing.code, 2);
    assert!(
        missing.talk.contains("mill-lane, second") || missing.talk.contains("second, mill-lane"),
        "{}",
        missing.talk
    );
    let broken = folder.join("broken.toml");
    std::fs::write(&broken, "format = 1\n[site]\nnmae = \"x\"\n").expect("our own folder");
    let refused = run(&["store", "import", &broken.to_string_lossy(), "--db", &db]);
    assert_eq!(refused.code, 2);
    assert!(refused.talk.contains("nmae"), "{}", refused.talk);
}

#[test]
fn a_backup_is_made_beside_a_running_server_and_brings_everything_back() {
    let folder = folder("store-backup");
    let db = folder.join("jobs.db");
    let file = folder.join("copy.db");
    let (db_name, file_name) = (db.to_string_lossy(), file.to_string_lossy());
    let job = |server: &Server, id: &str| {
        let body = json!({ "id": id, "text": "format = 1\n" }).to_string();
        ask(server.address, "POST", "/api/v1/jobs", &body).expect("it answers").0
    };
    let server = Server::start(&db);
    assert_eq!(job(&server, "kept"), 201);
    assert_eq!(run(&["store", "backup", &file_name, "--db", &db_name]).code, 0);
    assert_eq!(run(&["store", "backup", &file_name, "--db", &db_name]).code, 2, "never over another file");
    assert_eq!(job(&server, "later"), 201);
    drop(server);
    assert_eq!(run(&["store", "restore", &file_name, "--db", &db_name]).code, 0);
    let server = Server::start(&db);
    let (_, jobs) = ask(server.address, "GET", "/api/v1/jobs", "").expect("it answers");
    assert!(jobs.contains("\"kept\"") && !jobs.contains("\"later\""), "{jobs}");
}
