//! Survey sheets that somebody filled in: a job made of one, and readings out of one into a job that is there.

use std::collections::{BTreeMap, BTreeSet};

use document::{Plain, Source};
use identify::{Column, Heads, SheetProblem, SheetReading, cell_name, merge, read_sheet, survey_sheet};
use job::{Change, Job, Place, Reading, Shown, TableRef, When};
use maud::{Markup, html};

use crate::answer::Answer;
use crate::changes::Act;
use crate::clear::{in_the_way, is_foreign, refuses};
use crate::frame::{Open, Page, Tab, plain, refused};
use crate::request::Request;
use crate::survey::{clearances, entry_id};
use crate::typed::{data, written};
use crate::world::{Entry, Table, World};

/// More pairs than a survey of one job has.
const MOST_PAIRS: usize = 5_000;
/// Readings that are written into a job at once.
const MOST_AT_ONCE: usize = 2_000;
/// Rows of the table that shows what would be written.
const ROWS_SHOWN: usize = 300;
/// Problems that are listed.
const PROBLEMS_SHOWN: usize = 100;

/// A sheet that came along.
pub(crate) struct Brought {
    /// The file's name.
    file: String,
    rows: Vec<Vec<String>>,
    heads: Heads,
}

impl Brought {
    /// The survey sheet of the file that came along: of a workbook the one whose heads are those of a survey.
    pub(crate) fn of(world: &dyn World, request: &Request, back: &str) -> Result<Self, Box<Answer>> {
        let refuse = |says: &str, accept: &str| Box::new(refused(request, says, accept, back));
        let Some(upload) = request.upload.as_ref().filter(|upload| !upload.bytes.is_empty()) else {
            return Err(refuse("No file came along, or an empty one.", ""));
        };
        let tables = world.tables(&upload.bytes).map_err(|unread| {
            let says = format!("{}.", view::words::capital(&unread.says));
            refuse(&says, &format!("Accepted: {}.", unread.accept))
        })?;
        let file = upload.name.chars().filter(|letter| !letter.is_control()).take(80).collect();
        Self::chosen(file, tables).ok_or_else(|| {
            let accept = "Accepted: a row with the heads of a survey sheet: Tag, Place, At rest, Tripped and the others.";
            refuse("No row of this sheet has a head called Tag.", accept)
        })
    }

    fn chosen(file: String, mut tables: Vec<Table>) -> Option<Self> {
        let (at, heads) = survey_sheet(tables.iter().map(|table| table.rows.as_slice()), &[])?;
        Some(Self { file, rows: tables.swap_remove(at).rows, heads })
    }

    /// As the form carries it from the page that shows it to the press that writes it.
    fn field(&self) -> String {
        serde_json::json!({ "file": self.file, "rows": self.rows }).to_string()
    }

    fn of_field(text: &str) -> Option<Self> {
        let value: serde_json::Value = serde_json::from_str(text).ok()?;
        let rows = value.get("rows")?.as_array()?.iter().map(|row| {
            row.as_array()?
                .iter()
                .map(|cell| cell.as_str().map(str::to_owned))
                .collect::<Option<Vec<String>>>()
        });
        let table = Table { name: String::new(), rows: rows.collect::<Option<Vec<_>>>()? };
        Self::chosen(value.get("file")?.as_str()?.to_owned(), vec![table])
    }

    fn below(&self) -> &[Vec<String>] {
        self.rows.get(self.heads.row + 1..).unwrap_or_default()
    }

