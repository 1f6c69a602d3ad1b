//! Survey sheets as files: CSV and XLSX, ours or any table with a header row that can be mapped.

use std::io::Cursor;
use std::path::Path;

use calamine::{Data, Reader, Xlsx};
use document::Complaint;
use identify::{Column, Sheet, SheetReading, read_sheet};
use job::Job;

use crate::input;

/// Rows that are looked through for the header.
const HEADER_WITHIN: usize = 20;
/// More rows than any building has pairs.
const MOST_ROWS: usize = 20_000;

/// A table of texts: every row with its place in the file, from 1.
type Rows = Vec<Vec<String>>;

/// The readings of a filled-in sheet.
///
/// # Errors
/// Everything that cannot be read: the file, a mapping, a cell.
pub(crate) fn read(path: &Path, map: &[String], job: &Job) -> Result<Vec<SheetReading>, Vec<Complaint>> {
    let name = path.display().to_string();
    let foreign = mappings(map)?;
    let rows = rows(path).map_err(|complaint| vec![*complaint])?;
    let named = |cell: &String| {
        let own = foreign.iter().find(|(header, _)| header.eq_ignore_ascii_case(cell.trim()));
        own.map(|(_, column)| *column).or_else(|| Column::named(cell))
    };
    let is_header = |row: &Vec<String>| row.iter().any(|cell| named(cell) == Some(Column::Tag));
    let Some(header) = rows.iter().take(HEADER_WITHIN).position(is_header) else {
        let text = "no header row with a column for the tags".to_owned();
        let accept = "a row with `Tag`, or --map \"your header=tag\"";
        return Err(vec![input::about_file(&name, text, accept)]);
    };
    if let Some((missing, _)) =
        foreign.iter().find(|(own, _)| !rows[header].iter().any(|cell| cell.trim().eq_ignore_ascii_case(own)))
    {
        let text = format!("no column is called `{missing}`");
        let headers: Vec<&str> =
            rows[header].iter().map(|cell| cell.trim()).filter(|cell| !cell.is_empty()).collect();
        return Err(vec![input::about_file(&name, text, &document::list(headers))]);
    }
    let columns: Vec<Option<Column>> = rows[header].iter().map(named).collect();
    read_sheet(job, &columns, &rows[header + 1..]).map_err(|problems| {
        let complaint = |problem: identify::SheetProblem| Complaint {
            line: problem.row + header,
            column: problem.column,
            ..input::about_file(&name, problem.text, &problem.accept)
        };
        problems.into_iter().map(complaint).collect()
    })
}

/// A sheet to fill in, as CSV.
pub(crate) fn blank(job: &Job) -> std::io::Result<Vec<u8>> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(Column::ALL.map(Column::title))?;
    for row in Sheet::of(job).rows {
        out.write_record(row.iter().map(|cell| guarded(cell)))?;
    }
    out.flush()?;
    out.into_inner().map_err(|error| std::io::Error::other(error.to_string()))
}

/// A cell that a spreadsheet would take for a formula is typed as text.
fn guarded(cell: &str) -> String {
    if cell.starts_with(['=', '+', '-', '@']) { format!("'{cell}") } else { cell.to_owned() }
}

/// `Ohms closed=rest` as header and column.
fn mappings(map: &[String]) -> Result<Vec<(String, Column)>, Vec<Complaint>> {
    let words: Vec<&str> = Column::ALL.into_iter().map(Column::word).collect();
    let mut good = Vec::new();
    let mut bad = Vec::new();
    let mut wrong = |text: String, accept: &str| bad.push(input::about_file("command line", text, accept));
    for text in map {
        let Some((header, meaning)) = text.rsplit_once('=') else {
            wrong(format!("`--map {text}` has no `=`"), "`your header=tag`, `your header=rest`");
            continue;
        };
        match Column::named(meaning) {
            Some(column) => good.push((header.trim().to_owned(), column)),
            None => wrong(
                format!("`{meaning}` is no column of a survey sheet"),
                &document::list(words.iter().copied()),
            ),
        }
    }
    if bad.is_empty() { Ok(good) } else { Err(bad) }
}

fn rows(path: &Path) -> Result<Rows, Box<Complaint>> {
    let name = path.display().to_string();
    let bytes = input::bytes(path, "a survey sheet as CSV or XLSX")?;
    let refused = |text: String| Box::new(input::about_file(&name, text, "a survey sheet as CSV or XLSX"));
    // A workbook is an archive, whatever its name says.
    let rows = if bytes.starts_with(b"PK") {
        workbook(bytes).map_err(|error| refused(format!("this workbook cannot be read: {error}")))?
    } else {
        let text = std::str::from_utf8(&bytes)
            .map_err(|_| refused("this is neither UTF-8 text nor a workbook".to_owned()))?;
        separated(text.trim_start_matches('\u{feff}')).map_err(|error| refused(format!("line {error}")))?
    };
    if rows.len() > MOST_ROWS {
        return Err(refused(format!("{} rows are more than any building has pairs", rows.len())));
    }
    Ok(rows)
}

/// The first sheet of a workbook.
fn workbook(bytes: Vec<u8>) -> Result<Rows, calamine::XlsxError> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes))?;
    let Some(range) = book.worksheet_range_at(0).transpose()? else { return Ok(Vec::new()) };
    let text = |cell: &Data| match cell {
        Data::Empty => String::new(),
        other => other.to_string(),
    };
    // A range begins where its first cell is; rows above it are empty but count.
    let above = range.start().map_or(0, |(row, _)| row as usize).min(MOST_ROWS);
    let mut rows: Rows = vec![Vec::new(); above];
    rows.extend(range.rows().take(MOST_ROWS + 1).map(|row| row.iter().map(text).collect()));
    Ok(rows)
}

/// Comma, semicolon or tab, whichever the first lines have most of.
fn separated(text: &str) -> Result<Rows, csv::Error> {
    let count =
        |sign: char| text.lines().take(HEADER_WITHIN).map(|line| line.matches(sign).count()).sum::<usize>();
    let sign = [',', ';', '\t'].into_iter().max_by_key(|sign| (count(*sign), *sign == ',')).unwrap_or(',');
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(u8::try_from(sign).unwrap_or(b','))
        .from_reader(text.as_bytes());
    let mut rows = Rows::new();
    for record in reader.records() {
        let record = record?;
        // Lines that the reader passes over, because nothing is on them, count all the same.
        let line = record
            .position()
            .map_or(rows.len() + 1, |position| usize::try_from(position.line()).unwrap_or(0));
        while rows.len() + 1 < line.min(MOST_ROWS) {
            rows.push(Vec::new());
        }
        rows.push(record.iter().map(str::to_owned).collect());
    }
    Ok(rows)
}
