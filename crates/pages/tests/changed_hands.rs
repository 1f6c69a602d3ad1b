//! Taking back where tags changed hands: what a change wrote to a circuit is taken out of that circuit and of no other,
//! however it is called since, or it is refused.

mod dom;
mod shelf;

use std::collections::BTreeMap;

use pages::{Answer, Content};
use proptest::prelude::*;
use shelf::Shelf;

const JOB: &str = "/j/y";
const THREE: &str = "format = 1\n\n[[circuit]]\ntag = \"C1\"\nplace = \"p0\"\n\n[[circuit]]\ntag = \"C2\"\nplace = \"p0\"\n\n[[circuit]]\ntag = \"C3\"\nplace = \"p0\"\n";

fn says(answer: &Answer) -> String {
    match &answer.content {
        Content::Html(html) => dom::page(html).text,
        _ => String::new(),
    }
}

fn shelf() -> Shelf {
    let shelf = Shelf::new();
    shelf.put("y", THREE);
    shelf
}

fn undo(shelf: &Shelf, id: &str, change: &str) -> Answer {
    shelf.post("/j/y/undo", &[("id", id), ("change", change), ("back", JOB)])
}

fn place(shelf: &Shelf, id: &str, tag: &str, was: &str, to: &str) -> Answer {
    let form = [("id", id), ("table", "circuit"), ("of", tag), ("key", "place"), ("was", was), ("to", to)];
    shelf.post("/j/y/change", &form)
}

fn gear(shelf: &Shelf, id: &str, press: &str, tag: &str, to: &str) -> Answer {
    let form = [("id", id), ("do", press), ("table", "circuit"), ("of", tag), ("to", to)];
    shelf.post("/j/y/equipment", &form)
}

fn new(shelf: &Shelf, id: &str, tag: &str) -> Answer {
    shelf.post("/j/y/circuits", &[("id", id), ("tag", tag)])
}

fn volts(shelf: &Shelf, id: &str, tag: &str, volts: &str) -> Answer {
    shelf.post(
        &format!("{JOB}/survey/{tag}"),
        &[("id", id), ("when", "rest"), ("shown", volts), ("unit", "Vdc")],
    )
}

/// Each circuit's tag and place.
fn circuits(text: &str) -> BTreeMap<String, String> {
    let value = |part: &str, key: &str| {
        let rest = part.split(&format!("{key} = \"")).nth(1)?;
        rest.split('"').next().map(str::to_owned)
    };
    let parts = text.split("[[circuit]]").skip(1);
    let all: Vec<(String, String)> = parts
        .map(|part| (value(part, "tag").unwrap_or_default(), value(part, "place").unwrap_or_default()))
        .collect();
    let map: BTreeMap<String, String> = all.iter().cloned().collect();
    assert_eq!(map.len(), all.len(), "{text}");
    map
}

#[test]
fn it_follows_the_circuit_and_not_the_tag() {
    let shelf = shelf();
    assert_eq!(place(&shelf, "e", "C1", "p0", "p1").status, 303);
    assert_eq!(volts(&shelf, "v", "C1", "0.5").status, 303);
    assert_eq!(gear(&shelf, "r1", "rename", "C1", "CX").status, 303);
    assert_eq!(gear(&shelf, "r2", "rename", "C2", "C1").status, 303);
    assert_eq!(place(&shelf, "e2", "C1", "p0", "p1").status, 303);
    assert_eq!(volts(&shelf, "v2", "C1", "0.5").status, 303);
    assert_eq!(undo(&shelf, "u", "e").status, 303);
    assert_eq!(undo(&shelf, "uv", "v").status, 303);
    let text = shelf.text("y");
    let expected =
        [("C1", "p1"), ("C3", "p0"), ("CX", "p0")].map(|(tag, at)| (tag.to_owned(), at.to_owned()));
    assert_eq!(circuits(&text), BTreeMap::from(expected), "{text}");
    let parts: Vec<&str> = text.split("[[circuit]]").collect();
    assert!(!parts[1].contains("0.5") && parts[2].contains("0.5"), "{text}");
}

