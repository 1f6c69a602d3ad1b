//! A value as plain data, without its place and its spelling: what two texts are compared by, and what a
//! change puts into one.

use std::collections::BTreeMap;
use std::fmt;

use toml::de::{DeTable, DeValue};

use crate::syntax::Document;
use crate::value::Value;

/// A value, whatever it is.
#[derive(Clone, PartialEq, Debug)]
pub enum Plain {
    /// Text.
    Text(String),
    /// A whole number.
    Integer(i64),
    /// A number with a decimal point.
    Number(f64),
    /// `true` or `false`.
    Bool(bool),
    /// A date or a time, or a number beyond all of ours, as written.
    Written(String),
    /// A list.
    List(Vec<Plain>),
    /// A table: its keys, each once, with their values.
    Table(Vec<(String, Plain)>),
}

impl Plain {
    /// A table of these keys.
    #[must_use]
    pub fn table<'k>(entries: impl IntoIterator<Item = (&'k str, Plain)>) -> Self {
        Self::Table(entries.into_iter().map(|(key, value)| (key.to_owned(), value)).collect())
    }

    /// The value under a key, where this is a table that has it.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Plain> {
        let Self::Table(entries) = self else { return None };
        entries.iter().find(|(name, _)| name == key).map(|(_, value)| value)
    }

    /// The value as TOML on one line.
    #[must_use]
    pub fn literal(&self) -> String {
        match self {
            Self::Text(text) => quoted(text),
            Self::Integer(number) => number.to_string(),
            Self::Number(number) => decimal(*number),
            Self::Bool(value) => value.to_string(),
            Self::Written(written) => written.clone(),
            Self::List(items) => {
                let all: Vec<String> = items.iter().map(Self::literal).collect();
                match items.iter().any(|item| matches!(item, Self::Table(_))) {
                    true => format!("[ {} ]", all.join(", ")),
                    false => format!("[{}]", all.join(", ")),
                }
            }
            Self::Table(entries) if entries.is_empty() => "{}".to_owned(),
            Self::Table(entries) => {
                let entry =
                    |(key, value): &(String, Self)| format!("{} = {}", key_literal(key), value.literal());
                format!("{{ {} }}", entries.iter().map(entry).collect::<Vec<_>>().join(", "))
            }
        }
    }

    /// Where two values differ, as a path from here (`circuit[3].input`); none when they are equal. The order of
    /// keys in a table is no difference, the order of a list is.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Option<String> {
        difference("", self, other)
    }
}

/// As a person would say it: the kind, and of what is short the value.
impl fmt::Display for Plain {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text(text) => write!(out, "text {text}"),
            Self::Integer(number) => write!(out, "integer {number}"),
            Self::Number(number) => write!(out, "number {number}"),
            Self::Bool(value) => write!(out, "boolean {value}"),
            Self::Written(written) => write!(out, "value {written}"),
            Self::List(_) => write!(out, "list {}", self.literal()),
            Self::Table(_) => write!(out, "table {}", self.literal()),
        }
    }
}

impl Document<'_> {
    /// Everything that the document holds.
    #[must_use]
    pub fn plain(&self) -> Plain {
        table(self.values())
    }
}

impl Value<'_> {
    /// The value without its place and its spelling.
    #[must_use]
    pub fn plain(&self) -> Plain {
        plain(self.value)
    }
}

/// A key as TOML: bare where it may be.
#[must_use]
pub fn key_literal(key: &str) -> String {
    let bare = |letter: char| letter.is_ascii_alphanumeric() || matches!(letter, '-' | '_');
    if !key.is_empty() && key.chars().all(bare) { key.to_owned() } else { quoted(key) }
}

/// The keys in the order of the text.
fn table(values: &DeTable<'_>) -> Plain {
    let mut entries: Vec<_> = values.iter().collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    let entry = |(key, value): (&toml::Spanned<toml::de::DeString<'_>>, &toml::Spanned<DeValue<'_>>)| {
        (key.get_ref().to_string(), plain(value.get_ref()))
    };
    Plain::Table(entries.into_iter().map(entry).collect())
}

fn plain(value: &DeValue<'_>) -> Plain {
    match value {
        DeValue::String(text) => Plain::Text(text.to_string()),
        DeValue::Integer(number) => match i64::from_str_radix(number.as_str(), number.radix()) {
            Ok(value) => Plain::Integer(value),
            Err(_) => Plain::Written(number.to_string()),
        },
        DeValue::Float(number) => match number.as_str().parse() {
            Ok(value) => Plain::Number(value),
            Err(_) => Plain::Written(number.to_string()),
        },
        DeValue::Boolean(value) => Plain::Bool(*value),
        DeValue::Datetime(value) => Plain::Written(value.to_string()),
        DeValue::Array(array) => Plain::List(array.iter().map(|item| plain(item.get_ref())).collect()),
        DeValue::Table(values) => table(values),
    }
}

fn keyed(entries: &[(String, Plain)]) -> BTreeMap<&str, &Plain> {
    entries.iter().map(|(key, value)| (key.as_str(), value)).collect()
}

fn difference(path: &str, one: &Plain, other: &Plain) -> Option<String> {
    match (one, other) {
        (Plain::Table(one), Plain::Table(other)) => {
            let (one, other) = (keyed(one), keyed(other));
            let below = |key: &str| if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") };
            let lost = one.keys().find(|key| !other.contains_key(*key)).map(|key| below(key));
            let differs = || {
                other.iter().find_map(|(key, value)| match one.get(key) {
                    Some(was) => difference(&below(key), was, value),
                    None => Some(below(key)),
                })
            };
            lost.or_else(differs)
        }
        (Plain::List(one), Plain::List(other)) => {
            let pairs = one.iter().zip(other).enumerate();
            let differs = pairs
                .into_iter()
                .find_map(|(at, (one, other))| difference(&format!("{path}[{at}]"), one, other));
            differs.or_else(|| {
                (one.len() != other.len()).then(|| format!("{path}[{}]", one.len().min(other.len())))
            })
        }
        _ => (one != other).then(|| path.to_owned()),
    }
}

/// A number that reads back as a number with a decimal point.
fn decimal(number: f64) -> String {
    let written = number.to_string();
    if written.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-') {
        format!("{written}.0")
    } else {
        written
    }
}

/// A basic string of TOML: quotes, backslashes and what does not print are escaped.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            control if control.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(control))),
            other => out.push(other),
        }
    }
    out.push('"');
    out
}
