//! The job as it is written: its whole text to read and to write anew, with what would be wrong with it line by line. An old
//! version is never written over a newer one, and every text that was can come back.

use std::sync::Arc;

use document::{Problem, Source};
use maud::{Markup, html};

use crate::answer::{Answer, Content, Write, said};
use crate::desk::Desk;
use crate::frame::{Open, Page, Tab, having_written, missing, plain, refused};
use crate::lines::{Line, counted, difference, merged};
use crate::place::path;
use crate::request::{Method, Request};
use crate::world::{Changed, Kept, World};

/// Lines of a difference that are shown.
const LINES_SHOWN: usize = 400;
/// Problems that are shown.
const PROBLEMS_SHOWN: usize = 100;
/// The longest text that is put back into a page's field; a longer file stays with whoever sent it.
const MOST_SHOWN: usize = 4 * 1024 * 1024;

/// A job whose text is at hand, whether or not it can be read.
struct Held<'a> {
    world: &'a dyn World,
    request: &'a Request,
    id: &'a str,
    kept: Kept,
}

impl<'a> Held<'a> {
    fn of(open: &Open<'a>) -> Self {
        Self { world: open.world, request: open.request, id: open.id, kept: open.kept.clone() }
    }

    fn path(&self) -> String {
        path(&["j", self.id, "text"])
    }

    /// A page, in the frame of its job where the job can be read.
    fn page(&self, status: u16, title: &str, body: Markup) -> Answer {
        match Open::new(self.world, self.request, self.id) {
            Ok(open) => {
                let mut page = Page::new(Tab::Record, title, body);
                page.status = status;
                page.answer(&open)
            }
            Err(_) => {
                let body = html! { div.head { h1 { (title) } } (body) };
                plain(self.request, status, title, &body)
            }
        }
    }
}

/// The text with the field to write it in.
pub(crate) fn page(open: &Open) -> Answer {
    let held = Held::of(open);
    let request = open.request;
    if let Some(change) = open.world.change(open.id, request.asked("change")) {
        return what_it_changed(&held, &change);
    }
    let at: Option<u64> = request.asked("at").parse().ok();
    let older = at.filter(|at| *at != held.kept.version);
    match older.map(|at| (at, open.world.text_at(open.id, at))) {
        Some((at, Some(text))) => {
            let says = html! {
                p.answer { "The text as it was at change " (at) ". It is at change " (held.kept.version) " now; kept, this one takes its place, and can be taken back." }
            };
            held.page(200, "The job as it is written", html! { (says) (forms(&held, &text)) })
        }
        Some((_, None)) => {
            missing(request, "The job never was at such a change.", "To its text", &held.path())
        }
        None => {
            let says = html! {
                p.answer { "The whole job as text. What is changed here is one change like any other, with the way back." }
            };
            held.page(200, "The job as it is written", html! { (says) (forms(&held, &held.kept.text)) })
        }
    }
}

/// The same of a job whose text cannot be read: here it can be put right.
pub(crate) fn unread(world: &dyn World, request: &Request, id: &str) -> Answer {
    let Some(kept) = world.job(id) else {
        return missing(request, "There is no such job here.", "Back to the list", "/");
    };
    let held = Held { world, request, id, kept };
    if request.method == Method::Post {
        return keep_in(&held);
    }
    let problems = held.kept.desk.as_ref().err().cloned().unwrap_or_default();
    let body = html! {
        p.answer { "The text of this job cannot be read as it stands. Put right what is named here, and keep it." }
        (complaints(&held.kept.text, &problems))
        (forms(&held, &held.kept.text))
    };
    held.page(200, "The job as it is written", body)
}