    fn cell<'r>(&self, row: &'r [String], wanted: Column) -> &'r str {
        let at = self.heads.columns.iter().position(|column| *column == Some(wanted));
        at.and_then(|at| row.get(at)).map_or("", |cell| cell.trim())
    }

    /// The first row of every tag that is not known yet, in their order.
    fn new_tags(&self, known: &Job) -> Vec<&[String]> {
        let mut seen: BTreeSet<String> =
            known.circuits.iter().map(|circuit| circuit.tag.value.to_ascii_lowercase()).collect();
        let rows = self.below().iter().map(Vec::as_slice);
        rows.filter(|row| {
            let tag = self.cell(row, Column::Tag);
            !tag.is_empty() && seen.insert(tag.to_ascii_lowercase())
        })
        .collect()
    }

    /// The name of a reading's cell.
    fn place(&self, reading: &SheetReading) -> String {
        cell_name(reading.reading.line + self.heads.row, reading.column)
    }

    /// A circuit as the sheet has it; where it ends only where there is such an enclosure.
    fn circuit(&self, row: &[String], has_box: &dyn Fn(&str) -> bool) -> Vec<(&'static str, Plain)> {
        let columns = [
            ("tag", Column::Tag),
            ("place", Column::Place),
            ("was", Column::Was),
            ("ends_in", Column::EndsIn),
        ];
        let text = |(key, column)| (key, self.cell(row, column));
        let is_said = |(key, text): &(&str, &str)| !text.is_empty() && (*key != "ends_in" || has_box(text));
        let said = columns.into_iter().map(text).filter(is_said);
        said.map(|(key, text)| (key, Plain::Text(text.to_owned()))).collect()
    }
}

/// A job with a circuit for every tag of the sheet and its readings in it, behind the beginning of a text; and in a sentence
/// where it came from, and which ohms were not taken.
pub(crate) fn new_job(
    request: &Request,
    begun: &str,
    sheet: &Brought,
) -> Result<(String, String), Box<Answer>> {
    let refuse = |says: &str| Box::new(refused(request, says, "", "/new"));
    let Ok(nothing) = Job::read(&Source::new("job.toml", begun.to_owned())) else {
        return Err(refuse("The name of the site cannot be used as it is."));
    };
    let rows = sheet.new_tags(&nothing);
    if rows.len() > MOST_PAIRS {
        return Err(refuse("There are more tags in this sheet than a survey has pairs: at most 5,000."));
    }
    let is_id = |text: &str| {
        text.len() <= 20 && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_".contains(&byte))
    };
    let boxes: BTreeSet<&str> = rows
        .iter()
        .map(|row| sheet.cell(row, Column::EndsIn))
        .filter(|id| !id.is_empty() && is_id(id))
        .collect();
    let mut text = begun.to_owned();
    for id in &boxes {
        text += &format!("\n[[enclosure]]\nid = {}\n", Plain::Text((*id).to_owned()).literal());
    }
    let tables: Vec<String> = rows
        .iter()
        .map(|row| {
            let keys = sheet.circuit(row, &is_id);
            let lines = keys.into_iter().map(|(key, value)| format!("{key} = {}\n", value.literal()));
            format!("\n[[circuit]]\n{}", lines.collect::<String>())
        })
        .collect();
    let Ok(job) = Job::read(&Source::new("job.toml", format!("{text}{}", tables.concat()))) else {
        return Err(refuse("The tags of this sheet cannot be used as they are."));
    };
    let readings = read_sheet(&job, &sheet.heads.columns, sheet.below())
        .map_err(|problems| Box::new(unread(request, sheet, &problems, "/new")))?;
    let (readings, not_taken) = without_foreign(job, readings);
    let cells: Vec<String> = not_taken.iter().map(|one| sheet.place(one)).collect();
    let what = if cells.is_empty() {
        format!("From the survey sheet {}.", sheet.file)
    } else {
        format!(
            "From the survey sheet {}. Not taken: the ohms in {}; that sheet itself has 1 V or more on these pairs, or a leg that finds earth.",
            sheet.file,
            cells.join(", ")
        )
    };
    let mut found: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for reading in readings {
        found.entry(reading.circuit).or_default().push(written(&reading.reading).literal());
    }
    for (at, table) in tables.iter().enumerate() {
        text += table;
        if let Some(found) = found.get(&at) {
            text += &format!("found = [ {} ]\n", found.join(", "));
        }
    }
    Ok((text, what))
}

/// The readings in the order of the sheet, and the ohms among them of pairs whose own volts or legs in it forbid them.
fn without_foreign(mut job: Job, mut readings: Vec<SheetReading>) -> (Vec<SheetReading>, Vec<SheetReading>) {
    readings.sort_by_key(|one| turn(&one.reading));
    let (mut taken, mut not_taken) = (Vec::new(), Vec::new());
    for one in readings {
        let circuit = &mut job.circuits[one.circuit];
        let is_out = match turn(&one.reading) {
            0 => false,
            1 => in_the_way(circuit).is_some(),
            _ => is_foreign(circuit),
        };
        if is_out {
            not_taken.push(one);
        } else {
            circuit.found.push(one.reading.clone());
            taken.push(one);
        }
    }
    for all in [&mut taken, &mut not_taken] {
        all.sort_by_key(|one| (one.reading.line, one.column));
    }
    (taken, not_taken)
}

