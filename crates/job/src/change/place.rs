//! What a change is about: a table, a key of one, an entry of a list.

use std::fmt;

use document::{Document, Key, Plain, Source};

use crate::keys;

/// A table of the job file.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum TableRef {
    /// One that stands once, as `site` or `meter`. `job` is the document itself: entries go into its lists of tables that have
    /// no name, as `van`. `cutover.weights` is the table in `cutover`: keys of it alone are changed.
    Single(String),
    /// One of many, by its kind and its id, tag or number, as `circuit` and `C07`.
    Named(String, String),
}

/// The place of one value in a job file.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Place {
    /// A whole table with all its keys; its value is a [`Plain::Table`].
    Table(TableRef),
    /// One key of a table.
    Key(TableRef, String),
    /// One entry, counted from 0, of the list under a key. Put in, it comes to stand at that number, and what
    /// stood there and behind moves on; taken out, what is behind moves up.
    Entry(TableRef, String, usize),
}

impl TableRef {
    /// A table that stands once.
    #[must_use]
    pub fn single(name: &str) -> Self {
        Self::Single(name.to_owned())
    }

    /// One of many, by its id, tag or number.
    #[must_use]
    pub fn named(kind: &str, id: &str) -> Self {
        Self::Named(kind.to_owned(), id.to_owned())
    }

    /// The document itself.
    #[must_use]
    pub fn document() -> Self {
        Self::single(DOCUMENT)
    }

    /// Whether it is the document itself.
    pub(super) fn is_document(&self) -> bool {
        matches!(self, Self::Single(name) if name == DOCUMENT)
    }

    /// Whether it is the table that is inside another.
    pub(super) fn is_inside(&self) -> bool {
        matches!(self, Self::Single(name) if name == INSIDE.name)
    }

    /// Whether the format lets such a place be changed: of the document itself entries of its lists of nameless tables, of the
    /// table inside another its keys.
    pub(super) fn may(&self, at: &Place) -> bool {
        match at {
            Place::Table(_) => !self.is_document() && !self.is_inside(),
            Place::Key(..) => !self.is_document(),
            Place::Entry(..) => true,
        }
    }

    /// Whether what is called so in one document can be told to be what is called so in another, though nobody wrote down
    /// what was done between: it says the same in both, and either all of its kind are called as before in their order, or
    /// no other says what it says. What stands once is always the same.
    #[must_use]
    pub fn is_the_same(&self, old: &Plain, new: &Plain) -> bool {
        let Self::Named(kind, _) = self else { return true };
        let at = Place::Table(self.clone());
        let (Some(own), Some(now)) = (at.value(old), at.value(new)) else { return false };
        own == now
            && (Self::named_in(kind, old) == Self::named_in(kind, new)
                || [old, new].map(|of| own_twins(kind, own, of)) == [1, 1])
    }

    /// How all tables of a kind are called in a document, in their order.
    #[must_use]
    pub fn named_in(kind: &str, document: &Plain) -> Vec<String> {
        let (Some(Plain::List(tables)), Some(key)) = (document.get(kind), Self::id_key(kind)) else {
            return Vec::new();
        };
        tables.iter().map(|table| table.get(key).and_then(id_of).unwrap_or_default()).collect()
    }

    /// The key of the document that it stands under, and the table's own keys, if the format has such a table.
    pub(super) fn format(&self) -> Option<(Key, &'static [Key])> {
        if self.is_document() {
            return Some((DOCUMENT, NAMELESS));
        }
        if self.is_inside() {
            return Some((INSIDE.name, keys::CUTOVER_WEIGHTS));
        }
        let (name, many) = match self {
            Self::Single(name) => (name, false),
            Self::Named(kind, _) => (kind, true),
        };
        let (name, own) = keys::TABLES.iter().find(|(table, _)| table == name)?;
        let right = if many { Self::id_key(name).is_some() } else { SINGLES.contains(name) };
        right.then_some((*name, *own))
    }

