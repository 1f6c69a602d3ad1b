//! Entries of a list: put in, replaced, taken out, in the list's own manner of writing.

use std::ops::Range;

use document::{Key, Plain, Table, Value};

use super::place::{Place, TableRef};
use super::splice::{self, Splice, line_start};
use super::whole::{self, without_lines};
use super::{Change, ChangeError};
use crate::keys;

/// Plans the change of one entry; `table` is what holds the list.
pub(super) fn splices(
    change: &Change,
    table: Option<&Table<'_>>,
    key: Key,
    kind: Key,
    text: &str,
    newline: &str,
) -> Result<Vec<Splice>, ChangeError> {
    let Place::Entry(name, _, at) = &change.at else { return Ok(Vec::new()) };
    let breaks = |text: String| Err(ChangeError::Breaks { text });
    let Some(list) = table.and_then(|table| table.value(key)) else {
        let Some(to) = &change.to else { return Ok(Vec::new()) };
        if *at != 0 {
            return breaks(format!("`{key}` of {name} has no entry yet"));
        }
        if let Some(root) = table.filter(|_| name.is_document()) {
            return whole::put_in(&TableRef::named(key, ""), to, root, key, text, newline);
        }
        let first = Plain::List(vec![to.clone()]);
        return Ok(vec![match table {
            Some(table) => splice::new_key(table, key, &first, text, newline),
            None => {
                let block = format!("[{kind}]{newline}{key} = {}{newline}", first.literal());
                whole::at_the_end(&block, text, newline)
            }
        }]);
    };
    let Some(entries) = list.is_list().then(|| list.list()).flatten() else {
        return breaks(format!("`{key}` of {name} is no list"));
    };
    match (&change.from, &change.to) {
        (None, None) => Ok(Vec::new()),
        (None, Some(_)) if *at > entries.len() => {
            breaks(format!("`{key}` of {name} has {} entries, none before number {}", entries.len(), at + 1))
        }
        (None, Some(to)) if has_headers(&list, text) => match (entries.get(*at), entries.last()) {
            (Some(next), _) => Ok(vec![headed_before(next, to, text, newline)]),
            (None, Some(last)) => Ok(vec![headed(last, to, text, newline)]),
            (None, None) => Ok(Vec::new()),
        },
        (None, Some(to)) => put_in(&list, *at, &to.literal(), text, newline),
        (Some(_), None) => Ok(match entries.get(*at) {
            Some(entry) => taken_out(&list, entry.span(), text),
            None => Vec::new(),
        }),
        (Some(_), Some(to)) => match entries.get(*at) {
            Some(entry) if has_headers(&list, text) => {
                if let Some(splices) = key_by_key(change, entry, key, text, newline) {
                    return Ok(splices);
                }
                let header = text.get(entry.span()).unwrap_or("");
                let body = format!("{header}{newline}{}", whole::lines(to, newline));
                let mut pieces = entry.pieces().into_iter();
                let first = pieces.next().unwrap_or(entry.span());
                let mut splices = vec![Splice { range: first, text: body.trim_end().to_owned() }];
                splices.extend(pieces.map(|piece| without_lines(piece, text)));
                Ok(splices)
            }
            Some(entry) => Ok(vec![Splice { range: entry.span(), text: to.literal() }]),
            None => Ok(Vec::new()),
        },
    }
}

/// Only the keys of an entry that change, so that its remarks stay; none where its keys are not known.
fn key_by_key(
    change: &Change,
    entry: &Value<'_>,
    list: Key,
    text: &str,
    newline: &str,
) -> Option<Vec<Splice>> {
    let (Some(Plain::Table(from)), Some(to @ Plain::Table(new))) = (&change.from, &change.to) else {
        return None;
    };
    let keys = entry_keys(list)?;
    let table = entry.table(keys)?;
    let mut splices = Vec::new();
    let gone = from.iter().filter(|(name, _)| to.get(name).is_none()).map(|(name, _)| (name, None));
    for (name, to) in new.iter().map(|(name, value)| (name, Some(value))).chain(gone) {
        let was = change.from.as_ref().and_then(|from| from.get(name));
        let same = was.zip(to).is_some_and(|(was, to)| was.difference(to).is_none());
        let key = keys.iter().copied().find(|key| key == name)?;
        if !same {
            splices.push(splice::to_key(to, "", &table, key, text, newline)?);
        }
    }
    Some(splices)
}

/// The keys of the entries of a list of tables.
fn entry_keys(list: Key) -> Option<&'static [Key]> {
    Some(match list {
        "found" => keys::FOUND,
        "cores" => keys::CORE,
        "runs" => keys::RUN,
        "loads" => keys::LOAD,
        "hours" => keys::CUTOVER_HOURS,
        "standby" => keys::STANDBY_WORD,
        "van" => keys::VAN,
        "extension" => keys::EXTENSION,
        _ => return None,
    })
}

/// Whether the entries of a list stand under headers in double brackets.
pub(super) fn has_headers(list: &Value<'_>, text: &str) -> bool {
    let first = list.list().and_then(|entries| entries.first().cloned());
    first.is_some_and(|entry| entry.is_table() && text.as_bytes().get(entry.span().start) == Some(&b'['))
}

/// One more under a header like that of the last.
fn headed(last: &Value<'_>, to: &Plain, text: &str, newline: &str) -> Splice {
    let header = text.get(last.span()).unwrap_or("");
    let block = format!("{header}{newline}{}", whole::lines(to, newline));
    let end = last.pieces().iter().map(|piece| piece.end).max().unwrap_or(last.span().end);
    match text.get(end..).and_then(|rest| rest.find('\n')) {
        Some(line) => Splice { range: end + line + 1..end + line + 1, text: format!("{newline}{block}") },
        None => whole::at_the_end(&block, text, newline),
    }
}

