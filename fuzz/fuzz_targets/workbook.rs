//! Any bytes as a table that somebody brings: rows within the bounds, or a refusal. The first octet says what the rest is: `o` a
//! text document's content, `x` a sheet of a workbook (both are packed first, or their checksums would hide them), else the file itself.
#![no_main]

use std::io::{Cursor, Write};

use cells::{MOST_COLUMNS, MOST_ROWS};
use libfuzzer_sys::fuzz_target;
use zip::{CompressionMethod, ZipWriter, write::SimpleFileOptions};

/// The parts of a workbook with one sheet, as ECMA-376 part 1 has them, but the sheet.
const BOOK: [(&str, &str); 3] = [
    (
        "[Content_Types].xml",
        r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>"#,
    ),
    (
        "xl/workbook.xml",
        r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="survey" sheetId="1" r:id="rId1"/></sheets></workbook>"#,
    ),
    (
        "xl/_rels/workbook.xml.rels",
        r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#,
    ),
];

fn packed(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let mut out = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for (name, content) in parts {
        out.start_file(*name, stored).expect("it is written in memory");
        out.write_all(content).expect("it is written in memory");
    }
    out.finish().expect("it is written in memory").into_inner()
}

fuzz_target!(
    // A reader of workbooks that breaks is caught where it is called, and the file is damaged: that is no find. What breaks
    // outside of it still ends the run.
    init: std::panic::set_hook(Box::new(|_| {})),
    |bytes: &[u8]| {
        let file = match bytes.split_first() {
            Some((b'o', content)) => packed(&[
                ("mimetype", b"application/vnd.oasis.opendocument.spreadsheet"),
                ("content.xml", content),
            ]),
            Some((b'x', sheet)) => {
                let mut parts: Vec<(&str, &[u8])> = BOOK.iter().map(|(name, text)| (*name, text.as_bytes())).collect();
                parts.push(("xl/worksheets/sheet1.xml", sheet));
                packed(&parts)
            }
            _ => bytes.to_vec(),
        };
        match cells::read(&file) {
            Ok(tables) => {
                for table in tables {
                    assert!(table.rows.len() <= MOST_ROWS);
                    for row in &table.rows {
                        assert!(row.len() <= MOST_COLUMNS);
                        assert!(row.last().is_none_or(|cell| !cell.is_empty()), "a row ends with a cell that has something in it");
                    }
                }
            }
            Err(unread) => assert!(!unread.text.is_empty() && !unread.accept.is_empty()),
        }
    }
);
