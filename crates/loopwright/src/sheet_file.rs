//! Survey sheets as files: CSV, XLSX and ODS, ours or any table with a header row that can be mapped.

use std::path::Path;

use document::Complaint;
use identify::{
    Column, Sheet, SheetProblem, SheetReading, SheetTrouble, cell_name, read_sheet, survey_sheet,
};
use job::Job;

use crate::input;

/// The readings of a filled-in sheet.
///
/// # Errors
/// Everything that cannot be read: the file, a mapping, a cell.
pub(crate) fn read(path: &Path, map: &[String], job: &Job) -> Result<Vec<SheetReading>, Vec<Complaint>> {
    let name = path.display().to_string();
    let about = |text: &str, accept: &str| vec![input::about_file(&name, text.to_owned(), accept)];
    let foreign = mappings(map)?;
    let bytes =
        input::bytes(path, "a survey sheet as CSV, XLSX or ODS").map_err(|complaint| vec![*complaint])?;
    let is_workbook = bytes.starts_with(b"PK");
    let tables = cells::read(&bytes).map_err(|unread| about(&unread.text, &unread.accept))?;
    let Some((at, heads)) = survey_sheet(tables.iter().map(|table| table.rows.as_slice()), &foreign) else {
        let accept = "a row with `Tag`, or --map \"your header=tag\"";
        return Err(about("no header row with a column for the tags", accept));
    };
    let rows = &tables[at].rows;
    let header = &rows[heads.row];
    let is_there = |own: &String| header.iter().any(|cell| cell.trim().eq_ignore_ascii_case(own));
    if let Some((missing, _)) = foreign.iter().find(|(own, _)| !is_there(own)) {
        let own = header.iter().map(|cell| cell.trim()).filter(|cell| !cell.is_empty());
        return Err(about(&format!("no column is called `{missing}`"), &document::list(own)));
    }
    read_sheet(job, &heads.columns, &rows[heads.row + 1..]).map_err(|problems| {
        let complaint = |problem: SheetProblem| {
            let row = problem.row + heads.row;
            // A workbook has no lines: people find a cell by its name.
            let text = match is_workbook {
                true => format!("cell {}: {}", cell_name(row, problem.column), problem.text),
                false => problem.text,
            };
            let accept = match problem.trouble {
                SheetTrouble::Head => {
                    "--map \"its header=rest\" or another word; --map \"its header=note\" when it holds no reading"
                }
                SheetTrouble::Tag => "a tag of the job; add a [[circuit]] for a new one",
                SheetTrouble::Cell => &problem.accept,
            };
            Complaint { line: row, column: problem.column, ..input::about_file(&name, text, accept) }
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
