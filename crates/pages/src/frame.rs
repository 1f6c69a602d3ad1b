//! What stands around every page: head, rooms, margin with the changes, title block.

use std::sync::Arc;

use document::Problem;
use job::Job;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::answer::{Answer, Content, Sheet};
use crate::assets::{ICON, SCRIPT, STYLE};
use crate::changes;
use crate::clock;
use crate::desk::{Assessed, CutOver, Desk, Surveyed};
use crate::place::path;
use crate::request::Request;
use crate::world::{Changed, Kept, World};

/// Changes that the margin shows.
const CHANGES_SHOWN: usize = 5;
/// The word of the query by which a press tells the page that it leads to what it wrote.
pub(crate) const WROTE: &str = "wrote";
/// Seconds for which that stands at the head of the page.
const JUST_S: i64 = 120;
/// Letters of it that stand there; the rest is behind a press.
const JUST_SHOWN: usize = 90;

/// A job that is open on the desk.
pub(crate) struct Open<'a> {
    pub(crate) world: &'a dyn World,
    pub(crate) request: &'a Request,
    pub(crate) id: &'a str,
    pub(crate) kept: Kept,
    pub(crate) desk: Arc<Desk>,
}

impl<'a> Open<'a> {
    /// Opens a job; otherwise says why it cannot be.
    pub(crate) fn new(world: &'a dyn World, request: &'a Request, id: &'a str) -> Result<Self, Box<Answer>> {
        let Some(kept) = world.job(id) else {
            return Err(Box::new(missing(request, "There is no such job here.", "Back to the list", "/")));
        };
        match &kept.desk {
            Ok(desk) => Ok(Self { world, request, id, desk: Arc::clone(desk), kept }),
            Err(problems) => {
                let problems = Arc::clone(problems);
                Err(Box::new(unreadable(request, id, &kept.text, &problems)))
            }
        }
    }

    /// What the engines say of it.
    pub(crate) fn assessed(&self) -> Arc<Assessed> {
        self.world.assessed(self.id, self.kept.version, &self.desk)
    }

    /// What is on its pairs.
    pub(crate) fn surveyed(&self) -> Arc<Surveyed> {
        self.world.surveyed(self.id, self.kept.version, &self.desk)
    }

    /// Its cut-over.
    pub(crate) fn cut_over(&self) -> Arc<CutOver> {
        self.world.cut_over(self.id, self.kept.version, &self.desk)
    }

    pub(crate) fn job(&self) -> &Job {
        self.desk.job()
    }

    /// A path in this job.
    pub(crate) fn path(&self, parts: &[&str]) -> String {
        let mut all = vec!["j", self.id];
        all.extend_from_slice(parts);
        path(&all)
    }

    /// The site's name, or the job's id where nobody has named it.
    pub(crate) fn site(&self) -> &str {
        match self.job().site.name.as_str() {
            "" => self.id,
            name => name,
        }
    }

    /// A time as the reader's clock shows it.
    pub(crate) fn time(&self, at: &str) -> String {
        clock::shown(at, &self.request.at, self.request.ahead_min)
    }

    /// The fields that every form of this job carries.
    pub(crate) fn form_fields(&self) -> Markup {
        html! {
            input type="hidden" name="id" value=(self.request.fresh_id);
        }
    }
}

/// The room that a page is in.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tab {
    Survey,
    Circuits,
    Inputs,
    Supplies,
    CutOver,
    Record,
}

impl Tab {
    const ALL: [Self; 6] =
        [Self::Survey, Self::Circuits, Self::Inputs, Self::Supplies, Self::CutOver, Self::Record];

    fn word(self) -> &'static str {
        match self {
            Self::Survey => "Survey",
            Self::Circuits => "Circuits",
            Self::Inputs => "Inputs",
            Self::Supplies => "Supplies",
            Self::CutOver => "Cut-over",
            Self::Record => "Record",
        }
    }

    fn part(self) -> &'static str {
        match self {
            Self::Survey => "survey",
            Self::Circuits => "circuits",
            Self::Inputs => "inputs",
            Self::Supplies => "supplies",
            Self::CutOver => "cut-over",
            Self::Record => "record",
        }
    }
}

