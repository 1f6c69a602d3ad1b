//! Circuits worked by hand and by the trade's own figures, through the one door.

mod common;

use common::{circuit, close, codes, faults};
use serde_json::Value;

/// By hand: rest 0 to 1 ohm of contact + 4.7 kohm 5 % = 4465 to 4936 ohm. The open contact alone is 1 Mohm.
/// Common practice, no source: a resistor in line at the end of a normally-closed circuit.
#[test]
fn at_the_end_only_gradual_faults_are_dangerous() {
    let (circuit, findings) = circuit("wide", "nc:door - 4.7k");
    assert_eq!(circuit["states"][0]["ohms"]["lo"], 4465.0);
    assert_eq!(circuit["states"][0]["ohms"]["hi"], 4936.0);
    assert_eq!(circuit["states"][1]["ok"], true);
    let dangerous = faults(&circuit, "silent_dangerous");
    let kinds: Vec<_> = dangerous.iter().map(|fault| fault["fault"].as_str().expect("a word")).collect();
    assert!(kinds.iter().all(|kind| matches!(*kind, "leak" | "joint" | "earth")), "{kinds:?}");
    // Leak x: silent while 4936 x / (4936 + x) reaches the widened rest band at 2400 * 0.97 = 2328, so from
    // x = 2328 * 4936 / (4936 - 2328) = 4406.1; dangerous while x may read below 7000 * 1.03 = 7210 with the
    // contact at its least 1 Mohm in line with 4465 ohm, beside the leak, or surely at most 7210 otherwise.
    let leak =
        dangerous.iter().find(|fault| fault["fault"] == "leak" && fault["where"] == "at the terminals");
    let leak = leak.expect("the leak is named");
    assert!(close(&leak["sizes"]["lo"], 4406.1, 1e-4), "{leak}");
    let highest = 7210.0 * 1_004_465.0 / (1_004_465.0 - 7210.0);
    assert!(close(&leak["sizes"]["hi"], highest, 1e-9), "{leak}");
    assert!(codes(&findings).contains(&"silent-leak"), "{findings:?}");
    assert!(!codes(&findings).contains(&"silent-danger"), "{findings:?}");
}

#[test]
fn in_the_panel_a_short_is_silent_and_dangerous() {
    let (circuit, findings) = circuit("wide", "4.7k - wire:38m - nc:door");
    let dangerous = faults(&circuit, "silent_dangerous");
    assert!(dangerous.iter().any(|fault| fault["fault"] == "short" && fault["endangers"] == "door"));
    let danger = findings.iter().find(|finding| finding["code"] == "silent-danger").expect("it is said");
    assert_eq!(danger["severity"], "fix");
    let text = danger["text"].as_str().expect("text");
    assert!(text.contains("door can open and the input still reads normal"), "{text}");
    let moved =
        circuit["remedies"].as_array().expect("a list").iter().find(|remedy| remedy["kind"] == "move");
    let moved = moved.unwrap_or_else(|| panic!("moving it is proven: {}", circuit["remedies"]));
    assert_eq!(moved["network"], "wire:38m - nc:door - 4.7k");
    assert_eq!(moved["hides"].as_array().map(Vec::len), Some(0));
}

/// By hand: 5.6 kohm 5 % is 5320 to 5880 ohm. Across it 1.5 kohm 5 %: 1124 to 1242 ohm, inside 830 to 1270;
/// an open door then reads 1425 to 1575 ohm, surely open. 1.2 kohm: an open door reads 1140 to 1260, normal.
#[test]
fn padding_is_refused_where_an_open_reads_normal_and_found_where_not() {
    let (circuit, _) = circuit("one-k", "nc:door - 5.6k");
    let remedies = circuit["remedies"].as_array().expect("a list");
    let across: Vec<_> = remedies
        .iter()
        .filter(|remedy| remedy["kind"] == "adapter" && remedy["series_ohm"].is_null())
        .filter_map(|remedy| remedy["across_ohm"].as_f64())
        .collect();
    assert_eq!(across, [1500.0], "{remedies:?}");
}

#[test]
fn a_two_resistor_detector_on_a_wide_mode_is_a_stop() {
    let (circuit, findings) = circuit("very-wide", "wire:20m - (nc:pir | 2.2k) - 2.2k");
    assert_eq!(circuit["masking"]["possible"], true);
    assert_eq!(circuit["masking"]["examples"], serde_json::json!([["pir"]]));
    let stop = findings.iter().find(|finding| finding["code"] == "alarm-reads-normal").expect("it is said");
    assert_eq!(stop["severity"], "stop");
}

/// By hand: learned at rest 4465..4935 + 0..1; the same resistor both times, so rest is 0.9998 to 1.0002 of
/// what was learned, not 0.905 to 1.105 (method 4).
#[test]
fn a_learned_rest_is_compared_with_the_same_resistor() {
    let (circuit, _) = circuit("learns", "nc:door - 4.7k");
    assert_eq!(circuit["states"][0]["band"], "rest");
    assert_eq!(circuit["states"][1]["band"], "open");
    let room = circuit["states"][0]["slack"]["below"].as_f64().expect("an edge below");
    assert!((room - (4465.0 / 4466.0 - 0.7) * 4465.0).abs() < 2.0, "{room}");
    let (unfit, findings) = below_what_it_accepts();
    assert!(unfit["states"][0]["band"].is_null());
    assert!(codes(&findings).contains(&"cannot-learn"));
}

fn below_what_it_accepts() -> (Value, Vec<Value>) {
    circuit("learns", "nc:door - 470 ohm")
}
