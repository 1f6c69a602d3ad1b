//! The list of jobs, and making one: empty, from the example, from a file, from a spreadsheet.

use maud::{Markup, html};

use crate::answer::{Answer, Content, Write, said};
use crate::clock;
use crate::desk::Desk;
use crate::frame::{complaints, mark, plain, refused};
use crate::place::{encoded, path};
use crate::request::Request;
use crate::sheet::{self, Brought};
use crate::world::{Entry, JobRow, World};

/// Jobs on one page of the list.
const ON_A_PAGE: usize = 40;
/// The example that can be opened.
const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");

/// The id that it gets from the name of its site.
const EXAMPLE_ID: &str = "orchard-row-veterinary-hospital";

/// The list, or what of it was searched for.
pub(crate) fn jobs(world: &dyn World, request: &Request) -> Answer {
    let search = request.asked("q").trim();
    let from = request.asked("from").parse().unwrap_or(0);
    let jobs = world.jobs(search, from, ON_A_PAGE);
    let body = html! {
        div.head { h1 { "Jobs" } @if jobs.of > 0 { p.beside { (view::words::counted(jobs.of, "job", "jobs")) } } }
        @if jobs.of == 0 && search.is_empty() {
            p.answer { "No job here yet. Open the example to look around, or make your own." }
            (example_form(request))
            p { a.button.strong href="/new" { "New job" } }
        } @else {
            form.search method="get" action="/" role="search" {
                label for="q" { "The site's name, or the job's id" }
                div.with-press {
                    input id="q" name="q" type="search" value=(search) autocomplete="off";
                    button type="submit" { "Search" }
                }
            }
            @if jobs.rows.is_empty() {
                p.answer { "Nothing here holds all of these words: " (search) "." }
                p { a.button href="/" { "All jobs" } }
            } @else {
                ul.jobs { @for row in &jobs.rows { li { (job_row(request, row, has_twin(&jobs.rows, row))) } } }
                (pages(search, from, jobs.rows.len(), jobs.of))
            }
            p { a.button.strong href="/new" { "New job" } }
            @if !has_example(world) { (quiet_example(request)) }
        }
        (crate::who::form(request))
        (law())
    };
    plain(request, 200, "Jobs", &body)
}

/// Whether another job of the page is called the same.
fn has_twin(rows: &[JobRow], row: &JobRow) -> bool {
    rows.iter().any(|other| other.id != row.id && other.summary.name == row.summary.name)
}

/// A job; with its id where its name does not tell it from another.
fn job_row(request: &Request, row: &JobRow, twin: bool) -> Markup {
    let summary = &row.summary;
    let name = if summary.name.is_empty() { &row.id } else { &summary.name };
    html! {
        a.job href=(path(&["j", &row.id])) {
            span.tag { (name) }
            @if twin && !summary.name.is_empty() { span.quiet { (row.id) } }
            @if let Some(verdict) = summary.verdict { (mark(verdict.word())) }
            @if !summary.answer.is_empty() { span.says { (summary.answer) } }
            span.quiet { (view::words::counted(summary.circuits, "circuit", "circuits")) ", changed "
                (clock::shown(&row.changed, &request.at, request.ahead_min)) }
        }
    }
}

fn pages(search: &str, from: usize, shown: usize, of: usize) -> Markup {
    let link = |from: usize| format!("/?q={}&from={from}", encoded(search));
    html! {
        @if of > shown {
            nav.pages aria-label="Pages of the list" {
                @if from > 0 { a.button href=(link(from.saturating_sub(ON_A_PAGE))) { "Changed later" } }
                span { (from + 1) " to " (from + shown) " of " (of) }
                @if from + shown < of { a.button href=(link(from + ON_A_PAGE)) { "Changed earlier" } }
            }
        }
    }
}

fn example_form(request: &Request) -> Markup {
    html! {
        form method="post" action="/new" {
            input type="hidden" name="id" value=(request.fresh_id);
            input type="hidden" name="as" value="example";
            button.strong type="submit" { "Open the example" }
            p.quiet { "An invented veterinary hospital with 36 old circuits, its survey half done, with its mess." }
        }
    }
}

/// Whether the example is among the jobs: by the id that its site's name gives it.
fn has_example(world: &dyn World) -> bool {
    world.job(EXAMPLE_ID).is_some()
}

fn quiet_example(request: &Request) -> Markup {
    html! {
        form method="post" action="/new" {
            input type="hidden" name="id" value=(request.fresh_id);
            input type="hidden" name="as" value="example";
            button type="submit" { "Open the example" }
        }
    }
}

fn law() -> Markup {
    html! {
        p.law { "Fire-alarm work belongs to licensed people, under the local code and the authority having jurisdiction. Loopwright computes and records; people decide and sign." }
    }
}

