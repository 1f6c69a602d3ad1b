//! What was measured against what the network says: a trip that moved nothing is no reading that is right.
//!
//! Worked by hand: an open contact across 4.7 kohm reads 4.7 kohm at rest and the line's few ohms when it closes; a closed
//! one in line reads open when it opens. 4.7 kohm with either tripped is therefore rest, and `fixed-4k7` calls it normal.

use assess::{Assessment, Need, assess, needs};
use document::Source;
use job::{Finding, Job, Severity};
use library::Library;

fn with<T>(circuit: &str, ask: impl Fn(&Assessment) -> T) -> T {
    let text = format!(
        "format = 1\n[[module]]\nid = \"M1\"\nprofile = \"input-8\"\nmode = \"fixed-4k7\"\n[[circuit]]\ntag = \"P9\"\n\
         input = \"M1.2\"\n{circuit}\n"
    );
    let job = Job::read(&Source::new("job.toml", text)).expect("it reads");
    let library = Library::embedded();
    ask(&assess(&job, &library, &|_, _| {}))
}

/// Whether it reads right, what it needs, and the findings of these codes.
fn told(circuit: &str) -> (bool, Need, Vec<(Severity, &'static str)>) {
    const CODES: [&str; 2] = ["reading-differs", "trip-not-seen"];
    with(circuit, |assessment| {
        let study = assessment.circuits[0].study.as_ref().expect("it is studied");
        let of = |finding: &&Finding| CODES.contains(&finding.code);
        let found = assessment.findings.iter().filter(of).map(|one| (one.severity, one.code)).collect();
        (study.reads_right, needs(assessment)[0], found)
    })
}

const PANIC: &str = "duty = \"hold-up\"\nnetwork = \"wire:20m - no:a | 4.7k\"\n";
const DOOR: &str = "duty = \"intrusion\"\nnetwork = \"wire:20m - nc:a - 4.7k\"\n";

fn found(circuit: &str, readings: &str) -> String {
    format!("{circuit}found = [{{ when = \"rest\", ohms = \"4.70k\" }}, {readings}]")
}

#[test]
fn a_panic_button_that_the_reading_proves_dead_does_not_read_right() {
    for when in ["tripped", "a"] {
        let (right, need, codes) = told(&found(PANIC, &format!("{{ when = \"{when}\", ohms = \"4.70k\" }}")));
        assert!(!right && need != Need::Nothing, "{when}");
        assert_eq!(codes, [(Severity::Stop, "trip-not-seen")], "{when}");
    }
    let text = with(&found(PANIC, "{ when = \"tripped\", ohms = \"4.70k\" }"), |assessment| {
        assessment.findings[0].text.clone()
    });
    assert_eq!(
        text,
        "As found with a tripped: 4.7k, as at rest. The reading did not change, so no alarm would come of it."
    );
}

#[test]
fn a_door_that_does_not_open_the_pair_is_to_be_fixed() {
    let (right, need, codes) = told(&found(DOOR, "{ when = \"tripped\", ohms = \"4.70k\" }"));
    assert!(!right && need != Need::Nothing);
    assert_eq!(codes, [(Severity::Fix, "trip-not-seen")]);
}

/// Of one condition the reading that was taken last counts; the earlier one is a difference to look at.
#[test]
fn a_trip_that_was_taken_again_and_moved_reads_right() {
    let readings = "{ when = \"tripped\", ohms = \"4.70k\" }, { when = \"tripped\", ohms = \"3.1 ohm\" }";
    let (right, _, codes) = told(&found(PANIC, readings));
    assert!(right);
    assert_eq!(codes, [(Severity::Check, "reading-differs")]);
}

/// 40 ohm is a longer line than 20 m, and surely below the short of the mode: it stays an alarm.
#[test]
fn a_difference_that_stays_in_its_band_is_looked_at() {
    let (right, _, codes) = told(&found(PANIC, "{ when = \"tripped\", ohms = \"40.0 ohm\" }"));
    assert!(right);
    assert_eq!(codes, [(Severity::Check, "reading-differs")]);
}

/// A reading the other way round says nothing of a trip, and one by another instrument has its own last digit.
#[test]
fn readings_that_agree_change_nothing() {
    let readings = "{ when = \"reversed\", ohms = \"4.7k\" }, { when = \"tripped\", ohms = \"0.00k\" }";
    let (right, need, codes) = told(&found(PANIC, readings));
    assert!(right && codes.is_empty(), "{codes:?}");
    assert_eq!(need, Need::Nothing);
}

/// Of two buttons one was tripped, nobody said which: 4.7 kohm is neither.
#[test]
fn a_nameless_trip_of_several_that_moves_nothing_is_told() {
    let two = PANIC.replace("no:a", "no:a | no:b");
    let (right, _, codes) = told(&found(&two, "{ when = \"tripped\", ohms = \"4.70k\" }"));
    assert!(!right);
    assert_eq!(codes, [(Severity::Stop, "trip-not-seen")]);
}

/// With the resistor in the panel a cut wire reads 4.7 kohm, which is normal: the button is dead and nothing shows it.
#[test]
fn a_resistor_seen_in_the_panel_and_written_at_the_end_does_not_read_right() {
    let place = |finding: &&Finding| finding.code == "resistor-place";
    for circuit in [PANIC, DOOR] {
        with(&format!("{circuit}resistor_at = \"panel\""), |assessment| {
            let study = assessment.circuits[0].study.as_ref().expect("it is studied");
            assert!(study.written_right && !study.reads_right);
            assert_ne!(needs(assessment)[0], Need::Nothing);
            let found = assessment.findings.iter().find(place).expect("it is told");
            assert_eq!(found.severity, Severity::Fix);
            let elsewhere = study.elsewhere.expect("it is judged where it was seen");
            assert!(elsewhere.silent_dangerous > study.coverage.silent_dangerous, "{elsewhere:?}");
        });
    }
    // Written where it was seen there is nothing that disagrees, and the same number of faults hides an alarm.
    let across = with(&format!("{PANIC}resistor_at = \"panel\""), |assessment| {
        assessment.circuits[0].study.as_ref().and_then(|study| study.elsewhere)
    });
    let written = PANIC.replace("wire:20m - no:a | 4.7k", "4.7k | wire:20m - no:a");
    with(&format!("{written}resistor_at = \"panel\""), |assessment| {
        assert!(!assessment.findings.iter().any(|finding| place(&finding)));
        assert_eq!(assessment.circuits[0].study.as_ref().map(|study| study.coverage), across);
    });
    with(&format!("{written}resistor_at = \"end\""), |assessment| {
        assert!(assessment.findings.iter().any(|finding| place(&finding)));
    });
}

/// Two home runs that meet in the box: the resistor beside them is in the box.
#[test]
fn a_resistor_beside_home_runs_is_in_the_panel() {
    let circuit = "duty = \"intrusion\"\nnetwork = \"(wire:18m - nc:a) - (wire:26m - nc:b) - 4.7k\"\nresistor_at = \"panel\"";
    with(circuit, |assessment| {
        assert!(!assessment.findings.iter().any(|finding| finding.code == "resistor-place"));
    });
}

/// A resistor across each contact is in the devices, whatever stands at the end.
#[test]
fn a_resistor_seen_in_a_device_and_written_across_its_contact_agrees() {
    let circuit =
        "duty = \"intrusion\"\nnetwork = \"wire:20m - (nc:a | 4.7k) - 4.7k\"\nresistor_at = \"device\"";
    with(circuit, |assessment| {
        assert!(!assessment.findings.iter().any(|finding| finding.code == "resistor-place"));
    });
}

/// Nobody has said what the head draws: whether its alarm arrives is not known, and not right.
#[test]
fn smoke_detectors_of_which_nothing_is_said_need_to_be_known() {
    let circuit = "duty = \"smoke\"\nnetwork = \"wire:20m - smoke:a | 4.7k\"".to_owned();
    let text = format!(
        "format = 1\n[[module]]\nid = \"M1\"\nprofile = \"input-8\"\n[[circuit]]\ntag = \"S1\"\ninput = \"M1.7\"\n{circuit}\n"
    );
    let job = Job::read(&Source::new("job.toml", &text)).expect("it reads");
    let library = Library::embedded();
    let assessment = assess(&job, &library, &|_, _| {});
    let smoke = assessment.circuits[0].smoke.as_ref();
    assert!(!smoke.expect("its source is known").known);
    assert_ne!(needs(&assessment)[0], Need::Nothing);
}

/// A smoke detector on a panic button's duty is a mistake in one of the two.
#[test]
fn smoke_detectors_on_another_duty_are_told() {
    for (duty, is_told) in [("hold-up", true), ("intrusion", true), ("smoke", false)] {
        let circuit = format!("duty = \"{duty}\"\nnetwork = \"wire:20m - smoke:a | 4.7k\"");
        let told = with(&circuit, |assessment| {
            let found = assessment.findings.iter().find(|finding| finding.code == "duty-differs");
            found.map(|finding| finding.severity)
        });
        assert_eq!(told, is_told.then_some(Severity::Fix), "{duty}");
    }
}
