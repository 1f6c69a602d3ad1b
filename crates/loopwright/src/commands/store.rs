//! `store`: copies of what `serve` keeps, and jobs out of it and into it.

use std::path::Path;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use document::{Complaint, Source};
use job::Severity;
use pages::{Assessed, Desk};
use store::{Bundle, Store, StoreError, Summary};

use super::print_text;
use crate::arguments::{Common, StoreDeed};
use crate::outcome::Outcome;
use crate::{evidence, input, kept, world};

/// Ids that are shown where one was not found.
const SHOWN: usize = 12;

/// Runs the command.
pub(crate) fn run(deed: &StoreDeed, db: Option<&Path>, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let store = kept::open(db)?;
    let about = |error: StoreError| vec![kept::about(store.path(), &error)];
    let said = match deed {
        StoreDeed::Backup { file } => {
            store::backup(&store, file).map_err(about)?;
            format!("{}\n", file.display())
        }
        StoreDeed::Restore { file } => {
            let replaced = store::restore(&store, file, &now()).map_err(about)?;
            crate::talk::say(&format!("what it held before is in {}", replaced.display()));
            format!("{}\n", store.path().display())
        }
        StoreDeed::Export { id, folder } => {
            let bundle = store.bundle(id).map_err(about)?.ok_or_else(|| vec![missing(&store, id)])?;
            store::write_folder(id, &bundle, folder).map_err(about)?;
            format!("{}\n", folder.join("job.toml").display())
        }
        StoreDeed::Import { job, id } => {
            let written = store::read_id(&input::job_file(job)).map_err(about);
            let id = match id {
                Some(id) => id.clone(),
                None => written?.unwrap_or_else(|| id_of(job)),
            };
            import(&store, job, &id, common)?;
            format!("{id}\n")
        }
    };
    Ok(Outcome::Done.after_printing(print_text(&said)))
}

/// There is no such job; which there are.
fn missing(store: &Store, id: &str) -> Complaint {
    let jobs = store.jobs("", 0, SHOWN).unwrap_or_default();
    let ids: Vec<&str> = jobs.rows.iter().map(|row| row.id.as_str()).collect();
    let accept = match ids.as_slice() {
        [] => "an id; no job is kept yet".to_owned(),
        ids => format!("one of: {}", ids.join(", ")),
    };
    input::about_file(&store.path().display().to_string(), format!("there is no job `{id}`"), &accept)
}

fn import(store: &Store, job: &Path, id: &str, common: &Common) -> Result<(), Vec<Complaint>> {
    let file = input::job_file(job);
    // First as every other command reads it, with every complaint about it.
    let text = input::read(&file).map_err(|complaint| vec![*complaint])?.text().to_owned();
    let library = world::load_library(common)?;
    let desk = Desk::open(&text, Arc::new(library)).map_err(|problems| {
        let source = Source::new(file.display().to_string(), text.as_str());
        problems.iter().map(|problem| source.complaint(problem)).collect::<Vec<_>>()
    })?;
    let about = |error: StoreError| vec![kept::about(store.path(), &error)];
    let bundle: Bundle = store::read_folder(&file, &evidence::path(&file)).map_err(about)?;
    let summary = summary(&Assessed::of(&desk));
    store.take_in(id, &bundle, &summary, &now(), "taken in").map_err(about)
}

fn summary(assessed: &Assessed) -> Summary {
    let summary = assessed.summary();
    Summary {
        name: summary.name,
        circuits: i64::try_from(summary.circuits).unwrap_or(i64::MAX),
        verdict: summary.verdict.map_or(String::new(), |verdict: Severity| verdict.word().to_owned()),
        answer: summary.answer,
    }
}

/// An id from the name of the folder, or of a file that is not called `job.toml`.
fn id_of(job: &Path) -> String {
    let file = input::job_file(job);
    let stem = file.file_stem().and_then(|stem| stem.to_str()).filter(|stem| *stem != "job");
    let folder = || {
        let folder = std::path::absolute(&file).ok()?.parent()?.file_name()?.to_str()?.to_owned();
        Some(folder)
    };
    let name = stem.map(str::to_owned).or_else(folder).unwrap_or_default().to_lowercase();
    let fits = |letter: char| letter.is_ascii_alphanumeric() || letter == '_';
    let words = name.split(|letter| !fits(letter)).filter(|word| !word.is_empty());
    let id: String = words.collect::<Vec<_>>().join("-").chars().take(64).collect();
    if id.is_empty() { "job".to_owned() } else { id }
}

fn now() -> String {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    signal::Gmt(i64::try_from(since.as_secs()).unwrap_or(i64::MAX)).to_string()
}
