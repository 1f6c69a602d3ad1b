//! Changes put into the text: what stays, what is refused, and the way back.

use document::Source;
use job::{Change, ChangeError, Job, Plain, TableRef};
use proptest::prelude::*;

const EXAMPLE: &str = include_str!("format_example.toml");

fn circuit(tag: &str) -> TableRef {
    TableRef::named("circuit", tag)
}

fn text(text: &str) -> Option<Plain> {
    Some(Plain::Text(text.to_owned()))
}

fn change(table: TableRef, key: &str, from: Option<Plain>, to: Option<Plain>) -> Change {
    Change::key(table, key, from, to)
}

/// Applies a change that must be possible, checks the way back, and returns the new text.
fn applied(change: &Change, before: &str) -> String {
    let applied =
        change.apply(&Source::new("job.toml", before)).unwrap_or_else(|error| panic!("{error}\n{before}"));
    assert_eq!(applied.undo.restore(&applied.text).as_deref(), Some(before));
    applied.text
}

fn refused(change: &Change, before: &str) -> ChangeError {
    change.apply(&Source::new("job.toml", before)).expect_err("it had to be refused")
}

#[test]
fn a_value_is_replaced_where_it_stands() {
    let before = "format = 1 # one\r\n[[circuit]]\r\ntag = \"C01\"\r\n  input   =  'M1.7' # was 8\r\n\r\n[[module]]\r\nid = \"M1\"\r\n";
    let to_3 = change(circuit("C01"), "input", text("M1.7"), text("M1.3"));
    let after = applied(&to_3, before);
    assert_eq!(after, before.replace("'M1.7'", "\"M1.3\""));
    assert_eq!(
        applied(&to_3.inverse(), &after),
        before.replace("'M1.7'", "\"M1.7\""),
        "the value, in our spelling"
    );
}

#[test]
fn a_new_key_goes_to_the_end_of_its_own_table() {
    let before = "format = 1\n\n[[circuit]]\ntag = \"C01\"   # first\n    # a remark\n\n[[circuit]]\ntag = \"C02\"\n[circuit.means]\nshort = \"trouble\"";
    let after = applied(&change(circuit("C01"), "zone", None, Some(Plain::Integer(7))), before);
    assert_eq!(after, before.replace("# first\n", "# first\nzone = 7\n"));
    let after = applied(&change(circuit("C02"), "zone", None, Some(Plain::Integer(8))), before);
    assert_eq!(
        after,
        before.replace("\"C02\"\n", "\"C02\"\nzone = 8\n"),
        "above the table of its own header"
    );
}

#[test]
fn a_new_key_takes_the_line_ends_and_the_indentation_of_its_table() {
    let before = "format = 1\r\n[[circuit]]\r\n\ttag = \"C01\"\r\n";
    let after = applied(&change(circuit("C01"), "zone", None, Some(Plain::Integer(7))), before);
    assert_eq!(after, format!("{before}\tzone = 7\r\n"));
    let before = "format = 1\n[[circuit]]\ntag = \"C01\"";
    let after = applied(&change(circuit("C01"), "zone", None, Some(Plain::Integer(7))), before);
    assert_eq!(after, format!("{before}\nzone = 7"), "no line end at the end of the file");
}

#[test]
fn a_new_key_may_say_how_it_is_known() {
    let noted = |before: &str| {
        let change = change(circuit("C01"), "network", None, text("nc:a - 2.2k"));
        let noted = job::Noted { change, note: "inferred,\n97 %".to_owned() };
        let applied = job::Noted::apply_all(&[noted], &Source::new("job.toml", before)).unwrap();
        assert_eq!(applied.undo.restore(&applied.text).as_deref(), Some(before));
        applied.text
    };
    let before = "format = 1\n[[circuit]]\ntag = \"C01\"\n";
    assert_eq!(noted(before), format!("{before}network = \"nc:a - 2.2k\"  # inferred, 97 %\n"));
    let before = "format = 1\ncircuit = [{ tag = \"C01\" }]\n";
    let after = before.replace("\" }", "\", network = \"nc:a - 2.2k\" }");
    assert_eq!(noted(before), after, "no room for a comment in braces");
}

