//! What a survey sheet does to a job, to a new one as to one that is there: which pairs it brings, what becomes of each of
//! its readings, and what is written down of it as evidence.

use document::{Plain, Source};
use identify::{Column, SheetProblem, SheetReading, merge, read_sheet};
use job::{Change, Circuit, Job, Place, Reading, Shown, TableRef, When};

use crate::clear::{in_the_way, is_foreign, refuses};
use crate::request::Request;
use crate::sheet::Brought;
use crate::typed::{data, written};
use crate::world::Entry;

/// More pairs than a survey of one job has.
const MOST_PAIRS: usize = 5_000;

/// The job that a sheet is put beside.
pub(crate) struct Ground<'a> {
    /// Its text.
    pub(crate) text: &'a str,
    /// The same, read.
    pub(crate) job: &'a Job,
    /// What is known of which pairs are clear.
    pub(crate) safety: Safety<'a>,
}

/// By what ohms of a sheet are taken.
#[derive(Clone, Copy)]
pub(crate) enum Safety<'a> {
    /// The newest safety entry of each strip.
    Entries(&'a [Entry]),
    /// The job is new: nobody could write an entry yet, so only what the sheet itself has of a pair is in the way.
    New,
}

/// What becomes of a reading.
pub(crate) enum Fate {
    /// It is written; what stands under the same condition already, otherwise.
    New(Option<String>),
    /// The job has it.
    There,
    /// A trip of the job that had no name gets one.
    Named,
    /// It is not taken.
    Refused(String),
}

/// What a sheet would do to a job.
pub(crate) struct Plan {
    /// From what to what.
    pub(crate) changes: Vec<Change>,
    /// Tags that the job did not have.
    pub(crate) new_pairs: Vec<String>,
    /// The readings in the order of the sheet.
    pub(crate) readings: Vec<(SheetReading, Fate)>,
    /// The job with the new pairs in it.
    pub(crate) job: Job,
}

/// Why there is no plan.
pub(crate) enum NoPlan {
    /// In a sentence.
    Says(String),
    /// Cells that cannot be read.
    Cells(Vec<SheetProblem>),
}

impl Plan {
    /// What a sheet would do.
    pub(crate) fn of(ground: &Ground, sheet: &Brought) -> Result<Self, NoPlan> {
        let (mut changes, new_pairs) = new_pairs(ground, sheet)?;
        let source = Source::new("job.toml", with_pairs(ground.text, &changes));
        let Ok(job) = Job::read(&source) else {
            return Err(NoPlan::Says("The tags of this sheet cannot be used as they are.".to_owned()));
        };
        let readings = read_sheet(&job, &sheet.heads.columns, sheet.below()).map_err(NoPlan::Cells)?;
        let (after, readings) = fates(ground, &job, readings);
        let count = ground.job.circuits.len();
        for (at, (was, now)) in job.circuits.iter().zip(&after.circuits).enumerate() {
            // A pair that is new has its readings with it, so that all of it comes out again.
            match at.checked_sub(count).and_then(|new| changes.get_mut(new)) {
                Some(change) if !now.found.is_empty() => {
                    if let Some(Plain::Table(keys)) = &mut change.to {
                        keys.push(("found".to_owned(), Plain::List(now.found.iter().map(written).collect())));
                    }
                }
                Some(_) => {}
                None => changes.extend(entries_of_list(&source, was, now)),
            }
        }
        Ok(Self { changes, new_pairs, readings, job })
    }

    /// The readings that are written.
    pub(crate) fn taken(&self) -> impl Iterator<Item = &SheetReading> {
        let is_taken = |fate: &Fate| matches!(fate, Fate::New(_) | Fate::Named);
        self.readings.iter().filter(move |(_, fate)| is_taken(fate)).map(|(one, _)| one)
    }

    /// The readings that are not taken, each with the reason.
    pub(crate) fn refused(&self) -> impl Iterator<Item = (&SheetReading, &str)> {
        self.readings.iter().filter_map(|(one, fate)| match fate {
            Fate::Refused(why) => Some((one, why.as_str())),
            _ => None,
        })
    }

    /// The tag of a reading's pair.
    pub(crate) fn tag(&self, of: &SheetReading) -> &str {
        &self.job.circuits[of.circuit].tag.value
    }

    /// Every reading that is written, as evidence with the cell that it comes from.
    pub(crate) fn evidence(&self, request: &Request, id: &str, sheet: &Brought) -> Vec<Entry> {
        let accuracy = self.job.meter.accuracy_written();
        let entry = |(at, one): (usize, &SheetReading)| {
            let tag = self.tag(one);
            let typed = data(&written(&one.reading), &one.typed, &accuracy);
            let mut data: serde_json::Value = serde_json::from_str(&typed).unwrap_or_default();
            data["sheet"] = format!("{}, cell {}", sheet.file, sheet.place(one)).into();
            Entry {
                id: format!("{id}-{at}"),
                at: request.at.clone(),
                author: request.author.clone(),
                instrument: crate::clear::meter(&self.job),
                kind: "reading".to_owned(),
                about: tag.to_owned(),
                words: format!("{tag}: {}.", view::circuit::reading(&one.reading)),
                data: data.to_string(),
            }
        };
        self.taken().enumerate().map(entry).collect()
    }
}

