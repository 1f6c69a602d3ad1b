//! Text with commas, semicolons or tabs between its cells.

use crate::Unread;
use crate::grid::Grid;

/// Lines by which the sign between cells is known.
const LOOKED_AT: usize = 20;

/// The rows of a text, each at its line.
pub(crate) fn rows(text: &str) -> Result<Vec<Vec<String>>, Unread> {
    let count =
        |sign: char| text.lines().take(LOOKED_AT).map(|line| line.matches(sign).count()).sum::<usize>();
    let sign = [',', ';', '\t'].into_iter().max_by_key(|sign| (count(*sign), *sign == ',')).unwrap_or(',');
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(u8::try_from(sign).unwrap_or(b','))
        .from_reader(text.as_bytes());
    let mut grid = Grid::default();
    let mut next = 0;
    for record in reader.records() {
        let record = record.map_err(|error| Unread::new(format!("line {error}"), "a sheet saved as CSV"))?;
        let row = record.position().map_or(next, |position| row_of(text, position)).max(next);
        for (column, cell) in record.iter().enumerate() {
            grid.put(row, column, cell)?;
        }
        next = row + 1;
    }
    Ok(grid.take())
}

/// The row in which a record begins, from 0: lines that the reader passes over, because nothing is on them, count all the same.
fn row_of(text: &str, position: &csv::Position) -> usize {
    let from = usize::try_from(position.byte()).unwrap_or(usize::MAX);
    let rest = text.as_bytes().get(from..).unwrap_or_default();
    let blank = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n'));
    let passed = blank.filter(|byte| **byte == b'\n').count();
    usize::try_from(position.line()).unwrap_or(usize::MAX).saturating_sub(1).saturating_add(passed)
}
