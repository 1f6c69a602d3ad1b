//! The survey sheet: to be filled in by hand on paper or in a spreadsheet, and read back.
//!
//! Columns stand in the order of the passes, rows in the order of the strip. Nothing in here knows a file format: cells
//! are texts.

use std::collections::BTreeMap;

use job::{Display, Job, Reading, Shown, When, is_device_name};
use quantity::{Ohms, Quantity, Seconds, Volts, Written, parse_typed};

use crate::display::WrittenDown;
use crate::known;
use crate::plan::Pass;

/// A column of the sheet.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Column {
    /// The tag on the cable.
    Tag,
    /// The enclosure in which it ends.
    EndsIn,
    /// What the old panel calls it.
    Was,
    /// Volts DC on the pair.
    VoltsDc,
    /// Volts AC on the pair.
    VoltsAc,
    /// First leg to earth.
    EarthA,
    /// Second leg to earth.
    EarthB,
    /// Volts at the old terminals while the old equipment works.
    Live,
    /// Ohms at rest.
    Rest,
    /// Ohms with the leads swapped.
    Reversed,
    /// Where it goes, as people call it.
    Place,
    /// What hangs on it.
    Device,
    /// Ohms with it tripped.
    Tripped,
    /// Ohms with the cover open.
    CoverOpen,
    /// Ohms with the pair joined at the far device.
    Joined,
    /// Ohms with the pair opened at the far device.
    Opened,
    /// Ohms after a minute.
    AfterAMinute,
    /// Whether powered detectors had their supply.
    Fed,
    /// Anything else.
    Note,
}

/// A sheet: rows with cells in the order of [`Column::ALL`].
#[derive(Clone, PartialEq, Debug)]
pub struct Sheet {
    /// One row for every device of a circuit that was read, at least one a circuit, in the order of the strip, with what
    /// the job knows already.
    pub rows: Vec<Vec<String>>,
    /// The circuit of every row, as its place in the job.
    pub circuits: Vec<usize>,
}

/// Where the heads of a table are, and what they mean.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Heads {
    /// Their row, from 0.
    pub row: usize,
    /// What each column means; none: not ours.
    pub columns: Vec<Option<Column>>,
}

/// What kind of thing cannot be read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SheetTrouble {
    /// A cell.
    Cell,
    /// Something stands in a column whose head means nothing here.
    Head,
    /// A tag that the job does not have.
    Tag,
}

/// Something that cannot be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SheetProblem {
    /// What kind of thing.
    pub trouble: SheetTrouble,
    /// The row, from 1, the header row counted.
    pub row: usize,
    /// The column, from 1.
    pub column: usize,
    /// What is wrong.
    pub text: String,
    /// What would be accepted.
    pub accept: String,
}

/// A reading that a sheet holds.
#[derive(Clone, Debug)]
pub struct SheetReading {
    /// The circuit's place in the job.
    pub circuit: usize,
    /// Condition and display; its line is the row, counted as [`SheetProblem::row`] is.
    pub reading: Reading,
    /// The column, from 1.
    pub column: usize,
    /// The cell as somebody wrote it.
    pub typed: String,
}

/// Rows that are looked through for the heads.
const HEADS_WITHIN: usize = 20;

/// The heads of a table: the first row that has one for the tags. `own` are heads of somebody's own with what they mean.
#[must_use]
pub fn heads(rows: &[Vec<String>], own: &[(String, Column)]) -> Option<Heads> {
    let named = |cell: &String| {
        let mapped = own.iter().find(|(head, _)| head.eq_ignore_ascii_case(cell.trim()));
        mapped.map(|(_, column)| *column).or_else(|| Column::named(cell))
    };
    let columns = |row: &Vec<String>| row.iter().map(named).collect::<Vec<_>>();
    let mut all = rows.iter().take(HEADS_WITHIN).map(columns).enumerate();
    all.find(|(_, columns)| columns.contains(&Some(Column::Tag))).map(|(row, columns)| Heads { row, columns })
}

/// Of the tables of a workbook the one that is a survey sheet: the first whose heads say the most.
#[must_use]
pub fn survey_sheet<'t>(
    tables: impl IntoIterator<Item = &'t [Vec<String>]>,
    own: &[(String, Column)],
) -> Option<(usize, Heads)> {
    let known = |heads: &Heads| heads.columns.iter().flatten().count();
    let all = tables.into_iter().enumerate();
    let with_heads = all.filter_map(|(at, rows)| Some((at, heads(rows, own)?)));
    with_heads.reduce(|best, next| if known(&next.1) > known(&best.1) { next } else { best })
}

