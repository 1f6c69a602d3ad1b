//! Volts first: what is foreign is refused wherever it was read, and says nothing of the old board.

use document::Source;
use identify::{OneByOne, Pair, Pass, network_of, plan, remarks, survey};
use job::Job;
use library::{Habits, Library};

fn habits() -> Habits {
    Library::embedded().habits["default"].clone()
}

fn job(found: &[&str]) -> Job {
    let circuit = |(at, found): (usize, &&str)| format!("[[circuit]]\ntag = \"C{at}\"\nfound = [{found}]\n");
    let circuits: String = found.iter().enumerate().map(circuit).collect();
    let text = format!("format = 1\n[meter]\nohms = \"0.9 % + 2 digits\"\nleads = \"0.2 ohm\"\n{circuits}");
    Job::read(&Source::new("job", text.as_str()))
        .unwrap_or_else(|problems| panic!("{}\n{text}", problems[0].text))
}

/// What is said of the first circuit, and what is to be done next.
fn said(found: &str) -> (Option<String>, String, String) {
    let (job, habits) = (job(&[found]), habits());
    let survey = survey(&job, &habits, &OneByOne);
    let pair = &survey.pairs[0];
    let next = pair.next.as_ref().map_or(String::new(), |next| next.why.clone());
    (pair.evidence.refusal().map(identify::Refusal::text), remarks(&survey, pair).join(" "), next)
}

/// Limits of extra-low voltage: 50 V AC and 120 V DC, as in IEC 61140 (from memory).
#[test]
fn mains_at_live_terminals_is_refused() {
    let cases = [
        ("volts_ac = \"230 V\"", true),
        ("volts_ac = \"120 V\"", true),
        ("volts_dc = \"230 V\"", true),
        ("volts_dc = \"-230 V\"", true),
        ("volts_ac = \"16 V\"", false),
        ("volts_ac = \"1.1 V\"", false),
        ("volts_dc = \"70 V\"", false),
        ("volts_dc = \"34 V\"", false),
        ("volts_dc = \"5 V\", volts_ac = \"16 V\"", false),
    ];
    for (shown, electrician) in cases {
        let (refusal, remarks, next) = said(&format!("{{ when = \"live\", {shown} }}"));
        assert!(
            refusal.is_some_and(|text| text.contains("at the terminals of this pair")),
            "{shown}: {remarks}"
        );
        assert_eq!(remarks.contains("electrician"), electrician, "{shown}: {remarks}");
        assert_eq!(next.contains("electrician"), electrician, "{shown}: {next}");
        assert!(!next.contains("read it at rest"), "{shown}: {next}");
        assert!(!electrician || !remarks.contains("induced"), "{shown}: {remarks}");
    }
    for shown in
        ["volts_dc = \"13.7 V\"", "volts_dc = \"28 V\"", "volts_dc = \"6.7 V\", volts_ac = \"0.4 V\""]
    {
        assert_eq!(said(&format!("{{ when = \"live\", {shown} }}")).0, None, "{shown}");
    }
}

/// What is refused is not on the strip's list: what to do is said of the pair itself.
#[test]
fn nobody_is_sent_to_mains() {
    let habits = habits();
    let live = "when = \"live\"";
    for (found, strip) in [
        (format!("{{ {live}, volts_ac = \"230 V\" }}"), 0),
        (format!("{{ {live}, volts_dc = \"6.7 V\" }}"), 2),
    ] {
        let job = job(&[&found]);
        let tasks = plan(&survey(&job, &habits, &OneByOne));
        assert_eq!(tasks.iter().filter(|task| task.pass == Pass::Strip).count(), strip, "{found}");
    }
}

/// The board of three normal terminals is the same with and without a fourth that carries foreign volts.
#[test]
fn foreign_volts_do_not_calibrate_the_board() {
    let normal = [
        "{ when = \"rest\", ohms = \"2.206k\" }, { when = \"live\", volts_dc = \"6.66 V\" }",
        "{ when = \"rest\", ohms = \"4.706k\" }, { when = \"live\", volts_dc = \"8.84 V\" }",
        "{ when = \"live\", volts_dc = \"12.40 V\" }",
    ];
    let habits = habits();
    let alone = job(&normal);
    let alone = survey(&alone, &habits, &OneByOne);
    for foreign in ["volts_dc = \"70 V\"", "volts_dc = \"230 V\"", "volts_dc = \"9 V\", volts_ac = \"230 V\""]
    {
        let foreign = format!("{{ when = \"live\", {foreign} }}");
        let with = job(&[normal[0], normal[1], normal[2], &foreign]);
        let with = survey(&with, &habits, &OneByOne);
        assert_eq!(with.boards, alone.boards, "{foreign}");
    }
}

#[test]
fn volts_are_named_where_they_were_read() {
    let text = |found: &str| said(found).0.unwrap_or_default();
    let earth = text("{ when = \"earth-a\", volts_ac = \"60 V\" }");
    assert!(earth.contains("V AC from leg a to earth"), "{earth}");
    assert!(text("{ when = \"earth-b\", volts_dc = \"5 V\" }").contains("from leg b to earth"));
    assert!(text("{ when = \"rest\", volts_dc = \"13.7 V\" }").contains("on this pair"));
    // The larger one is named.
    let both = "{ when = \"rest\", volts_dc = \"5 V\" }, { when = \"earth-a\", volts_dc = \"9 V\" }";
    assert!(text(both).contains("from leg a to earth"));
}

