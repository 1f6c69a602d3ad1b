//! Whole tables and entries of lists put into the text and taken out: what stays, what is refused, the way back.

use document::Source;
use job::{Change, ChangeError, Job, Place, Plain, TableRef};
use proptest::prelude::*;

const EXAMPLE: &str = include_str!("format_example.toml");

fn text(text: &str) -> Plain {
    Plain::Text(text.to_owned())
}

fn module(id: &str) -> Change {
    let keys = [("id", text(id)), ("profile", text("input-8"))];
    Change::new_table(TableRef::named("module", id), Plain::table(keys))
}

fn reading(when: &str, ohms: &str) -> Plain {
    Plain::table([("when", text(when)), ("ohms", text(ohms))])
}

fn entry(tag: &str, at: usize, from: Option<Plain>, to: Option<Plain>) -> Change {
    Change { at: Place::Entry(TableRef::named("circuit", tag), "found".to_owned(), at), from, to }
}

/// What takes out that which stands there.
fn out(at: Place, before: &str) -> Change {
    let from = at.standing(&Source::new("job.toml", before));
    assert!(from.is_some(), "{at} is not there");
    Change { at, from, to: None }
}

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
fn a_new_table_stands_behind_those_of_its_kind() {
    let before =
        "format = 1\n\n[[module]]\nid = \"M1\" # old\n\n# the circuits\n[[circuit]]\ntag = \"C01\"\n";
    let after = applied(&module("M2"), before);
    let new = "\n[[module]]\nid = \"M2\"\nprofile = \"input-8\"\n";
    assert_eq!(after, before.replace("# old\n", &format!("# old\n{new}")));
    assert_eq!(applied(&module("M2").inverse(), &after), before, "there and back");
}

#[test]
fn the_first_of_its_kind_stands_behind_what_the_format_has_before_it() {
    let before = "format = 1\r\n[[enclosure]]\r\nid = \"E1\"\r\n[[circuit]]\r\ntag = \"C01\"\r\n";
    let after = applied(&module("M1"), before);
    let new = "\r\n[[module]]\r\nid = \"M1\"\r\nprofile = \"input-8\"\r\n";
    assert_eq!(after, before.replace("\"E1\"\r\n", &format!("\"E1\"\r\n{new}")));
    assert_eq!(applied(&module("M1").inverse(), &after), before);
    assert_eq!(applied(&module("M1"), "format = 1"), format!("format = 1\n{}", new.replace('\r', "")));
}

#[test]
fn a_table_that_stands_once() {
    let site = Plain::table([("name", text("Tithe Barn")), ("rules", Plain::List(vec![text("us-fire")]))]);
    let change = Change::new_table(TableRef::single("site"), site);
    let after = applied(&change, "format = 1\n");
    assert_eq!(after, "format = 1\n\n[site]\nname = \"Tithe Barn\"\nrules = [\"us-fire\"]\n");
    assert_eq!(applied(&change.inverse(), &after), "format = 1\n");
    let braces = "meter = { leads = \"0.2 ohm\" } # mine\nformat = 1\n";
    assert_eq!(applied(&out(Place::Table(TableRef::single("meter")), braces), braces), "format = 1\n");
    let dotted = "site.name = \"a\"\nformat = 1\nsite.units = \"us\"\n";
    assert_eq!(applied(&out(Place::Table(TableRef::single("site")), dotted), dotted), "format = 1\n");
}

#[test]
fn tables_in_a_list_of_braces() {
    let before = "format = 1\nmodule = [\n  { id = \"M1\" }, # first\n  { id = \"M3\" } # third\n]\n";
    let after = applied(&module("M2"), before);
    let new = "{ id = \"M3\" }, # third\n  { id = \"M2\", profile = \"input-8\" }\n]";
    assert_eq!(after, before.replace("{ id = \"M3\" } # third\n]", new));
    assert_eq!(applied(&module("M2").inverse(), &after), before);
    let first = out(Place::Table(TableRef::named("module", "M1")), before);
    assert_eq!(applied(&first, before), before.replace("{ id = \"M1\" }, # first", "# first"));
}

