//! The kit of whole jobs: one worked by hand, laws over many, the example.

mod outfits;

use assess::kit::{Cause, Dummy, Outfit, answer, dummy, kit, planned_kit};
use document::Source;
use job::Job;
use kit::{Count, Group, Price};
use library::Library;
use outfits::{EXAMPLE, needed, with};
use proptest::prelude::*;
use quantity::{Ohms, Written};

const SMALL: &str = r#"
format = 1
[rates]
hour = 60
margin = "10 %"
[[enclosure]]
id = "E1"
[[module]]
id = "M1"
enclosure = "E1"
profile = "input-12"
mode = "fixed-2k2"
[[device]]
id = "pharmacy"
access = "ladder 2.4 m"
minutes = 10
[[circuit]]
tag = "C01"
input = "M1.1"
network = "wire:38m - nc:front - 2.2k"
found = [{ when = "rest", ohms = "2.21k" }, { when = "front", ohms = "open" }]
[[circuit]]
tag = "C06"
input = "M1.2"
network = "wire:29m - nc:pharmacy - 5.6k"
found = [{ when = "rest", ohms = "5.57k" }, { when = "pharmacy", ohms = "open" }]
"#;

/// Hand-worked, with the embedded prices and times.
///
/// Parts. Module 120.00. 2.2k: 1 dummy (C01), 1 in place of 5.6k (C06), 0 to 10 on empty inputs: 2 to 12 at 0.20. 5.6k:
/// 1 dummy (C06). Two pairs: 4 sleeves, 4 tags at 0.10, 4 ties at 0.05. Labels: 2 inputs, 2 devices, 1 door, at 0.10.
/// Joints: 2 at C06; 5 % of 2 circuits are 0.1, up to 1 splice with 2: 2 to 4 at 0.50. Cover switch 0 to 1 at 3.00.
/// Least 120 + 0.40 + 0.20 + 0.40 + 0.40 + 0.20 + 0.50 + 1.00 = 123.10; most 2.00 + 1.00 + 3.00 more: 129.10.
/// Margin 12.31 to 12.91.
///
/// Minutes. Site: 5 to 10, 30 to 60, 90 to 180, a splice 0 to 180. E1: 30 to 60, 5 to 10, module 27 to 40. Each circuit 1+1+1+3+2+1+3
/// = 12 to 2+2+2+5+4+3+6 = 24. C06: 15 to 30 at the device, 10 to reach it. Least 125 + 62 + 24 + 25 = 236, most
/// 430 + 110 + 48 + 40 = 628; at 60.00 an hour as much in money.
/// Sum: 123.10 + 12.31 + 236.00 = 371.41; 129.10 + 12.91 + 628.00 = 770.01.
#[test]
fn two_circuits_on_a_module() {
    with(SMALL, None, |_, outfit| {
        assert_eq!(needed(outfit, "resistor", "2.2k"), Count::between(2, 12));
        assert_eq!(needed(outfit, "resistor", "5.6k"), Count::ONE);
        assert_eq!(needed(outfit, "gel-joint", ""), Count::between(2, 4));
        assert_eq!(needed(outfit, "label", ""), Count::exact(5));
        assert_eq!(outfit.bill.parts.written(), "123.10 to 129.10");
        assert_eq!(outfit.bill.margin.written(), "12.31 to 12.91");
        assert_eq!((outfit.bill.time.lo(), outfit.bill.time.hi()), (236 * 60, 628 * 60));
        assert_eq!(outfit.bill.labour.map(Price::written).as_deref(), Some("236.00 to 628.00"));
        assert_eq!(outfit.bill.total.written(), "371.41 to 770.01");
        assert!(outfit.second_visit.is_empty(), "{:?}", outfit.second_visit);
        let ladder = outfit
            .kit
            .lines
            .iter()
            .find(|line| line.item.group == Group::Tools && line.item.part == "ladder 2.4 m");
        assert_eq!(ladder.expect("a ladder").places(), ["pharmacy"]);
        // Keep: 1 resistor 0.20 and 2 joints 1.00 with 10 %: 1.32; 25 to 40 min. Replace: no price of a device is known.
        let options = &outfit.options[0];
        assert_eq!(options.offers[0].price.map(Price::written).as_deref(), Some("26.32 to 41.32"));
        assert_eq!((options.offers[1].price, options.offers[1].in_price), (None, false));
        // Rewire: 29 m at 0.60 are 17.40, resistor and joints 1.20, 10 %: 20.46. Cable 29 x 1.5 to 29 x 4.5 min, a pair 3 to 5,
        // the resistor 15 to 30, reaching it 10: 71.5 to 175.5 min.
        assert_eq!(options.offers[2].price.map(Price::written).as_deref(), Some("91.96 to 195.96"));
    });
}