#[test]
fn a_removed_key_leaves_its_comment() {
    let before =
        "format = 1\n[[circuit]]\ntag = \"C01\"\nzone = 7\nplace = \"hall\" # by the lift\nwas = \"7\"\n";
    let after = applied(&change(circuit("C01"), "zone", Some(Plain::Integer(7)), None), before);
    assert_eq!(after, before.replace("zone = 7\n", ""));
    let after = applied(&change(circuit("C01"), "place", text("hall"), None), before);
    assert_eq!(after, before.replace("place = \"hall\" # by", "# by"));
}

#[test]
fn tables_in_braces_and_dotted_keys() {
    let before = "format = 1\nmeter = { leads = \"0.2 ohm\" }\nsite.name = \"a\"\ncircuit = [ { tag = \"C01\", zone = 1 }, { tag = \"C02\" } ]\nfire = {}\n";
    let leads = change(TableRef::single("meter"), "ohms", None, text("1 % + 2 digits"));
    assert!(applied(&leads, before).contains("{ leads = \"0.2 ohm\", ohms = \"1 % + 2 digits\" }"));
    let units = change(TableRef::single("site"), "units", None, text("us"));
    assert!(applied(&units, before).contains("site.name = \"a\"\nsite.units = \"us\"\n"));
    let zone = change(circuit("C02"), "zone", None, Some(Plain::Integer(2)));
    assert!(applied(&zone, before).contains("{ tag = \"C02\", zone = 2 }"));
    let zone = change(circuit("C01"), "zone", Some(Plain::Integer(1)), None);
    assert!(applied(&zone, before).contains("[ { tag = \"C01\" }, {"));
    let fire = change(TableRef::single("fire"), "required", None, text("no"));
    assert!(applied(&fire, before).contains("fire = { required = \"no\" }"));
}

#[test]
fn a_table_that_is_not_there_is_put_at_the_end() {
    let decided = change(TableRef::single("fire"), "decision", None, text("fire marshal, letter of 3 May"));
    assert_eq!(
        applied(&decided, "format = 1"),
        "format = 1\n\n[fire]\ndecision = \"fire marshal, letter of 3 May\"\n"
    );
    let both = [decided, change(TableRef::single("fire"), "required", None, text("no"))];
    let applied = Change::apply_all(&both, &Source::new("job.toml", "format = 1\r\n")).unwrap();
    assert!(applied.text.ends_with(
        "\r\n\r\n[fire]\r\ndecision = \"fire marshal, letter of 3 May\"\r\nrequired = \"no\"\r\n"
    ));
    assert_eq!(applied.undo.restore(&applied.text).unwrap(), "format = 1\r\n");
}

#[test]
fn text_of_any_kind_is_written_so_that_it_reads_back() {
    let words = "a \"quoted\" \\ back\\slash\n\ttab, \u{1} and t\u{fc}r";
    let before = "format = 1\n[[circuit]]\ntag = \"C01\"\n";
    let after = applied(&change(circuit("C01"), "other", None, text(words)), before);
    assert_eq!(Job::read(&Source::new("x", after)).unwrap().circuits[0].other.as_deref(), Some(words));
}

#[test]
fn all_changes_of_a_set_or_none() {
    let before = "format = 1\n[[module]]\nid = \"M1\"\n[[circuit]]\ntag = \"C01\"\ninput = \"M1.1\"\n[[circuit]]\ntag = \"C02\"\ninput = \"M1.2\"\n";
    let swap = [
        change(circuit("C01"), "input", text("M1.1"), text("M1.2")),
        change(circuit("C02"), "input", text("M1.2"), text("M1.1")),
    ];
    let source = Source::new("job.toml", before);
    let applied = Change::apply_all(&swap, &source).unwrap();
    assert!(
        applied.text.contains("\"C01\"\ninput = \"M1.2\"")
            && applied.text.contains("\"C02\"\ninput = \"M1.1\"")
    );
    assert_eq!(applied.undo.restore(&applied.text).unwrap(), before);
    // one alone would put two circuits on one input
    let error = refused(&swap[0], before);
    assert!(matches!(&error, ChangeError::Breaks { text } if text.contains("already")), "{error}");
}

