//! Taking back: in the order of the presses byte for byte, in any other order where it stood, and never anywhere else. A
//! form that is used a second time for something else. Who did it, and who looked through it.

mod dom;
mod shelf;

use pages::{Answer, Content, Method, Remember, Write, name_of};
use proptest::prelude::*;
use shelf::{EXAMPLE, Shelf};

const JOB: &str = "/j/orchard-row";
const SMALL: &str = "format = 1 # a remark\n[[circuit]]\ntag = \"C01\"\nfound = [ { when = \"rest\", volts_ac = \"0.1 V\" }, # first\n  { when = \"rest\", volts_dc = \"0.2 V\" } ]\n\n[[circuit]]\ntag = \"C02\"\n[[circuit.found]]\nwhen = \"rest\"\nvolts_ac = \"0.3 V\"\n";

fn text(answer: &Answer) -> String {
    match &answer.content {
        Content::Html(html) => dom::page(html).text,
        other => panic!("no page: {other:?}"),
    }
}

fn undo(shelf: &Shelf, id: &str, change: &str) -> Answer {
    shelf.post(&format!("{JOB}/undo"), &[("id", id), ("change", change), ("back", JOB)])
}

fn read(shelf: &Shelf, id: &str, tag: &str, volts: &str) -> Answer {
    let form = [("id", id), ("when", "rest"), ("shown", volts), ("unit", "Vdc")];
    shelf.post(&format!("{JOB}/survey/{tag}"), &form)
}

/// A press of somebody's.
#[derive(Clone, Debug)]
enum Press {
    Read(usize, u8),
    Place(usize, u8),
    New(u8),
    /// Takes the n-th change back, from the last.
    Back(usize),
}

fn presses() -> impl Strategy<Value = Vec<Press>> {
    let one = prop_oneof![
        (0_usize..2, 0_u8..6).prop_map(|(of, volts)| Press::Read(of, volts)),
        (0_usize..2, any::<u8>()).prop_map(|(of, to)| Press::Place(of, to)),
        (0_u8..4).prop_map(Press::New),
        (0_usize..4).prop_map(Press::Back),
    ];
    proptest::collection::vec(one, 1..10)
}

/// Presses; gives the ids of the changes that were made.
fn pressed(shelf: &Shelf, presses: &[Press]) -> Vec<String> {
    let tags = ["C01", "C02"];
    let mut made: Vec<String> = Vec::new();
    for (at, press) in presses.iter().enumerate() {
        let id = format!("p{at}");
        let answer = match press {
            Press::Read(of, volts) => read(shelf, &id, tags[*of], &format!("0.{volts}")),
            Press::Place(of, to) => {
                let was = match shelf.text("orchard-row").split("tag = ").nth(of + 1) {
                    Some(part) => part
                        .split("[[circuit]]")
                        .next()
                        .and_then(|part| part.split("place = \"").nth(1)?.split('"').next())
                        .unwrap_or_default()
                        .to_owned(),
                    None => String::new(),
                };
                let to = format!("room {to}");
                let form = [
                    ("id", id.as_str()),
                    ("table", "circuit"),
                    ("of", tags[*of]),
                    ("key", "place"),
                    ("was", &was),
                    ("to", &to),
                ];
                shelf.post(&format!("{JOB}/change"), &form)
            }
            Press::New(number) => {
                shelf.post(&format!("{JOB}/circuits"), &[("id", id.as_str()), ("tag", &format!("N{number}"))])
            }
            Press::Back(from_last) => match made.len().checked_sub(from_last + 1) {
                Some(which) => undo(shelf, &id, &made[which]),
                None => continue,
            },
        };
        if answer.writes.iter().any(|write| matches!(write, Write::Save { .. })) {
            made.push(id);
        }
    }
    made
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn all_taken_back_from_the_last_is_the_first_text(presses in presses()) {
        let shelf = Shelf::new();
        shelf.put("orchard-row", SMALL);
        let made = pressed(&shelf, &presses);
        // A change that is an undo, or was taken back, is taken back like any other: all of them, the last first.
        for (at, change) in made.iter().rev().enumerate() {
            let answer = undo(&shelf, &format!("u{at}"), change);
            let is_done = answer.status == 303 || text(&answer).contains("taken back already");
            prop_assert!(is_done, "{change}: {}\n{presses:?}", text(&answer));
        }
        // What was taken back before it came to that stays so; nothing else of any press is left.
        let untouched = presses.iter().all(|press| !matches!(press, Press::Back(_)));
        if untouched {
            prop_assert_eq!(shelf.text("orchard-row"), SMALL);
        }
        for number in 0..4 {
            let tag = format!("\"N{number}\"");
            prop_assert!(!shelf.text("orchard-row").contains(&tag));
        }
    }

    /// One of several readings is taken out of its list again: all others stay as they are, in their order.
    #[test]
    fn one_of_many_readings_goes_and_no_other(count in 2_usize..6, which in 0_usize..6) {
        let shelf = Shelf::new();
        shelf.put("orchard-row", SMALL);
        for at in 0..count {
            // Every second one twice the same: content alone does not tell them apart.
            let volts = format!("0.{}", at / 2 + 3);
            assert_eq!(read(&shelf, &format!("r{at}"), "C01", &volts).status, 303);
        }
        let which = which % count;
        prop_assert_eq!(undo(&shelf, "u", &format!("r{which}")).status, 303);
        let again = Shelf::new();
        again.put("orchard-row", SMALL);
        for at in (0..count).filter(|at| *at != which) {
            assert_eq!(read(&again, &format!("r{at}"), "C01", &format!("0.{}", at / 2 + 3)).status, 303);
        }
        prop_assert_eq!(shelf.text("orchard-row"), again.text("orchard-row"));
        // And back in where it was.
        prop_assert_eq!(undo(&shelf, "uu", "u").status, 303);
        let volts = shelf.text("orchard-row");
        let all: Vec<&str> = volts.split("volts_dc = \"").skip(1).filter_map(|part| part.split('"').next()).collect();
        let expected: Vec<String> =
            std::iter::once("0.2 V".to_owned()).chain((0..count).map(|at| format!("0.{} V", at / 2 + 3))).collect();
        prop_assert_eq!(all, expected);
    }
}

