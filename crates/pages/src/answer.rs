//! What goes back to the browser, and what is to be written down.

use job::Change;

use crate::frame::{Open, missing};
use crate::place::{Place, Room, back};
use crate::request::{Method, Request};
use crate::world::{Entry, World};
use crate::{
    card, changes, checked, circuit, circuits, compare, cutover, divide, equipment, inputs, kit, list, play,
    record, sheet, supplies, survey, tag, text, undo, walk, who,
};

/// An answer.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The status of HTTP.
    pub status: u16,
    /// What is sent.
    pub content: Content,
    /// What is to be written, all of it or nothing, before the answer goes out.
    pub writes: Vec<Write>,
    /// What is to be remembered in a cookie.
    pub remember: Option<Remember>,
}

/// What a browser keeps of its reader.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Remember {
    /// The colours, in a cookie called `sheet`.
    Sheet(Sheet),
    /// The reader's name, in a cookie called `who`, percent-encoded; empty forgets it.
    Name(String),
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
/// Deterministic: the same world and request give the same answer. A `POST` that comes from a page of another site has to
/// be turned away before it gets here.
#[must_use]
pub fn answer(world: &dyn World, request: &Request) -> Answer {
    let writes = request.method == Method::Post;
    match Place::of(&request.path) {
        Place::Jobs if !writes => list::jobs(world, request),
        Place::New if writes => list::make(world, request),
        Place::New => list::new_page(request),
        Place::Colours if writes => colours(request),
        Place::Who if writes => who::named(request),
        Place::Job(id, room) => match Open::new(world, request, &id) {
            Ok(open) if writes => pressed(&open, &room),
            Ok(open) => looked_at(&open, &room),
            Err(answer) => match room {
                Room::Text if !writes => text_of(world, request, &id),
                Room::Written => text::unread(world, request, &id),
                _ => *answer,
            },
        },
        Place::Nowhere => missing(request, "Nothing is kept under this address.", "Back to the list", "/"),
        _ => wrong_way(request),
    }
}

fn looked_at(open: &Open, room: &Room) -> Answer {
    match room {
        Room::Front => front(open),
        Room::Survey => survey::room(open),
        Room::Walk => walk::page(open),
        Room::Tag => tag::by_tag(open),
        Room::Readings => sheet::page(open),
        Room::Card(tag) => card::page(open, tag),
        Room::Weigh(tag) => card::weigh(open, tag),
        Room::Circuits => circuits::room(open),
        Room::Circuit(tag) => circuit::page(open, tag),
        Room::Play(tag) => play::fragment(open, tag),
        Room::Supplies => supplies::room(open, None),
        Room::Supply(id) => supplies::page(open, id),
        Room::Inputs => inputs::room(open),
        Room::Divide => divide::page(open),
        Room::Compare => compare::page(open),
        Room::Equipment => equipment::room(open),
        Room::Written => text::page(open),
        Room::Kit => kit::page(open, None),
        Room::CutOver => cutover::room(open, None),
        Room::Record => record::room(open),
        Room::Text => text_of(open.world, open.request, open.id),
        Room::Version => said(Content::Text(open.kept.version.to_string())),
        Room::Assessment => record::assessment(open),
        Room::Identified => record::identified(open),
        Room::Strip
        | Room::Remedy(_)
        | Room::Accept(_)
        | Room::Note
        | Room::Photo
        | Room::Change
        | Room::Checked
        | Room::Undo => wrong_way(open.request),
    }
}

fn pressed(open: &Open, room: &Room) -> Answer {
    match room {
        Room::Strip => survey::strip(open),
        Room::Walk => walk::trip(open),
        Room::Tag => tag::by_photo(open),
        Room::Readings => sheet::take(open),
        Room::Card(tag) => card::keep(open, tag),
        Room::Circuits => circuits::add(open),
        Room::Remedy(tag) => circuit::take_remedy(open, tag),
        Room::Divide => divide::write(open),
        Room::Equipment => equipment::press(open),
        Room::Written => text::keep(open),
        Room::Accept(tag) => circuit::accept(open, tag),
        Room::Note => record::note(open),
        Room::Photo => record::photo(open),
        Room::Change => changes::change(open),
        Room::Checked => checked::write(open),
        Room::Undo => undo::undo(open),
        _ => wrong_way(open.request),
    }
}

/// The first room: the circuits; the survey as long as nothing is known of any.
fn front(open: &Open) -> Answer {
    let known =
        open.job().circuits.iter().any(|circuit| circuit.network.is_some() || !circuit.found.is_empty());
    let room = if known { "circuits" } else { "survey" };
    said(Content::Redirect(open.path(&[room])))
}

fn text_of(world: &dyn World, request: &Request, id: &str) -> Answer {
    match world.job(id) {
        Some(kept) => said(Content::File {
            media_type: "application/toml",
            name: format!("{id}.toml"),
            bytes: kept.text.as_bytes().to_vec(),
        }),
        None => missing(request, "There is no such job here.", "Back to the list", "/"),
    }
}

fn colours(request: &Request) -> Answer {
    let remember = Some(Remember::Sheet(Sheet::of(request.field("sheet"))));
    Answer { remember, ..said(Content::Redirect(back(request.field("back")))) }
}

/// Content that changes nothing.
pub(crate) fn said(content: Content) -> Answer {
    let status = if matches!(content, Content::Redirect(_)) { 303 } else { 200 };
    Answer { status, content, writes: Vec::new(), remember: None }
}

fn wrong_way(request: &Request) -> Answer {
    let says = "This address is there, but not for what was asked of it.";
    Answer { status: 405, ..missing(request, says, "Back to the list", "/") }
}
