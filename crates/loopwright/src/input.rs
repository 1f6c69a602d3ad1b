//! Files and folders, read with limits: never more than a job file may have, never a device.

use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use document::{Complaint, MOST_BYTES, Source};

/// The name of a job file in its folder.
const JOB_FILE: &str = "job.toml";

/// The file that JOB names: itself, or the `job.toml` of a folder.
pub(crate) fn job_file(job: &Path) -> PathBuf {
    if job.is_dir() { job.join(JOB_FILE) } else { job.to_owned() }
}

/// Reads a text file of at most [`MOST_BYTES`].
///
/// # Errors
/// Not there, not readable, no ordinary file, too large, not UTF-8; each with what to do.
pub(crate) fn read(path: &Path) -> Result<Source, Box<Complaint>> {
    let bytes = bytes(path, "a TOML file")?;
    Source::read_bytes(path.display().to_string(), &bytes)
}

/// Reads an ordinary file of at most [`MOST_BYTES`]; `wanted` says what it should have been.
///
/// # Errors
/// Not there, not readable, no ordinary file, too large; each with what to do.
pub(crate) fn bytes(path: &Path, wanted: &str) -> Result<Vec<u8>, Box<Complaint>> {
    let name = path.display().to_string();
    let refused = |text: String, accept: &str| Box::new(about_file(&name, text, accept));
    let about = fs::metadata(path).map_err(|error| Box::new(unreadable(&name, path, &error)))?;
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
    read.map_err(|error| Box::new(unreadable(&name, path, &error)))?;
    Ok(bytes)
}

/// Puts a text in the place of a file's: written beside it first, so that a failure leaves the file as it was.
///
/// # Errors
/// What the machine says.
pub(crate) fn replace(path: &Path, text: &str) -> std::io::Result<()> {
    let path = fs::canonicalize(path)?;
    let mut beside = path.clone().into_os_string();
    beside.push(".new");
    fs::write(&beside, text)?;
    let rights = fs::metadata(&path)?.permissions();
    fs::set_permissions(&beside, rights)?;
    fs::rename(&beside, &path).inspect_err(|_| {
        // What is left beside it helps nobody.
        let _ = fs::remove_file(&beside);
    })
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
        Err(error) => return Err(Box::new(unreadable(&name, folder, &error))),
    };
    let mut files = Vec::new();
    for entry in entries {
        let path = entry.map_err(|error| Box::new(unreadable(&name, folder, &error)))?.path();
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

fn unreadable(name: &str, path: &Path, error: &std::io::Error) -> Complaint {
    match error.kind() {
        ErrorKind::NotFound if path.file_name().is_some_and(|file| file == JOB_FILE) => about_file(
            name,
            "there is no such file".to_owned(),
            "a job file, or a folder with a job.toml in it; a job may begin with the one line `format = 1`",
        ),
        ErrorKind::NotFound => about_file(
            name,
            "there is no such file or folder".to_owned(),
            "a job file, or a folder with a job.toml in it",
        ),
        ErrorKind::PermissionDenied => about_file(
            name,
            "this user may not read it".to_owned(),
            "a file that you may read: ask its owner, or copy it to a folder of your own",
        ),
        _ => about_file(name, format!("it cannot be read: {error}"), "a file on a disk that works"),
    }
}
