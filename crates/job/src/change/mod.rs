//! Changes to a job file: one value from this to that, put into the text, everything else as it was.
//!
//! A change names the table by kind and id, the key, what stands there and what shall stand there. It is
//! spliced into the text at the value's own bytes; comments, order, blanks and line ends stay. What comes
//! out is read again: it must be a job, and nothing but the named values may differ.

mod splice;

use std::collections::BTreeMap;
use std::fmt;

use document::{Document, Key, Source, Table};

use crate::keys;
use crate::model::Job;
use splice::{Splice, splices};

/// A table of the job file.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum TableRef {
    /// One that stands once, as `site` or `meter`.
    Single(&'static str),
    /// One of many, by its kind and its id or tag, as `circuit` and `C07`.
    Named(&'static str, String),
}

/// A value to be written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum NewValue {
    /// Text.
    Text(String),
    /// A whole number.
    Integer(i64),
    /// `true` or `false`.
    Bool(bool),
}

/// One value from this to that.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Change {
    /// The table.
    pub table: TableRef,
    /// The key in it.
    pub key: String,
    /// What must stand there for the change to be made; none: the key must be absent.
    pub from: Option<NewValue>,
    /// What shall stand there; none: the key goes.
    pub to: Option<NewValue>,
}

/// A change with a remark on how it is known.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Noted {
    /// The change.
    pub change: Change,
    /// Written behind a new key as a comment, where the table's form leaves room for one; empty for none.
    pub note: String,
}

/// A text with changes in it, and the way back.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Applied {
    /// The new text.
    pub text: String,
    /// Takes the changes out of it again, byte for byte.
    pub undo: Undo,
}

/// The way back from a changed text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Undo {
    splices: Vec<Splice>,
}

/// Why a change was not made. The text is untouched.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ChangeError {
    /// The text cannot be read as it is.
    #[error("the file cannot be read as it stands: {text}")]
    Unreadable {
        /// Its first problem.
        text: String,
    },
    /// The table is not there.
    #[error("the file has no {table}")]
    NoTable {
        /// The table.
        table: TableRef,
    },
    /// The format has no such key in such a table.
    #[error("{table} can have no `{key}`")]
    NoKey {
        /// The table.
        table: TableRef,
        /// The key.
        key: String,
    },
    /// Something else stands there than the change expects.
    #[error("`{key}` of {table} is {stands}, not {expected}: somebody changed it meanwhile")]
    Conflict {
        /// The table.
        table: TableRef,
        /// The key.
        key: String,
        /// What stands there.
        stands: String,
        /// What the change expects.
        expected: String,
    },
    /// Two changes of one set are about the same value.
    #[error("`{key}` of {table} is to be changed twice at once")]
    Twice {
        /// The table.
        table: TableRef,
        /// The key.
        key: String,
    },
    /// The file would not be a job any more, or something else in it would change too.
    #[error("the change would break the file: {text}")]
    Breaks {
        /// How.
        text: String,
    },
}

impl Change {
    /// The change back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        Self {
            table: self.table.clone(),
            key: self.key.clone(),
            from: self.to.clone(),
            to: self.from.clone(),
        }
    }

    /// Puts the change into a text.
    ///
    /// # Errors
    /// See [`ChangeError`]; the change is made wholly or not at all.
    pub fn apply(&self, source: &Source) -> Result<Applied, ChangeError> {
        Self::apply_all(std::slice::from_ref(self), source)
    }

    /// Puts several changes into a text at once: all or none.
    ///
    /// # Errors
    /// See [`ChangeError`].
    pub fn apply_all(changes: &[Self], source: &Source) -> Result<Applied, ChangeError> {
        let noted = changes.iter().map(|change| Noted { change: change.clone(), note: String::new() });
        Noted::apply_all(&noted.collect::<Vec<_>>(), source)
    }
}

