//! The desk: every piece is heard, answered, tied to the job, kept and shown.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::io;
use std::net::SocketAddr;
use std::time::{SystemTime, UNIX_EPOCH};

use job::Job;
use serde::Serialize;
use signal::{
    Codes, Events, Expected, Gmt, Heard, Keys, Outcome, Payload, Piece, Receiver, Reply, Signal, Tally, Tie,
};

use super::printer::Printer;
use super::record::{self, SignalJson, TieJson};
use crate::evidence::Evidence;

/// Accounts whose supervision is noted once; beyond, it is only answered.
const MOST_SUPERVISED: usize = 10_000;

/// What the sockets' loop hands pieces to.
pub(crate) trait Post {
    /// Hears a piece and writes what to answer.
    fn take(&mut self, piece: Piece<'_>, peer: SocketAddr, transport: &'static str, reply: &mut Reply);

    /// Keeps what was heard; the answers go out after this.
    fn settle(&mut self) -> io::Result<()>;

    /// Whether to stop.
    fn is_over(&self) -> bool;
}

/// Where the receiver's time is from.
#[derive(Clone, Copy)]
pub(crate) enum Clock {
    /// The machine.
    Machine,
    /// Stopped, for tests.
    Stopped(Gmt),
}

impl Clock {
    /// Now.
    pub(crate) fn now(self) -> Gmt {
        match self {
            Self::Stopped(at) => at,
            Self::Machine => {
                let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
                Gmt(i64::try_from(since.as_secs()).unwrap_or(i64::MAX))
            }
        }
    }
}

/// A job at the desk.
pub(crate) struct JobDesk {
    tally: Tally,
    account: Option<String>,
    places: BTreeMap<String, String>,
    evidence: Evidence,
    supervised: BTreeSet<Vec<u8>>,
}

impl JobDesk {
    /// A job with its list, on which earlier evidence is counted already.
    pub(crate) fn new(job: &Job, tally: Tally, evidence: Evidence) -> Self {
        let account = job.station.as_ref().and_then(|station| station.account.as_ref());
        let places = job.circuits.iter().map(|circuit| (circuit.tag.value.clone(), circuit.place.clone()));
        Self {
            tally,
            account: account.map(|account| account.value.clone()),
            places: places.collect(),
            evidence,
            supervised: BTreeSet::new(),
        }
    }
}

/// The desk.
pub(crate) struct Desk {
    receiver: Receiver,
    codes: Codes,
    clock: Clock,
    job: Option<JobDesk>,
    json: bool,
    printer: Printer,
    lines: Vec<u8>,
    count: usize,
    words: String,
    failed: Option<io::Error>,
}

/// One line of evidence.
#[derive(Serialize)]
struct EvidenceLine<'m> {
    kind: &'static str,
    way: &'static str,
    at: String,
    account: &'m str,
    from: String,
    ties: &'m [TieJson],
    signal: &'m SignalJson<'m>,
}

impl Desk {
    /// A desk with these keys; `seed` begins the row of pads.
    pub(crate) fn new(keys: Keys, seed: u64, clock: Clock, job: Option<JobDesk>, json: bool) -> Self {
        Self {
            receiver: Receiver::new(keys, seed),
            codes: Codes::embedded(),
            clock,
            job,
            json,
            printer: Printer::begun(),
            lines: Vec::new(),
            count: 0,
            words: String::new(),
            failed: None,
        }
    }
}

impl Post for Desk {
    fn take(&mut self, piece: Piece<'_>, peer: SocketAddr, transport: &'static str, reply: &mut Reply) {
        let now = self.clock.now();
        let heard = self.receiver.hear(piece, now, reply);
        record::words(&mut self.words, &heard, &self.codes);
        let ties = self.job.as_mut().map_or(Vec::new(), |job| job.tie(&heard));
        let json = SignalJson::new(&heard, transport, &self.words, ties);
        if let Some(job) = &mut self.job
            && let Err(error) = job.keep(&heard, &json, now, peer)
        {
            self.failed = Some(error);
        }
        if self.json {
            // Into memory: it cannot fail.
            let _ = serde_json::to_writer(&mut self.lines, &json);
            self.lines.push(b'\n');
        } else {
            show(&mut self.lines, &heard, &json, now, peer);
        }
        self.count += 1;
    }

