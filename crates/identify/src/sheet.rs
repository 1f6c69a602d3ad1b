//! The survey sheet: to be filled in by hand on paper or in a spreadsheet, and read back.
//!
//! Columns stand in the order of the passes, rows in the order of the strip. Nothing in here knows a file format: cells
//! are texts.

use job::{Circuit, Display, Job, Reading, Shown, When};
use quantity::{Ohms, Quantity, Seconds, Written, parse_typed};

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

/// A sheet: one row a circuit, cells in the order of [`Column::ALL`].
#[derive(Clone, PartialEq, Debug)]
pub struct Sheet {
    /// One row a circuit, in the order of the strip, with what the job knows already.
    pub rows: Vec<Vec<String>>,
}

/// Something that cannot be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SheetProblem {
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
    /// Condition and display.
    pub reading: Reading,
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
        Self { rows: job.circuits.iter().map(row).collect() }
    }
}

/// Reads a filled-in table: its header row with what each column means (none: not ours, passed over), and its rows.
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
            row: 1,
            column: 1,
            text,
            accept: "a column with the header `Tag`".to_owned(),
        }]);
    };
    let mut readings = Vec::new();
    let mut problems = Vec::new();
    for (index, cells) in rows.iter().enumerate() {
        let row = index + 2;
        let cell = |at: usize| cells.get(at).map_or("", |cell| cell.trim());
        let tag = cell(tag_at);
        if tag.is_empty() {
            if cells.iter().any(|cell| !cell.trim().is_empty()) {
                problems.push(problem(row, tag_at, "a row without a tag", "the tag tied on the cable"));
            }
            continue;
        }
        let Some(circuit) =
            job.circuits.iter().position(|circuit| circuit.tag.value.eq_ignore_ascii_case(tag))
        else {
            let text = format!("the job has no circuit `{tag}`");
            problems.push(problem(row, tag_at, &text, "a tag of the job; add a [[circuit]] for a new one"));
            continue;
        };
        let device = at(Column::Device).map(cell).unwrap_or_default();
        let fed = at(Column::Fed).map(cell).is_some_and(is_yes);
        for (column_at, column) in columns.iter().enumerate() {
            let Some(column) = column else { continue };
            let text = cell(column_at);
            if text.is_empty() {
                continue;
            }
            match entry(*column, device, text) {
                Ok(Some((when, shown))) => {
                    let reading = Reading { when, fed, shown: vec![shown], line: row };
                    readings.push(SheetReading { circuit, reading });
                }
                Ok(None) => {}
                Err((text, accept)) => problems.push(problem(row, column_at, &text, &accept)),
            }
        }
    }
    if problems.is_empty() { Ok(readings) } else { Err(problems) }
}

fn problem(row: usize, column: usize, text: &str, accept: &str) -> SheetProblem {
    SheetProblem { row, column: column + 1, text: text.to_owned(), accept: accept.to_owned() }
}

fn is_yes(text: &str) -> bool {
    ["yes", "y", "x", "true", "1", "fed"].iter().any(|yes| yes.eq_ignore_ascii_case(text))
}