#[test]
fn what_is_refused() {
    let before =
        "format = 1\n[[circuit]]\ntag = \"C01\"\ninput = \"M1.7\"\nzone = 7\n[[module]]\nid = \"M1\"\n";
    let stale = refused(&change(circuit("C01"), "input", text("M1.6"), text("M1.5")), before);
    assert_eq!(
        stale.to_string(),
        "`input` of circuit C01 is the text M1.7, not the text M1.6: somebody changed it meanwhile"
    );
    let stands = refused(&change(circuit("C01"), "zone", None, Some(Plain::Integer(7))), before);
    assert!(matches!(stands, ChangeError::Conflict { .. }), "{stands}");
    let gone = refused(&change(circuit("C01"), "place", text("hall"), None), before);
    assert!(matches!(gone, ChangeError::Conflict { .. }), "{gone}");
    let kind = refused(&change(circuit("C01"), "zone", text("7"), None), before);
    assert!(matches!(kind, ChangeError::Conflict { .. }), "a number is no text: {kind}");
    let table = refused(&change(circuit("C09"), "zone", None, None), before);
    assert_eq!(table.to_string(), "the file has no circuit C09");
    let key = refused(&change(circuit("C01"), "colour", None, text("red")), before);
    assert_eq!(key.to_string(), "circuit C01 can have no `colour`");
    let network = refused(&change(circuit("C01"), "network", None, text("4.7")), before);
    assert!(matches!(&network, ChangeError::Breaks { text } if text.contains("unit")), "{network}");
    let tag = refused(&change(circuit("C01"), "tag", text("C01"), None), before);
    assert!(matches!(tag, ChangeError::Breaks { .. }), "{tag}");
    let broken =
        refused(&change(circuit("C01"), "zone", Some(Plain::Integer(7)), None), &format!("{before}x"));
    assert!(matches!(broken, ChangeError::Unreadable { .. }), "{broken}");
    let twice = change(circuit("C01"), "zone", Some(Plain::Integer(7)), None);
    let error = Change::apply_all(&[twice.clone(), twice], &Source::new("x", before)).unwrap_err();
    assert!(matches!(error, ChangeError::Twice { .. }), "{error}");
}

/// A job text with comments, blanks and both kinds of line ends, and a change that fits it.
fn texts() -> impl Strategy<Value = String> {
    let line_end = prop::sample::select(vec!["\n", "\r\n"]);
    let remark = prop::sample::select(vec!["", " # remark", "   ", "\t# \"quoted\" = [1]"]);
    let lines = prop::sample::subsequence(
        vec!["place = 'hall'", "was = \"zone 7\"", "zone = 0x07", "other = \"\"\"\nx\n\"\"\""],
        0..=4,
    );
    let after = prop::sample::select(vec![
        "",
        "# end",
        "[meter]\nleads = \"0.2 ohm\"\n",
        "\n\n[[circuit]]\ntag = \"C02\"",
    ]);
    (line_end, remark, lines, after).prop_map(|(end, remark, lines, after)| {
        let mut text = format!("# job\nformat = 1{remark}\n\n[[circuit]]{remark}\ntag = \"C01\"{remark}\n");
        for line in lines {
            text.push_str(&format!("{line}{remark}\n"));
        }
        text.push_str(after);
        text.replace('\n', end)
    })
}

fn new_values() -> impl Strategy<Value = (&'static str, Option<Plain>)> {
    prop_oneof![
        ("\\PC{0,20}").prop_map(|words| ("place", Some(Plain::Text(words)))),
        ("\\PC{0,20}").prop_map(|words| ("was", Some(Plain::Text(words)))),
        (1..1000_i64).prop_map(|number| ("zone", Some(Plain::Integer(number)))),
        Just(("other", text("two\nlines"))),
        prop::sample::select(vec!["place", "was", "zone", "other"]).prop_map(|key| (key, None)),
    ]
}

/// What stands in C01 under a key, as a change must expect it.
fn standing(source: &Source, key: &str) -> Option<Plain> {
    let job = Job::read(source).expect("a good job");
    let circuit = &job.circuits[0];
    let given = source.text().split("[meter]").next().unwrap_or("").contains(&format!("{key} = "));
    match key {
        _ if !given => None,
        "place" => text(&circuit.place),
        "was" => text(&circuit.was),
        "zone" => circuit.zone.map(|zone| Plain::Integer(zone.into())),
        _ => circuit.other.clone().map(Plain::Text),
    }
}

