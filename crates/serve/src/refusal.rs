//! What cannot be done: a status, what is wrong, what would be accepted.

use document::{Complaint, Problem, Source};
use store::StoreError;

/// Something that is not done.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Refusal {
    /// The status of HTTP.
    pub(crate) status: u16,
    /// What is wrong, lower case, no full stop.
    pub(crate) text: String,
    /// What would be accepted; may be empty.
    pub(crate) accept: String,
    /// Where a job's text is wrong; empty for everything else.
    pub(crate) complaints: Vec<Complaint>,
}

impl Refusal {
    pub(crate) fn new(status: u16, text: impl Into<String>, accept: impl Into<String>) -> Self {
        Self { status, text: text.into(), accept: accept.into(), complaints: Vec::new() }
    }

    /// A job's text that cannot be read.
    pub(crate) fn unread(text: &str, problems: &[Problem]) -> Self {
        let source = Source::new("job.toml", text);
        let complaints: Vec<Complaint> = problems.iter().map(|problem| source.complaint(problem)).collect();
        let first = complaints.first();
        Self {
            status: 422,
            text: first.map_or("the job cannot be read".to_owned(), |first| first.text.clone()),
            accept: first.map_or(String::new(), |first| first.accept.clone()),
            complaints,
        }
    }

    /// A request that cannot be understood.
    pub(crate) fn bad(text: impl Into<String>, accept: impl Into<String>) -> Self {
        Self::new(400, text, accept)
    }
}

impl From<StoreError> for Refusal {
    fn from(error: StoreError) -> Self {
        let text = error.to_string();
        match error {
            StoreError::Stale { .. } => Self::new(409, text, "the same, made from the newest version"),
            StoreError::Conflict { .. } => Self::new(409, text, "the same as stands, or another id"),
            StoreError::Taken { .. } => Self::new(409, text, "another id"),
            StoreError::NoJob { .. } => Self::new(404, text, "the id of a job in the list"),
            StoreError::Refused { what, text, accept } => Self::new(422, format!("{what}: {text}"), accept),
            _ => Self::new(500, text, "the same again; if it stays so, a look at the disk and a backup"),
        }
    }
}
