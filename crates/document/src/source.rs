//! A text with its name and its lines.

use crate::problem::Problem;

/// The largest text that is read: 16 MB, some 60,000 circuits.
pub const MOST_BYTES: usize = 16 * 1024 * 1024;

/// The longest part of a line that a complaint shows, in characters.
const SHOWN: usize = 160;

/// A text, what it is called, and where its lines begin.
#[derive(Clone, Debug)]
pub struct Source {
    name: String,
    text: String,
    lines: Vec<usize>,
}

/// A place in a text, as people count.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Place {
    /// From 1.
    pub line: usize,
    /// From 1, in characters.
    pub column: usize,
}

/// A problem as a person is told of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Complaint {
    /// The text's name.
    pub file: String,
    /// From 1.
    pub line: usize,
    /// From 1, in characters.
    pub column: usize,
    /// The line itself without its end; of a very long line the part around the column, with `...`.
    pub source_line: String,
    /// Where the caret stands under `source_line`: from 1, in characters.
    pub caret: usize,
    /// How many characters of `source_line` it is about, at least 1.
    pub width: usize,
    /// What is wrong.
    pub text: String,
    /// What would be accepted; may be empty.
    pub accept: String,
}

impl Source {
    /// A text with the name that complaints show.
    #[must_use]
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        let mut lines = vec![0];
        lines.extend(text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1));
        Self { name: name.into(), text, lines }
    }

    /// A text from the bytes of a file.
    ///
    /// # Errors
    /// More than [`MOST_BYTES`], or bytes that are not UTF-8: the place of the first one.
    pub fn read_bytes(name: impl Into<String>, bytes: &[u8]) -> Result<Self, Box<Complaint>> {
        let name = name.into();
        if bytes.len() > MOST_BYTES {
            return Err(Box::new(too_large(name, bytes.len())));
        }
        match std::str::from_utf8(bytes) {
            Ok(text) => Ok(Self::new(name, text)),
            Err(error) => Err(Box::new(not_utf8(name, bytes, error.valid_up_to()))),
        }
    }

    /// What complaints call it.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Line and column of a byte. A byte behind the end is the end; one inside a character is that character.
    #[must_use]
    pub fn place(&self, byte: usize) -> Place {
        let byte = self.character_start(byte);
        let line = self.line_of(byte);
        let start = self.lines.get(line - 1).copied().unwrap_or(0);
        let column = self.text.get(start..byte).map_or(0, |before| before.chars().count()) + 1;
        Place { line, column }
    }

    /// A line without its end; empty when there is no such line.
    #[must_use]
    pub fn line(&self, number: usize) -> &str {
        let Some(start) = number.checked_sub(1).and_then(|index| self.lines.get(index)) else { return "" };
        let end = self.lines.get(number).copied().unwrap_or(self.text.len());
        self.text.get(*start..end).unwrap_or("").trim_end_matches(['\n', '\r'])
    }

    /// The problem with its line, column and the line itself.
    #[must_use]
    pub fn complaint(&self, problem: &Problem) -> Complaint {
        let place = self.place(problem.span.start);
        let line = self.line(place.line);
        let meant =
            self.text.get(self.character_start(problem.span.start)..self.character_start(problem.span.end));
        let meant = meant.unwrap_or("").lines().next().unwrap_or("").chars().count();
        let (source_line, caret) = around(line, place.column);
        let room = (source_line.chars().count() + 1).saturating_sub(caret).max(1);
        Complaint {
            file: self.name.clone(),
            line: place.line,
            column: place.column,
            source_line,
            caret,
            width: meant.clamp(1, room),
            text: problem.text.clone(),
            accept: problem.accept.clone(),
        }
    }

    /// The byte range of the line that holds `byte`, without its end.
    pub(crate) fn line_span(&self, byte: usize) -> std::ops::Range<usize> {
        let line = self.line_of(byte);
        let start = self.lines.get(line - 1).copied().unwrap_or(0);
        start..start + self.line(line).len()
    }

    /// The number of the line that holds `byte`, from 1.
    fn line_of(&self, byte: usize) -> usize {
        self.lines.partition_point(|start| *start <= byte).max(1)
    }

    fn character_start(&self, byte: usize) -> usize {
        let mut byte = byte.min(self.text.len());
        while !self.text.is_char_boundary(byte) {
            byte -= 1;
        }
        byte
    }
}

/// The part of a line around a column, and where that column is in it.
fn around(line: &str, column: usize) -> (String, usize) {
    let length = line.chars().count();
    if length <= SHOWN {
        return (line.to_owned(), column.min(length + 1));
    }
    let first = (column - 1).saturating_sub(SHOWN / 2).min(length - SHOWN);
    let mut shown = if first > 0 { "...".to_owned() } else { String::new() };
    let caret = column - first + shown.len();
    shown.extend(line.chars().skip(first).take(SHOWN));
    if first + SHOWN < length {
        shown.push_str("...");
    }
    let caret = caret.min(shown.chars().count() + 1);
    (shown, caret)
}

fn too_large(file: String, bytes: usize) -> Complaint {
    Complaint {
        file,
        line: 1,
        column: 1,
        source_line: String::new(),
        caret: 1,
        width: 1,
        text: format!("the file has {} MB", bytes.div_ceil(1024 * 1024)),
        accept: format!("at most {} MB", MOST_BYTES / (1024 * 1024)),
    }
}

fn not_utf8(file: String, bytes: &[u8], at: usize) -> Complaint {
    let good = bytes.get(..at).unwrap_or(&[]);
    let start = good.iter().rposition(|byte| *byte == b'\n').map_or(0, |newline| newline + 1);
    let rest = bytes.get(start..).unwrap_or(&[]);
    let end = rest.iter().position(|byte| *byte == b'\n').unwrap_or(rest.len());
    let line = String::from_utf8_lossy(rest.get(..end).unwrap_or(&[])).trim_end_matches('\r').to_owned();
    let column = String::from_utf8_lossy(good.get(start..).unwrap_or(&[])).chars().count() + 1;
    let (source_line, caret) = around(&line, column);
    let bad = bytes.get(at).copied().unwrap_or(0);
    Complaint {
        file,
        line: good.iter().filter(|byte| **byte == b'\n').count() + 1,
        column,
        source_line,
        caret,
        width: 1,
        text: format!("byte {at} (hexadecimal {bad:02x}) is not UTF-8 text"),
        accept: "a text file saved as UTF-8".to_owned(),
    }
}