    /// The key that names one of many; none for what does not stand many times or has no name.
    pub(super) fn id_key(kind: &str) -> Option<Key> {
        match kind {
            "circuit" => Some("tag"),
            "area" | "user" => Some("number"),
            "enclosure" | "module" | "device" | "cable" | "supply" | "output" => Some("id"),
            _ => None,
        }
    }
}

/// The tables that stand once.
pub(super) const SINGLES: &[&str] = &[
    "site",
    "fire",
    "standing",
    "meter",
    "assume",
    "panel",
    "station",
    "history",
    "rates",
    "quotation",
    "allocate",
    "cutover",
];

/// How the document itself is called.
pub(super) const DOCUMENT: Key = "job";
/// Tables that stand many times and have no name: entries of a list of the document.
const NAMELESS: &[Key] = &["standby", "van", "extension"];

/// The table that is inside another.
pub(super) const INSIDE: Inside = Inside { name: "cutover.weights", outer: "cutover", key: "weights" };

/// A table inside another.
pub(super) struct Inside {
    /// How it is called.
    pub(super) name: Key,
    /// The table that it is in.
    pub(super) outer: Key,
    /// The key there.
    pub(super) key: Key,
}

/// How many tables of a kind say the same beside how they are called.
fn own_twins(kind: &str, own: &Plain, document: &Plain) -> usize {
    let says = |table: &Plain| match table {
        Plain::Table(keys) => {
            let mut keys = keys.clone();
            keys.retain(|(key, _)| TableRef::id_key(kind) != Some(key.as_str()));
            keys.sort_by(|(one, _), (other, _)| one.cmp(other));
            Plain::Table(keys)
        }
        other => other.clone(),
    };
    let Some(Plain::List(tables)) = document.get(kind) else { return 0 };
    tables.iter().filter(|table| says(table) == says(own)).count()
}

/// The text by which a table is called: its id, tag or number.
pub(super) fn id_of(value: &Plain) -> Option<String> {
    match value {
        Plain::Text(id) => Some(id.clone()),
        Plain::Integer(number) => Some(number.to_string()),
        _ => None,
    }
}

impl Place {
    /// The table that it is or is in.
    #[must_use]
    pub fn table(&self) -> &TableRef {
        match self {
            Self::Table(table) | Self::Key(table, _) | Self::Entry(table, ..) => table,
        }
    }

    /// Whether it is the key by which its table is called.
    pub(super) fn names_its_table(&self) -> bool {
        matches!(self, Self::Key(TableRef::Named(kind, _), key) if TableRef::id_key(kind) == Some(key.as_str()))
    }

    /// What stands there in a text; none when nothing does, or when the format has no such place.
    #[must_use]
    pub fn standing(&self, source: &Source) -> Option<Plain> {
        let document = Document::parse(source);
        self.value(&document.plain()).cloned()
    }

    /// The same in a document's plain form.
    #[must_use]
    pub fn value<'p>(&self, document: &'p Plain) -> Option<&'p Plain> {
        let (kind, _) = self.table().format()?;
        let stands = match self.table() {
            table if table.is_document() => Some(document),
            table if table.is_inside() => document.get(INSIDE.outer)?.get(INSIDE.key),
            _ => document.get(kind),
        };
        let table = match (self.table(), stands?) {
            (TableRef::Single(_), table @ Plain::Table(_)) => table,
            (TableRef::Named(_, id), Plain::List(tables)) => {
                let id_key = TableRef::id_key(kind)?;
                tables.iter().find(|table| table.get(id_key).and_then(id_of).as_ref() == Some(id))?
            }
            _ => return None,
        };
        match self {
            Self::Table(_) => Some(table),
            Self::Key(_, key) => table.get(key),
            Self::Entry(_, key, at) => match table.get(key)? {
                Plain::List(entries) => entries.get(*at),
                _ => None,
            },
        }
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

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Table(table) => table.fmt(out),
            Self::Key(table, key) => write!(out, "`{key}` of {table}"),
            Self::Entry(table, key, at) => write!(out, "entry {} of `{key}` of {table}", at + 1),
        }
    }
}
