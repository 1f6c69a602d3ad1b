//! Files as people's programs write them, odd ones, and damaged ones.

use std::io::{Cursor, Write};

use cells::{MOST_ROWS, Table, read};
use proptest::prelude::*;
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

fn rows(table: &Table) -> Vec<Vec<&str>> {
    table.rows.iter().map(|row| row.iter().map(String::as_str).collect()).collect()
}

fn archive(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut out = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        out.start_file(*name, SimpleFileOptions::default()).expect("it is written in memory");
        out.write_all(text.as_bytes()).expect("it is written in memory");
    }
    out.finish().expect("it is written in memory").into_inner()
}

/// A document as OpenDocument 1.3, part 3, section 9 has its tables.
fn ods(tables: &str) -> Vec<u8> {
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\"><office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"
    );
    archive(&[("mimetype", "application/vnd.oasis.opendocument.spreadsheet"), ("content.xml", &content)])
}

fn workbook() -> Vec<u8> {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.set_name("notes").expect("it is written in memory");
    sheet.write_string(0, 0, "nothing of a survey").expect("it is written in memory");
    let sheet = book.add_worksheet();
    sheet.set_name("survey").expect("it is written in memory");
    for (column, head) in ["Tag", "At rest", "Tripped", "Note", "Fed"].iter().enumerate() {
        sheet.write_string(2, column as u16, *head).expect("it is written in memory");
    }
    sheet.merge_range(3, 0, 4, 0, "C01", &Format::new()).expect("it is written in memory");
    sheet.write_string(3, 1, "2.20k").expect("it is written in memory");
    sheet.write_number(3, 2, 470).expect("it is written in memory");
    sheet
        .write_formula(4, 1, Formula::new("=\"4.7\"&\"k\"").set_result("4.7k"))
        .expect("it is written in memory");
    let date = ExcelDateTime::from_ymd(2026, 11, 28).expect("it is written in memory");
    sheet
        .write_datetime_with_format(4, 3, &date, &Format::new().set_num_format("yyyy-mm-dd"))
        .expect("it is written in memory");
    sheet.write_boolean(4, 4, true).expect("it is written in memory");
    book.save_to_buffer().expect("it is written in memory")
}

#[test]
fn a_workbook_has_its_sheets_with_every_cell_at_its_place() {
    let tables = read(&workbook()).unwrap();
    assert_eq!(tables.iter().map(|table| table.name.as_str()).collect::<Vec<_>>(), ["notes", "survey"]);
    let survey = rows(&tables[1]);
    assert_eq!(survey[2], ["Tag", "At rest", "Tripped", "Note", "Fed"]);
    assert_eq!(survey[3], ["C01", "2.20k", "470"]);
    assert_eq!(survey[4], ["C01", "4.7k", "", "2026-11-28", "yes"]);
    assert!(survey[0].is_empty() && survey[1].is_empty());
}

#[test]
fn an_open_document_has_the_same() {
    let bytes = ods(
        "<table:table table:name=\"survey &amp; more\"><table:table-row table:number-rows-repeated=\"2\"><table:table-cell table:number-columns-repeated=\"1024\"/></table:table-row>\
         <table:table-row><table:table-cell office:value-type=\"string\"><text:p>Tag</text:p></table:table-cell><table:table-cell table:number-columns-repeated=\"2\" office:value-type=\"string\"><text:p>At <text:span>rest</text:span></text:p></table:table-cell></table:table-row>\
         <table:table-row><table:table-cell table:number-rows-spanned=\"2\" office:value-type=\"string\"><text:p>C01</text:p><office:annotation><text:p>not this</text:p></office:annotation></table:table-cell><table:table-cell office:value-type=\"float\" office:value=\"470\"><text:p>470,00</text:p></table:table-cell><table:table-cell table:formula=\"of:=1\" office:value-type=\"string\"><text:p>2.2&#160;k&#937;</text:p></table:table-cell></table:table-row>\
         <table:table-row><table:covered-table-cell/><table:table-cell office:value-type=\"date\" office:date-value=\"2026-11-28T10:00:00\"><text:p>28/11</text:p></table:table-cell></table:table-row>\
         <table:table-row table:number-rows-repeated=\"1048570\"><table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row></table:table>",
    );
    let tables = read(&bytes).unwrap();
    assert_eq!(tables.len(), 1);
    assert_eq!(tables[0].name, "survey & more");
    let rows = rows(&tables[0]);
    let nothing: &[&str] = &[];
    assert_eq!(
        rows,
        [
            nothing,
            nothing,
            &["Tag", "At rest", "At rest"],
            &["C01", "470", "2.2\u{a0}kΩ"],
            &["C01", "2026-11-28"]
        ]
    );
}