/// The ways to a new job.
pub(crate) fn new_page(request: &Request) -> Answer {
    let id = || html! { input type="hidden" name="id" value=(request.fresh_id); };
    let body = html! {
        div.head { h1 { "New job" } }
        p.answer { "A job begins with a name, with a file, or with a survey sheet that somebody filled in." }
        div.ways {
            section {
                h2 { "From nothing" }
                form method="post" action="/new" {
                    (id()) input type="hidden" name="as" value="blank";
                    label for="name" { "What people call the site" }
                    input id="name" name="name" required maxlength="120" autocomplete="off";
                    (units())
                    button.strong type="submit" { "Make the job" }
                    p.quiet { "Circuits come from the survey; meter, enclosures, modules and supplies are written under Inputs, Equipment." }
                }
            }
            section {
                h2 { "The example" }
                (example_form(request))
            }
            section {
                h2 { "From a job file" }
                form method="post" action="/new" enctype="multipart/form-data" {
                    (id()) input type="hidden" name="as" value="file";
                    label for="file" { "A job file (TOML)" }
                    input id="file" type="file" name="file" accept=".toml,text/plain,application/toml" required;
                    button type="submit" { "Take this file" }
                }
            }
            section {
                h2 { "From a survey sheet" }
                form method="post" action="/new" enctype="multipart/form-data" {
                    (id()) input type="hidden" name="as" value="sheet";
                    label for="name-2" { "What people call the site" }
                    input id="name-2" name="name" required maxlength="120" autocomplete="off";
                    (units())
                    label for="sheet" { "A workbook (XLSX, ODS) or CSV, a row of it with " code { "Tag" } ", " code { "At rest" } ", " code { "Tripped" } " …" }
                    input id="sheet" type="file" name="sheet" accept=".csv,.xlsx,.ods,text/csv,text/plain" required;
                    button type="submit" { "Read this sheet" }
                }
            }
        }
    };
    plain(request, 200, "New job", &body)
}

/// In what lengths and conductors are said.
fn units() -> Markup {
    html! {
        fieldset {
            legend { "Lengths and gauges" }
            div.row {
                label { input type="radio" name="units" value="us" checked; " feet and AWG" }
                label { input type="radio" name="units" value="metric"; " metres and mm²" }
            }
        }
    }
}

/// Makes a job as the form says.
pub(crate) fn make(world: &dyn World, request: &Request) -> Answer {
    let name = request.field("name").trim();
    match request.field("as") {
        "example" => keep(world, request, EXAMPLE.to_owned(), "The example, as it was found."),
        "blank" if name.is_empty() => {
            refused(request, "A job needs a name: what people call the site.", "", "/new")
        }
        "blank" => keep(world, request, blank(request, name), "A new job."),
        "file" => match text(request) {
            Ok(text) => keep(world, request, text, "From a job file."),
            Err(answer) => *answer,
        },
        "sheet" if name.is_empty() => {
            refused(request, "A job needs a name: what people call the site.", "", "/new")
        }
        "sheet" => {
            let sheet = Brought::of(world, request, "/new");
            match sheet.and_then(|sheet| sheet::new_job(request, &blank(request, name), &sheet)) {
                Ok(made) => keep_with(world, request, made.text, &made.what, made.entries),
                Err(answer) => *answer,
            }
        }
        _ => refused(request, "Nothing was said of how to begin.", "", "/new"),
    }
}

/// The text of the file that came along.
fn text(request: &Request) -> Result<String, Box<Answer>> {
    let refuse = |says: &str, accept: &str| Box::new(refused(request, says, accept, "/new"));
    let Some(upload) = request.upload.as_ref().filter(|upload| !upload.bytes.is_empty()) else {
        return Err(refuse("No file came along, or an empty one.", ""));
    };
    if upload.bytes.starts_with(b"PK") {
        return Err(refuse("This is a workbook, and no job file: bring it as a survey sheet.", ""));
    }
    String::from_utf8(upload.bytes.clone())
        .map(|text| text.trim_start_matches('\u{feff}').to_owned())
        .map_err(|_| refuse("This file is no text.", "Accepted: a job file, saved as UTF-8 text."))
}

fn blank(request: &Request, name: &str) -> String {
    let units = if request.field("units") == "metric" { "metric" } else { "us" };
    format!("format = 1\n\n[site]\nname = {}\nunits = \"{units}\"\n", quoted(name))
}

fn quoted(text: &str) -> String {
    document::Plain::Text(text.to_owned()).literal()
}

/// A text that is a job is kept; what is wrong with another is said.
fn keep(world: &dyn World, request: &Request, text: String, what: &str) -> Answer {
    keep_with(world, request, text, what, Vec::new())
}

/// The same, with what was observed of it.
fn keep_with(world: &dyn World, request: &Request, text: String, what: &str, entries: Vec<Entry>) -> Answer {
    let desk = match Desk::open(&text, std::sync::Arc::clone(world.library())) {
        Ok(desk) => desk,
        Err(problems) => {
            let body = html! {
                div.head { h1 { "Not a job yet" } }
                p.answer { "This file cannot be read as a job. " (view::words::counted(problems.len(), "thing is", "things are")) " to be put right first." }
                (complaints(&text, &problems))
                p { a.button href="/new" { "Back" } }
            };
            return plain(request, 400, "Not a job yet", &body);
        }
    };
    let id = free_id(world, request, &desk.job().site.name);
    let to = path(&["j", &id]);
    let mut answer = said(Content::Redirect(to));
    let entries = entries.into_iter().map(|entry| Write::Evidence { job: id.clone(), entry });
    let entries: Vec<Write> = entries.collect();
    answer.writes.push(Write::NewJob { id, text, what: what.to_owned() });
    answer.writes.extend(entries);
    answer
}

/// The site's name as an id; with the form's own id behind it where another job has it already.
fn free_id(world: &dyn World, request: &Request, name: &str) -> String {
    let slug = drawing::site_slug(name);
    if world.job(&slug).is_none() {
        return slug;
    }
    let form = request.field("id");
    let unique = drawing::site_slug(if form.is_empty() { &request.fresh_id } else { form });
    format!("{slug}-{unique}")
}
