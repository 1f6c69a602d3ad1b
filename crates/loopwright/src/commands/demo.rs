//! `demo [DIR]`: the example job, all the way to the pack.

use std::path::Path;
use std::{fs, io};

use document::Complaint;

use super::assess::report;
use super::pack::{PackJson, cannot_write, make, write};
use super::{print_json, print_text};
use crate::arguments::{Common, Sheets};
use crate::outcome::Outcome;
use crate::{input, talk, world};

/// The job of the example.
const JOB: &str = include_str!("../../../../examples/orchard-row/job.toml");
/// The same building before anybody has said which circuit goes on which input.
const SURVEY: &str = include_str!("../../../../examples/orchard-row/survey.toml");
/// Where the job file, the survey and the pack go.
const JOB_FILE: &str = "job.toml";
const SURVEY_FILE: &str = "survey.toml";
const PACK_FOLDER: &str = "pack";

/// Runs the command.
pub(crate) fn run(folder: &Path, sheets: &Sheets, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    if folder.exists() && !folder.is_dir() {
        let name = folder.display().to_string();
        let text = "the demo makes a folder, and this is a file".to_owned();
        return Err(vec![input::about_file(&name, text, "the name of a folder, or of none yet")]);
    }
    let file = folder.join(JOB_FILE);
    match settle(folder, &file, JOB) {
        Ok(true) => {}
        Ok(false) => talk::say(&format!("{} was changed, so it is kept and used as it is", file.display())),
        Err(error) => return Ok(cannot_write(folder, &error)),
    }
    let survey = folder.join(SURVEY_FILE);
    match settle(folder, &survey, SURVEY) {
        Ok(true) => {}
        Ok(false) => talk::say(&format!("{} was changed, so it is kept", survey.display())),
        Err(error) => return Ok(cannot_write(folder, &error)),
    }
    let world = world::load(folder, common)?;
    let assessment = world.assess();
    let out = folder.join(PACK_FOLDER);
    let made = make(folder, &assessment, sheets)?;
    if let Err(error) = write(&out, &made) {
        return Ok(cannot_write(&out, &error));
    }
    if common.json {
        return Ok(Outcome::Done.after_printing(print_json(&PackJson::new(&out, &made))));
    }
    let told = report(&assessment, false).print().and_then(|()| print_text(&next(folder, &out, made.sheets)));
    Ok(Outcome::Done.after_printing(told))
}

/// Puts a file of the example into the folder; false when another is there, which is never overwritten.
fn settle(folder: &Path, file: &Path, text: &str) -> io::Result<bool> {
    match fs::read(file) {
        Ok(there) => Ok(there == text.as_bytes()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            fs::create_dir_all(folder)?;
            fs::write(file, text)?;
            Ok(true)
        }
        Err(error) => Err(error),
    }
}

/// The path of the pack, and what to try next.
fn next(folder: &Path, out: &Path, sheets: usize) -> String {
    let (folder, out) = (folder.display(), out.display());
    format!(
        "\nThe pack: {out}/pack.pdf ({sheets} sheets), {out}/tags.pdf, {out}/tables.xlsx\n\
         \n\
         Try next:\n\
         \x20 loopwright allocate {folder}/survey.toml   the same building with no inputs yet: what goes where\n\
         \x20 loopwright explain {folder} C06     the working behind one circuit\n\
         \x20 edit {folder}/job.toml: move the 2.2k of C03 to the end of its network, then\n\
         \x20 loopwright assess {folder}          and see what is left\n\
         \x20 loopwright pack {folder} -o {out} --paper letter\n"
    )
}
