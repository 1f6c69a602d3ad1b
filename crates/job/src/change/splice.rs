//! Where in a text a change goes, and how it gets there and back.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use document::{Document, Key, Shape, Source, Table};

use super::{Change, ChangeError, Noted, TableRef};
use crate::keys;

/// A piece of text in place of another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Splice {
    /// The bytes that go.
    pub(super) range: Range<usize>,
    /// What comes.
    pub(super) text: String,
}

/// What a set of changes comes to.
pub(super) struct Planned {
    pub(super) splices: Vec<Splice>,
    /// The fingerprints that must differ afterwards, by path; none: gone.
    pub(super) expected: BTreeMap<String, Option<String>>,
}

/// Plans a set of changes without touching the text.
pub(super) fn splices(
    changes: &[Noted],
    source: &Source,
    document: &Document<'_>,
) -> Result<Planned, ChangeError> {
    let root = document.root("", keys::JOB);
    let mut planned = Planned { splices: Vec::new(), expected: BTreeMap::new() };
    let mut found: BTreeMap<&'static str, BTreeMap<String, (usize, Table<'_>)>> = BTreeMap::new();
    let mut made: BTreeSet<&TableRef> = BTreeSet::new();
    let mut seen = BTreeSet::new();
    for Noted { change, note } in changes {
        let no_key = || ChangeError::NoKey { table: change.table.clone(), key: change.key.clone() };
        let keys = change.table.keys().ok_or_else(no_key)?;
        let key = keys.iter().copied().find(|key| *key == change.key).ok_or_else(no_key)?;
        if !seen.insert((&change.table, key)) {
            return Err(ChangeError::Twice { table: change.table.clone(), key: change.key.clone() });
        }
        let (path, table) = match &change.table {
            TableRef::Single(name) => ((*name).to_owned(), single(&root, name, keys)),
            TableRef::Named(kind, id) => {
                let tables = found.entry(kind).or_insert_with(|| named(&root, kind, keys));
                match tables.get(id) {
                    Some((at, table)) => (format!("{kind}[{at}]"), Some(table.clone())),
                    None => return Err(ChangeError::NoTable { table: change.table.clone() }),
                }
            }
        };
        agree(change, table.as_ref(), key)?;
        let newline = newline(source.text());
        match &table {
            Some(table) => planned.splices.extend(in_table(change, note, table, key, source.text(), newline)),
            None => {
                let first = made.insert(&change.table);
                planned.splices.extend(new_table(change, first, source.text(), newline));
                planned.expected.insert(path.clone(), Some("table".to_owned()));
            }
        }
        planned
            .expected
            .insert(format!("{path}.{key}"), change.to.as_ref().map(super::NewValue::fingerprint));
    }
    Ok(planned)
}

fn single<'d>(root: &Table<'d>, name: &'static str, keys: &'static [Key]) -> Option<Table<'d>> {
    root.table(name, keys)
}

/// All tables of a kind by their id; of two with one id the first.
fn named<'d>(
    root: &Table<'d>,
    kind: &'static str,
    keys: &'static [Key],
) -> BTreeMap<String, (usize, Table<'d>)> {
    let mut tables = BTreeMap::new();
    for (at, table) in root.tables(kind, keys).into_iter().enumerate() {
        if let Some(id) = table.text(TableRef::id_key(kind)) {
            tables.entry(id.value).or_insert((at, table));
        }
    }
    tables
}

/// What stands there must be what the change expects.
fn agree(change: &Change, table: Option<&Table<'_>>, key: Key) -> Result<(), ChangeError> {
    let stands = table.and_then(|table| super::stands(table, key));
    let expected = change.from.as_ref().map(super::NewValue::fingerprint);
    if stands == expected {
        return Ok(());
    }
    let said = |value: Option<String>| value.map_or("absent".to_owned(), |value| format!("the {value}"));
    Err(ChangeError::Conflict {
        table: change.table.clone(),
        key: change.key.clone(),
        stands: said(stands),
        expected: said(expected),
    })
}

fn in_table(
    change: &Change,
    note: &str,
    table: &Table<'_>,
    key: Key,
    text: &str,
    newline: &str,
) -> Option<Splice> {
    let entries = table.entries();
    let at = entries.iter().position(|entry| entry.key == key);
    match (at, &change.to) {
        (Some(_), Some(value)) => Some(Splice { range: table.value(key)?.span(), text: value.literal() }),
        (Some(at), None) if table.shape() == Shape::Braces => {
            let entry = entries.get(at)?;
            let range = match (at.checked_sub(1).and_then(|before| entries.get(before)), entries.get(at + 1))
            {
                (Some(before), _) => before.end..entry.end,
                (None, Some(after)) => entry.start..after.start,
                (None, None) => entry.start..entry.end,
            };
            Some(Splice { range, text: String::new() })
        }
        (Some(at), None) => {
            let entry = entries.get(at)?;
            let start = line_start(text, entry.start);
            Some(Splice { range: start..line_rest(text, entry.end), text: String::new() })
        }
        (None, Some(value)) => {
            let literal = value.literal();
            let noted =
                if note.is_empty() { literal.clone() } else { format!("{literal}  # {}", one_line(note)) };
            Some(inserted(table, key, [&literal, &noted], text, newline))
        }
        (None, None) => None,
    }
}

