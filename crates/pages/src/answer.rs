//! What goes back to the browser, and what is to be written down.

use job::Change;

use crate::request::Request;
use crate::world::{Entry, World};

/// An answer.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The status of HTTP.
    pub status: u16,
    /// What is sent.
    pub content: Content,
    /// What is to be written, all of it or nothing, before the answer goes out.
    pub writes: Vec<Write>,
    /// Colours to be remembered in a cookie called `sheet`.
    pub remember: Option<Sheet>,
}

/// What is sent.
#[derive(Clone, Debug)]
pub enum Content {
    /// A page, `text/html; charset=utf-8`.
    Html(String),
    /// `application/json`.
    Json(String),
    /// `text/plain; charset=utf-8`.
    Text(String),
    /// `image/svg+xml`.
    Svg(String),
    /// A file to be kept, under a name.
    File {
        /// Its media type.
        media_type: &'static str,
        /// Its name.
        name: String,
        /// What is in it.
        bytes: Vec<u8>,
    },
    /// Go there (status 303).
    Redirect(String),
}

/// Something to be written down.
///
/// Ids come from the browser's form: what was written under an id once is not written again, and counts as done.
#[derive(Clone, Debug)]
pub enum Write {
    /// A job that was not there.
    NewJob {
        /// Its id, free so far, fit for a path.
        id: String,
        /// Its text.
        text: String,
        /// What is to be said of it in the list.
        what: String,
    },
    /// A new text of a job.
    ///
    /// It was made from `version`. When the job has another by now, nothing is written, and [`answer`] is asked again
    /// with the same request: it makes the change in the newer text, or shows both where the two are about one thing.
    Save {
        /// The job.
        job: String,
        /// The id of this change.
        id: String,
        /// The version that `text` was made from.
        version: u64,
        /// The new text.
        text: String,
        /// From what to what.
        changes: Vec<Change>,
        /// What it is, in a sentence.
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
    /// A photo, to be made anew from its pixels before it is kept, so that nothing else comes in with it.
    Photo {
        /// The job.
        job: String,
        /// Its id.
        id: String,
        /// What it shows.
        about: String,
        /// As it was sent.
        bytes: Vec<u8>,
    },
}

/// The colours of the sheet.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Sheet {
    /// As the reader's machine has it.
    #[default]
    System,
    /// Ink on paper.
    Light,
    /// Light lines on a dark ground.
    Night,
}

impl Sheet {
    /// The word in the cookie.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::System => "system",
            Self::Light => "light",
            Self::Night => "night",
        }
    }

    /// The sheet of a word; that of the reader's machine for any other word.
    #[must_use]
    pub fn of(word: &str) -> Self {
        match word {
            "light" => Self::Light,
            "night" => Self::Night,
            _ => Self::System,
        }
    }
}

/// Answers a request.
///
/// Deterministic: the same world and request give the same answer.
#[must_use]
pub fn answer(world: &dyn World, request: &Request) -> Answer {
    let _ = (world, request);
    Answer { status: 404, content: Content::Html(String::new()), writes: Vec::new(), remember: None }
}