fn forms(held: &Held, text: &str) -> Markup {
    let hidden = || {
        html! {
            input type="hidden" name="id" value=(held.request.fresh_id);
            input type="hidden" name="version" value=(held.kept.version);
        }
    };
    html! {
        form.as-text method="post" action=(held.path()) {
            (hidden())
            label for="job-text" { "job.toml" }
            // A browser takes the first line end behind the tag away.
            textarea id="job-text" name="text" rows="30" wrap="off" spellcheck="false" autocapitalize="none" autocomplete="off" { "\n" (text) }
            button.strong type="submit" { "Keep" }
        }
        form.photo method="post" action=(held.path()) enctype="multipart/form-data" {
            (hidden())
            label for="job-file" { "Take this file in its place (a job file, TOML)" }
            div.with-press {
                input id="job-file" type="file" name="file" accept=".toml,text/plain,application/toml" required;
                button type="submit" { "Take it" }
            }
        }
        p { a.button href=(path(&["j", held.id, "job.toml"])) download { "Take the text along: job.toml" } }
    }
}

/// Keeps a text that was typed, or a file.
pub(crate) fn keep(open: &Open) -> Answer {
    keep_in(&Held::of(open))
}

fn keep_in(held: &Held) -> Answer {
    let back = held.path();
    let text = match sent(held) {
        Ok(text) => text,
        Err((says, accept)) => return refused(held.request, says, accept, &back),
    };
    if text == *held.kept.text {
        return said(Content::Redirect(back));
    }
    let field_id = held.request.field("id");
    let known = if field_id.is_empty() { None } else { held.world.change(held.id, field_id) };
    if let Some(known) = &known
        && held.world.text_at(held.id, known.version).as_deref() == Some(text.as_str())
    {
        // The same form once more: what it wanted was done, and others went on from there.
        return said(Content::Redirect(back));
    }
    if known.is_some() || held.request.field("version").parse() != Ok(held.kept.version) {
        return stale(held, &text);
    }
    let after = match Desk::open(&text, Arc::clone(held.world.library())) {
        Ok(after) => after,
        Err(problems) => return not_a_job(held, &text, &problems),
    };
    let (out, new) = counted(&difference(&held.kept.text, &text));
    let lines = |count: usize| view::words::counted(count, "line", "lines");
    let what = format!("The text written anew: {} gone, {} new.", lines(out), lines(new));
    let id = if field_id.is_empty() { &held.request.fresh_id } else { field_id };
    save(held, id, (text, &after), (what, String::new()), &back)
}

/// Writes a text, and with it the safety entries that it leaves nobody sure of.
fn save(
    held: &Held,
    id: &str,
    (text, after): (String, &Desk),
    (what, takes_back): (String, String),
    to: &str,
) -> Answer {
    let job = || held.id.to_owned();
    let before = held.kept.desk.as_ref().ok().map(|desk| desk.job());
    let of = (held.world, held.request, held.id);
    let strips = crate::clear::written_anew(of, (id, &what), before, after.job());
    let (id, version) = (id.to_owned(), held.kept.version);
    let mut answer = said(Content::Redirect(having_written(to, &id)));
    answer.writes.push(Write::Save { job: job(), id, version, text, changes: Vec::new(), what, takes_back });
    answer.writes.extend(strips.into_iter().map(|entry| Write::Evidence { job: job(), entry }));
    answer
}

/// What was sent: a file as it is, or the field with line ends as the job has them.
fn sent(held: &Held) -> Result<String, (&'static str, &'static str)> {
    let request = held.request;
    if let Some(upload) = request.upload.as_ref().filter(|upload| !upload.bytes.is_empty()) {
        let text = String::from_utf8(upload.bytes.clone())
            .map_err(|_| ("This file is no text.", "Accepted: a job file, saved as UTF-8 text."))?;
        return Ok(text.trim_start_matches('\u{feff}').to_owned());
    }
    if !request.form.iter().any(|(name, _)| name == "text") {
        return Err((
            "No text came along, and no file, or an empty one.",
            "Accepted: a job file, saved as UTF-8 text.",
        ));
    }
    // Browsers send every line end as both letters.
    let text = request.field("text").trim_start_matches('\u{feff}').replace("\r\n", "\n");
    let stands = held.kept.text.as_ref();
    if text == stands.replace("\r\n", "\n") {
        return Ok(stands.to_owned());
    }
    let ends = stands.matches("\r\n").count();
    let is_crlf = ends > 0 && ends * 2 >= stands.matches('\n').count();
    Ok(if is_crlf { text.replace('\n', "\r\n") } else { text })
}

