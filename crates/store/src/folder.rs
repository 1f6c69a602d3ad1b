//! A job as the files of a folder: `job.toml`, `job.json` with its id, `evidence.jsonl`, `versions.jsonl`, `photos.jsonl` and `photos/`.

use std::fs::{self, File};
use std::io::{ErrorKind, Read, Write as _};
use std::path::{Path, PathBuf};

use document::MOST_BYTES;
use serde_json::{Value, json};

use crate::bundle::Bundle;
use crate::entry::check_id;
use crate::error::StoreError;
use crate::photo::{Photo, PhotoRow};
use crate::version::Version;

/// The largest of the other files that is read: a gigabyte.
const MOST_OF_OTHERS: u64 = 1 << 30;

/// The file that says a job's id.
const ID_FILE: &str = "job.json";

/// The id that a job had where [`write_folder`] wrote it; none where no such file lies beside the job file.
///
/// # Errors
/// A file that cannot be read, or holds no id.
pub fn read_id(job_file: &Path) -> Result<Option<String>, StoreError> {
    // A folder may hold other jobs' files beside the one that was written into it.
    if job_file.file_name().is_some_and(|name| name != "job.toml") {
        return Ok(None);
    }
    let path = job_file.parent().unwrap_or(Path::new("")).join(ID_FILE);
    let Some(text) = text_of(&path, MOST_BYTES as u64)? else { return Ok(None) };
    let json: Option<Value> = serde_json::from_str(&text).ok();
    let id = json.as_ref().and_then(|json| json.get("id")?.as_str()).map(str::to_owned);
    let refused = || StoreError::refused(path.display().to_string(), "it says no id", "as {\"id\":\"yard\"}");
    let id = id.ok_or_else(refused)?;
    check_id(&id)?;
    Ok(Some(id))
}

/// Writes a job and its id into a folder that is empty or not there yet.
///
/// # Errors
/// A folder with something in it, which stays as it is; what the system says.
pub fn write_folder(id: &str, bundle: &Bundle, folder: &Path) -> Result<(), StoreError> {
    fs::create_dir_all(folder).map_err(StoreError::about(folder))?;
    if fs::read_dir(folder).map_err(StoreError::about(folder))?.next().is_some() {
        let what = folder.display().to_string();
        return Err(StoreError::refused(
            what,
            "the folder has something in it",
            "an empty folder, or none yet",
        ));
    }
    check_id(id)?;
    write(&folder.join(ID_FILE), format!("{}\n", json!({ "id": id })).as_bytes())?;
    write_lines(&folder.join("evidence.jsonl"), bundle.evidence.iter().map(String::as_str))?;
    let versions: Vec<String> = bundle.versions.iter().map(Version::line).collect();
    write_lines(&folder.join("versions.jsonl"), versions.iter().map(String::as_str))?;
    if !bundle.photos.is_empty() {
        let photos = folder.join("photos");
        fs::create_dir_all(&photos).map_err(StoreError::about(&photos))?;
        for photo in &bundle.photos {
            check_id(&photo.row.id)?;
            write(&photos.join(file_name(&photo.row)), &photo.bytes)?;
        }
        let rows: Vec<String> = bundle.photos.iter().map(|photo| photo_line(&photo.row)).collect();
        write_lines(&folder.join("photos.jsonl"), rows.iter().map(String::as_str))?;
    }
    // Last: a folder with a job file in it is whole.
    write(&folder.join("job.toml"), bundle.text.as_bytes())
}

