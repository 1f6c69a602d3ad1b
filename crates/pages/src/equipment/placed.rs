//! Which field of a form an error in the drafted job belongs to: the one at whose value it points.

use document::{Document, Plain, Problem, Source};

use super::form::{Sent, Wrong};
use super::tables::{Field, Kind, Table};

/// The key of the field, and what to say there; an empty key for what is no field of the form.
pub(super) fn placed(
    draft: &Source,
    problem: &Problem,
    (table, of): (&Table, &str),
    sent: &Sent,
) -> (String, Wrong) {
    let complaint = draft.complaint(problem);
    let mut wrong = Wrong::of(&complaint);
    if let Some(needed) = needed(&complaint.text, table, sent) {
        return (needed.key.to_owned(), Wrong::said(format!("{} is needed.", needed.label), ""));
    }
    let own = |key: &String| field(table, sent, key).is_some() || table.id.is_some_and(|(id, _)| id == key);
    let Some(key) = key_at(draft, problem.span.start, (table, of), sent).filter(own) else {
        return (String::new(), wrong);
    };
    wrong.line = None;
    if field(table, sent, &key).is_some_and(|field| field.kind == Kind::Network) {
        // The text begins behind its first quote.
        let line = draft.line(complaint.line);
        let before = line.split_once('=').map_or(0, |(name, value)| {
            name.chars().count()
                + 1
                + value.chars().take_while(|letter| !matches!(letter, '"' | '\'')).count()
                + 1
        });
        wrong.column = complaint.column.checked_sub(before).filter(|column| *column > 0);
    }
    (key, wrong)
}

/// A field of the form by its key.
fn field(table: &Table, sent: &Sent, key: &str) -> Option<&'static Field> {
    match &sent.entry {
        Some((list, _)) => table.list(list)?.fields.iter().find(|field| field.key == key),
        None => table.field(key),
    }
}

/// The field that a complaint misses: `cutover.hours has no `building``.
fn needed(text: &str, table: &Table, sent: &Sent) -> Option<&'static Field> {
    field(table, sent, text.split_once("has no `")?.1.strip_suffix('`')?)
}

/// The key at whose value a byte of a text stands, in what the form is about; none where it stands elsewhere.
fn key_at(draft: &Source, at: usize, (table, of): (&Table, &str), sent: &Sent) -> Option<String> {
    let keys = |name: &str| job::TABLES.iter().find(|(table, _)| *table == name).map(|(_, keys)| *keys);
    let document = Document::parse(draft);
    let root = document.root("", keys("job")?);
    let own = match (table.id, table.name.split_once('.')) {
        _ if table.name == "job" => root,
        (Some((id, _)), _) => {
            let is_it = |one: &document::Table<'_>| match one.value(id).map(|value| value.plain()) {
                Some(Plain::Text(text)) => text == of,
                Some(Plain::Integer(number)) => number.to_string() == of,
                _ => false,
            };
            root.tables(table.name, keys(table.name)?).into_iter().find(is_it)?
        }
        (None, Some((outer, key))) => {
            root.table(outer, keys(outer)?)?.table(key, keys(&table.name.replace('.', "_"))?)?
        }
        (None, None) => root.table(table.name, keys(table.name)?)?,
    };
    let own = match &sent.entry {
        None => own,
        Some((list, number)) => {
            let list = table.list(list)?;
            let mut all = own.list(list.key);
            let own = match number {
                Some(number) if *number < all.len() => all.swap_remove(*number),
                _ => all.pop()?,
            };
            own.table(keys(list.entry)?)?
        }
    };
    let entries = own.entries();
    entries.into_iter().find(|entry| (entry.start..entry.end).contains(&at)).map(|entry| entry.key)
}
