//! The list of jobs, and the text of one.

use rusqlite::{Connection, OptionalExtension, Row, params, params_from_iter};

use crate::error::StoreError;
use crate::store::Store;

/// A row's columns, in the order in which [`row`] reads them.
const COLUMNS: &str = "id, version, changed_at, name, circuits, verdict, answer";

/// The most words of a search that count.
const MOST_WORDS: usize = 8;

/// What a list says of a job; whoever writes its text knows it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Summary {
    /// What people call the site.
    pub name: String,
    /// How many circuits it has.
    pub circuits: i64,
    /// The word of its heaviest finding; empty where there is none.
    pub verdict: String,
    /// The answer in a sentence.
    pub answer: String,
}

/// A job in the list.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct JobRow {
    /// Its id.
    pub id: String,
    /// Its version, which grows by one with every change.
    pub version: i64,
    /// When it was changed last, RFC 3339.
    pub changed_at: String,
    /// What is said of it.
    pub summary: Summary,
}

/// A part of the list of jobs.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Jobs {
    /// The rows.
    pub rows: Vec<JobRow>,
    /// How many there are in all.
    pub of: i64,
}

/// A job with its newest text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Kept {
    /// What the list says.
    pub row: JobRow,
    /// The job file.
    pub text: String,
}

impl Store {
    /// Jobs whose name or id hold every word of `search`, in any case of letters, the one changed last first; `from` of
    /// them are left out, at most `count` come.
    ///
    /// # Errors
    /// What the database says.
    pub fn jobs(&self, search: &str, from: usize, count: usize) -> Result<Jobs, StoreError> {
        let words: Vec<String> = search.split_whitespace().take(MOST_WORDS).map(pattern).collect();
        let wanted: Vec<String> =
            (1..=words.len()).map(|at| format!("sought LIKE ${at} ESCAPE '\\'")).collect();
        let wanted =
            if wanted.is_empty() { String::new() } else { format!(" WHERE {}", wanted.join(" AND ")) };
        let (limit, offset) = (words.len() + 1, words.len() + 2);
        let listed = format!(
            "SELECT {COLUMNS} FROM job{wanted} ORDER BY changed_at DESC, id DESC LIMIT ${limit} OFFSET ${offset}"
        );
        let counted = format!("SELECT COUNT(*) FROM job{wanted}");
        self.read(|state| {
            let of = state.prepare_cached(&counted)?.query_row(params_from_iter(&words), |row| row.get(0))?;
            let mut statement = state.prepare_cached(&listed)?;
            for (at, word) in words.iter().enumerate() {
                statement.raw_bind_parameter(at + 1, word)?;
            }
            statement.raw_bind_parameter(limit, number(count))?;
            statement.raw_bind_parameter(offset, number(from))?;
            let mut rows = Vec::new();
            let mut found = statement.raw_query();
            while let Some(one) = found.next()? {
                rows.push(row(one)?);
            }
            Ok(Jobs { rows, of })
        })
    }

    /// A job as it stands; none when there is none of this id.
    ///
    /// # Errors
    /// What the database says.
    pub fn job(&self, id: &str) -> Result<Option<Kept>, StoreError> {
        self.read(|state| kept(state, id))
    }
}

/// A count as the database takes it.
pub(crate) fn number(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

pub(crate) fn kept(state: &Connection, id: &str) -> Result<Option<Kept>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM job WHERE id = $1");
    let Some(row) = state.prepare_cached(&sql)?.query_row(params![id], row).optional()? else {
        return Ok(None);
    };
    let mut text = state.prepare_cached("SELECT text FROM job_text WHERE job = $1")?;
    let text = text.query_row(params![id], |row| row.get(0))?;
    Ok(Some(Kept { row, text }))
}

fn row(row: &Row<'_>) -> rusqlite::Result<JobRow> {
    Ok(JobRow {
        id: row.get(0)?,
        version: row.get(1)?,
        changed_at: row.get(2)?,
        summary: Summary {
            name: row.get(3)?,
            circuits: row.get(4)?,
            verdict: row.get(5)?,
            answer: row.get(6)?,
        },
    })
}

/// What a job is found by.
pub(crate) fn sought(id: &str, summary: &Summary) -> String {
    format!("{id} {}", summary.name).to_lowercase()
}

/// A word as `LIKE` looks for it anywhere.
fn pattern(word: &str) -> String {
    let mut pattern = String::from("%");
    for letter in word.to_lowercase().chars() {
        if matches!(letter, '%' | '_' | '\\') {
            pattern.push('\\');
        }
        pattern.push(letter);
    }
    pattern.push('%');
    pattern
}
