//! The tables of the pack as rows of cells, once for XLSX and CSV. Units stand in the headings.

use assess::{Assessment, CircuitResult, Cutover};
use circuit::fault_words;
use network::Bounds;

use crate::words::{active_words, band_name, meaning_word, mode_words, verdict_word};

/// One table.
pub(crate) struct Table {
    /// Its name: a file's stem, a sheet's name.
    pub(crate) name: &'static str,
    pub(crate) columns: Vec<&'static str>,
    pub(crate) rows: Vec<Vec<Cell>>,
}

/// One cell.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Cell {
    Text(String),
    Number(f64),
    /// Nothing is known or nothing applies; an open circuit too.
    Empty,
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<usize> for Cell {
    fn from(count: usize) -> Self {
        // A table never has 2^53 rows.
        Self::Number(count as f64)
    }
}

impl From<Option<f64>> for Cell {
    fn from(number: Option<f64>) -> Self {
        number.filter(|number| number.is_finite()).map_or(Self::Empty, Self::Number)
    }
}

fn finite(number: f64) -> Cell {
    Some(number).into()
}

/// Every table of a pack.
pub(crate) fn tables(assessment: &Assessment, cutover: &Cutover) -> Vec<Table> {
    let mut tables = vec![
        circuits(assessment),
        states(assessment),
        findings(assessment),
        faults(assessment),
        schedule(assessment),
    ];
    tables.extend(crate::power_tables::more_tables(assessment));
    if !cutover.circuits.is_empty() {
        tables.extend(crate::cutover_tables::tables(cutover));
    }
    tables
}

fn circuits(assessment: &Assessment) -> Table {
    let row = |result: &CircuitResult| {
        let circuit = result.circuit;
        let study = result.study.as_ref();
        let coverage = study.map(|study| study.coverage).unwrap_or_default();
        vec![
            circuit.tag.value.as_str().into(),
            circuit.place.as_str().into(),
            circuit.duty.map_or("", job::Duty::word).into(),
            circuit.was.as_str().into(),
            circuit.zone.map_or(Cell::Empty, |zone| Cell::Number(f64::from(zone))),
            circuit.ends_in.as_ref().map_or("", |enclosure| enclosure.as_str()).into(),
            crate::words::input(circuit).into(),
            mode_words(result).into(),
            circuit.network.as_ref().map(network::Network::written).unwrap_or_default().into(),
            verdict_word(assessment, &circuit.tag).into(),
            study.map_or(Cell::Empty, |study| finite(study.line.0)),
            coverage.total().into(),
            coverage.announced.into(),
            coverage.silent_safe.into(),
            coverage.silent_dangerous.into(),
            coverage.test_only.into(),
            result.why.unwrap_or_default().into(),
        ]
    };
    Table {
        name: "circuits",
        columns: vec![
            "tag",
            "place",
            "duty",
            "was",
            "zone",
            "enclosure",
            "input",
            "mode",
            "network",
            "verdict",
            "line_max_ohm",
            "faults",
            "announced",
            "silent_safe",
            "silent_dangerous",
            "test_only",
            "why_not_computed",
        ],
        rows: assessment.circuits.iter().map(row).collect(),
    }
}

