//! What a job knows already, as rows of a survey sheet that read back as the readings that they are; and a sheet's
//! readings beside those of its job.

use job::{Circuit, Display, Job, Shown, When};
use quantity::{Quantity, Written, parse_typed};

use crate::sheet::{Column, SheetReading};

/// Units in which a display may have been typed, with what they are worth.
const OHMS: [(&str, f64); 4] = [(" ohm", 1.0), ("k", 1e3), ("M", 1e6), (" mohm", 1e-3)];
const VOLTS: [(&str, f64); 3] = [(" V", 1.0), (" mV", 1e-3), (" kV", 1e3)];
/// Displays this near to each other are one, as a share: the arithmetic of prefixes.
const SAME: f64 = 1e-9;
/// No instrument shows more decimals.
const MOST_DECIMALS: i32 = 9;

/// Whose reading it is.
enum Whose {
    /// The pair's.
    Pair,
    /// What was tripped has no name.
    Nameless,
    /// A device's.
    Device(String),
}

/// A row in the making.
struct Row {
    cells: Vec<String>,
    fed: Option<bool>,
    whose: Whose,
}

/// The rows of a circuit: a reading stands in the row of its device, and in one that is fed as it was. What no column
/// means is left out.
pub(crate) fn rows(circuit: &Circuit) -> Vec<Vec<String>> {
    let mut rows = vec![Row::new(circuit)];
    for reading in &circuit.found {
        for shown in &reading.shown {
            let Some((column, whose)) = column(&reading.when, shown) else { continue };
            let text = as_typed(shown);
            let takes = |row: &Row| row.takes(column, &whose, reading.fed);
            let at = rows.iter().position(takes).unwrap_or_else(|| {
                rows.push(Row::new(circuit));
                rows.len() - 1
            });
            rows[at].put(column, whose, reading.fed, text);
        }
    }
    rows.into_iter().map(|row| row.cells).collect()
}

impl Row {
    fn new(circuit: &Circuit) -> Self {
        let cell = |column: Column| match column {
            Column::Tag => circuit.tag.value.clone(),
            Column::EndsIn => circuit.ends_in.as_ref().map_or(String::new(), |id| id.value.clone()),
            Column::Was => circuit.was.clone(),
            Column::Place => circuit.place.clone(),
            _ => String::new(),
        };
        Self { cells: Column::ALL.into_iter().map(cell).collect(), fed: None, whose: Whose::Pair }
    }

    fn cell(&mut self, wanted: Column) -> Option<&mut String> {
        let at = Column::ALL.iter().position(|column| *column == wanted)?;
        self.cells.get_mut(at)
    }

    fn takes(&self, wanted: Column, whose: &Whose, fed: bool) -> bool {
        let at = Column::ALL.iter().position(|column| *column == wanted);
        let is_free = at.and_then(|at| self.cells.get(at)).is_some_and(String::is_empty);
        let is_whose = match (&self.whose, whose) {
            (Whose::Device(one), Whose::Device(other)) => one == other,
            (Whose::Device(_), Whose::Nameless) | (Whose::Nameless, Whose::Device(_)) => false,
            _ => true,
        };
        is_free && is_whose && self.fed.is_none_or(|already| already == fed)
    }

    fn put(&mut self, column: Column, whose: Whose, fed: bool, text: String) {
        if let Some(cell) = self.cell(column) {
            *cell = text;
        }
        if let (Whose::Device(name), Some(cell)) = (&whose, self.cell(Column::Device)) {
            cell.clone_from(name);
        }
        if let (true, Some(cell)) = (fed, self.cell(Column::Fed)) {
            "yes".clone_into(cell);
        }
        if !matches!(whose, Whose::Pair) {
            self.whose = whose;
        }
        self.fed = Some(fed);
    }
}

/// The column that means what a reading is; none where there is no such column.
fn column(when: &When, shown: &Shown) -> Option<(Column, Whose)> {
    let of_pair = |column: Column| Some((column, Whose::Pair));
    match (shown, when) {
        (Shown::VoltsDc(_), When::Rest) => of_pair(Column::VoltsDc),
        (Shown::VoltsAc(_), When::Rest) => of_pair(Column::VoltsAc),
        (Shown::VoltsDc(_), When::Live) => of_pair(Column::Live),
        (Shown::Ohms(_), When::EarthA) => of_pair(Column::EarthA),
        (Shown::Ohms(_), When::EarthB) => of_pair(Column::EarthB),
        (Shown::Ohms(_), When::Rest) => of_pair(Column::Rest),
        (Shown::Ohms(_), When::Reversed) => of_pair(Column::Reversed),
        (Shown::Ohms(_), When::Joined) => of_pair(Column::Joined),
        (Shown::Ohms(_), When::Opened) => of_pair(Column::Opened),
        (Shown::Ohms(_), When::After(time)) if (time.0 - 60.0).abs() < SAME => of_pair(Column::AfterAMinute),
        (Shown::Ohms(_), When::Tripped) => Some((Column::Tripped, Whose::Nameless)),
        (Shown::Ohms(_), When::Device(name)) => match name.split_once('.') {
            None => Some((Column::Tripped, Whose::Device(name.clone()))),
            Some((device, "tamper")) => Some((Column::CoverOpen, Whose::Device(device.to_owned()))),
            Some(_) => None,
        },
        _ => None,
    }
}

