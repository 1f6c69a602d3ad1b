//! What can go wrong, and what then holds: nothing of a batch that failed was written.

use std::io;
use std::path::PathBuf;

/// Why something could not be read or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The database said no.
    #[error("the database cannot be used: {0}")]
    Database(#[from] rusqlite::Error),
    /// A file or a folder said no.
    #[error("{path}: {error}", path = path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// What the system says.
        error: io::Error,
    },
    /// A database of another program.
    #[error("{path} is a database of another program", path = path.display())]
    NotOurs {
        /// The file.
        path: PathBuf,
    },
    /// Written by a newer release.
    #[error("{path} was written by a newer release of this program (its tables are number {number})", path = path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// The number of its newest migration.
        number: i64,
    },
    /// The job has another version by now.
    #[error("the job `{job}` has version {version} by now")]
    Stale {
        /// The job.
        job: String,
        /// Its version.
        version: i64,
    },
    /// There is no such job.
    #[error("there is no job `{job}`")]
    NoJob {
        /// The id that was asked for.
        job: String,
    },
    /// A job of this id is there already.
    #[error("there is a job `{job}` already")]
    Taken {
        /// The id.
        job: String,
    },
    /// An id that was given before, to something else.
    #[error("the id `{id}` of `{job}` was given to something else before; what stands: {stands}")]
    Conflict {
        /// The job.
        job: String,
        /// The id.
        id: String,
        /// What is kept under it.
        stands: String,
    },
    /// What was to be written cannot be kept as it is.
    #[error("{what}: {text}; accepted is {accept}")]
    Refused {
        /// What was to be written.
        what: String,
        /// Why not.
        text: String,
        /// What would be accepted.
        accept: &'static str,
    },
    /// What is kept contradicts itself.
    #[error("what is kept is damaged: {text}")]
    Damaged {
        /// How.
        text: String,
    },
}

impl StoreError {
    /// A refusal.
    pub(crate) fn refused(what: impl Into<String>, text: impl Into<String>, accept: &'static str) -> Self {
        Self::Refused { what: what.into(), text: text.into(), accept }
    }

    /// Something about a file, for `map_err`.
    pub(crate) fn about(path: impl Into<PathBuf>) -> impl FnOnce(io::Error) -> Self {
        let path = path.into();
        move |error| Self::File { path, error }
    }
}
