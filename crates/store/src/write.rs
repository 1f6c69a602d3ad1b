//! Writing: a batch is one transaction, and what is acknowledged is on the disk.

use document::MOST_BYTES;
use job::Change;
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};

use crate::change_json;
use crate::entry::{Entry, check_id};
use crate::error::StoreError;
use crate::jobs::{Summary, kept, number, sought};
use crate::photo::Photo;
use crate::splice::Splice;
use crate::store::Store;
use crate::version::text_at;

/// What a job's first version is called.
const FIRST: &str = "first";

/// What is written together, all of it or nothing.
#[derive(Clone, Debug)]
pub struct Batch {
    /// When, RFC 3339.
    pub at: String,
    /// Who.
    pub author: String,
    /// What; the same ids twice are written once.
    pub writes: Vec<Write>,
}

/// One thing to be written.
#[derive(Clone, Debug)]
pub enum Write {
    /// A job that was not there.
    NewJob {
        /// Its id.
        id: String,
        /// Its text.
        text: String,
        /// What the list says of it.
        summary: Summary,
        /// What was done, in a sentence.
        what: String,
    },
    /// A new text of a job, made from `version`.
    Save {
        /// The job.
        job: String,
        /// The id of this change.
        id: String,
        /// The version that the text was made from.
        version: i64,
        /// The new text.
        text: String,
        /// What the list says of it.
        summary: Summary,
        /// From what to what.
        changes: Vec<Change>,
        /// What was done, in a sentence.
        what: String,
        /// The id of the change that this one takes back; empty when it is none of those.
        takes_back: String,
    },
    /// An entry of evidence.
    Evidence {
        /// The job.
        job: String,
        /// The entry.
        entry: Entry,
    },
    /// A photo.
    Photo {
        /// The job.
        job: String,
        /// The photo; when and who are the batch's.
        photo: Photo,
    },
}

impl Store {
    /// Writes a batch. Once it returns, a kill or a power cut takes nothing of it away.
    ///
    /// # Errors
    /// [`StoreError::Stale`] when a job has another version by now, and whatever else stands in the way; then nothing of
    /// the batch was written.
    pub fn carry_out(&self, batch: &Batch) -> Result<(), StoreError> {
        let mut writer = self.writer();
        let transaction = writer.transaction_with_behavior(TransactionBehavior::Immediate)?;
        for write in &batch.writes {
            one(&transaction, batch, write)?;
        }
        transaction.commit()?;
        Ok(())
    }

    /// Puts what the list says of a job, as found out of one of its versions; nothing when it has another by now.
    ///
    /// # Errors
    /// What the database says.
    pub fn summarise(&self, job: &str, version: i64, summary: &Summary) -> Result<(), StoreError> {
        let summary = shown(summary);
        self.writer()
            .prepare_cached(
                "UPDATE job SET name = $1, circuits = $2, verdict = $3, answer = $4, sought = $5 \
                 WHERE id = $6 AND version = $7",
            )?
            .execute(params![
                summary.name,
                summary.circuits,
                summary.verdict,
                summary.answer,
                sought(job, &summary),
                job,
                version,
            ])?;
        Ok(())
    }
}

fn one(state: &Connection, batch: &Batch, write: &Write) -> Result<(), StoreError> {
    match write {
        Write::NewJob { id, text, summary, what } => new_job(state, batch, id, text, summary, what),
        Write::Save { .. } => save(state, batch, write),
        Write::Evidence { job, entry } => {
            there(state, job)?;
            add_line(state, job, &entry.id, &entry.line()?)
        }
        Write::Photo { job, photo } => {
            there(state, job)?;
            let mut photo = photo.clone();
            photo.row.at.clone_from(&batch.at);
            photo.row.author.clone_from(&batch.author);
            add_photo(state, job, &photo)
        }
    }
}

