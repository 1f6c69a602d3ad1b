//! What is wrong with a text, collected.

use std::cell::RefCell;
use std::ops::Range;

/// How many problems of one text are kept; after that one line says that there are more.
pub const MOST_PROBLEMS: usize = 200;

/// One thing that is wrong with a text, and what would be accepted in its place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Problem {
    /// The bytes that it is about.
    pub span: Range<usize>,
    /// What is wrong, lower case, no full stop.
    pub text: String,
    /// What would be accepted; empty when the text says it all.
    pub accept: String,
}

impl Problem {
    /// A problem with the bytes `span`.
    pub fn new(span: Range<usize>, text: impl Into<String>, accept: impl Into<String>) -> Self {
        Self { span, text: text.into(), accept: accept.into() }
    }
}

/// Why a written value could not be read: what a parser of one value says, before it is known where
/// in the text the value stands.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Misread {
    /// Byte offset into the value.
    pub at: usize,
    /// What is wrong.
    pub text: String,
    /// What would be accepted.
    pub accept: String,
}

impl Misread {
    /// The whole value is meant.
    pub fn whole(text: impl Into<String>, accept: impl Into<String>) -> Self {
        Self { at: 0, text: text.into(), accept: accept.into() }
    }

    /// The value from byte `at` is meant.
    pub fn from(at: usize, text: impl Into<String>, accept: impl Into<String>) -> Self {
        Self { at, text: text.into(), accept: accept.into() }
    }
}

/// The problems of one text, in the order in which they were found until [`Problems::into_sorted`].
///
/// Shared by all readers of a text, therefore with inner mutability.
#[derive(Default, Debug)]
pub struct Problems {
    kept: RefCell<Vec<Problem>>,
    untold: RefCell<usize>,
    broken: Broken,
}

/// What the syntax says about how far the rest can be believed.
#[derive(Clone, Default, Debug)]
pub(crate) struct Broken {
    /// Byte ranges of the lines that hold a syntax error: what else is said about them is an echo.
    pub(crate) lines: Vec<Range<usize>>,
}

impl Problems {
    /// An empty list for a text whose syntax is as `broken` says.
    pub(crate) fn after(syntax: Vec<Problem>, broken: Broken) -> Self {
        let problems = Self { broken, ..Self::default() };
        for problem in syntax {
            problems.keep(problem);
        }
        problems
    }

    /// Adds a problem with a value, unless it is an echo of a syntax error on the same line.
    pub fn report(&self, span: Range<usize>, text: impl Into<String>, accept: impl Into<String>) {
        if self.broken.lines.iter().any(|line| line.start <= span.start && span.start <= line.end) {
            return;
        }
        self.keep(Problem::new(span, text, accept));
    }

    /// Adds a problem that something is not there (a required key, the target of a reference), unless
    /// the syntax is broken: then the thing may well be there, on the line that could not be read.
    pub fn report_missing(&self, span: Range<usize>, text: impl Into<String>, accept: impl Into<String>) {
        if self.broken.lines.is_empty() {
            self.keep(Problem::new(span, text, accept));
        }
    }

    fn keep(&self, problem: Problem) {
        let mut kept = self.kept.borrow_mut();
        if kept.len() < MOST_PROBLEMS {
            kept.push(problem);
        } else {
            *self.untold.borrow_mut() += 1;
        }
    }

    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.kept.borrow().is_empty()
    }

    /// All problems in the order of the text; where there were too many, the last says how many more.
    #[must_use]
    pub fn into_sorted(self) -> Vec<Problem> {
        let mut kept = self.kept.into_inner();
        kept.sort_by(|one, other| {
            (one.span.start, one.span.end, &one.text).cmp(&(other.span.start, other.span.end, &other.text))
        });
        kept.dedup();
        let untold = self.untold.into_inner();
        if untold > 0 {
            let end = kept.last().map_or(0, |last| last.span.start);
            kept.push(Problem::new(
                end..end,
                format!("and {untold} more problems that are not listed"),
                "mend these first, then read again",
            ));
        }
        kept
    }
}
impl From<quantity::WrittenError> for Misread {
    fn from(error: quantity::WrittenError) -> Self {
        Self { at: error.at, text: error.text, accept: error.accept }
    }
}
