//! What a command works on: the job, and the library with the user's own folders in it.

use std::path::{Path, PathBuf};

use assess::Assessment;
use document::{Complaint, Problem, Source};
use job::Job;
use library::Library;

use crate::arguments::{Common, LIBRARY_VARIABLE};
use crate::{input, talk};

/// The folders of a library.
const EQUIPMENT: &str = "equipment";
const RULES: &str = "rules";
const HABITS: &str = "habits";
const LABOUR: &str = "labour";

/// A job with the library that it is read with.
pub(crate) struct World {
    /// The job.
    pub(crate) job: Job,
    /// The built-in library with the user's own folders on top.
    pub(crate) library: Library,
}

impl World {
    /// Assesses the job; shows how far it is where that takes long.
    pub(crate) fn assess(&self) -> Assessment<'_> {
        let progress = talk::Progress::begun();
        let assessment = assess::assess(&self.job, &self.library, &|done, of| progress.tell(done, of));
        progress.ended();
        assessment
    }
}

/// Reads the job and the library; what readings settle counts as known.
///
/// # Errors
/// Everything that is wrong with any of the files.
pub(crate) fn load(job: &Path, common: &Common) -> Result<World, Vec<Complaint>> {
    let World { job, library } = load_as_written(job, common)?;
    Ok(World { job: assess::with_settled(job, &library), library })
}

/// Reads the job and the library; a network that the file does not give is missing.
///
/// # Errors
/// Everything that is wrong with any of the files.
pub(crate) fn load_as_written(job: &Path, common: &Common) -> Result<World, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let library = library(&folders(common), &mut complaints);
    let job = read_job(job, &library, &mut complaints);
    match job {
        Some(job) if complaints.is_empty() => Ok(World { job, library }),
        _ => Err(complaints),
    }
}

/// The library alone.
///
/// # Errors
/// Everything that is wrong with its files.
pub(crate) fn load_library(common: &Common) -> Result<Library, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let library = library(&folders(common), &mut complaints);
    if complaints.is_empty() { Ok(library) } else { Err(complaints) }
}

/// The folders of the environment, then those of the command line: the last one wins.
fn folders(common: &Common) -> Vec<PathBuf> {
    let listed = std::env::var_os(LIBRARY_VARIABLE).unwrap_or_default();
    let listed = std::env::split_paths(&listed).filter(|folder| !folder.as_os_str().is_empty());
    listed.chain(common.library.iter().cloned()).collect()
}

fn library(folders: &[PathBuf], complaints: &mut Vec<Complaint>) -> Library {
    let mut library = Library::embedded();
    for folder in folders {
        if !folder.is_dir() {
            let name = folder.display().to_string();
            complaints.push(input::about_file(
                &name,
                "there is no such folder".to_owned(),
                "a folder with equipment/*.toml, rules/*.toml, habits/*.toml or labour/*.toml in it",
            ));
            continue;
        }
        if ![EQUIPMENT, RULES, HABITS, LABOUR].iter().any(|inside| folder.join(inside).is_dir()) {
            talk::say(&format!(
                "{} holds no folder `equipment`, `rules`, `habits` or `labour`; nothing read from it",
                folder.display()
            ));
        }
        each_file(&folder.join(EQUIPMENT), complaints, |source| library.add_equipment(source));
        each_file(&folder.join(RULES), complaints, |source| library.add_rules(source));
        each_file(&folder.join(HABITS), complaints, |source| library.add_habits(source));
        each_file(&folder.join(LABOUR), complaints, |source| library.add_labour(source));
    }
    library
}

fn each_file(
    folder: &Path,
    complaints: &mut Vec<Complaint>,
    mut add: impl FnMut(&Source) -> Result<(), Vec<Problem>>,
) {
    let files = input::toml_files(folder).unwrap_or_else(|complaint| {
        complaints.push(*complaint);
        Vec::new()
    });
    for file in files {
        match input::read(&file) {
            Ok(source) => complain(&source, add(&source).err().unwrap_or_default(), complaints),
            Err(complaint) => complaints.push(*complaint),
        }
    }
}

/// The job, with every reference that the library cannot answer; what the library itself is wrong about is
/// not asked of it.
fn read_job(job: &Path, library: &Library, complaints: &mut Vec<Complaint>) -> Option<Job> {
    let source = match input::read(&input::job_file(job)) {
        Ok(source) => source,
        Err(complaint) => {
            complaints.push(*complaint);
            return None;
        }
    };
    let library_is_whole = complaints.is_empty();
    let unanswered =
        |job: &Job| if library_is_whole { assess::check_references(job, library) } else { Vec::new() };
    match Job::read_and(&source, unanswered) {
        Ok(job) => Some(job),
        Err(problems) => {
            complain(&source, problems, complaints);
            None
        }
    }
}

fn complain(source: &Source, problems: Vec<Problem>, complaints: &mut Vec<Complaint>) {
    complaints.extend(problems.iter().map(|problem| source.complaint(problem)));
}