/// A comment ends with its line.
fn one_line(note: &str) -> String {
    note.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}

/// A new key at the end of the table's own body: as it is in braces, with its remark on a line of its own.
fn inserted(table: &Table<'_>, key: Key, [literal, noted]: [&str; 2], text: &str, newline: &str) -> Splice {
    let last = table.entries().last().map(|entry| entry.end);
    match table.shape() {
        Shape::Braces => match last {
            Some(end) => Splice { range: end..end, text: format!(", {key} = {literal}") },
            None => {
                let span = table.span();
                Splice { range: span.start + 1..span.end - 1, text: format!(" {key} = {literal} ") }
            }
        },
        Shape::Header | Shape::Root => {
            line_after(text, last.unwrap_or(table.span().end), key, noted, newline)
        }
        Shape::Dotted => {
            let name = text.get(table.span()).unwrap_or("");
            line_after(text, last.unwrap_or(table.span().end), &format!("{name}.{key}"), noted, newline)
        }
    }
}

/// A line of its own behind the line that holds the byte before `end`, indented like it.
fn line_after(text: &str, end: usize, key: &str, literal: &str, newline: &str) -> Splice {
    let rest = text.get(end..).unwrap_or("");
    let start = line_start(text, end);
    let indent: String = text
        .get(start..end)
        .unwrap_or("")
        .chars()
        .take_while(|letter| matches!(letter, ' ' | '\t'))
        .collect();
    match rest.find('\n') {
        Some(at) => {
            let at = end + at + 1;
            Splice { range: at..at, text: format!("{indent}{key} = {literal}{newline}") }
        }
        None => {
            let at = text.len();
            Splice { range: at..at, text: format!("{newline}{indent}{key} = {literal}") }
        }
    }
}

/// A table that is not there yet goes to the end of the file; a second key of it follows the first.
fn new_table(change: &Change, first: bool, text: &str, newline: &str) -> Option<Splice> {
    let (TableRef::Single(name), Some(value)) = (&change.table, &change.to) else { return None };
    let line = format!("{} = {}{newline}", change.key, value.literal());
    let at = text.len();
    if !first {
        return Some(Splice { range: at..at, text: line });
    }
    let gap = match text.ends_with('\n') {
        _ if text.is_empty() => String::new(),
        true => newline.to_owned(),
        false => newline.repeat(2),
    };
    Some(Splice { range: at..at, text: format!("{gap}[{name}]{newline}{line}") })
}

/// How the text ends its lines.
fn newline(text: &str) -> &'static str {
    match text.find('\n') {
        Some(at) if text.as_bytes().get(at.wrapping_sub(1)) == Some(&b'\r') => "\r\n",
        _ => "\n",
    }
}

fn line_start(text: &str, at: usize) -> usize {
    text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |newline| newline + 1)
}

/// Up to where a removed entry goes: its whole line, or, where a comment follows, up to the comment.
fn line_rest(text: &str, end: usize) -> usize {
    let rest = text.get(end..).unwrap_or("");
    let blanks = rest.len() - rest.trim_start_matches([' ', '\t']).len();
    let behind = rest.get(blanks..).unwrap_or("");
    let newline = if behind.starts_with("\r\n") { 2 } else { usize::from(behind.starts_with('\n')) };
    end + blanks + newline
}

/// The text with all splices in it, and the splices back.
pub(super) fn spliced(text: &str, mut splices: Vec<Splice>) -> (String, Vec<Splice>) {
    splices.sort_by_key(|splice| splice.range.start);
    let mut out = String::with_capacity(text.len() + 64);
    let mut back = Vec::with_capacity(splices.len());
    let mut at = 0;
    for splice in splices {
        let range = splice.range.start.max(at)..splice.range.end.max(at);
        out.push_str(text.get(at..range.start).unwrap_or(""));
        let start = out.len();
        out.push_str(&splice.text);
        back.push(Splice { range: start..out.len(), text: text.get(range.clone()).unwrap_or("").to_owned() });
        at = range.end;
    }
    out.push_str(text.get(at..).unwrap_or(""));
    (out, back)
}

/// The text from before; none when it is too short to be the one that the splices belong to.
pub(super) fn restored(text: &str, back: &[Splice]) -> Option<String> {
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for splice in back {
        out.push_str(text.get(at..splice.range.start)?);
        out.push_str(&splice.text);
        at = splice.range.end;
    }
    out.push_str(text.get(at..)?);
    Some(out)
}
