//! Files and folders, read with limits: never more than a job file may have, never a device.

use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use document::{Complaint, MOST_BYTES, Source};

/// The name of a job file in its folder.
const JOB_FILE: &str = "job.toml";

/// What a folder of the library should be.
const FOLDER: &str = "a folder that is there and that you may read";

/// The file that JOB names: itself, or the `job.toml` of a folder.
pub(crate) fn job_file(job: &Path) -> PathBuf {
    if job.is_dir() { job.join(JOB_FILE) } else { job.to_owned() }
}

/// Reads a job file, or one of the library, of at most [`MOST_BYTES`].
///
/// # Errors
/// Not there, not readable, no ordinary file, too large, not UTF-8; each with what to do.
pub(crate) fn read(path: &Path) -> Result<Source, Box<Complaint>> {
    let bytes = bytes_or(path, "a TOML file", "a job file, or a folder with a job.toml in it")?;
    Source::read_bytes(path.display().to_string(), &bytes)
}

/// Reads another text file of the same size; `wanted` says what it should have been.
///
/// # Errors
/// As [`read`].
pub(crate) fn read_other(path: &Path, wanted: &str) -> Result<Source, Box<Complaint>> {
    Source::read_bytes(path.display().to_string(), &bytes(path, wanted)?)
}

/// Reads a text of the same size that somebody else's program wrote: UTF-8, or the code of Western Windows.
///
/// # Errors
/// As [`read`], but for what is no UTF-8.
pub(crate) fn read_text(path: &Path) -> Result<String, Box<Complaint>> {
    let bytes = bytes(path, "a text file")?;
    Ok(String::from_utf8(bytes).unwrap_or_else(|error| signal::decoded(error.as_bytes()).into_owned()))
}

/// Puts a text in the place of a file, all of it or nothing.
///
/// # Errors
/// What the system says.
pub(crate) fn replace(path: &Path, text: &str) -> std::io::Result<()> {
    // What a link points to, not the link.
    let path = fs::canonicalize(path)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let beside = path.with_file_name(format!(".{name}.{}", std::process::id()));
    let written = fs::write(&beside, text).and_then(|()| {
        fs::set_permissions(&beside, fs::metadata(&path)?.permissions())?;
        fs::rename(&beside, &path)
    });
    if written.is_err() {
        // What is left beside the file hurts nobody, and the first error is the one to tell.
        let _ = fs::remove_file(&beside);
    }
    written
}

/// Reads an ordinary file of at most [`MOST_BYTES`]; `wanted` says what it should have been.
///
/// # Errors
/// Not there, not readable, no ordinary file, too large; each with what to do.
pub(crate) fn bytes(path: &Path, wanted: &str) -> Result<Vec<u8>, Box<Complaint>> {
    bytes_or(path, wanted, &format!("{wanted} that is there and that you may read"))
}

/// The same; `instead` is what would be accepted where there is no such file.
fn bytes_or(path: &Path, wanted: &str, instead: &str) -> Result<Vec<u8>, Box<Complaint>> {
    let name = path.display().to_string();
    let refused = |text: String, accept: &str| Box::new(about_file(&name, text, accept));
    let about = fs::metadata(path).map_err(|error| Box::new(unreadable(&name, path, &error, instead)))?;
    if about.is_dir() {
        return Err(refused("this is a folder".to_owned(), wanted));
    }
    if !about.is_file() {
        let text = "this is a device or a pipe, not a file".to_owned();
        return Err(refused(text, &format!("{wanted} on a disk")));
    }
    let most = MOST_BYTES as u64;
    if about.len() > most {
        let megabytes = about.len().div_ceil(1024 * 1024);
        return Err(refused(
            format!("the file has {megabytes} MB"),
            &format!("at most {} MB", MOST_BYTES / (1024 * 1024)),
        ));
    }
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| file.take(most + 1).read_to_end(&mut bytes));
    read.map_err(|error| Box::new(unreadable(&name, path, &error, instead)))?;
    Ok(bytes)
}

/// The files of a folder whose names end in `.toml`, sorted; none when there is no such folder.
///
/// # Errors
/// A folder that cannot be read.
pub(crate) fn toml_files(folder: &Path) -> Result<Vec<PathBuf>, Box<Complaint>> {
    let name = folder.display().to_string();
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(Box::new(unreadable(&name, folder, &error, FOLDER))),
    };
    let mut files = Vec::new();
    for entry in entries {
        let path = entry.map_err(|error| Box::new(unreadable(&name, folder, &error, FOLDER)))?.path();
        if path.extension().is_some_and(|extension| extension == "toml") {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// A complaint about a file as a whole.
pub(crate) fn about_file(file: &str, text: String, accept: &str) -> Complaint {
    Complaint {
        file: file.to_owned(),
        line: 1,
        column: 1,
        source_line: String::new(),
        caret: 1,
        width: 1,
        text,
        accept: accept.to_owned(),
    }
}

fn unreadable(name: &str, path: &Path, error: &std::io::Error, instead: &str) -> Complaint {
    match error.kind() {
        ErrorKind::NotFound if path.file_name().is_some_and(|file| file == JOB_FILE) => about_file(
            name,
            "there is no such file".to_owned(),
            "a job file, or a folder with a job.toml in it; a job may begin with the one line `format = 1`",
        ),
        ErrorKind::NotFound => about_file(name, "there is no such file or folder".to_owned(), instead),
        ErrorKind::PermissionDenied => about_file(
            name,
            "this user may not read it".to_owned(),
            "a file that you may read: ask its owner, or copy it to a folder of your own",
        ),
        _ => about_file(name, format!("it cannot be read: {error}"), "a file on a disk that works"),
    }
}
