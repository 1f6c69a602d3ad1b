//! The example job: as a whole, and its first three circuits number by number.
//!
//! By hand, for all three. 22 AWG solid: d = 0.127 mm * 92^(14/39) = 0.64380 mm (ASTM B258), area 0.325534 mm2,
//! at 1/58 ohm mm2/m (IEC 60028) 52.96338 ohm/km at 20 C; at 5 C times 1 - 0.00393 * 15 = 0.94105, at 40 C
//! times 1 + 0.00393 * 20 = 1.0786. A pair has twice its length of conductor. A 2.2 kohm resistor with 5 %:
//! 2090 to 2310 ohm. A closed contact: 0 to 1 ohm; an open one: 1 Mohm and more. Mode fixed-2k2: edges 1.2 and
//! 3.4 kohm with 3 %, so rest is sure from 1236 to 3298 ohm and may be read from 1164 to 3502 ohm.

use assess::wire::AssessmentJson;
use assess::{Assessment, assess};
use document::Source;
use job::{Job, Severity};
use library::Library;
use serde_json::Value;

fn with_example(check: impl FnOnce(&Assessment)) {
    let source = Source::new("job.toml", include_str!("../../../examples/orchard-row/job.toml"));
    let job = Job::read(&source).unwrap_or_else(|problems| {
        let words: Vec<_> = problems.iter().map(|problem| source.complaint(problem)).collect();
        panic!("{words:#?}");
    });
    let library = Library::embedded();
    let unknown = assess::check_references(&job, &library);
    assert!(unknown.is_empty(), "{unknown:?}");
    check(&assess(&job, &library, &|_, _| {}));
}

fn circuit(tag: &str) -> Value {
    let mut found = Value::Null;
    with_example(|assessment| {
        let json = serde_json::to_value(AssessmentJson::new(assessment, true)).expect("plain data");
        let circuits = json["circuits"].as_array().expect("a list");
        found = circuits.iter().find(|circuit| circuit["tag"] == tag).cloned().unwrap_or_default();
    });
    found
}

/// Half of the last digit of the hand calculation.
const BY_HAND: f64 = 0.0005;

fn is(value: &Value, by_hand: f64) {
    let value = value.as_f64().expect("a number");
    assert!((value - by_hand).abs() <= BY_HAND, "{value} is not {by_hand}");
}

fn state<'a>(circuit: &'a Value, active: &[&str]) -> &'a Value {
    let states = circuit["states"].as_array().expect("a list");
    states.iter().find(|state| state["active"] == serde_json::json!(active)).expect("a state")
}

fn count(circuit: &Value, total: [u64; 5]) {
    let coverage = &circuit["coverage"];
    let [all, announced, safe, dangerous, test] =
        ["total", "announced", "silent_safe", "silent_dangerous", "test_only"]
            .map(|key| coverage[key].as_u64().expect("a count"));
    assert_eq!([all, announced, safe, dangerous, test], total);
    assert_eq!(all, announced + safe + dangerous + test);
}

/// C01: `wire:38m - nc:front - 2.2k`. 76 m of conductor: 4.02522 ohm at 20 C, 3.78793 at 5 C, 4.34160 at 40 C.
/// Rest: 3.78793 + 0 + 2090 = 2093.788; 4.34160 + 1 + 2310 = 2315.342. To the sure edges: 2093.788 - 1236 =
/// 857.788 below, 3298 - 2315.342 = 982.658 above. Open: 1 Mohm + 2093.788.
/// Meter 0.9 % + 2 digits, leads 0.1 to 0.3 ohm, one digit 1 ohm: (2093.788 + 0.1) * 0.991 = 2075.04, less 2
/// digits 2073; (2315.342 + 0.3) * 1.009 = 2336.48, and 2 digits 2338. Open: 1 002 093.888 * 0.991 = 993 075,
/// a digit is then 1 kohm, less 2 digits 991 kohm.
#[test]
fn the_front_entrance() {
    let circuit = circuit("C01");
    assert_eq!(circuit["input"], "M1.1");
    assert_eq!(circuit["mode"], "fixed-2k2");
    let rest = state(&circuit, &[]);
    is(&rest["ohms"]["lo"], 2093.788);
    is(&rest["ohms"]["hi"], 2315.342);
    is(&rest["slack"]["below"], 857.788);
    is(&rest["slack"]["above"], 982.658);
    assert_eq!(
        (&rest["band"], &rest["means"], &rest["ok"]),
        (&"rest".into(), &"normal".into(), &true.into())
    );
    is(&rest["meter"]["fed"]["lo"], 2073.0);
    is(&rest["meter"]["fed"]["hi"], 2338.0);
    let open = state(&circuit, &["front"]);
    is(&open["ohms"]["lo"], 1_002_093.788);
    assert_eq!(open["ohms"]["hi"], Value::Null);
    assert_eq!((&open["band"], &open["means"], &open["ok"]), (&"open".into(), &"alarm".into(), &true.into()));
    is(&open["slack"]["below"], 1_002_093.788 - 3502.0);
    assert_eq!(open["slack"]["above"], Value::Null);
    assert_eq!(open["meter"]["shows"], "991\u{2009}kΩ to over range");
    assert_eq!(circuit["masking"]["possible"], false);
    assert_eq!(circuit["remedies"], serde_json::json!([]));
}