/// A page of a job before its frame is drawn.
pub(crate) struct Page {
    pub(crate) tab: Tab,
    /// What it is: `Circuit C07`.
    pub(crate) title: String,
    /// Beside the title: `pair 23 of 36`.
    pub(crate) beside: String,
    /// The title as it stands on the page; the plain title where there is none.
    pub(crate) head: Option<Markup>,
    /// Answer, pictures, tables.
    pub(crate) body: Markup,
    /// What stands beside it on a wide sheet, above the changes.
    pub(crate) notes: Markup,
    /// The scale of its drawings.
    pub(crate) scale: String,
    /// That of the drawings which a narrow sheet shows in their place.
    pub(crate) narrow_scale: String,
    /// Whether the screen stays awake while it is open.
    pub(crate) awake: bool,
    pub(crate) status: u16,
}

impl Page {
    pub(crate) fn new(tab: Tab, title: impl Into<String>, body: Markup) -> Self {
        Self {
            tab,
            title: title.into(),
            beside: String::new(),
            head: None,
            body,
            notes: html! {},
            scale: String::new(),
            narrow_scale: String::new(),
            awake: false,
            status: 200,
        }
    }

    /// Draws the frame around it.
    pub(crate) fn answer(self, open: &Open) -> Answer {
        // What answers a press that was refused holds what somebody typed: nothing of others' takes its place.
        let events = (self.status < 400).then(|| open.path(&["events"]));
        let version = open.kept.version;
        let recent = open.world.changes(open.id, CHANGES_SHOWN);
        let awake = self.awake.then_some("yes");
        let main = html! {
            div.sheet {
                main id="main" tabindex="-1" {
                    div.head {
                        @match &self.head { Some(head) => (head), None => h1 { (self.title) }, }
                        @if !self.beside.is_empty() { p.beside { (self.beside) } }
                    }
                    (just(open))
                    (self.body)
                }
                aside id="margin" aria-label="Margin" tabindex="-1" {
                    (self.notes)
                    (margin(open, &recent))
                }
                (block(open, &recent, &self))
            }
        };
        let body = html! {
            (header(open.request, Some(open), Some(self.tab)))
            div id="page" data-events=[events] data-version=(version) data-awake=[awake] { (main) }
        };
        let title = format!("{}, {}", self.title, open.site());
        html_answer(self.status, open.request, &title, &body)
    }
}

/// A page outside any job.
pub(crate) fn plain(request: &Request, status: u16, title: &str, body: &Markup) -> Answer {
    let body = html! {
        (header(request, None, None))
        div id="page" { div.sheet.plain { main id="main" tabindex="-1" { (body) } } }
    };
    html_answer(status, request, title, &body)
}

/// What was asked for is not there.
pub(crate) fn missing(request: &Request, says: &str, way: &str, to: &str) -> Answer {
    let body = html! {
        div.head { h1 { "Not here" } }
        p.answer { (says) }
        p { a.button href=(to) { (way) } }
    };
    plain(request, 404, "Not here", &body)
}

/// What was sent cannot be taken.
pub(crate) fn refused(request: &Request, says: &str, accept: &str, to: &str) -> Answer {
    let body = html! {
        div.head { h1 { "Nothing was changed" } }
        p.answer { (says) }
        @if !accept.is_empty() { p { (accept) } }
        p { a.button href=(to) { "Back" } }
    };
    plain(request, 400, "Nothing was changed", &body)
}

fn unreadable(request: &Request, id: &str, text: &str, problems: &[Problem]) -> Answer {
    let body = html! {
        div.head { h1 { "Job " (id) } }
        p.answer { "The text of this job cannot be read as it stands. Nothing in it is lost: take it, put right what is named here, and bring it back." }
        (complaints(text, problems))
        p { a.button.strong href=(path(&["j", id, "text"])) { "Put it right here" } " " a.button href=(path(&["j", id, "job.toml"])) { "Take the text" } }
    };
    plain(request, 200, id, &body)
}

/// What is wrong with a text, line by line.
pub(crate) fn complaints(text: &str, problems: &[Problem]) -> Markup {
    let source = document::Source::new("job.toml", text);
    html! {
        ol.problems {
            @for problem in problems {
                @let complaint = source.complaint(problem);
                li {
                    strong { "Line " (complaint.line) ", column " (complaint.column) ": " }
                    (complaint.text)
                    @if !complaint.accept.is_empty() { br; span.quiet { "Accepted: " (complaint.accept) } }
                }
            }
        }
    }
}