fn states(assessment: &Assessment) -> Table {
    let mut rows = Vec::new();
    for result in &assessment.circuits {
        let (Some(study), Some(network)) = (&result.study, &result.circuit.network) else { continue };
        for (state, meter) in study.states.iter().zip(&study.meter) {
            let [lo, hi] = ends(state.ohms);
            let unfed = meter.unfed;
            rows.push(vec![
                result.circuit.tag.value.as_str().into(),
                active_words(network, &state.active).into(),
                lo,
                hi,
                meter.fed.lo.map(|ohms| ohms.0).into(),
                meter.fed.hi.map(|ohms| ohms.0).into(),
                unfed.and_then(|unfed| unfed.lo).map(|ohms| ohms.0).into(),
                unfed.and_then(|unfed| unfed.hi).map(|ohms| ohms.0).into(),
                band_name(result, state.band).into(),
                meaning_word(study, state.band).into(),
                state.slack.below.into(),
                state.slack.above.into(),
                state.ok.map_or("", |ok| if ok { "right" } else { "wrong" }).into(),
            ]);
        }
    }
    Table {
        name: "states",
        columns: vec![
            "tag",
            "state",
            "terminals_lo_ohm",
            "terminals_hi_ohm",
            "meter_lo_ohm",
            "meter_hi_ohm",
            "meter_supply_off_lo_ohm",
            "meter_supply_off_hi_ohm",
            "band",
            "means",
            "room_below_ohm",
            "room_above_ohm",
            "verdict",
        ],
        rows,
    }
}

fn findings(assessment: &Assessment) -> Table {
    let rows = assessment.findings.iter().map(|finding| {
        vec![
            finding.severity.word().into(),
            finding.place.as_str().into(),
            finding.code.into(),
            finding.text.as_str().into(),
            finding.remedy.as_str().into(),
        ]
    });
    Table {
        name: "findings",
        columns: vec!["severity", "where", "code", "text", "remedy"],
        rows: rows.collect(),
    }
}

fn faults(assessment: &Assessment) -> Table {
    let mut rows = Vec::new();
    for result in &assessment.circuits {
        let (Some(study), Some(network)) = (&result.study, &result.circuit.network) else { continue };
        for fault in &study.faults {
            let [size_lo, size_hi] = fault.sizes.map_or([Cell::Empty, Cell::Empty], ends);
            let [rest_lo, rest_hi] = ends(fault.ohms);
            rows.push(vec![
                result.circuit.tag.value.as_str().into(),
                fault.kind.word().into(),
                fault.place.words(network).into(),
                fault.leg.map_or("", circuit::Leg::word).into(),
                size_lo,
                size_hi,
                rest_lo,
                rest_hi,
                band_name(result, fault.band).into(),
                fault.announced_as.map_or("", network::Meaning::word).into(),
                fault.class.word().into(),
                fault_words(network, fault).into(),
            ]);
        }
    }
    Table {
        name: "faults",
        columns: vec![
            "tag",
            "fault",
            "where",
            "leg",
            "size_lo_ohm",
            "size_hi_ohm",
            "rest_lo_ohm",
            "rest_hi_ohm",
            "band",
            "announced_as",
            "class",
            "words",
        ],
        rows,
    }
}

/// Input by input: what is landed where.
fn schedule(assessment: &Assessment) -> Table {
    let mut rows = Vec::new();
    for module in &assessment.job.modules {
        for number in 1..=crate::words::inputs(assessment, module) {
            let on = assessment.job.circuits.iter().find(|circuit| {
                circuit
                    .input
                    .as_ref()
                    .is_some_and(|input| input.module == module.id.value && input.number == number)
            });
            rows.push(vec![
                module.enclosure.as_ref().map_or("", |enclosure| enclosure.as_str()).into(),
                module.id.value.as_str().into(),
                Cell::Number(f64::from(number)),
                on.map_or("", |circuit| circuit.tag.as_str()).into(),
                on.map_or("", |circuit| circuit.place.as_str()).into(),
                on.and_then(|circuit| circuit.duty).map_or("", job::Duty::word).into(),
                on.map_or("", |circuit| circuit.was.as_str()).into(),
                on.and_then(|circuit| circuit.zone).map_or(Cell::Empty, |zone| Cell::Number(f64::from(zone))),
            ]);
        }
    }
    Table {
        name: "schedule",
        columns: vec!["enclosure", "module", "input", "tag", "place", "duty", "was", "zone"],
        rows,
    }
}

/// Both ends; an infinite one is an empty cell.
fn ends(bounds: Bounds) -> [Cell; 2] {
    [finite(bounds.lo), finite(bounds.hi)]
}
