//! How a table is written, and what a document holds value by value: what a change to the text needs.

use std::collections::BTreeMap;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::syntax::Document;
use crate::table::{Key, Table};

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

    /// How the value of a key is told apart from others: kind and text, without its spelling.
    #[must_use]
    pub fn fingerprint(&self, key: Key) -> Option<String> {
        self.values.get(key).map(|value| fingerprint(value.get_ref()))
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

/// Kind and decoded text of a value; of a list or table only the kind.
fn fingerprint(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => format!("text {text}"),
        DeValue::Integer(number) => match i64::from_str_radix(number.as_str(), number.radix()) {
            Ok(value) => format!("integer {value}"),
            Err(_) => format!("integer {number}"),
        },
        DeValue::Float(number) => format!("number {number}"),
        DeValue::Boolean(value) => format!("boolean {value}"),
        DeValue::Datetime(value) => format!("date {value}"),
        DeValue::Array(_) => "list".to_owned(),
        DeValue::Table(_) => "table".to_owned(),
    }
}

impl Document<'_> {
    /// Every value of the document by its path (`circuit[3].input`) with its fingerprint.
    #[must_use]
    pub fn leaves(&self) -> BTreeMap<String, String> {
        let mut leaves = BTreeMap::new();
        collect("", self.values(), &mut leaves);
        leaves
    }
}

fn collect(path: &str, table: &DeTable<'_>, leaves: &mut BTreeMap<String, String>) {
    for (key, value) in table {
        let key = key.get_ref();
        collect_value(if path.is_empty() { key.to_string() } else { format!("{path}.{key}") }, value, leaves);
    }
}

fn collect_value(path: String, value: &Spanned<DeValue<'_>>, leaves: &mut BTreeMap<String, String>) {
    match value.get_ref() {
        DeValue::Table(table) => collect(&path, table, leaves),
        DeValue::Array(array) => {
            for (at, value) in array.iter().enumerate() {
                collect_value(format!("{path}[{at}]"), value, leaves);
            }
        }
        _ => {}
    }
    leaves.insert(path, fingerprint(value.get_ref()));
}
