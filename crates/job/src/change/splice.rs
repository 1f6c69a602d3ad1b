//! Where in a text a change goes, and how it gets there and back.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use document::{Key, Plain, Shape, Source, Table};

use super::place::{INSIDE, Place, TableRef, id_of};
use super::{Change, ChangeError, Noted, list, whole};

/// A piece of text in place of another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Splice {
    /// The bytes that go.
    pub(super) range: Range<usize>,
    /// What comes.
    pub(super) text: String,
}

/// The changes cut into steps: keys that stand for themselves go in at once, everything else one by one, because
/// what comes later counts in a text that has it already.
pub(super) fn steps(changes: &[Noted]) -> Result<Vec<&[Noted]>, ChangeError> {
    let mut seen = BTreeSet::new();
    for change in changes.iter().map(|noted| &noted.change) {
        if matches!(change.at, Place::Key(..)) && !seen.insert(&change.at) {
            return Err(ChangeError::Twice { at: Box::new(change.at.clone()) });
        }
    }
    // What comes behind a new name calls the table by it.
    let alone =
        |noted: &Noted| !matches!(noted.change.at, Place::Key(..)) || noted.change.at.names_its_table();
    Ok(changes.chunk_by(|one, next| !alone(one) && !alone(next)).collect())
}

/// Plans one step without touching the text; `stands` is the plain form of that text.
pub(super) fn splices(
    step: &[Noted],
    source: &Source,
    root: &Table<'_>,
    stands: &Plain,
) -> Result<Vec<Splice>, ChangeError> {
    let text = source.text();
    let newline = newline(text);
    let mut splices = Vec::new();
    let mut tables = Tables { root, named: BTreeMap::new() };
    let mut made: BTreeSet<&TableRef> = BTreeSet::new();
    for Noted { change, note } in step {
        let name = change.at.table();
        let Some((kind, keys)) = name.format().filter(|_| name.may(&change.at)) else {
            return Err(match &change.at {
                Place::Table(table) => ChangeError::NoSuchTable { table: table.clone() },
                Place::Key(_, key) | Place::Entry(_, key, _) => no_key(name, key),
            });
        };
        let table = tables.find(name, kind, keys);
        if table.is_none() && matches!(name, TableRef::Named(..)) && !puts_a_table(change) {
            return Err(ChangeError::NoTable { table: name.clone() });
        }
        agree(change, stands)?;
        match &change.at {
            Place::Table(_) => {
                splices.extend(whole::splices(change, table.as_ref(), root, kind, text, newline)?);
            }
            Place::Key(_, key) => {
                let key = known(keys, name, key)?;
                match table {
                    Some(table) => splices.extend(in_table(change, note, &table, key, text, newline)),
                    None => splices.extend(first_key(change, key, made.insert(name), kind, text, newline)),
                }
            }
            Place::Entry(_, key, _) => {
                let key = known(keys, name, key)?;
                splices.extend(list::splices(change, table.as_ref(), key, kind, text, newline)?);
            }
        }
    }
    Ok(splices)
}

/// The tables of a text as they are asked for, each kind opened once.
struct Tables<'t, 'd> {
    root: &'t Table<'d>,
    named: BTreeMap<Key, BTreeMap<String, Table<'d>>>,
}

impl<'d> Tables<'_, 'd> {
    /// Of two with one id the first.
    fn find(&mut self, name: &TableRef, kind: Key, keys: &'static [Key]) -> Option<Table<'d>> {
        if name.is_document() {
            return Some(self.root.clone());
        }
        if name.is_inside() {
            let (_, outer) = TableRef::single(INSIDE.outer).format()?;
            return self.root.table(INSIDE.outer, outer)?.table(INSIDE.key, keys);
        }
        let TableRef::Named(_, id) = name else { return self.root.table(kind, keys) };
        let id_key = TableRef::id_key(kind)?;
        let named = self.named.entry(kind).or_insert_with(|| {
            let mut named = BTreeMap::new();
            for table in self.root.tables(kind, keys) {
                if let Some(id) = table.value(id_key).and_then(|value| id_of(&value.plain())) {
                    named.entry(id).or_insert(table);
                }
            }
            named
        });
        named.get(id).cloned()
    }
}

fn puts_a_table(change: &Change) -> bool {
    matches!(change.at, Place::Table(_)) && change.from.is_none()
}

fn known(keys: &[Key], table: &TableRef, key: &str) -> Result<Key, ChangeError> {
    keys.iter().copied().find(|known| *known == key).ok_or_else(|| no_key(table, key))
}

fn no_key(table: &TableRef, key: &str) -> ChangeError {
    ChangeError::NoKey { table: table.clone(), key: key.to_owned() }
}

/// What stands there must be what the change expects. An entry that is put into a list expects nothing.
fn agree(change: &Change, stands: &Plain) -> Result<(), ChangeError> {
    let stands = match (&change.at, &change.from) {
        (Place::Entry(..), None) => None,
        _ => change.at.value(stands),
    };
    let agrees = match (stands, &change.from) {
        (None, None) => true,
        (Some(stands), Some(expected)) => stands.difference(expected).is_none(),
        _ => false,
    };
    if agrees {
        return Ok(());
    }
    let said = |value: Option<&Plain>| value.map_or("absent".to_owned(), |value| format!("the {value}"));
    Err(ChangeError::Conflict {
        at: Box::new(change.at.clone()),
        stands: said(stands),
        expected: said(change.from.as_ref()),
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
    to_key(change.to.as_ref(), note, table, key, text, newline)
}

/// Puts a value under a key of a table, or takes it out.
pub(super) fn to_key(
    to: Option<&Plain>,
    note: &str,
    table: &Table<'_>,
    key: Key,
    text: &str,
    newline: &str,
) -> Option<Splice> {
    let entries = table.entries();
    let at = entries.iter().position(|entry| entry.key == key);
    match (at, to) {
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

/// A key in a table, as text that goes to its end or into its braces.
pub(super) fn new_key(table: &Table<'_>, key: Key, value: &Plain, text: &str, newline: &str) -> Splice {
    let literal = value.literal();
    inserted(table, key, [&literal, &literal], text, newline)
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

/// The first key of a table that is not there yet brings it; a second one follows the first.
fn first_key(change: &Change, key: Key, first: bool, kind: Key, text: &str, newline: &str) -> Option<Splice> {
    let value = change.to.as_ref()?;
    let line = format!("{key} = {}{newline}", value.literal());
    if !first {
        return Some(Splice { range: text.len()..text.len(), text: line });
    }
    Some(whole::at_the_end(&format!("[{kind}]{newline}{line}"), text, newline))
}

/// How the text ends its lines.
pub(super) fn newline(text: &str) -> &'static str {
    match text.find('\n') {
        Some(at) if text.as_bytes().get(at.wrapping_sub(1)) == Some(&b'\r') => "\r\n",
        _ => "\n",
    }
}

pub(super) fn line_start(text: &str, at: usize) -> usize {
    text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |newline| newline + 1)
}

/// Up to where a removed entry goes: its whole line, or, where a comment follows, up to the comment.
pub(super) fn line_rest(text: &str, end: usize) -> usize {
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
