//! Tables that people bring: a workbook (XLSX, ODS) or a text with separators (CSV), as rows of cells that are texts.
//!
//! # Where to start
//! [`read`] takes the bytes of a file, whatever its name says, and gives its [`Table`]s.
//!
//! # What this crate leaves out
//! It does not know what a cell means. Numbers come as they are stored, formulas with the value that was computed last, a
//! date as `2026-03-14`; colours, formats and remarks are passed over. What is unpacked, and how many rows, columns, cells and
//! letters come out of it, has a bound, so that a small file cannot fill a machine.

mod csv_text;
mod grid;
mod ods;
mod pack;
mod xlsx;

use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::pack::Pack;

/// The largest file that is read, in bytes.
pub const MOST_BYTES: usize = 20 * 1024 * 1024;
/// Rows of a table.
pub const MOST_ROWS: usize = 100_000;
/// Columns of a table.
pub const MOST_COLUMNS: usize = 256;

/// A sheet of a workbook, or the table of a text.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Table {
    /// The sheet's name; empty for a text.
    pub name: String,
    /// Its rows from the first line of the file on: the place of a row and of a cell in it is that of the sheet. A row ends with
    /// its last cell that has anything in it.
    pub rows: Vec<Vec<String>>,
}

/// Why a file is not read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unread {
    /// What is wrong, lower case, no full stop.
    pub text: String,
    /// What would be accepted.
    pub accept: String,
}

impl Unread {
    fn new(text: impl Into<String>, accept: impl Into<String>) -> Self {
        Self { text: text.into(), accept: accept.into() }
    }
}

/// What is accepted in all.
const ACCEPTED: &str = "a workbook (XLSX, ODS), or a sheet saved as CSV in UTF-8";

/// Reads the tables of a file, in their order.
///
/// # Errors
/// What is no table, is damaged, is locked, or is larger than any survey.
pub fn read(bytes: &[u8]) -> Result<Vec<Table>, Unread> {
    if bytes.len() > MOST_BYTES {
        return Err(Unread::new("the file is too large", "at most 20 MB"));
    }
    if bytes.starts_with(b"PK") {
        // Whatever a damaged workbook does to its reader, it is damaged and no more.
        return catch_unwind(AssertUnwindSafe(|| workbook(bytes))).unwrap_or_else(|_| {
            Err(Unread::new("this workbook is damaged", "the same, opened and saved once more"))
        });
    }
    if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        let text = "this is a workbook of the old kind, or one with a pass word";
        return Err(Unread::new(text, "the same saved as XLSX, ODS or CSV, without a pass word"));
    }
    let text = decoded(bytes).ok_or_else(|| Unread::new("this is neither a workbook nor text", ACCEPTED))?;
    Ok(vec![Table { name: String::new(), rows: csv_text::rows(&text)? }])
}

fn workbook(bytes: &[u8]) -> Result<Vec<Table>, Unread> {
    let mut pack = Pack::open(bytes)?;
    if pack.has("xl/workbook.xml") || pack.has("[Content_Types].xml") {
        return xlsx::tables(bytes);
    }
    match pack.text("content.xml")? {
        Some(content) => ods::tables(&content),
        None => Err(Unread::new("this archive is no workbook", ACCEPTED)),
    }
}

/// UTF-8, or UTF-16 where the file says so, as spreadsheets save "Unicode text".
fn decoded(bytes: &[u8]) -> Option<String> {
    let wide = |order: fn([u8; 2]) -> u16| {
        let units = bytes[2..].chunks_exact(2).map(|pair| order([pair[0], pair[1]]));
        char::decode_utf16(units).collect::<Result<String, _>>().ok()
    };
    let text = match bytes {
        [0xff, 0xfe, ..] => wide(u16::from_le_bytes)?,
        [0xfe, 0xff, ..] => wide(u16::from_be_bytes)?,
        _ => std::str::from_utf8(bytes).ok()?.trim_start_matches('\u{feff}').to_owned(),
    };
    (!text.contains('\0')).then_some(text)
}
