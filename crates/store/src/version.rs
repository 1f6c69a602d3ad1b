//! Every change of a job, and the texts that it had.

use job::Change;
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::change_json;
use crate::error::StoreError;
use crate::jobs::{kept, number};
use crate::splice::Splice;
use crate::store::Store;

/// A version's columns, in the order in which [`row`] reads them.
const COLUMNS: &str = "version, id, at, author, what, changes, takes_back, back_at, back_length, back_text";

/// A change that was made.
#[derive(Clone, PartialEq, Debug)]
pub struct Version {
    /// The version that it made, from 1.
    pub version: i64,
    /// The id that the client gave it.
    pub id: String,
    /// When, RFC 3339.
    pub at: String,
    /// Who.
    pub author: String,
    /// What it was, in a sentence.
    pub what: String,
    /// From what to what; empty for the job's first text, and where whole tables came or went.
    pub changes: Vec<Change>,
    /// The id of the change that it took back; empty when it is none of those.
    pub takes_back: String,
    /// What turns its text into the one before it.
    pub(crate) back: Splice,
}

impl Store {
    /// The changes made last, the newest first, at most `count`.
    ///
    /// # Errors
    /// What the database says.
    pub fn versions(&self, job: &str, count: usize) -> Result<Vec<Version>, StoreError> {
        self.read(|state| down_from(state, job, i64::MAX, count))
    }

    /// One change, by its id.
    ///
    /// # Errors
    /// What the database says.
    pub fn version(&self, job: &str, id: &str) -> Result<Option<Version>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM job_version WHERE job = $1 AND id = $2");
        self.read(|state| Ok(state.prepare_cached(&sql)?.query_row(params![job, id], row).optional()?))
    }

    /// The text that a job had at a version; none when there is no such job or version.
    ///
    /// # Errors
    /// What the database says.
    pub fn text_at(&self, job: &str, version: i64) -> Result<Option<String>, StoreError> {
        self.read(|state| text_at(state, job, version))
    }
}

/// Versions up to `newest`, the newest first.
pub(crate) fn down_from(
    state: &Connection,
    job: &str,
    newest: i64,
    count: usize,
) -> Result<Vec<Version>, StoreError> {
    let sql = format!(
        "SELECT {COLUMNS} FROM job_version WHERE job = $1 AND version <= $2 ORDER BY version DESC LIMIT $3"
    );
    let mut statement = state.prepare_cached(&sql)?;
    let rows = statement.query_map(params![job, newest, number(count)], row)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

pub(crate) fn text_at(state: &Connection, job: &str, version: i64) -> Result<Option<String>, StoreError> {
    let Some(kept) = kept(state, job)? else { return Ok(None) };
    if version < 1 || version > kept.row.version {
        return Ok(None);
    }
    let mut text = kept.text;
    for later in down_from(state, job, kept.row.version, usize::MAX)? {
        if later.version == version {
            break;
        }
        let damaged = || StoreError::Damaged {
            text: format!("version {} of `{job}` does not lead to the one before it", later.version),
        };
        text = later.back.apply(&text).ok_or_else(damaged)?;
    }
    Ok(Some(text))
}

fn row(row: &Row<'_>) -> rusqlite::Result<Version> {
    let changes: String = row.get(5)?;
    let changes = serde_json::from_str(&changes).ok().and_then(|json| change_json::read(&json));
    let place = |at: usize| row.get::<_, i64>(at).map(|at| usize::try_from(at).unwrap_or(usize::MAX));
    Ok(Version {
        version: row.get(0)?,
        id: row.get(1)?,
        at: row.get(2)?,
        author: row.get(3)?,
        what: row.get(4)?,
        // A change of a table that this release does not know is still told by its sentence.
        changes: changes.unwrap_or_default(),
        takes_back: row.get(6)?,
        back: Splice { at: place(7)?, length: place(8)?, text: row.get(9)? },
    })
}
