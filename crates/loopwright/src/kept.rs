//! Where `serve` keeps its jobs.

use std::path::{Path, PathBuf};
use std::{env, fs};

use document::Complaint;
use store::{Store, StoreError};

use crate::input;

/// The folder of this program in the user's data folder.
const FOLDER: &str = "loopwright";
/// The file in it.
const FILE: &str = "jobs.db";

/// Opens what is kept: the file that was named, or the one in the user's own data folder.
///
/// # Errors
/// No such folder, or what the store says, each with what would be accepted.
pub(crate) fn open(named: Option<&Path>) -> Result<Store, Vec<Complaint>> {
    let path = match named {
        Some(path) => path.to_owned(),
        None => usual()?,
    };
    Store::open(&path).map_err(|error| vec![about(&path, &error)])
}

/// The file in the user's data folder; the folder is made where it is missing.
fn usual() -> Result<PathBuf, Vec<Complaint>> {
    let Some(data) = data_folder() else {
        let text = "this user has no data folder".to_owned();
        return Err(vec![input::about_file("command line", text, "a file named with --db")]);
    };
    let folder = data.join(FOLDER);
    if let Err(error) = fs::create_dir_all(&folder) {
        let text = format!("the folder cannot be made: {error}");
        return Err(vec![input::about_file(&folder.display().to_string(), text, "a file named with --db")]);
    }
    Ok(folder.join(FILE))
}

/// Where a user's programs keep their data: XDG's folder, or what the system has in its place.
fn data_folder() -> Option<PathBuf> {
    let named = |variable| env::var_os(variable).map(PathBuf::from).filter(|path| path.is_absolute());
    if let Some(data) = named("XDG_DATA_HOME") {
        return Some(data);
    }
    if cfg!(windows) {
        return named("APPDATA");
    }
    let home = named("HOME")?;
    Some(if cfg!(target_os = "macos") {
        home.join("Library/Application Support")
    } else {
        home.join(".local/share")
    })
}

/// What the store says, as a complaint about its file.
pub(crate) fn about(path: &Path, error: &StoreError) -> Complaint {
    let name = path.display().to_string();
    match error {
        StoreError::File { path, error } => input::about_file(
            &path.display().to_string(),
            error.to_string(),
            "a file or folder that you may use",
        ),
        StoreError::NotOurs { .. } => {
            input::about_file(&name, error.to_string(), "a file that `serve` made, or the name of none yet")
        }
        StoreError::Newer { .. } => {
            input::about_file(&name, error.to_string(), "that release, or a newer one")
        }
        StoreError::Refused { what, text, accept } => input::about_file(what, text.clone(), accept),
        StoreError::Taken { .. } => input::about_file(&name, error.to_string(), "another id, with --as ID"),
        _ => input::about_file(&name, error.to_string(), "a file on a disk that works, or a backup of it"),
    }
}
