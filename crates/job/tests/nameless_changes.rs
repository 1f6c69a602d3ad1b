//! Tables that stand many times and have no name are entries of a list of the document: put in, changed key by key, taken
//! out, put back between those that they stood between.

use document::Source;
use job::{Change, ChangeError, Job, Place, Plain, TableRef};
use proptest::prelude::*;

const EXAMPLE: &str = include_str!("format_example.toml");
const VAN: &str = "format = 1\n\n[[van]]\npart = \"resistor\" # of the blue box\nvalue = \"2.2k\"\ncount = 25\n\n# nearly out\n[[van]]\npart = \"ferrule\"\ncount = 9\n\n[quotation]\ncustomer = \"x\"\n";

fn stock(part: &str, count: i64) -> Plain {
    Plain::table([("part", Plain::Text(part.to_owned())), ("count", Plain::Integer(count))])
}

fn entry(list: &str, at: usize, from: Option<Plain>, to: Option<Plain>) -> Change {
    Change { at: Place::Entry(TableRef::document(), list.to_owned(), at), from, to }
}

fn standing(list: &str, at: usize, text: &str) -> Option<Plain> {
    Place::Entry(TableRef::document(), list.to_owned(), at).standing(&Source::new("job.toml", text))
}

fn applied(change: &Change, before: &str) -> String {
    let applied =
        change.apply(&Source::new("job.toml", before)).unwrap_or_else(|error| panic!("{error}\n{before}"));
    assert_eq!(applied.undo.restore(&applied.text).as_deref(), Some(before));
    assert!(Job::read(&Source::new("job.toml", applied.text.as_str())).is_ok());
    applied.text
}

#[test]
fn the_first_gets_a_header_of_its_own_and_the_last_takes_it_along() {
    let before = "format = 1\n\n[site]\nname = \"Yard\"\n";
    let put = entry("van", 0, None, Some(stock("ferrule", 9)));
    let after = applied(&put, before);
    assert_eq!(after, format!("{before}\n[[van]]\npart = \"ferrule\"\ncount = 9\n"));
    assert_eq!(applied(&put.inverse(), &after), before);
}

#[test]
fn only_the_key_that_changes_is_written_and_remarks_stay() {
    let from = standing("van", 0, VAN);
    let Some(Plain::Table(mut keys)) = from.clone() else { panic!("a table") };
    keys[2].1 = Plain::Integer(24);
    let after = applied(&entry("van", 0, from, Some(Plain::Table(keys))), VAN);
    assert_eq!(after, VAN.replace("count = 25", "count = 24"));
}

#[test]
fn what_is_put_back_stands_before_the_one_that_came_behind_it() {
    let from = standing("van", 0, VAN);
    let out = entry("van", 0, from, None);
    let without = applied(&out, VAN);
    assert!(!without.contains("resistor"), "{without}");
    // Others have written one more meanwhile, at the end.
    let more = applied(&entry("van", 1, None, Some(stock("label", 3))), &without);
    let back = applied(&out.inverse(), &more);
    let job = Job::read(&Source::new("job.toml", back.as_str())).expect("a job");
    let parts: Vec<&str> = job.van.iter().map(|one| one.part.as_str()).collect();
    assert_eq!(parts, ["resistor", "ferrule", "label"], "{back}");
    assert!(back.contains("count = 25\n\n# nearly out\n[[van]]\npart = \"ferrule\""), "{back}");
}

#[test]
fn nothing_else_of_the_document_is_changed_so() {
    let source = Source::new("job.toml", EXAMPLE);
    let document = TableRef::document;
    let key = Change::key(document(), "van", None, Some(Plain::List(Vec::new())));
    assert!(matches!(key.apply(&source), Err(ChangeError::NoKey { .. })));
    let whole = Change { at: Place::Table(document()), from: None, to: Some(stock("x", 1)) };
    assert!(matches!(whole.apply(&source), Err(ChangeError::NoSuchTable { .. })));
    let circuit = entry("circuit", 0, None, Some(stock("x", 1)));
    assert!(matches!(circuit.apply(&source), Err(ChangeError::NoKey { .. })));
    let stale = entry("van", 0, Some(stock("ferrule", 8)), None);
    let conflict = stale.apply(&Source::new("job.toml", VAN));
    assert!(matches!(conflict, Err(ChangeError::Conflict { .. })));
}

proptest! {
    /// The oracle is the reader: whatever is put in, taken out and changed, the van holds what a plain list would.
    #[test]
    fn a_van_is_a_list(edits in proptest::collection::vec((0_u8..3, 0_usize..8, 0_i64..99), 1..12)) {
        let mut text = VAN.to_owned();
        let mut wanted = vec![25_i64, 9];
        for (does, at, count) in edits {
            let at = at % (wanted.len() + usize::from(does == 0)).max(1);
            let from = standing("van", at, &text);
            let change = match does {
                0 => entry("van", at, None, Some(stock("label", count))),
                1 if !wanted.is_empty() => entry("van", at, from, None),
                2 if !wanted.is_empty() => entry("van", at, from, Some(stock("cable-tag", count))),
                _ => continue,
            };
            match does {
                0 => wanted.insert(at, count),
                1 => drop(wanted.remove(at)),
                _ => wanted[at] = count,
            }
            text = applied(&change, &text);
            let job = Job::read(&Source::new("job.toml", text.as_str())).expect("a job");
            let counts: Vec<i64> = job.van.iter().map(|one| i64::from(one.count)).collect();
            prop_assert_eq!(&counts, &wanted, "{}", text);
        }
    }
}

/// Weights of a cut-over are changed key by key, however their table is written.
#[test]
fn keys_of_the_table_inside_another_are_changed_where_it_stands() {
    let weights = || TableRef::single("cutover.weights");
    let key = |key: &str, from: Option<i64>, to: Option<i64>| {
        Change::key(weights(), key, from.map(Plain::Integer), to.map(Plain::Integer))
    };
    for (before, after) in [
        (
            "format = 1\n[cutover]\ncrew = 2\n",
            "format = 1\n[cutover]\ncrew = 2\n\n[cutover.weights]\nheat = 5\n",
        ),
        ("format = 1\n", "format = 1\n\n[cutover.weights]\nheat = 5\n"),
        (
            "format = 1\n[cutover]\nweights = { smoke = 20 } # mine\n",
            "format = 1\n[cutover]\nweights = { smoke = 20, heat = 5 } # mine\n",
        ),
        (
            "format = 1\n[cutover.weights]\nsmoke = 20 # mine\n[[van]]\npart = \"label\"\ncount = 1\n",
            "format = 1\n[cutover.weights]\nsmoke = 20 # mine\nheat = 5\n[[van]]\npart = \"label\"\ncount = 1\n",
        ),
    ] {
        assert_eq!(applied(&key("heat", None, Some(5)), before), after);
        let job = Job::read(&Source::new("job.toml", applied(&key("heat", Some(5), None), after).as_str()));
        assert!(job.is_ok_and(|job| !job.cutover.weights.contains_key(&job::Duty::Heat)));
    }
    let whole = Change { at: Place::Table(weights()), from: None, to: Some(stock("x", 1)) };
    assert!(matches!(whole.apply(&Source::new("", "format = 1\n")), Err(ChangeError::NoSuchTable { .. })));
    let unknown = key("cellar", None, Some(1)).apply(&Source::new("", "format = 1\n"));
    assert!(matches!(unknown, Err(ChangeError::NoKey { .. })));
}
