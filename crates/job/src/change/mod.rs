//! Changes to a job file: one value from this to that, put into the text, everything else as it was.
//!
//! A change names its place (a whole table, a key of one, an entry of a list), what stands there and what
//! shall stand there. It is spliced into the text at the value's own bytes; comments, order, blanks and line
//! ends stay. What comes out is read again: it must be a job, and nothing but the named values may differ.

mod list;
mod moved;
mod order;
mod place;
mod splice;
mod tree;
mod whole;

use document::{Document, Plain, Source};

use crate::keys;
use crate::model::Job;
pub use moved::Lost;
pub use order::Guessed;
use order::Orders;
pub use place::{Place, TableRef};
use splice::{Splice, restored, spliced, splices};

/// One value from this to that.
///
/// | `from` | `to` | the change |
/// | --- | --- | --- |
/// | none | a value | puts it there: a key, a new table, one more entry of a list |
/// | a value | a value | puts it in the other's place |
/// | a value | none | takes it out |
#[derive(Clone, PartialEq, Debug)]
pub struct Change {
    /// Where.
    pub at: Place,
    /// What must stand there for the change to be made, whole; none: nothing.
    pub from: Option<Plain>,
    /// What shall stand there; none: nothing.
    pub to: Option<Plain>,
}

/// A change with a remark on how it is known.
#[derive(Clone, PartialEq, Debug)]
pub struct Noted {
    /// The change.
    pub change: Change,
    /// Written behind a new key as a comment, where the table's form leaves room for one; empty for none.
    pub note: String,
}

/// A text with changes in it, and the way back.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Applied {
    /// The new text.
    pub text: String,
    /// Takes the changes out of it again, byte for byte.
    pub undo: Undo,
}

/// The way back from a changed text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Undo {
    steps: Vec<Vec<Splice>>,
}

/// A text that tables were put back into.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PutBack {
    /// The new text.
    pub text: String,
    /// The tables of which nobody can say where among the others they stood.
    pub guessed: Vec<Guessed>,
}

/// Why a change was not made. The text is untouched.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ChangeError {
    /// The text cannot be read as it is.
    #[error("the file cannot be read as it stands: {text}")]
    Unreadable {
        /// Its first problem.
        text: String,
    },
    /// The table is not there.
    #[error("the file has no {table}")]
    NoTable {
        /// The table.
        table: TableRef,
    },
    /// The format has no such key in such a table, or no such table.
    #[error("{table} can have no `{key}`")]
    NoKey {
        /// The table.
        table: TableRef,
        /// The key.
        key: String,
    },
    /// The format has no table that could be named so.
    #[error("the format has no table to be called {table}")]
    NoSuchTable {
        /// The table.
        table: TableRef,
    },
    /// Something else stands there than the change expects.
    #[error("{at} is {stands}, not {expected}: somebody changed it meanwhile")]
    Conflict {
        /// The place.
        at: Box<Place>,
        /// What stands there.
        stands: String,
        /// What the change expects.
        expected: String,
    },
    /// Two changes of one set are about the same value.
    #[error("{at} is to be changed twice at once")]
    Twice {
        /// The place.
        at: Box<Place>,
    },
    /// The file would not be a job any more, or something else in it would change too.
    #[error("the change would break the file: {text}")]
    Breaks {
        /// How.
        text: String,
    },
}

impl Change {
    /// A key of a table from this to that.
    #[must_use]
    pub fn key(table: TableRef, key: &str, from: Option<Plain>, to: Option<Plain>) -> Self {
        Self { at: Place::Key(table, key.to_owned()), from, to }
    }

    /// A new table with its keys; the one that names it stands among them.
    #[must_use]
    pub fn new_table(table: TableRef, keys: Plain) -> Self {
        Self { at: Place::Table(table), from: None, to: Some(keys) }
    }

