//! `history JOB FILE`: the monitoring station's own list, tied to the job like received signals.

use std::collections::BTreeSet;
use std::io::{self, Read};
use std::path::Path;

use calamine::{Data, Reader};
use document::{Complaint, MOST_BYTES, Source};
use job::{Change, DateOrder, HistoryMap, Job, Plain, TableRef};
use schemars::JsonSchema;
use serde::Serialize;
use signal::history::{Column, Grid, History, Line, grid};
use signal::{Expected, Tally, Tie};

use super::print_json;
use crate::arguments::{Common, HistoryOf, Order};
use crate::evidence::{self, Evidence};
use crate::listen::{TieJson, tie_json};
use crate::outcome::Outcome;
use crate::report::page::Page;
use crate::{input, world};

/// What `history --json` prints.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct HistoryJson {
    /// The headings that were used, by what stands below them.
    map: std::collections::BTreeMap<&'static str, String>,
    /// The lines, in the list's order.
    lines: Vec<LineJson>,
    /// Rows that could not be read.
    unread: Vec<UnreadJson>,
    /// Expected signals that the list holds as often as they must come.
    done: usize,
    /// Expected signals.
    expected: usize,
    /// Lines that became evidence now.
    kept: usize,
}

/// One line.
#[derive(Serialize, JsonSchema, Debug)]
struct LineJson {
    /// Its row, from 1.
    row: usize,
    /// GMT, RFC 3339.
    at: String,
    /// Its account.
    account: String,
    /// The whole row.
    text: String,
    /// What it was tied to; null: another account, no code that could be read, or known from before.
    tie: Option<TieJson>,
    /// It is evidence already.
    known: bool,
}

/// One row that could not be read.
#[derive(Serialize, JsonSchema, Debug)]
struct UnreadJson {
    /// The row, from 1.
    row: usize,
    /// Why.
    why: String,
}

/// One line of evidence.
#[derive(Serialize)]
struct EvidenceLine<'l> {
    kind: &'static str,
    way: &'static str,
    at: String,
    account: &'l str,
    from: &'l str,
    row: &'l str,
    ties: [&'l TieJson; 1],
}

const WAY: &str = "station-list";

/// Runs the command.
pub(crate) fn run(asked: &HistoryOf, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let world = world::load(&asked.job, common)?;
    let name = asked.list.display().to_string();
    let remembered = mapped(world.job.history.clone().unwrap_or_default(), asked)?;
    let rows = rows(&asked.list)?;
    let history = History::read(&rows, &remembered)
        .map_err(|error| vec![input::about_file(&name, error.to_string(), error.accepted())])?;
    let path = evidence::path(&input::job_file(&asked.job));
    let failed = |error: io::Error| {
        let text = format!("the evidence cannot be kept: {error}");
        vec![input::about_file(&path.display().to_string(), text, "a file that you may write")]
    };
    let (kept, _) = evidence::read(&path).map_err(failed)?;
    let mut tied = tied(&world.job, &history, &kept);
    if asked.write {
        let mut evidence = Evidence::open(&path).map_err(failed)?;
        for (line, tie) in tied.made() {
            let line = EvidenceLine {
                kind: "signal",
                way: WAY,
                at: line.at.to_string(),
                account: &line.account,
                from: &name,
                row: &line.text,
                ties: [tie],
            };
            evidence.add(&line).map_err(failed)?;
        }
        evidence.settle().map_err(failed)?;
        tied.kept = tied.made().count();
        remember(&asked.job, &history.map)?;
    }
    let printed =
        if common.json { print_json(&tied.json(&history)) } else { report(&history, &tied, asked).print() };
    Ok(Outcome::Done.after_printing(printed))
}

/// What the job remembers, with what the command line says on top.
fn mapped(mut map: HistoryMap, asked: &HistoryOf) -> Result<HistoryMap, Vec<Complaint>> {
    let wrong = |text: String, accept: &str| vec![input::about_file("command line", text, accept)];
    for pair in &asked.map {
        let Some((key, heading)) = pair.split_once('=') else {
            return Err(wrong(format!("`{pair}` maps nothing"), "COLUMN=HEADING, as code=\"Signal code\""));
        };
        let column = Column::ALL.iter().find(|column| column.key() == key);
        let keys = document::list(Column::ALL.iter().map(|column| column.key()));
        let column = column.ok_or_else(|| wrong(format!("no column is called `{key}`"), &keys))?;
        let place = match column {
            Column::Time => &mut map.time,
            Column::Date => &mut map.date,
            Column::Account => &mut map.account,
            Column::Code => &mut map.code,
            Column::Zone => &mut map.zone,
            Column::Area => &mut map.area,
            Column::Event => &mut map.event,
        };
        heading.clone_into(place);
    }
    if let Some(order) = asked.order {
        map.order = Some(match order {
            Order::Year => DateOrder::YearFirst,
            Order::Month => DateOrder::MonthFirst,
            Order::Day => DateOrder::DayFirst,
        });
    }
    if let Some(shift) = &asked.shift {
        let shift = HistoryMap::parse_shift(shift).map_err(|error| wrong(error.text, &error.accept))?;
        map.shift = Some(shift);
    }
    Ok(map)
}