#[test]
fn a_table_with_a_header_below_it_goes_whole_and_its_neighbours_stay() {
    let before = "format = 1\n# all\n\n# one\n[[circuit]]\ntag = \"C01\"\n# inside\n[circuit.means]\nopen = \"alarm\" # why\n\n# two\n[[circuit]]\ntag = \"C02\"\n[site]\nname = \"x\"\n";
    let one = out(Place::Table(TableRef::named("circuit", "C01")), before);
    let after = applied(&one, before);
    assert_eq!(
        after,
        "format = 1\n# all\n\n# one\n\n# two\n[[circuit]]\ntag = \"C02\"\n[site]\nname = \"x\"\n"
    );
    let put = applied(&one.inverse(), &after);
    assert!(put.ends_with(
        "\"C02\"\n\n[[circuit]]\ntag = \"C01\"\nmeans = { open = \"alarm\" }\n[site]\nname = \"x\"\n"
    ));
}

#[test]
fn an_entry_of_a_list_in_its_own_manner() {
    let job = |found: &str| format!("format = 1\n[[circuit]]\ntag = \"C01\"\nfound = {found} # seen\n");
    let rest = reading("rest", "2.21k");
    let new = "{ when = \"rest\", ohms = \"2.21k\" }";
    for (at, before, after) in [
        (0, "[]", "[ NEW ]".to_owned()),
        (0, "[ # none yet\n]", "[ NEW # none yet\n]".to_owned()),
        (
            1,
            "[ { when = \"tripped\", ohms = \"open\" } ]",
            "[ { when = \"tripped\", ohms = \"open\" }, NEW ]".to_owned(),
        ),
        (
            1,
            "[{ when = \"tripped\", ohms = \"open\" },]",
            "[{ when = \"tripped\", ohms = \"open\" }, NEW,]".to_owned(),
        ),
        (
            0,
            "[ { when = \"tripped\", ohms = \"open\" } ]",
            "[ NEW, { when = \"tripped\", ohms = \"open\" } ]".to_owned(),
        ),
        (
            1,
            "[\n  { when = \"tripped\", ohms = \"open\" }, # a, b\n]",
            "[\n  { when = \"tripped\", ohms = \"open\" }, # a, b\n  NEW,\n]".to_owned(),
        ),
        (
            1,
            "[\n  { when = \"tripped\", ohms = \"open\" } # a, b\n  # end\n]",
            "[\n  { when = \"tripped\", ohms = \"open\" }, # a, b\n  NEW\n  # end\n]".to_owned(),
        ),
        (
            0,
            "[\n\t{ when = \"tripped\", ohms = \"open\" } ]",
            "[\n\tNEW,\n\t{ when = \"tripped\", ohms = \"open\" } ]".to_owned(),
        ),
    ] {
        let change = entry("C01", at, None, Some(rest.clone()));
        let is = applied(&change, &job(before));
        assert_eq!(is, job(&after.replace("NEW", new)));
        assert_eq!(applied(&change.inverse(), &is), job(before), "there and back");
        let swapped = entry("C01", at, Some(rest.clone()), Some(reading("rest", "2.3k")));
        assert_eq!(applied(&swapped, &is), is.replace("2.21k", "2.3k"));
    }
    let bare = "format = 1\n[[circuit]]\ntag = \"C01\"\n";
    assert_eq!(
        applied(&entry("C01", 0, None, Some(rest.clone())), bare),
        format!("{bare}found = [ {new} ]\n")
    );
    let late = refused(&entry("C01", 2, None, Some(rest)), &job("[]"));
    assert_eq!(
        late.to_string(),
        "the change would break the file: `found` of circuit C01 has 0 entries, none before number 3"
    );
}