#[test]
fn what_was_taken_back_is_not_taken_back_twice_and_can_come_again() {
    let shelf = Shelf::new();
    shelf.put("orchard-row", SMALL);
    read(&shelf, "a", "C01", "0.5");
    let with = shelf.text("orchard-row");
    assert_eq!(undo(&shelf, "u1", "a").status, 303);
    assert_eq!(undo(&shelf, "u1", "a").status, 303, "the same press twice");
    let twice = undo(&shelf, "u2", "a");
    assert_eq!((twice.status, twice.writes.len()), (409, 0));
    assert!(text(&twice).contains("taken back already, at 14:22"), "{}", text(&twice));
    assert_eq!(shelf.text("orchard-row"), SMALL);
    assert_eq!(undo(&shelf, "u3", "u1").status, 303);
    assert_eq!(shelf.text("orchard-row"), with);
    assert_eq!(undo(&shelf, "u4", "a").status, 303, "it stands again");
    assert_eq!(shelf.text("orchard-row"), SMALL);
}

#[test]
fn a_reading_that_somebody_took_out_of_the_text_is_not_put_anywhere_else() {
    let shelf = Shelf::new();
    shelf.put("orchard-row", SMALL);
    read(&shelf, "a", "C01", "0.5");
    read(&shelf, "b", "C01", "0.6");
    undo(&shelf, "u", "a");
    // The list is written anew as a whole: where the first one stood nobody can say.
    let text_now = shelf.text("orchard-row");
    let anew = text_now.replace("0.1 V", "0.15 V");
    shelf.write_anew("orchard-row", "w", &anew);
    let refused = undo(&shelf, "uu", "u");
    assert_eq!((refused.status, refused.writes.len()), (409, 0), "{}", text(&refused));
    assert!(text(&refused).contains("written anew"), "{}", text(&refused));
    // The whole text back first, and then it has its place again.
    assert_eq!(undo(&shelf, "uw", "w").status, 303);
    assert_eq!(shelf.text("orchard-row"), text_now);
    assert_eq!(undo(&shelf, "uuu", "u").status, 303);
}

