//! A table as CSV: UTF-8, commas, a heading line; a cell that a spreadsheet would take for a formula is
//! written with an apostrophe in front.

use csv::{Terminator, WriterBuilder};

use crate::options::PackError;
use crate::tables::{Cell, Table};

/// The text of a table.
pub(crate) fn text(table: &Table) -> Result<Vec<u8>, PackError> {
    let wrong = |error: &dyn std::fmt::Display| PackError::Table(error.to_string());
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(&table.columns).map_err(|error| wrong(&error))?;
    for row in &table.rows {
        writer.write_record(row.iter().map(cell)).map_err(|error| wrong(&error))?;
    }
    writer.into_inner().map_err(|error| wrong(&error))
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) if text.starts_with(['=', '+', '-', '@', '\t', '\r']) => format!("'{text}"),
        Cell::Text(text) => text.clone(),
        Cell::Number(number) => number.to_string(),
        Cell::Empty => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_quoted_and_formulas_disarmed() {
        let table = Table {
            name: "t",
            columns: vec!["a", "b_ohm"],
            rows: vec![vec!["=1+1, \"x\"".into(), Cell::Number(2210.5)], vec![Cell::Empty, Cell::Empty]],
        };
        let made = text(&table).expect("plain cells");
        assert_eq!(
            String::from_utf8(made).expect("UTF-8"),
            "a,b_ohm\r\n\"'=1+1, \"\"x\"\"\",2210.5\r\n,\r\n"
        );
    }
}