#[test]
fn another_circuit_that_is_called_so_since_is_left_alone() {
    // Taken out, and another one made with that tag and that place.
    let shelf = shelf();
    place(&shelf, "e", "C3", "p0", "p1");
    volts(&shelf, "v", "C3", "0.5");
    let asked = gear(&shelf, "o", "remove", "C3", "");
    let Content::Html(html) = &asked.content else { panic!("its reading goes with it") };
    let sure = dom::form(html, "Take C3 out, and");
    assert_eq!(shelf.post(&sure.action, &sure.pairs()).status, 303);
    assert!(!shelf.text("y").contains("C3"));
    assert_eq!(new(&shelf, "n", "C3").status, 303);
    assert_eq!(place(&shelf, "e2", "C3", "", "p1").status, 303);
    assert_eq!(volts(&shelf, "v2", "C3", "0.5").status, 303);
    let text = shelf.text("y");
    for change in ["e", "v"] {
        let refused = undo(&shelf, &format!("u{change}"), change);
        assert_eq!((refused.status, refused.writes.len()), (409, 0), "{}", says(&refused));
        assert!(says(&refused).contains("Take that back first"), "{}", says(&refused));
    }
    assert_eq!(shelf.text("y"), text);
    // The tags swapped in the whole text.
    let shelf = self::shelf();
    place(&shelf, "e", "C1", "p0", "p1");
    place(&shelf, "e2", "C2", "p0", "p1");
    volts(&shelf, "v", "C1", "0.5");
    volts(&shelf, "v2", "C2", "0.5");
    let swapped =
        shelf.text("y").replace("\"C1\"", "\"C\"").replace("\"C2\"", "\"C1\"").replace("\"C\"", "\"C2\"");
    shelf.write_anew("y", "w", &swapped);
    for change in ["e", "v"] {
        let refused = undo(&shelf, &format!("u{change}"), change);
        assert_eq!((refused.status, refused.writes.len()), (409, 0), "{}", says(&refused));
        assert!(says(&refused).contains("written anew"), "{}", says(&refused));
    }
    assert_eq!(shelf.text("y"), swapped);
}

#[test]
fn it_is_the_same_circuit_once_its_removal_is_taken_back_or_another_was_written_in_the_text() {
    let shelf = shelf();
    place(&shelf, "e", "C1", "p0", "p1");
    gear(&shelf, "o", "remove", "C1", "");
    place(&shelf, "f", "C3", "p0", "p7");
    assert_eq!(undo(&shelf, "uo", "o").status, 303);
    shelf.write_anew("y", "w", &shelf.text("y").replace("p7", "p8"));
    let answer = undo(&shelf, "ue", "e");
    assert_eq!(answer.status, 303, "{}", says(&answer));
    let expected =
        [("C1", "p0"), ("C2", "p0"), ("C3", "p8")].map(|(tag, at)| (tag.to_owned(), at.to_owned()));
    assert_eq!(circuits(&shelf.text("y")), BTreeMap::from(expected));
}

#[test]
fn what_was_taken_out_comes_back_between_its_neighbours_with_its_remarks() {
    let text = THREE.replace("tag = \"C2\"\n", "tag = \"C2\" # behind the boiler\n# rust\n");
    for (out, edits) in [("C2", "C3"), ("C1", "C2"), ("C3", "C1")] {
        let shelf = Shelf::new();
        shelf.put("y", &text);
        assert_eq!(gear(&shelf, "o", "remove", out, "").status, 303);
        assert_eq!(place(&shelf, "e", edits, "p0", "p9").status, 303);
        let answer = undo(&shelf, "u", "o");
        assert_eq!(answer.status, 303, "{}", says(&answer));
        let from = format!("tag = \"{edits}\"");
        let (head, tail) = text.split_at(text.find(&from).unwrap());
        assert_eq!(shelf.text("y"), format!("{head}{}", tail.replacen("p0", "p9", 1)), "{out}");
    }
    // Its neighbour behind is called anew, the one before gone; new ones come behind all.
    let shelf = Shelf::new();
    shelf.put("y", &text);
    gear(&shelf, "o", "remove", "C2", "");
    gear(&shelf, "r", "rename", "C3", "C9");
    gear(&shelf, "o1", "remove", "C1", "");
    new(&shelf, "n", "C7");
    assert_eq!(undo(&shelf, "u", "o").status, 303);
    let now = shelf.text("y");
    let at = |tag: &str| now.find(&format!("\"{tag}\"")).unwrap();
    assert!(
        at("C2") < at("C9") && at("C9") < at("C7") && now.contains("# behind the boiler\n# rust\n"),
        "{now}"
    );
    assert_eq!(undo(&shelf, "u1", "o1").status, 303);
    let now = shelf.text("y");
    assert!(now.find("\"C1\"") < now.find("\"C9\""), "{now}");
}