#[test]
fn a_form_that_kept_something_and_says_something_else_now_shows_both_and_loses_nothing() {
    let shelf = Shelf::new();
    shelf.put("orchard-row", SMALL);
    assert_eq!(read(&shelf, "r", "C01", "0.5").status, 303);
    let both = read(&shelf, "r", "C01", "0.7");
    assert_eq!((both.status, both.writes.len()), (409, 0));
    let says = text(&both);
    for part in ["Kept at 14:22", "at rest 0.500", "at rest 0.700", "Keep this one too", "Go on"] {
        assert!(says.contains(part), "{part}: {says}");
    }
    let Content::Html(html) = &both.content else { panic!("a page") };
    let id = html.rsplit("name=\"id\" value=\"").next().and_then(|rest| rest.split('"').next()).unwrap();
    assert!(html.matches("name=\"id\"").count() == 1 && id != "r", "{id}");
    assert_eq!(read(&shelf, id, "C01", "0.7").status, 303);
    assert_eq!(read(&shelf, "r", "C01", "0.5").status, 303, "the same again is done already");
    let kept = shelf.text("orchard-row");
    assert!(kept.contains("0.5 V") && kept.contains("0.7 V"), "{kept}");
    // Another pair with the id of this one is something else too.
    assert_eq!(read(&shelf, "r", "C02", "0.5").status, 409);
    // A note likewise.
    let note = |id: &str, words: &str| {
        shelf.post(&format!("{JOB}/note"), &[("id", id), ("words", words), ("back", JOB)])
    };
    assert_eq!(note("n", "box <locked>").status, 303);
    assert_eq!(note("n", "box <locked>").status, 303);
    let both = note("n", "box <open>");
    assert_eq!((both.status, both.writes.len()), (409, 0));
    assert!(text(&both).contains("box <locked>") && text(&both).contains("box <open>"), "{}", text(&both));
}

#[test]
fn a_name_stands_beside_what_its_bearer_changes() {
    for (typed, name) in [
        ("  Ana  ", Some("Ana")),
        ("J. O'Neill (2)", Some("J. O'Neill (2)")),
        ("عمر", Some("عمر")),
        ("", None),
        ("...", None),
        ("a\u{202e}b", None),
        ("a\u{2067}b", None),
        ("a\u{200f}", None),
        ("a\nb", None),
        ("a\u{7}", None),
        ("a\u{1b}[2J", None),
    ] {
        assert_eq!(name_of(typed), name, "{typed:?}");
    }
    assert_eq!(name_of(&"ä".repeat(60)).map(str::len), Some(120));
    assert_eq!(name_of(&"a".repeat(61)), None);
    let shelf = Shelf::new();
    shelf.put("orchard-row", SMALL);
    let named = shelf.post("/who", &[("who", " <b>Ana</b> "), ("back", "/j/orchard-row/record")]);
    assert_eq!(named.status, 303);
    assert_eq!(named.remember, Some(Remember::Name("<b>Ana</b>".to_owned())));
    assert_eq!(shelf.post("/who", &[("who", "x\u{202e}")]).status, 400);
    assert_eq!(shelf.post("/who", &[("who", "")]).remember, Some(Remember::Name(String::new())));
    let mut request = shelf.request(Method::Post, &format!("{JOB}/note"));
    request.author = "<b>Ana</b>".to_owned();
    request.form = vec![("words".to_owned(), "seen".to_owned()), ("back".to_owned(), JOB.to_owned())];
    let answer = shelf.ask(&request);
    assert!(
        matches!(answer.writes.as_slice(), [Write::Evidence { entry, .. }] if entry.author == "<b>Ana</b>")
    );
    let Content::Html(html) = shelf.get(&format!("{JOB}/record")).content else { panic!("a page") };
    assert!(html.contains("<bdi>&lt;b&gt;Ana&lt;/b&gt;</bdi>"), "isolated and escaped");
}

#[test]
fn whoever_looked_through_it_stands_in_the_title_block_until_the_next_change() {
    let shelf = Shelf::new();
    shelf.put("orchard-row", EXAMPLE);
    let block = || {
        let page = text(&shelf.get(&format!("{JOB}/circuits")));
        page.rsplit("Checked by").next().unwrap_or_default().lines().nth(1).unwrap_or_default().to_owned()
    };
    assert_eq!(block(), "not yet");
    let form = [("id", "k1"), ("version", "1"), ("who", "Ana")];
    assert_eq!(shelf.post(&format!("{JOB}/checked"), &form).status, 303);
    assert_eq!(block(), "\u{2068}Ana\u{2069}, change 1");
    assert_eq!(shelf.post(&format!("{JOB}/circuits"), &[("id", "n"), ("tag", "C99")]).status, 303);
    assert_eq!(block(), "change 1, before this one");
    for (version, who) in
        [("3", "Ana"), ("0", "Ana"), ("x", "Ana"), ("2", ""), ("2", "a\u{202e}"), ("2", "this machine")]
    {
        let form = [("id", "k2"), ("version", version), ("who", who)];
        assert_eq!(shelf.post(&format!("{JOB}/checked"), &form).status, 400, "{version} {who}");
    }
    shelf.post(&format!("{JOB}/checked"), &[("id", "k3"), ("version", "2"), ("who", "Bo")]);
    assert_eq!(block(), "\u{2068}Bo\u{2069}, change 2");
    shelf.post(&format!("{JOB}/checked"), &[("id", "k4"), ("version", "2"), ("takes_back", "k3")]);
    assert_eq!(block(), "not yet");
}

