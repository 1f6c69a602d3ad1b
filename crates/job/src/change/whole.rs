//! Whole tables: put in behind those of their kind, taken out, replaced.

use std::ops::Range;

use document::{Document, Key, Plain, Shape, Source, Table, Value, key_literal};

use super::place::{TableRef, id_of};
use super::splice::{Splice, line_start, newline};
use super::{Change, ChangeError, list};
use crate::keys;

/// Plans the change of a whole table; `table` is what stands there now.
pub(super) fn splices(
    change: &Change,
    table: Option<&Table<'_>>,
    root: &Table<'_>,
    kind: Key,
    text: &str,
    newline: &str,
) -> Result<Vec<Splice>, ChangeError> {
    let name = change.at.table();
    if let Some(to) = &change.to {
        named_rightly(name, kind, to)?;
    }
    match (table, &change.to) {
        (None, None) => Ok(Vec::new()),
        (None, Some(to)) => put_in(name, to, root, kind, text, newline),
        (Some(table), None) => Ok(taken_out(name, table, root, kind, text)),
        (Some(table), Some(to)) if table.shape() == Shape::Braces => {
            Ok(vec![Splice { range: table.span(), text: to.literal() }])
        }
        (Some(table), Some(to)) => {
            let block = block(name, kind, to, newline);
            let mut pieces = table.pieces().into_iter();
            let first = pieces.next().unwrap_or(table.span());
            let mut splices = vec![Splice { range: first, text: block.trim_end().to_owned() }];
            splices.extend(pieces.map(|piece| without_lines(piece, text)));
            Ok(splices)
        }
    }
}

/// The key that names a table must say what the change calls it.
fn named_rightly(name: &TableRef, kind: Key, to: &Plain) -> Result<(), ChangeError> {
    let breaks = |text: String| Err(ChangeError::Breaks { text });
    if !matches!(to, Plain::Table(_)) {
        return breaks(format!("{name} is a table, not the {to}"));
    }
    match (name, TableRef::id_key(kind)) {
        (TableRef::Named(_, id), Some(key)) if to.get(key).and_then(id_of).as_ref() != Some(id) => {
            breaks(format!("the `{key}` of the new table is not `{id}`"))
        }
        _ => Ok(()),
    }
}

pub(super) fn put_in(
    name: &TableRef,
    to: &Plain,
    root: &Table<'_>,
    kind: Key,
    text: &str,
    newline: &str,
) -> Result<Vec<Splice>, ChangeError> {
    let block = block(name, kind, to, newline);
    let stands = matches!(name, TableRef::Named(..)).then(|| root.value(kind)).flatten();
    if let Some(tables) = &stands
        && !list::has_headers(tables, text)
    {
        let items = tables.list().unwrap_or_default();
        return list::put_in(tables, items.len(), &to.literal(), text, newline);
    }
    // behind the last of its kind, else behind the last of those that the format has before it
    let before = keys::JOB.iter().take_while(|key| **key != kind).filter_map(|key| root.value(key));
    let end = stands.into_iter().chain(before.collect::<Vec<_>>().into_iter().rev());
    let end = match name {
        TableRef::Named(..) => end.filter_map(|value| end_of_headers(&value, text)).next(),
        TableRef::Single(_) => None,
    };
    Ok(vec![match end.and_then(|end| Some(end + text.get(end..)?.find('\n')? + 1)) {
        Some(at) => Splice { range: at..at, text: format!("{newline}{block}") },
        None => at_the_end(&block, text, newline),
    }])
}

/// Plans to put a table back at a number, as it stood in the text before; none where it simply goes to the end.
pub(super) fn put_back(
    change: &Change,
    number: usize,
    root: &Table<'_>,
    source: &Source,
    was: &Source,
) -> Option<Vec<Splice>> {
    let (text, newline) = (source.text(), newline(source.text()));
    let (name, to) = (change.at.table(), change.to.as_ref()?);
    let (kind, _) = name.format()?;
    let tables = root.value(kind)?;
    if !list::has_headers(&tables, text) {
        return list::put_in(&tables, number, &to.literal(), text, newline).ok();
    }
    let block = stood(name, to, was).unwrap_or_else(|| block(name, kind, to, newline));
    let entries = tables.list()?;
    let Some(next) = entries.get(number) else {
        let at = end_of_headers(&tables, text)?;
        let Some(line) = text.get(at..)?.find('\n') else {
            return Some(vec![at_the_end(&block, text, newline)]);
        };
        let at = at + line + 1;
        return Some(vec![Splice { range: at..at, text: format!("{newline}{block}") }]);
    };
    // over the remarks right above the next one, which are its own
    let mut at = line_start(text, next.pieces().iter().map(|piece| piece.start).min()?);
    while let Some(above) = at.checked_sub(1).map(|newline| line_start(text, newline))
        && text.get(above..at)?.trim_start().starts_with('#')
    {
        at = above;
    }
    Some(vec![Splice { range: at..at, text: format!("{block}{newline}") }])
}

