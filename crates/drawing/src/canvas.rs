//! A grid of character cells to draw on.

use unicode_width::UnicodeWidthChar;

use crate::clean;

/// One line of cells. A letter two columns wide fills its cell and leaves the next one empty.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Row(Vec<String>);

impl Row {
    /// So many columns of one character.
    pub(crate) fn of(fill: char, columns: usize) -> Self {
        Self(vec![fill.to_string(); columns])
    }

    /// How many columns it has.
    pub(crate) fn columns(&self) -> usize {
        self.0.len()
    }

    /// Puts a character of one column.
    pub(crate) fn put(&mut self, column: usize, letter: char) {
        if let Some(cell) = self.0.get_mut(column) {
            *cell = letter.to_string();
        }
    }

    /// Whether a column still shows `fill`.
    pub(crate) fn shows(&self, column: usize, fill: char) -> bool {
        self.0.get(column).is_some_and(|cell| cell.chars().eq([fill]))
    }

    /// Writes a text from a column on; what goes beyond the end is left out.
    pub(crate) fn write(&mut self, column: usize, text: &str) {
        let mut at = column;
        for letter in clean(text).chars() {
            let wide = letter.width().unwrap_or(0);
            if wide == 0 {
                if let Some(cell) = at.checked_sub(1).and_then(|before| self.0.get_mut(before)) {
                    cell.push(letter);
                }
                continue;
            }
            if at + wide > self.0.len() {
                return;
            }
            self.0[at] = letter.to_string();
            for beside in 1..wide {
                self.0[at + beside].clear();
            }
            at += wide;
        }
    }

    /// Adds the columns of another row behind its own.
    pub(crate) fn append(&mut self, other: &Self) {
        self.0.extend(other.0.iter().cloned());
    }

    /// The line, without blanks at its end.
    pub(crate) fn line(&self) -> String {
        self.0.concat().trim_end().to_owned()
    }
}
