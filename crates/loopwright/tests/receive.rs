//! The test receiver as a person would run it: what it prints, answers and keeps.

mod common;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream, UdpSocket};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use common::{jobs, program, run};
use serde_json::Value;

const DOOR: &[u8] = b"\nBF2B0027\"ADM-CID\"0400L0#4401[#4401|1131 01 005]\r";

/// A receiver that is ended when the test is.
struct Receiver {
    child: Child,
    address: SocketAddr,
    talk: String,
}

impl Receiver {
    fn start(words: &[&str]) -> Self {
        let mut all = vec!["receive", "--listen", "127.0.0.1:0"];
        all.extend_from_slice(words);
        let child =
            program(&all).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the program runs");
        let mut receiver = Self { child, address: SocketAddr::from(([0; 4], 0)), talk: String::new() };
        let mut told = BufReader::new(receiver.child.stderr.take().expect("stderr is piped"));
        loop {
            let mut line = String::new();
            assert!(told.read_line(&mut line).expect("it is text") > 0, "it ended: {}", receiver.talk);
            receiver.talk.push_str(&line);
            if let Some(rest) = line.split("listening on ").nth(1) {
                let address = rest.split(',').next().and_then(|address| address.parse().ok());
                receiver.address = address.expect("an address");
                return receiver;
            }
        }
    }

    /// Ends it, and returns what it printed.
    fn end(mut self) -> String {
        std::thread::sleep(Duration::from_millis(200));
        self.child.kill().expect("it runs");
        let mut out = String::new();
        let mut from = self.child.stdout.take().expect("stdout is piped");
        from.read_to_string(&mut out).expect("it is text");
        out
    }

    fn tcp(&self, octets: &[u8], answers: usize) -> Vec<u8> {
        let mut stream = TcpStream::connect(self.address).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(10))).expect("a time");
        stream.write_all(octets).expect("it takes octets");
        let mut got = Vec::new();
        let mut buffer = [0; 4096];
        while got.iter().filter(|octet| **octet == b'\r').count() < answers {
            let count = stream.read(&mut buffer).expect("an answer");
            assert!(count > 0, "it closed");
            got.extend_from_slice(&buffer[..count]);
        }
        got
    }
}

