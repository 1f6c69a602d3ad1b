//! One circuit's sheet: as found and as it shall be, what the input sees, what the meter must show, what a
//! fault would do.

use assess::{Assessment, CircuitResult};
use circuit::Remedy;
use job::{Display, Finding, Reading, Severity, Shown, When};
use network::Network;
use quantity::Written;
use serde::Serialize;

use crate::fault_rows::{FaultRow, coverage_words, fault_rows};
use crate::figures::{self, Figure};
use crate::heard::Heard;
use crate::marks::marks;
use crate::smoke::{SmokePower, smoke_power};
use crate::state_rows::{StateRow, state_rows};
use crate::words::{capital, driven, duty_title, findings_of, input, mode_words};

/// Other remedies that are named beside the first.
const OTHER_WAYS: usize = 2;

/// One sheet.
#[derive(Serialize)]
pub struct CircuitSheet {
    /// Whether it is the first of the circuits.
    pub opens: bool,
    /// Whether it is set smaller.
    pub dense: bool,
    /// The tag.
    pub tag: String,
    /// Where it goes.
    pub place: String,
    /// Duty, input, enclosure.
    pub seat: String,
    /// The answer in a sentence or two.
    pub answer: String,
    /// The heaviest finding; `nothing found` for none but notes.
    pub severity: &'static str,
    /// Whether its duty is a fire duty.
    pub fire: bool,
    /// Drawn as found; none without a network.
    pub found: Option<Figure>,
    /// Drawn as it shall be, where that is another network.
    pub shall: Option<Figure>,
    /// What stands above the first drawing.
    pub found_title: &'static str,
    /// What was found, the heaviest first.
    pub notes: Vec<Note>,
    /// Quiet lines under the notes: readings, work, other ways.
    pub margin: Vec<String>,
    /// What the input sees; none without a mode.
    pub bands: Option<Figure>,
    /// The mode; empty without one.
    pub mode: String,
    /// Its network as text; empty without one.
    pub network: String,
    /// A two-wire smoke circuit under power.
    pub power: Option<SmokePower>,
    /// The meter table.
    pub states: Vec<StateRow>,
    /// Whether the meter table has a column for the supply off.
    pub has_supply_off: bool,
    /// What a fault would do.
    pub faults: Vec<FaultRow>,
    /// All faults counted in a sentence.
    pub coverage: String,
    /// What is needed before more can be said.
    pub missing: Vec<String>,
    /// Its conductor.
    pub cable: String,
    /// The scale of the drawings in words.
    pub scale: String,
}

/// A finding in the notes column.
#[derive(Serialize)]
pub struct Note {
    /// The number in its triangle; none for what is only worth knowing.
    pub number: Option<usize>,
    /// The word of its severity.
    pub severity: &'static str,
    /// Its code, for a page that says more about it than paper does.
    #[serde(skip)]
    pub code: &'static str,
    /// What was found.
    pub text: String,
    /// What to do about it; empty where there is nothing.
    pub remedy: String,
}

/// The sheet of a circuit.
///
/// `opens` the circuits in the bookmarks; `dense` is set smaller.
pub fn circuit_sheet(
    assessment: &Assessment,
    result: &CircuitResult,
    opens: bool,
    dense: bool,
) -> CircuitSheet {
    let circuit = result.circuit;
    let found = findings_of(assessment, &circuit.tag);
    let network = circuit.network.as_ref();
    let study = result.study.as_ref();
    let remedy = study.and_then(|study| study.remedies.first());
    let shall = remedy.and_then(|remedy| remedy.network.as_ref());
    let both = network.zip(study);
    let heard = Heard::of(assessment, result);
    let severity =
        found.first().map(|finding| finding.severity).filter(|severity| *severity > Severity::Note);
    let drawn = network.and_then(|network| {
        let marks = marks(result, network, &found);
        figures::circuit(assessment, result, network, shall, &marks, figures::ON_PAPER)
    });
    let (drawn_found, drawn_shall, scale) = match drawn {
        Some(drawn) => (Some(drawn.found), drawn.shall, drawn.scale),
        None => (None, None, "not to scale".to_owned()),
    };
    CircuitSheet {
        opens,
        dense,
        tag: circuit.tag.value.clone(),
        place: if circuit.place.is_empty() {
            "Place not written down".to_owned()
        } else {
            capital(&circuit.place)
        },
        seat: seat(assessment, result),
        answer: answer(assessment, result, &found),
        severity: severity.map_or("nothing found", Severity::word),
        fire: circuit.duty.is_some_and(job::Duty::is_fire),
        scale,
        found: drawn_found,
        shall: drawn_shall,
        found_title: found_title(network.is_some(), shall.is_some()),
        notes: notes(&found),
        margin: margin(result, remedy),
        bands: figures::bands(result),
        mode: mode_words(result),
        power: result.smoke.as_ref().map(smoke_power),
        network: network.map(Network::written).unwrap_or_default(),
        states: both.map(|(network, study)| state_rows(result, network, study)).unwrap_or_default(),
        has_supply_off: study.is_some_and(|study| study.meter.iter().any(|row| row.unfed.is_some())),
        faults: both.map(|(network, study)| fault_rows(result, network, study, heard)).unwrap_or_default(),
        coverage: study
            .filter(|study| !study.faults.is_empty())
            .map(|study| coverage_words(study, heard))
            .unwrap_or_default(),
        missing: missing(assessment, result),
        cable: gauge(assessment, result),
    }
}

