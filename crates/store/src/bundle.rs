//! A job with all that belongs to it, as plain data: what goes out into a folder and comes back from one.

use std::collections::BTreeSet;

use rusqlite::{Connection, TransactionBehavior};
use serde_json::{Value, json};

use crate::change_json;
use crate::entry::{LONGEST_LINE, check_id, id_of};
use crate::error::StoreError;
use crate::jobs::{Summary, kept};
use crate::observed::all_lines;
use crate::photo::{self, Photo};
use crate::splice::Splice;
use crate::store::Store;
use crate::version::{Version, down_from};
use crate::write::{Head, VersionRow, add_line, add_photo, check_text, insert_job, insert_version};

/// A job with its evidence, its photos and how it came to be.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Bundle {
    /// The job file.
    pub text: String,
    /// Evidence, one line of JSON each, the oldest first, as they were received.
    pub evidence: Vec<String>,
    /// Versions, the oldest first.
    pub versions: Vec<Version>,
    /// Photos, the oldest first.
    pub photos: Vec<Photo>,
}

impl Version {
    /// The version as one line of JSON.
    #[must_use]
    pub fn line(&self) -> String {
        json!({
            "version": self.version,
            "id": self.id,
            "at": self.at,
            "author": self.author,
            "what": self.what,
            "changes": change_json::written(&self.changes),
            "takes_back": self.takes_back,
            "back": { "at": self.back.at, "length": self.back.length, "text": self.back.text },
        })
        .to_string()
    }

    /// The version of a line; none when it is no such line.
    #[must_use]
    pub fn of_line(line: &str) -> Option<Self> {
        let json: Value = serde_json::from_str(line).ok()?;
        let text = |key: &str| json.get(key)?.as_str().map(str::to_owned);
        let back = json.get("back")?;
        let place = |key: &str| usize::try_from(back.get(key)?.as_u64()?).ok();
        Some(Self {
            version: json.get("version")?.as_i64()?,
            id: text("id")?,
            at: text("at")?,
            author: text("author")?,
            what: text("what")?,
            changes: change_json::read(json.get("changes")?)?,
            takes_back: text("takes_back")?,
            back: Splice {
                at: place("at")?,
                length: place("length")?,
                text: back.get("text")?.as_str()?.to_owned(),
            },
        })
    }
}

impl Store {
    /// A job with all that belongs to it, as it stands at one moment; none when there is none of this id.
    ///
    /// # Errors
    /// What the database says.
    pub fn bundle(&self, job: &str) -> Result<Option<Bundle>, StoreError> {
        self.read(|state| {
            let Some(kept) = kept(state, job)? else { return Ok(None) };
            let mut versions = down_from(state, job, i64::MAX, usize::MAX)?;
            versions.reverse();
            let evidence = all_lines(state, job)?.into_iter().map(|(_, line)| line).collect();
            Ok(Some(Bundle { text: kept.text, evidence, versions, photos: photo::all(state, job)? }))
        })
    }

    /// The evidence of a job, one line an entry, the oldest first; none when there is no such job.
    ///
    /// # Errors
    /// What the database says.
    pub fn evidence_lines(&self, job: &str) -> Result<Option<Vec<String>>, StoreError> {
        self.read(|state| {
            if kept(state, job)?.is_none() {
                return Ok(None);
            }
            Ok(Some(all_lines(state, job)?.into_iter().map(|(_, line)| line).collect()))
        })
    }