/// What a candidate shows only because something was missed or wrong is not written, and is named.
#[test]
fn what_was_only_missed_is_not_written() {
    let cases = [
        (
            "{ when = \"rest\", ohms = \"2.210k\" }, { when = \"pir\", ohms = \"open\" }, { when = \"door\", ohms = \"2.210k\" }",
            "tripped 2.21k",
        ),
        (
            "{ when = \"rest\", ohms = \"2.210k\" }, { when = \"tripped\", ohms = \"open\" }, { when = \"tripped\", ohms = \"2.210k\" }",
            "tripped 2.21k",
        ),
        (
            "{ when = \"rest\", ohms = \"2.210k\" }, { when = \"rest\", ohms = \"open\" }, { when = \"tripped\", ohms = \"open\" }",
            "at rest over range",
        ),
    ];
    for (found, reading) in cases {
        let (job, habits) = (job(&[found]), habits());
        let survey = survey(&job, &habits, &OneByOne);
        let pair: &Pair = &survey.pairs[0];
        let network = network_of(&survey.setting, &job, pair);
        assert!(network.is_none(), "{found}: {}", network.map_or(String::new(), |one| one.written()));
        let remarks = remarks(&survey, pair).join(" ");
        assert!(remarks.contains(reading) && remarks.contains("Read that again"), "{found}: {remarks}");
    }
}

/// A detector that was read without and with its supply has a story of its own.
#[test]
fn what_hung_open_for_want_of_a_supply_is_written() {
    let found = "{ when = \"rest\", ohms = \"open\" }, { when = \"rest\", ohms = \"2.21k\", fed = true }, \
                 { when = \"pir\", ohms = \"open\", fed = true }, { when = \"rest\", ohms = \"2.21k\", fed = true }";
    let (job, habits) = (job(&[found]), habits());
    let survey = survey(&job, &habits, &OneByOne);
    let pair = &survey.pairs[0];
    let network = network_of(&survey.setting, &job, pair).map(|one| one.written());
    assert_eq!(network.as_deref(), Some("wire:4..90m - nc:pir - 2.2k"), "{:?}", &pair.ranking.all[..2]);
}

/// What nothing can show is unlike anything, and leaves the others alone.
#[test]
fn what_nothing_can_show_says_nothing_of_the_building() {
    let eol = "{ when = \"rest\", ohms = \"2.21k\" }, { when = \"door\", ohms = \"open\" }";
    let habits = habits();
    let alone = job(&[eol, eol]);
    let alone = survey(&alone, &habits, &OneByOne);
    for shown in ["50M", "0.0001 ohm"] {
        let found = format!("{{ when = \"rest\", ohms = \"{shown}\" }}");
        let with = job(&[eol, eol, &found]);
        let with = survey(&with, &habits, &OneByOne);
        let pair = &with.pairs[2];
        assert_eq!(pair.ranking.listed().len(), 1, "{shown}: {:?}", pair.ranking.listed());
        assert_eq!(pair.ranking.listed()[0].wiring.word(), "unlike-any", "{shown}");
        assert!(pair.ranking.other() < 1e-9 && !pair.ranking.settled, "{shown}");
        let remarks = remarks(&with, pair).join(" ");
        assert!(remarks.contains("No wiring that is known here explains"), "{shown}: {remarks}");
        assert!((with.building.worse() - alone.building.worse()).abs() < 1e-12, "{shown}");
        let first = |survey: &identify::Survey| survey.pairs[0].ranking.all[0].probability;
        assert!((first(&with) - first(&alone)).abs() < 1e-12, "{shown}");
    }
}

/// What was found and switched off refuses nothing any more; of each condition and kind the reading that came last counts.
#[test]
fn volts_and_legs_count_as_they_were_read_last() {
    for (foreign, again) in [
        ("{ when = \"rest\", volts_ac = \"12 V\" }", "{ when = \"rest\", volts_ac = \"0.1 V\" }"),
        ("{ when = \"rest\", volts_dc = \"unstable\" }", "{ when = \"rest\", volts_dc = \"0.1 V\" }"),
        ("{ when = \"earth-a\", ohms = \"10k\" }", "{ when = \"earth-a\", ohms = \"open\" }"),
    ] {
        let ohms = "{ when = \"rest\", ohms = \"2.2k\" }, { when = \"tripped\", ohms = \"open\" }";
        assert!(said(&format!("{foreign}, {ohms}")).0.is_some(), "{foreign}");
        assert_eq!(said(&format!("{foreign}, {again}, {ohms}")).0, None, "{foreign}");
        assert!(said(&format!("{again}, {foreign}, {ohms}")).0.is_some(), "{foreign}");
        let other = again.replace("rest", "reversed").replace("earth-a", "earth-b");
        assert!(said(&format!("{foreign}, {other}, {ohms}")).0.is_some(), "{foreign}: another condition");
    }
}