/// The name of a cell as a spreadsheet has it, from row and column counted from 1: `B7`.
#[must_use]
pub fn cell_name(row: usize, column: usize) -> String {
    let mut letters = String::new();
    let mut rest = column;
    while rest > 0 {
        rest -= 1;
        letters.insert(0, char::from(b'A' + u8::try_from(rest % 26).unwrap_or(0)));
        rest /= 26;
    }
    format!("{letters}{row}")
}

impl Column {
    /// Every column, in the order of the passes.
    pub const ALL: [Self; 19] = [
        Self::Tag,
        Self::EndsIn,
        Self::Was,
        Self::VoltsDc,
        Self::VoltsAc,
        Self::EarthA,
        Self::EarthB,
        Self::Live,
        Self::Rest,
        Self::Reversed,
        Self::Place,
        Self::Device,
        Self::Tripped,
        Self::CoverOpen,
        Self::Joined,
        Self::Opened,
        Self::AfterAMinute,
        Self::Fed,
        Self::Note,
    ];

    /// What stands above it.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Tag => "Tag",
            Self::EndsIn => "Ends in",
            Self::Was => "Was",
            Self::VoltsDc => "Volts DC",
            Self::VoltsAc => "Volts AC",
            Self::EarthA => "Leg a to earth",
            Self::EarthB => "Leg b to earth",
            Self::Live => "Volts live",
            Self::Rest => "At rest",
            Self::Reversed => "Leads swapped",
            Self::Place => "Place",
            Self::Device => "Device",
            Self::Tripped => "Tripped",
            Self::CoverOpen => "Cover open",
            Self::Joined => "Joined far",
            Self::Opened => "Opened far",
            Self::AfterAMinute => "After 60 s",
            Self::Fed => "Fed",
            Self::Note => "Note",
        }
    }

    /// The word for a foreign header that means the same.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Tag => "tag",
            Self::EndsIn => "ends_in",
            Self::Was => "was",
            Self::VoltsDc => "volts_dc",
            Self::VoltsAc => "volts_ac",
            Self::EarthA => "earth-a",
            Self::EarthB => "earth-b",
            Self::Live => "live",
            Self::Rest => "rest",
            Self::Reversed => "reversed",
            Self::Place => "place",
            Self::Device => "device",
            Self::Tripped => "tripped",
            Self::CoverOpen => "cover",
            Self::Joined => "joined",
            Self::Opened => "opened",
            Self::AfterAMinute => "after",
            Self::Fed => "fed",
            Self::Note => "note",
        }
    }

    /// The pass in which it is filled in; none for what is no reading.
    #[must_use]
    pub fn pass(self) -> Option<Pass> {
        match self {
            Self::VoltsDc
            | Self::VoltsAc
            | Self::EarthA
            | Self::EarthB
            | Self::Live
            | Self::Rest
            | Self::Reversed => Some(Pass::Strip),
            Self::Tripped | Self::CoverOpen | Self::Fed => Some(Pass::Walk),
            Self::Joined | Self::Opened | Self::AfterAMinute => Some(Pass::Unsettled),
            Self::Tag | Self::EndsIn | Self::Was | Self::Place | Self::Device | Self::Note => None,
        }
    }

    /// Finds a column by its title or word, in any letter case.
    #[must_use]
    pub fn named(text: &str) -> Option<Self> {
        let text = text.trim();
        let is = |column: &Self| {
            column.title().eq_ignore_ascii_case(text) || column.word().eq_ignore_ascii_case(text)
        };
        Self::ALL.into_iter().find(is)
    }
}

impl Sheet {
    /// The sheet of a job, with what it knows already.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        let mut sheet = Self { rows: Vec::new(), circuits: Vec::new() };
        for (at, circuit) in job.circuits.iter().enumerate() {
            let rows = known::rows(circuit);
            sheet.circuits.extend(rows.iter().map(|_| at));
            sheet.rows.extend(rows);
        }
        sheet
    }
}