impl Drop for Receiver {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn frame(data: &str, sequence: u32) -> Vec<u8> {
    let sequence = format!("{sequence:04}");
    let header = signal::write::Header {
        id: b"ADM-CID",
        sequence: sequence.as_bytes(),
        receiver: None,
        prefix: b"0",
        account: b"4401",
    };
    let mut into = [0; 256];
    signal::write::clear(&mut into, &header, data.as_bytes(), b"", None).expect("it fits").to_vec()
}

/// A copy of the test job, for its evidence to lie beside it.
fn job(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("the build's folder can be written");
    std::fs::copy(jobs().join("signals/job.toml"), folder.join("job.toml")).expect("a copy");
    folder
}

#[test]
fn it_says_what_it_is_and_answers_on_both_transports() {
    let receiver = Receiver::start(&[]);
    assert!(receiver.talk.contains("no monitoring receiver"), "{}", receiver.talk);
    assert_eq!(receiver.tcp(DOOR, 1), b"\n01F90012\"ACK\"0400L0#4401[]\r");
    let socket = UdpSocket::bind("127.0.0.1:0").expect("a socket");
    socket.set_read_timeout(Some(Duration::from_secs(10))).expect("a time");
    socket.send_to(DOOR, receiver.address).expect("sent");
    let mut buffer = [0; 256];
    let count = socket.recv(&mut buffer).expect("an answer");
    assert_eq!(&buffer[..count], b"\n01F90012\"ACK\"0400L0#4401[]\r");
    let out = receiver.end();
    assert!(out.contains("4401    perimeter zone in alarm, area 1, zone 5\n"), "{out}");
    assert!(out.contains("sent again, counted once"), "{out}");
}

#[test]
fn json_is_as_its_schema_says() {
    let folder = job("schema");
    let receiver = Receiver::start(&["--json", "--clock", "2026-03-14T09:26:53Z", &folder.to_string_lossy()]);
    let late = b"\nDE09003A\"SIA-DCS\"0101L0#4401[#4401|Nri1/BA012]_09:26:53,03-14-2026\r";
    receiver.tcp(&[DOOR, b"noise", late, &DOOR[..20], DOOR].concat(), 3);
    let out = receiver.end();
    let schema: Value = serde_json::from_str(&run(&["schema", "receive"]).out).expect("JSON");
    let validator = jsonschema::draft202012::new(&schema).expect("it is a schema");
    let lines: Vec<Value> = out.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    for line in &lines {
        let errors: Vec<String> = validator.iter_errors(line).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{line}: {errors:?}");
    }
    let outcomes: Vec<&str> = lines.iter().filter_map(|line| line["outcome"].as_str()).collect();
    assert_eq!(outcomes, ["ack", "ignored", "ack", "ignored", "ack"]);
    assert_eq!(lines[4]["duplicate"], true);
    assert_eq!(lines[2]["events"][0]["mods"]["ri"], "1");
}

#[test]
fn signals_are_tied_to_the_job_and_kept() {
    let folder = job("tied");
    let path = folder.to_string_lossy();
    let receiver = Receiver::start(&[&path]);
    assert!(receiver.talk.contains("0 of "), "{}", receiver.talk);
    let messages = [
        "#4401|1134 01 001",
        "#4401|1131 01 002",
        "#4401|3131 01 002",
        "#4401|1131 01 002",
        "#4401|1302 00 000",
        "#4401|1110 01 012",
        "#4401|1130 01 077",
    ];
    for (at, data) in (1..).zip(messages) {
        receiver.tcp(&frame(data, at), 1);
    }
    let other = frame("#4402|1134 01 001", 50);
    receiver.tcp(&other, 1);
    let out = receiver.end();
    for wanted in [
        "→ C01 street door: alarm, as expected\n",
        "→ C02 store, two windows: alarm, as expected (1 of 2)\n",
        "→ C02 store, two windows: alarm restored, as expected (1 of 2)\n",
        "→ C02 store, two windows: alarm, as expected (2 of 2)\n",
        "→ C03 store, smoke: its number, but not a code that is expected of it\n",
        "→ not expected by this job\n",
    ] {
        assert!(out.contains(wanted), "{wanted} in {out}");
    }
    assert!(out.contains("account 4401 and the data's 4402 differ"), "{out}");
    let kept = std::fs::read_to_string(folder.join("evidence.jsonl")).expect("evidence");
    let other: Value = serde_json::from_str(kept.lines().last().expect("a line")).expect("JSON");
    assert_eq!(other["ties"].as_array().map(Vec::len), Some(0), "two accounts tie to nothing");
    assert_eq!(kept.lines().count(), messages.len() + 1);
    let first: Value = serde_json::from_str(kept.lines().next().expect("a line")).expect("JSON");
    assert_eq!(first["ties"][0]["expected"], "C01 alarm");
    assert_eq!(first["way"], "received");
    // The next run goes on where this one ended; a torn line stays and is passed over.
    std::fs::write(folder.join("evidence.jsonl"), format!("{kept}{{\"kind\":")).expect("written");
    let again = Receiver::start(&[&path]);
    assert!(again.talk.contains("1 lines cannot be read"), "{}", again.talk);
    assert!(again.talk.contains("2 of "), "{}", again.talk);
    again.tcp(&frame("#4401|3134 01 001", 9), 1);
    again.end();
    let grown = std::fs::read_to_string(folder.join("evidence.jsonl")).expect("evidence");
    assert!(grown.starts_with(&kept), "nothing is changed");
    assert_eq!(grown.lines().count(), messages.len() + 3);
}

#[test]
fn send_plays_what_receive_expects() {
    let folder = job("played");
    let path = folder.to_string_lossy();
    let receiver = Receiver::start(&["--json", &path]);
    let address = receiver.address.to_string();
    let sent = run(&["send", &path, "--to", &address]);
    assert_eq!(sent.code, 0, "{}", sent.talk);
    let sent_udp = run(&["send", &path, "--to", &address, "--udp", "--json"]);
    assert_eq!(sent_udp.code, 0, "{}", sent_udp.talk);
    let out = receiver.end();
    let lines: Vec<Value> = out.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert_eq!(lines.len(), 2 * sent.out.lines().count());
    for line in &lines[..lines.len() / 2] {
        let tie = &line["ties"][0];
        assert!(tie["expected"].is_string() && tie["came"].as_u64() <= tie["of"].as_u64(), "{line}");
    }
    let listed = run(&["send", &path, "--json"]);
    let listed: Vec<Value> =
        listed.out.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert_eq!(listed.len(), sent.out.lines().count());
    assert_eq!((&listed[0]["seq"], &listed[0]["answer"]), (&Value::from("0001"), &Value::Null));
    let unkeyed = run(&["send", &path, "--key", "no-such-file"]);
    assert!(unkeyed.talk.contains("a key file that is there"), "{}", unkeyed.talk);
    let again = Receiver::start(&[&path]);
    let counts = again.talk.split(" expected signals have come").next().unwrap_or_default();
    let counts: Vec<&str> = counts.rsplit(' ').take(3).collect();
    assert_eq!(counts[0], counts[2], "all of them: {}", again.talk);
}

#[test]
fn encrypted_both_ways_and_no_key_is_ever_shown() {
    let folder = job("secret");
    let path = folder.to_string_lossy();
    let key = folder.join("key");
    let digits = "0123456789ABCDEF0123456789ABCDEF";
    std::fs::write(&key, format!("{digits}\n")).expect("written");
    let key = key.to_string_lossy();
    let receiver = Receiver::start(&["--json", "--key", &key]);
    let address = receiver.address.to_string();
    let sent = run(&["send", &path, "--key", &key, "--to", &address]);
    assert_eq!(sent.code, 0, "{}", sent.talk);
    let out = receiver.end();
    assert!(out.lines().all(|line| line.contains("\"encrypted\":true")), "{out}");
    std::fs::write(folder.join("bad"), "0123456789ABCDEF0123456789ABCDEG").expect("written");
    let bad = run(&["receive", "--listen", "127.0.0.1:0", "--key", &folder.join("bad").to_string_lossy()]);
    assert_eq!(bad.code, 2);
    assert!(bad.talk.contains("32, 48 or 64 hex digits") && !bad.talk.contains("0123456789"), "{}", bad.talk);
}

#[test]
fn a_slow_sender_and_one_that_takes_no_answers_hold_up_nobody() {
    let receiver = Receiver::start(&["--json"]);
    let mut slow = TcpStream::connect(receiver.address).expect("it listens");
    slow.write_all(&DOOR[..10]).expect("it takes octets");
    let mut deaf = TcpStream::connect(receiver.address).expect("it listens");
    deaf.set_write_timeout(Some(Duration::from_millis(300))).expect("a time");
    let flood = DOOR.repeat(2000);
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(5) && deaf.write_all(&flood).is_ok() {}
    for _ in 0..20 {
        let asked = Instant::now();
        receiver.tcp(DOOR, 1);
        assert!(asked.elapsed() < Duration::from_secs(5), "others wait");
    }
    slow.write_all(&DOOR[10..]).expect("it takes octets");
    let mut answer = [0; 28];
    slow.read_exact(&mut answer).expect("it is answered in the end");
}

#[test]
fn what_cannot_be_listened_on_is_said() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = taken.local_addr().expect("an address").to_string();
    let run = run(&["receive", "--listen", &address]);
    assert_eq!(run.code, 2);
    assert!(run.talk.contains("cannot listen on"), "{}", run.talk);
}
