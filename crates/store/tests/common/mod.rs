//! What more than one test needs.

use store::{Batch, Entry, Summary, Write};

/// One write by somebody at some time.
pub(crate) fn batch(writes: Vec<Write>) -> Batch {
    Batch { at: "2026-03-14T10:00:00Z".to_owned(), author: "A. Person".to_owned(), writes }
}

/// A job that was not there.
pub(crate) fn new_job(id: &str, text: &str) -> Write {
    let summary = Summary { name: format!("Site of {id}"), circuits: 3, ..Summary::default() };
    Write::NewJob { id: id.to_owned(), text: text.to_owned(), summary, what: "begun".to_owned() }
}

/// A text made from a version.
pub(crate) fn save(job: &str, id: &str, version: i64, text: &str) -> Write {
    Write::Save {
        job: job.to_owned(),
        id: id.to_owned(),
        version,
        text: text.to_owned(),
        summary: Summary::default(),
        changes: Vec::new(),
        what: format!("change {id}"),
        takes_back: String::new(),
    }
}

/// An observation.
pub(crate) fn evidence(job: &str, id: &str, words: &str) -> Write {
    let entry = Entry {
        id: id.to_owned(),
        kind: "note".to_owned(),
        words: words.to_owned(),
        data: "{}".to_owned(),
        ..Entry::default()
    };
    Write::Evidence { job: job.to_owned(), entry }
}
