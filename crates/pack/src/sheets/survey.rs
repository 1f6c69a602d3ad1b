//! The survey sheet, to be filled in by hand: a table a pass, columns in the order of the passes, rows in the order of
//! the strip; and a blank one for pairs that nobody has written down.

use assess::Assessment;
use identify::{Column, Sheet};
use serde::Serialize;

use crate::sheets::findings::{FindingRow, finding_rows_of};
use crate::words::counted;

/// Rows of a blank sheet.
const BLANK: usize = 20;
/// Findings that stand above everything else: nobody touches such a pair with an ohm meter.
const REFUSALS: [&str; 4] = ["dangerous-volts", "foreign-volts", "leg-to-earth", "unstable-reading"];

/// The first pass, along the old terminal strip; widths in millimetres, 0: what is left.
const STRIP: [(Column, f64); 11] = [
    (Column::Tag, 12.0),
    (Column::EndsIn, 10.0),
    (Column::Was, 15.0),
    (Column::VoltsDc, 14.0),
    (Column::VoltsAc, 14.0),
    (Column::EarthA, 15.0),
    (Column::EarthB, 15.0),
    (Column::Live, 14.0),
    (Column::Rest, 18.0),
    (Column::Reversed, 18.0),
    (Column::Note, 0.0),
];
/// The second, through the building.
const WALK: [(Column, f64); 7] = [
    (Column::Tag, 12.0),
    (Column::Place, 44.0),
    (Column::Device, 30.0),
    (Column::Tripped, 22.0),
    (Column::CoverOpen, 22.0),
    (Column::Fed, 10.0),
    (Column::Note, 0.0),
];
/// The third, only what is unsettled.
const UNSETTLED: [(Column, f64); 6] = [
    (Column::Tag, 12.0),
    (Column::Place, 44.0),
    (Column::Joined, 24.0),
    (Column::Opened, 24.0),
    (Column::AfterAMinute, 24.0),
    (Column::Note, 0.0),
];

/// Both survey sheets.
#[derive(Serialize)]
pub(crate) struct Survey {
    refusals: Vec<FindingRow>,
    filled: Vec<Pass>,
    answer: String,
    blank: Vec<Pass>,
}

/// One pass.
#[derive(Serialize)]
struct Pass {
    title: &'static str,
    words: &'static str,
    heads: Vec<Head>,
    rows: Vec<Vec<String>>,
}

#[derive(Serialize)]
struct Head {
    text: &'static str,
    width_mm: f64,
}

/// Which rows a pass has.
#[derive(Clone, Copy)]
enum Rows<'a> {
    Blank,
    Of(&'a Sheet, &'a [usize]),
}

/// What the job leaves to survey (circuits without a reading, or whose wiring nobody has written), and a blank one.
pub(crate) fn survey(assessment: &Assessment) -> Survey {
    let job = assessment.job;
    let sheet = Sheet::of(job);
    let circuit = |at: &usize| sheet.circuits.get(*at).and_then(|at| job.circuits.get(*at));
    let unsettled =
        |at: &usize| circuit(at).is_some_and(|circuit| circuit.network.is_none() || circuit.inferred);
    let unread = |at: &usize| circuit(at).is_some_and(|circuit| circuit.found.is_empty());
    let open: Vec<usize> = (0..sheet.rows.len()).filter(|at| unsettled(at) || unread(at)).collect();
    // A circuit has as many rows as devices.
    let mut left: Vec<usize> = open.iter().filter_map(|at| sheet.circuits.get(*at).copied()).collect();
    left.dedup();
    let third: Vec<usize> = open.iter().copied().filter(unsettled).collect();
    let filled =
        if open.is_empty() { Vec::new() } else { passes(Rows::Of(&sheet, &open), Rows::Of(&sheet, &third)) };
    Survey {
        refusals: finding_rows_of(assessment, |finding| REFUSALS.contains(&finding.code)),
        filled,
        answer: format!(
            "{} left to survey; what was read already stands in its box. The others are written down.",
            counted(left.len(), "circuit is", "circuits are")
        ),
        blank: passes(Rows::Blank, Rows::Blank),
    }
}

fn passes(all: Rows, unsettled: Rows) -> Vec<Pass> {
    let mut passes = vec![
        pass(
            "First, along the old strip",
            "Volts first, highest AC range, each leg to earth too. More than 1 V, or a leg to earth: no ohms are read. Live \
             means at the old terminals while the old equipment works.",
            &STRIP,
            all,
        ),
        pass(
            "Second, through the building",
            "Pair off its terminals, one device at a time; fed: whether powered detectors had their supply.",
            &WALK,
            all,
        ),
    ];
    if !matches!(unsettled, Rows::Of(_, [])) {
        passes.push(pass(
            "Third, only what is unsettled",
            "Ohms from the panel with the pair joined, then opened, at the far device; and after a minute, where a reading \
             creeps.",
            &UNSETTLED,
            unsettled,
        ));
    }
    passes
}

fn pass(title: &'static str, words: &'static str, columns: &[(Column, f64)], rows: Rows) -> Pass {
    let heads = columns.iter().map(|&(column, width_mm)| Head { text: column.title(), width_mm });
    let place = |wanted: Column| Column::ALL.iter().position(|column| *column == wanted).unwrap_or(0);
    let rows = match rows {
        Rows::Blank => vec![vec![String::new(); columns.len()]; BLANK],
        Rows::Of(sheet, some) => some
            .iter()
            .filter_map(|&at| sheet.rows.get(at))
            .map(|row| {
                let cell = |&(column, _): &(Column, f64)| row.get(place(column)).cloned().unwrap_or_default();
                columns.iter().map(cell).collect()
            })
            .collect(),
    };
    Pass { title, words, heads: heads.collect(), rows }
}