    /// The change back. Where the table was called anew, it is looked for under its new name.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let at = match (&self.at, self.to.as_ref().and_then(place::id_of)) {
            (Place::Key(TableRef::Named(kind, _), key), Some(id)) if self.at.names_its_table() => {
                Place::Key(TableRef::Named(kind.clone(), id), key.clone())
            }
            _ => self.at.clone(),
        };
        Self { at, from: self.to.clone(), to: self.from.clone() }
    }

    /// The text with these changes in it, whether or not it is still a job: to say what would be wrong with it, and where.
    ///
    /// # Errors
    /// See [`ChangeError`]; never that it breaks the file.
    pub fn drafted(changes: &[Self], source: &Source) -> Result<String, ChangeError> {
        let noted = changes.iter().map(|change| Noted { change: change.clone(), note: String::new() });
        Ok(Noted::drafted(&noted.collect::<Vec<_>>(), source)?.0.text)
    }

    /// Puts the change into a text.
    ///
    /// # Errors
    /// See [`ChangeError`]; the change is made wholly or not at all.
    pub fn apply(&self, source: &Source) -> Result<Applied, ChangeError> {
        Self::apply_all(std::slice::from_ref(self), source)
    }

    /// Puts several changes into a text, one after the other: all or none.
    ///
    /// # Errors
    /// See [`ChangeError`].
    pub fn apply_all(changes: &[Self], source: &Source) -> Result<Applied, ChangeError> {
        let noted = changes.iter().map(|change| Noted { change: change.clone(), note: String::new() });
        Noted::apply_all(&noted.collect::<Vec<_>>(), source)
    }

    /// Changes back into a text that has moved on since: like [`Change::apply_all`], but a table that was taken out comes to
    /// stand between those that it stood between, with its remarks. `was` is the text before it was taken out, `called` says
    /// how a table of that text is called now; `older` gives texts from before that, from the newest, and is asked where
    /// `was` does not have all that stand now.
    ///
    /// # Errors
    /// See [`ChangeError`].
    pub fn put_back(
        changes: &[Self],
        source: &Source,
        was: &Source,
        called: impl Fn(&TableRef) -> Option<TableRef>,
        older: impl Fn(usize) -> Option<Source>,
    ) -> Result<PutBack, ChangeError> {
        let mut text = source.text().to_owned();
        let (mut wanted, stood) = (readable(source)?, readable(was)?);
        let older = |back: usize| older(back).map(|source| Document::parse(&source).plain());
        let orders = Orders { was: &stood, called: &called, older: &older };
        let mut guessed = Vec::new();
        for change in changes {
            let step = [Noted { change: change.clone(), note: String::new() }];
            let source = Source::new("", text);
            let document = Document::parse(&source);
            let root = document.root("", keys::JOB);
            let mut planned = splices(&step, &source, &root, &wanted)?;
            if let Some(number) = order::number_back(change, &orders, &wanted) {
                planned = whole::put_back(change, number.at, &root, &source, was).unwrap_or(planned);
                tree::change(&mut wanted, change);
                tree::last_to(&mut wanted, change.at.table(), number.at);
                guessed.extend(number.guessed);
            } else {
                tree::change(&mut wanted, change);
            }
            text = spliced(source.text(), planned).0;
        }
        verify(&Source::new("", text.as_str()), wanted)?;
        Ok(PutBack { text, guessed })
    }
}

impl Noted {
    /// Puts several changes with their remarks into a text, one after the other: all or none. Only what comes
    /// out at the end must be a job.
    ///
    /// # Errors
    /// See [`ChangeError`].
    pub fn apply_all(changes: &[Self], source: &Source) -> Result<Applied, ChangeError> {
        let (applied, wanted) = Self::drafted(changes, source)?;
        verify(&Source::new("", applied.text.as_str()), wanted)?;
        Ok(applied)
    }

    /// The same before anybody has looked whether it is a job, with what it must then say.
    fn drafted(changes: &[Self], source: &Source) -> Result<(Applied, Plain), ChangeError> {
        let mut text = source.text().to_owned();
        let mut wanted = readable(source)?;
        let mut steps = Vec::new();
        for step in splice::steps(changes)? {
            let source = Source::new("", text);
            let document = Document::parse(&source);
            let planned = splices(step, &source, &document.root("", keys::JOB), &wanted)?;
            for noted in step {
                tree::change(&mut wanted, &noted.change);
            }
            let (changed, undo) = spliced(source.text(), planned);
            text = changed;
            steps.push(undo);
        }
        Ok((Applied { text, undo: Undo { steps } }, wanted))
    }
}

impl Undo {
    /// The text as it was before; none when `text` is not the one that the changes made.
    #[must_use]
    pub fn restore(&self, text: &str) -> Option<String> {
        self.steps.iter().rev().try_fold(text.to_owned(), |text, step| restored(&text, step))
    }
}

/// The plain form of a text whose syntax is in order.
fn readable(source: &Source) -> Result<Plain, ChangeError> {
    let document = Document::parse(source);
    let plain = document.plain();
    match document.into_problems().first() {
        Some(problem) => Err(ChangeError::Unreadable { text: problem.text.clone() }),
        None => Ok(plain),
    }
}

/// The changed text must be a job, and nothing but what was meant may differ from before.
fn verify(source: &Source, wanted: Plain) -> Result<(), ChangeError> {
    if let Err(problems) = Job::read(source) {
        let text = problems.first().map_or(String::new(), |problem| problem.text.clone());
        return Err(ChangeError::Breaks { text });
    }
    let is = tree::without_empty_lists(Document::parse(source).plain());
    match tree::without_empty_lists(wanted).difference(&is) {
        None => Ok(()),
        Some(path) => Err(ChangeError::Breaks { text: format!("`{path}` would change too") }),
    }
}
