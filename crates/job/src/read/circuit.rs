//! Circuits: what was seen of a pair, and what is known to hang on it.

use std::collections::BTreeMap;

use document::{Located, Misread, Table, Value};
use network::{Meaning, Network};

use super::{count, good_id, id, reading, reference, station, words};
use crate::keys;
use crate::model::{Circuit, Duty, InputRef, ResistorPlace, WiringClass};

/// The largest zone number that control equipment is known to take, and a few more digits.
const MOST_ZONES: u32 = 99_999;

pub(super) fn circuits(root: &Table<'_>) -> Vec<Circuit> {
    root.tables("circuit", keys::CIRCUIT).iter().filter_map(circuit).collect()
}

fn circuit(table: &Table<'_>) -> Option<Circuit> {
    let tag = id(table, "tag").filter(|tag| whole_tag(table, tag));
    let duties = Duty::ALL.map(|duty| (duty.word(), duty));
    let places = [
        ("panel", ResistorPlace::Panel),
        ("splice", ResistorPlace::Splice),
        ("device", ResistorPlace::Device),
        ("end", ResistorPlace::End),
        ("unknown", ResistorPlace::Unknown),
    ];
    let network = table.value("network").and_then(|value| network_of(&value));
    let other = table.text("other");
    both_forms(table);
    let (means, bands_named) = meanings(table);
    let circuit = Circuit {
        place: words(table, "place"),
        duty: table.word("duty", &duties).map(|duty| duty.value),
        was: words(table, "was"),
        zone: count(table, "zone", 1, MOST_ZONES),
        zone_at: table.key_span("zone"),
        ends_in: reference(table, "ends_in"),
        gauge: table.gauge("gauge").map(|gauge| gauge.value),
        network,
        inferred: false,
        other: other.map(|other| other.value),
        resistor_at: table.word("resistor_at", &places).map(|place| place.value),
        class: table.word("class", &[("A", WiringClass::A), ("B", WiringClass::B)]).map(|class| class.value),
        found: table.list("found").iter().filter_map(reading::reading).collect(),
        input: table.read("input", "M1.7", input),
        also: table.list("also").iter().filter_map(|value| value.read("M1.8", input)).collect(),
        mode: reference(table, "mode"),
        means,
        bands_named,
        programmed: station::programmed(table),
        tag: tag?,
    };
    Some(circuit)
}

/// A tag has no `/`: `C01/door` is the door of C01.
fn whole_tag(table: &Table<'_>, tag: &str) -> bool {
    let Some(at) = tag.find('/') else { return true };
    if let Some(value) = table.value("tag") {
        value.misread(&Misread::from(
            at,
            "a tag holds a `/`",
            "a tag without `/`: `C01/door` is the door of C01",
        ));
    }
    false
}

fn network_of(value: &Value<'_>) -> Option<Network> {
    let read = value.read("wire:38m - nc:door - 2.2k", |text| {
        Network::parse(text).map_err(|error| {
            let at = text.char_indices().nth(error.column.saturating_sub(1)).map_or(text.len(), |(at, _)| at);
            Misread::from(at, error.text, error.accept)
        })
    });
    read.map(|network| network.value)
}

/// `network` and `other` exclude each other: the second one in the text is one too many.
fn both_forms(table: &Table<'_>) {
    let (Some(network), Some(other)) = (table.key_span("network"), table.key_span("other")) else { return };
    let second = if network.start < other.start { other } else { network };
    table.problems().report(
        second,
        "a circuit has `network` or `other`, not both",
        "`network` where it can be written as one, else `other` with a sentence",
    );
}

/// `M1.7`: everything before the last point is the module.
fn input(text: &str) -> Result<InputRef, Misread> {
    const ACCEPT: &str = "the module's id, a point and the input's number, as `M1.7`";
    let Some((module, number)) = text.rsplit_once('.') else {
        return Err(Misread::whole(format!("`{text}` names no input"), ACCEPT));
    };
    good_id(module)?;
    let at = text.len() - number.len();
    match number.parse::<u16>() {
        Ok(value) if (1..=1000).contains(&value) && number.bytes().all(|digit| digit.is_ascii_digit()) => {
            Ok(InputRef { module: module.to_owned(), number: value })
        }
        _ => {
            Err(Misread::from(at, format!("`{number}` is no number of an input"), "a number from 1 to 1000"))
        }
    }
}

/// What bands mean here, and where the bands are named.
fn meanings(table: &Table<'_>) -> (BTreeMap<String, Meaning>, Vec<Located<String>>) {
    let entries = table.value("means").and_then(|value| value.entries()).unwrap_or_default();
    let words = Meaning::ALL.map(|meaning| (meaning.word(), meaning));
    let names = entries.iter().map(|(band, _)| band.clone()).collect();
    let means = entries.into_iter().filter_map(|(band, value)| Some((band.value, value.word(&words)?.value)));
    (means.collect(), names)
}
