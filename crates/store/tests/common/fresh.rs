//! A database to try things on.

use store::Store;

/// A database in a folder of its own.
pub(crate) fn fresh() -> (tempfile::TempDir, Store) {
    let folder = tempfile::tempdir().expect("a folder of the test's own");
    let store = Store::open(&folder.path().join("jobs.db")).expect("a folder of the test's own");
    (folder, store)
}