/// A display as it was typed, as a cell of a sheet and a value of the job file have it; empty for a current, which no
/// sheet holds.
#[must_use]
pub fn as_typed(shown: &Shown) -> String {
    match shown {
        Shown::Ohms(display) => typed(*display, &OHMS),
        Shown::VoltsDc(display) | Shown::VoltsAc(display) => typed(*display, &VOLTS),
        Shown::Amps(_) => String::new(),
    }
}

/// A display as it was typed: its last digit sets the error.
fn typed<Q: Written + Quantity>(display: Display<Q>, units: &[(&str, f64)]) -> String {
    let (value, digit) = match display {
        Display::Value { value, digit } => (value, digit.value().abs()),
        Display::Open => return "open".to_owned(),
        Display::Unstable => return "unstable".to_owned(),
    };
    // Of the units in which it can be said, the largest that leaves something before the point comes first.
    let mut units: Vec<(&str, f64)> = units.to_vec();
    let is_less = |worth: f64| value.value().abs() < worth;
    units.sort_by(|one, other| is_less(one.1).cmp(&is_less(other.1)).then(other.1.total_cmp(&one.1)));
    // Nothing at all is nothing of the unit itself: `0 V`, no kilovolts.
    if value.value().abs() < f64::MIN_POSITIVE {
        units.sort_by(|one, other| libm::log10(one.1).abs().total_cmp(&libm::log10(other.1).abs()));
    }
    let in_unit = |(unit, worth): &(&str, f64)| {
        let decimals = libm::log10(worth / digit).round();
        let decimals = (0.0..=f64::from(MOST_DECIMALS)).contains(&decimals).then_some(decimals as usize)?;
        let text = format!("{:.*}{unit}", decimals, value.value() / worth);
        let back = parse_typed::<Q>(&text).ok()?;
        (near(back.value.value(), value.value()) && near(back.digit.value().abs(), digit)).then_some(text)
    };
    units.iter().find_map(in_unit).unwrap_or_else(|| value.written())
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() <= SAME * one.abs().max(other.abs())
}

/// Puts the readings of a sheet beside those of the job. A reading that the job has already is the same one, printed and
/// read back: it counts once, whatever the sheet says of the supply. A trip that had no name gets the one that the sheet
/// gives it.
pub fn merge(job: &mut Job, readings: Vec<SheetReading>) {
    let before: Vec<usize> = job.circuits.iter().map(|circuit| circuit.found.len()).collect();
    for SheetReading { circuit, reading, .. } in readings {
        let Some(circuit_before) = before.get(circuit) else { continue };
        let found = &mut job.circuits[circuit].found;
        let shows = |known: &job::Reading| {
            reading.shown.iter().all(|one| known.shown.iter().any(|other| same(one, other)))
        };
        let known = &mut found[..*circuit_before];
        if known.iter().any(|known| known.when == reading.when && shows(known)) {
            continue;
        }
        let is_alarm = matches!(&reading.when, When::Device(name) if !name.contains('.'));
        let nameless = known.iter_mut().find(|known| is_alarm && known.when == When::Tripped && shows(known));
        match nameless {
            Some(nameless) => nameless.when = reading.when,
            None => found.push(reading),
        }
    }
}

/// Whether two displays are one and the same.
fn same(one: &Shown, other: &Shown) -> bool {
    match (one, other) {
        (Shown::Ohms(one), Shown::Ohms(other)) => same_display(*one, *other),
        (Shown::VoltsDc(one), Shown::VoltsDc(other)) | (Shown::VoltsAc(one), Shown::VoltsAc(other)) => {
            same_display(*one, *other)
        }
        (Shown::Amps(one), Shown::Amps(other)) => same_display(*one, *other),
        _ => false,
    }
}

fn same_display<Q: Quantity>(one: Display<Q>, other: Display<Q>) -> bool {
    match (one, other) {
        (Display::Value { value: one, .. }, Display::Value { value: other, .. }) => {
            near(one.value(), other.value())
        }
        (Display::Open, Display::Open) | (Display::Unstable, Display::Unstable) => true,
        _ => false,
    }
}
