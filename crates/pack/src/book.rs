//! All that the templates read: the assessment in words, chapter by chapter, one struct a kind of sheet.
//!
//! Text of the job reaches the typesetter as data only, never as markup.

use assess::{Assessment, Cutover};
use serde::Serialize;

use crate::options::Options;
use crate::sheets::circuit::{CircuitSheet, circuit_sheet};
use crate::sheets::cutover::{CutoverSheets, cutover_sheets};
use crate::sheets::doors::{Door, doors};
use crate::sheets::findings::{FindingRow, finding_rows};
use crate::sheets::kit::{KitSheets, kit_sheets};
use crate::sheets::modules::{ModuleSheet, module_sheets};
use crate::sheets::schedule::{ScheduleRow, schedule};
use crate::sheets::signals::{Signals, signals};
use crate::sheets::summary::{Summary, summary};
use crate::sheets::supplies::{SupplySheet, supply_sheets};
use crate::sheets::survey::{Survey, survey};
use crate::sheets::tags::{Tags, tags};
use crate::title_block::CommonCells;
use crate::typeset::Mark;

/// Circuits that are set at one go.
const CIRCUITS_A_CHAPTER: usize = 20;

/// What stands in every title block.
#[derive(Serialize)]
pub(crate) struct Lead {
    paper: &'static str,
    date: String,
    cells: CommonCells,
    pub(crate) site: String,
}

impl Lead {
    pub(crate) fn new(assessment: &Assessment, options: &Options) -> Self {
        let job = assessment.job;
        let site = if job.site.name.is_empty() { "Site without a name" } else { job.site.name.as_str() };
        let drawn_from = match options.revision.as_str() {
            "" => options.file_name.clone(),
            revision => format!("{}, {revision}", options.file_name),
        };
        Self {
            paper: options.paper.word(),
            date: options.date.clone(),
            cells: CommonCells::new(
                &drawn_from,
                &format!("meter {}", job.meter.accuracy_written()),
                &options.checked,
            ),
            site: site.to_owned(),
        }
    }
}

/// One chapter; sheets of the same kind may be several chapters.
#[derive(Serialize)]
pub(crate) struct ChapterData<'a> {
    lead: &'a Lead,
    #[serde(flatten)]
    part: Part,
}

/// What stands in a chapter: the templates of the same names read it.
#[derive(Serialize)]
#[serde(rename_all = "snake_case")]
enum Part {
    Summary(Box<SummaryPart>),
    Schedule(Vec<ScheduleRow>),
    Modules(Vec<ModuleSheet>),
    Supplies(Vec<SupplySheet>),
    Circuits(Vec<CircuitSheet>),
    Survey(Survey),
    Signals(Signals),
    Cutover(Box<CutoverSheets>),
    Findings(Vec<FindingRow>),
    Doors(Vec<Door>),
    Kit(Box<KitSheets>),
    Tags(Tags),
}

/// The first sheets, with what comes behind them.
#[derive(Serialize)]
struct SummaryPart {
    summary: Summary,
    contents: Vec<Mark>,
}

/// The chapters before those of the circuits.
pub(crate) fn first_chapters<'a>(assessment: &Assessment, lead: &'a Lead) -> Vec<ChapterData<'a>> {
    let mut parts = vec![Part::Schedule(schedule(assessment)), Part::Modules(module_sheets(assessment))];
    if !assessment.supplies.is_empty() {
        parts.push(Part::Supplies(supply_sheets(assessment)));
    }
    parts.into_iter().map(|part| ChapterData { lead, part }).collect()
}

/// The chapters behind those of the circuits, but for the tags.
pub(crate) fn last_chapters<'a>(
    assessment: &Assessment,
    cutover: &Cutover,
    lead: &'a Lead,
) -> Vec<ChapterData<'a>> {
    let mut parts: Vec<Part> =
        cutover_sheets(cutover).map(|sheets| Part::Cutover(Box::new(sheets))).into_iter().collect();
    parts.push(Part::Findings(finding_rows(assessment)));
    let kit = kit_sheets(assessment, year(&lead.date), &lead.date);
    parts.extend(kit.map(|kit| Part::Kit(Box::new(kit))));
    parts.push(Part::Doors(doors(assessment)));
    parts.extend(signals(assessment).map(Part::Signals));
    parts.push(Part::Survey(survey(assessment)));
    parts.into_iter().map(|part| ChapterData { lead, part }).collect()
}

/// The year of a date that was read before.
fn year(date: &str) -> Option<i32> {
    date.get(..4)?.parse().ok()
}

/// The circuits of each chapter, as places in the assessment.
pub(crate) fn circuit_chapters(assessment: &Assessment) -> impl Iterator<Item = Vec<usize>> {
    let places: Vec<usize> = (0..assessment.circuits.len()).collect();
    let chapters: Vec<Vec<usize>> = places.chunks(CIRCUITS_A_CHAPTER).map(<[usize]>::to_vec).collect();
    chapters.into_iter()
}

/// A chapter of these circuits, as large as it reads best, or dense.
pub(crate) fn circuit_chapter<'a>(
    assessment: &Assessment,
    lead: &'a Lead,
    circuits: &[usize],
    dense: bool,
) -> ChapterData<'a> {
    let results = circuits.iter().filter_map(|&at| Some((at, assessment.circuits.get(at)?)));
    let sheets = results.map(|(at, result)| circuit_sheet(assessment, result, at == 0, dense));
    ChapterData { lead, part: Part::Circuits(sheets.collect()) }
}

/// The chapter of tags, which is a document of its own too.
pub(crate) fn tag_chapter<'a>(assessment: &Assessment, lead: &'a Lead) -> ChapterData<'a> {
    ChapterData { lead, part: Part::Tags(tags(assessment)) }
}

/// The summary, with what comes behind it.
pub(crate) fn summary_chapter<'a>(
    assessment: &Assessment,
    lead: &'a Lead,
    contents: Vec<Mark>,
) -> ChapterData<'a> {
    let part = Part::Summary(Box::new(SummaryPart { summary: summary(assessment), contents }));
    ChapterData { lead, part }
}
