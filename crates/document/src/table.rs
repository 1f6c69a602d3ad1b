//! A table of a text: its keys are checked when it is opened, its values when they are asked for.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use crate::located::Located;
use crate::problem::{Misread, Problems};
use crate::source::Source;
use crate::spelling::{list, nearest};
use crate::value::Value;

/// The name of a key in a format.
pub type Key = &'static str;

/// A table that may hold a given list of keys.
#[derive(Clone, Debug)]
pub struct Table<'d> {
    pub(crate) source: &'d Source,
    problems: &'d Problems,
    pub(crate) values: &'d DeTable<'d>,
    pub(crate) span: Range<usize>,
    name: String,
    keys: &'static [Key],
}

impl<'d> Table<'d> {
    /// Opens a table and reports every key that is not on the list.
    pub(crate) fn open(
        source: &'d Source,
        problems: &'d Problems,
        values: &'d DeTable<'d>,
        span: Range<usize>,
        name: &str,
        keys: &'static [Key],
    ) -> Self {
        for key in values.keys().filter(|key| !keys.contains(&key.get_ref().as_ref())) {
            let written = key.get_ref();
            let hint = nearest(written, keys.iter().copied());
            let hint = hint.map_or(String::new(), |key| format!(", did you mean `{key}`?"));
            let place = if name.is_empty() { String::new() } else { format!(" in {name}") };
            problems.report(
                key.span(),
                format!("unknown key `{written}`{place}{hint}"),
                list(keys.iter().copied()),
            );
        }
        Self { source, problems, values, span, name: name.to_owned(), keys }
    }

    /// Where it begins: its header, or its braces.
    #[must_use]
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// The list into which errors go.
    #[must_use]
    pub fn problems(&self) -> &'d Problems {
        self.problems
    }

    /// The text that it stands in.
    #[must_use]
    pub fn source(&self) -> &'d Source {
        self.source
    }

    /// The value of a key, whatever it is.
    #[must_use]
    pub fn value(&self, key: Key) -> Option<Value<'d>> {
        debug_assert!(self.keys.contains(&key), "`{key}` is not on the list of {}", self.name);
        let value = self.values.get(key)?;
        let name = if self.name.is_empty() { key.to_owned() } else { format!("{}.{key}", self.name) };
        Some(Value {
            source: self.source,
            problems: self.problems,
            value: value.get_ref(),
            span: value.span(),
            name,
        })
    }

    /// Whether a key is there, readable or not.
    #[must_use]
    pub fn has(&self, key: Key) -> bool {
        self.values.contains_key(key)
    }

    /// How many values stand under a key: the length of a list, 1 for anything else. Reports nothing.
    #[must_use]
    pub fn how_many(&self, key: Key) -> usize {
        match self.values.get(key).map(|value| value.get_ref()) {
            None => 0,
            Some(DeValue::Array(array)) => array.len(),
            Some(_) => 1,
        }
    }

    /// Where the key itself stands (not its value).
    #[must_use]
    pub fn key_span(&self, key: Key) -> Option<Range<usize>> {
        self.values.get_key_value(key).map(|(key, _)| key.span())
    }

    /// The value of a key that must be there.
    #[must_use]
    pub fn required(&self, key: Key) -> Option<Value<'d>> {
        let value = self.value(key);
        if value.is_none() {
            let place = if self.name.is_empty() { String::new() } else { format!("{} has no ", self.name) };
            let text =
                if place.is_empty() { format!("`{key}` is missing") } else { format!("{place}`{key}`") };
            self.problems.report_missing(self.span(), text, format!("a line `{key} = ...`"));
        }
        value
    }

    /// A string.
    #[must_use]
    pub fn text(&self, key: Key) -> Option<Located<String>> {
        self.value(key)?.text()
    }

    /// A string that `read` understands; the caret of an error points into it.
    pub fn read<T>(
        &self,
        key: Key,
        example: &str,
        read: impl FnOnce(&str) -> Result<T, Misread>,
    ) -> Option<Located<T>> {
        self.value(key)?.read(example, read)
    }

    /// One word of a list.
    #[must_use]
    pub fn word<T: Clone>(&self, key: Key, words: &[(&str, T)]) -> Option<Located<T>> {
        self.value(key)?.word(words)
    }

    /// `true` or `false`.
    #[must_use]
    pub fn yes_or_no(&self, key: Key) -> Option<Located<bool>> {
        self.value(key)?.yes_or_no()
    }

    /// A whole number within limits.
    #[must_use]
    pub fn whole(&self, key: Key, least: i64, most: i64) -> Option<Located<i64>> {
        self.value(key)?.whole(least, most)
    }

    /// A number within limits.
    #[must_use]
    pub fn number(&self, key: Key, least: f64, most: f64) -> Option<Located<f64>> {
        self.value(key)?.number(least, most)
    }

    /// A list; empty when the key is not there.
    #[must_use]
    pub fn list(&self, key: Key) -> Vec<Value<'d>> {
        self.value(key).and_then(|value| value.list()).unwrap_or_default()
    }

    /// A list of strings; empty when the key is not there.
    #[must_use]
    pub fn texts(&self, key: Key) -> Vec<Located<String>> {
        self.list(key).iter().filter_map(Value::text).collect()
    }

    /// The one table under a key (`[site]`), which may hold these keys.
    #[must_use]
    pub fn table(&self, key: Key, keys: &'static [Key]) -> Option<Table<'d>> {
        let value = self.value(key)?;
        if matches!(value.value, DeValue::Array(_)) {
            let wanted = format!("one table, `[{key}]` in single brackets");
            self.problems.report(value.span(), format!("{} stands here as a list", value.name), wanted);
            return None;
        }
        value.table(keys)
    }

    /// All tables under a key (`[[circuit]]`), which may hold these keys.
    #[must_use]
    pub fn tables(&self, key: Key, keys: &'static [Key]) -> Vec<Table<'d>> {
        let Some(value) = self.value(key) else { return Vec::new() };
        if matches!(value.value, DeValue::Table(_)) {
            let wanted = format!("`[[{key}]]` in double brackets, once for each");
            self.problems.report(
                value.span(),
                format!("{} stands here as a single table", value.name),
                wanted,
            );
            return Vec::new();
        }
        value.list().unwrap_or_default().iter().filter_map(|item| item.table(keys)).collect()
    }
}