#[test]
fn entries_that_stand_under_headers() {
    let before = "format = 1\n[[circuit]]\ntag = \"C01\"\n\n[[circuit.found]]\nwhen = \"rest\"\nohms = \"2.2k\" # steady\n\n[[circuit]]\ntag = \"C02\"\n";
    let new = entry("C01", 1, None, Some(reading("tripped", "open")));
    let after = applied(&new, before);
    assert_eq!(
        after,
        before.replace("steady\n", "steady\n\n[[circuit.found]]\nwhen = \"tripped\"\nohms = \"open\"\n")
    );
    assert_eq!(applied(&new.inverse(), &after), before);
    let swapped = entry("C01", 0, Some(reading("rest", "2.2k")), Some(reading("rest", "open")));
    assert_eq!(applied(&swapped, before), before.replace("2.2k", "open"));
}

#[test]
fn several_at_once_count_one_after_the_other() {
    let before = "format = 1\n[[enclosure]]\nid = \"E1\"\n[[circuit]]\ntag = \"C01\"\n[[circuit]]\ntag = \"C02\"\ninput = \"M1.1\"\n[[module]]\nid = \"M1\"\n";
    let input = |tag: &str, from: Option<&str>, to: &str| {
        Change::key(TableRef::named("circuit", tag), "input", from.map(text), Some(text(to)))
    };
    let changes = [
        entry("C01", 0, None, Some(reading("rest", "2.2k"))),
        entry("C01", 1, None, Some(reading("tripped", "open"))),
        input("C01", None, "M2.1"),
        input("C02", Some("M1.1"), "M2.2"),
        module("M2"),
        out(Place::Table(TableRef::named("module", "M1")), before),
    ];
    let applied = Change::apply_all(&changes, &Source::new("job.toml", before)).unwrap();
    let job = Job::read(&Source::new("job.toml", applied.text.clone())).unwrap();
    assert_eq!(job.modules.len(), 1);
    assert_eq!(job.circuits[0].found.len(), 2);
    assert_eq!(applied.undo.restore(&applied.text).as_deref(), Some(before));
    let alone = refused(&changes[5], before);
    assert!(matches!(&alone, ChangeError::Breaks { text } if text.contains("no module `M1`")), "{alone}");
}

#[test]
fn what_is_refused() {
    let before = "format = 1\n[[module]]\nid = \"M1\"\nmode = \"wide\"\n[[circuit]]\ntag = \"C01\"\nfound = [ { when = \"rest\", ohms = \"open\" } ]\n";
    let stale = Change {
        at: Place::Table(TableRef::named("module", "M1")),
        from: Some(Plain::table([("id", text("M1"))])),
        to: None,
    };
    let error = refused(&stale, before);
    assert!(matches!(error, ChangeError::Conflict { .. }), "{error}");
    let there = refused(&module("M1"), before);
    assert!(matches!(there, ChangeError::Conflict { .. }), "{there}");
    let gone = refused(&module("M7").inverse(), before);
    assert_eq!(gone.to_string(), "the file has no module M7");
    let misnamed = Change::new_table(TableRef::named("module", "M2"), Plain::table([("id", text("M3"))]));
    assert_eq!(
        refused(&misnamed, before).to_string(),
        "the change would break the file: the `id` of the new table is not `M2`"
    );
    let unknown = Change::new_table(TableRef::single("colour"), Plain::table([]));
    assert_eq!(refused(&unknown, before).to_string(), "the format has no table to be called [colour]");
    let many = Change::new_table(TableRef::single("module"), Plain::table([]));
    assert!(matches!(refused(&many, before), ChangeError::NoSuchTable { .. }));
    let keys = Change::new_table(
        TableRef::named("module", "M2"),
        Plain::table([("id", text("M2")), ("colour", text("red"))]),
    );
    assert!(matches!(refused(&keys, before), ChangeError::Breaks { .. }));
    let other = entry("C01", 0, Some(reading("rest", "2.2k")), None);
    let error = refused(&other, before);
    assert!(error.to_string().starts_with("entry 1 of `found` of circuit C01 is the table {"), "{error}");
    let no_list = Change {
        at: Place::Entry(TableRef::named("circuit", "C01"), "tag".to_owned(), 0),
        from: None,
        to: Some(text("x")),
    };
    assert!(refused(&no_list, before).to_string().contains("`tag` of circuit C01 is no list"));
}

