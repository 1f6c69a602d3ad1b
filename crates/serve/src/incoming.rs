//! A request as it comes off the wire, read with limits.

use std::future::poll_fn;
use std::pin::Pin;
use std::time::Duration;

use hyper::body::{Body, Bytes, Incoming};
use hyper::header::{CONTENT_LENGTH, CONTENT_TYPE, COOKIE, HeaderMap};
use hyper::http::request::Parts;
use pages::{Method, Request, Sheet};

use crate::clock;
use crate::form::{self, Form};
use crate::refusal::Refusal;
use crate::state::State;

/// The largest body that is read: a job of 16 MB and what goes around it.
pub(crate) const MOST_BYTES: usize = 20 * 1024 * 1024;

/// How long a body may take.
const PATIENCE: Duration = Duration::from_secs(60);

/// The longest zone, in minutes: 14 h.
const MOST_AHEAD_MIN: i32 = 840;

/// Bodies above this wait for one another, so that memory has a bound.
pub(crate) const LARGE: usize = 256 * 1024;

/// Reads a body to its end.
pub(crate) async fn read(state: &State, mut body: Incoming, headers: &HeaderMap) -> Result<Bytes, Refusal> {
    if body.is_end_stream() {
        return Ok(Bytes::new());
    }
    let too_large = || Refusal::new(413, "this is too large", "at most 20 MB");
    let told = headers.get(CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    if told.is_some_and(|told| told > MOST_BYTES) {
        return Err(too_large());
    }
    let _room = if told.is_none_or(|told| told > LARGE) { state.large.acquire().await.ok() } else { None };
    let mut bytes = Vec::with_capacity(told.unwrap_or(0).min(LARGE));
    let whole = async {
        while let Some(frame) = poll_fn(|context| Pin::new(&mut body).poll_frame(context)).await {
            let frame = frame.map_err(|_| Refusal::bad("the request broke off", "a whole one"))?;
            if let Ok(data) = frame.into_data() {
                if bytes.len() + data.len() > MOST_BYTES {
                    return Err(too_large());
                }
                bytes.extend_from_slice(&data);
            }
        }
        Ok(())
    };
    match tokio::time::timeout(PATIENCE, whole).await {
        Ok(read) => read.map(|()| Bytes::from(bytes)),
        Err(_) => Err(Refusal::new(408, "the request took too long to come", "a quicker one")),
    }
}

/// The path, decoded; refused where it is no path.
pub(crate) fn path(parts: &Parts) -> Result<String, Refusal> {
    let path = form::decoded(parts.uri.path(), false);
    let path = path.filter(|path| path.starts_with('/') && !path.contains('\0'));
    path.ok_or_else(|| Refusal::bad("the path is not encoded as paths are", "percent-encoded UTF-8"))
}

/// The query, decoded.
pub(crate) fn query(parts: &Parts) -> Result<Vec<(String, String)>, Refusal> {
    form::fields(parts.uri.query().unwrap_or_default())
}

/// The request as pages take it.
pub(crate) fn for_pages(state: &State, parts: &Parts, path: String, body: &[u8]) -> Result<Request, Refusal> {
    let method = if parts.method == hyper::Method::POST { Method::Post } else { Method::Get };
    let form = if method == Method::Post { form_of(&parts.headers, body)? } else { Form::default() };
    let no_chance = |_| Refusal::new(500, "the machine gives no chance for an id", "the same again");
    Ok(Request {
        method,
        path,
        query: query(parts)?,
        form: form.fields,
        upload: form.upload,
        at: clock::now(),
        ahead_min: cookie(&parts.headers, "ahead")
            .and_then(|ahead| ahead.parse::<i32>().ok())
            .filter(|ahead| ahead.abs() <= MOST_AHEAD_MIN),
        author: named(&parts.headers).unwrap_or_else(|| state.author.clone()),
        fresh_id: clock::fresh_id().map_err(no_chance)?,
        sheet: cookie(&parts.headers, "sheet").map_or(Sheet::System, Sheet::of),
    })
}

fn form_of(headers: &HeaderMap, body: &[u8]) -> Result<Form, Refusal> {
    let kind = headers.get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if let Some(boundary) = form::boundary(kind) {
        return form::parts(body, boundary);
    }
    let bare = kind.split(';').next().unwrap_or_default().trim();
    if bare.eq_ignore_ascii_case("application/x-www-form-urlencoded") {
        let refused = |_| Refusal::bad("the form is no UTF-8", "a form in UTF-8");
        let text = std::str::from_utf8(body).map_err(refused)?;
        return Ok(Form { fields: form::fields(text)?, upload: None });
    }
    if body.is_empty() {
        return Ok(Form::default());
    }
    Err(Refusal::new(415, "this is no form", "application/x-www-form-urlencoded or multipart/form-data"))
}

/// Who asks, as they once said; none where they have not, or where it is no name.
fn named(headers: &HeaderMap) -> Option<String> {
    let said = form::decoded(cookie(headers, "who")?, false)?;
    pages::name_of(&said).map(str::to_owned)
}

/// A cookie's value.
fn cookie<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    let lines = headers.get_all(COOKIE).iter().filter_map(|line| line.to_str().ok());
    lines.flat_map(|line| line.split(';')).find_map(|pair| {
        let (key, value) = pair.split_once('=')?;
        (key.trim() == name).then(|| value.trim())
    })
}
