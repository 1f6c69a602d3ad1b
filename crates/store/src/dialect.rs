//! The few words in which SQLite and PostgreSQL differ. Everything else is written once, in what both take.
//!
//! Placeholders are `$1`, `$2` in the order in which they first stand: SQLite numbers named ones so, PostgreSQL by name.

/// A migration in PostgreSQL's words, as SQLite takes it: strict tables, its names of the two column types.
pub(crate) fn for_sqlite(migration: &str) -> String {
    migration.replace("BIGINT", "INTEGER").replace("BYTEA", "BLOB").replace("\n);", "\n) STRICT;")
}
