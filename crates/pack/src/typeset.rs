//! Sheets are set chapter by chapter, framed when all are counted, and bound into one PDF.
//!
//! A pack of hundreds of sheets set at one go keeps everything that the typesetter might want again, and sets all of
//! it twice, because a title block says how many sheets there are. So a chapter is set without frames, and nothing
//! in it asks on which sheet it stands; what was kept for it is dropped before the next.

use serde::{Deserialize, Serialize};
use typst::World;
use typst::comemo;
use typst::diag::{SourceDiagnostic, SourceResult};
use typst::ecow::EcoVec;
use typst::engine::Engine;
use typst::foundations::{Content, NativeElement, Output, Smart, StyleChain, Target};
use typst::foundations::{Datetime, Value};
use typst::introspection::{Introspector, Locator, MetadataElem};
use typst::layout::{Frame, FrameItem, GroupItem, Point};
use typst::model::{DocumentInfo, HeadingElem};
use typst_layout::{Page, PagedDocument, layout_document_for_bundle};
use typst_pdf::{PdfOptions, Timestamp};

use crate::desk::{Desk, Setting};
use crate::glyphs::printable;
use crate::options::{Date, PackError};

/// What a template says of the title block of its sheets.
#[derive(Clone, Deserialize, Debug)]
pub(crate) struct Block {
    pub(crate) title: String,
    pub(crate) lines: Vec<String>,
    pub(crate) scale: String,
    pub(crate) extra_label: String,
    pub(crate) extra: String,
    pub(crate) held: String,
}

/// A heading for the table of contents.
#[derive(Clone, PartialEq, Eq, Serialize, Debug)]
pub(crate) struct Mark {
    /// What it says.
    pub(crate) name: String,
    /// The sheet that it stands on, the first of its chapter being 1.
    pub(crate) sheet: usize,
}

/// A sheet without its frame.
#[derive(Clone)]
pub(crate) struct Sheet {
    page: Page,
    /// Which of the chapter's documents it belongs to.
    of: usize,
    pub(crate) block: Block,
}

/// A chapter that was set.
#[derive(Clone)]
pub(crate) struct Chapter {
    pub(crate) sheets: Vec<Sheet>,
    /// Headings of the first level.
    pub(crate) marks: Vec<Mark>,
    info: DocumentInfo,
}

/// Sets a chapter; `data` is JSON that the templates read.
pub(crate) fn chapter(number: usize, data: Vec<u8>) -> Result<Chapter, PackError> {
    let set = set(&Desk::new(Setting::Chapter(number), data))?;
    let document = set.0;
    let introspector = document.introspector();
    let mut blocks: Vec<(usize, Block)> = Vec::new();
    for element in introspector.query(&MetadataElem::ELEM.select()) {
        let (Some(metadata), Some(page)) = (element.to_packed::<MetadataElem>(), page(&document, &element))
        else {
            continue;
        };
        blocks.push((page, block(&metadata.value)?));
    }
    let marks = introspector
        .query(&HeadingElem::ELEM.select())
        .iter()
        .filter_map(|element| {
            let heading = element.to_packed::<HeadingElem>()?;
            let is_mark = heading.resolve_level(StyleChain::default()).get() == 1;
            let sheet = page(&document, element)?;
            is_mark.then(|| Mark { name: heading.body.plain_text().to_string(), sheet })
        })
        .collect();
    let of = |at: usize| blocks.iter().rposition(|(page, _)| *page <= at + 1);
    // A chapter without documents is one empty page, which says nothing of itself.
    let pages = document.pages().iter().enumerate();
    let sheets = pages
        .filter_map(|(at, page)| {
            let of = of(at)?;
            Some(Sheet { page: page.clone(), of, block: blocks[of].1.clone() })
        })
        .collect();
    let mut document = document;
    let info = document.info_mut().clone();
    Ok(Chapter { sheets, marks, info })
}

fn page(document: &PagedDocument, element: &Content) -> Option<usize> {
    document.introspector().page(element.location()?).map(std::num::NonZero::get)
}

fn block(value: &Value) -> Result<Block, PackError> {
    let wrong = |error: serde_json::Error| PackError::Typeset(error.to_string());
    let mut block: Block =
        serde_json::from_value(serde_json::to_value(value).map_err(wrong)?).map_err(wrong)?;
    // A title block is broken into lines by measure, not where the typesetter may.
    block.lines.iter_mut().chain([&mut block.title, &mut block.scale, &mut block.extra]).for_each(|text| {
        *text = printable(text).into_owned();
    });
    Ok(block)
}