#[test]
fn what_is_not_known_is_said() {
    with("format = 1", None, |_, outfit| {
        assert_eq!(answer(outfit), "Nothing to take along yet: the job names no circuit and no equipment.");
        assert_eq!(outfit.bill.time.hi(), 0);
    });
    let bare = "format = 1\n[[module]]\nid = \"M1\"\n[[circuit]]\ntag = \"C01\"\n";
    with(bare, Some(2026), |_, outfit| {
        let codes: Vec<&str> = outfit.findings.iter().map(|finding| finding.code).collect();
        for code in ["kit-without-profile", "kit-no-inputs", "kit-no-rates", "kit-dummy-unknown"] {
            assert!(codes.contains(&code), "{code}: {codes:?}");
        }
        assert!(outfit.bill.labour.is_none());
        assert!(answer(outfit).ends_with("without working time, which has no price."), "{}", answer(outfit));
        assert!(outfit.second_visit.iter().any(|why| why.starts_with("C01: ")));
        assert!(outfit.spread.iter().any(|one| one.cause == Cause::Unidentified));
    });
}

/// The latest reading at rest counts, whatever the network says; without one the network does.
#[test]
fn what_keeps_an_old_terminal_quiet() {
    let circuit = |tail: &str| format!("format = 1\n[[circuit]]\ntag = \"C01\"\n{tail}");
    for (tail, expected) in [
        ("found = [{ when = \"rest\", ohms = \"5.57k\" }]", Dummy::Resistor(Ohms(5600.0))),
        ("found = [{ when = \"rest\", ohms = \"2.36k\" }]", Dummy::Resistor(Ohms(2400.0))),
        (
            "found = [{ when = \"rest\", ohms = \"1k\" }, { when = \"rest\", ohms = \"2.2k\" }]",
            Dummy::Resistor(Ohms(2200.0)),
        ),
        ("found = [{ when = \"rest\", ohms = \"47 ohm\" }]", Dummy::Link),
        ("found = [{ when = \"rest\", ohms = \"149 ohm\" }]", Dummy::Link),
        ("found = [{ when = \"rest\", ohms = \"open\" }]", Dummy::Nothing),
        ("found = [{ when = \"rest\", ohms = \"unstable\" }]", Dummy::Unknown),
        ("network = \"wire:10m - nc:a - 4.7k\"", Dummy::Resistor(Ohms(4700.0))),
        ("network = \"wire:10m - nc:a\"", Dummy::Link),
        ("network = \"wire:10m - no:a\"", Dummy::Nothing),
        ("", Dummy::Unknown),
    ] {
        with(&circuit(tail), None, |assessment, _| {
            assert_eq!(dummy(&assessment.circuits[0]), expected, "{tail}")
        });
    }
}

/// Heads made in 2013 may be due in 2026 and are in 2028; in 2022 nobody speaks of them.
#[test]
fn old_heads() {
    let heads = |year| with(EXAMPLE, year, |_, outfit| needed(outfit, "smoke-two-wire", ""));
    assert_eq!(heads(Some(2022)), Count::NONE);
    assert_eq!(heads(Some(2026)), Count::between(0, 3));
    assert_eq!(heads(Some(2028)), Count::exact(3));
    assert_eq!(heads(None), Count::NONE);
}

/// A known way between two enclosures is no range; one beside the other is no way at all.
#[test]
fn cables_to_another_enclosure() {
    let job = |enclosure: &str, more: &str| {
        format!(
            "format = 1\n[[enclosure]]\nid = \"E1\"\n[[enclosure]]\nid = \"E2\"\n{enclosure}\n[[module]]\nid = \"M1\"\n\
             enclosure = \"E2\"\nprofile = \"input-12\"\n[[circuit]]\ntag = \"C01\"\nends_in = \"E1\"\ninput = \"M1.1\"\n\
             network = \"wire:9m - nc:a - 2.2k\"\n{more}"
        )
    };
    let metres = |text: &str| with(text, None, |_, outfit| needed(outfit, "cable-signal", "22 AWG"));
    assert_eq!(metres(&job("", "")), Count::between(2, 30));
    assert_eq!(metres(&job("beside = \"E1\"", "")), Count::NONE);
    let known = "[[extension]]\nfrom = \"E1\"\nto = \"E2\"\nlength = \"12.5 m\"\n";
    assert_eq!(metres(&job("", known)), Count::exact(13));
}