fn new_job(
    state: &Connection,
    batch: &Batch,
    id: &str,
    text: &str,
    summary: &Summary,
    what: &str,
) -> Result<(), StoreError> {
    check_id(id)?;
    check_text(id, text)?;
    if let Some(first) = text_at(state, id, 1)? {
        // The form was sent twice, or somebody else has taken the name.
        return if first == text { Ok(()) } else { Err(StoreError::Taken { job: id.to_owned() }) };
    }
    let head = Head { version: 1, at: &batch.at, text, summary };
    insert_job(state, id, &head)?;
    let version = VersionRow {
        version: 1,
        id: FIRST,
        at: &batch.at,
        author: &batch.author,
        what,
        changes: "[]",
        takes_back: "",
        back: &Splice::default(),
    };
    insert_version(state, id, &version)
}

fn save(state: &Connection, batch: &Batch, write: &Write) -> Result<(), StoreError> {
    let Write::Save { job, id, version, text, summary, changes, what, takes_back } = write else {
        return Ok(());
    };
    check_id(id)?;
    check_text(job, text)?;
    let known = state
        .prepare_cached("SELECT version FROM job_version WHERE job = $1 AND id = $2")?
        .query_row(params![job, id], |row| row.get::<_, i64>(0))
        .optional()?;
    if let Some(known) = known {
        // Sent again after a broken connection, or an id that was given twice.
        if text_at(state, job, known)?.as_deref() == Some(text) {
            return Ok(());
        }
        let stands = state
            .prepare_cached("SELECT what FROM job_version WHERE job = $1 AND id = $2")?
            .query_row(params![job, id], |row| row.get(0))?;
        return Err(StoreError::Conflict { job: job.clone(), id: id.clone(), stands });
    }
    let Some(kept) = kept(state, job)? else { return Err(StoreError::NoJob { job: job.clone() }) };
    if kept.row.version != *version {
        return Err(StoreError::Stale { job: job.clone(), version: kept.row.version });
    }
    let head = Head { version: version + 1, at: &batch.at, text, summary };
    update_job(state, job, &head)?;
    let changes = change_json::written(changes).to_string();
    let back = Splice::between(text, &kept.text);
    let row = VersionRow {
        version: version + 1,
        id,
        at: &batch.at,
        author: &batch.author,
        what,
        changes: &changes,
        takes_back,
        back: &back,
    };
    insert_version(state, job, &row)
}

/// A job as it is to stand.
pub(crate) struct Head<'a> {
    pub(crate) version: i64,
    pub(crate) at: &'a str,
    pub(crate) text: &'a str,
    pub(crate) summary: &'a Summary,
}

pub(crate) fn insert_job(state: &Connection, id: &str, head: &Head<'_>) -> Result<(), StoreError> {
    let summary = shown(head.summary);
    state
        .prepare_cached(
            "INSERT INTO job (id, version, changed_at, name, circuits, verdict, answer, sought) \
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
        )?
        .execute(params![
            id,
            head.version,
            head.at,
            summary.name,
            summary.circuits,
            summary.verdict,
            summary.answer,
            sought(id, &summary),
        ])?;
    state
        .prepare_cached("INSERT INTO job_text (job, text) VALUES ($1, $2)")?
        .execute(params![id, head.text])?;
    Ok(())
}

fn update_job(state: &Connection, id: &str, head: &Head<'_>) -> Result<(), StoreError> {
    let summary = shown(head.summary);
    state
        .prepare_cached(
            "UPDATE job SET version = $1, changed_at = $2, name = $3, circuits = $4, verdict = $5, answer = $6, \
             sought = $7 WHERE id = $8",
        )?
        .execute(params![
            head.version,
            head.at,
            summary.name,
            summary.circuits,
            summary.verdict,
            summary.answer,
            sought(id, &summary),
            id,
        ])?;
    state.prepare_cached("UPDATE job_text SET text = $1 WHERE job = $2")?.execute(params![head.text, id])?;
    Ok(())
}

/// A version as it is to stand.
pub(crate) struct VersionRow<'a> {
    pub(crate) version: i64,
    pub(crate) id: &'a str,
    pub(crate) at: &'a str,
    pub(crate) author: &'a str,
    pub(crate) what: &'a str,
    pub(crate) changes: &'a str,
    pub(crate) takes_back: &'a str,
    pub(crate) back: &'a Splice,
}

