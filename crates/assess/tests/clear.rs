//! When ohms may be read, case by case, and what no list of readings can lead to.

use assess::clear::{
    Clearance, Wanted, followed, is_foreign, refuses_changed, refuses_reading, wanted, why_no_ohms,
    written_anew,
};
use document::{Plain, Source};
use job::{Change, Circuit, Job, TableRef, When};
use proptest::prelude::*;

fn job(found: &[&str]) -> Job {
    let text = format!(
        "format = 1\n[[enclosure]]\nid = \"E1\"\n[[circuit]]\ntag = \"C01\"\nends_in = \"E1\"\nfound = [{}]\n",
        found.join(", ")
    );
    Job::read(&Source::new("job.toml", text.as_str()))
        .unwrap_or_else(|problems| panic!("{}", problems[0].text))
}

fn circuit(found: &[&str]) -> Circuit {
    job(found).circuits.remove(0)
}

const AC: &str = r#"{ when = "rest", volts_ac = "0.1 V" }"#;
const DC: &str = r#"{ when = "rest", volts_dc = "-0.1 V" }"#;
const EARTH_AC: &str = r#"{ when = "earth", volts_ac = "0.4 V" }"#;
const EARTH_DC: &str = r#"{ when = "earth", volts_dc = "0.4 V" }"#;
const EARTH: &str = r#"{ when = "earth", ohms = "open" }"#;
const OHMS: &str = r#"{ when = "rest", ohms = "2.2k" }"#;

#[test]
fn every_one_of_the_volts_is_asked_for_by_name() {
    let all = [AC, DC, EARTH_AC, EARTH_DC, EARTH];
    assert_eq!(why_no_ohms(&circuit(&all), &[]), None);
    for (at, missing) in [
        "volts AC of the pair",
        "volts DC of the pair",
        "volts AC from each leg to earth",
        "volts DC from each leg to earth",
        "Read ohms from each leg to earth",
    ]
    .into_iter()
    .enumerate()
    {
        let mut left = all.to_vec();
        left.remove(at);
        let says = why_no_ohms(&circuit(&left), &[]).expect("something is missing");
        assert!(says.contains(missing), "{missing}: {says}");
        assert_eq!(says.matches("volts").count(), usize::from(at < 4), "and nothing else: {says}");
        // The legs before the pair, and the volts before the legs.
        let to_earth = circuit(&[EARTH]).found.remove(0);
        assert_eq!(refuses_reading(&circuit(&left), &to_earth, &[]).is_some(), at < 4, "{missing}");
    }
    // One leg alone says nothing of the other, in volts and in ohms.
    let legs = [
        r#"{ when = "earth-a", volts_ac = "0.1 V", volts_dc = "0.1 V" }"#,
        r#"{ when = "earth-b", volts_ac = "0.1 V", volts_dc = "0.1 V" }"#,
        r#"{ when = "earth-a", ohms = "60k" }"#,
        r#"{ when = "earth-b", ohms = "open" }"#,
    ];
    assert_eq!(why_no_ohms(&circuit(&[&[AC, DC][..], &legs].concat()), &[]), None);
    for at in 0..legs.len() {
        let mut left = legs.to_vec();
        left.remove(at);
        assert!(why_no_ohms(&circuit(&[&[AC, DC][..], &left].concat()), &[]).is_some(), "{}", legs[at]);
    }
}