/// One more under a header before another, above the remarks that stand right above that one.
fn headed_before(next: &Value<'_>, to: &Plain, text: &str, newline: &str) -> Splice {
    let header = text.get(next.span()).unwrap_or("");
    let mut at = line_start(text, next.span().start);
    while let Some(above) = at.checked_sub(1).map(|end| line_start(text, end))
        && text.get(above..at).is_some_and(|line| line.trim_start().starts_with('#'))
    {
        at = above;
    }
    Splice { range: at..at, text: format!("{header}{newline}{}{newline}", whole::lines(to, newline)) }
}

/// A new entry: behind the last, or before the one that stands at its number.
pub(super) fn put_in(
    list: &Value<'_>,
    at: usize,
    literal: &str,
    text: &str,
    newline: &str,
) -> Result<Vec<Splice>, ChangeError> {
    let entries = list.list().unwrap_or_default();
    let insert = |at: usize, text: String| Splice { range: at..at, text };
    let Some(last) = entries.last().map(Value::span) else {
        let inside = list.span().start + 1..list.span().end.saturating_sub(1);
        return Ok(match text.get(inside.clone()).is_some_and(|inside| inside.trim().is_empty()) {
            true => vec![Splice { range: inside, text: format!(" {literal} ") }],
            false => vec![insert(inside.start, format!(" {literal}"))],
        });
    };
    if let Some(next) = entries.get(at) {
        let start = next.span().start;
        return Ok(vec![match indent(text, start) {
            Some(indent) => insert(start, format!("{literal},{newline}{indent}")),
            None => insert(start, format!("{literal}, ")),
        }]);
    }
    let comma = comma_behind(text, last.end, list.span().end);
    let end = comma.map_or(last.end, |comma| comma + 1);
    let tail = if comma.is_some() { "," } else { "" };
    let Some(indent) = indent(text, last.start) else {
        return Ok(vec![match comma {
            Some(comma) => insert(comma + 1, format!(" {literal},")),
            None => insert(last.end, format!(", {literal}")),
        }]);
    };
    let rest = text.get(end..list.span().end).unwrap_or("");
    // behind a remark that the last entry has on its line
    let line =
        rest.find('\n').map_or(end, |line| end + rest.get(..line).unwrap_or("").trim_end_matches('\r').len());
    let mut splices = vec![insert(line, format!("{newline}{indent}{literal}{tail}"))];
    if comma.is_none() {
        splices.insert(0, insert(last.end, ",".to_owned()));
    }
    Ok(splices)
}

/// An entry goes, with its comma; remarks stay.
pub(super) fn taken_out(list: &Value<'_>, entry: Range<usize>, text: &str) -> Vec<Splice> {
    let cut = |range: Range<usize>| Splice { range, text: String::new() };
    if has_headers(list, text) {
        let entries = list.list().unwrap_or_default();
        let own = entries.into_iter().find(|other| other.span() == entry);
        return own.map(|own| whole::without_pieces(own.pieces(), text)).unwrap_or_default();
    }
    let entries: Vec<Range<usize>> = list.list().unwrap_or_default().iter().map(Value::span).collect();
    let number = entries.iter().position(|other| *other == entry).unwrap_or(0);
    let is_last = number + 1 == entries.len();
    let comma = comma_behind(text, entry.end, list.span().end);
    let before = number.checked_sub(1).and_then(|before| entries.get(before));
    let mut splices = Vec::new();
    // the comma of the entry before, where this one has none
    if let (None, Some(before)) = (comma, before)
        && let Some(comma) = comma_behind(text, before.end, list.span().end)
    {
        splices.push(cut(comma..comma + 1));
    }
    let own_end = match comma {
        Some(comma) if text.get(entry.end..comma).is_some_and(|gap| gap.trim().is_empty()) => comma + 1,
        Some(comma) => {
            splices.push(cut(comma..comma + 1));
            entry.end
        }
        None => entry.end,
    };
    let blanks = |from: usize| {
        let rest = text.get(from..).unwrap_or("");
        from + rest.len() - rest.trim_start_matches([' ', '\t']).len()
    };
    let range = match indent(text, entry.start) {
        Some(_) if text.get(blanks(own_end)..).is_some_and(|rest| rest.starts_with(['\n', '\r'])) => {
            line_start(text, entry.start)..splice::line_rest(text, own_end)
        }
        _ if !is_last => entry.start..blanks(own_end),
        _ => {
            let kept = text.get(..entry.start).unwrap_or("").trim_end_matches([' ', '\t']);
            let closes =
                before.is_none() && text.get(blanks(own_end)..).is_some_and(|rest| rest.starts_with(']'));
            kept.len()..if closes { blanks(own_end) } else { own_end }
        }
    };
    splices.push(cut(range));
    splices.sort_by_key(|splice| splice.range.start);
    splices
}

/// What an entry that begins its line is indented by; none for one that stands behind something.
fn indent(text: &str, start: usize) -> Option<&str> {
    let before = text.get(line_start(text, start)..start)?;
    before.trim_matches([' ', '\t']).is_empty().then_some(before)
}

/// The comma that follows an entry, over blanks, line ends and remarks; none where the list ends first.
fn comma_behind(text: &str, from: usize, list_end: usize) -> Option<usize> {
    let mut in_remark = false;
    for (at, letter) in text.get(from..list_end)?.char_indices() {
        match letter {
            '\n' => in_remark = false,
            '#' => in_remark = true,
            _ if in_remark => {}
            ',' => return Some(from + at),
            letter if letter.is_whitespace() => {}
            _ => return None,
        }
    }
    None
}