/// What cannot be read, cell by cell.
fn unread(request: &Request, sheet: &Brought, problems: &[SheetProblem], back: &str) -> Answer {
    let body = html! {
        div.head { h1 { "Not read yet" } }
        p.answer { (view::words::counted(problems.len(), "cell", "cells")) " of this sheet cannot be read. Nothing was made of the others either." }
        ol.problems {
            @for problem in problems.iter().take(PROBLEMS_SHOWN) {
                li { strong { "Cell " (cell_name(problem.row + sheet.heads.row, problem.column)) ": " } (problem.text)
                    br; span.quiet { "Accepted: " (problem.accept) } }
            }
        }
        @if problems.len() > PROBLEMS_SHOWN { p.quiet { "and " (problems.len() - PROBLEMS_SHOWN) " more" } }
        p { a.button href=(back) { "Back" } }
    };
    plain(request, 400, "Not read yet", &body)
}

/// The form for a sheet.
pub(crate) fn form(open: &Open) -> Markup {
    html! {
        form method="post" action=(open.path(&["readings"])) enctype="multipart/form-data" {
            (open.form_fields())
            label for="sheet" { "A filled-in sheet: a workbook (XLSX, ODS) or CSV, with " code { "Tag" } ", " code { "At rest" } ", " code { "Tripped" } " …" }
            div.with-press {
                input id="sheet" type="file" name="sheet" accept=".csv,.xlsx,.ods,text/csv,text/plain" required;
                button type="submit" { "Show what is in it" }
            }
            p.quiet { "The sheet called survey in tables.xlsx (Record) is one to fill in. Nothing is written before you have seen it." }
        }
    }
}

/// The page with the form.
pub(crate) fn page(open: &Open) -> Answer {
    let body = html! {
        p.answer { "Readings that somebody wrote into a sheet, put beside those of this job." }
        (form(open))
    };
    Page::new(Tab::Survey, "Readings from a sheet", body).answer(open)
}