/// What somebody does; numbers choose among what there is.
#[derive(Clone, Debug)]
enum Press {
    Place(usize, u8),
    Rename(usize, usize),
    Out(usize),
    New(usize),
    Back(usize),
    /// Two tags swapped in the whole text.
    Swap(usize, usize),
    /// One circuit called anew in the whole text, and another made that is called as it was.
    Replace(usize, usize),
}

fn presses() -> impl Strategy<Value = Vec<Press>> {
    let one = prop_oneof![
        4 => (0_usize..4, 0_u8..2).prop_map(|(of, to)| Press::Place(of, to)),
        6 => (0_usize..4, 0_usize..4).prop_map(|(of, to)| Press::Rename(of, to)),
        2 => (0_usize..4).prop_map(Press::Out),
        2 => (0_usize..5).prop_map(Press::New),
        3 => (0_usize..5).prop_map(Press::Back),
        1 => (0_usize..4, 0_usize..4).prop_map(|(of, to)| Press::Swap(of, to)),
        1 => (0_usize..4, 0_usize..5).prop_map(|(of, to)| Press::Replace(of, to)),
    ];
    proptest::collection::vec(one, 4..16)
}

/// A circuit as it is: nobody but this test sees which one it is.
#[derive(Clone, PartialEq, Debug)]
struct Known {
    who: usize,
    tag: String,
    place: String,
}

/// What one change did to one circuit.
type Deed = (Option<Known>, Option<Known>);

const TAGS: [&str; 5] = ["C1", "C2", "C3", "C4", "C5"];

struct World {
    shelf: Shelf,
    now: Vec<Known>,
    /// Every change that can be taken back, with what it did.
    done: Vec<(String, Deed)>,
    next: usize,
}

impl World {
    fn map(&self) -> BTreeMap<String, String> {
        self.now.iter().map(|known| (known.tag.clone(), known.place.clone())).collect()
    }

    /// What taking a deed back must make of the circuits; none where it cannot.
    fn back(&self, (from, to): &Deed) -> Option<Vec<Known>> {
        let mut now = self.now.clone();
        match (from, to) {
            (Some(from), None) => now.push(from.clone()),
            (None, Some(to)) => now.retain(|known| known.who != to.who),
            (Some(from), Some(to)) => {
                let own = now.iter_mut().find(|known| known.who == from.who)?;
                if from.tag != to.tag {
                    own.tag.clone_from(&from.tag);
                }
                if from.place != to.place {
                    own.place.clone_from(&from.place);
                }
            }
            (None, None) => {}
        }
        Some(now)
    }

    fn take_back(&mut self, id: &str, which: usize) -> Result<(), TestCaseError> {
        let (change, deed) = self.done[which].clone();
        let before = self.shelf.text("y");
        let answer = undo(&self.shelf, id, &change);
        let text = self.shelf.text("y");
        if answer.status != 303 {
            prop_assert_eq!(before, text, "{}", says(&answer));
            return Ok(());
        }
        let expected = self.back(&deed);
        prop_assert!(expected.is_some(), "{change} was not refused\n{before}\n{text}");
        self.now = expected.unwrap_or_default();
        prop_assert_eq!(circuits(&text), self.map(), "{} {:?}\n{}\n{}", change, deed, before, text);
        self.done.push((id.to_owned(), (deed.1, deed.0)));
        Ok(())
    }

    fn text_with(&self, changed: impl Fn(&str) -> String) -> String {
        let text = self.shelf.text("y");
        let line = |line: &str| match line.strip_prefix("tag = \"").and_then(|rest| rest.strip_suffix('"')) {
            Some(tag) => format!("tag = \"{}\"\n", changed(tag)),
            None => format!("{line}\n"),
        };
        text.lines().map(line).collect()
    }