/// What every sheet has at the same place, set once.
pub(crate) struct Ground(Frame);

/// Sets frame, foot line and the empty title block.
pub(crate) fn ground(data: Vec<u8>) -> Result<Ground, PackError> {
    let set = set(&Desk::new(Setting::Ground, data))?.0;
    let page = set.pages().first().ok_or_else(|| PackError::Typeset("no ground".to_owned()))?;
    Ok(Ground(untagged(&page.frame)))
}

/// Sets what title blocks say, a page for each sheet from `from` on, and lays the sheets on the ground with them.
pub(crate) fn framed(
    sheets: &mut [Sheet],
    from: usize,
    ground: &Ground,
    data: Vec<u8>,
) -> Result<(), PackError> {
    let written = set(&Desk::new(Setting::Blocks(from), data))?.0;
    if written.pages().len() != sheets.len() {
        return Err(PackError::Typeset("not a title block for every sheet".to_owned()));
    }
    for (sheet, written) in sheets.iter_mut().zip(written.pages()) {
        let (mut under, done) = grounded(&written.frame, &ground.0);
        if !done {
            under.prepend_frame(Point::zero(), ground.0.clone());
        }
        sheet.page.frame.prepend_frame(Point::zero(), under);
    }
    Ok(())
}

/// A frame without tags: it stands on many pages, and an element stands at one place.
fn untagged(frame: &Frame) -> Frame {
    let mut bare = Frame::new(frame.size(), frame.kind());
    for (at, item) in frame.items() {
        match item {
            FrameItem::Tag(_) => {}
            FrameItem::Group(group) => {
                let group = GroupItem { frame: untagged(&group.frame), ..group.clone() };
                bare.push(*at, FrameItem::Group(group));
            }
            other => bare.push(*at, other.clone()),
        }
    }
    bare
}

/// The frame with the ground behind the first tag, which says that what follows is no part of what a reader is told;
/// and whether there is one.
fn grounded(frame: &Frame, ground: &Frame) -> (Frame, bool) {
    let mut out = Frame::new(frame.size(), frame.kind());
    let mut done = false;
    for (at, item) in frame.items() {
        match item {
            FrameItem::Tag(_) if !done => {
                out.push(*at, item.clone());
                out.push(Point::zero(), FrameItem::Group(GroupItem::new(ground.clone())));
                done = true;
            }
            FrameItem::Group(group) if !done => {
                let (frame, inside) = grounded(&group.frame, ground);
                done = inside;
                out.push(*at, FrameItem::Group(GroupItem { frame, ..group.clone() }));
            }
            other => out.push(*at, other.clone()),
        }
    }
    (out, done)
}

/// Binds sheets into a PDF with bookmarks and tags.
pub(crate) fn bound(
    sheets: impl Iterator<Item = Page>,
    info: DocumentInfo,
    date: Date,
) -> Result<Vec<u8>, PackError> {
    let pages: EcoVec<Page> = sheets.zip(1..).map(|(page, number)| Page { number, ..page }).collect();
    let document = PagedDocument::new(pages, info);
    let date = Datetime::from_ymd_hms(i32::from(date.year), date.month, date.day, 0, 0, 0);
    let options = PdfOptions {
        creator: Smart::Custom(Some(format!("Loopwright {}", env!("CARGO_PKG_VERSION")))),
        timestamp: date.map(Timestamp::new_utc),
        ..PdfOptions::default()
    };
    let pdf = typst_pdf::pdf(&document, &options).map_err(|errors| refused(&errors));
    comemo::evict(0);
    pdf
}

impl Sheet {
    /// The sheet itself.
    pub(crate) fn into_page(self) -> Page {
        self.page
    }
}

impl Chapter {
    /// The documents that took more than one sheet, by their places in the chapter.
    pub(crate) fn spilt(&self) -> Vec<usize> {
        let pairs = self.sheets.windows(2).filter(|pair| pair[0].of == pair[1].of);
        let mut spilt: Vec<usize> = pairs.map(|pair| pair[0].of).collect();
        spilt.dedup();
        spilt
    }

    /// Takes each of the other's documents for the one that spilt, in their order, where it has fewer sheets.
    pub(crate) fn take_shorter(&mut self, other: Self) {
        for (at, of) in self.spilt().into_iter().enumerate() {
            let is_same = |sheet: &Sheet| sheet.of == of;
            let Some(from) = self.sheets.iter().position(is_same) else { continue };
            let count = self.sheets.iter().filter(|sheet| is_same(sheet)).count();
            let shorter: Vec<Sheet> = other.sheets.iter().filter(|sheet| sheet.of == at).cloned().collect();
            if !shorter.is_empty() && shorter.len() < count {
                let shorter = shorter.into_iter().map(|sheet| Sheet { of, ..sheet });
                self.sheets.splice(from..from + count, shorter);
            }
        }
    }

