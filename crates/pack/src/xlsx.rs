//! The tables as one workbook, a sheet each.

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatBorder, Workbook, XlsxError};

use crate::options::{Date, PackError};
use crate::tables::{Cell, Table};

/// A workbook's own limit for one cell, in UTF-16 units.
const CELL_LIMIT: usize = 32_767;

/// The bytes of the workbook; its creation date is the given one, so that bytes repeat.
pub(crate) fn workbook(tables: &[Table], date: Date) -> Result<Vec<u8>, PackError> {
    filled(tables, date).map_err(|error| PackError::Table(error.to_string()))
}

fn filled(tables: &[Table], date: Date) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    let created = ExcelDateTime::from_ymd(date.year, date.month, date.day)?;
    let properties = DocProperties::new()
        .set_title("Tables of a take-over")
        .set_author("Loopwright")
        .set_creation_datetime(&created);
    workbook.set_properties(&properties);
    let heading = Format::new().set_bold().set_border_bottom(FormatBorder::Thin);
    for table in tables {
        let sheet = workbook.add_worksheet();
        sheet.set_name(table.name)?;
        sheet.set_freeze_panes(1, 0)?;
        for (column, name) in (0_u16..).zip(&table.columns) {
            sheet.write_with_format(0, column, *name, &heading)?;
            sheet.set_column_width(column, width(table, usize::from(column), name))?;
        }
        for (row, cells) in (1_u32..).zip(&table.rows) {
            for (column, cell) in (0_u16..).zip(cells) {
                match cell {
                    Cell::Text(text) if text.is_empty() => {}
                    Cell::Text(text) => drop(sheet.write_string(row, column, short(text))?),
                    Cell::Number(number) => drop(sheet.write_number(row, column, *number)?),
                    Cell::Empty => {}
                }
            }
        }
        if let (Ok(rows), Some(last)) = (u32::try_from(table.rows.len()), table.columns.len().checked_sub(1))
        {
            sheet.autofilter(0, 0, rows, u16::try_from(last).unwrap_or(u16::MAX))?;
        }
    }
    workbook.save_to_buffer()
}

/// Wide enough for most cells of a column, narrow enough to look at.
fn width(table: &Table, column: usize, name: &str) -> f64 {
    let longest = table.rows.iter().filter_map(|row| match row.get(column) {
        Some(Cell::Text(text)) => Some(text.chars().count()),
        _ => None,
    });
    let most = longest.max().unwrap_or(0).max(name.chars().count() + 3).min(60);
    most as f64 + 1.0
}

fn short(text: &str) -> &str {
    match text.char_indices().nth(CELL_LIMIT / 2) {
        Some((end, _)) if text.encode_utf16().count() > CELL_LIMIT => &text[..end],
        _ => text,
    }
}
