//! The few words in which SQLite and PostgreSQL differ. Everything else is written once, in what both take.
//!
//! Placeholders are `$1`, `$2` in the order in which they first stand: SQLite numbers named ones so, PostgreSQL by name.
//! What a list is sorted by is compared by byte in both; PostgreSQL has to be told, since it sorts as its own database does.
//! SQLite's alone are its PRAGMA, `sqlite_master` and the kinds of BEGIN, all of which are a connection's own affair, and
//! VACUUM INTO for a backup, which is `pg_dump` there. `oracles/store_sql.py` holds PostgreSQL to all of this.

/// A migration in PostgreSQL's words, as SQLite takes it: strict tables, its names of the two column types, by byte anyway.
pub(crate) fn for_sqlite(migration: &str) -> String {
    migration
        .replace(" COLLATE \"C\"", "")
        .replace("BIGINT", "INTEGER")
        .replace("BYTEA", "BLOB")
        .replace("\n);", "\n) STRICT;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sqlite_is_given_the_tables_that_were_shipped() {
        let shipped = "CREATE TABLE job (\n    id TEXT NOT NULL PRIMARY KEY,\n    version INTEGER NOT NULL,\n    \
                       changed_at TEXT NOT NULL,\n    name TEXT NOT NULL,\n    circuits INTEGER NOT NULL,\n";
        let made = for_sqlite(include_str!("migrations/0001-jobs.sql"));
        assert!(made.contains(shipped) && made.matches(") STRICT;").count() == 5, "{made}");
        assert!(!made.contains("COLLATE") && made.contains("bytes BLOB NOT NULL"), "{made}");
    }
}