/// C01's faults, counted by hand. Three places (terminals; in the wire before front; after front), at each
/// open, joint, short, leak, cross and, the module floating, earth on either leg and on both: 24. Two earths on
/// either side of front: 1. The resistor open, shorted, of another value: 3. The contact stuck at rest, stuck
/// active, bridged: 3. In all 31.
/// Shown: 3 opens, 3 shorts, resistor open and shorted, stuck active: 9. Only a test: stuck at rest, bridged: 2.
/// Dangerous: the 3 leaks, see below; of the 3 both-leg earths, being leaks of 0 to 100 kohm, all 3; but a leak
/// behind the contact loses nothing, as the open contact is in line with it: less 2. The earths around the
/// contact: 1. So 2 + 2 + 1 = 5. Safe: the other 15.
/// Leak at the terminals: at rest x beside 2315.342 reaches 1164 from x = 1164 * 2315.342 / 1151.342 =
/// 2340.798; with the door open x beside 1 002 093.788 stays under 3502 up to 3502 * 1002093.788 / 998591.788
/// = 3514.281.
#[test]
fn the_front_entrances_faults() {
    let circuit = circuit("C01");
    count(&circuit, [31, 9, 15, 5, 2]);
    let faults = circuit["faults"].as_array().expect("a list");
    let leak = faults.iter().find(|fault| fault["fault"] == "leak" && fault["where"] == "at the terminals");
    let leak = leak.expect("it is listed");
    assert_eq!(leak["class"], "silent_dangerous");
    assert_eq!(leak["endangers"], "front");
    is(&leak["sizes"]["lo"], 2340.798);
    is(&leak["sizes"]["hi"], 3514.281);
    let short = faults.iter().find(|fault| fault["fault"] == "short" && fault["where"] == "after front");
    let short = short.expect("it is listed");
    assert_eq!((&short["class"], &short["announced_as"]), (&"announced".into(), &"trouble".into()));
    is(&short["ohms"]["lo"], 3.78793);
    is(&short["ohms"]["hi"], 5.34160);
}

/// C02: `wire:24m - nc:leaf1 - wire:2m - nc:leaf2 - 2.2k`. 52 m of conductor in all: 2.75410 ohm at 20 C,
/// 2.59174 at 5 C, 2.97057 at 40 C. Rest: 2092.592; 2310 + 2.97057 + 2 = 2314.971. Both leaves open: 2 Mohm.
#[test]
fn the_double_door() {
    let circuit = circuit("C02");
    let rest = state(&circuit, &[]);
    is(&rest["ohms"]["lo"], 2092.592);
    is(&rest["ohms"]["hi"], 2314.971);
    is(&rest["slack"]["below"], 856.592);
    is(&rest["slack"]["above"], 983.029);
    for (active, lo) in
        [(&["leaf1"][..], 1_002_092.592), (&["leaf2"], 1_002_092.592), (&["leaf1", "leaf2"], 2_002_092.592)]
    {
        let state = state(&circuit, active);
        is(&state["ohms"]["lo"], lo);
        assert_eq!((&state["band"], &state["ok"]), (&"open".into(), &true.into()));
    }
    // Five places of eight faults, two pieces with a contact, 3 of the resistor, 3 of each contact.
    assert_eq!(circuit["coverage"]["total"], 5 * 8 + 2 + 3 + 2 * 3);
}

/// C03: `2.2k - wire:31m - nc:gate`, the resistor left in the old panel. 62 m: 3.09015 ohm at 5 C, 3.54183 at
/// 40 C. Profile contact-overhead gives no ohms of its own. Rest: 2093.090; 2314.542. A short behind the
/// resistor leaves 2090 to 2310 ohm: inside rest, whatever the gate does.
#[test]
fn the_yard_gate_with_its_resistor_in_the_panel() {
    let circuit = circuit("C03");
    let rest = state(&circuit, &[]);
    is(&rest["ohms"]["lo"], 2093.090);
    is(&rest["ohms"]["hi"], 2314.542);
    let faults = circuit["faults"].as_array().expect("a list");
    let short =
        faults.iter().find(|fault| fault["fault"] == "short" && fault["where"] == "after the 2.2k resistor");
    let short = short.expect("it is listed");
    assert_eq!((&short["class"], &short["band"]), (&"silent_dangerous".into(), &"rest".into()));
    is(&short["ohms"]["lo"], 2090.0);
    is(&short["ohms"]["hi"], 2310.0);
    let best = &circuit["remedies"][0];
    assert_eq!((&best["kind"], &best["network"]), (&"move".into(), &"wire:31m - nc:gate - 2.2k".into()));
    // 20 minutes at a device and 12 to reach the gate.
    is(&best["minutes"], 32.0);
    assert_eq!(best["hides"], serde_json::json!([]));
}