    /// Keeps a job that came with all that belongs to it, under an id that is free. A job that comes without versions
    /// begins with one, made `at` by `author`.
    ///
    /// # Errors
    /// An id that is taken; versions that do not lead to one another; evidence that is longer than [`LONGEST_LINE`] a
    /// line. Then nothing was written.
    pub fn take_in(
        &self,
        job: &str,
        bundle: &Bundle,
        summary: &Summary,
        at: &str,
        author: &str,
    ) -> Result<(), StoreError> {
        check_id(job)?;
        check_text(job, &bundle.text)?;
        check_versions(bundle)?;
        let mut writer = self.writer();
        let transaction = writer.transaction_with_behavior(TransactionBehavior::Immediate)?;
        if kept(&transaction, job)?.is_some() {
            return Err(StoreError::Taken { job: job.to_owned() });
        }
        let version = bundle.versions.last().map_or(1, |last| last.version);
        let changed = bundle.versions.last().map_or(at, |last| last.at.as_str());
        insert_job(&transaction, job, &Head { version, at: changed, text: &bundle.text, summary })?;
        put_versions(&transaction, job, bundle, at, author)?;
        put_evidence(&transaction, job, bundle)?;
        for photo in &bundle.photos {
            add_photo(&transaction, job, photo)?;
        }
        transaction.commit()?;
        Ok(())
    }
}

/// Versions count from 1, and each leads back to the one before it.
fn check_versions(bundle: &Bundle) -> Result<(), StoreError> {
    let mut text = bundle.text.clone();
    let mut ids = BTreeSet::new();
    let count = i64::try_from(bundle.versions.len()).unwrap_or(i64::MAX);
    for (version, number) in bundle.versions.iter().rev().zip((1..=count).rev()) {
        check_id(&version.id)?;
        let before = if number == 1 { Some(String::new()) } else { version.back.apply(&text) };
        match before {
            Some(before) if version.version == number && ids.insert(&version.id) => text = before,
            _ => {
                let what = format!("version {number}");
                let text = "it does not lead to the one before it";
                return Err(StoreError::refused(what, text, "versions.jsonl as it was written, or none"));
            }
        }
    }
    Ok(())
}

fn put_versions(
    state: &Connection,
    job: &str,
    bundle: &Bundle,
    at: &str,
    author: &str,
) -> Result<(), StoreError> {
    if bundle.versions.is_empty() {
        let (id, what, back) = ("first", "taken in from a folder", &Splice::default());
        let row = VersionRow { version: 1, id, at, author, what, changes: "[]", takes_back: "", back };
        return insert_version(state, job, &row);
    }
    for version in &bundle.versions {
        let changes = change_json::written(&version.changes).to_string();
        let row = VersionRow {
            version: version.version,
            id: &version.id,
            at: &version.at,
            author: &version.author,
            what: &version.what,
            changes: &changes,
            takes_back: &version.takes_back,
            back: &version.back,
        };
        insert_version(state, job, &row)?;
    }
    Ok(())
}

/// Every line under the id that it brings, or under one made from its place where it brings none or one that another
/// line has: a receiver may write the same line twice, and both stay.
fn put_evidence(state: &Connection, job: &str, bundle: &Bundle) -> Result<(), StoreError> {
    let own: Vec<Option<String>> = bundle.evidence.iter().map(|line| id_of(line)).collect();
    let brought: BTreeSet<&String> = own.iter().flatten().collect();
    let mut taken: BTreeSet<String> = BTreeSet::new();
    for (at, (line, own)) in bundle.evidence.iter().zip(&own).enumerate() {
        if line.len() > LONGEST_LINE || line.contains('\0') {
            let what = format!("line {} of the evidence", at + 1);
            let text = "it is longer than 64 kB or holds a NUL";
            return Err(StoreError::refused(what, text, "lines as the program writes them"));
        }
        let id = match own {
            Some(id) if !taken.contains(id) => id.clone(),
            _ => {
                let plain = format!("line-{}", at + 1);
                let numbered = (2..).map(|more| format!("{plain}-{more}"));
                let free = |id: &String| !brought.contains(id) && !taken.contains(id);
                std::iter::once(plain.clone()).chain(numbered).find(free).unwrap_or(plain)
            }
        };
        add_line(state, job, &id, line)?;
        taken.insert(id);
    }
    Ok(())
}