proptest! {
    /// There and back: by the way back byte for byte, by the inverse value for value; and the second time
    /// there gives the same bytes as the first.
    #[test]
    fn a_change_and_its_way_back_give_the_same_bytes(before in texts(), (key, to) in new_values()) {
        let source = Source::new("job.toml", before.clone());
        let change = change(circuit("C01"), key, standing(&source, key), to);
        let there = change.apply(&source).unwrap();
        prop_assert_eq!(there.undo.restore(&there.text), Some(before.clone()));
        let back = change.inverse().apply(&Source::new("job.toml", there.text.clone())).unwrap();
        prop_assert_eq!(back.undo.restore(&back.text), Some(there.text.clone()));
        if change.from.is_none() {
            prop_assert_eq!(&back.text, &before, "a new key taken out again");
        }
        let again = change.apply(&Source::new("job.toml", back.text.clone())).unwrap();
        let back_again = change.inverse().apply(&Source::new("job.toml", again.text)).unwrap();
        prop_assert_eq!(back_again.text, back.text, "in our own spelling there and back is exact");
    }

    /// Any value at any place of the example: done and undone, or refused; never anything else.
    #[test]
    fn any_change_is_made_or_refused(
        kind in prop::sample::select(vec!["circuit", "module", "device", "supply", "output", "cable", "enclosure", "x"]),
        id in prop::sample::select(vec!["C07", "M1", "D3", "P1", "M1.S1", "K12", "E1"]),
        key in prop::sample::select(vec!["place", "zone", "input", "found", "means", "runs", "profile", "id", "tag", "fed_by"]),
        from in prop::option::of("[A-Z0-9.a-z-]{0,8}"),
        to in prop::option::of("[A-Z0-9.a-z\"\\\\#-]{0,8}"),
    ) {
        let change = change(TableRef::named(kind, id), key, from.map(Plain::Text), to.map(Plain::Text));
        if let Ok(applied) = change.apply(&Source::new("job.toml", EXAMPLE)) {
            prop_assert_eq!(applied.undo.restore(&applied.text), Some(EXAMPLE.to_owned()));
            prop_assert!(Job::read(&Source::new("job.toml", applied.text)).is_ok());
        }
    }
}

/// A table that is called anew goes back to its old name, with what was changed of it before.
#[test]
fn a_table_called_anew_gets_its_old_name_back() {
    let before = "format = 1\n[[circuit]]\ntag = \"C01\" # first\n[[circuit]]\ntag = \"C02\"\n";
    let changes = [
        change(circuit("C01"), "place", None, text("gate")),
        change(circuit("C01"), "tag", text("C01"), text("F 1")),
        change(circuit("F 1"), "zone", None, Some(Plain::Integer(3))),
    ];
    let applied = Change::apply_all(&changes, &Source::new("", before)).expect("all three");
    assert!(applied.text.contains("tag = \"F 1\" # first\nplace = \"gate\"\nzone = 3\n"), "{}", applied.text);
    let back: Vec<Change> = changes.iter().rev().map(Change::inverse).collect();
    let applied = Change::apply_all(&back, &Source::new("", applied.text.as_str())).expect("all three back");
    assert_eq!(applied.text, before);
}

/// What would break the file is drafted all the same, so that it can be said where.
#[test]
fn a_draft_may_be_no_job() {
    let before = "format = 1\n[[module]]\nid = \"M1\"\n[[circuit]]\ntag = \"C01\"\ninput = \"M1.1\"\n";
    let out = [Change {
        at: job::Place::Table(TableRef::named("module", "M1")),
        from: Some(Plain::table([("id", Plain::Text("M1".to_owned()))])),
        to: None,
    }];
    let source = Source::new("", before);
    assert!(matches!(Change::apply_all(&out, &source), Err(ChangeError::Breaks { .. })));
    let draft = Change::drafted(&out, &source).expect("a text");
    let problems = Job::read(&Source::new("", draft)).expect_err("M1 is gone");
    assert!(problems[0].text.contains("no module `M1`"), "{}", problems[0].text);
    let stale = [Change { from: Some(Plain::table([])), ..out[0].clone() }];
    assert!(matches!(Change::drafted(&stale, &source), Err(ChangeError::Conflict { .. })));
}