/// Four circuits, and presses that take one out, put one in, and take changes back.
fn row(tags: &[&str]) -> (Shelf, impl Fn(&Shelf, &str, &str) -> Answer) {
    let shelf = Shelf::new();
    let circuits = tags.iter().map(|tag| format!("[[circuit]]\ntag = \"{tag}\"\n\n"));
    shelf.put("orchard-row", &format!("format = 1\n\n{}", circuits.collect::<String>()));
    let out = |shelf: &Shelf, id: &str, tag: &str| {
        let form = [("id", id), ("do", "remove"), ("table", "circuit"), ("of", tag)];
        shelf.post(&format!("{JOB}/equipment"), &form)
    };
    (shelf, out)
}

fn order(shelf: &Shelf) -> String {
    let text = shelf.text("orchard-row");
    text.split("tag = \"").skip(1).filter_map(|part| part.split('"').next()).collect::<Vec<_>>().join(" ")
}

fn said_last(shelf: &Shelf) -> String {
    text(&shelf.get(&format!("{JOB}/record")))
}

#[test]
fn a_circuit_comes_back_where_it_stood_though_its_neighbours_came_and_went() {
    let (shelf, out) = row(&["A", "B", "C"]);
    for tag in ["C", "B", "A"] {
        assert_eq!(out(&shelf, &format!("out-{tag}"), tag).status, 303);
    }
    assert_eq!(order(&shelf), "");
    // The text before A went out had no C any more: an older one has both.
    assert_eq!(undo(&shelf, "c", "out-C").status, 303);
    assert_eq!(undo(&shelf, "a", "out-A").status, 303);
    assert_eq!(order(&shelf), "A C");
    assert_eq!(undo(&shelf, "b", "out-B").status, 303);
    assert_eq!(order(&shelf), "A B C");
    assert!(!said_last(&shelf).contains("what it stood beside is gone"));
}

#[test]
fn where_a_circuit_went_is_said_where_nobody_can_know_it() {
    let (shelf, out) = row(&["A", "B", "C"]);
    for tag in ["A", "B", "C"] {
        assert_eq!(out(&shelf, &format!("out-{tag}"), tag).status, 303);
    }
    assert_eq!(shelf.post(&format!("{JOB}/circuits"), &[("id", "new"), ("tag", "X")]).status, 303);
    assert_eq!(undo(&shelf, "b", "out-B").status, 303);
    assert_eq!(order(&shelf), "X B");
    let says = said_last(&shelf);
    assert!(says.contains("Circuit B stands last, behind X, now: what it stood beside is gone."), "{says}");
    // What stood before and behind it is known: it goes between, and nothing needs to be said.
    assert_eq!(undo(&shelf, "a", "out-A").status, 303);
    assert_eq!(order(&shelf), "X A B");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Circuits go out in any order and come back in any other: they stand as they stood.
    #[test]
    fn whatever_goes_out_and_comes_back_stands_in_the_old_order(
        gone in Just(vec!["A", "B", "C", "D", "E"]).prop_shuffle(),
        count in 1_usize..6,
        back in Just(vec![0_usize, 1, 2, 3, 4]).prop_shuffle(),
    ) {
        let (shelf, out) = row(&["A", "B", "C", "D", "E"]);
        for tag in &gone[..count] {
            prop_assert_eq!(out(&shelf, &format!("out-{tag}"), tag).status, 303);
        }
        for at in back.into_iter().filter(|at| *at < count) {
            let tag = gone[at];
            prop_assert_eq!(undo(&shelf, &format!("back-{tag}"), &format!("out-{tag}")).status, 303);
            let now = order(&shelf);
            let mut sorted: Vec<&str> = now.split(' ').collect();
            sorted.sort_unstable();
            prop_assert_eq!(&now, &sorted.join(" "));
        }
        prop_assert!(!said_last(&shelf).contains("what it stood beside is gone"));
    }
}