/// Reads what [`write_folder`] wrote, or a job file with its evidence beside it: `evidence` says where that lies.
///
/// # Errors
/// What is not there, not readable, too large or no UTF-8.
pub fn read_folder(job_file: &Path, evidence: &Path) -> Result<Bundle, StoreError> {
    let folder = job_file.parent().unwrap_or(Path::new(""));
    let text = text_of(job_file, MOST_BYTES as u64)?;
    let text = text.ok_or_else(|| StoreError::about(job_file)(ErrorKind::NotFound.into()))?;
    let evidence = lines_of(evidence)?;
    let mut bundle = Bundle { text, evidence, ..Bundle::default() };
    if job_file.file_name().is_some_and(|name| name != "job.toml") {
        return Ok(bundle);
    }
    let path = folder.join("versions.jsonl");
    for (at, line) in lines_of(&path)?.iter().enumerate() {
        bundle.versions.push(Version::of_line(line).ok_or_else(|| unread(&path, at))?);
    }
    let path = folder.join("photos.jsonl");
    for (at, line) in lines_of(&path)?.iter().enumerate() {
        let row = photo_of(line).ok_or_else(|| unread(&path, at))?;
        check_id(&row.id)?;
        let file = folder.join("photos").join(file_name(&row));
        let bytes = bytes_of(&file, MOST_OF_OTHERS)?;
        let bytes = bytes.ok_or_else(|| StoreError::about(&file)(ErrorKind::NotFound.into()))?;
        bundle.photos.push(Photo { row, bytes });
    }
    Ok(bundle)
}

fn unread(path: &Path, at: usize) -> StoreError {
    let what = format!("{}, line {}", path.display(), at + 1);
    StoreError::refused(what, "it cannot be read", "lines as the program writes them, or no such file")
}

fn file_name(row: &PhotoRow) -> String {
    let end = if row.media_type == "image/png" { "png" } else { "jpg" };
    format!("{}.{end}", row.id)
}

fn photo_line(row: &PhotoRow) -> String {
    json!({ "id": row.id, "at": row.at, "author": row.author, "about": row.about, "media_type": row.media_type })
        .to_string()
}

fn photo_of(line: &str) -> Option<PhotoRow> {
    let json: Value = serde_json::from_str(line).ok()?;
    let text = |key: &str| json.get(key)?.as_str().map(str::to_owned);
    let media_type = text("media_type").filter(|kind| kind == "image/jpeg" || kind == "image/png")?;
    Some(PhotoRow {
        id: text("id")?,
        at: text("at")?,
        author: text("author")?,
        about: text("about")?,
        media_type,
    })
}

fn write(path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let written = File::create(path).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    written.map_err(StoreError::about(path))
}

fn write_lines<'a>(path: &Path, lines: impl Iterator<Item = &'a str>) -> Result<(), StoreError> {
    let mut text = String::new();
    for line in lines {
        text.push_str(line);
        text.push('\n');
    }
    if text.is_empty() { Ok(()) } else { write(path, text.as_bytes()) }
}

/// The lines of a file without their ends, blank ones left out; none of a file that is not there.
fn lines_of(path: &Path) -> Result<Vec<String>, StoreError> {
    let text = text_of(path, MOST_OF_OTHERS)?.unwrap_or_default();
    let lines = text.split('\n').map(|line| line.strip_suffix('\r').unwrap_or(line));
    Ok(lines.filter(|line| !line.trim().is_empty()).map(str::to_owned).collect())
}

fn text_of(path: &Path, most: u64) -> Result<Option<String>, StoreError> {
    let Some(bytes) = bytes_of(path, most)? else { return Ok(None) };
    let refused = |_| StoreError::refused(path.display().to_string(), "it is no UTF-8 text", "text in UTF-8");
    String::from_utf8(bytes).map(Some).map_err(refused)
}

fn bytes_of(path: &Path, most: u64) -> Result<Option<Vec<u8>>, StoreError> {
    let path: PathBuf = path.to_owned();
    let file = match File::open(&path) {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(StoreError::File { path, error }),
    };
    if !file.metadata().map_err(StoreError::about(&path))?.is_file() {
        return Err(StoreError::refused(
            path.display().to_string(),
            "it is no ordinary file",
            "a file on a disk",
        ));
    }
    let mut bytes = Vec::new();
    file.take(most + 1).read_to_end(&mut bytes).map_err(StoreError::about(&path))?;
    if bytes.len() as u64 > most {
        return Err(StoreError::refused(path.display().to_string(), "it is too large", "a smaller one"));
    }
    Ok(Some(bytes))
}