    /// What the document's properties say, with a title.
    pub(crate) fn info(&self, title: String) -> DocumentInfo {
        DocumentInfo { title: Some(title.into()), ..self.info.clone() }
    }
}

/// A setting as the typesetter gives it back.
struct Set(PagedDocument);

impl Output for Set {
    fn target() -> Target {
        Target::Paged
    }

    /// Elements are found again by a hash of where they stand, from the root down; settings that are bound together
    /// must not share a root.
    fn create(engine: &mut Engine, content: &Content, styles: StyleChain) -> SourceResult<Self> {
        let main = engine.world.main();
        let root = Locator::root().split().next(main.get().vpath());
        layout_document_for_bundle(engine, content, root, styles).map(Self)
    }

    fn introspector(&self) -> &dyn Introspector {
        self.0.introspector().as_ref()
    }
}

fn set(desk: &Desk) -> Result<Set, PackError> {
    let set = typst::compile::<Set>(desk).output.map_err(|errors| refused(&errors));
    // What was kept for setting it again is of no use to what comes next, which needs the room.
    comemo::evict(0);
    set
}

fn refused(errors: &[SourceDiagnostic]) -> PackError {
    let words: Vec<String> = errors
        .iter()
        .map(|error| {
            let place = error.span.id().map(|id| format!("{:?}: ", id.get().vpath())).unwrap_or_default();
            format!("{place}{}", error.message)
        })
        .collect();
    PackError::Typeset(words.join("; "))
}

#[cfg(test)]
mod tests {
    use assess::Assessment;

    use super::*;
    use crate::options::{Options, Paper};

    const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");

    /// What stands on a sheet, line by line from the top, with the millimetres from its upper edge.
    fn words(sheet: &Sheet) -> String {
        let mut pieces: Vec<(i64, i64, String)> = Vec::new();
        gather(&sheet.page.frame, Point::zero(), &mut pieces);
        pieces.sort_by_key(|(line, x, _)| (*line, *x));
        let mut text = String::new();
        let mut before = None;
        for (line, _, piece) in pieces {
            if before != Some(line) {
                text.push_str(&format!("\n{line:>3}"));
                before = Some(line);
            }
            text.push_str("  ");
            text.push_str(piece.trim());
        }
        text
    }

    /// Pieces of text with their places: millimetres down, tenths of a millimetre across.
    fn gather(frame: &Frame, origin: Point, into: &mut Vec<(i64, i64, String)>) {
        for (at, item) in frame.items() {
            let at = *at + origin;
            match item {
                FrameItem::Group(group) => gather(&group.frame, at, into),
                FrameItem::Text(text) => {
                    let across = (at.x.to_mm() * 10.0).round() as i64;
                    into.push((at.y.to_mm().round() as i64, across, text.text.to_string()));
                }
                _ => {}
            }
        }
    }

    /// The first sheet of every kind, and a circuit's that has to be changed.
    fn sheets(assessment: &Assessment) -> Vec<(String, String)> {
        let options = Options {
            paper: Paper::A4,
            date: "2026-11-25".to_owned(),
            file_name: "job.toml".to_owned(),
            revision: "change 1".to_owned(),
            checked: String::new(),
        };
        let lead = crate::book::Lead::new(assessment, &options);
        let bound = crate::pack::sheets(assessment, &lead).expect("sheets");
        let mut kinds: Vec<(String, String)> = Vec::new();
        for sheet in &bound {
            let kind = sheet.block.title.to_lowercase().replace([' ', ':'], "-");
            if kind.starts_with("circuit-c") && kind != "circuit-c03" {
                continue;
            }
            if kinds.iter().all(|(known, _)| *known != kind) {
                kinds.push((kind, words(sheet)));
            }
        }
        kinds
    }

    /// The text of the sheets; what is drawn has its snapshots in `drawing`.
    #[test]
    fn what_the_sheets_of_the_example_say() {
        let job = job::Job::read(&document::Source::new("job.toml", EXAMPLE)).expect("a job without errors");
        let library = library::Library::embedded();
        let assessment = assess::assess(&job, &library, &|_, _| {});
        for (kind, words) in sheets(&assessment) {
            insta::assert_snapshot!(kind, words);
        }
    }
}
