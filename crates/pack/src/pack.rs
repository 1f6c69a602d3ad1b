//! The one door: an assessment in, every file of the pack out.

use assess::Assessment;
use serde::Serialize;
use serde_json::Value;

use crate::book::Book;
use crate::glyphs::{breakable, printable};
use crate::options::{Date, File, Files, Options, PackError};
use crate::tables::tables;
use crate::typeset::{Document, typeset};
use crate::{csv, xlsx};

/// Makes every file of the pack: `pack.pdf`, `tags.pdf`, `tables.xlsx`, `tables/*.csv`.
///
/// Pure: the same assessment and options give the same bytes.
///
/// # Errors
/// A date that is none; or, by a fault of this program, a document that the typesetter refuses.
pub fn pack(assessment: &Assessment, options: &Options) -> Result<Files, PackError> {
    let date: Date = options.date.parse()?;
    let book = Book::new(assessment, options);
    let tables = tables(assessment);
    let pack = typeset(Document::Pack, data(&book)?, date)?;
    let tags = typeset(Document::Tags, data(&book.tags_only())?, date)?;
    let mut files = vec![
        File { name: "pack.pdf".to_owned(), bytes: pack.pdf },
        File { name: "tags.pdf".to_owned(), bytes: tags.pdf },
        File { name: "tables.xlsx".to_owned(), bytes: xlsx::workbook(&tables, date)? },
    ];
    for table in &tables {
        files.push(File { name: format!("tables/{}.csv", table.name), bytes: csv::text(table)? });
    }
    Ok(Files { files, sheets: pack.pages })
}

/// What the templates read: a glyph for every character, and a place to break in every long word.
fn data(book: &impl Serialize) -> Result<Vec<u8>, PackError> {
    let wrong = |error: serde_json::Error| PackError::Typeset(error.to_string());
    let mut book = serde_json::to_value(book).map_err(wrong)?;
    settle(&mut book, false);
    serde_json::to_vec(&book).map_err(wrong)
}

/// Walks all texts; a drawing keeps its words as they are measured.
fn settle(value: &mut Value, is_drawing: bool) {
    match value {
        Value::String(text) if is_drawing => *text = printable(text).into_owned(),
        Value::String(text) => *text = breakable(&printable(text)).into_owned(),
        Value::Array(values) => values.iter_mut().for_each(|value| settle(value, false)),
        Value::Object(fields) => {
            for (name, value) in fields {
                settle(value, name == "svg");
            }
        }
        _ => {}
    }
}
