//! Carries a request to the pages, and what they change to the store.

use std::sync::PoisonError;

use hyper::body::Bytes;
use hyper::header::{CONTENT_DISPOSITION, LOCATION, SET_COOKIE};
use pages::{Answer, Content, Method, Remember, Request};
use store::{Photo, PhotoRow, StoreError, Write};

use crate::form;
use crate::photo;
use crate::refusal::Refusal;
use crate::reply::Reply;
use crate::state::State;
use crate::world::{Shown, kept_entry, unassessed};

/// How often a change is tried again because another program was quicker: our own requests wait for their turn.
const TRIES: usize = 8;

/// A year, in seconds.
const YEAR_S: u32 = 31_536_000;

/// Answers a request.
pub(crate) fn page(state: &State, request: &Request) -> Result<Reply, Refusal> {
    // From reading the newest text to writing the next, one after the other.
    let mut turn = match request.method {
        Method::Post if reads_only(&request.path) => None,
        Method::Post => job_of(&request.path).map(|job| state.turns.of(job)),
        Method::Get => None,
    };
    for _ in 0..TRIES {
        let world = Shown::new(state);
        let mut answer = pages::answer(&world, request);
        if let Some(error) = world.failed() {
            return Err(error.into());
        }
        if answer.writes.is_empty() {
            return reply(answer);
        }
        let writes = std::mem::take(&mut answer.writes);
        let is = |wanted: fn(&pages::Write) -> bool| writes.iter().any(wanted);
        if is(|write| matches!(write, pages::Write::Photo { .. }))
            && !is(|write| matches!(write, pages::Write::Save { .. }))
        {
            // It takes long to make anew, and nothing is read for it.
            turn = None;
        }
        let writes = match writes.into_iter().map(|write| kept(state, write)).collect::<Result<_, _>>() {
            Ok(writes) => writes,
            Err(refusal) => return refused(state, request, refusal),
        };
        let done = state.carry_out(&request.author, writes);
        match done {
            Ok(()) => {
                drop(turn);
                return reply(answer);
            }
            // Somebody else was quicker: the pages look at the newer text and say what now.
            Err(StoreError::Stale { .. }) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Err(Refusal::new(503, "the job is changed faster than this change can be made", "the same again"))
}

/// What came along cannot be taken: a page of the job that it was for says so.
pub(crate) fn refused(state: &State, request: &Request, refusal: Refusal) -> Result<Reply, Refusal> {
    if !matches!(refusal.status, 413 | 415) {
        return Err(refusal);
    }
    let world = Shown::new(state);
    let answer = pages::not_taken(&world, request, refusal.status, &refusal.text, &refusal.accept);
    match world.failed() {
        Some(error) => Err(error.into()),
        None => reply(answer),
    }
}

/// Whether nothing is ever written by what is posted there: a photo is looked through for codes, a sheet is shown.
fn reads_only(path: &str) -> bool {
    path.strip_prefix("/j/").and_then(|rest| rest.split_once('/')).is_some_and(|(_, room)| room == "tag")
}

/// The job that a path of a page is about, as the path says it: `/j/ID/...`.
fn job_of(path: &str) -> Option<&str> {
    path.strip_prefix("/j/")?.split('/').next()
}

/// What is to be written, as the store takes it.
fn kept(state: &State, write: pages::Write) -> Result<Write, Refusal> {
    let said_of = |job: &str, text: &str| {
        let (_, desk) = state.desks.of(job, text);
        desk.map(|desk| unassessed(&desk)).unwrap_or_default()
    };
    Ok(match write {
        pages::Write::NewJob { id, text, what } => {
            let summary = said_of(&id, &text);
            Write::NewJob { id, text, summary, what }
        }
        pages::Write::Save { job, id, version, text, changes, what, takes_back } => {
            let summary = said_of(&job, &text);
            let version = i64::try_from(version).unwrap_or(i64::MAX);
            Write::Save { job, id, version, text, summary, changes, what, takes_back }
        }
        pages::Write::Evidence { job, entry } => Write::Evidence { job, entry: kept_entry(&entry) },
        pages::Write::Photo { job, id, about, bytes } => {
            let media_type = photo::MEDIA_TYPE.to_owned();
            // One after the other: a large one takes much room while it is read.
            let _room = state.photos.lock().unwrap_or_else(PoisonError::into_inner);
            let row = PhotoRow { id, about, media_type, ..PhotoRow::default() };
            Write::Photo { job, photo: Photo { row, bytes: photo::made_anew(&bytes)? } }
        }
    })
}

fn reply(answer: Answer) -> Result<Reply, Refusal> {
    let mut reply = match answer.content {
        Content::Html(text) => Reply::new(answer.status, "text/html; charset=utf-8", text),
        Content::Json(text) => Reply::new(answer.status, "application/json", text),
        Content::Text(text) => Reply::new(answer.status, "text/plain; charset=utf-8", text),
        Content::Svg(text) => Reply::new(answer.status, "image/svg+xml", text),
        Content::File { media_type, name, bytes } => {
            let mut reply = Reply::new(answer.status, media_type, bytes);
            reply.put(CONTENT_DISPOSITION, &format!("attachment; filename=\"{}\"", plain(&name)));
            reply
        }
        Content::Redirect(to) => {
            // A path of ours: nothing that a form says leads elsewhere.
            if !to.starts_with('/') || to.starts_with("//") || to.contains(['\\', '\r', '\n']) {
                return Err(Refusal::new(500, "a page leads to a place that is not here", "another page"));
            }
            let mut reply = Reply::new(303, "text/plain; charset=utf-8", Bytes::new());
            reply.put(LOCATION, &to);
            reply
        }
    };
    if let Some(remember) = answer.remember {
        let (pair, lives_s) = match &remember {
            Remember::Sheet(sheet) => (format!("sheet={}", sheet.word()), YEAR_S),
            Remember::Name(name) if name.is_empty() => ("who=".to_owned(), 0),
            Remember::Name(name) => (format!("who={}", form::encoded(name)), YEAR_S),
        };
        let cookie = format!("{pair}; Path=/; Max-Age={lives_s}; SameSite=Strict; HttpOnly");
        reply.put(SET_COOKIE, &cookie);
    }
    Ok(reply)
}

/// A file name of plain letters, digits, dots, - and _.
fn plain(name: &str) -> String {
    let fits = |letter: char| letter.is_ascii_alphanumeric() || matches!(letter, '.' | '-' | '_');
    name.chars().map(|letter| if fits(letter) { letter } else { '-' }).collect()
}