    fn press(&mut self, id: &str, press: &Press) -> Result<(), TestCaseError> {
        let own = |of: &usize| self.now.get(of % self.now.len().max(1)).cloned();
        let is_free = |tag: &str| self.now.iter().all(|known| known.tag != tag);
        let (answer, deed) = match press {
            Press::Place(of, to) => {
                let (Some(own), to) = (own(of), format!("p{to}")) else { return Ok(()) };
                (
                    place(&self.shelf, id, &own.tag, &own.place, &to),
                    (Some(own.clone()), Some(Known { place: to, ..own })),
                )
            }
            Press::Rename(of, to) => {
                let (Some(own), to) = (own(of), TAGS[*to].to_owned()) else { return Ok(()) };
                if !is_free(&to) {
                    return Ok(());
                }
                (
                    gear(&self.shelf, id, "rename", &own.tag, &to),
                    (Some(own.clone()), Some(Known { tag: to, ..own })),
                )
            }
            Press::Out(of) => {
                let Some(own) = own(of).filter(|_| self.now.len() > 1) else { return Ok(()) };
                (gear(&self.shelf, id, "remove", &own.tag, ""), (Some(own), None))
            }
            Press::New(tag) => {
                if !is_free(TAGS[*tag]) {
                    return Ok(());
                }
                self.next += 1;
                let known = Known { who: self.next, tag: TAGS[*tag].to_owned(), place: String::new() };
                (new(&self.shelf, id, TAGS[*tag]), (None, Some(known)))
            }
            Press::Back(from_last) => {
                let Some(which) = self.done.len().checked_sub(from_last + 1) else { return Ok(()) };
                return self.take_back(id, which);
            }
            Press::Swap(of, with) => {
                let (Some(one), Some(other)) = (own(of), own(with)) else { return Ok(()) };
                let swap = |tag: &str| match tag {
                    tag if tag == one.tag => other.tag.clone(),
                    tag if tag == other.tag => one.tag.clone(),
                    tag => tag.to_owned(),
                };
                let text = self.text_with(swap);
                self.shelf.write_anew("y", id, &text);
                for known in &mut self.now {
                    known.tag = swap(&known.tag);
                }
                return Ok(());
            }
            Press::Replace(of, to) => {
                let (Some(own), to) = (own(of), TAGS[*to]) else { return Ok(()) };
                if !is_free(to) {
                    return Ok(());
                }
                let text = self.text_with(|tag| if tag == own.tag { to.to_owned() } else { tag.to_owned() });
                let line =
                    if own.place.is_empty() { String::new() } else { format!("place = \"{}\"\n", own.place) };
                let text = format!("{text}\n[[circuit]]\ntag = \"{}\"\n{line}", own.tag);
                self.shelf.write_anew("y", id, &text);
                self.next += 1;
                for known in self.now.iter_mut().filter(|known| known.who == own.who) {
                    known.tag = to.to_owned();
                }
                self.now.push(Known { who: self.next, ..own });
                return Ok(());
            }
        };
        prop_assert_eq!(answer.status, 303, "{:?}: {}", press, says(&answer));
        let (from, to) = deed;
        if from == to {
            return Ok(());
        }
        if let Some(from) = &from {
            self.now.retain(|known| known.who != from.who);
        }
        self.now.extend(to.clone());
        self.done.push((id.to_owned(), (from, to)));
        prop_assert_eq!(circuits(&self.shelf.text("y")), self.map());
        Ok(())
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]
    #[test]
    fn only_the_circuit_that_was_changed_is_changed_back(presses in presses(), which in 0_usize..12) {
        let now = (0..3).map(|who| Known { who, tag: TAGS[who].to_owned(), place: "p0".to_owned() }).collect();
        let mut world = World { shelf: shelf(), now, done: Vec::new(), next: 2 };
        for (at, press) in presses.iter().enumerate() {
            world.press(&format!("p{at}"), press)?;
        }
        let made = world.done.len();
        for at in 0..made {
            world.take_back(&format!("last{at}"), (at + which) % made)?;
        }
    }
}