#[test]
fn it_is_as_messy_as_real_ones() {
    with_example(|assessment| {
        assert_eq!(assessment.circuits.len(), 36);
        assert_eq!((assessment.job.modules.len(), assessment.job.enclosures.len()), (3, 2));
        assert_eq!(assessment.verdict, Some(Severity::Stop));
        assert_eq!(assessment.findings[0].code, "fire-law");
        assert_eq!(assessment.findings[0].place, "job");
        for severity in [Severity::Stop, Severity::Fix, Severity::Check, Severity::Note] {
            assert!(assessment.findings.iter().any(|finding| finding.severity == severity), "{severity:?}");
        }
        assert!(
            assessment.findings.iter().all(|finding| !finding.remedy.is_empty() && !finding.text.is_empty())
        );
        let codes: Vec<_> =
            assessment.findings.iter().map(|finding| (finding.place.as_str(), finding.code)).collect();
        for expected in [
            ("C03", "silent-danger"),
            ("C06", "rest-not-normal"),
            ("C11", "rest-not-normal"),
            ("C14", "alarm-reads-normal"),
            ("C18", "silent-danger"),
            ("C21", "leg-to-earth"),
            ("C24", "cut-looks-like-alarm"),
            ("C25", "input-too-slow"),
            ("C26", "alarm-reads-normal"),
            ("C31", "smoke-listing"),
            ("C34", "spare"),
            ("C36", "no-network"),
        ] {
            assert!(codes.contains(&expected), "{expected:?} is missing of {codes:?}");
        }
    });
}

/// Circuits with a common of their own know it: a cut common is one more fault.
#[test]
fn two_circuits_on_one_common() {
    let circuit = circuit("C08");
    let faults = circuit["faults"].as_array().expect("a list");
    let cut = faults.iter().find(|fault| fault["where"] == "in the shared common").expect("it is listed");
    assert_eq!((&cut["fault"], &cut["class"]), (&"open".into(), &"announced".into()));
    // By hand: 38 m of conductor in the pair of 19 m, so at most 1.085 ohm in the common at 40 C; the other
    // circuit has at least 2092.09 ohm. The pull-up is 1 to 10 kohm: share 1.0854 / 3092.09 = 0.000351, ohms on
    // top 1.0854 * 10000 / 12092.09 = 0.8976. So 2313.171 becomes 2313.171 * 1.000351 + 0.8976 = 2314.881.
    let rest = state(&circuit, &[]);
    let high = rest["ohms"]["hi"].as_f64().expect("a number");
    assert!((high - 2314.881).abs() < 0.01, "{high}");
}

/// Sheet, kit and method statement speak of C14 with one voice: the mode that its module would do better in comes first,
/// the resistor is what is counted on until the job says that mode. Which does better is told by the engine's own figures:
/// with the mode fewer faults hide an alarm than with the resistor.
#[test]
fn sheet_kit_and_method_say_the_same_of_c14() {
    const MODE: &str = "Set the module to mode learned: 12 of its circuits then read right";
    const ADAPTER: &str = "Put 7.5k in line at the module's terminals.";
    with_example(|assessment| {
        let study = |tag: &str| {
            let result = assessment.circuits.iter().find(|result| result.circuit.tag.value == tag);
            result.and_then(|result| result.study.as_ref()).expect("a study")
        };
        let [mode, adapter, ..] = study("C14").remedies.as_slice() else { panic!("two ways") };
        assert!(mode.text.starts_with(MODE) && adapter.text == ADAPTER, "{} {}", mode.text, adapter.text);
        assert!(mode.coverage.silent_dangerous < adapter.coverage.silent_dangerous);
        let finding =
            assessment.findings.iter().find(|one| one.place == "C14" && one.severity == Severity::Stop);
        let sheet = &finding.expect("a stop").remedy;
        let outfit = assess::kit::kit(assessment, None);
        let offers = &outfit.options.iter().find(|one| one.tag == "C14").expect("offers").offers;
        let told = offers.iter().take(2).map(|offer| offer.text.as_str()).collect::<Vec<_>>().join(" ");
        let plan = assess::cutover(assessment, assess::CutoverAsked::default());
        let steps = plan.steps.iter().map(|step| step.act.as_str());
        let method = steps.filter(|act| act.contains("M2.2")).collect::<Vec<_>>().join(" ");
        for (from, says) in [("sheet", sheet.as_str()), ("kit", told.as_str()), ("method", method.as_str())] {
            assert!(says.contains(MODE), "{from}: {says}");
            assert!(says.contains(ADAPTER), "{from}: {says}");
        }
        assert!(!offers[0].in_price && offers[1].in_price);
    });
}
