//! Faults and readings that would reassure wrongly, each worked out from the wiring.

mod common;

use common::{circuit, codes, fault, job};

const MODULE: &str = "format = 1\n[[module]]\nid = \"M1\"\nprofile = \"t\"\nmode = \"wide\"\n";
const PER_INPUT: &str = "format = 1\n[[module]]\nid = \"M1\"\nprofile = \"input-8\"\n";

/// A detector draws its alarm current; where a short means trouble it is taken for the alarm band's middle,
/// and a joint in front of it can take it out of that band.
#[test]
fn a_smoke_detector_where_a_short_is_trouble_is_still_judged() {
    let (json, _) = job(&format!(
        "{PER_INPUT}[[circuit]]\ntag = \"C1\"\nduty = \"smoke\"\ninput = \"M1.5\"\nmode = \"fire-call-point\"\n\
         network = \"wire:20m - smoke:D1 | 6.8k\"\n"
    ));
    let circuit = &json["circuits"][0];
    assert_eq!(fault(circuit, "polarity", "the whole circuit")["class"], "silent_dangerous");
    let joint = fault(circuit, "joint", "at the terminals");
    assert_eq!((&joint["class"], &joint["endangers"]), (&"silent_dangerous".into(), &"D1".into()));
}

#[test]
fn a_mode_without_an_alarm_band_below_rest_cannot_read_smoke() {
    let (_, findings) = job(&format!(
        "{MODULE}[[circuit]]\ntag = \"C1\"\nduty = \"smoke\"\ninput = \"M1.1\"\nmeans = {{ short = \"trouble\" }}\n\
         network = \"wire:20m - smoke:D1 | 4.7k\"\n"
    ));
    assert!(codes(&findings).contains(&"smoke-not-read"), "{findings:?}");
}

#[test]
fn a_fault_that_may_silence_a_sounder_is_not_called_harmless() {
    let (json, _) = job(&format!(
        "{MODULE}[[circuit]]\ntag = \"C1\"\nduty = \"sounder\"\ninput = \"M1.1\"\nnetwork = \"wire:10m - sounder:S1 | \
         4.7k\"\n"
    ));
    let circuit = &json["circuits"][0];
    assert_eq!(fault(circuit, "polarity", "the whole circuit")["class"], "silent_dangerous");
    assert_eq!(fault(circuit, "joint", "at the terminals")["class"], "silent_dangerous");
}

/// Home runs that meet in the box: the return leg of the first is the live node of what follows it, so an
/// earth fault there shunts all that follows. By hand, 0 ohm on the live leg leaves 20 m of cable.
#[test]
fn an_earth_fault_inside_a_home_run_shunts_what_follows_in_the_box() {
    let (circuit, _) = circuit("wide", "(wire:20m - nc:a) - (wire:30m - nc:b) - 4.7k");
    let live = fault(&circuit, "earth", "in the wire before a, live leg");
    // x beside 4.7 kohm and 30 m of cable reaches the widened rest at 2328 from x = 2328 * 4941 / 2613 = 4402,
    // so nothing smaller is silent, and nothing at all is harmless at 0.
    let sizes = &live["sizes"]["lo"];
    assert!(sizes.as_f64().expect("a size") > 4300.0, "{live}");
    let back = fault(&circuit, "earth", "in the wire before a, return leg");
    assert!(back["sizes"]["lo"].as_f64().expect("a size") > 4300.0, "{back}");
}

#[test]
fn a_contact_in_the_return_leg_is_shunted_wherever_it_stands() {
    for network in ["wire:10m - nc:a^ - nc:b - 4.7k", "wire:10m - (nc:a^ | 47k) - nc:b - 4.7k"] {
        let (circuit, _) = circuit("wide", network);
        let place =
            if network.contains('|') { "after the bracket of a, return leg" } else { "after a, return leg" };
        assert_eq!(fault(&circuit, "earth", place)["class"], "silent_dangerous", "{network}");
    }
}