impl Safety<'_> {
    /// Why a reading is not taken; none where it is.
    fn refuses(self, circuit: &Circuit, reading: &Reading) -> Option<String> {
        match self {
            Self::Entries(entries) => refuses(circuit, reading, entries),
            Self::New => {
                let is_out = match turn(reading) {
                    0 => false,
                    1 => in_the_way(circuit).is_some(),
                    _ => is_foreign(circuit),
                };
                is_out.then(|| refuses(circuit, reading, &[])).flatten()
            }
        }
    }
}

/// A change for every pair that the job does not have, and their tags.
fn new_pairs(ground: &Ground, sheet: &Brought) -> Result<(Vec<Change>, Vec<String>), NoPlan> {
    let has_box = |id: &str| ground.job.enclosures.iter().any(|known| known.id.value == id);
    let new = sheet.new_tags(ground.job);
    if ground.job.circuits.len() + new.len() > MOST_PAIRS {
        let says = "There are more tags in this sheet than a survey has pairs: at most 5,000.";
        return Err(NoPlan::Says(says.to_owned()));
    }
    let one = |row: &[String]| {
        let tag = sheet.cell(row, Column::Tag).to_owned();
        let keys = Plain::table(sheet.circuit(row, &has_box));
        (Change::new_table(TableRef::named("circuit", &tag), keys), tag)
    };
    Ok(new.into_iter().map(one).unzip())
}

/// A text with the pairs behind it that changes make: thousands at once, which one change after the other would take minutes for.
pub(crate) fn with_pairs(text: &str, changes: &[Change]) -> String {
    let mut text = text.to_owned();
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    for change in changes {
        let (Place::Table(TableRef::Named(kind, _)), None, Some(Plain::Table(keys))) =
            (&change.at, &change.from, &change.to)
        else {
            continue;
        };
        text += &format!("\n[[{kind}]]\n");
        text.extend(keys.iter().map(|(key, value)| format!("{key} = {}\n", value.literal())));
    }
    text
}

/// Volts first, then legs to earth, then the pair: so it has to be read, whatever the order of the columns.
fn turn(reading: &Reading) -> usize {
    let is_ohms = reading.shown.iter().any(|shown| matches!(shown, Shown::Ohms(_)));
    match reading.when {
        _ if !is_ohms => 0,
        When::Earth | When::EarthA | When::EarthB => 1,
        _ => 2,
    }
}

/// What becomes of each reading, in the order of the sheet, and the job as it then is.
fn fates(ground: &Ground, job: &Job, mut all: Vec<SheetReading>) -> (Job, Vec<(SheetReading, Fate)>) {
    all.sort_by_key(|reading| turn(&reading.reading));
    let mut after = job.clone();
    let mut fates = Vec::new();
    for one in all {
        let circuit = &after.circuits[one.circuit];
        let (why, stood) = (ground.safety.refuses(circuit, &one.reading), circuit.found.clone());
        let stands = otherwise(&stood, &one.reading);
        merge(&mut after, vec![one.clone()]);
        let found = &after.circuits[one.circuit].found;
        let renamed = found.iter().zip(&stood).any(|(now, before)| now.when != before.when);
        let is_there = found.len() == stood.len() && !renamed;
        let fate = match why {
            Some(why) if !is_there => {
                after.circuits[one.circuit].found = stood;
                Fate::Refused(why)
            }
            _ if is_there => Fate::There,
            _ if renamed => Fate::Named,
            _ => Fate::New(stands),
        };
        fates.push((one, fate));
    }
    fates.sort_by_key(|(one, _)| (one.reading.line, one.column));
    (after, fates)
}

/// What stands under the same condition already, of the same kind.
fn otherwise(found: &[Reading], new: &Reading) -> Option<String> {
    let kind = |reading: &Reading| reading.shown.first().map(std::mem::discriminant);
    let same = found.iter().rev().find(|known| known.when == new.when && kind(known) == kind(new));
    same.map(view::circuit::reading)
}

/// From the readings of a circuit as they stand to those that it then has.
fn entries_of_list(source: &Source, was: &Circuit, now: &Circuit) -> Vec<Change> {
    let place = |at: usize| Place::Entry(TableRef::named("circuit", &was.tag.value), "found".to_owned(), at);
    let mut changes = Vec::new();
    for (at, reading) in now.found.iter().enumerate() {
        let to = Some(written(reading));
        match was.found.get(at) {
            Some(known) if known.when == reading.when => {}
            Some(_) => {
                let from = place(at).standing(source);
                changes.push(Change { at: place(at), from, to });
            }
            None => changes.push(Change { at: place(at), from: None, to }),
        }
    }
    changes
}
