//! Workbooks as OpenDocument (ISO/IEC 26300) has them: the tables of `content.xml`. Rows and cells that are said to be there many
//! times are only counted until something stands behind them.

use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};

use crate::grid::Grid;
use crate::{MOST_COLUMNS, MOST_ROWS, Table, Unread};

fn damaged(error: impl std::fmt::Display) -> Unread {
    Unread::new(
        format!("this workbook cannot be read ({error})"),
        "the same, opened and saved once more as ODS",
    )
}

/// A cell that is being read.
struct Cell {
    /// What stands for it where it is no text.
    value: Option<String>,
    /// Its paragraphs.
    text: String,
    paragraphs: usize,
    columns: usize,
    rows_merged: usize,
}

/// The tables, in their order.
pub(crate) fn tables(content: &str) -> Result<Vec<Table>, Unread> {
    let mut reader = Reader::from_str(content);
    reader.config_mut().expand_empty_elements = true;
    let mut state = State::default();
    loop {
        match reader.read_event().map_err(damaged)? {
            Event::Start(start) => state.open(&start)?,
            Event::End(end) => state.close(end.name().as_ref())?,
            Event::Text(text) => state.text(&text.xml10_content()),
            Event::GeneralRef(entity) => {
                let letter = entity.resolve_char_ref().map_err(damaged)?;
                match letter {
                    Some(letter) => state.text(letter.encode_utf8(&mut [0; 4])),
                    None => state.text(resolve_predefined_entity(&entity).unwrap_or_default()),
                }
            }
            Event::Eof => return Ok(state.tables),
            _ => {}
        }
    }
}

#[derive(Default)]
struct State {
    tables: Vec<Table>,
    grid: Grid,
    name: String,
    /// How many tables deep: one inside a cell is no table of the workbook.
    depth: usize,
    /// How many remarks deep: what somebody wrote about a cell does not stand in it.
    remarks: usize,
    row: usize,
    rows_alike: usize,
    column: usize,
    cell: Option<Cell>,
    merged: Vec<(usize, usize, usize)>,
}

impl State {
    fn open(&mut self, start: &BytesStart<'_>) -> Result<(), Unread> {
        match start.name().as_ref() {
            "table:table" => {
                self.depth += 1;
                if self.depth == 1 {
                    self.name = attribute(start, "table:name")?.unwrap_or_default();
                    self.row = 0;
                }
            }
            "office:annotation" => self.remarks += 1,
            "table:table-row" if self.depth == 1 => {
                self.rows_alike = count(start, "table:number-rows-repeated")?;
                self.column = 0;
            }
            "table:table-cell" | "table:covered-table-cell" if self.depth == 1 => {
                self.cell = Some(Cell {
                    value: value(start)?,
                    text: String::new(),
                    paragraphs: 0,
                    columns: count(start, "table:number-columns-repeated")?,
                    rows_merged: count(start, "table:number-rows-spanned")?,
                });
            }
            name if self.remarks == 0 => {
                let Some(cell) = &mut self.cell else { return Ok(()) };
                match name {
                    "text:p" => {
                        cell.paragraphs += 1;
                        if cell.paragraphs > 1 {
                            cell.text.push('\n');
                        }
                    }
                    "text:s" => {
                        let blanks = count(start, "text:c")?.min(100);
                        cell.text.extend(std::iter::repeat_n(' ', blanks));
                    }
                    "text:tab" | "text:line-break" => cell.text.push(' '),
                    _ => {}
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn text(&mut self, text: &str) {
        if let Some(cell) = self.cell.as_mut().filter(|cell| self.remarks == 0 && cell.paragraphs > 0) {
            cell.text.push_str(text);
        }
    }

    fn close(&mut self, name: &str) -> Result<(), Unread> {
        match name {
            "table:table" => {
                self.depth = self.depth.saturating_sub(1);
                if self.depth == 0 {
                    for (row, column, to) in std::mem::take(&mut self.merged) {
                        self.grid.fill_down(row, column, to)?;
                    }
                    self.tables.push(Table { name: std::mem::take(&mut self.name), rows: self.grid.take() });
                }
            }
            "office:annotation" => self.remarks = self.remarks.saturating_sub(1),
            "table:table-row" if self.depth == 1 => {
                self.row = self.row.saturating_add(self.rows_alike.max(1));
            }
            "table:table-cell" | "table:covered-table-cell" if self.depth == 1 => self.put_cell()?,
            _ => {}
        }
        Ok(())
    }

    fn put_cell(&mut self) -> Result<(), Unread> {
        let Some(cell) = self.cell.take() else { return Ok(()) };
        let text = cell.value.as_deref().unwrap_or(&cell.text);
        if !text.trim().is_empty() {
            // One more than there may be is enough to be refused.
            for row in self.row..self.row.saturating_add(self.rows_alike.min(MOST_ROWS + 1)) {
                for column in self.column..self.column.saturating_add(cell.columns.min(MOST_COLUMNS + 1)) {
                    self.grid.put(row, column, text)?;
                }
            }
            if cell.rows_merged > 1 {
                self.merged.push((self.row, self.column, self.row.saturating_add(cell.rows_merged - 1)));
            }
        }
        self.column = self.column.saturating_add(cell.columns);
        Ok(())
    }
}

fn attribute(start: &BytesStart<'_>, name: &str) -> Result<Option<String>, Unread> {
    let Some(attribute) = start.try_get_attribute(name).map_err(damaged)? else { return Ok(None) };
    Ok(Some(attribute.normalized_value(XmlVersion::Implicit1_0).map_err(damaged)?.into_owned()))
}

/// How often; once where nothing is said.
fn count(start: &BytesStart<'_>, name: &str) -> Result<usize, Unread> {
    Ok(attribute(start, name)?.and_then(|text| text.parse().ok()).unwrap_or(1))
}

/// What stands for a cell that is no text.
fn value(start: &BytesStart<'_>) -> Result<Option<String>, Unread> {
    let kind = attribute(start, "office:value-type")?;
    let value = match kind.as_deref() {
        Some("float" | "currency" | "percentage") => attribute(start, "office:value")?,
        Some("date") => attribute(start, "office:date-value")?.map(|date| date.chars().take(10).collect()),
        Some("boolean") => attribute(start, "office:boolean-value")?
            .map(|yes| if yes.eq_ignore_ascii_case("true") { "yes" } else { "no" }.to_owned()),
        Some("string") => attribute(start, "office:string-value")?,
        _ => None,
    };
    Ok(value)
}