fn html_answer(status: u16, request: &Request, title: &str, body: &Markup) -> Answer {
    let page = html! {
        (DOCTYPE)
        html lang="en" data-sheet=(request.sheet.word()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Loopwright" }
                link rel="icon" href=(ICON) type="image/svg+xml";
                link rel="preload" href="/a/b612-regular-1.woff2" as="font" type="font/woff2" crossorigin;
                link rel="stylesheet" href=(STYLE);
                script type="module" src=(SCRIPT) {}
            }
            body {
                a.skip href="#main" { "To the sheet" }
                (body)
            }
        }
    };
    Answer { status, content: Content::Html(page.into_string()), writes: Vec::new(), remember: None }
}

fn header(request: &Request, open: Option<&Open>, tab: Option<Tab>) -> Markup {
    let press = |sheet: Sheet, class: &str| {
        let words = if sheet == Sheet::Night { "Night" } else { "Light" };
        html! { button class=(class) type="submit" name="sheet" value=(sheet.word()) { (words) span.wide-only { " sheet" } } }
    };
    html! {
        header.top {
            a.home href="/" { "Loopwright" }
            @if let Some(open) = open {
                a.site href=(open.path(&[])) { span { (open.site()) } }
                nav.rooms aria-label="Rooms" {
                    @for one in Tab::ALL {
                        a href=(open.path(&[one.part()])) aria-current=[(tab == Some(one)).then_some("page")] { (one.word()) }
                    }
                }
            }
            form.colours method="post" action="/sheet" {
                input type="hidden" name="back" value=(here(request));
                @match request.sheet {
                    Sheet::Night => (press(Sheet::Light, "")),
                    Sheet::Light => (press(Sheet::Night, "")),
                    // Which of the two it is now, only the reader's machine knows.
                    Sheet::System => { (press(Sheet::Night, "if-light")) (press(Sheet::Light, "if-dark")) },
                }
            }
        }
    }
}

/// The path and query that were asked for.
pub(crate) fn here(request: &Request) -> String {
    let query: Vec<String> = request
        .query
        .iter()
        .map(|(key, value)| format!("{}={}", crate::place::encoded(key), crate::place::encoded(value)))
        .collect();
    if query.is_empty() { request.path.clone() } else { format!("{}?{}", request.path, query.join("&")) }
}

/// The changes made last, each with its way back.
fn margin(open: &Open, all: &[Changed]) -> Markup {
    html! {
        section.changes aria-labelledby="changes-title" {
            h2 id="changes-title" { "Changes" }
            @if all.is_empty() { p.quiet { "None yet. Whatever is changed is written here, with the way back." } }
            ol {
                @for change in all {
                    li { (changes::line(open, change)) }
                }
            }
            @if all.len() == CHANGES_SHOWN {
                p { a href=(open.path(&["record"])) { "All changes" } }
            }
            (crate::who::form(open.request))
        }
    }
}

/// The way onwards from a press, with what it wrote: the page there says it, and no other.
pub(crate) fn having_written(then: &str, id: &str) -> String {
    let (path, part) = then.split_once('#').map_or((then, None), |(path, part)| (path, Some(part)));
    let sign = if path.contains('?') { '&' } else { '?' };
    let part = part.map_or(String::new(), |part| format!("#{part}"));
    format!("{path}{sign}{WROTE}={}{part}", crate::place::encoded(id))
}

/// What the press that led here wrote, with the way back; the margin and the record keep it.
///
/// Never the way back from somebody else's change, nor from one that takes another back, nor on the page of another circuit.
fn just(open: &Open) -> Markup {
    let id = open.request.asked(WROTE);
    let is_now = |at: &str, author: &str| {
        let age = clock::seconds_between(at, &open.request.at);
        author == open.request.author && age.is_some_and(|age| age <= JUST_S)
    };
    let change = (!id.is_empty()).then(|| open.world.change(open.id, id)).flatten();
    if let Some(change) = change.filter(|change| change.version > 1) {
        let back = change.takes_back.is_empty() && is_of_this_page(open, &change);
        return html! {
            @if is_now(&change.at, &change.author) {
                div.just role="status" {
                    (written(open, &change.at, &change.what))
                    @if back { (changes::undo_form(open, &change)) }
                }
            }
        };
    }
    let entry = (!id.is_empty()).then(|| open.world.entry(open.id, id)).flatten();
    html! {
        @if let Some(entry) = entry.filter(|entry| is_now(&entry.at, &entry.author)) {
            div.just role="status" { (written(open, &entry.at, &entry.words)) }
        }
    }
}

