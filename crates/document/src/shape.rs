//! How a table is written in its text: what a change to the text needs.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::table::Table;

/// How a table is written in its text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shape {
    /// The document itself.
    Root,
    /// Under a header, `[site]` or `[[circuit]]`.
    Header,
    /// In braces.
    Braces,
    /// Key by key, as `site.name = "x"`.
    Dotted,
}

/// An entry of a table: where its key begins and where its value ends.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Entry {
    /// The key.
    pub key: String,
    /// Its first byte.
    pub start: usize,
    /// The byte behind its value.
    pub end: usize,
}

impl Table<'_> {
    /// How it is written.
    #[must_use]
    pub fn shape(&self) -> Shape {
        let text = self.source.text().as_bytes();
        match text.get(self.span.start) {
            _ if self.span.is_empty() => Shape::Root,
            Some(b'[') => Shape::Header,
            Some(b'{') => Shape::Braces,
            _ => Shape::Dotted,
        }
    }

    /// The entries that stand in its own body, in the order of the text; not the tables under headers of
    /// their own.
    #[must_use]
    pub fn entries(&self) -> Vec<Entry> {
        let mut entries: Vec<Entry> = self
            .values
            .iter()
            .filter_map(|(key, value)| {
                let end = entry_end(key, value, self.source.text())?;
                Some(Entry { key: key.get_ref().to_string(), start: key.span().start, end })
            })
            .collect();
        entries.sort_by_key(|entry| entry.start);
        entries
    }

    /// The pieces of text that it is written in: its header with the entries under it, then every table below it
    /// that has a header of its own. What stands in braces or key by key is one piece.
    #[must_use]
    pub fn pieces(&self) -> Vec<Range<usize>> {
        pieces(self.span.clone(), self.values, self.source.text())
    }
}

pub(crate) fn pieces(span: Range<usize>, values: &DeTable<'_>, text: &str) -> Vec<Range<usize>> {
    let mut pieces = Vec::new();
    if text.as_bytes().get(span.start) == Some(&b'{') {
        return vec![span];
    }
    pieces_of(span, values, text, &mut pieces);
    pieces
}

fn pieces_of(span: Range<usize>, values: &DeTable<'_>, text: &str, pieces: &mut Vec<Range<usize>>) {
    let ends = values.iter().filter_map(|(key, value)| entry_end(key, value, text));
    let end = ends.max().unwrap_or(span.end).max(span.end);
    pieces.push(span.start..end);
    for (_, value) in values.iter().filter(|(key, value)| entry_end(key, value, text).is_none()) {
        match value.get_ref() {
            DeValue::Table(table) => pieces_of(value.span(), table, text, pieces),
            DeValue::Array(array) => {
                for item in array.iter() {
                    if let DeValue::Table(table) = item.get_ref() {
                        pieces_of(item.span(), table, text, pieces);
                    }
                }
            }
            _ => {}
        }
    }
}

/// Where an entry ends; none for what stands under a header of its own.
fn entry_end(
    key: &Spanned<toml::de::DeString<'_>>,
    value: &Spanned<DeValue<'_>>,
    text: &str,
) -> Option<usize> {
    if key.span().end <= value.span().start {
        return Some(value.span().end);
    }
    if text.as_bytes().get(value.span().start) == Some(&b'[') {
        return None;
    }
    let DeValue::Table(table) = value.get_ref() else { return None };
    table.iter().filter_map(|(key, value)| entry_end(key, value, text)).max()
}