/// The survey of the small job, nothing assigned: what the allocation buys and seats is on the list, once.
#[test]
fn circuits_without_an_input_are_counted_as_allocated() {
    let text = SMALL
        .replace("input = \"M1.1\"\n", "ends_in = \"E1\"\n")
        .replace("input = \"M1.2\"\n", "ends_in = \"E1\"\n");
    let job = Job::read(&Source::new("job.toml", text)).expect("a job");
    let library = Library::embedded();
    let assessment = assess::assess(&job, &library, &|_, _| {});
    let (as_it_is, planned) = (kit(&assessment, None), planned_kit(&assessment, None));
    assert!(as_it_is.findings.iter().any(|finding| finding.code == "kit-no-inputs"));
    assert!(!planned.findings.iter().any(|finding| finding.code == "kit-no-inputs"));
    assert!(planned.findings.iter().any(|finding| finding.code == "kit-as-allocated"));
    // It has one module already, and C06 wants its resistor changed or padded only once it is on an input.
    assert_eq!(needed(&planned, "input-12", ""), Count::ONE);
    let of_c06 = |outfit: &Outfit| {
        let needs =
            outfit.kit.lines.iter().filter(|line| line.item.part == "resistor").flat_map(|line| &line.needs);
        needs.filter(|need| need.place == "C06").count()
    };
    assert_eq!((of_c06(&as_it_is), of_c06(&planned)), (1, 2));
}

/// Everything that a place of a need may name.
fn is_named(job: &Job, place: &str) -> bool {
    let run = |run: &job::Run| format!("{} to {}", run.from.value, run.to.value) == place;
    place == "job"
        || job.circuits.iter().any(|one| one.tag.value == place)
        || job.enclosures.iter().any(|one| one.id.value == place)
        || job.modules.iter().any(|one| one.id.value == place)
        || job.supplies.iter().any(|one| one.id.value == place || one.runs.iter().any(run))
        || job.devices.iter().any(|one| one.id.value == place)
        || job.cables.iter().any(|one| one.id.value == place)
        || job.outputs.iter().any(|one| one.id.value == place)
}

/// Every part is used by something that the job names, and everything that a circuit needs is on the list.
fn is_whole(assessment: &assess::Assessment, outfit: &Outfit) {
    for line in &outfit.kit.lines {
        assert!(!line.needs.is_empty(), "{:?}", line.item);
        for need in &line.needs {
            assert!(is_named(assessment.job, &need.place), "{} for {}", line.item.part, need.place);
            assert!(!need.why.is_empty() && need.count.hi() > 0);
        }
    }
    for work in &outfit.work {
        assert!(is_named(assessment.job, &work.place), "{} for {}", work.task, work.place);
    }
    let has = |tag: &str, part: &str, value: &str| {
        let line = outfit.kit.lines.iter().find(|line| line.item.part == part && line.item.value == value);
        let needs = line.into_iter().flat_map(|line| &line.needs);
        needs.filter(|need| need.place == tag).map(|need| need.count.hi()).sum::<u32>()
    };
    let needs = assess::needs(assessment);
    let remedies = assess::chosen_remedies(assessment);
    for ((result, need), remedy) in assessment.circuits.iter().zip(needs).zip(remedies) {
        let tag = result.circuit.tag.as_str();
        assert!(outfit.work.iter().any(|work| work.place == tag && work.task == "lift-pair"));
        if need == assess::Need::Spare {
            continue;
        }
        let mut wanted: Vec<Ohms> = remedy.map(|remedy| remedy.resistors.clone()).unwrap_or_default();
        match dummy(result) {
            Dummy::Resistor(ohms) => wanted.push(ohms),
            Dummy::Link => assert!(has(tag, "link", "") >= 1),
            Dummy::Nothing | Dummy::Unknown => {}
        }
        for ohms in &wanted {
            let same = wanted.iter().filter(|other| (other.0 - ohms.0).abs() < 1e-9).count();
            assert!(has(tag, "resistor", &ohms.written()) as usize >= same, "{tag} wants {}", ohms.written());
        }
        assert!(has(tag, "ferrule", "") >= 2 && has(tag, "cable-tag", "") >= 2);
    }
    let told: u64 = outfit.spread.iter().map(|one| one.seconds).sum();
    assert_eq!(told, outfit.bill.time.hi() - outfit.bill.time.lo(), "the causes make up the range");
    assert_eq!(outfit.kit.price(), outfit.bill.parts);
    let adds: i64 = outfit.spread.iter().map(|one| one.adds.hundredths()).sum();
    let total = outfit.bill.total;
    assert_eq!(
        total.lo().hundredths() + adds,
        total.hi().hundredths(),
        "the least and the causes are the most"
    );
    assert!(outfit.spread.iter().all(|one| one.adds.hundredths() >= 0));
}