/// A mode for the whole module is offered only where it loses none of the others.
#[test]
fn a_mode_that_breaks_another_circuit_is_no_remedy() {
    let (json, _) = job(
        "format = 1\n[[module]]\nid = \"M1\"\nprofile = \"t\"\nmode = \"one-k\"\n[[circuit]]\ntag = \"C1\"\nduty = \
         \"intrusion\"\ninput = \"M1.1\"\nnetwork = \"nc:a - 1k\"\n[[circuit]]\ntag = \"C2\"\nduty = \"intrusion\"\ninput \
         = \"M1.2\"\nnetwork = \"nc:b - 4.7k\"\n",
    );
    let remedies = json["circuits"][1]["remedies"].as_array().expect("a list");
    assert!(remedies.iter().all(|remedy| remedy["kind"] != "mode"), "{remedies:?}");
}

/// Left open, the mode of an input is one that its detectors can be used in.
#[test]
fn a_mode_left_open_is_fast_enough_and_has_its_smoke_listing() {
    let (json, findings) = job(&format!(
        "{PER_INPUT}[[device]]\nid = \"glass\"\nprofile = \"glass-break\"\n[[circuit]]\ntag = \"C1\"\nduty = \
         \"intrusion\"\ninput = \"M1.1\"\nnetwork = \"wire:10m - nc:glass - 4.7k\"\n[[circuit]]\ntag = \"C2\"\nduty = \
         \"smoke\"\ninput = \"M1.5\"\nnetwork = \"wire:10m - smoke:D1 | 6.8k\"\n"
    ));
    assert_eq!(json["circuits"][0]["mode"], "fixed-4k7-fast");
    assert_eq!(json["circuits"][1]["mode"], "fire-call-point");
    assert!(!codes(&findings).contains(&"smoke-input") && !codes(&findings).contains(&"input-too-slow"));
}

/// A slip of the pen in a condition is taken for a device's name: told where the network has no such device.
#[test]
fn a_reading_of_a_device_that_is_not_there_is_told_once() {
    let told = |network: &str, when: &[&str]| {
        let found: Vec<String> =
            when.iter().map(|when| format!("{{ when = \"{when}\", ohms = \"open\" }}")).collect();
        let (_, findings) = job(&format!(
            "{MODULE}[[circuit]]\ntag = \"C1\"\nduty = \"intrusion\"\ninput = \"M1.1\"\n{network}\nfound = [{}]\n",
            found.join(", ")
        ));
        findings
            .iter()
            .filter(|finding| finding["code"] == "reading-device-unknown")
            .map(|finding| finding["text"].to_string())
            .collect::<Vec<_>>()
    };
    let network = "network = \"wire:10m - nc:door - 4.7k\"";
    let texts = told(network, &["dor", "dor", "rst", "rest", "tripped", "joined", "after 60 s", "earth-a"]);
    assert_eq!(texts.len(), 2, "{texts:?}");
    assert!(texts[0].contains("`dor`") && texts[1].contains("`rst`"), "{texts:?}");
    assert!(told(network, &["door"]).is_empty());
    assert_eq!(told(network, &["door.tamper"]).len(), 1, "the door has no tamper contact");
    assert!(told("", &["door"]).is_empty(), "nobody has written yet what hangs on it");
    assert!(told("network = \"wire:10m - smoke:D1 | 6.8k\"", &["D1"]).is_empty());
}

#[test]
fn a_reading_with_the_supply_off_is_held_against_the_unfed_circuit() {
    let with = |found: &str| {
        let (_, findings) = job(&format!(
            "{MODULE}[[device]]\nid = \"pir\"\nprofile = \"motion-pir\"\n[[circuit]]\ntag = \"C1\"\nduty = \
             \"intrusion\"\ninput = \"M1.1\"\nnetwork = \"wire:10m - nc:pir - 4.7k\"\nfound = [{{ when = \"rest\", {found} \
             }}]\n"
        ));
        codes(&findings).contains(&"reading-differs")
    };
    assert!(!with("ohms = \"open\""), "an unfed detector is open");
    assert!(with("ohms = \"4.72k\""), "unfed it cannot be closed");
    assert!(!with("ohms = \"4.72k\", fed = true"));
    assert!(with("ohms = \"open\", fed = true"));
}

/// `stuck-active` of a fault contact across the pair keeps the door's alarm from being seen.
#[test]
fn a_stuck_contact_endangers_the_others() {
    let (circuit, _) = circuit("wide", "(no:x.fault - 6.8k) | nc:door - 4.7k");
    let stuck = fault(&circuit, "stuck-active", "x.fault");
    assert_eq!((&stuck["class"], &stuck["endangers"]), (&"silent_dangerous".into(), &"door".into()));
}

