//! Workbooks as ECMA-376 has them. Cells are read one by one: what a sheet says of its own size is not believed.

use std::io::Cursor;

use calamine::{DataRef, Reader, Xlsx, XlsxError};

use crate::grid::Grid;
use crate::{Table, Unread};

fn damaged(error: &XlsxError) -> Unread {
    let text = match error {
        XlsxError::Password => "this workbook has a pass word".to_owned(),
        error => format!("this workbook cannot be read ({error})"),
    };
    Unread::new(text, "the same, opened and saved once more as XLSX")
}

/// Its sheets with cells, in their order; what is no sheet of cells (a chart) is passed over.
pub(crate) fn tables(bytes: &[u8]) -> Result<Vec<Table>, Unread> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|error| damaged(&error))?;
    let mut tables = Vec::new();
    let mut grid = Grid::default();
    for name in book.sheet_names() {
        let merged = match book.merge_cells_by_sheet_name(&name) {
            Ok(merged) => merged,
            Err(XlsxError::NotAWorksheet(_)) => continue,
            Err(error) => return Err(damaged(&error)),
        };
        let mut cells = match book.worksheet_cells_reader(&name) {
            Ok(cells) => cells,
            Err(XlsxError::NotAWorksheet(_)) => continue,
            Err(error) => return Err(damaged(&error)),
        };
        while let Some(cell) = cells.next_cell().map_err(|error| damaged(&error))? {
            let (row, column) = cell.get_position();
            grid.put(row as usize, column as usize, &text(cell.get_value()))?;
        }
        for area in merged {
            grid.fill_down(area.start.0 as usize, area.start.1 as usize, area.end.0 as usize)?;
        }
        tables.push(Table { name, rows: grid.take() });
    }
    Ok(tables)
}

/// A cell as text.
fn text(value: &DataRef<'_>) -> String {
    match value {
        DataRef::Empty => String::new(),
        DataRef::Int(number) => number.to_string(),
        DataRef::Float(number) => number.to_string(),
        DataRef::String(text) => text.clone(),
        DataRef::SharedString(text) => (*text).to_owned(),
        DataRef::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        DataRef::DateTime(at) => {
            let (year, month, day, ..) = at.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02}")
        }
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text.clone(),
        DataRef::Error(error) => error.to_string(),
    }
}