/// The rows of a list: a workbook's first sheet, or a text; `-` is what is pasted on standard input.
fn rows(list: &Path) -> Result<Grid, Vec<Complaint>> {
    let name = list.display().to_string();
    let ending = list.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    if matches!(ending.as_deref(), Some("xlsx" | "xlsm" | "xls" | "ods")) {
        return workbook(list).map_err(|text| {
            vec![input::about_file(&name, text, "a workbook with the list on its first sheet")]
        });
    }
    let text = if name == "-" {
        let mut text = Vec::new();
        let read = io::stdin().lock().take(MOST_BYTES as u64).read_to_end(&mut text);
        read.map_err(|error| vec![input::about_file("standard input", error.to_string(), "text")])?;
        String::from_utf8(text).unwrap_or_else(|error| signal::decoded(error.as_bytes()).into_owned())
    } else {
        input::read_text(list).map_err(|complaint| vec![*complaint])?
    };
    Ok(grid(&text))
}

fn workbook(list: &Path) -> Result<Grid, String> {
    let about = std::fs::metadata(list).map_err(|error| format!("it cannot be read: {error}"))?;
    if about.len() > MOST_BYTES as u64 {
        return Err(format!("the file has more than {} MB", MOST_BYTES / (1024 * 1024)));
    }
    let mut workbook = calamine::open_workbook_auto(list).map_err(|error| error.to_string())?;
    let sheet =
        workbook.worksheet_range_at(0).ok_or("it has no sheet")?.map_err(|error| error.to_string())?;
    Ok(sheet.rows().map(|row| row.iter().map(cell).collect()).collect())
}

/// A cell as text; dates as ISO, so that nobody has to know how the workbook shows them.
fn cell(cell: &Data) -> String {
    match cell {
        Data::DateTime(when) => {
            let (year, month, day, hour, minute, second, _) = when.to_ymd_hms_milli();
            if year < 1901 {
                // A time of day alone counts from the workbook's own beginning.
                return format!("{hour:02}:{minute:02}:{second:02}");
            }
            format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}:{second:02}")
        }
        Data::Float(number) if number.fract() == 0.0 && number.abs() < 1e15 => format!("{number:.0}"),
        other => other.to_string(),
    }
}

/// A list tied to the job.
struct Tied<'h> {
    lines: Vec<(&'h Line, Option<TieJson>, bool)>,
    tally: Tally,
    kept: usize,
}

/// Ties every line of the job's account that has a code, and that evidence does not hold already.
fn tied<'h>(job: &Job, history: &'h History, kept: &[evidence::Kept]) -> Tied<'h> {
    let mut tally = Tally::new(Expected::of(job));
    let mut known: BTreeSet<(&str, &str)> = BTreeSet::new();
    for line in kept.iter().filter(|line| line.way == WAY) {
        known.insert((&line.at, &line.row));
        for key in line.ties.iter().filter_map(|tie| tie.expected.as_deref()) {
            // One that the job no longer has counts for nothing.
            let _ = tally.count(key);
        }
    }
    let account = job.station.as_ref().and_then(|station| station.account.as_ref());
    let place = |tag: &str| {
        let circuit = job.circuits.iter().find(|circuit| circuit.tag.as_str() == tag);
        circuit.map_or(String::new(), |circuit| circuit.place.clone())
    };
    let mut lines = Vec::with_capacity(history.lines.len());
    for line in &history.lines {
        let is_known = known.contains(&(line.at.to_string().as_str(), line.text.as_str()));
        let ours = account.is_none_or(|account| line.account.is_empty() || line.account == account.value);
        let signal = line.signal.filter(|_| ours && !is_known);
        let tie = signal.map(|signal| {
            let tie: Tie = tally.tie(&signal);
            tie_json(&tie, &tally, place)
        });
        lines.push((line, tie, is_known));
    }
    Tied { lines, tally, kept: 0 }
}

impl<'h> Tied<'h> {
    /// Lines that were tied now.
    fn made(&self) -> impl Iterator<Item = (&'h Line, &TieJson)> {
        self.lines.iter().filter_map(|(line, tie, _)| Some((*line, tie.as_ref()?)))
    }