#[test]
fn the_example_is_whole() {
    with(EXAMPLE, Some(2026), is_whole);
    with(EXAMPLE, Some(2026), |_, outfit| {
        assert_eq!(outfit.currency, "dollars");
        assert_eq!(needed(outfit, "input-12", ""), Count::ONE);
        // The run to J1 is the one to change: 25 m, and 14 AWG is the smallest that does.
        assert_eq!(needed(outfit, "cable-power", "14 AWG"), Count::exact(25));
        // 4 m and 6 m from the transformers.
        assert_eq!(needed(outfit, "cable-power", "18 AWG"), Count::exact(10));
        assert_eq!(needed(outfit, "terminal", ""), Count::exact(3));
        let plain = outfit.options.iter().flat_map(|one| &one.offers).map(|offer| offer.plain.as_str());
        assert!(plain.clone().count() > 10);
        for words in plain {
            // `2.2k` or `470 ohm` would be a resistor's value.
            let value = words
                .split(' ')
                .any(|word| word.ends_with('k') && word.starts_with(|one: char| one.is_ascii_digit()));
            assert!(!value && !words.contains("ohm") && !words.contains("resistor"), "{words}");
        }
    });
}

fn network() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "wire:20m - nc:a - 2.2k",
        "wire:31m - nc:a - 5.6k",
        "2.2k - wire:31m - nc:a",
        "wire:14m - no:a | 4.7k",
        "(wire:18m - nc:a) - (wire:26m - nc:b) - 2.2k",
        "4.7k | wire:35m - nc:a - 4.7k",
        "wire:27m - smoke:a | 4.7k",
        "wire:28m - joint:J9 - wire:6m - nc:a - 3.3k",
        "wire:19m - no:a | 47uF",
        "wire:22m - open",
    ])
}

fn circuit() -> impl Strategy<Value = String> {
    let rest = prop::option::of(prop::sample::select(vec!["2.21k", "4.68k", "47 ohm", "open", "unstable"]));
    let minutes = prop::option::of(0..20_u32);
    (prop::option::weighted(0.9, network()), rest, any::<bool>(), minutes, any::<bool>()).prop_map(
        |(network, rest, seated, minutes, fire)| {
            let mut text = "[[circuit]]\ntag = \"TAG\"\nends_in = \"E1\"\n".to_owned();
            text.push_str(if fire { "duty = \"heat\"\n" } else { "duty = \"intrusion\"\n" });
            if let Some(network) = network {
                text.push_str(&format!("network = \"{network}\"\n"));
            }
            if let Some(rest) = rest {
                text.push_str(&format!("found = [{{ when = \"rest\", ohms = \"{rest}\" }}]\n"));
            }
            if seated {
                text.push_str("input = \"M1.NUMBER\"\n");
            }
            if let Some(minutes) = minutes.filter(|_| network.is_some_and(|network| network.contains(":a"))) {
                let device = "[[device]]\nid = \"TAG/a\"\nprofile = \"contact-door\"\nmade = 2010\n";
                text.push_str(&format!(
                    "{device}minutes = {minutes}\naccess = \"ladder 3 m, after hours\"\n"
                ));
            }
            text
        },
    )
}

fn job() -> impl Strategy<Value = String> {
    let mode = prop::sample::select(vec!["mode = \"fixed-2k2\"\n", ""]);
    (prop::collection::vec(circuit(), 0..12), mode, any::<bool>()).prop_map(|(circuits, mode, rates)| {
        let mut text = "format = 1\n[[enclosure]]\nid = \"E1\"\nprofile = \"enclosure-large\"\n".to_owned();
        text.push_str(&format!(
            "[[module]]\nid = \"M1\"\nenclosure = \"E1\"\nprofile = \"input-12\"\n{mode}"
        ));
        if rates {
            text.push_str("[rates]\nhour = 61.37\ncrew = 2\ntravel = 33.33\nsecond_visit = 77.77\nmargin = \"12.5 %\"\n");
        }
        for (at, circuit) in circuits.iter().enumerate() {
            text.push_str(
                &circuit.replace("TAG", &format!("C{at:02}")).replace("NUMBER", &(at + 1).to_string()),
            );
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_kit_is_whole(text in job()) {
        with(&text, Some(2026), is_whole);
    }

    /// Time goes by and nothing gets younger; the same question has the same answer.
    #[test]
    fn a_later_year_needs_no_fewer_parts(text in job(), year in 2000..2040_i32, more in 0..20_i32) {
        let price = |year| with(&text, Some(year), |_, outfit| outfit.bill.parts);
        let (now, then) = (price(year), price(year + more));
        prop_assert!(then.hi() >= now.hi() && then.lo() >= now.lo());
        prop_assert_eq!(price(year), now);
    }
}