/// Reads a filled-in table: its header row with what each column means (none: not ours, an error where anything stands in it), and its rows.
///
/// # Errors
/// Everything that cannot be read, row by row.
pub fn read_sheet(
    job: &Job,
    columns: &[Option<Column>],
    rows: &[Vec<String>],
) -> Result<Vec<SheetReading>, Vec<SheetProblem>> {
    let at = |wanted: Column| columns.iter().position(|column| *column == Some(wanted));
    let Some(tag_at) = at(Column::Tag) else {
        let text = "no column holds the tags".to_owned();
        return Err(vec![SheetProblem {
            trouble: SheetTrouble::Head,
            row: 1,
            column: 1,
            text,
            accept: "a column with the header `Tag`".to_owned(),
        }]);
    };
    let mut readings = Vec::new();
    let mut problems = not_read(columns, rows);
    problems.extend(twice(columns));
    let mut tags = BTreeMap::new();
    for (at, circuit) in job.circuits.iter().enumerate() {
        tags.entry(circuit.tag.value.to_ascii_lowercase()).or_insert(at);
    }
    for (index, cells) in rows.iter().enumerate() {
        match row_readings(&tags, columns, tag_at, (index + 2, cells)) {
            Ok(of_row) => readings.extend(of_row),
            Err(of_row) => problems.extend(of_row),
        }
    }
    if problems.is_empty() { Ok(readings) } else { Err(problems) }
}

/// The readings of one row, with its number.
fn row_readings(
    tags: &BTreeMap<String, usize>,
    columns: &[Option<Column>],
    tag_at: usize,
    (row, cells): (usize, &[String]),
) -> Result<Vec<SheetReading>, Vec<SheetProblem>> {
    let cell = |at: usize| cells.get(at).map_or("", |cell| cell.trim());
    let wrong = |at: usize, text: &str, accept: &str| Err(vec![problem(row, at, text, accept)]);
    let tag = cell(tag_at);
    if tag.is_empty() {
        if cells.iter().all(|cell| cell.trim().is_empty()) {
            return Ok(Vec::new());
        }
        return wrong(tag_at, "a row without a tag", "the tag tied on the cable");
    }
    let Some(circuit) = tags.get(&tag.to_ascii_lowercase()).copied() else {
        let text = format!("the job has no circuit `{tag}`");
        let missing = problem(row, tag_at, &text, "a tag of the job");
        return Err(vec![SheetProblem { trouble: SheetTrouble::Tag, ..missing }]);
    };
    let find = |wanted: Column| columns.iter().position(|column| *column == Some(wanted));
    let (device_at, fed_at) = (find(Column::Device), find(Column::Fed));
    let device = device_at.map_or("", cell);
    if let Some(at) = device_at.filter(|_| !device.is_empty() && !is_device_name(device)) {
        let accept = "a letter, then letters, digits or `_`, as `hall_pir`, and no word of the format";
        return wrong(at, &format!("`{device}` is no name of a device"), accept);
    }
    let says_fed = fed_at.map_or("", cell);
    let Some(fed) = fed(says_fed) else {
        let text = format!("`{says_fed}` does not say whether it was fed");
        return wrong(fed_at.unwrap_or(tag_at), &text, "yes or no; empty is no");
    };
    let (mut readings, mut problems) = (Vec::new(), Vec::new());
    for (at, column) in columns.iter().enumerate() {
        let (Some(column), text) = (column, cell(at)) else { continue };
        if text.is_empty() {
            continue;
        }
        match entry(*column, device, text) {
            Ok(Some((when, shown))) => {
                let reading = Reading { when, fed, shown: vec![shown], line: row };
                readings.push(SheetReading { circuit, reading, column: at + 1, typed: text.to_owned() });
            }
            Ok(None) => {}
            Err((text, accept)) => problems.push(problem(row, at, &text, &accept)),
        }
    }
    if problems.is_empty() { Ok(readings) } else { Err(problems) }
}

/// What stands in a column that means nothing here, and what stands beside the last column: it would vanish without a
/// word.
fn not_read(columns: &[Option<Column>], rows: &[Vec<String>]) -> Vec<SheetProblem> {
    let most = rows.iter().map(Vec::len).max().unwrap_or(0);
    let unread = (0..most).filter(|at| columns.get(*at).copied().flatten().is_none());
    let first = |at: usize| {
        let is_filled = |cells: &Vec<String>| cells.get(at).is_some_and(|cell| !cell.trim().is_empty());
        let index = rows.iter().position(is_filled)?;
        let text = rows[index][at].trim();
        Some(if at < columns.len() {
            let text = format!("`{text}` stands in a column whose head is none of a survey sheet");
            let accept = "a head of a survey sheet above it; `Note` where it holds no reading";
            SheetProblem { trouble: SheetTrouble::Head, ..problem(index + 2, at, &text, accept) }
        } else {
            let text = format!("`{text}` stands beside the last column");
            problem(index + 2, at, &text, "no more cells than the header row has")
        })
    };
    unread.filter_map(first).collect()
}