/// What is wrong with a text: the line, what, what would be accepted, and the line itself with its place.
fn complaints(text: &str, problems: &[Problem]) -> Markup {
    let source = Source::new("job.toml", text);
    html! {
        ol.problems {
            @for problem in problems.iter().take(PROBLEMS_SHOWN) {
                @let complaint = source.complaint(problem);
                li {
                    strong { "Line " (complaint.line) ", column " (complaint.column) ": " }
                    (complaint.text)
                    @if !complaint.accept.is_empty() { br; span.quiet { "Accepted: " (complaint.accept) } }
                    pre.caret tabindex="0" { (complaint.source_line) "\n" (" ".repeat(complaint.caret.saturating_sub(1))) ("^".repeat(complaint.width)) }
                }
            }
        }
        @if problems.len() > PROBLEMS_SHOWN { p { "And " (problems.len() - PROBLEMS_SHOWN) " more." } }
    }
}

fn not_a_job(held: &Held, text: &str, problems: &[Problem]) -> Answer {
    let too_long = text.len() > MOST_SHOWN;
    let body = html! {
        p.answer role="alert" { "Nothing was written yet. " (view::words::counted(problems.len(), "thing is", "things are")) " to be put right first; what you sent is in the field below." }
        (complaints(text, problems))
        @if too_long {
            p { "The text is too long to be shown here; put it right where it is, and take the file again." }
            (forms(held, &held.kept.text))
        } @else { (forms(held, text)) }
    };
    held.page(400, "Not a job yet", body)
}

/// Two people wrote the text: both are shown, and where they are about different lines both can be kept with one press.
fn stale(held: &Held, mine: &str) -> Answer {
    let now: &str = &held.kept.text;
    let began: Option<u64> = held.request.field("version").parse().ok();
    let base = began.and_then(|began| held.world.text_at(held.id, began));
    let both =
        base.as_deref().and_then(|base| merged(base, mine, now)).filter(|both| both != mine && both != now);
    let both = both.filter(|both| Desk::open(both, Arc::clone(held.world.library())).is_ok());
    let hidden = || {
        html! {
            input type="hidden" name="id" value=(held.request.fresh_id);
            input type="hidden" name="version" value=(held.kept.version);
        }
    };
    let body = html! {
        p.answer role="alert" {
            "Somebody changed this job while you wrote. It is at change " (held.kept.version) " now"
            @if let Some(began) = began { ", yours began at " (began) } ". Nothing of yours was written yet, and nothing of theirs is gone."
        }
        @if let Some(both) = &both {
            form method="post" action=(held.path()) {
                (hidden())
                input type="hidden" name="text" value=(both);
                p { "The two are about different lines." }
                button.strong type="submit" { "Keep both" }
                details { summary { "What keeping both changes of it as it is now" } (shown(&difference(now, both))) }
            }
        }
        @if let Some(base) = &base { section { h2 { "What they changed" } (shown(&difference(base, now))) } }
        section { h2 { "What yours would change of it as it is now" } (shown(&difference(now, mine))) }
        form.as-text method="post" action=(held.path()) {
            (hidden())
            label for="job-text" { "Yours" }
            textarea id="job-text" name="text" rows="20" wrap="off" spellcheck="false" autocapitalize="none" autocomplete="off" { "\n" (mine) }
            button type="submit" { "Write mine in its place" }
        }
        div.as-text {
            label for="job-now" { "As it is now" }
            textarea id="job-now" rows="20" wrap="off" spellcheck="false" readonly { "\n" (now) }
        }
        p { a.button href=(held.path()) { "Leave it as it is now" } }
    };
    held.page(409, "Changed meanwhile", body)
}

