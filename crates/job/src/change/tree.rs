//! A change made in the plain form of a document: what the changed text must then say.

use document::Plain;

use super::Change;
use super::place::{INSIDE, Place, TableRef};

/// Makes a change whose `from` stands there.
pub(super) fn change(document: &mut Plain, change: &Change) {
    let Some((kind, _)) = change.at.table().format() else { return };
    let Plain::Table(root) = document else { return };
    match (&change.at, change.at.table()) {
        (Place::Table(_), TableRef::Single(_)) => set(root, kind, change.to.clone()),
        (Place::Table(_), TableRef::Named(_, id)) => {
            let Plain::List(tables) = under(root, kind, Plain::List(Vec::new())) else { return };
            let at = number(tables, kind, id);
            put(tables, at.unwrap_or(tables.len()), at.is_some(), change.to.clone());
        }
        (Place::Key(_, key), table) => {
            if let Some(entries) = entries(root, kind, table) {
                set(entries, key, change.to.clone());
            }
        }
        (Place::Entry(_, key, at), table) => {
            let Some(entries) = entries(root, kind, table) else { return };
            if let Plain::List(list) = under(entries, key, Plain::List(Vec::new())) {
                put(list, *at, change.from.is_some(), change.to.clone());
            }
        }
    }
}

/// Moves the last table of a kind to another number.
pub(super) fn last_to(document: &mut Plain, table: &TableRef, number: usize) {
    let (Some((kind, _)), Plain::Table(root)) = (table.format(), document) else { return };
    if let Plain::List(tables) = under(root, kind, Plain::List(Vec::new()))
        && let Some(last) = tables.pop()
    {
        tables.insert(number.min(tables.len()), last);
    }
}

/// A list of tables that is empty is the same as none.
pub(super) fn without_empty_lists(document: Plain) -> Plain {
    match document {
        Plain::Table(root) => {
            Plain::Table(root.into_iter().filter(|(_, value)| *value != Plain::List(Vec::new())).collect())
        }
        other => other,
    }
}

fn number(tables: &[Plain], kind: &str, id: &str) -> Option<usize> {
    let id_key = TableRef::id_key(kind)?;
    tables.iter().position(|table| table.get(id_key).and_then(super::place::id_of).as_deref() == Some(id))
}

/// The entries of a table, which is made where it may stand once and is not there.
fn entries<'p>(
    root: &'p mut Vec<(String, Plain)>,
    kind: &str,
    table: &TableRef,
) -> Option<&'p mut Vec<(String, Plain)>> {
    if table.is_document() {
        return Some(root);
    }
    if table.is_inside() {
        let Plain::Table(outer) = under(root, INSIDE.outer, Plain::Table(Vec::new())) else { return None };
        return match under(outer, INSIDE.key, Plain::Table(Vec::new())) {
            Plain::Table(entries) => Some(entries),
            _ => None,
        };
    }
    let found = match table {
        TableRef::Single(_) => under(root, kind, Plain::Table(Vec::new())),
        TableRef::Named(_, id) => {
            let Plain::List(tables) = under(root, kind, Plain::List(Vec::new())) else { return None };
            let at = number(tables, kind, id)?;
            tables.get_mut(at)?
        }
    };
    match found {
        Plain::Table(entries) => Some(entries),
        _ => None,
    }
}

/// The value under a key, which is put there where it is missing.
fn under<'p>(entries: &'p mut Vec<(String, Plain)>, key: &str, missing: Plain) -> &'p mut Plain {
    let at = entries.iter().position(|(name, _)| name == key).unwrap_or_else(|| {
        entries.push((key.to_owned(), missing));
        entries.len() - 1
    });
    &mut entries[at].1
}

fn set(entries: &mut Vec<(String, Plain)>, key: &str, to: Option<Plain>) {
    entries.retain(|(name, _)| name != key || to.is_some());
    if let Some(to) = to {
        *under(entries, key, Plain::Bool(false)) = to;
    }
}

/// Puts a value into a list, in place of what stands there or before it, or takes out what stands there.
fn put(list: &mut Vec<Plain>, at: usize, stands: bool, to: Option<Plain>) {
    match (stands, to) {
        (true, Some(value)) => list[at] = value,
        (true, None) => {
            list.remove(at);
        }
        (false, Some(value)) => list.insert(at, value),
        (false, None) => {}
    }
}
