//! The whole database as one file, and back.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags, params};

use crate::error::StoreError;
use crate::store::Store;

/// Pages that are copied before others get their turn.
const PAGES: i32 = 1000;

/// Copies everything into a new file, as it stands at one moment; others may write meanwhile.
///
/// # Errors
/// A file that is there already, which stays as it is; what the system says.
pub fn backup(store: &Store, to: &Path) -> Result<(), StoreError> {
    if to.exists() {
        let what = to.display().to_string();
        return Err(StoreError::refused(what, "there is such a file already", "a name that is not taken"));
    }
    // Under another name until it is whole.
    let beside = beside(to);
    let made = copy_out(store, &beside).and_then(|()| {
        fs::File::open(&beside).and_then(|file| file.sync_all()).map_err(StoreError::about(&beside))?;
        fs::rename(&beside, to).map_err(StoreError::about(to))
    });
    if made.is_err() {
        // What is left beside it hurts nobody, and the first error is the one to tell.
        let _ = fs::remove_file(&beside);
    }
    made
}

fn copy_out(store: &Store, to: &Path) -> Result<(), StoreError> {
    let name = to.to_str().ok_or_else(|| {
        StoreError::refused(to.display().to_string(), "its name is no Unicode", "a name in Unicode")
    })?;
    store.read_alone(|state| Ok(state.execute("VACUUM INTO $1", params![name]).map(|_| ())?))
}

/// Puts a backup in the place of everything that the database holds, in one transaction: all of it or nothing. What was
/// held before stays beside it, in a file whose name says until when it held (`at`, RFC 3339); where that lies is returned.
///
/// # Errors
/// A database that somebody else has open; a backup that is damaged, of another program or of a newer release; what the
/// system says. Then nothing has changed.
pub fn restore(store: &Store, from: &Path, at: &str) -> Result<PathBuf, StoreError> {
    // All who use it hold the lock together: alone, nobody's acknowledged work can come in between.
    if store.in_use.unlock().and_then(|()| store.in_use.try_lock().map_err(Into::into)).is_err() {
        store.in_use.lock_shared().map_err(StoreError::about(store.path()))?;
        let what = store.path().display().to_string();
        let text = "it is in use, and what is written to it meanwhile would be lost";
        return Err(StoreError::refused(what, text, "a database that nobody serves: end `serve` first"));
    }
    let done = restore_alone(store, from, at);
    store
        .in_use
        .unlock()
        .and_then(|()| store.in_use.lock_shared())
        .map_err(StoreError::about(store.path()))?;
    done
}

fn restore_alone(store: &Store, from: &Path, at: &str) -> Result<PathBuf, StoreError> {
    // Read through a copy: looking at a file of SQLite's can change it, and a backup stays as it is.
    let beside = beside(store.path());
    fs::copy(from, &beside).map_err(StoreError::about(from))?;
    let done = Store::open(&beside).and_then(|copy| {
        check(&copy)?;
        copy.settle()?;
        drop(copy);
        let before = before(store.path(), at);
        backup(store, &before)?;
        copy_in(store, &beside)?;
        Ok(before)
    });
    for end in ["", "-wal", "-shm", ".lock"] {
        let mut name = beside.clone().into_os_string();
        name.push(end);
        // What is left beside the database hurts nobody.
        let _ = fs::remove_file(name);
    }
    done
}

/// A free name for what the database held until now, as `jobs.db.before-restore-2026-03-14T092653Z`.
fn before(path: &Path, at: &str) -> PathBuf {
    let when: String = at.chars().filter(|letter| letter.is_ascii_alphanumeric() || *letter == '-').collect();
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let plain = path.with_file_name(format!("{name}.before-restore-{when}"));
    let numbered = (2..).map(|more| path.with_file_name(format!("{name}.before-restore-{when}-{more}")));
    std::iter::once(plain.clone()).chain(numbered).find(|one| !one.exists()).unwrap_or(plain)
}

fn check(copy: &Store) -> Result<(), StoreError> {
    copy.read_alone(|state| {
        let told: String = state.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
        if told == "ok" { Ok(()) } else { Err(StoreError::Damaged { text: told }) }
    })
}

fn copy_in(store: &Store, from: &Path) -> Result<(), StoreError> {
    let source = Connection::open_with_flags(from, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    let mut writer = store.writer();
    let copying = Backup::new(&source, &mut writer)?;
    copying.run_to_completion(PAGES, Duration::from_millis(1), None)?;
    Ok(())
}

/// A name beside a file, for what is not finished.
fn beside(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.{}", std::process::id()))
}

impl Store {
    /// Reads with a connection that is in no transaction.
    fn read_alone<T>(
        &self,
        read: impl FnOnce(&Connection) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        read(&self.connect()?)
    }
}
