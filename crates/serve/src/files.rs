//! Files of a job: its photos, and the documents of its pack.

use std::sync::{Arc, Mutex, PoisonError};

use hyper::body::Bytes;
use hyper::header::{CACHE_CONTROL, CONTENT_DISPOSITION};

use crate::clock;
use crate::refusal::Refusal;
use crate::reply::Reply;
use crate::state::{PackFile, PackOf, Packer, State};
use crate::world::Shown;

/// The last pack that was made, since its files are fetched one after the other.
pub(crate) struct Packs {
    packer: Packer,
    last: Mutex<Option<Made>>,
}

struct Made {
    job: String,
    text: Arc<str>,
    of: PackOf,
    files: Vec<PackFile>,
}

impl Packs {
    pub(crate) fn new(packer: Packer) -> Self {
        Self { packer, last: Mutex::new(None) }
    }
}

/// A photo.
pub(crate) fn photo(state: &State, job: &str, id: &str) -> Result<Reply, Refusal> {
    let photo = state.store.photo(job, id)?;
    let photo = photo.ok_or_else(|| Refusal::new(404, "there is no such photo", "a photo of the job"))?;
    let media_type = if photo.row.media_type == "image/png" { "image/png" } else { "image/jpeg" };
    let mut reply = Reply::new(200, media_type, photo.bytes);
    reply.put(CACHE_CONTROL, "private, max-age=31536000, immutable");
    Ok(reply)
}

/// The evidence of a job, as `receive` and `store export` write it.
pub(crate) fn evidence(state: &State, job: &str) -> Result<Reply, Refusal> {
    let missing = || Refusal::new(404, "there is no such job", "a job of the list");
    let mut lines = state.store.evidence_lines(job)?.ok_or_else(missing)?;
    lines.push(String::new());
    let mut reply = Reply::new(200, "application/x-ndjson", lines.join("\n"));
    reply.put(CONTENT_DISPOSITION, &format!("attachment; filename=\"{job}-evidence.jsonl\""));
    Ok(reply)
}

/// The documents.
const NAMES: [&str; 3] = ["pack.pdf", "tags.pdf", "tables.xlsx"];

/// A document of a job's pack.
pub(crate) fn document(
    state: &State,
    job: &str,
    name: &str,
    query: &[(String, String)],
) -> Result<Reply, Refusal> {
    let asked =
        |name: &str| query.iter().find(|(key, _)| key == name).map_or("", |(_, value)| value.as_str());
    if !NAMES.contains(&name) {
        return Err(Refusal::new(404, "there is no such file", NAMES.join(", ")));
    }
    let kept = state.store.job(job)?;
    let kept = kept.ok_or_else(|| Refusal::new(404, "there is no such job", "a job of the list"))?;
    let paper = if asked("paper") == "letter" { "letter" } else { "a4" };
    // Versions are counted from 1.
    let version = u64::try_from(kept.row.version).unwrap_or_default();
    let shown = Shown::new(state);
    let checked = pages::checked_by(&shown, job, version).unwrap_or_default();
    if let Some(error) = shown.failed() {
        return Err(error.into());
    }
    let date: String = clock::now().chars().take(10).collect();
    let of = PackOf { paper, date, version, checked };
    let mut reply = Reply::new(200, media_type(name), packed(state, job, &kept.text, of, name)?);
    // A browser shows a PDF in its own window; a link that says `download` keeps it.
    let how = if name == "tables.xlsx" { "attachment" } else { "inline" };
    reply.put(CONTENT_DISPOSITION, &format!("{how}; filename=\"{job}-{name}\""));
    Ok(reply)
}

fn media_type(name: &str) -> &'static str {
    match name {
        "tables.xlsx" => "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        _ => "application/pdf",
    }
}

/// One document. Packs are made one after the other: each takes a second and much room.
fn packed(state: &State, job: &str, text: &str, of: PackOf, name: &str) -> Result<Bytes, Refusal> {
    let mut last = state.packs.last.lock().unwrap_or_else(PoisonError::into_inner);
    let known = last.as_ref().is_some_and(|made| made.job == job && *made.text == *text && made.of == of);
    if !known {
        let (text, desk) = state.desks.of(job, text);
        let desk =
            desk.map_err(|_| Refusal::new(409, "the job's text has errors", "a text that can be read"))?;
        let assessed = state.desks.assessed(job, &desk);
        let files = (state.packs.packer)(&assessed, &of)
            .map_err(|error| Refusal::new(500, error, "a report of this error"))?;
        *last = Some(Made { job: job.to_owned(), text, of, files });
    }
    let made = last.as_ref().map(|made| made.files.as_slice()).unwrap_or_default();
    let file = made.iter().find(|file| file.name == name);
    let file = file.ok_or_else(|| Refusal::new(404, "the pack has no such file", "pack.pdf"))?;
    Ok(Bytes::from(file.bytes.clone()))
}