/// A list of readings in one of the ways that people write lists.
fn lists() -> impl Strategy<Value = String> {
    let item =
        prop::sample::select(vec!["{ when = \"rest\", ohms = \"2.2k\" }", "{when='tripped',ohms='open'}"]);
    let remark = prop::sample::select(vec!["", " # a, [b]", "  "]);
    let items = prop::collection::vec((item, remark), 0..4);
    (items, any::<bool>(), any::<bool>()).prop_map(|(items, lines, trailing)| {
        let mut out = String::from("[");
        let count = items.len();
        for (at, (item, remark)) in items.into_iter().enumerate() {
            let comma = if at + 1 < count || trailing { "," } else { "" };
            match lines {
                true => out.push_str(&format!("\n  {item}{comma}{remark}")),
                false => out.push_str(&format!(" {item}{comma}")),
            }
        }
        out.push_str(if lines { "\n]" } else { "]" });
        out
    })
}

/// The remarks of a text: what no change may lose.
fn remarks(text: &str) -> Vec<String> {
    text.lines().filter_map(|line| line.split_once('#')).map(|(_, remark)| remark.trim().to_owned()).collect()
}

proptest! {
    /// Put in and taken out, at any number: the undo gives the bytes back, the inverse the values; no remark is lost.
    #[test]
    fn an_entry_there_and_back(list in lists(), at in 0_usize..5, put in any::<bool>(), end in prop::sample::select(vec!["\n", "\r\n"])) {
        let before = format!("format = 1\n[[circuit]]\ntag = \"C01\"\nfound = {list} # seen\nzone = 7\n").replace('\n', end);
        let source = Source::new("job.toml", before.clone());
        let place = Place::Entry(TableRef::named("circuit", "C01"), "found".to_owned(), at);
        let stands = place.standing(&source);
        let change = match (put, stands) {
            (false, Some(stands)) => Change { at: place, from: Some(stands), to: None },
            _ => Change { at: place, from: None, to: Some(reading("opened", "open")) },
        };
        let count = Job::read(&source).unwrap().circuits[0].found.len();
        match change.apply(&source) {
            Err(error) => prop_assert!(at > count, "{}", error),
            Ok(there) => {
                prop_assert_eq!(there.undo.restore(&there.text), Some(before.clone()));
                prop_assert_eq!(remarks(&there.text), remarks(&before));
                let back = change.inverse().apply(&Source::new("job.toml", there.text.clone())).unwrap();
                prop_assert_eq!(remarks(&back.text), remarks(&before));
                let readings = |text: &str| Job::read(&Source::new("", text)).unwrap().circuits[0].found.len();
                prop_assert_eq!(readings(&back.text), count);
                if change.from.is_none() && count > 0 {
                    prop_assert_eq!(back.text, before, "a new entry taken out again");
                }
            }
        }
    }

    /// Every table of the example: taken out and undone, or refused because something names it; put back it says the same.
    #[test]
    fn any_table_taken_out_and_put_back(
        (kind, id) in prop::sample::select(vec![
            ("circuit", "C07"), ("module", "M1"), ("device", "D3"), ("supply", "P1"), ("output", "M1.S1"),
            ("cable", "K12"), ("enclosure", "E1"), ("site", ""), ("fire", ""), ("meter", ""), ("panel", ""),
        ]),
    ) {
        let table = if id.is_empty() { TableRef::single(kind) } else { TableRef::named(kind, id) };
        let source = Source::new("job.toml", EXAMPLE);
        let change = out(Place::Table(table.clone()), EXAMPLE);
        match change.apply(&source) {
            Err(error) => prop_assert!(matches!(error, ChangeError::Breaks { .. }), "{}", error),
            Ok(there) => {
                prop_assert_eq!(there.undo.restore(&there.text), Some(EXAMPLE.to_owned()));
                prop_assert_eq!(Place::Table(table.clone()).standing(&Source::new("", there.text.clone())), None);
                let back = change.inverse().apply(&Source::new("job.toml", there.text)).unwrap();
                let stands = Place::Table(table).standing(&Source::new("", back.text)).unwrap();
                prop_assert_eq!(stands.difference(change.from.as_ref().unwrap()), None);
            }
        }
    }
}