    fn settle(&mut self) -> io::Result<()> {
        if let Some(error) = self.failed.take() {
            return Err(error);
        }
        if let Some(job) = &mut self.job {
            job.evidence.settle()?;
        }
        if !self.lines.is_empty() {
            self.printer.print(std::mem::take(&mut self.lines), std::mem::take(&mut self.count));
        }
        Ok(())
    }

    fn is_over(&self) -> bool {
        self.printer.is_gone()
    }
}

impl JobDesk {
    /// Ties a new, acknowledged message of the job's account to what is expected.
    fn tie(&mut self, heard: &Heard<'_>) -> Vec<TieJson> {
        let Some(frame) = heard.frame.filter(|_| heard.outcome == Outcome::Ack && !heard.duplicate) else {
            return Vec::new();
        };
        if self.account.as_ref().is_some_and(|account| account.as_bytes() != frame.account) {
            return Vec::new();
        }
        if heard.other_account().is_some() {
            return Vec::new();
        }
        match &heard.payload {
            Payload::ContactId(event) => {
                Signal::of_contact_id(event).map(|signal| self.tie_one(&signal)).into_iter().collect()
            }
            Payload::TwoLetter(data) => {
                Events::read(data).map(|event| self.tie_one(&Signal::of_event(&event))).collect()
            }
            _ => Vec::new(),
        }
    }

    fn tie_one(&mut self, signal: &Signal) -> TieJson {
        let tie = self.tally.tie(signal);
        tie_json(&tie, &self.tally, |tag| self.places.get(tag).cloned().unwrap_or_default())
    }

    /// Keeps what a sender said, once. Of supervision the first of an account is kept: the rest says the same.
    fn keep(
        &mut self,
        heard: &Heard<'_>,
        json: &SignalJson<'_>,
        now: Gmt,
        peer: SocketAddr,
    ) -> io::Result<()> {
        let Some(frame) = heard.frame else { return Ok(()) };
        if matches!(heard.outcome, Outcome::Ok | Outcome::Ignored) || heard.duplicate {
            return Ok(());
        }
        if matches!(heard.payload, Payload::Supervision) {
            let is_new =
                self.supervised.len() < MOST_SUPERVISED && self.supervised.insert(frame.account.to_vec());
            if !is_new {
                return Ok(());
            }
        }
        self.evidence.add(&EvidenceLine {
            kind: "signal",
            way: "received",
            at: now.to_string(),
            account: json.account(),
            from: peer.to_string(),
            ties: json.ties(),
            signal: json,
        })
    }
}

/// A tie in the words of the format.
pub(crate) fn tie_json(tie: &Tie, tally: &Tally, place: impl Fn(&str) -> String) -> TieJson {
    match tie {
        Tie::Expected { at, came } => {
            let expected: Option<&Expected> = tally.get(*at);
            let tag = expected.and_then(|one| one.tag.clone());
            TieJson {
                expected: expected.map(ToString::to_string),
                place: tag.as_deref().map(place).unwrap_or_default(),
                condition: expected.map(|one| one.condition.says()),
                came: Some(*came),
                of: expected.map(Expected::times),
                circuit: tag,
            }
        }
        Tie::OtherCode { tag } => {
            TieJson { place: place(tag), circuit: Some(tag.clone()), ..TieJson::default() }
        }
        Tie::Unexpected => TieJson::default(),
    }
}

/// One message for people: time, account or sender, words; below, what it was tied to.
fn show(lines: &mut Vec<u8>, heard: &Heard<'_>, json: &SignalJson<'_>, now: Gmt, peer: SocketAddr) {
    let mut line = String::new();
    let time = now.to_string();
    let time = time.get(11..19).unwrap_or_default();
    // Writing to a string cannot fail.
    let _ = match &heard.frame {
        Some(frame) if !frame.account.is_empty() => write!(line, "{time}  {:<6}", json.account()),
        _ => write!(line, "{time}  {peer}"),
    };
    let _ = writeln!(line, "  {}", json.words());
    for tie in json.ties() {
        let _ = writeln!(line, "                  → {}", tie.says());
    }
    lines.extend_from_slice(line.as_bytes());
}