/// `Intrusion. Input M1.7, enclosure E1`.
fn seat(assessment: &Assessment, result: &CircuitResult) -> String {
    let circuit = result.circuit;
    let mut words = format!("{}. ", duty_title(circuit.duty));
    match (input(circuit), driven(assessment, circuit)) {
        (_, Some(says)) => words.push_str(&says),
        (input, None) if input.is_empty() => words.push_str("On no input"),
        (input, None) => words.push_str(&format!("Input {input}")),
    }
    if let Some(enclosure) = &circuit.ends_in {
        words.push_str(&format!(", enclosure {}", enclosure.value));
        let known = assessment.job.enclosures.iter().find(|known| known.id.value == enclosure.value);
        if let Some(known) = known.filter(|known| !known.place.is_empty()) {
            words.push_str(&format!(", {}", known.place));
        }
    }
    words
}

/// The answer in a sentence or two.
fn answer(assessment: &Assessment, result: &CircuitResult, found: &[&Finding]) -> String {
    let driven = driven(assessment, result.circuit);
    let reads = match (&result.study, result.why) {
        (Some(_), Some(_)) if driven.is_some() => {
            format!("{}. This sheet says what the meter must find.", driven.unwrap_or_default())
        }
        (None, _) if result.circuit.other.is_some() => {
            "This circuit has no series-parallel form, so it is kept as described and not computed."
                .to_owned()
        }
        (None, _) => "What hangs on this pair is not known yet, so nothing can be computed.".to_owned(),
        (Some(_), Some(_)) => {
            "On no input yet: this sheet says what the meter must find, not what an input would read."
                .to_owned()
        }
        (Some(study), None) if study.reads_right => {
            format!("Input {} reads this circuit right in every state.", input(result.circuit))
        }
        (Some(_), None) => format!("Input {} does not read this circuit right.", input(result.circuit)),
    };
    let Some(first) = found.first() else { return format!("{reads} Nothing found that needs fixing.") };
    match first.severity {
        Severity::Stop | Severity::Fix => first.text.clone(),
        Severity::Check if result.study.is_none() => reads,
        Severity::Check => format!("{reads} To look at first: note 1."),
        Severity::Note => format!("{reads} Nothing found that needs fixing."),
    }
}

/// Numbers what is more than a note, the heaviest first.
pub fn notes(found: &[&Finding]) -> Vec<Note> {
    let mut number = 0;
    let note = |finding: &&Finding| {
        let numbered = finding.severity > Severity::Note;
        number += usize::from(numbered);
        Note {
            number: numbered.then_some(number),
            severity: finding.severity.word(),
            code: finding.code,
            text: finding.text.clone(),
            remedy: finding.remedy.clone(),
        }
    };
    found.iter().map(note).collect()
}

fn margin(result: &CircuitResult, remedy: Option<&Remedy>) -> Vec<String> {
    let mut lines = Vec::new();
    if !result.circuit.found.is_empty() {
        let readings: Vec<String> = result.circuit.found.iter().map(reading).collect();
        lines.push(format!("As found: {}.", readings.join("; ")));
    }
    if let Some(remedy) = remedy {
        lines.push(format!("Work: {} About {} min.", remedy.text, remedy.minutes.0.round()));
        let coverage = remedy.coverage;
        lines.push(format!(
            "Then {} of {} faults show and {} hide an alarm.",
            coverage.announced,
            coverage.total(),
            coverage.silent_dangerous
        ));
        lines.push(
            "The tables below are as found; once the job file has the change they are made anew.".to_owned(),
        );
        for hidden in &remedy.hides {
            lines.push(format!("It hides {} {}.", hidden.kind.word(), hidden.place));
        }
    }
    let others = result.study.iter().flat_map(|study| study.remedies.iter().skip(1)).take(OTHER_WAYS);
    for other in others {
        lines.push(format!("Another way: {} About {} min.", other.text, other.minutes.0.round()));
    }
    lines
}