impl Noted {
    /// Puts several changes with their remarks into a text at once: all or none.
    ///
    /// # Errors
    /// See [`ChangeError`].
    pub fn apply_all(changes: &[Self], source: &Source) -> Result<Applied, ChangeError> {
        let document = Document::parse(source);
        let before = document.leaves();
        let planned = splices(changes, source, &document)?;
        if let Some(problem) = document.into_problems().first() {
            return Err(ChangeError::Unreadable { text: problem.text.clone() });
        }
        let (text, undo) = splice::spliced(source.text(), planned.splices);
        verify(&text, &before, &planned.expected)?;
        Ok(Applied { text, undo: Undo { splices: undo } })
    }
}

impl Undo {
    /// The text as it was before; none when `text` is not the one that the changes made.
    #[must_use]
    pub fn restore(&self, text: &str) -> Option<String> {
        splice::restored(text, &self.splices)
    }
}

/// The changed text must be a job, and nothing but what was meant may differ from before.
fn verify(
    text: &str,
    before: &BTreeMap<String, String>,
    expected: &BTreeMap<String, Option<String>>,
) -> Result<(), ChangeError> {
    let source = Source::new("", text);
    if let Err(problems) = Job::read(&source) {
        let text = problems.first().map_or(String::new(), |problem| problem.text.clone());
        return Err(ChangeError::Breaks { text });
    }
    let mut wanted = before.clone();
    for (path, value) in expected {
        match value {
            Some(value) => wanted.insert(path.clone(), value.clone()),
            None => wanted.remove(path),
        };
    }
    let after = Document::parse(&source).leaves();
    let stray = after.iter().find(|(path, value)| wanted.get(*path) != Some(value));
    let lost = wanted.keys().find(|path| !after.contains_key(*path));
    match stray.map(|(path, _)| path).or(lost) {
        None => Ok(()),
        Some(path) => Err(ChangeError::Breaks { text: format!("`{path}` would change too") }),
    }
}

impl TableRef {
    /// The table's own keys, if the format has such a table.
    fn keys(&self) -> Option<&'static [Key]> {
        let keys = match self {
            Self::Single("site") => keys::SITE,
            Self::Single("fire") => keys::FIRE,
            Self::Single("standing") => keys::STANDING,
            Self::Single("meter") => keys::METER,
            Self::Single("assume") => keys::ASSUME,
            Self::Single("panel") => keys::PANEL,
            Self::Single("station") => keys::STATION,
            Self::Single("history") => keys::HISTORY,
            Self::Single("cutover") => keys::CUTOVER,
            Self::Named("enclosure", _) => keys::ENCLOSURE,
            Self::Named("module", _) => keys::MODULE,
            Self::Named("device", _) => keys::DEVICE,
            Self::Named("circuit", _) => keys::CIRCUIT,
            Self::Named("cable", _) => keys::CABLE,
            Self::Named("supply", _) => keys::SUPPLY,
            Self::Named("output", _) => keys::OUTPUT,
            _ => return None,
        };
        Some(keys)
    }

    /// The key that names one of many.
    fn id_key(kind: &str) -> Key {
        if kind == "circuit" { "tag" } else { "id" }
    }
}

impl fmt::Display for TableRef {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Single(name) => write!(out, "[{name}]"),
            Self::Named(kind, id) => write!(out, "{kind} {id}"),
        }
    }
}

impl NewValue {
    /// The value as TOML.
    fn literal(&self) -> String {
        match self {
            Self::Text(text) => quoted(text),
            Self::Integer(number) => number.to_string(),
            Self::Bool(value) => value.to_string(),
        }
    }

    /// As [`Table::fingerprint`] would say it.
    fn fingerprint(&self) -> String {
        match self {
            Self::Text(text) => format!("text {text}"),
            Self::Integer(number) => format!("integer {number}"),
            Self::Bool(value) => format!("boolean {value}"),
        }
    }
}

/// A basic string of TOML: quotes, backslashes and what does not print are escaped.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            control if control.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(control))),
            other => out.push(other),
        }
    }
    out.push('"');
    out
}

/// What stands in a table, for an error.
fn stands(table: &Table<'_>, key: Key) -> Option<String> {
    table.fingerprint(key)
}
