//! The doors for programs: the same jobs as JSON, described by `/api/openapi.json`.
//!
//! [`doors::DOORS`] is the one list: requests are led by it, and the description is made from it.

mod change;
mod doors;
mod evidence;
mod jobs;
mod openapi;
mod photos;
mod results;
mod wire;

use assess::wire::{ErrorJson, ErrorsJson};
use hyper::Method;
use hyper::body::Bytes;
use hyper::header::CONTENT_TYPE;
use hyper::http::request::Parts;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::incoming;
use crate::refusal::Refusal;
use crate::reply::Reply;
use crate::state::State;

pub use openapi::description;

/// What a door is given.
pub(crate) struct Call<'a> {
    pub(crate) state: &'a State,
    /// What stands in the braces of the door's path, in their order.
    pub(crate) named: Vec<&'a str>,
    pub(crate) query: Vec<(String, String)>,
    pub(crate) body: &'a [u8],
}

/// Leads a request to its door.
pub(crate) fn answer(state: &State, parts: &Parts, path: &str, body: &Bytes) -> Result<Reply, Refusal> {
    let mut here =
        doors::DOORS.iter().filter_map(|door| door.named(path).map(|named| (door, named))).peekable();
    if here.peek().is_none() {
        return Err(Refusal::new(404, "there is no such door", "one of /api/openapi.json"));
    }
    // What may be asked with GET may be asked with HEAD.
    let method = if parts.method == Method::HEAD { &Method::GET } else { &parts.method };
    let mut methods: Vec<&str> = Vec::new();
    for (door, named) in here {
        if method.as_str() != door.method {
            methods.push(door.method);
            continue;
        }
        match door.body {
            Some(doors::Sent::Json(_)) => check_kind(parts, &[doors::JSON])?,
            Some(doors::Sent::Photo) => check_kind(parts, &doors::PHOTOS)?,
            None => {}
        }
        let query = incoming::query(parts)?;
        check_query(door, &query)?;
        return (door.open)(&Call { state, named, query, body });
    }
    Err(Refusal::new(405, "this door has no such method", methods.join(", ")))
}

/// Whether a path leads to a door that computes for seconds.
pub(crate) fn takes_long(path: &str) -> bool {
    let long = doors::DOORS.iter().filter(|door| door.effort == doors::Effort::Long);
    long.into_iter().any(|door| door.named(path).is_some())
}

/// A body is JSON, or a photo, by its name too: a form of another site cannot send that.
fn check_kind(parts: &Parts, taken: &[&str]) -> Result<(), Refusal> {
    let kind = parts.headers.get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let bare = kind.split(';').next().unwrap_or_default().trim();
    if taken.iter().any(|taken| bare.eq_ignore_ascii_case(taken)) {
        return Ok(());
    }
    let accept = format!("content-type: {}", taken.join(" or "));
    Err(Refusal::new(415, "this is not called what is taken here", accept))
}

/// Nothing is asked that the door does not know, and nothing twice.
fn check_query(door: &doors::Door, query: &[(String, String)]) -> Result<(), Refusal> {
    for (at, (name, _)) in query.iter().enumerate() {
        let known = door.query.iter().any(|parameter| parameter.name == name);
        if !known || query[..at].iter().any(|(other, _)| other == name) {
            let names: Vec<&str> = door.query.iter().map(|parameter| parameter.name).collect();
            let text = "the query holds a word that is not asked for here, or one twice";
            return Err(Refusal::new(
                422,
                text,
                if names.is_empty() { "no query".to_owned() } else { names.join(", ") },
            ));
        }
    }
    Ok(())
}

impl Call<'_> {
    /// A word of the query; none when it is not there.
    fn asked(&self, name: &str) -> Option<&str> {
        self.query.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// A whole number of the query, from `least` to `most`.
    fn number(&self, name: &str, usual: usize, least: usize, most: usize) -> Result<usize, Refusal> {
        let Some(text) = self.asked(name) else { return Ok(usual) };
        let plain = !text.is_empty() && text.bytes().all(|digit| digit.is_ascii_digit());
        let number = text.parse().ok().filter(|number| plain && (least..=most).contains(number));
        number.ok_or_else(|| {
            Refusal::new(
                422,
                format!("`{name}` is not a number that is taken here"),
                format!("{least} to {most}"),
            )
        })
    }

    /// The body as what the door takes.
    fn json<T: DeserializeOwned>(&self) -> Result<T, Refusal> {
        serde_json::from_slice(self.body).map_err(|error| {
            let status = if error.is_data() { 422 } else { 400 };
            Refusal::new(
                status,
                format!("the body cannot be read: {error}"),
                "JSON as /api/openapi.json describes it",
            )
        })
    }
}

/// JSON as the command line prints it: two blanks an indent and a line end.
fn json(status: u16, value: &impl Serialize) -> Result<Reply, Refusal> {
    let unwritten =
        |error: serde_json::Error| Refusal::new(500, format!("it cannot be written: {error}"), "");
    let mut text = serde_json::to_vec_pretty(value).map_err(unwritten)?;
    text.push(b'\n');
    Ok(Reply::new(status, "application/json", text))
}

/// A refusal as JSON, in the words of the command line's errors.
pub(crate) fn refused(refusal: &Refusal) -> Reply {
    let of_text = refusal.complaints.iter().map(|complaint| ErrorJson {
        file: complaint.file.clone(),
        line: complaint.line,
        column: complaint.column,
        text: complaint.text.clone(),
        accept: complaint.accept.clone(),
    });
    let mut errors: Vec<ErrorJson> = of_text.collect();
    if errors.is_empty() {
        errors.push(ErrorJson {
            file: "request".to_owned(),
            line: 1,
            column: 1,
            text: refusal.text.clone(),
            accept: refusal.accept.clone(),
        });
    }
    let text = serde_json::to_string_pretty(&ErrorsJson { errors }).unwrap_or_default();
    Reply::new(refusal.status, "application/json", text)
}