#[test]
fn a_head_that_can_be_taken_out_unseen_is_dangerous() {
    let (json, _) = job(&format!(
        "{MODULE}[[circuit]]\ntag = \"C1\"\nduty = \"smoke\"\ninput = \"M1.1\"\nnetwork = \"wire:10m - smoke:D1 | wire:5m \
         - smoke:D2 | 4.7k\"\n"
    ));
    assert_eq!(fault(&json["circuits"][0], "head-removed", "at D1")["class"], "silent_dangerous");
}

#[test]
fn nothing_is_padded_that_cannot_raise_an_alarm() {
    for network in ["wire:30m - open", "wire:30m - joined"] {
        let (circuit, _) = circuit("wide", network);
        assert_eq!(circuit["remedies"], serde_json::json!([]), "{network}");
    }
}

/// The text of a remedy says what its network says.
#[test]
fn a_remedy_says_where_the_resistor_is() {
    let (panel, _) = circuit("wide", "10k - wire:38m - nc:door");
    for remedy in panel["remedies"].as_array().expect("a list") {
        let text = remedy["text"].as_str().expect("text");
        let network = remedy["network"].as_str().unwrap_or_default();
        if text.contains("Change the resistor at the end") {
            assert!(network.ends_with("4.7k"), "{text}: {network}");
        }
    }
    let (branch, _) = circuit("wide", "wire:20m - no:x | (wire:300m - no:y)");
    let added = branch["remedies"][0]["network"].as_str().expect("a network").to_owned();
    assert_eq!(added, "wire:20m - no:x | (wire:300m - no:y | 4.7k)");
}

/// What closed the end and has to go is named: a capacitor, the cores joined to one another.
#[test]
fn a_remedy_says_what_it_takes_out() {
    for (network, says) in [
        ("wire:19m - no:button | 47uF", "Take out the 47\u{2009}µF and put 4.7k at the end of the line."),
        ("wire:19m - nc:door - joined", "Take out the join at the end and put 4.7k at the end of the line."),
        ("wire:19m - nc:door", "Put 4.7k at the end of the line."),
    ] {
        let (circuit, _) = circuit("fixed-4k7", network);
        let texts: Vec<_> =
            circuit["remedies"].as_array().expect("a list").iter().map(|one| &one["text"]).collect();
        assert!(texts.iter().any(|text| *text == says), "{network}: {texts:?}");
    }
}

/// Every place has a name of its own.
#[test]
fn places_that_are_alike_have_names_of_their_own() {
    for network in [
        "(wire:5m - nc:a - wire:5m - nc:b) - (wire:3m - nc:c) - 2.2k",
        "(wire:9m - nc:a - 10k) - (wire:20m - nc:b) - 10k",
        "wire:3m - joint:J - wire:3m - joint:J - nc:a - 4.7k",
        "wire:20m - nc:pir.tamper - (nc:pir | 2.2k) - 2.2k",
    ] {
        let (circuit, _) = circuit("wide", network);
        let mut names: Vec<_> = circuit["faults"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|fault| format!("{} {}", fault["fault"], fault["where"]))
            .collect();
        let all = names.len();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), all, "{network}");
    }
}

/// Its network calls it another name than its entry: what its profile says must not vanish without a word.
#[test]
fn a_device_that_no_network_names_is_told_with_the_name_that_was_meant() {
    let with = |network: &str| {
        let (_, findings) = job(&format!(
            "{MODULE}[[device]]\nid = \"shock1\"\nprofile = \"shock\"\n[[circuit]]\ntag = \"C1\"\nduty = \"intrusion\"\n\
             input = \"M1.1\"\nnetwork = \"wire:10m - nc:{network} - 4.7k\"\n"
        ));
        findings.into_iter().find(|finding| finding["code"] == "device-in-no-network")
    };
    assert_eq!(with("shock1"), None);
    let told = with("shockA").expect("it is told");
    assert_eq!(told["where"], "shock1");
    let text = told["text"].as_str().expect("a sentence");
    assert!(text.contains("`shockA` in C1"), "{text}");
    let text = with("leaf").expect("it is told")["text"].to_string();
    assert!(!text.contains("Nearly"), "{text}");
}