#[test]
fn a_text_is_read_with_its_own_sign_in_utf_8_and_16() {
    for text in
        ["Tag;At rest\r\nC01;2,2k\r\n", "Tag\tAt rest\nC01\t2,2k\n", "\u{feff}Tag,At rest\nC01,\"2,2k\"\n"]
    {
        assert_eq!(rows(&read(text.as_bytes()).unwrap()[0]), [["Tag", "At rest"], ["C01", "2,2k"]], "{text}");
    }
    let wide: Vec<u8> = [0xff, 0xfe]
        .into_iter()
        .chain("Tag\tAt rest\nC01\t2.2 kΩ\n".encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    assert_eq!(rows(&read(&wide).unwrap()[0])[1], ["C01", "2.2 kΩ"]);
    // A line that is empty counts.
    assert_eq!(read(b"a\n\nb\n").unwrap()[0].rows.len(), 3);
}

#[test]
fn what_is_no_table_or_too_much_of_one_is_refused_with_what_would_do() {
    let says = |bytes: &[u8]| read(bytes).unwrap_err().text;
    let told = says(b"\x89PNG\r\n\x1a\n\xff");
    assert!(told.contains("neither"), "{told}");
    let told = says(b"PK\x03\x04 and no more");
    assert!(told.contains("unpacked"), "{told}");
    let told = says(&[0xd0, 0xcf, 0x11, 0xe0, 0, 0]);
    assert!(told.contains("old kind"), "{told}");
    let told = says(&archive(&[("word/document.xml", "<w/>")]));
    assert!(told.contains("no workbook"), "{told}");
    let told = says("x\n".repeat(MOST_ROWS + 1).as_bytes());
    assert!(told.contains("rows"), "{told}");
    let told = says(",".repeat(300).replace(',', "x,").as_bytes());
    assert!(told.contains("columns"), "{told}");
    let told = says(&vec![b'a'; 20 * 1024 * 1024 + 1]);
    assert!(told.contains("too large"), "{told}");
    // One cell a million times, a million rows, a cell far out, and 100 MB in a few kilobytes.
    let row = "<table:table-row table:number-rows-repeated=\"1000000\"><table:table-cell table:number-columns-repeated=\"200\" office:value-type=\"float\" office:value=\"1\"/></table:table-row>";
    let told = says(&ods(&format!("<table:table table:name=\"a\">{row}</table:table>")));
    assert!(told.contains("more"), "{told}");
    let far = "<worksheet xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><sheetData><row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row></sheetData></worksheet>";
    let book = "<workbook xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\" xmlns:r=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships\"><sheets><sheet name=\"a\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>";
    let ties = "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"><Relationship Id=\"r1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>";
    let top =
        ties.replace("worksheet\"", "officeDocument\"").replace("worksheets/sheet1.xml", "xl/workbook.xml");
    let far = archive(&[
        ("_rels/.rels", &top),
        ("xl/workbook.xml", book),
        ("xl/_rels/workbook.xml.rels", ties),
        ("xl/worksheets/sheet1.xml", far),
    ]);
    assert!(says(&far).contains("rows"), "{}", says(&far));
    let bomb = archive(&[("content.xml", &" ".repeat(100 * 1024 * 1024))]);
    assert!(bomb.len() < 200_000);
    let told = says(&bomb);
    assert!(told.contains("far larger"), "{told}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn a_damaged_workbook_is_read_or_refused(at in any::<prop::sample::Index>(), with in any::<u8>(), cut in 0_usize..40, of_ods in any::<bool>()) {
        let mut bytes = if of_ods {
            ods("<table:table table:name=\"a\"><table:table-row><table:table-cell office:value-type=\"float\" office:value=\"1\"/></table:table-row></table:table>")
        } else {
            workbook()
        };
        let at = at.index(bytes.len());
        bytes[at] = with;
        bytes.truncate(bytes.len() - cut);
        let _ = read(&bytes);
    }

    #[test]
    fn damaged_words_inside_a_workbook_are_read_or_refused(
        parts in prop::collection::vec("(<table:table table:name=\"a\">|<table:table-row|</table:table-row>|<table:table-cell|/>|>|</table:table-cell>| office:value-type=\"(float|string|date)\"| office:value=\"1\"| table:number-(rows|columns)-repeated=\"[0-9]{1,20}\"| table:number-rows-spanned=\"[0-9]{1,20}\"|<text:p>|</text:p>|&[a-z#0-9]{0,4};|</table:table>|x){0,30}", 1..2)
    ) {
        let _ = read(&ods(&parts[0]));
    }

    #[test]
    fn any_text_is_read_or_refused(text in "(?s:.{0,200})") {
        let _ = read(text.as_bytes());
    }
}
