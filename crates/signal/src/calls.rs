//! The call sheet: one line an expected signal, in the order of the test, to be ticked while the operator reads back.

use job::{Job, ReportFormat};

use crate::expected::{Expected, Tally};
use crate::play::{in_order, says};
use crate::table::Table;

/// One line of the call sheet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CallLine {
    /// Its number on the sheet, from 1.
    pub number: usize,
    /// What is done and must be read back: `C05 kennel corridor, w2: alarm`.
    pub says: String,
    /// The circuit, where it is one's.
    pub tag: Option<String>,
    /// The device that brings it.
    pub device: Option<String>,
    /// The expected signal's key, by which evidence names it.
    pub key: String,
    /// The code that the operator will see, in the job's format; another sender may use another of the same sense.
    pub code: String,
    /// Area in the signal.
    pub area: Option<u32>,
    /// Zone or user in the signal.
    pub zone: Option<u32>,
    /// By which ways a signal of this key has come, and how often: `received 1 of 2`. A signal does not say which
    /// device it was.
    pub came: Vec<Came>,
}

/// How often one way brought a signal.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Came {
    /// `received`, `station-list`, `call-sheet`.
    pub way: String,
    /// So often.
    pub times: usize,
    /// Of so many.
    pub of: usize,
}

/// The call sheet of a job, with what each way of evidence has brought.
#[must_use]
pub fn of(job: &Job, ways: &[(String, Tally)]) -> Vec<CallLine> {
    let format = job.station.as_ref().map(|station| station.format).unwrap_or_default();
    let expected = Expected::of(job);
    let line = |(number, (at, time)): (usize, (usize, usize))| {
        let one = expected.get(at)?;
        let key = one.to_string();
        let came = ways.iter().filter_map(|(way, tally)| {
            let (_, times) = tally.all().find(|(other, _)| other.to_string() == key)?;
            (times > 0).then(|| Came { way: way.clone(), times, of: one.times() })
        });
        Some(CallLine {
            number: number + 1,
            says: says(job, one, time),
            tag: one.tag.clone(),
            device: one.devices.get(time).cloned(),
            code: code(one, format),
            area: one.area,
            zone: one.number,
            came: came.collect(),
            key,
        })
    };
    in_order(&expected).into_iter().enumerate().filter_map(line).collect()
}

fn code(expected: &Expected, format: ReportFormat) -> String {
    match format {
        ReportFormat::ContactId => {
            let code = expected.codes.first().map_or("?".to_owned(), |code| format!("{code:03}"));
            if expected.condition.is_over() { format!("{code} restore") } else { code }
        }
        ReportFormat::TwoLetter => {
            let letters = expected.letters.first().copied().unwrap_or(*b"??");
            letters.map(char::from).iter().collect()
        }
    }
}

/// The sheet as a table; the last column is for the pen.
#[must_use]
pub fn table(lines: &[CallLine]) -> Table {
    let mut table = Table::new("calls", &["Line", "Signal", "Area", "No", "Code", "Came", "Read back"]);
    let number = |number: Option<u32>| number.map_or(String::new(), |number| number.to_string());
    for line in lines {
        let came: Vec<String> =
            line.came.iter().map(|came| format!("{} {} of {}", came.way, came.times, came.of)).collect();
        table.rows.push(vec![
            line.number.to_string(),
            line.says.clone(),
            number(line.area),
            number(line.zone),
            line.code.clone(),
            came.join(", "),
            String::new(),
        ]);
    }
    table
}