/// The lines of a table as they stood in a text, with their remarks; none where they do not stand together, or say
/// something else.
fn stood(name: &TableRef, to: &Plain, was: &Source) -> Option<String> {
    let document = Document::parse(was);
    let root = document.root("", keys::JOB);
    let (kind, own_keys) = name.format()?;
    let (TableRef::Named(_, id), id_key) = (name, TableRef::id_key(kind)?) else { return None };
    let tables = root.tables(kind, own_keys);
    let table = tables
        .iter()
        .find(|table| table.value(id_key).and_then(|value| id_of(&value.plain())).as_ref() == Some(id))?;
    let splices = taken_out(name, table, &root, kind, was.text());
    let [Splice { range, .. }] = splices.as_slice() else { return None };
    let lines = was.text().get(range.clone())?.trim_start_matches(['\n', '\r']);
    let ended =
        if lines.ends_with('\n') { lines.to_owned() } else { format!("{lines}{}", newline(was.text())) };
    let alone = Source::new("", ended.as_str());
    let says = Document::parse(&alone).plain();
    (says.difference(&Plain::Table(vec![(kind.to_owned(), Plain::List(vec![to.clone()]))])).is_none())
        .then_some(ended)
}

/// A block of its own at the end of the file.
pub(super) fn at_the_end(block: &str, text: &str, newline: &str) -> Splice {
    let gap = match text.ends_with('\n') {
        _ if text.is_empty() => String::new(),
        true => newline.to_owned(),
        false => newline.repeat(2),
    };
    Splice { range: text.len()..text.len(), text: format!("{gap}{block}") }
}

/// Where the last entry ends of a table or tables that stand under headers.
fn end_of_headers(value: &Value<'_>, text: &str) -> Option<usize> {
    let tables = if value.is_list() { value.list()? } else { vec![value.clone()] };
    let headed =
        |value: &Value<'_>| value.is_table() && text.as_bytes().get(value.span().start) == Some(&b'[');
    tables.iter().filter(|table| headed(table)).flat_map(Value::pieces).map(|piece| piece.end).max()
}

/// The table under a header of its own.
fn block(name: &TableRef, kind: Key, to: &Plain, newline: &str) -> String {
    let header = match name {
        TableRef::Single(_) => format!("[{kind}]"),
        TableRef::Named(..) => format!("[[{kind}]]"),
    };
    format!("{header}{newline}{}", lines(to, newline))
}

/// The keys of a table, a line each.
pub(super) fn lines(table: &Plain, newline: &str) -> String {
    let Plain::Table(entries) = table else { return String::new() };
    entries
        .iter()
        .map(|(key, value)| format!("{} = {}{newline}", key_literal(key), value.literal()))
        .collect()
}

fn taken_out(name: &TableRef, table: &Table<'_>, root: &Table<'_>, kind: Key, text: &str) -> Vec<Splice> {
    match (name, table.shape()) {
        (TableRef::Named(..), Shape::Braces) => match root.value(kind) {
            Some(tables) => list::taken_out(&tables, table.span(), text),
            None => Vec::new(),
        },
        (TableRef::Single(_), Shape::Braces) => {
            let whole = root.entries().into_iter().find(|entry| entry.key == kind);
            whole.map(|entry| without_lines(entry.start..entry.end, text)).into_iter().collect()
        }
        (_, Shape::Dotted) => {
            table.entries().iter().map(|entry| without_lines(entry.start..entry.end, text)).collect()
        }
        _ => without_pieces(table.pieces(), text),
    }
}

/// What stands under headers goes, with one blank line above, as it came; remarks between its pieces go too.
pub(super) fn without_pieces(pieces: Vec<Range<usize>>, text: &str) -> Vec<Splice> {
    let mut whole: Vec<Range<usize>> = Vec::new();
    for piece in pieces {
        let remark = |line: &str| line.trim_start().is_empty() || line.trim_start().starts_with('#');
        let joins = |last: &Range<usize>| {
            let gap = text.get(last.end..piece.start)?;
            Some(gap.lines().all(remark))
        };
        match whole.last_mut() {
            Some(last) if joins(last) == Some(true) => last.end = piece.end,
            _ => whole.push(piece),
        }
    }
    let mut splices: Vec<Splice> = whole.into_iter().map(|piece| without_lines(piece, text)).collect();
    if let Some(first) = splices.first_mut() {
        first.range.start = without_blank_line(first.range.start, text);
    }
    splices
}

/// The whole lines of a piece, with what stands behind it on its last line.
pub(super) fn without_lines(piece: Range<usize>, text: &str) -> Splice {
    let end =
        text.get(piece.end..).and_then(|rest| rest.find('\n')).map_or(text.len(), |at| piece.end + at + 1);
    Splice { range: line_start(text, piece.start)..end, text: String::new() }
}

fn without_blank_line(start: usize, text: &str) -> usize {
    let before = start.checked_sub(1).map(|newline| line_start(text, newline));
    match before.and_then(|from| Some((from, text.get(from..start)?))) {
        Some((from, line)) if line.trim().is_empty() => from,
        _ => start,
    }
}
