//! Evidence: read, and added to.

use assess::clear::refuses_reading;
use job::{Display, Reading, Shown, When};
use serde_json::Value;
use signal::Gmt;
use store::{Entry, StoreError, Which, Write};

use super::jobs::{clearances, missing, not_clear, own_or_fresh, page, read};
use super::wire::{EntryJson, EvidenceJson, KeptEntryJson, SentJson};
use super::{Call, json};
use crate::clock;
use crate::refusal::Refusal;
use crate::reply::Reply;

/// The entries of a job.
pub(crate) fn list(call: &Call<'_>) -> Result<Reply, Refusal> {
    let (job, (from, count)) = (call.named[0], page(call)?);
    if call.state.store.versions(job, 1)?.is_empty() {
        return Err(missing(job));
    }
    let which = Which {
        kind: call.asked("kind").unwrap_or_default(),
        about: call.asked("about").unwrap_or_default(),
    };
    let lines = call.state.store.lines(job, which, from, count)?;
    let entries = lines.into_iter().map(|(id, line)| match serde_json::from_str(&line) {
        Ok(Value::Object(entry)) => KeptEntryJson { id, entry: Some(entry), line: None },
        _ => KeptEntryJson { id, entry: None, line: Some(line) },
    });
    json(200, &EvidenceJson { of: call.state.store.entries(job)?, entries: entries.collect() })
}

/// Adds an entry.
pub(crate) fn add(call: &Call<'_>) -> Result<Reply, Refusal> {
    let (job, sent) = (call.named[0], call.json::<EntryJson>()?);
    let id = own_or_fresh(sent.id.clone())?;
    if sent.kind.is_empty() || sent.kind.chars().count() > 64 {
        return Err(Refusal::new(422, "`kind` is empty or too long", "one word, as `reading`"));
    }
    if let Some(at) = &sent.at {
        Gmt::read(at).map_err(|error| Refusal::new(422, error.to_string(), error.accepted()))?;
    }
    // Whoever changes a job reads the safety entries that go on with it.
    let _turn = (sent.kind == assess::clear::Clearance::KIND).then(|| call.state.turns.of(job));
    let kept = call.state.store.job(job)?.ok_or_else(|| missing(job))?;
    let refused = refuses(call, &kept.text, &sent);
    let own_time = sent.at.clone();
    let entry = Entry {
        id: id.clone(),
        at: sent.at.unwrap_or_else(clock::now),
        author: sent.author.unwrap_or_else(|| call.state.author.clone()),
        instrument: sent.instrument,
        kind: sent.kind,
        about: sent.about,
        words: sent.words,
        data: Value::Object(sent.more).to_string(),
    };
    if let Some(known) = call.state.store.entry(job, &id)? {
        let same_time = own_time.is_none_or(|at| at == known.at);
        if same_time && known.says_the_same(&entry) {
            return json(200, &SentJson { id, new: false });
        }
        let stands = known.line()?;
        return Err(StoreError::Conflict { job: job.to_owned(), id, stands }.into());
    }
    refused?;
    call.state.carry_out(&call.state.author, vec![Write::Evidence { job: job.to_owned(), entry }])?;
    json(201, &SentJson { id, new: true })
}

/// No ohms by this door either of a pair that nobody knows to be clear.
fn refuses(call: &Call<'_>, text: &str, sent: &EntryJson) -> Result<(), Refusal> {
    if !sent.more.contains_key("ohms") {
        return Ok(());
    }
    let job = read(text)?;
    let Some(circuit) = job.circuits.iter().find(|circuit| circuit.tag.value == sent.about) else {
        let says = "the job has no circuit that these ohms could be of";
        let refused = Refusal::new(422, says, "the tag of a circuit in `about`");
        return if sent.kind == "reading" { Err(refused) } else { Ok(()) };
    };
    let when = sent.more.get("when").and_then(Value::as_str).unwrap_or_default();
    let when = if when.starts_with("earth") { When::Earth } else { When::Rest };
    let shown = vec![Shown::Ohms(Display::Open)];
    let reading = Reading { when, fed: false, shown, line: 0 };
    match refuses_reading(circuit, &reading, &clearances(call.state, call.named[0])?) {
        None => Ok(()),
        Some(says) => Err(not_clear(&says)),
    }
}