/// A difference, line by line, with shape and word before colour.
fn shown(all: &[Line]) -> Markup {
    let (out, new) = counted(all);
    html! {
        @if out + new == 0 { p { "Nothing." } } @else {
            p.quiet { (view::words::counted(out, "line", "lines")) " gone, " (view::words::counted(new, "line", "lines")) " new." }
            ol.difference {
                @for line in all.iter().take(LINES_SHOWN) {
                    @match line {
                        Line::Same(count) => li.quiet { (view::words::counted(*count, "line", "lines")) " the same" },
                        Line::Out(line) => li { span.sign-of { "\u{2212}" span.hidden { "gone: " } } del { (line.trim_end()) } },
                        Line::In(line) => li { span.sign-of { "+" span.hidden { "new: " } } ins { (line.trim_end()) } },
                    }
                }
                @if all.len() > LINES_SHOWN { li.quiet { "and more" } }
            }
        }
    }
}

/// What a change of the whole text changed.
fn what_it_changed(held: &Held, change: &Changed) -> Answer {
    let before = change.version.checked_sub(1).and_then(|before| held.world.text_at(held.id, before));
    let after = held.world.text_at(held.id, change.version);
    let (Some(before), Some(after)) = (before, after) else {
        return missing(held.request, "There was nothing before this change.", "To the text", &held.path());
    };
    let body = html! {
        p.answer { (change.what) }
        (shown(&difference(&before, &after)))
        p {
            a.button href=(format!("{}?at={}", held.path(), change.version - 1)) { "The text before it" } " "
            a.button href=(held.path()) { "The text as it is now" }
        }
    };
    held.page(200, "What a change changed", body)
}

/// The way to what a change of the whole text changed.
pub(crate) fn link(open: &Open, change: &Changed) -> Markup {
    html! { a.button.small href=(format!("{}?change={}", open.path(&["text"]), crate::place::encoded(&change.id))) { "What it changed" } }
}

/// Takes a change of the whole text back: the text before comes again, with what was changed since in other lines.
pub(crate) fn take_back(open: &Open, change: &Changed, back: String) -> Answer {
    let held = Held::of(open);
    let id = match open.request.field("id") {
        "" => &open.request.fresh_id,
        id => id,
    };
    let what = format!("Taken back: {}", change.what);
    if let Some(answer) = crate::twice::sent_again(open, |known| known.takes_back == change.id, &what, &back)
    {
        return answer;
    }
    let before = change.version.checked_sub(1).and_then(|before| open.world.text_at(open.id, before));
    let (Some(before), Some(after)) = (before, open.world.text_at(open.id, change.version)) else {
        return refused(open.request, "There was nothing before this change.", "", &back);
    };
    let text = merged(&after, &before, &held.kept.text);
    let text = text.and_then(|text| {
        let desk = Desk::open(&text, Arc::clone(open.world.library())).ok()?;
        Some((text, desk))
    });
    match text {
        Some((text, _)) if text == *held.kept.text => said(Content::Redirect(back)),
        Some((text, desk)) => save(&held, id, (text, &desk), (what, change.id.clone()), &back),
        None => {
            let at = change.version - 1;
            let body = html! {
                p.answer { "Nothing was changed. What this change wrote was changed again since, so it cannot be taken back by itself." }
                p { "Take the later changes back first, or look at the text as it was before and keep what you want of it." }
                section { h2 { "What it changed" } (shown(&difference(&before, &after))) }
                section { h2 { "What was changed since" } (shown(&difference(&after, &held.kept.text))) }
                p { a.button href=(format!("{}?at={at}", held.path())) { "The text before it" } " " a.button href=(back) { "Leave it" } }
            };
            held.page(409, "Not taken back", body)
        }
    }
}
