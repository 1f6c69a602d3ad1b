//! One value of a text: what it is, where it stands, and how to read it.

use std::ops::Range;

use toml::de::DeValue;

use crate::literal;
use crate::located::Located;
use crate::problem::{Misread, Problems};
use crate::source::Source;
use crate::spelling::{list, nearest};
use crate::table::{Key, Table};

/// A value and the list into which its errors go.
#[derive(Clone, Debug)]
pub struct Value<'d> {
    pub(crate) source: &'d Source,
    pub(crate) problems: &'d Problems,
    pub(crate) value: &'d DeValue<'d>,
    /// Its bytes in the text.
    pub(crate) span: Range<usize>,
    /// What it is called in errors, as `circuit.place`.
    pub(crate) name: String,
}

impl<'d> Value<'d> {
    /// Its bytes in the text.
    #[must_use]
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// Whether it is a string.
    #[must_use]
    pub fn is_text(&self) -> bool {
        self.value.is_str()
    }

    /// Whether it is a table in braces.
    #[must_use]
    pub fn is_table(&self) -> bool {
        self.value.is_table()
    }

    /// Whether it is a list.
    #[must_use]
    pub fn is_list(&self) -> bool {
        self.value.is_array()
    }

    /// The pieces of text that it is written in, as [`Table::pieces`]; of what is no table the value itself.
    #[must_use]
    pub fn pieces(&self) -> Vec<Range<usize>> {
        match self.value {
            DeValue::Table(table) => crate::shape::pieces(self.span(), table, self.source.text()),
            _ => vec![self.span()],
        }
    }

    /// A string.
    #[must_use]
    pub fn text(&self) -> Option<Located<String>> {
        match self.value {
            DeValue::String(text) => Some(Located::new(text.clone().into_owned(), self.span())),
            _ => self.wrong_kind("text in quotes"),
        }
    }

    /// A string that `read` understands; the caret of an error points into it.
    pub fn read<T>(
        &self,
        example: &str,
        read: impl FnOnce(&str) -> Result<T, Misread>,
    ) -> Option<Located<T>> {
        let DeValue::String(text) = self.value else {
            return self.wrong_kind(&format!("text in quotes with its unit, as \"{example}\""));
        };
        match read(text) {
            Ok(value) => Some(Located::new(value, self.span())),
            Err(error) => {
                self.misread(&error);
                None
            }
        }
    }

    /// Reports an error in its text, with the caret at the place that the error names.
    pub fn misread(&self, error: &Misread) {
        self.problems.report(self.inside(error.at), error.text.clone(), error.accept.clone());
    }

    /// The span of its text from byte `at` on; the whole value when it has escapes or is no string.
    #[must_use]
    pub fn inside(&self, at: usize) -> Range<usize> {
        match self.value {
            DeValue::String(text) => literal::inside(self.source.text(), &self.span, text, at),
            _ => self.span(),
        }
    }

    /// One word of a list.
    #[must_use]
    pub fn word<T: Clone>(&self, words: &[(&str, T)]) -> Option<Located<T>> {
        let all = || words.iter().map(|(word, _)| *word);
        let DeValue::String(text) = self.value else {
            return self.wrong_kind(&list(all()));
        };
        if let Some((_, meaning)) = words.iter().find(|(word, _)| word == text) {
            return Some(Located::new(meaning.clone(), self.span()));
        }
        let hint = nearest(text, all()).map_or(String::new(), |word| format!(", did you mean `{word}`?"));
        self.problems.report(
            self.inside(0),
            format!("{} `{text}` is not known{hint}", self.name),
            list(all()),
        );
        None
    }

    /// `true` or `false`.
    #[must_use]
    pub fn yes_or_no(&self) -> Option<Located<bool>> {
        match self.value {
            DeValue::Boolean(value) => Some(Located::new(*value, self.span())),
            _ => self.wrong_kind("true or false"),
        }
    }

    /// A whole number within limits.
    #[must_use]
    pub fn whole(&self, least: i64, most: i64) -> Option<Located<i64>> {
        let accept = format!("a whole number from {least} to {most}");
        let DeValue::Integer(number) = self.value else {
            return self.wrong_kind(&accept);
        };
        match i64::from_str_radix(number.as_str(), number.radix()) {
            Ok(value) if (least..=most).contains(&value) => Some(Located::new(value, self.span())),
            _ => {
                self.problems.report(self.span(), format!("{} {number} is out of range", self.name), accept);
                None
            }
        }
    }

    /// A number, whole or not, within limits.
    #[must_use]
    pub fn number(&self, least: f64, most: f64) -> Option<Located<f64>> {
        let accept = format!("a number from {least} to {most}");
        let value = match self.value {
            DeValue::Integer(number) => {
                i64::from_str_radix(number.as_str(), number.radix()).ok().map(|whole| {
                    #[expect(clippy::cast_precision_loss, reason = "limits are far below 2^53")]
                    let number = whole as f64;
                    number
                })
            }
            DeValue::Float(number) => number.as_str().parse().ok(),
            _ => return self.wrong_kind(&accept),
        };
        match value {
            Some(value) if value >= least && value <= most => Some(Located::new(value, self.span())),
            _ => {
                self.problems.report(self.span(), format!("{} is out of range", self.name), accept);
                None
            }
        }
    }

    /// A list of values.
    #[must_use]
    pub fn list(&self) -> Option<Vec<Value<'d>>> {
        let DeValue::Array(array) = self.value else {
            return self.wrong_kind("a list in square brackets");
        };
        let value = |item: &'d toml::Spanned<DeValue<'d>>| Value {
            source: self.source,
            problems: self.problems,
            value: item.get_ref(),
            span: item.span(),
            name: self.name.clone(),
        };
        Some(array.iter().map(value).collect())
    }

    /// A table, which may hold these keys.
    #[must_use]
    pub fn table(&self, keys: &'static [Key]) -> Option<Table<'d>> {
        let DeValue::Table(table) = self.value else {
            return self.wrong_kind(&format!("a table with {}", list(keys.iter().copied())));
        };
        Some(Table::open(self.source, self.problems, table, self.span(), &self.name, keys))
    }

    /// A table whose keys are names of the reader's own choice, in the order of the text.
    #[must_use]
    pub fn entries(&self) -> Option<Vec<(Located<String>, Value<'d>)>> {
        let DeValue::Table(table) = self.value else {
            return self.wrong_kind("a table in braces");
        };
        let mut entries: Vec<_> = table
            .iter()
            .map(|(key, value)| {
                let name = key.get_ref().clone().into_owned();
                let value = Value {
                    source: self.source,
                    problems: self.problems,
                    value: value.get_ref(),
                    span: value.span(),
                    name: format!("{}.{name}", self.name),
                };
                (Located::new(name, key.span()), value)
            })
            .collect();
        entries.sort_by_key(|(key, _)| key.span.start);
        Some(entries)
    }

    pub(crate) fn wrong_kind<T>(&self, wanted: &str) -> Option<T> {
        let is = match self.value {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.problems.report(self.span(), format!("{} is {is}", self.name), wanted);
        None
    }
}
