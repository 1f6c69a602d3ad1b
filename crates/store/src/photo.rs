//! Photos of terminal strips and tags.

use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::error::StoreError;
use crate::store::Store;

/// A photo's columns but for its bytes, in the order in which [`row`] reads them.
const COLUMNS: &str = "id, at, author, about, media_type";

/// A photo without its pixels.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct PhotoRow {
    /// The id that the client gave it.
    pub id: String,
    /// When it came, RFC 3339.
    pub at: String,
    /// Who.
    pub author: String,
    /// What it shows; empty when nobody has said.
    pub about: String,
    /// `image/jpeg` or `image/png`.
    pub media_type: String,
}

/// A photo.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Photo {
    /// What is said of it.
    pub row: PhotoRow,
    /// The file.
    pub bytes: Vec<u8>,
}

impl Store {
    /// The photos of a job, the newest first.
    ///
    /// # Errors
    /// What the database says.
    pub fn photos(&self, job: &str) -> Result<Vec<PhotoRow>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM photo WHERE job = $1 ORDER BY place DESC");
        self.read(|state| {
            let mut statement = state.prepare_cached(&sql)?;
            let rows = statement.query_map(params![job], row)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// A photo, by its id.
    ///
    /// # Errors
    /// What the database says.
    pub fn photo(&self, job: &str, id: &str) -> Result<Option<Photo>, StoreError> {
        let sql = format!("SELECT {COLUMNS}, bytes FROM photo WHERE job = $1 AND id = $2");
        self.read(|state| Ok(state.prepare_cached(&sql)?.query_row(params![job, id], whole).optional()?))
    }
}

/// Every photo, the oldest first.
pub(crate) fn all(state: &Connection, job: &str) -> Result<Vec<Photo>, StoreError> {
    let sql = format!("SELECT {COLUMNS}, bytes FROM photo WHERE job = $1 ORDER BY place");
    let mut statement = state.prepare(&sql)?;
    let rows = statement.query_map(params![job], whole)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

fn row(row: &Row<'_>) -> rusqlite::Result<PhotoRow> {
    Ok(PhotoRow {
        id: row.get(0)?,
        at: row.get(1)?,
        author: row.get(2)?,
        about: row.get(3)?,
        media_type: row.get(4)?,
    })
}

fn whole(found: &Row<'_>) -> rusqlite::Result<Photo> {
    Ok(Photo { row: row(found)?, bytes: found.get(5)? })
}
