//! The one door: an assessment in, every file of the pack out.

use assess::{Assessment, Cutover, CutoverAsked};
use serde::Serialize;
use serde_json::Value;

use crate::book::{
    ChapterData, Lead, circuit_chapter, circuit_chapters, first_chapters, last_chapters, summary_chapter,
    tag_chapter,
};
use crate::glyphs::{breakable, printable};
use crate::kit_tables::kit_tables;
use crate::options::{Date, File, Files, Options, PackError};
use crate::tables::tables;
use crate::title_block::TitleBlock;
use crate::typeset::{Chapter, Mark, Sheet, bound, chapter, framed, ground};
use crate::{csv, xlsx};

/// Frames that are set at one go.
const FRAMES_AT_ONCE: usize = 60;
/// Sheets that the summary has unless it turns out otherwise.
const SUMMARY_SHEETS: usize = 3;
/// A summary whose length changes with the numbers in its contents is set so many times.
const TRIALS: usize = 3;

/// Makes every file of the pack: `pack.pdf`, `tags.pdf`, `tables.xlsx`, `tables/*.csv`.
///
/// Pure: the same assessment and options give the same bytes.
///
/// # Errors
/// A date that is none; or, by a fault of this program, a document that the typesetter refuses.
pub fn pack(assessment: &Assessment, options: &Options) -> Result<Files, PackError> {
    let date: Date = options.date.parse()?;
    let lead = Lead::new(assessment, options);
    let cutover = assess::cutover(assessment, CutoverAsked::default());
    let set = set(assessment, &cutover, &lead)?;
    let tags = document(&lead, set.last().cloned().into_iter().collect(), "Cable tags", date)?;
    let sheets = set.iter().map(|chapter| chapter.sheets.len()).sum();
    let pack = document(&lead, set, "Take-over pack", date)?;
    let mut tables = tables(assessment, &cutover);
    tables.extend(kit_tables(assessment, Some(i32::from(date.year))));
    let mut files = vec![
        File { name: "pack.pdf".to_owned(), bytes: pack },
        File { name: "tags.pdf".to_owned(), bytes: tags },
        File { name: "tables.xlsx".to_owned(), bytes: xlsx::workbook(&tables, date)? },
    ];
    for table in &tables {
        files.push(File { name: format!("tables/{}.csv", table.name), bytes: csv::text(table)? });
    }
    Ok(Files { files, sheets })
}

/// All chapters in the order of the pack; the last is that of the tags.
fn set(assessment: &Assessment, cutover: &Cutover, lead: &Lead) -> Result<Vec<Chapter>, PackError> {
    let mut set = Vec::new();
    // No two settings may have one number; 0 is the summary's.
    let mut number = 0;
    let mut next = |part: &ChapterData| {
        number += 1;
        chapter(number, data(part)?)
    };
    for part in first_chapters(assessment, lead) {
        set.push(next(&part)?);
    }
    for circuits in circuit_chapters(assessment) {
        let mut loose = next(&circuit_chapter(assessment, lead, &circuits, false))?;
        let spilt: Vec<usize> =
            loose.spilt().into_iter().filter_map(|at| circuits.get(at).copied()).collect();
        if !spilt.is_empty() {
            let dense = next(&circuit_chapter(assessment, lead, &spilt, true))?;
            loose.take_shorter(dense);
        }
        set.push(loose);
    }
    for part in last_chapters(assessment, cutover, lead) {
        set.push(next(&part)?);
    }
    set.push(next(&tag_chapter(assessment, lead))?);
    set.insert(0, summed_up(assessment, lead, &set)?);
    Ok(set)
}

/// The sheets of the pack before they are bound.
#[cfg(test)]
pub(crate) fn sheets(assessment: &Assessment, lead: &Lead) -> Result<Vec<Sheet>, PackError> {
    let cutover = assess::cutover(assessment, CutoverAsked::default());
    numbered(lead, set(assessment, &cutover, lead)?)
}

/// The summary with its table of contents; how long it is itself decides on which sheets the others stand.
fn summed_up(assessment: &Assessment, lead: &Lead, behind: &[Chapter]) -> Result<Chapter, PackError> {
    let mut own = SUMMARY_SHEETS;
    let mut trials = 0;
    loop {
        let mut contents = vec![Mark { name: "Summary and cautions".to_owned(), sheet: 1 }];
        let mut before = own;
        for chapter in behind {
            let marks = chapter.marks.iter();
            contents.extend(marks.map(|mark| Mark { name: mark.name.clone(), sheet: before + mark.sheet }));
            before += chapter.sheets.len();
        }
        let set = chapter(0, data(&summary_chapter(assessment, lead, contents))?)?;
        trials += 1;
        if set.sheets.len() == own || trials == TRIALS {
            return Ok(set);
        }
        own = set.sheets.len();
    }
}

/// What frames and title blocks are made of.
#[derive(Serialize)]
struct Blocks<'a> {
    lead: &'a Lead,
    blocks: Vec<TitleBlock>,
}

/// Frames the sheets of the chapters, numbers them, and binds them.
fn document(lead: &Lead, chapters: Vec<Chapter>, what: &str, date: Date) -> Result<Vec<u8>, PackError> {
    let title = format!("{what}: {}", lead.site);
    let Some(info) = chapters.first().map(|first| first.info(title)) else { return Ok(Vec::new()) };
    bound(numbered(lead, chapters)?.into_iter().map(Sheet::into_page), info, date)
}

/// The sheets of the chapters, framed and numbered through.
fn numbered(lead: &Lead, chapters: Vec<Chapter>) -> Result<Vec<Sheet>, PackError> {
    let mut sheets: Vec<Sheet> = chapters.into_iter().flat_map(|chapter| chapter.sheets).collect();
    let count = sheets.len();
    let ground = ground(measured_data(lead)?)?;
    for (at, some) in sheets.chunks_mut(FRAMES_AT_ONCE).enumerate() {
        let from = at * FRAMES_AT_ONCE + 1;
        let blocks = some.iter().zip(from..);
        let blocks = blocks.map(|(sheet, number)| TitleBlock::new(&sheet.block, &lead.site, number, count));
        let blocks = Blocks { lead, blocks: blocks.collect() };
        framed(some, from, &ground, measured_data(&blocks)?)?;
    }
    Ok(sheets)
}

/// What the templates read: a glyph for every character, and a place to break in every long word.
fn data(book: &impl Serialize) -> Result<Vec<u8>, PackError> {
    settled(book, true)
}

/// What was measured and broken already: a glyph for every character, nothing else.
fn measured_data(book: &impl Serialize) -> Result<Vec<u8>, PackError> {
    settled(book, false)
}

fn settled(book: &impl Serialize, breaks: bool) -> Result<Vec<u8>, PackError> {
    let wrong = |error: serde_json::Error| PackError::Typeset(error.to_string());
    let mut book = serde_json::to_value(book).map_err(wrong)?;
    settle(&mut book, breaks);
    serde_json::to_vec(&book).map_err(wrong)
}

/// Walks all texts; a drawing keeps its words as they are measured.
fn settle(value: &mut Value, breaks: bool) {
    match value {
        Value::String(text) if breaks => *text = breakable(&printable(text)).into_owned(),
        Value::String(text) => *text = printable(text).into_owned(),
        Value::Array(values) => values.iter_mut().for_each(|value| settle(value, breaks)),
        Value::Object(fields) => {
            for (name, value) in fields {
                settle(value, breaks && name != "svg");
            }
        }
        _ => {}
    }
}
