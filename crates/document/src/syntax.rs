//! From text to located values: TOML syntax, all its errors at once, in bounded time and memory.

use toml::de::{DeTable, Error};

use crate::problem::{Broken, Problem, Problems};
use crate::source::{MOST_BYTES, Source};
use crate::table::{Key, Table};

/// Above this size a text with broken syntax is told its first error only: a list could be as long as the text.
const ALL_ERRORS_BYTES: usize = 1024 * 1024;

/// The syntax of one text, read: its values, and what is wrong with it.
#[derive(Debug)]
pub struct Document<'s> {
    source: &'s Source,
    values: DeTable<'s>,
    problems: Problems,
}

impl<'s> Document<'s> {
    /// Reads the syntax of a text. Whatever is wrong with it is in [`Document::problems`]; the values are
    /// what could be understood.
    #[must_use]
    pub fn parse(source: &'s Source) -> Self {
        let text = source.text();
        if text.len() > MOST_BYTES {
            let problem = Problem::new(
                0..0,
                format!("the file has {} MB", text.len().div_ceil(1024 * 1024)),
                format!("at most {} MB", MOST_BYTES / (1024 * 1024)),
            );
            return Self::unread(source, problem);
        }
        if let Err(problem) = crate::nesting::check(text) {
            return Self::unread(source, problem);
        }
        if text.len() > ALL_ERRORS_BYTES {
            return match DeTable::parse(text) {
                Ok(values) => Self::read(source, values.into_inner(), &[]),
                Err(error) => Self::read(source, DeTable::new(), &[error]),
            };
        }
        let (values, errors) = DeTable::parse_recoverable(text);
        Self::read(source, values.into_inner(), &errors)
    }

    /// What is wrong so far; the getters of its tables add to it.
    #[must_use]
    pub fn problems(&self) -> &Problems {
        &self.problems
    }

    /// All problems, in the order of the text.
    #[must_use]
    pub fn into_problems(self) -> Vec<Problem> {
        self.problems.into_sorted()
    }

    /// The document's own table, which may hold these keys.
    #[must_use]
    pub fn root<'d>(&'d self, name: &str, keys: &'static [Key]) -> Table<'d> {
        Table::open(self.source, &self.problems, &self.values, 0..0, name, keys)
    }

    /// Whether the document's own table has a key; reports nothing.
    #[must_use]
    pub fn peek(&self, key: &str) -> bool {
        self.values.contains_key(key)
    }

    /// The text under a key of the document's own table; reports nothing.
    #[must_use]
    pub fn peek_text(&self, key: &str) -> Option<&str> {
        self.values.get(key)?.get_ref().as_str()
    }

    pub(crate) fn values(&self) -> &DeTable<'s> {
        &self.values
    }

    fn unread(source: &'s Source, problem: Problem) -> Self {
        let broken = Broken { lines: std::iter::once(0..source.text().len()).collect() };
        Self { source, values: DeTable::new(), problems: Problems::after(vec![problem], broken) }
    }

    fn read(source: &'s Source, values: DeTable<'s>, errors: &[Error]) -> Self {
        let syntax: Vec<Problem> = errors.iter().map(|error| problem(source.text(), error)).collect();
        let first = syntax.iter().take(crate::MOST_PROBLEMS);
        let mut lines: Vec<_> = first.map(|problem| source.line_span(problem.span.start)).collect();
        lines.dedup();
        // a broken header moves the keys below it into another table: nothing said about them would be true
        let lost = lines.iter().any(|line| source.text()[line.clone()].trim_start().starts_with('['));
        let broken = Broken { lines };
        let values = if lost || errors.len() > crate::MOST_PROBLEMS { DeTable::new() } else { values };
        Self { source, values, problems: Problems::after(syntax, broken) }
    }
}

/// The parser's words, cut into what is wrong and what is wanted.
fn problem(text: &str, error: &Error) -> Problem {
    let message = error.message();
    let (wrong, wanted) = message.split_once(", expected ").unwrap_or((message, ""));
    let mut span = error.span().unwrap_or(0..0);
    span.end = span.end.min(text.len());
    span.start = span.start.min(span.end);
    let wrong = match wrong {
        "duplicate key" => "this key stands here for the second time",
        "recursion limit" | "cannot recurse further; max recursion depth met" => "nested too deeply",
        other => other,
    };
    Problem::new(span, wrong, wanted)
}
