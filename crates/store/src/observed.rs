//! Evidence, as it is read.

use rusqlite::{Connection, OptionalExtension, params};

use crate::entry::Entry;
use crate::error::StoreError;
use crate::jobs::number;
use crate::store::Store;

/// Which entries are asked for; empty is all of them.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Which<'a> {
    /// Of a kind.
    pub kind: &'a str,
    /// About something.
    pub about: &'a str,
}

impl Which<'_> {
    /// The condition, with `$2` and `$3` for kind and about as far as they are asked for; and what stands for them.
    fn wanted(&self) -> (&'static str, Vec<&str>) {
        match (self.kind, self.about) {
            ("", "") => ("", Vec::new()),
            (kind, "") => (" AND kind = $2", vec![kind]),
            ("", about) => (" AND about = $2", vec![about]),
            (kind, about) => (" AND kind = $2 AND about = $3", vec![kind, about]),
        }
    }
}

impl Store {
    /// Entries of evidence, the newest first; `from` of them are left out, at most `count` come.
    ///
    /// # Errors
    /// What the database says.
    pub fn evidence(
        &self,
        job: &str,
        which: Which<'_>,
        from: usize,
        count: usize,
    ) -> Result<Vec<Entry>, StoreError> {
        let lines = self.lines(job, which, from, count)?;
        Ok(lines.iter().map(|(id, line)| Entry::of_line(id, line)).collect())
    }

    /// The same as the lines that are kept, each with the id that it is kept under.
    ///
    /// # Errors
    /// What the database says.
    pub fn lines(
        &self,
        job: &str,
        which: Which<'_>,
        from: usize,
        count: usize,
    ) -> Result<Vec<(String, String)>, StoreError> {
        let (wanted, words) = which.wanted();
        let (limit, offset) = (words.len() + 2, words.len() + 3);
        let sql = format!(
            "SELECT id, line FROM evidence WHERE job = $1{wanted} ORDER BY place DESC LIMIT ${limit} OFFSET ${offset}"
        );
        self.read(|state| {
            let mut statement = state.prepare_cached(&sql)?;
            statement.raw_bind_parameter(1, job)?;
            for (at, word) in words.iter().enumerate() {
                statement.raw_bind_parameter(at + 2, word)?;
            }
            statement.raw_bind_parameter(limit, number(count))?;
            statement.raw_bind_parameter(offset, number(from))?;
            let mut rows = Vec::new();
            let mut found = statement.raw_query();
            while let Some(row) = found.next()? {
                rows.push((row.get(0)?, row.get(1)?));
            }
            Ok(rows)
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
pub(crate) fn all_lines(state: &Connection, job: &str) -> Result<Vec<(String, String)>, StoreError> {
    let mut statement = state.prepare("SELECT id, line FROM evidence WHERE job = $1 ORDER BY place")?;
    let rows = statement.query_map(params![job], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}