/// Heads that stand twice: which of the columns is meant cannot be told.
fn twice(columns: &[Option<Column>]) -> Vec<SheetProblem> {
    let is_second =
        |(at, column): &(usize, Column)| *column != Column::Note && columns[..*at].contains(&Some(*column));
    let all = columns.iter().enumerate().filter_map(|(at, column)| Some((at, (*column)?)));
    let wrong = |(at, column): (usize, Column)| {
        let text = format!("a second column called `{}`", column.title());
        let accept = "each head of a survey sheet once; `Note` where it holds no reading";
        SheetProblem { trouble: SheetTrouble::Head, ..problem(1, at, &text, accept) }
    };
    all.filter(is_second).map(wrong).collect()
}

fn problem(row: usize, column: usize, text: &str, accept: &str) -> SheetProblem {
    SheetProblem {
        trouble: SheetTrouble::Cell,
        row,
        column: column + 1,
        text: text.to_owned(),
        accept: accept.to_owned(),
    }
}

/// Whether it was fed; none for what says neither yes nor no.
fn fed(text: &str) -> Option<bool> {
    let is = |words: &[&str]| words.iter().any(|word| word.eq_ignore_ascii_case(text));
    if is(&["yes", "y", "x", "true", "1", "fed"]) {
        return Some(true);
    }
    is(&["", "no", "n", "false", "0", "-", "unfed"]).then_some(false)
}

/// A cell as a reading; none for a column that holds none.
fn entry(column: Column, device: &str, text: &str) -> Result<Option<(When, Shown)>, (String, String)> {
    let ohms = |when: When| display::<Ohms>(text).map(|display| Some((when, Shown::Ohms(display))));
    let tripped = |role: &str| {
        if device.is_empty() { When::Tripped } else { When::Device(format!("{device}{role}")) }
    };
    match column {
        Column::VoltsDc => volts(text).map(|display| Some((When::Rest, Shown::VoltsDc(display)))),
        Column::VoltsAc => volts(text).map(|display| Some((When::Rest, Shown::VoltsAc(display)))),
        Column::Live => volts(text).map(|display| Some((When::Live, Shown::VoltsDc(display)))),
        Column::EarthA => ohms(When::EarthA),
        Column::EarthB => ohms(When::EarthB),
        Column::Rest => ohms(When::Rest),
        Column::Reversed => ohms(When::Reversed),
        Column::Tripped => ohms(tripped("")),
        Column::CoverOpen => {
            let name = if device.is_empty() { "cover" } else { device };
            ohms(When::Device(format!("{name}.tamper")))
        }
        Column::Joined => ohms(When::Joined),
        Column::Opened => ohms(When::Opened),
        Column::AfterAMinute => ohms(When::After(Seconds(60.0))),
        Column::Tag
        | Column::EndsIn
        | Column::Was
        | Column::Place
        | Column::Device
        | Column::Fed
        | Column::Note => Ok(None),
    }
}

/// Volts: a meter on volts shows no open pair, so over range there is another column's reading, or volts over its range.
fn volts(text: &str) -> Result<Display<Volts>, (String, String)> {
    match display(text)? {
        Display::Open => Err((
            format!("`{text}` is no reading of volts"),
            "the volts as the meter shows them, on a higher range; `open` in a column of ohms".to_owned(),
        )),
        other => Ok(other),
    }
}

/// A display as people write it down.
fn display<Q: Written + Quantity>(text: &str) -> Result<Display<Q>, (String, String)> {
    match WrittenDown::of(text) {
        Ok(WrittenDown::Open) => Ok(Display::Open),
        Ok(WrittenDown::Unstable) => Ok(Display::Unstable),
        Ok(WrittenDown::Text(plain)) => match parse_typed::<Q>(&plain) {
            Ok(typed) => Ok(Display::Value { value: typed.value, digit: typed.digit }),
            Err(error) => Err((
                format!("`{text}`: {}", error.text),
                format!("{}; `open` or `OL`; `unstable`", error.accept),
            )),
        },
        Err(error) => Err((error.text, error.accept)),
    }
}
