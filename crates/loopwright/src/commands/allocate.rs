//! `allocate JOB`: circuits to inputs, and what that takes.

use std::ops::Range;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use assess::wire::AllocationJson;
use assess::{AllocationPlan, Limits, TIME_LIMITS, allocate, assess, changes, freed, planned};
use document::{Complaint, Source};
use job::{ChangeError, Noted};

use super::print_json;
use crate::arguments::Common;
use crate::outcome::Outcome;
use crate::report::page::Page;
use crate::report::{allocation, comparison};
use crate::world::World;
use crate::{input, talk, world};

/// What is asked for beside the job.
pub(crate) struct Asked<'a> {
    /// Put it into the job file.
    pub(crate) write: bool,
    /// Steps of the search.
    pub(crate) nodes: u64,
    /// Stop after so long.
    pub(crate) time_limit: Option<&'a str>,
    /// Beside another job; beside the same job with nothing assigned where none is named.
    pub(crate) compare: Option<Option<&'a Path>>,
}

/// Runs the command.
pub(crate) fn run(job: &Path, asked: &Asked, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let limit = asked.time_limit.map(time_limit).transpose()?;
    let begun = Instant::now();
    let stop = || limit.is_some_and(|limit| begun.elapsed() >= limit);
    let limits = Limits { nodes: asked.nodes, stop: &stop };
    let world = world::load(job, common)?;
    let path = input::job_file(job);
    let source = input::read(&path).map_err(|complaint| vec![*complaint])?;
    let plan = allocate(&world.job, &world.library, &limits);
    let outcome = Outcome::of(&plan.findings);
    if let Some(other) = asked.compare {
        return compared(&plan, &source, other, &limits, &world, common)
            .map(|printed| outcome.after_printing(printed));
    }
    let noted = if asked.write { changes(&plan) } else { Vec::new() };
    if !noted.is_empty() && !write(&path, &source, &noted)? {
        return Ok(Outcome::MachineFailed);
    }
    let line = |span: &Range<usize>| source.place(span.start).line;
    let printed = if common.json {
        print_json(&AllocationJson::new(&plan, &line).written(noted.len()))
    } else {
        let mut page = Page::of_stdout();
        allocation::put(&mut page, &plan, &line);
        if plan.found() {
            closing(&mut page, &plan, job, asked.write, noted.len());
        }
        page.print()
    };
    Ok(outcome.after_printing(printed))
}

fn time_limit(text: &str) -> Result<Duration, Vec<Complaint>> {
    let refused =
        || vec![input::about_file("command line", format!("`{text}` is no time limit"), TIME_LIMITS)];
    assess::time_limit(text).ok_or_else(refused)
}

/// Puts the plan into the job file; false when the machine failed.
fn write(path: &Path, source: &Source, noted: &[Noted]) -> Result<bool, Vec<Complaint>> {
    let applied = Noted::apply_all(noted, source).map_err(|error: ChangeError| {
        let name = path.display().to_string();
        vec![input::about_file(&name, error.to_string(), "the file as it was when the command began")]
    })?;
    if let Err(error) = input::replace(path, &applied.text) {
        talk::say(&format!("cannot write {}: {error}; it is as it was", path.display()));
        return Ok(false);
    }
    Ok(true)
}

/// What assess says of the job as planned, what was written, what to do next.
fn closing(page: &mut Page, plan: &AllocationPlan, job: &Path, write: bool, written: usize) {
    let then = planned(plan);
    let assessment = assess(&then, plan.library, &|_, _| ());
    page.heading("As planned, before anything is changed on site");
    page.paragraph(2, &assess::answer(&assessment));
    page.gap();
    let job = job.display();
    page.paragraph(
        0,
        &match (write, written) {
            (true, 0) => "Nothing to write: the job says all of it already.".to_owned(),
            (true, 1) => format!("Written into {job}: 1 change."),
            (true, count) => {
                format!("Written into {job}: {count} changes; its comments and the rest are as they were.")
            }
            (false, _) if changes(plan).is_empty() => "The job says all of it already.".to_owned(),
            (false, _) => format!("`loopwright allocate {job} --write` puts it into the job file."),
        },
    );
}

/// The job beside another, or beside itself with nothing assigned.
fn compared(
    plan: &AllocationPlan,
    source: &Source,
    other: Option<&Path>,
    limits: &Limits,
    world: &World,
    common: &Common,
) -> Result<std::io::Result<()>, Vec<Complaint>> {
    let (name, second, second_source): (String, World, Source) = match other {
        Some(path) => {
            let loaded = world::load(path, common)?;
            let text = input::read(&input::job_file(path)).map_err(|complaint| vec![*complaint])?;
            (path.display().to_string(), loaded, text)
        }
        None => {
            let free = World { job: freed(&world.job), library: world.library.clone() };
            ("nothing assigned".to_owned(), free, source.clone())
        }
    };
    let beside = allocate(&second.job, &second.library, limits);
    let line = |span: &Range<usize>| source.place(span.start).line;
    let second_line = |span: &Range<usize>| second_source.place(span.start).line;
    if common.json {
        let beside = AllocationJson::new(&beside, &second_line);
        return Ok(print_json(&AllocationJson::new(plan, &line).beside(beside)));
    }
    let mut page = Page::of_stdout();
    let one = comparison::Side { name: "this job", plan };
    let two = comparison::Side { name: &name, plan: &beside };
    comparison::put(&mut page, &one, &two);
    Ok(page.print())
}

/// The folder or file of `--compare`, none for the job itself with nothing assigned.
pub(crate) fn other(named: Option<&Option<PathBuf>>) -> Option<Option<&Path>> {
    named.map(|path| path.as_deref())
}