pub(crate) fn insert_version(state: &Connection, job: &str, row: &VersionRow<'_>) -> Result<(), StoreError> {
    state
        .prepare_cached(
            "INSERT INTO job_version \
             (job, version, id, at, author, what, changes, takes_back, back_at, back_length, back_text) \
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
        )?
        .execute(params![
            job,
            row.version,
            row.id,
            row.at,
            without_nul(row.author),
            without_nul(row.what),
            row.changes,
            row.takes_back,
            number(row.back.at),
            number(row.back.length),
            row.back.text,
        ])?;
    Ok(())
}

pub(crate) fn add_line(state: &Connection, job: &str, id: &str, line: &str) -> Result<(), StoreError> {
    let known = state
        .prepare_cached("SELECT line FROM evidence WHERE job = $1 AND id = $2")?
        .query_row(params![job, id], |row| row.get::<_, String>(0))
        .optional()?;
    if let Some(known) = known {
        if Entry::of_line(id, &known).says_the_same(&Entry::of_line(id, line)) {
            return Ok(());
        }
        return Err(StoreError::Conflict { job: job.to_owned(), id: id.to_owned(), stands: known });
    }
    // To look for; the line itself says it as it came.
    let Entry { kind, about, .. } = Entry::of_line(id, line);
    let (kind, about) = (without_nul(&kind), without_nul(&about));
    state
        .prepare_cached(
            "INSERT INTO evidence (job, place, id, kind, about, line) \
             VALUES ($1, (SELECT COALESCE(MAX(place), 0) + 1 FROM evidence WHERE job = $1), $2, $3, $4, $5)",
        )?
        .execute(params![job, id, kind, about, line])?;
    Ok(())
}

pub(crate) fn add_photo(state: &Connection, job: &str, photo: &Photo) -> Result<(), StoreError> {
    check_id(&photo.row.id)?;
    let row = &photo.row;
    let known = state
        .prepare_cached("SELECT about, at, bytes FROM photo WHERE job = $1 AND id = $2")?
        .query_row(params![job, row.id], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
        .optional()?;
    if let Some((about, at, bytes)) = known {
        let (about, at, bytes): (String, String, Vec<u8>) = (about, at, bytes);
        if bytes == photo.bytes && about == without_nul(&row.about) {
            return Ok(());
        }
        let stands = format!("a photo of `{about}`, {at}");
        return Err(StoreError::Conflict { job: job.to_owned(), id: row.id.clone(), stands });
    }
    state
        .prepare_cached(
            "INSERT INTO photo (job, place, id, at, author, about, media_type, bytes) \
             VALUES ($1, (SELECT COALESCE(MAX(place), 0) + 1 FROM photo WHERE job = $1), $2, $3, $4, $5, $6, $7)",
        )?
        .execute(params![
            job,
            row.id,
            row.at,
            without_nul(&row.author),
            without_nul(&row.about),
            row.media_type,
            photo.bytes,
        ])?;
    Ok(())
}

fn there(state: &Connection, job: &str) -> Result<(), StoreError> {
    let found = state
        .prepare_cached("SELECT version FROM job WHERE id = $1")?
        .query_row(params![job], |row| row.get::<_, i64>(0))
        .optional()?;
    found.map(|_| ()).ok_or_else(|| StoreError::NoJob { job: job.to_owned() })
}

pub(crate) fn check_text(job: &str, text: &str) -> Result<(), StoreError> {
    if text.len() > MOST_BYTES {
        return Err(StoreError::refused(format!("the text of `{job}`"), "it is too large", "at most 16 MB"));
    }
    if text.contains('\0') {
        let what = format!("the text of `{job}`");
        return Err(StoreError::refused(what, "it holds a NUL", "a text without one"));
    }
    Ok(())
}

/// PostgreSQL's texts hold no NUL; what a list shows can do without it.
fn without_nul(text: &str) -> String {
    text.replace('\0', "")
}

fn shown(summary: &Summary) -> Summary {
    Summary {
        name: without_nul(&summary.name),
        circuits: summary.circuits,
        verdict: without_nul(&summary.verdict),
        answer: without_nul(&summary.answer),
    }
}