/// What becomes of a reading.
enum Fate {
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
struct Plan {
    changes: Vec<Change>,
    /// Tags that the job did not have.
    new_pairs: Vec<String>,
    readings: Vec<(SheetReading, Fate)>,
    /// The job with the new pairs in it.
    job: Job,
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

fn planned(open: &Open, sheet: &Brought, back: &str) -> Result<Plan, Box<Answer>> {
    let refuse = |says: &str| Box::new(refused(open.request, says, "", back));
    let boxes = &open.job().enclosures;
    let has_box = |id: &str| boxes.iter().any(|known| known.id.value == id);
    let new = sheet.new_tags(open.job());
    if open.job().circuits.len() + new.len() > MOST_PAIRS {
        return Err(refuse("There are more tags in this sheet than a survey has pairs: at most 5,000."));
    }
    let mut changes = Vec::new();
    let mut new_pairs = Vec::new();
    for row in new {
        let tag = sheet.cell(row, Column::Tag).to_owned();
        let keys = Plain::table(sheet.circuit(row, &has_box));
        changes.push(Change::new_table(TableRef::named("circuit", &tag), keys));
        new_pairs.push(tag);
    }
    let source = Source::new("job.toml", open.kept.text.as_ref());
    let text = if changes.is_empty() {
        open.kept.text.to_string()
    } else {
        Change::apply_all(&changes, &source).map_err(|error| refuse(&error.to_string()))?.text
    };
    let source = Source::new("job.toml", text);
    let Ok(job) = Job::read(&source) else {
        return Err(refuse("The tags of this sheet cannot be used as they are."));
    };
    let mut all = read_sheet(&job, &sheet.heads.columns, sheet.below())
        .map_err(|problems| Box::new(unread(open.request, sheet, &problems, back)))?;
    all.sort_by_key(|reading| turn(&reading.reading));
    let clearances = clearances(open);
    let mut after = job.clone();
    let mut fates = Vec::new();
    for one in all {
        let circuit = &after.circuits[one.circuit];
        let (why, stood) = (refuses(circuit, &one.reading, &clearances), circuit.found.clone());
        let before: Vec<When> = circuit.found.iter().map(|reading| reading.when.clone()).collect();
        let stands = otherwise(circuit.found.as_slice(), &one.reading);
        merge(&mut after, vec![one.clone()]);
        let found = &after.circuits[one.circuit].found;
        let renamed = found.iter().zip(&before).any(|(now, before)| now.when != *before);
        let is_there = found.len() == before.len() && !renamed;
        if let Some(why) = why.filter(|_| !is_there) {
            after.circuits[one.circuit].found = stood;
            fates.push((one, Fate::Refused(why)));
            continue;
        }
        let fate = if found.len() > before.len() {
            Fate::New(stands)
        } else if renamed {
            Fate::Named
        } else {
            Fate::There
        };
        fates.push((one, fate));
    }
    fates.sort_by_key(|(one, _)| (one.reading.line, one.column));
    for (was, now) in job.circuits.iter().zip(&after.circuits) {
        let tag = &was.tag.value;
        match changes
            .iter_mut()
            .find(|change| matches!(&change.at, Place::Table(TableRef::Named(_, new)) if new == tag))
        {
            // A pair that is new has its readings with it, so that all of it comes out again.
            Some(change) if !now.found.is_empty() => {
                if let Some(Plain::Table(keys)) = &mut change.to {
                    keys.push(("found".to_owned(), Plain::List(now.found.iter().map(written).collect())));
                }
            }
            Some(_) => {}
            None => changes.extend(entries(&source, was, now)),
        }
    }
    Ok(Plan { changes, new_pairs, readings: fates, job })
}

/// What stands under the same condition already, of the same kind.
fn otherwise(found: &[Reading], new: &Reading) -> Option<String> {
    let kind = |reading: &Reading| reading.shown.first().map(std::mem::discriminant);
    let same = found.iter().rev().find(|known| known.when == new.when && kind(known) == kind(new));
    same.map(view::circuit::reading)
}

/// From the readings of a circuit as they stand to those that it then has.
fn entries(source: &Source, was: &job::Circuit, now: &job::Circuit) -> Vec<Change> {
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

/// A sheet is shown, or written once it was seen.
pub(crate) fn take(open: &Open) -> Answer {
    let back = open.path(&["readings"]);
    let carried = open.request.field("rows");
    let sheet = if carried.is_empty() {
        Brought::of(open.world, open.request, &back)
    } else {
        let says = "What the page carried of the sheet did not come back whole. Bring the file again.";
        Brought::of_field(carried).ok_or_else(|| Box::new(refused(open.request, says, "", &back)))
    };
    let planned = sheet.and_then(|sheet| Ok((planned(open, &sheet, &back)?, sheet)));
    match planned {
        Err(answer) => *answer,
        Ok((plan, sheet)) if carried.is_empty() => show(open, &plan, &sheet),
        Ok((plan, sheet)) => write(open, plan, &sheet),
    }
}

fn show(open: &Open, plan: &Plan, sheet: &Brought) -> Answer {
    let count = |is: fn(&Fate) -> bool| plan.readings.iter().filter(|(_, fate)| is(fate)).count();
    let new = count(|fate| matches!(fate, Fate::New(_) | Fate::Named));
    let there = count(|fate| matches!(fate, Fate::There));
    let refused = count(|fate| matches!(fate, Fate::Refused(_)));
    let readings = |count: usize| view::words::counted(count, "reading", "readings");
    let told: Vec<_> = plan.readings.iter().filter(|(_, fate)| !matches!(fate, Fate::There)).collect();
    let body = html! {
        p.answer {
            (readings(new)) " of " (sheet.file) " would be written"
            @if !plan.new_pairs.is_empty() { ", and " (view::words::counted(plan.new_pairs.len(), "pair", "pairs")) " that this job does not have yet" }
            "." @if there > 0 { " " (readings(there)) " " (if there == 1 { "stands" } else { "stand" }) " here already." }
        }
        @if refused > 0 { p { (crate::frame::mark("stop")) " " (readings(refused)) " would not be taken: no ohms of a pair that is not known to be clear. Write the safety entry of its strip, or its volts and legs to earth, then bring the sheet again." } }
        @if !plan.new_pairs.is_empty() { p { "New pairs: " (plan.new_pairs.join(", ")) "." } }
        @if new > MOST_AT_ONCE {
            p { "More than 2,000 readings are not written at once: bring the sheet in parts." }
        } @else if new > 0 || !plan.new_pairs.is_empty() {
            form method="post" action=(open.path(&["readings"])) {
                (open.form_fields())
                input type="hidden" name="rows" value=(sheet.field());
                button.strong type="submit" { "Write " (readings(new)) }
                " " a.button href=(open.path(&["survey"])) { "Leave it" }
            }
        } @else { p { a.button href=(open.path(&["survey"])) { "To the survey" } } }
        @if !told.is_empty() {
            section {
                h2 { "What is in it" }
                div.wide tabindex="0" role="group" aria-label="What is in the sheet" {
                    table {
                        thead { tr { th scope="col" { "cell" } th scope="col" { "pair" } th scope="col" { "reading" } th scope="col" { "what becomes of it" } } }
                        tbody {
                            @for (one, fate) in told.iter().take(ROWS_SHOWN) {
                                tr {
                                    td.number { (sheet.place(one)) }
                                    th scope="row" { (plan.job.circuits[one.circuit].tag.value) }
                                    td { (view::circuit::reading(&one.reading)) }
                                    td { (words(fate)) }
                                }
                            }
                        }
                    }
                }
                @if told.len() > ROWS_SHOWN { p.quiet { "and " (told.len() - ROWS_SHOWN) " more" } }
            }
        }
    };
    Page::new(Tab::Survey, "Readings from a sheet", body).answer(open)
}

fn words(fate: &Fate) -> Markup {
    html! {
        @match fate {
            Fate::New(None) => { "written" }
            Fate::New(Some(stands)) => { "written beside what stands: " (stands) },
            Fate::Named => { "gives a trip of this job its name" },
            Fate::There => { "stands here already" },
            Fate::Refused(why) => { (crate::frame::mark("stop")) " not taken. " (why) },
        }
    }
}

/// Everything as one change, and every reading as evidence.
fn write(open: &Open, plan: Plan, sheet: &Brought) -> Answer {
    let id = entry_id(open);
    let taken: Vec<_> =
        plan.readings.iter().filter(|(_, fate)| matches!(fate, Fate::New(_) | Fate::Named)).collect();
    if taken.len() > MOST_AT_ONCE {
        let says = "More than 2,000 readings are not written at once: bring the sheet in parts.";
        return refused(open.request, says, "", &open.path(&["readings"]));
    }
    let accuracy = open.job().meter.accuracy_written();
    let entries = taken.iter().enumerate().map(|(at, (one, _))| {
        let tag = &plan.job.circuits[one.circuit].tag.value;
        let words = format!("{tag}: {}.", view::circuit::reading(&one.reading));
        let mut data: serde_json::Value =
            serde_json::from_str(&data(&written(&one.reading), &one.typed, &accuracy)).unwrap_or_default();
        data["sheet"] = format!("{}, cell {}", sheet.file, sheet.place(one)).into();
        Entry {
            id: format!("{id}-{at}"),
            at: open.request.at.clone(),
            author: open.request.author.clone(),
            instrument: crate::clear::meter(open.job()),
            kind: "reading".to_owned(),
            about: tag.clone(),
            words,
            data: data.to_string(),
        }
    });
    let entries: Vec<Entry> = entries.collect();
    let readings = view::words::counted(entries.len(), "reading", "readings");
    let pairs = match plan.new_pairs.len() {
        0 => String::new(),
        count => format!(" and {}", view::words::counted(count, "new pair", "new pairs")),
    };
    let what = format!("{readings}{pairs} from the sheet {}.", sheet.file);
    let mut act = Act::new(what, plan.changes, open.path(&["survey"]));
    act.entries = entries;
    act.answer(open)
}
