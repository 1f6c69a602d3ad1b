//! Rows in the making, within limits.

use crate::{MOST_COLUMNS, MOST_ROWS, Unread};

/// Cells of a file, empty ones before a filled one counted.
const MOST_CELLS: usize = 1_000_000;
/// Letters of a file, in bytes.
const MOST_LETTERS: usize = 32 * 1024 * 1024;

/// Cells that are put where they belong, and what is left of the limits for the next table of the file.
#[derive(Default)]
pub(crate) struct Grid {
    rows: Vec<Vec<String>>,
    cells: usize,
    letters: usize,
}

impl Grid {
    /// Puts a text at its row and column, both from 0; an empty one leaves no trace.
    pub(crate) fn put(&mut self, row: usize, column: usize, text: &str) -> Result<(), Unread> {
        let text = text.trim_end();
        if text.is_empty() {
            return Ok(());
        }
        if row >= MOST_ROWS {
            return Err(Unread::new("there are more rows than any survey has", "at most 100,000 rows"));
        }
        if column >= MOST_COLUMNS {
            return Err(Unread::new("there are more columns than any survey has", "at most 256 columns"));
        }
        if self.rows.len() <= row {
            self.rows.resize_with(row + 1, Vec::new);
        }
        let cells = &mut self.rows[row];
        if cells.len() <= column {
            self.cells += column + 1 - cells.len();
            cells.resize_with(column + 1, String::new);
        }
        self.letters += text.len();
        if self.cells > MOST_CELLS || self.letters > MOST_LETTERS {
            return Err(Unread::new(
                "there is more in it than in any survey",
                "a sheet with the readings alone",
            ));
        }
        text.clone_into(&mut cells[column]);
        Ok(())
    }

    /// Fills the cells below one with what stands in it: what people merge downwards holds for every row.
    pub(crate) fn fill_down(&mut self, row: usize, column: usize, to: usize) -> Result<(), Unread> {
        let Some(text) = self.rows.get(row).and_then(|cells| cells.get(column)).cloned() else {
            return Ok(());
        };
        // Nothing below the last row: a whole column that is merged would fill a machine.
        for below in row + 1..(to + 1).min(self.rows.len()) {
            if self.rows[below].get(column).is_none_or(String::is_empty) {
                self.put(below, column, &text)?;
            }
        }
        Ok(())
    }

    /// The rows of a table; the limits go on counting.
    pub(crate) fn take(&mut self) -> Vec<Vec<String>> {
        std::mem::take(&mut self.rows)
    }
}
