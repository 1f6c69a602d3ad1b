//! `send`: plays a job's expected signals to a receiver, for dry runs and tests.

use document::Complaint;
use job::Job;
use serde::Serialize;
use signal::play::{self, Message};
use signal::{Key, Stamp, write};

use super::{keys, print_text, seed};
use crate::arguments::{Common, Send};
use crate::listen::{Answered, Clock, Line};
use crate::outcome::Outcome;
use crate::report::page::Page;
use crate::{input, talk, world};

/// One message that was played, as JSON; one object a line.
#[derive(Serialize)]
struct PlayedJson<'m> {
    seq: &'m str,
    expected: &'m str,
    words: &'m str,
    data: &'m str,
    answer: Option<&'static str>,
}

impl<'m> PlayedJson<'m> {
    /// One line; its answer is none where it was not sent, or nobody answered.
    fn line(message: &'m Message, sequence: &'m str, answer: Option<&'static str>) -> String {
        let json =
            Self { seq: sequence, expected: &message.key, words: &message.says, data: &message.data, answer };
        let mut line = serde_json::to_string(&json).unwrap_or_default();
        line.push('\n');
        line
    }
}

/// The sequence number after this one: 1 to 9999, then 1 again.
fn next(sequence: u32) -> u32 {
    sequence % 9999 + 1
}

/// Runs the command.
pub(crate) fn run(asked: &Send, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let world = world::load(&asked.job, common)?;
    let account = account(&world.job, asked)?;
    let keys = asked.key.as_deref().map(keys).transpose()?;
    let key = keys.as_ref().and_then(|keys| keys.of(account.as_bytes()));
    if asked.key.is_some() && key.is_none() {
        return Err(complaint(
            format!("the key file has no key for account {account}"),
            "a common key, or the account's",
        ));
    }
    let messages = play::messages(&world.job, &account)
        .map_err(|error| complaint(error.to_string(), "a number up to 999"))?;
    if asked.to.is_none() {
        let printed = if common.json { print_text(&listed_json(&messages)) } else { listed(&messages) };
        return Ok(Outcome::Done.after_printing(printed));
    }
    let played =
        Played { header: Header::of(&world.job, &account), key, json: common.json, times: asked.times };
    let Some(to) = asked.to else { return Ok(Outcome::Done) };
    match Line::open(to, asked.udp) {
        Err(error) => {
            talk::say(&format!("nobody takes a connection at {to}: {error}"));
            Ok(Outcome::MachineFailed)
        }
        Ok(line) => Ok(played.all(line, &messages)),
    }
}

/// The job's account, or the one that was asked for; it is never made up.
fn account(job: &Job, asked: &Send) -> Result<String, Vec<Complaint>> {
    let of_job = job.station.as_ref().and_then(|station| station.account.as_ref());
    let account = asked.account.clone().or_else(|| of_job.map(|account| account.value.clone()));
    let account = account.ok_or_else(|| {
        complaint("the job names no account".to_owned(), "`account` in the job's [station], or --account")
    })?;
    let digits = account.bytes().all(|digit| matches!(digit, b'0'..=b'9' | b'A'..=b'F'));
    if digits && (3..=16).contains(&account.len()) {
        return Ok(account);
    }
    Err(complaint(format!("`{account}` is no account"), "3 to 16 digits 0-9 A-F"))
}

fn complaint(text: String, accept: &str) -> Vec<Complaint> {
    vec![input::about_file("command line", text, accept)]
}

/// The list without sending it.
fn listed(messages: &[Message]) -> std::io::Result<()> {
    let mut page = Page::of_stdout();
    let rows: Vec<Vec<String>> =
        messages.iter().map(|message| vec![message.data.clone(), message.says.clone()]).collect();
    page.table(0, &rows);
    page.gap();
    page.paragraph(0, &format!("{} messages; --to ADDR:PORT sends them.", messages.len()));
    page.print()
}

/// The same as JSON, one object a line, numbered as they would be sent.
fn listed_json(messages: &[Message]) -> String {
    let mut lines = String::new();
    let mut sequence = 0_u32;
    for message in messages {
        sequence = next(sequence);
        lines.push_str(&PlayedJson::line(message, &format!("{sequence:04}"), None));
    }
    lines
}

/// Whom messages are from.
struct Header {
    account: String,
    prefix: String,
    receiver: Option<String>,
}

impl Header {
    fn of(job: &Job, account: &str) -> Self {
        let station = job.station.as_ref();
        let prefix = station.and_then(|station| station.prefix.as_ref());
        let receiver = station.and_then(|station| station.receiver.as_ref());
        Self {
            account: account.to_owned(),
            prefix: prefix.map_or("0".to_owned(), |prefix| prefix.value.clone()),
            receiver: receiver.map(|receiver| receiver.value.clone()),
        }
    }
}

/// How the messages are played.
struct Played<'k> {
    header: Header,
    key: Option<&'k Key>,
    json: bool,
    times: u32,
}

impl Played<'_> {
    fn all(&self, mut line: Line, messages: &[Message]) -> Outcome {
        let mut sequence = 0_u32;
        let mut unheard = 0_usize;
        let mut pads = seed();
        let mut lines = String::new();
        for _ in 0..self.times {
            for message in messages {
                sequence = next(sequence);
                let sequence = format!("{sequence:04}");
                let answer = line.ask(sequence.as_bytes(), &mut |into, off_s| {
                    self.frame(into, message, &sequence, off_s, &mut pads)
                });
                unheard += usize::from(!matches!(answer, Some(Answered::Ack)));
                self.tell(&mut lines, message, &sequence, answer);
                if print_text(&lines).is_err() {
                    return Outcome::Done;
                }
                lines.clear();
            }
        }
        let all = messages.len() * self.times as usize;
        talk::say(&format!("{} of {all} messages were acknowledged", all - unheard));
        if unheard == 0 { Outcome::Done } else { Outcome::NeedsWork }
    }

    /// One frame, its time corrected by what the receiver said its clock was.
    fn frame(&self, into: &mut [u8], message: &Message, sequence: &str, off_s: i64, pads: &mut u64) -> usize {
        let header = write::Header {
            id: message.id.as_bytes(),
            sequence: sequence.as_bytes(),
            receiver: self.header.receiver.as_deref().map(str::as_bytes),
            prefix: self.header.prefix.as_bytes(),
            account: self.header.account.as_bytes(),
        };
        let now = Clock::Machine.now();
        let stamp = Stamp { at: signal::Gmt(now.0 + off_s) };
        let data = message.data.as_bytes();
        let written = match self.key {
            Some(key) => write::encrypted(into, &header, data, b"", stamp, key, &mut || signal::pad(pads)),
            None => write::clear(into, &header, data, b"", Some(stamp)),
        };
        written.map_or(0, <[u8]>::len)
    }

    fn tell(&self, lines: &mut String, message: &Message, sequence: &str, answer: Option<Answered>) {
        let answer = answer.map(Answered::word);
        if self.json {
            lines.push_str(&PlayedJson::line(message, sequence, answer));
            return;
        }
        let answer = match answer {
            Some("ack") => "acknowledged",
            Some("nak") => "refused: the receiver's clock differs",
            Some("duh") => "not understood",
            Some(_) => "answered",
            None => "no answer",
        };
        lines.push_str(&format!("{sequence}  {}  {answer}\n", message.says));
    }
}