/// `at rest 2.21 kΩ`, `leaf1 over range`.
pub fn reading(reading: &Reading) -> String {
    let when = match &reading.when {
        When::Rest => "at rest".to_owned(),
        When::Tripped => "tripped".to_owned(),
        When::Device(name) => format!("{name} tripped"),
        When::Reversed => "leads swapped".to_owned(),
        When::Joined => "joined at the far device".to_owned(),
        When::Opened => "opened at the far device".to_owned(),
        When::Earth => "to earth".to_owned(),
        When::EarthA => "first leg to earth".to_owned(),
        When::EarthB => "second leg to earth".to_owned(),
        When::Core(core) => format!("to core {core}"),
        When::After(time) => format!("after {}", time.shown(3)),
        When::Live => "live at the old terminals".to_owned(),
    };
    let shown: Vec<String> = reading.shown.iter().map(shown).collect();
    let fed = if reading.fed { " (supply on)" } else { "" };
    format!("{when} {}{fed}", shown.join(", "))
}

fn shown(shown: &Shown) -> String {
    fn value<Q: Written>(display: &Display<Q>, kind: &str) -> String {
        match display {
            Display::Value { value, .. } => format!("{}{kind}", value.shown(3)),
            Display::Open => "over range".to_owned(),
            Display::Unstable => "unstable".to_owned(),
        }
    }
    match shown {
        Shown::Ohms(display) => value(display, ""),
        Shown::VoltsDc(display) => value(display, " DC"),
        Shown::VoltsAc(display) => value(display, " AC"),
        Shown::Amps(display) => value(display, ""),
    }
}

/// What is needed before more can be said.
fn missing(assessment: &Assessment, result: &CircuitResult) -> Vec<String> {
    let circuit = result.circuit;
    let mut lines = Vec::new();
    if circuit.network.is_none() {
        match &circuit.other {
            Some(other) => {
                lines.push(format!("Described as: {other}"));
                lines.push(
                    "Rewire it as a line or a tree, or prove it device by device on site; no drawing, band or meter \
                     table can be made of it as it is."
                        .to_owned(),
                );
            }
            None if assess::clear::in_the_way(circuit).is_some() => lines.push(
                "Something feeds this pair. Nothing on it is touched, and no ohms are read, before that is found, switched \
                 off and read as gone."
                    .to_owned(),
            ),
            None => {
                lines.push(
                    "Measure the pair at rest, then with each device tripped in turn, supply of powered detectors on, \
                     and write the readings into the job file."
                        .to_owned(),
                );
                lines.push(
                    "First contact with an unknown pair is made with a rated meter on its highest AC range, both legs \
                     to earth; more than 1 V, or a leg to earth, is not fit for an ohms reading."
                        .to_owned(),
                );
            }
        }
    }
    if circuit.input.is_none() && driven(assessment, circuit).is_none() {
        lines.push("It is on no input, so there is no band, no verdict and no fault table yet.".to_owned());
    }
    lines
}

fn gauge(assessment: &Assessment, result: &CircuitResult) -> String {
    result.circuit.gauge.unwrap_or(assessment.job.assume.cable).shown_in(figures::units(assessment))
}

/// The circuit's drawings as wide as a phone, its rows under one another; none without a network.
#[must_use]
pub fn drawn_on_a_phone(assessment: &Assessment, result: &CircuitResult) -> Option<figures::Drawn> {
    let network = result.circuit.network.as_ref()?;
    let remedy = result.study.as_ref().and_then(|study| study.remedies.first());
    let shall = remedy.and_then(|remedy| remedy.network.as_ref());
    let marks = marks(result, network, &findings_of(assessment, &result.circuit.tag));
    figures::circuit(assessment, result, network, shall, &marks, [figures::ON_A_PHONE; 2])
}

fn found_title(drawn: bool, changes: bool) -> &'static str {
    match (drawn, changes) {
        (false, _) => "what is missing",
        (true, true) => "as found",
        (true, false) => "as found, and as it shall be",
    }
}