#[test]
fn what_was_read_last_counts() {
    let all = [AC, DC, EARTH_AC, EARTH_DC, EARTH];
    for (foreign, again) in [
        (r#"{ when = "rest", volts_ac = "12 V" }"#, AC),
        (r#"{ when = "rest", volts_dc = "-1.0 V" }"#, DC),
        (r#"{ when = "rest", volts_dc = "unstable" }"#, DC),
        (r#"{ when = "earth", volts_ac = "80 V" }"#, EARTH_AC),
        (r#"{ when = "earth", ohms = "49k" }"#, EARTH),
        (r#"{ when = "rest", amps = "12 mA" }"#, r#"{ when = "rest", amps = "0.00 mA" }"#),
        (r#"{ when = "live", volts_ac = "230 V" }"#, r#"{ when = "live", volts_ac = "0.0 V" }"#),
    ] {
        let now = circuit(&[&all[..], &[foreign]].concat());
        assert!(is_foreign(&now), "{foreign}");
        // Not even the entry of the strip helps against a reading.
        let entry = Clearance::of("E1", r#"{"pairs":["C01"],"except":[]}"#);
        assert!(why_no_ohms(&now, std::slice::from_ref(&entry)).is_some(), "{foreign}");
        let since = circuit(&[&all[..], &[foreign, again]].concat());
        assert_eq!(why_no_ohms(&since, &[]), None, "{foreign}");
    }
    // What its own board, or the supply of its own detectors, feeds the pair while it works is no matter.
    let unfed = r#"{ when = "rest", amps = "5.0 mA" }"#;
    let then_fed =
        circuit(&[&all[..], &[unfed, r#"{ when = "rest", fed = true, amps = "40 mA" }"#]].concat());
    assert!(why_no_ohms(&then_fed, &[]).is_some(), "what flowed without the supply is still unexplained");
    let fed = circuit(&[&all[..], &[r#"{ when = "rest", fed = true, amps = "12 mA" }"#]].concat());
    assert_eq!(why_no_ohms(&fed, &[]), None);
    let fed = circuit(&[&all[..], &[r#"{ when = "live", volts_dc = "13.7 V" }"#]].concat());
    assert_eq!(why_no_ohms(&fed, &[]), None);
}

/// Both conductors on one phase show nothing between them (common practice, no source).
#[test]
fn volts_at_the_old_terminals_are_gone_when_the_pair_and_both_legs_say_so_later() {
    let entry = [Clearance::of("E1", r#"{"pairs":["C01"],"except":[]}"#)];
    let leg = |leg: &str, kind: &str| format!(r#"{{ when = "earth-{leg}", {kind} = "0.0 V" }}"#);
    for (live, kind, pair, legs) in [
        (r#"{ when = "live", volts_ac = "230 V" }"#, "volts_ac", AC, EARTH_AC),
        (r#"{ when = "live", volts_dc = "-48 V" }"#, "volts_dc", DC, EARTH_DC),
    ] {
        let (a, b) = (leg("a", kind), leg("b", kind));
        let other = if kind == "volts_ac" { DC } else { AC };
        for (since, free) in [
            (vec![], false),
            (vec![pair], false),
            (vec![a.as_str()], false),
            (vec![pair, a.as_str()], false),
            (vec![pair, b.as_str()], false),
            (vec![legs], false),
            (vec![other, legs], false),
            (vec![pair, a.as_str(), b.as_str()], true),
            (vec![legs, pair], true),
        ] {
            let found = [&[AC, DC, EARTH_AC, EARTH_DC, EARTH, live][..], &since].concat();
            let says = why_no_ohms(&circuit(&found), &entry);
            assert_eq!(says.is_none(), free, "{live}, then {since:?}: {says:?}");
            // Sheet, cut-over and what the pair is taken for go by the same readings.
            assert_eq!(circuit(&found).foreign_live().is_empty(), free, "{live}, then {since:?}");
            let told = job(&[&found[..], &[OHMS]].concat());
            let library = library::Library::embedded();
            let survey = assess::identify(&told, &library).expect("the habits are built in");
            assert_eq!(survey.pairs[0].evidence.refusal().is_none(), free, "{live}, then {since:?}");
        }
    }
}

#[test]
fn ohms_at_the_terminals_of_a_working_board_are_never_taken() {
    let entry = [Clearance::of("E1", r#"{"pairs":["C01"],"except":[]}"#)];
    for ohms in ["4.7k", "open"] {
        let live = circuit(&[&format!(r#"{{ when = "live", ohms = "{ohms}" }}"#)]).found.remove(0);
        let now = circuit(&[AC, DC, EARTH_AC, EARTH_DC, EARTH, OHMS]);
        let says = refuses_reading(&now, &live, &entry).expect("refused");
        assert!(says.contains("Lift the pair"), "{says}");
    }
    let volts = circuit(&[r#"{ when = "live", volts_dc = "13.7 V" }"#]).found.remove(0);
    assert_eq!(refuses_reading(&circuit(&[]), &volts, &[]), None);
}

#[test]
fn the_newest_entry_of_a_strip_is_the_one() {
    let entries =
        [("E1", r#"{"pairs":[],"except":["C01"]}"#), ("E2", "no JSON"), ("E1", r#"{"pairs":["C01"]}"#)];
    let newest = Clearance::newest(entries);
    assert_eq!(newest.len(), 2);
    assert!(why_no_ohms(&circuit(&[]), &newest).unwrap().contains("leaves it out"));
    assert_eq!(why_no_ohms(&circuit(&[]), &Clearance::newest(entries.into_iter().skip(1))), None);
    // Readings of before an entry that leaves it out free nothing.
    assert!(why_no_ohms(&circuit(&[OHMS]), &newest).is_some());
    assert_eq!(why_no_ohms(&circuit(&[OHMS]), &[]), None, "somebody read it before there were entries");
}

#[test]
fn a_changed_job_is_judged_reading_by_reading() {
    let changed = |before: &[&str], after: &[&str]| refuses_changed(&job(before), &job(after), &[]);
    assert!(changed(&[], &[OHMS]).is_some());
    assert_eq!(changed(&[OHMS], &[OHMS]), None);
    assert_eq!(changed(&[], &[AC, DC, EARTH_AC, EARTH_DC, EARTH, OHMS]), None, "in their order");
    assert!(changed(&[], &[OHMS, AC, DC, EARTH_AC, EARTH_DC, EARTH]).is_some(), "ohms first");
    assert_eq!(changed(&[OHMS, AC], &[AC]), None, "taken out");
    // The same once more is one more.
    assert!(
        changed(
            &[OHMS, r#"{ when = "rest", volts_ac = "9 V" }"#],
            &[OHMS, r#"{ when = "rest", volts_ac = "9 V" }"#, OHMS]
        )
        .is_some()
    );
}

proptest! {
    /// Whatever was read in whatever order: ohms are never free while the last volts of any condition are 1 V or more.
    #[test]
    fn foreign_volts_are_never_read_over(
        all in proptest::collection::vec((0_usize..3, any::<bool>(), 0_u32..30), 0..14),
        cleared in any::<bool>(),
    ) {
        let conditions = ["rest", "earth-a", "earth-b"];
        let texts: Vec<String> = all
            .iter()
            .map(|(when, ac, tenths)| {
                let key = if *ac { "volts_ac" } else { "volts_dc" };
                format!("{{ when = \"{}\", {key} = \"{}.{} V\" }}", conditions[*when], tenths / 10, tenths % 10)
            })
            .chain([EARTH.to_owned()])
            .collect();
        let found: Vec<&str> = texts.iter().map(String::as_str).collect();
        let entry = Clearance { strip: "E1".to_owned(), pairs: vec!["C01".to_owned()], ..Clearance::default() };
        let entries = if cleared { vec![entry] } else { Vec::new() };
        let last = |when: usize, ac: bool| {
            all.iter().rev().find(|(of, kind, _)| (*of, *kind) == (when, ac)).map(|(.., tenths)| *tenths)
        };
        let each: Vec<Option<u32>> =
            (0..3).flat_map(|when| [last(when, true), last(when, false)]).collect();
        let foreign = each.iter().flatten().any(|tenths| *tenths >= 10);
        let unread = each.iter().any(Option::is_none);
        let expected = !foreign && (cleared || !unread);
        prop_assert_eq!(why_no_ohms(&circuit(&found), &entries).is_none(), expected, "{:?}", found);
    }
}

#[test]
fn an_entry_follows_a_pair_that_is_called_anew_and_leaves_out_what_comes_under_a_free_tag() {
    let job = |tags: &[&str]| {
        let circuits: String = tags.iter().map(|tag| format!("[[circuit]]\ntag = \"{tag}\"\n")).collect();
        Job::read(&Source::new("job.toml", format!("format = 1\n{circuits}"))).expect("a job")
    };
    let owned = |tags: &[&str]| tags.iter().map(|tag| (*tag).to_owned()).collect::<Vec<_>>();
    let entry = |pairs: &[&str], except: &[&str]| Clearance {
        strip: "E1".to_owned(),
        pairs: owned(pairs),
        except: owned(except),
        in_doubt: Vec::new(),
    };
    let tag = |of: &str, to: &str| {
        let text = |tag: &str| Some(Plain::Text(tag.to_owned()));
        Change::key(TableRef::named("circuit", of), "tag", text(of), text(to))
    };
    let known = [entry(&["K1", "A2"], &["X9"])];
    // A tag that is free since long stands in the entry still.
    let anew = followed(&job(&["K1", "X9"]), &job(&["K1", "A2"]), &[tag("X9", "A2")], &known);
    assert_eq!(anew, [entry(&["K1"], &["A2"])]);
    let out = Change {
        at: job::Place::Table(TableRef::named("circuit", "A2")),
        from: Some(Plain::Table(Vec::new())),
        to: None,
    };
    let anew = followed(&job(&["K1", "A2"]), &job(&["K1"]), &[out], &known);
    assert_eq!(anew, [entry(&["K1"], &["X9", "A2"])]);
    // Without changes it is a whole text.
    let anew = followed(&job(&["K1", "A2"]), &job(&["K1"]), &[], &known);
    assert_eq!(anew, [Clearance { in_doubt: owned(&["A2"]), ..entry(&["K1"], &["X9"]) }]);
    let anew = followed(&job(&["K1"]), &job(&["K1", "A2"]), &[], &known);
    assert_eq!(anew, [Clearance { in_doubt: owned(&["A2"]), ..entry(&["K1"], &["X9"]) }]);
    let turned = [tag("K1", "T"), tag("X9", "K1"), tag("T", "X9")];
    let anew = followed(&job(&["K1", "A2", "X9"]), &job(&["X9", "A2", "K1"]), &turned, &known);
    assert_eq!(anew, [entry(&["X9", "A2"], &["K1"])]);
    assert_eq!(followed(&job(&["K1", "A2"]), &job(&["A2", "K1", "B"]), &[], &known), []);
    assert_eq!(
        entry(&["K1"], &[]).data(r#"{"takes_back":"e1"}"#),
        r#"{"except":[],"pairs":["K1"],"takes_back":"e1"}"#
    );
}

/// One pair out and another in under its tag, in one set of changes; a whole table put in the place of another.
#[test]
fn an_entry_does_not_go_over_to_what_takes_a_tag_in_the_same_changes() {
    const PAIR: &str = r#"tag = "C01", ends_in = "E1", place = "hall""#;
    let plain = |keys: &str| {
        let text = format!("x = {{ {keys} }}");
        let document = document::Document::parse(&Source::new("", text)).plain();
        document.get("x").cloned().expect("a table")
    };
    let at = || job::Place::Table(TableRef::named("circuit", "C01"));
    let table =
        |from: Option<&str>, to: Option<&str>| Change { at: at(), from: from.map(plain), to: to.map(plain) };
    let known = [Clearance { strip: "E1".to_owned(), pairs: vec!["C01".to_owned()], ..Clearance::default() }];
    let (before, after) = (job(&[]), job(&[]));
    let covers = |changes: &[Change]| followed(&before, &after, changes, &known).is_empty();
    assert!(!covers(&[table(Some(PAIR), None), table(None, Some(PAIR))]));
    assert!(covers(&[table(Some(PAIR), Some(PAIR))]));
    let more = format!("{PAIR}, was = \"zone 3\", network = \"nc:door\"");
    assert!(covers(&[table(Some(PAIR), Some(&more))]));
    for other in ["attic", "hall\", found = [], was = \"x"] {
        let to = PAIR.replace("hall", other);
        assert_eq!(covers(&[table(Some(PAIR), Some(&to))]), other != "attic", "{to}");
    }
    assert!(!covers(&[table(Some(&more), Some(PAIR))]), "what it was called is gone");
    let read = format!("{PAIR}, found = [ {{ when = \"rest\", volts_ac = \"0.1 V\" }} ]");
    assert!(!covers(&[table(Some(&read), Some(PAIR))]) && covers(&[table(Some(PAIR), Some(&read))]));
    assert!(!covers(&[table(Some(PAIR), Some(&PAIR.replace("E1", "E2")))]));
}

/// A whole new text says nothing of what became of which pair: only what surely is the pair that was there stays clear.
#[test]
fn a_whole_text_leaves_out_what_may_be_another_pair() {
    const PAIR: &str = "tag = \"C01\"\nends_in = \"E1\"\nplace = \"hall\"\nfound = [ { when = \"rest\", volts_ac = \"0.1 V\" } ]\n";
    let job = |circuits: &[&str]| {
        let circuits: String = circuits.iter().map(|keys| format!("[[circuit]]\n{keys}")).collect();
        let text = format!("format = 1\n[[enclosure]]\nid = \"E1\"\n[[enclosure]]\nid = \"E2\"\n{circuits}");
        Job::read(&Source::new("job.toml", text)).expect("a job")
    };
    let known = [Clearance::of("E1", r#"{"pairs":["C01","C02"],"except":["C03"]}"#)];
    let after = |before: &[&str], after: &[&str]| {
        let anew = written_anew(Some(&job(before)), &job(after), &known);
        let now = anew.into_iter().next().unwrap_or_else(|| known[0].clone());
        assert!(now.in_doubt.iter().all(|tag| !now.except.contains(tag) && !now.pairs.contains(tag)));
        now
    };
    let covers = |one: &str, other: &str| after(&[one], &[other]).pairs.contains(&"C01".to_owned());
    assert!(covers(PAIR, PAIR));
    for (stands, written) in [
        (
            "place = \"hall\"\n",
            "place = \"hall\"\nwas = \"zone 3\"\nduty = \"intrusion\"\nnetwork = \"nc:door\"\n",
        ),
        ("0.1 V\" } ]", "0.1 V\" }, { when = \"rest\", volts_dc = \"0.2 V\" } ]"),
    ] {
        assert!(covers(PAIR, &PAIR.replace(stands, written)), "{written}");
    }
    for (stands, written) in [
        ("C01", "C09"),
        ("E1", "E2"),
        ("ends_in = \"E1\"\n", ""),
        ("hall", "attic"),
        ("place = \"hall\"\n", ""),
        ("0.1 V", "0.3 V"),
        ("found = [ { when = \"rest\", volts_ac = \"0.1 V\" } ]\n", ""),
    ] {
        assert!(!covers(PAIR, &PAIR.replace(stands, written)), "{written}");
    }
    // Swapped tags of two about which nothing is written but what hangs on them.
    let bare =
        |tag: &str, network: &str| format!("tag = \"{tag}\"\nends_in = \"E1\"\nnetwork = \"{network}\"\n");
    let (one, other) = (bare("C01", "nc:door"), bare("C01", "no:pir"));
    assert!(covers(&one, &one) && !covers(&one, &other));
    // What is new is left out of its strip's entry though that never named it, and a reading that came with it frees nothing.
    let new = PAIR.replace("C01", "C07").replace("volts_ac = \"0.1 V\"", "ohms = \"2.2k\"");
    let now = after(&[PAIR], &[PAIR, &new]);
    assert_eq!((now.in_doubt.join(" "), now.except.join(" ")), ("C02 C07".to_owned(), "C03".to_owned()));
    let circuit = job(&[&new]).circuits.remove(0);
    let says = why_no_ohms(&circuit, std::slice::from_ref(&now)).expect("left out");
    assert!(says.contains("the whole text of the job was written anew since"), "{says}");
    // Nor does anything stay clear where nobody can read what was there before.
    assert_eq!(written_anew(None, &job(&[PAIR]), &known)[0].pairs, [] as [String; 0]);
    // It is in the entry's keys, and goes where another one comes that names it clear.
    let data = now.data("{}");
    assert_eq!(Clearance::of("E1", &data), now);
    assert!(!known[0].data(&data).contains("in_doubt"));
}

proptest! {
    /// Whatever text comes: an entry never covers a tag that stood elsewhere, otherwise or not at all before it.
    #[test]
    fn no_whole_text_brings_a_pair_under_an_old_entry(
        before in proptest::collection::btree_map(0_u8..5, (0_u8..3, 1_u8..3), 0..5),
        after in proptest::collection::btree_map(0_u8..5, (0_u8..3, 1_u8..3), 0..5),
        named in proptest::collection::btree_set(0_u8..5, 0..5),
    ) {
        let text = |all: &std::collections::BTreeMap<u8, (u8, u8)>| {
            let circuit = |(tag, (place, strip)): (&u8, &(u8, u8))| {
                format!("[[circuit]]\ntag = \"C{tag}\"\nplace = \"{place}\"\nends_in = \"E{strip}\"\n")
            };
            let circuits: String = all.iter().map(circuit).collect();
            Job::read(&Source::new("job.toml", format!("format = 1\n[[enclosure]]\nid = \"E1\"\n[[enclosure]]\nid = \"E2\"\n{circuits}"))).expect("a job")
        };
        let known = [Clearance { strip: "E1".to_owned(), pairs: named.iter().map(|tag| format!("C{tag}")).collect(), ..Clearance::default() }];
        let job = text(&after);
        let now = written_anew(Some(&text(&before)), &job, &known);
        let now = if now.is_empty() { known.to_vec() } else { now };
        for (circuit, (tag, stands)) in job.circuits.iter().zip(&after) {
            let free = why_no_ohms(circuit, &now).is_none();
            let stood = before.get(tag) == Some(stands) && stands.1 == 1 && named.contains(tag);
            prop_assert_eq!(free, stood, "C{}", tag);
        }
    }
}

proptest! {
    /// Whatever was read before: who reads what is asked for, and reads nothing there, comes to ohms, and soon.
    #[test]
    fn what_is_asked_for_opens_the_way_to_ohms(
        all in proptest::collection::vec((0_usize..5, 0_usize..4, 0_u32..30), 0..10),
        cleared in any::<bool>(),
    ) {
        let conditions = ["rest", "earth-a", "earth-b", "live", "earth"];
        let mut texts: Vec<String> = all
            .iter()
            .map(|(when, key, tenths)| match key {
                0 => format!("{{ when = \"{}\", volts_ac = \"{}.{} V\" }}", conditions[*when], tenths / 10, tenths % 10),
                1 => format!("{{ when = \"{}\", volts_dc = \"{tenths} V\" }}", conditions[*when]),
                2 => format!("{{ when = \"{}\", amps = \"{tenths} mA\" }}", conditions[*when]),
                _ => format!("{{ when = \"{}\", ohms = \"{}k\" }}", conditions[(*when).clamp(1, 2)], tenths * 4),
            })
            .collect();
        let entry = Clearance { strip: "E1".to_owned(), pairs: vec!["C01".to_owned()], ..Clearance::default() };
        let entries = if cleared { vec![entry] } else { Vec::new() };
        for step in 0.. {
            let found: Vec<&str> = texts.iter().map(String::as_str).collect();
            let now = circuit(&found);
            let Some(wanted) = wanted(&now, &entries) else {
                prop_assert_eq!(why_no_ohms(&now, &entries), None);
                break;
            };
            prop_assert!(why_no_ohms(&now, &entries).is_some());
            // Five conditions in three kinds, and ohms of two legs.
            prop_assert!(step < 18, "{:?}: {:?}", wanted, found);
            let when = match wanted.when() {
                When::Rest => "rest",
                When::EarthA => "earth-a",
                When::EarthB => "earth-b",
                When::Earth => "earth",
                other => panic!("{other:?}"),
            };
            let shown = match wanted {
                Wanted::VoltsAc(_) => "volts_ac = \"0.1 V\"",
                Wanted::VoltsDc(_) => "volts_dc = \"0.1 V\"",
                Wanted::Amps(_) => "amps = \"0.00 mA\"",
                Wanted::Earth(_) => "ohms = \"open\"",
            };
            let text = format!("{{ when = \"{when}\", {shown} }}");
            let next = circuit(&[&text]).found.remove(0);
            prop_assert_eq!(refuses_reading(&now, &next, &entries), None, "what is asked for is taken");
            texts.push(text);
        }
    }
}
