//! Evidence, as it is read.

use rusqlite::{Connection, OptionalExtension, params};

use crate::entry::Entry;
use crate::error::StoreError;
use crate::jobs::number;
use crate::store::Store;

impl Store {
    /// Entries of evidence, the newest first; `from` of them are left out, at most `count` come.
    ///
    /// # Errors
    /// What the database says.
    pub fn evidence(&self, job: &str, from: usize, count: usize) -> Result<Vec<Entry>, StoreError> {
        let lines = self.lines(job, from, count)?;
        Ok(lines.iter().map(|(id, line)| Entry::of_line(id, line)).collect())
    }

    /// The same as the lines that are kept, each with the id that it is kept under.
    ///
    /// # Errors
    /// What the database says.
    pub fn lines(&self, job: &str, from: usize, count: usize) -> Result<Vec<(String, String)>, StoreError> {
        let sql = "SELECT id, line FROM evidence WHERE job = $1 ORDER BY place DESC LIMIT $2 OFFSET $3";
        self.read(|state| {
            let mut statement = state.prepare_cached(sql)?;
            let rows = statement
                .query_map(params![job, number(count), number(from)], |row| Ok((row.get(0)?, row.get(1)?)))?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// One entry, by its id.
    ///
    /// # Errors
    /// What the database says.
    pub fn entry(&self, job: &str, id: &str) -> Result<Option<Entry>, StoreError> {
        let sql = "SELECT line FROM evidence WHERE job = $1 AND id = $2";
        self.read(|state| {
            let line: Option<String> =
                state.prepare_cached(sql)?.query_row(params![job, id], |row| row.get(0)).optional()?;
            Ok(line.map(|line| Entry::of_line(id, &line)))
        })
    }

    /// How many entries a job has.
    ///
    /// # Errors
    /// What the database says.
    pub fn entries(&self, job: &str) -> Result<i64, StoreError> {
        let sql = "SELECT COUNT(*) FROM evidence WHERE job = $1";
        self.read(|state| Ok(state.prepare_cached(sql)?.query_row(params![job], |row| row.get(0))?))
    }
}

/// Every line with the id that it is kept under, the oldest first.
pub(crate) fn lines(state: &Connection, job: &str) -> Result<Vec<(String, String)>, StoreError> {
    let mut statement = state.prepare("SELECT id, line FROM evidence WHERE job = $1 ORDER BY place")?;
    let rows = statement.query_map(params![job], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}
