//! What a browser asks.

use crate::answer::Sheet;

/// A request, with all that a pure function cannot find out by itself.
#[derive(Clone, Debug)]
pub struct Request {
    /// Reading or writing.
    pub method: Method,
    /// The path without its query, as the browser sent it: still percent-encoded, for a tag may hold a slash.
    pub path: String,
    /// The query, decoded, in its order.
    pub query: Vec<(String, String)>,
    /// The fields of a posted form, decoded, in their order; files are left out.
    pub form: Vec<(String, String)>,
    /// The file of a posted form.
    pub upload: Option<Upload>,
    /// Now, as RFC 3339 in UTC: `2026-11-24T14:22:05Z`.
    pub at: String,
    /// Minutes by which the reader's clock is ahead of UTC; times are shown by it. None where nobody has told it, as without
    /// script: times are then in UTC, and say so.
    pub ahead_min: Option<i32>,
    /// Who asks; what is written down says so.
    pub author: String,
    /// An id that was never given before: for a new job, and for a form on the page that is made.
    pub fresh_id: String,
    /// The colours that the reader chose, from the cookie that [`Answer::remember`](crate::Answer::remember) set.
    pub sheet: Sheet,
}

/// Reading or writing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Method {
    /// `GET` and `HEAD`.
    Get,
    /// `POST`.
    Post,
}

/// A file that was sent along.
#[derive(Clone, Debug)]
pub struct Upload {
    /// The form field that it came in.
    pub field: String,
    /// Its name as the browser says it; not to be trusted.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

impl Request {
    /// A field of the form; empty when it is not there.
    #[must_use]
    pub fn field(&self, name: &str) -> &str {
        first(&self.form, name)
    }

    /// A word of the query; empty when it is not there.
    #[must_use]
    pub fn asked(&self, name: &str) -> &str {
        first(&self.query, name)
    }
}

fn first<'a>(pairs: &'a [(String, String)], name: &str) -> &'a str {
    pairs.iter().find(|(key, _)| key == name).map_or("", |(_, value)| value)
}
