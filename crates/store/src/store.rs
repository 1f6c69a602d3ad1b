//! The file and its connections.

use std::fs::{File, OpenOptions};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rusqlite::trace::{TraceEvent, TraceEventCodes};
use rusqlite::{Connection, OpenFlags};

use crate::dialect;
use crate::error::StoreError;

/// Numbered; what was shipped is never edited, what changes is a new one.
const MIGRATIONS: &[(i64, &str)] = &[(1, include_str!("migrations/0001-jobs.sql"))];

/// Stands in the head of the file, so that it is known for ours: `Loop` as four letters.
const OURS: i64 = 0x4c6f_6f70;

/// Connections for reading that are kept open.
const READERS: usize = 4;

/// How long a connection waits for another process to finish its writing.
const PATIENCE: Duration = Duration::from_secs(10);

/// Is told every statement as it is made: first as it is written, then with its values in their places.
pub type Tell = fn(&str, &str);

/// An open database. Many threads may read while one writes.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    tell: Option<Tell>,
    writer: Mutex<Connection>,
    readers: Mutex<Vec<Connection>>,
    /// A file beside it, locked together with all who use the database, and alone by whoever replaces it.
    pub(crate) in_use: File,
}

impl Store {
    /// Opens a database; makes it where there is none, and brings it up to this release's tables.
    ///
    /// # Errors
    /// What the system says; a file of another program or of a newer release, which stay as they are.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        Self::opened(path, None)
    }

    /// The same, and every statement is told as it is made: for whoever tries them on another database.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub fn open_and_tell(path: &Path, tell: Tell) -> Result<Self, StoreError> {
        Self::opened(path, Some(tell))
    }

    fn opened(path: &Path, tell: Option<Tell>) -> Result<Self, StoreError> {
        make_private(path)?;
        let lock = lock_path(path);
        let mut options = OpenOptions::new();
        options.write(true).create(true).truncate(false);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let in_use = options.open(&lock).map_err(StoreError::about(&lock))?;
        // Waits for a restore to end.
        in_use.lock_shared().map_err(StoreError::about(&lock))?;
        let mut writer = connect(path, tell)?;
        migrate(&mut writer, path)?;
        Ok(Self {
            path: path.to_owned(),
            tell,
            writer: Mutex::new(writer),
            readers: Mutex::new(Vec::new()),
            in_use,
        })
    }

    /// Where it lies.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Writes what is still in the journal into the file itself, so that the file alone is everything.
    ///
    /// # Errors
    /// What the database says; nothing is lost then, the journal stays.
    pub fn settle(&self) -> Result<(), StoreError> {
        let done = self.writer().query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()));
        Ok(done?)
    }

    /// One more connection.
    pub(crate) fn connect(&self) -> Result<Connection, StoreError> {
        connect(&self.path, self.tell)
    }

    pub(crate) fn writer(&self) -> MutexGuard<'_, Connection> {
        // A transaction that was given up half-way was rolled back by whoever panicked.
        self.writer.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Reads with a connection of one's own, on one state of everything.
    pub(crate) fn read<T>(
        &self,
        read: impl FnOnce(&Connection) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let kept = self.readers.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let mut connection = match kept {
            Some(connection) => connection,
            None => self.connect()?,
        };
        let answer = connection.transaction().map_err(StoreError::from).and_then(|state| read(&state));
        let mut readers = self.readers.lock().unwrap_or_else(PoisonError::into_inner);
        if readers.len() < READERS {
            readers.push(connection);
        }
        answer
    }
}

/// The file that is locked: the system lets go of it when a process ends in any way.
pub(crate) fn lock_path(path: &Path) -> PathBuf {
    let mut name = path.to_owned().into_os_string();
    name.push(".lock");
    name.into()
}

/// Makes the file for its owner's eyes alone, where there is none.
fn make_private(path: &Path) -> Result<(), StoreError> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    match options.open(path) {
        Err(error) if error.kind() != std::io::ErrorKind::AlreadyExists => {
            Err(StoreError::File { path: path.to_owned(), error })
        }
        _ => Ok(()),
    }
}

/// A connection that waits for the disk with every commit: what is acknowledged is written.
fn connect(path: &Path, tell: Option<Tell>) -> Result<Connection, StoreError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection = Connection::open_with_flags(path, flags)?;
    if let Some(tell) = tell {
        let told = move |event: TraceEvent<'_>| {
            if let TraceEvent::Stmt(statement, _) = event {
                tell(&statement.sql(), &statement.expanded_sql().unwrap_or_default());
            }
        };
        connection.trace_v2(TraceEventCodes::SQLITE_TRACE_STMT, Some(told))?;
    }
    connection.busy_timeout(PATIENCE)?;
    let not_ours = |error: rusqlite::Error| match error.sqlite_error_code() {
        Some(rusqlite::ErrorCode::NotADatabase) => StoreError::NotOurs { path: path.to_owned() },
        _ => StoreError::Database(error),
    };
    let ours: i64 = connection.query_row("PRAGMA application_id", [], |row| row.get(0)).map_err(not_ours)?;
    let tables: i64 = connection.query_row("SELECT COUNT(*) FROM sqlite_master", [], |row| row.get(0))?;
    if ours != OURS && (ours != 0 || tables != 0) {
        return Err(StoreError::NotOurs { path: path.to_owned() });
    }
    connection.query_row("PRAGMA journal_mode = WAL", [], |_| Ok(()))?;
    connection.execute_batch(
        "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF; PRAGMA cache_size = -2000;",
    )?;
    connection.set_prepared_statement_cache_capacity(32);
    Ok(connection)
}

fn migrate(connection: &mut Connection, path: &Path) -> Result<(), StoreError> {
    let transaction = connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let number: i64 = transaction.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    let newest = MIGRATIONS.last().map_or(0, |(number, _)| *number);
    if number > newest {
        return Err(StoreError::Newer { path: path.to_owned(), number });
    }
    if number == newest {
        return Ok(());
    }
    for (_, sql) in MIGRATIONS.iter().filter(|(at, _)| *at > number) {
        transaction.execute_batch(&dialect::for_sqlite(sql))?;
    }
    transaction.execute_batch(&format!("PRAGMA application_id = {OURS}; PRAGMA user_version = {newest};"))?;
    transaction.commit()?;
    Ok(())
}