    fn json(&self, history: &History) -> HistoryJson {
        let map =
            Column::ALL.into_iter().map(|column| (column.key(), heading(&history.map, column).to_owned()));
        HistoryJson {
            map: map.filter(|(_, heading)| !heading.is_empty()).collect(),
            lines: self
                .lines
                .iter()
                .map(|(line, tie, known)| LineJson {
                    row: line.row,
                    at: line.at.to_string(),
                    account: line.account.clone(),
                    text: line.text.clone(),
                    tie: tie.clone(),
                    known: *known,
                })
                .collect(),
            unread: history
                .unread
                .iter()
                .map(|(row, why)| UnreadJson { row: *row, why: why.clone() })
                .collect(),
            done: self.tally.done(),
            expected: self.tally.len(),
            kept: self.kept,
        }
    }
}

fn heading(map: &HistoryMap, column: Column) -> &str {
    match column {
        Column::Time => &map.time,
        Column::Date => &map.date,
        Column::Account => &map.account,
        Column::Code => &map.code,
        Column::Zone => &map.zone,
        Column::Area => &map.area,
        Column::Event => &map.event,
    }
}

/// Writes the headings into the job file, so that the next list is read without a word.
fn remember(job: &Path, map: &HistoryMap) -> Result<(), Vec<Complaint>> {
    let path = input::job_file(job);
    let source: Source = input::read(&path).map_err(|complaint| vec![*complaint])?;
    let before = Job::read(&source).map_err(|_| Vec::new())?.history.unwrap_or_default();
    let texts = |map: &HistoryMap| -> Vec<(&'static str, String)> {
        let mut texts: Vec<(&'static str, String)> =
            Column::ALL.into_iter().map(|column| (column.key(), heading(map, column).to_owned())).collect();
        texts.push(("order", map.order.map_or(String::new(), |order| order.word().to_owned())));
        texts.push(("shift", map.shift.map_or(String::new(), HistoryMap::written_shift)));
        texts
    };
    let changes: Vec<Change> = texts(&before)
        .into_iter()
        .zip(texts(map))
        .filter(|((_, was), (_, is))| was != is)
        .map(|((key, was), (_, is))| {
            let from = (!was.is_empty()).then_some(Plain::Text(was));
            Change::key(TableRef::single("history"), key, from, Some(Plain::Text(is)))
        })
        .collect();
    if changes.is_empty() {
        return Ok(());
    }
    let failed = |text: String| {
        vec![input::about_file(&path.display().to_string(), text, "a job file that you may write")]
    };
    let applied = Change::apply_all(&changes, &source).map_err(|error| failed(error.to_string()))?;
    input::replace(&path, &applied.text).map_err(|error| failed(format!("it cannot be written: {error}")))
}

/// What was tied, then what was not, then what could not be read.
fn report(history: &History, tied: &Tied<'_>, asked: &HistoryOf) -> Page {
    let mut page = Page::of_stdout();
    let known = tied.lines.iter().filter(|(_, _, known)| *known).count();
    let matched = tied.made().filter(|(_, tie)| tie.expected.is_some()).count();
    page.paragraph(
        0,
        &format!(
            "{} lines were read: {matched} are expected signals, {known} are evidence already, {} are neither. The \
             station has now seen {} of {} expected signals.",
            tied.lines.len(),
            tied.lines.len() - matched - known,
            tied.tally.done(),
            tied.tally.len(),
        ),
    );
    if history.map.shift.is_none() {
        page.paragraph(
            0,
            "Its times are taken for GMT; --shift puts them right (\"5 h\" for US Eastern in winter).",
        );
    }
    let row = |line: &Line, says: String| vec![line.at.to_string(), line.text.clone(), says];
    let (yes, no): (Vec<_>, Vec<_>) = tied
        .lines
        .iter()
        .filter(|(_, _, known)| !known)
        .partition(|(_, tie, _)| tie.as_ref().is_some_and(|tie| tie.expected.is_some()));
    for (title, lines) in [("expected", yes), ("not matched", no)] {
        if lines.is_empty() {
            continue;
        }
        page.heading(title);
        let rows: Vec<Vec<String>> = lines
            .into_iter()
            .map(|(line, tie, _)| {
                row(line, tie.as_ref().map_or("no code of this account".to_owned(), TieJson::says))
            })
            .collect();
        page.table(0, &rows);
    }
    if !history.unread.is_empty() {
        page.heading("not read");
        for (row, why) in &history.unread {
            page.paragraph(0, &format!("row {row}: {why}"));
        }
    }
    page.gap();
    let kept = if asked.write {
        format!("{} lines are now evidence, and the headings are remembered in the job.", tied.kept)
    } else {
        "Nothing was kept; --write makes it evidence and remembers the headings in the job.".to_owned()
    };
    page.paragraph(0, &kept);
    page
}
