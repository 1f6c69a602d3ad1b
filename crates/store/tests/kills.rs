//! A process that writes is killed at any moment, again and again: nothing that it acknowledged is lost.
//!
//! `LOOPWRIGHT_KILLS` says how often; a thousand was run for the release.

#![cfg(unix)]
#![expect(clippy::print_stderr, reason = "how many kills and what they hit")]
mod common;

use std::io::{BufRead, BufReader, Write as _};
use std::process::{Command, Stdio};
use std::sync::mpsc;
use std::time::Duration;

use common::{batch, evidence, new_job, save};
use store::{Store, StoreError};

const CHILD: &str = "LOOPWRIGHT_STORE_CHILD";

/// Writes for ever, and says of each batch that it was acknowledged; the child of the test below.
#[test]
fn a_child_that_writes() {
    let Some(path) = std::env::var_os(CHILD) else { return };
    let store = Store::open(std::path::Path::new(&path)).unwrap();
    let mut out = std::io::stdout();
    match store.carry_out(&batch(vec![new_job("yard", "format = 1\n")])) {
        Ok(()) => {}
        Err(error) => panic!("{error}"),
    }
    let mut version = store.job("yard").unwrap().unwrap().row.version;
    let run = std::process::id();
    for at in 0_u64.. {
        let text = format!("format = 1\n# {run} {at} {}\n", "x".repeat((at % 700) as usize * 7));
        let id = format!("c{run}-{at}");
        let words = format!("seen {}", "y".repeat((at % 300) as usize * 10));
        let writes =
            vec![save("yard", &id, version, &text), evidence("yard", &format!("e{run}-{at}"), &words)];
        match store.carry_out(&batch(writes)) {
            Ok(()) => version += 1,
            Err(StoreError::Stale { version: now, .. }) => panic!("stale: {now}"),
            Err(error) => panic!("{error}"),
        }
        out.write_all(format!("ack {run} {at}\n").as_bytes()).unwrap();
        out.flush().unwrap();
        if at % 50 == 49 {
            store.settle().unwrap();
        }
    }
}

#[test]
fn nothing_acknowledged_is_lost_to_a_kill() {
    let kills: u64 = std::env::var("LOOPWRIGHT_KILLS").map_or(60, |count| count.parse().unwrap());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("jobs.db");
    let mut acknowledged: Vec<(String, String)> = Vec::new();
    let mut checked = 0;
    for round in 0..kills {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "a_child_that_writes", "--nocapture"])
            .env(CHILD, &path)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        // Every other round at some moment after the start, from before the file is there; the rest at some moment after
        // the first write was acknowledged, however slow the machine is.
        let wait = Duration::from_micros(round * 7919 % 30_000);
        let (heard, hears) = mpsc::channel();
        let killer = std::thread::spawn(move || {
            if round % 2 == 1 {
                let _ = hears.recv_timeout(Duration::from_secs(30));
            }
            std::thread::sleep(wait);
            child.kill().unwrap();
            child.wait().unwrap()
        });
        for line in out.lines() {
            let line = line.unwrap_or_default();
            let mut words = line.split(' ');
            // A line that was cut off by the kill was acknowledged to nobody.
            if let (Some("ack"), Some(run), Some(at)) = (words.next(), words.next(), words.next()) {
                acknowledged.push((run.to_owned(), at.to_owned()));
                let _ = heard.send(());
            }
        }
        let ended = killer.join().unwrap();
        assert!(!ended.success(), "the child ended by itself");
        if acknowledged.is_empty() {
            continue;
        }
        let store = Store::open(&path).unwrap();
        for (run, at) in &acknowledged[checked..] {
            let version = store.version("yard", &format!("c{run}-{at}")).unwrap();
            let version = version.unwrap_or_else(|| panic!("round {round}: change {run} {at} is lost"));
            let text = store.text_at("yard", version.version).unwrap().unwrap();
            assert!(text.starts_with(&format!("format = 1\n# {run} {at} ")), "round {round}: {text}");
            assert!(store.entry("yard", &format!("e{run}-{at}")).unwrap().is_some(), "round {round}");
        }
        checked = acknowledged.len();
    }
    let store = Store::open(&path).unwrap();
    let versions = store.versions("yard", usize::MAX).unwrap();
    for (run, at) in &acknowledged {
        let id = format!("c{run}-{at}");
        assert!(versions.iter().any(|version| version.id == id), "{id} is lost");
    }
    // Versions and evidence were written together, so there are as many of both.
    assert_eq!(versions.len() as i64 - 1, store.entries("yard").unwrap());
    eprintln!("{kills} kills, {} acknowledged, {} written", acknowledged.len(), versions.len() - 1);
    assert!(
        acknowledged.len() as u64 >= kills / 2,
        "too few were acknowledged for the test to mean anything"
    );
}