/// One line of what was written; all of it behind a press where it is long.
fn written(open: &Open, at: &str, what: &str) -> Markup {
    let head = html! { "Written at " time datetime=(at) { (open.time(at)) } ": " };
    let short = what.char_indices().nth(JUST_SHOWN).and_then(|(end, _)| {
        let cut = what[..end].rfind(' ')?;
        Some(what[..cut].trim_end_matches([',', ':', ';', '.']))
    });
    html! {
        @match short {
            Some(short) => details { summary { (head) (short) " …" } p { (what) } },
            None => p { (head) (what) },
        }
    }
}

/// Whether a change may be taken back above this page: on a page of one circuit only what is about that circuit.
fn is_of_this_page(open: &Open, change: &Changed) -> bool {
    use crate::place::{Place, Room};
    let Place::Job(_, Room::Card(tag) | Room::Circuit(tag)) = Place::of(&open.request.path) else {
        return true;
    };
    let is_it =
        |of: &job::TableRef| matches!(of, job::TableRef::Named(kind, id) if kind == "circuit" && *id == tag);
    !change.changes.is_empty() && change.changes.iter().any(|one| is_it(one.at.table()))
}

/// The title block at the foot of the sheet.
fn block(open: &Open, recent: &[Changed], page: &Page) -> Markup {
    let date = recent
        .first()
        .map_or_else(|| "not changed yet".to_owned(), |last| clock::date(&last.at, open.request.ahead_min));
    html! {
        footer.block aria-label="Title block" {
            div {
                div.what { p.tag { (page.title) } p { (open.site()) } }
                dl {
                    div { dt { "Drawn from" } dd { "job " (open.id) ", change " (open.kept.version) } }
                    div { dt { "Date" } dd { (date) } }
                    div { dt { "Scale" } dd {
                        @if page.scale.is_empty() { "not to scale" }
                        @else if page.narrow_scale.is_empty() { (page.scale) }
                        @else { span.drawn-wide { (page.scale) } span.drawn-narrow { (page.narrow_scale) } }
                    } }
                    div { dt { "Checked by" } dd { (crate::checked::by(open).as_deref().unwrap_or("not yet")) } }
                }
                p.law { "Local code and the authority having jurisdiction decide what is allowed. This sheet computes and records; people decide and sign." }
            }
        }
    }
}

/// Severity as shape, word, then colour.
pub(crate) fn mark(word: &str) -> Markup {
    let (class, shape) = match word {
        "stop" => ("mark stop", "M1 1h10v10H1z"),
        "fix" => ("mark fix", "M6 .5 11.8 11H.2z"),
        "check" => ("mark check", "M6 1l5 5-5 5-5-5z"),
        "note" => ("mark note", "M4.5 4.5h3v3h-3z"),
        _ => return html! { span.mark.plain { (word) } },
    };
    html! { span class=(class) { svg.sign viewBox="0 0 12 12" aria-hidden="true" { path d=(shape) {} } (word) } }
}

/// A tag in large letters with what it is.
pub(crate) fn tag_head(tag: &str, lines: &Markup) -> Markup {
    html! { div.tag-line { h1.big-tag { (tag) } p { (lines) } } }
}

/// A finding in the notes, with its number in a triangle where it has one.
pub(crate) fn note(number: Option<usize>, severity: &str, text: &str, remedy: &str) -> Markup {
    html! {
        @if let Some(number) = number { span.number { (number) } }
        div {
            (mark(severity)) " "
            span { (text) }
            @if !remedy.is_empty() { p.remedy { (remedy) } }
        }
    }
}

/// A drawing, for the eye and for who cannot see it.
pub(crate) fn figure(figure: &view::figures::Figure) -> Markup {
    html! {
        div.figure tabindex="0" role="img" aria-label=(figure.alt) {
            (PreEscaped(figure.svg.replacen(" role=\"img\"", " aria-hidden=\"true\"", 1)))
        }
    }
}

/// The same drawing twice: as on paper, and as wide as a phone; the sheet shows the one that can be read on it.
pub(crate) fn both(wide: &view::figures::Figure, narrow: &view::figures::Figure) -> Markup {
    html! {
        div.drawn-wide { (figure(wide)) }
        div.drawn-narrow { (figure(narrow)) }
    }
}
