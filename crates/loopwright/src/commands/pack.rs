//! `pack JOB -o DIR`: every document of a job.

use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};
use std::{fs, io};

use assess::Assessment;
use document::Complaint;
use pack::{Files, Options, PackError};
use schemars::JsonSchema;
use serde::Serialize;

use super::{print_json, print_text};
use crate::arguments::{Common, Sheets};
use crate::outcome::Outcome;
use crate::{input, talk, world};

/// What `pack --json` and `demo --json` print.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct PackJson {
    /// The files that were written.
    files: Vec<PathBuf>,
    /// Sheets in `pack.pdf`.
    sheets: usize,
}

impl PackJson {
    /// What was written into a folder.
    pub(crate) fn new(out: &Path, made: &Files) -> Self {
        Self { files: made.files.iter().map(|file| out.join(&file.name)).collect(), sheets: made.sheets }
    }
}

/// Runs the command.
pub(crate) fn run(
    job: &Path,
    out: &Path,
    sheets: &Sheets,
    common: &Common,
) -> Result<Outcome, Vec<Complaint>> {
    if out.exists() && !out.is_dir() {
        let text = "the pack goes into a folder, and this is a file".to_owned();
        let accept = "the name of a folder, or of none yet";
        return Err(vec![input::about_file(&out.display().to_string(), text, accept)]);
    }
    let world = world::load(job, common)?;
    let made = make(job, &world.assess(), sheets)?;
    if let Err(error) = write(out, &made) {
        return Ok(cannot_write(out, &error));
    }
    let written = PackJson::new(out, &made);
    let printed = if common.json { print_json(&written) } else { print_text(&told(&written)) };
    Ok(Outcome::Done.after_printing(printed))
}

/// Makes the pack of a job that was assessed.
///
/// # Errors
/// A date that is none, as a complaint about the command line.
pub(crate) fn make(job: &Path, assessment: &Assessment, sheets: &Sheets) -> Result<Files, Vec<Complaint>> {
    let file = input::job_file(job);
    let source = input::read(&file).map_err(|complaint| vec![*complaint])?;
    let options = Options {
        paper: sheets.paper.into(),
        date: sheets.date.clone().unwrap_or_else(today),
        file_name: file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default(),
        revision: revision(source.text()),
        // Who looked through a version is kept beside the versions, where `serve` has them.
        checked: String::new(),
    };
    pack::pack(assessment, &options).map_err(|error| {
        let accept = match &error {
            PackError::Date(_) => "a date as 2026-11-25",
            PackError::Paper(_) => "a4 or letter",
            PackError::Typeset(_) | PackError::Table(_) => {
                "a report of this error, with the job file if you may share it"
            }
        };
        vec![input::about_file("command line", error.to_string(), accept)]
    })
}

/// Writes a pack into a folder, which is made where it is missing; other files in it are left alone.
///
/// # Errors
/// What the machine says.
pub(crate) fn write(out: &Path, made: &Files) -> io::Result<()> {
    for file in &made.files {
        let path = out.join(&file.name);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        fs::write(&path, &file.bytes)?;
    }
    Ok(())
}

/// Says that a folder cannot be written.
pub(crate) fn cannot_write(out: &Path, error: &io::Error) -> Outcome {
    talk::say(&format!("cannot write the pack into {}: {error}", out.display()));
    Outcome::MachineFailed
}

/// What was written, a line each.
fn told(written: &PackJson) -> String {
    let mut text = String::new();
    for path in &written.files {
        let about = match path.file_name().and_then(|name| name.to_str()) {
            Some("pack.pdf") => format!("  {} sheets, everything in one", written.sheets),
            Some("tags.pdf") => "  cable tags, and blank ones to print before the visit".to_owned(),
            _ => String::new(),
        };
        text.push_str(&format!("{}{about}\n", path.display()));
    }
    text
}

/// A short name for the state of a job file: the same text has the same (FNV-1a, 32 bits).
fn revision(text: &str) -> String {
    let hash =
        text.bytes().fold(0x811c_9dc5_u32, |hash, byte| (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193));
    format!("text {hash:08x}")
}

/// Today by the machine's clock, in UTC.
pub(crate) fn today() -> String {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
    date(seconds / 86_400)
}

/// A day since 1970-01-01 in the calendar: years from March on, in eras of 400 years.
fn date(days: u64) -> String {
    let days = days + 719_468;
    let era = days / 146_097;
    let day_of_era = days % 146_097;
    let year_of_era = (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = year_of_era + era * 400 + u64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_become_dates() {
        let known = [(0, "1970-01-01"), (59, "1970-03-01"), (11_016, "2000-02-29"), (20_782, "2026-11-25")];
        for (days, expected) in known {
            assert_eq!(date(days), expected);
        }
    }

    #[test]
    fn the_same_text_has_the_same_revision() {
        assert_eq!(revision(""), "text 811c9dc5");
        assert_eq!(revision("a"), "text e40c292c");
    }
}
