//! `identify JOB`: what each pair is, and the next reading to take.

use std::path::Path;

use assess::wire::IdentifyJson;
use document::Complaint;
use identify::{Survey, how_known, merge, network_of};
use job::{Change, ChangeError, Noted, Plain, TableRef};

use super::{print_json, print_text};
use crate::arguments::Common;
use crate::outcome::Outcome;
use crate::report::page::Page;
use crate::report::pair;
use crate::{input, sheet_file, talk, world};

/// What was asked for besides the job.
pub(crate) struct Asked<'a> {
    /// Write what is settled.
    pub(crate) accept: bool,
    /// A filled-in sheet.
    pub(crate) sheet: Option<&'a Path>,
    /// What its columns mean.
    pub(crate) map: &'a [String],
    /// Print a sheet to fill in.
    pub(crate) blank: bool,
}

/// Runs the command.
pub(crate) fn run(job: &Path, asked: &Asked, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let mut world = world::load_as_written(job, common)?;
    if asked.blank {
        let printed =
            sheet_file::blank(&world.job).and_then(|sheet| print_text(&String::from_utf8_lossy(&sheet)));
        return Ok(Outcome::Done.after_printing(printed));
    }
    if let Some(sheet) = asked.sheet {
        let readings = sheet_file::read(sheet, asked.map, &world.job)?;
        merge(&mut world.job, readings);
    }
    let Some(survey) = assess::identify(&world.job, &world.library) else {
        let text = "the library has no habits called `default`".to_owned();
        return Err(vec![input::about_file("library", text, "a file in habits/ with id = \"default\"")]);
    };
    let accepted = if asked.accept { accept(job, &survey)? } else { Some(Vec::new()) };
    let Some(accepted) = accepted else { return Ok(Outcome::MachineFailed) };
    let refused = survey.pairs.iter().any(|pair| pair.evidence.refusal().is_some());
    let outcome = if refused { Outcome::NeedsWork } else { Outcome::Done };
    let printed = if common.json {
        print_json(&IdentifyJson::new(&survey, accepted))
    } else {
        let mut page = Page::of_stdout();
        pair::put(&mut page, &survey, &accepted);
        page.print()
    };
    Ok(outcome.after_printing(printed))
}

/// Writes every settled network into the job file, with a comment on how it is known; the tags of what was written, or
/// none when the machine failed.
fn accept(job: &Path, survey: &Survey) -> Result<Option<Vec<String>>, Vec<Complaint>> {
    let path = input::job_file(job);
    let mut tags = Vec::new();
    let mut changes = Vec::new();
    for pair in &survey.pairs {
        let circuit = &survey.job.circuits[pair.circuit];
        if circuit.network.is_some() || circuit.other.is_some() {
            continue;
        }
        let Some(network) = network_of(&survey.setting, survey.job, pair) else { continue };
        let tag = circuit.tag.value.clone();
        changes.push(Noted {
            change: Change::key(
                TableRef::named("circuit", &tag),
                "network",
                None,
                Some(Plain::Text(network.written())),
            ),
            note: how_known(pair),
        });
        tags.push(tag);
    }
    if changes.is_empty() {
        return Ok(Some(tags));
    }
    let source = input::read(&path).map_err(|complaint| vec![*complaint])?;
    let applied = Noted::apply_all(&changes, &source).map_err(|error: ChangeError| {
        let name = path.display().to_string();
        vec![input::about_file(&name, error.to_string(), "the file as it was when the command began")]
    })?;
    if let Err(error) = input::replace(&path, &applied.text) {
        talk::say(&format!("cannot write {}: {error}; it is as it was", path.display()));
        return Ok(None);
    }
    Ok(Some(tags))
}