/// A cell as a reading; none for a column that holds none.
fn entry(column: Column, device: &str, text: &str) -> Result<Option<(When, Shown)>, (String, String)> {
    let ohms = |when: When| display::<Ohms>(text).map(|display| Some((when, Shown::Ohms(display))));
    let tripped = |role: &str| {
        if is_name(device) { When::Device(format!("{device}{role}")) } else { When::Tripped }
    };
    match column {
        Column::VoltsDc => display(text).map(|display| Some((When::Rest, Shown::VoltsDc(display)))),
        Column::VoltsAc => display(text).map(|display| Some((When::Rest, Shown::VoltsAc(display)))),
        Column::Live => display(text).map(|display| Some((When::Live, Shown::VoltsDc(display)))),
        Column::EarthA => ohms(When::EarthA),
        Column::EarthB => ohms(When::EarthB),
        Column::Rest => ohms(When::Rest),
        Column::Reversed => ohms(When::Reversed),
        Column::Tripped => ohms(tripped("")),
        Column::CoverOpen => {
            let name = if is_name(device) { device } else { "cover" };
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

/// Whether a device can be called so in the notation.
fn is_name(text: &str) -> bool {
    let mut letters = text.chars();
    letters.next().is_some_and(char::is_alphabetic)
        && letters.all(|letter| letter.is_alphanumeric() || letter == '_')
}

/// A display as people write it down.
fn display<Q: Written + Quantity>(text: &str) -> Result<Display<Q>, (String, String)> {
    let open = ["open", "ol", "o.l", "o.l.", "0l", "\u{221e}", "over range"];
    if open.iter().any(|open| open.eq_ignore_ascii_case(text)) {
        return Ok(Display::Open);
    }
    if ["unstable", "restless", "~", "?"].iter().any(|word| word.eq_ignore_ascii_case(text)) {
        return Ok(Display::Unstable);
    }
    match parse_typed::<Q>(text) {
        Ok(typed) => Ok(Display::Value { value: typed.value, digit: typed.digit }),
        Err(error) => Err((
            format!("`{text}`: {}", error.text),
            format!("{}; `open` or `OL`; `unstable`", error.accept),
        )),
    }
}

/// What the job knows of a circuit already.
fn row(circuit: &Circuit) -> Vec<String> {
    let ohms = |wanted: &dyn Fn(&When) -> bool| {
        known(circuit, wanted, &|shown| match shown {
            Shown::Ohms(display) => Some(written(*display)),
            _ => None,
        })
    };
    let volts = |live: bool, alternating: bool| {
        known(circuit, &|when| (*when == When::Live) == live, &|shown| match shown {
            Shown::VoltsDc(display) if !alternating => Some(written(*display)),
            Shown::VoltsAc(display) if alternating => Some(written(*display)),
            _ => None,
        })
    };
    let device = circuit.found.iter().find_map(|reading| match &reading.when {
        When::Device(name) if !name.contains('.') => Some(name.clone()),
        _ => None,
    });
    let trip = |when: &When| {
        *when == When::Tripped || matches!(when, When::Device(name) if Some(name) == device.as_ref())
    };
    let cell = |column: Column| match column {
        Column::Tag => circuit.tag.value.clone(),
        Column::EndsIn => circuit.ends_in.as_ref().map_or(String::new(), |id| id.value.clone()),
        Column::Was => circuit.was.clone(),
        Column::VoltsDc => volts(false, false),
        Column::VoltsAc => volts(false, true),
        Column::Live => volts(true, false),
        Column::EarthA => ohms(&|when| matches!(when, When::EarthA | When::Earth)),
        Column::EarthB => ohms(&|when| *when == When::EarthB),
        Column::Rest => ohms(&|when| *when == When::Rest),
        Column::Reversed => ohms(&|when| *when == When::Reversed),
        Column::Place => circuit.place.clone(),
        Column::Device => device.clone().unwrap_or_default(),
        Column::Tripped => ohms(&trip),
        Column::CoverOpen => ohms(&|when| matches!(when, When::Device(name) if name.ends_with(".tamper"))),
        Column::Joined => ohms(&|when| *when == When::Joined),
        Column::Opened => ohms(&|when| *when == When::Opened),
        Column::AfterAMinute => ohms(&|when| matches!(when, When::After(_))),
        Column::Fed => {
            if circuit.found.iter().any(|reading| reading.fed) {
                "yes".to_owned()
            } else {
                String::new()
            }
        }
        Column::Note => String::new(),
    };
    Column::ALL.into_iter().map(cell).collect()
}

fn known(circuit: &Circuit, wanted: &dyn Fn(&When) -> bool, of: &dyn Fn(&Shown) -> Option<String>) -> String {
    let readings = circuit.found.iter().filter(|reading| wanted(&reading.when));
    readings.flat_map(|reading| &reading.shown).find_map(of).unwrap_or_default()
}

fn written<Q: Written + Quantity>(display: Display<Q>) -> String {
    match display {
        Display::Value { value, .. } => value.written(),
        Display::Open => "open".to_owned(),
        Display::Unstable => "unstable".to_owned(),
    }
}
