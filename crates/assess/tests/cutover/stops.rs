//! What the sheets stop, what feeds a pair, and what nobody knows: in the findings, the steps and the order.

use assess::{Phase, Step};
use job::{CutoverWay, Severity};

use super::{BOTH, with};

/// One circuit on a module, and another pair.
fn site(found: &str, more: &str) -> String {
    format!(
        r#"format = 1
[[enclosure]]
id = "E1"
profile = "enclosure-large"
[[module]]
id = "M1"
profile = "input-8"
enclosure = "E1"
mode = "fixed-4k7"
[[circuit]]
tag = "A1"
duty = "intrusion"
was = "Z1"
network = "wire:20m - nc:a - 4.7k"
input = "M1.1"
found = [{{ when = "rest", ohms = "4.7k" }}{found}]
{more}
"#
    )
}

fn of_a1(steps: &[Step]) -> (Vec<&Step>, Vec<&Step>) {
    let own = || steps.iter().filter(|step| step.place == "A1");
    (
        own().filter(|step| step.phase == Phase::Gate).collect(),
        own().filter(|step| step.phase == Phase::Circuit).collect(),
    )
}

#[test]
fn a_pair_that_something_feeds_is_a_stop_and_its_steps_say_so_before_anybody_lifts_it() {
    for (found, code) in [
        (r#", { when = "rest", volts_ac = "230 V" }"#, "dangerous-volts"),
        (r#", { when = "rest", volts_dc = "-130 V" }"#, "dangerous-volts"),
        (r#", { when = "live", volts_ac = "230 V" }"#, "dangerous-volts"),
        (r#", { when = "live", volts_ac = "24.6 V" }"#, "foreign-volts"),
        (r#", { when = "live", volts_dc = "-48 V" }"#, "foreign-volts"),
        (r#", { when = "earth-a", volts_ac = "12 V" }"#, "foreign-volts"),
        (r#", { when = "rest", volts_ac = "unstable" }"#, "foreign-volts"),
        (r#", { when = "rest", amps = "120 mA" }"#, "foreign-current"),
    ] {
        for way in BOTH {
            with(&site(found, ""), way, |cutover, _| {
                let stop =
                    cutover.findings.iter().find(|finding| finding.place == "A1" && finding.code == code);
                assert_eq!(stop.expect(found).severity, Severity::Stop);
                let (gate, circuit) = of_a1(&cutover.steps);
                assert_eq!(gate.len(), 1, "{found}");
                let lift = circuit.iter().find(|step| step.act.contains("lift Z1")).expect("it goes over");
                assert!(lift.act.starts_with("only once nothing feeds it: "), "{}", lift.act);
                assert!(lift.caution.contains("not touched before that is gone"), "{}", lift.caution);
                // Its ohms were read with that on it.
                assert!(cutover.dummies.iter().all(|dummy| dummy.value.is_none()), "{found}");
            });
        }
    }
    for found in
        ["", r#", { when = "live", volts_dc = "13.7 V" }"#, r#", { when = "rest", volts_ac = "0.2 V" }"#]
    {
        with(&site(found, ""), CutoverWay::SideBySide, |cutover, _| {
            assert!(cutover.findings.iter().all(|finding| finding.place != "A1"), "{found}");
            let (gate, circuit) = of_a1(&cutover.steps);
            assert!(
                gate.is_empty() && circuit[0].act.starts_with("lift Z1; dummy 4.7k"),
                "{}",
                circuit[0].act
            );
        });
    }
}

#[test]
fn a_stop_of_a_sheet_that_no_change_cures_is_one_of_the_plan() {
    // Out and back, on an input that watches one end (NFPA 72 calls the one class A, the other class B).
    let job = site("", "").replace("was = \"Z1\"", "was = \"Z1\"\nclass = \"A\"");
    with(&job, CutoverWay::SideBySide, |cutover, _| {
        let stop = cutover.findings.iter().find(|finding| finding.code == "class-a-as-b").expect("told");
        assert_eq!((stop.place.as_str(), stop.severity), ("A1", Severity::Stop));
    });
}

#[test]
fn a_resistor_that_is_changed_does_not_hide_a_stop_that_it_does_not_answer() {
    // Out and back, with the wrong resistor for the mode.
    let job = site("", "")
        .replace("was = \"Z1\"", "was = \"Z1\"\nclass = \"A\"")
        .replace("mode = \"fixed-4k7\"", "mode = \"fixed-1k\"");
    with(&job, CutoverWay::SideBySide, |cutover, _| {
        let codes: Vec<&str> =
            cutover.findings.iter().filter(|it| it.place == "A1").map(|it| it.code).collect();
        assert_eq!(codes, ["class-a-as-b"], "and not that its resistor is another one");
        let own: Vec<&str> =
            cutover.steps.iter().filter(|it| it.place == "A1").map(|it| it.act.as_str()).collect();
        assert!(own.iter().any(|act| act.contains("hange")), "{own:?}");
    });
}

#[test]
fn a_pair_is_spare_when_somebody_drew_it_so_and_nothing_was_read_of_it() {
    let pair = |keys: &str| site("", &format!("[[circuit]]\ntag = \"F1\"\n{keys}\n"));
    for (keys, spare) in [
        ("", false),
        (r#"found = [{ when = "rest", ohms = "4.7k" }]"#, false),
        (r#"found = [{ when = "rest", ohms = "47.1 ohm" }]"#, false),
        (r#"found = [{ when = "rest", volts_ac = "0.1 V" }]"#, false),
        (r#"found = [{ when = "earth", ohms = "open" }]"#, false),
        (r#"found = [{ when = "rest", ohms = "open" }, { when = "tripped", ohms = "2.2k" }]"#, false),
        (r#"found = [{ when = "rest", ohms = "open" }, { when = "live", volts_ac = "24 V" }]"#, false),
        (r#"found = [{ when = "rest", ohms = "open" }, { when = "rest", volts_ac = "24 V" }]"#, false),
        (r#"found = [{ when = "rest", ohms = "open" }]"#, false),
        (r#"found = [{ when = "rest", ohms = "open" }, { when = "reversed", ohms = "open" }]"#, false),
        ("was = \"Z9\"\nfound = [{ when = \"rest\", ohms = \"open\" }]", false),
        ("network = \"wire:10m - open\"", true),
        ("network = \"wire:10m - open\"\nfound = [{ when = \"rest\", volts_ac = \"24 V\" }]", false),
        ("network = \"wire:10m - 4.7k\"", false),
        ("network = \"wire:10m - open\"\nfound = [{ when = \"rest\", ohms = \"4.7k\" }]", false),
        (
            "network = \"wire:10m - open\"\nfound = [{ when = \"rest\", ohms = \"4.7k\" }, { when = \"rest\", ohms = \"open\" }]",
            true,
        ),
        ("network = \"wire:10m - open\"\nfound = [{ when = \"joined\", ohms = \"1.1 ohm\" }]", true),
        ("network = \"wire:10m - joined\"\nfound = [{ when = \"rest\", ohms = \"1.1 ohm\" }]", true),
    ] {
        with(&pair(keys), CutoverWay::SideBySide, |cutover, _| {
            assert_eq!(cutover.stay().is_empty(), spare, "{keys}");
            let down =
                cutover.steps.iter().any(|step| step.act.starts_with("the old panel comes out of service"));
            let stays =
                cutover.steps.iter().any(|step| step.act.contains("the old panel stays in service for F1"));
            assert_eq!((down, stays), (spare, !spare), "{keys}");
        });
        with(&pair(keys), CutoverWay::Swap, |cutover, _| {
            assert_eq!(cutover.endless.is_empty(), spare, "{keys}");
        });
    }
    with(&pair(""), CutoverWay::SideBySide, |cutover, _| {
        let told = cutover.findings.iter().find(|finding| finding.code == "not-allocated").expect("told");
        assert!(told.text.contains("Nobody knows yet what hangs on F1"), "{}", told.text);
        assert!(told.remedy.contains("`wire:10m - open`"));
    });
}
