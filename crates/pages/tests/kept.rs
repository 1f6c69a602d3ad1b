//! What is kept of a cable follows it: evidence whose change is taken back says so, photos and entries go with a new tag and
//! never to another cable.

mod dom;
mod hand;
mod shelf;

use hand::{Desk, text};
use shelf::EXAMPLE;

fn record(desk: &Desk) -> String {
    text(&desk.0.get("/j/y/record"))
}

#[test]
fn a_reading_that_is_taken_back_is_marked_in_the_record_and_counts_again_once_that_is_taken_back() {
    let desk = Desk::of(EXAMPLE);
    desk.0.post("/j/y/strip", &[("id", "s"), ("strip", "E1"), ("back", "/j/y/survey")]);
    let kept = desk.0.post(
        "/j/y/survey/C06",
        &[("id", "r"), ("shown", "0.2"), ("unit", "Vac"), ("when", "rest"), ("then", "")],
    );
    assert_eq!(kept.status, 303, "{}", text_or_empty(&kept));
    assert!(!record(&desk).contains("Taken back at"));
    desk.0.post("/j/y/undo", &[("id", "b"), ("change", "r"), ("back", "/j/y/record")]);
    let says = record(&desk);
    assert_eq!(says.matches("Taken back at").count(), 1, "{says}");
    assert!(says.contains("reading Taken back: C06: at rest 0.200"), "{says}");
    // The taking back itself is taken back: now that is marked, and the reading is not.
    desk.0.post("/j/y/undo", &[("id", "a"), ("change", "b"), ("back", "/j/y/record")]);
    let says = record(&desk);
    let marked: Vec<&str> = says.split("Taken back at").collect();
    assert_eq!(marked.len(), 2, "{says}");
    assert!(
        marked[0].rfind("Taken back: C06").expect("the first taking back") > marked[0].len() - 80,
        "{says}"
    );
}

fn text_or_empty(answer: &pages::Answer) -> String {
    if matches!(answer.content, pages::Content::Html(_)) { text(answer) } else { String::new() }
}

#[test]
fn work_that_is_taken_back_is_marked_and_no_reason_to_measure_again() {
    let desk = Desk::of(EXAMPLE);
    let done = |tag: &str| {
        let page = desk.0.get(&format!("/j/y/c/{tag}"));
        let at = hand::html(&page).find("Done: ")?;
        let before = hand::html(&page)[..at].rfind("name=\"text\" value=\"")? + 19;
        let text = hand::html(&page)[before..].split('"').next()?.to_owned();
        Some((format!("/j/y/c/{tag}/remedy"), text))
    };
    let (path, remedy) = (1..37).find_map(|tag| done(&format!("C{tag:02}"))).expect("a remedy in the field");
    assert_eq!(desk.0.post(&path, &[("id", "w"), ("text", &remedy)]).status, 303);
    assert!(record(&desk).contains("work Done: "));
    assert!(!record(&desk).contains("Taken back at"));
    desk.0.post("/j/y/undo", &[("id", "b"), ("change", "w"), ("back", "/j/y/record")]);
    let says = record(&desk);
    assert_eq!(says.matches("Taken back at").count(), 1, "{says}");
}

const JPEG: &[u8] = &[0xff, 0xd8, 0xff, 0xe0, 1];

fn shows_a_photo(desk: &Desk, tag: &str) -> bool {
    let sheet = hand::html(&desk.0.get(&format!("/j/y/c/{tag}"))).contains("/photo/p");
    let card = hand::html(&desk.0.get(&format!("/j/y/survey/{tag}"))).contains("/photo/p");
    assert_eq!(sheet, card, "{tag}");
    sheet
}

fn rename(desk: &Desk, from: &str, to: &str) {
    desk.take(&desk.form(&format!("/j/y/c/{from}"), "Call it so").with("to", to));
}

#[test]
fn a_photo_goes_with_its_cable_and_never_to_another_of_that_tag() {
    let desk = Desk::of(EXAMPLE);
    desk.0.upload("/j/y/photo", &[("id", "p"), ("about", "C06"), ("back", "/j/y/c/C06")], JPEG);
    assert!(shows_a_photo(&desk, "C06"));
    rename(&desk, "C06", "C60");
    assert!(shows_a_photo(&desk, "C60"));
    assert!(record(&desk).contains("C60, was C06 until"), "{}", record(&desk));
    desk.0.post("/j/y/circuits", &[("id", "new"), ("tag", "C06")]);
    assert!(desk.text().contains("tag = \"C06\""));
    assert!(!shows_a_photo(&desk, "C06"));
    assert!(shows_a_photo(&desk, "C60"));
    // And back, once the new one is gone.
    desk.0.post("/j/y/undo", &[("id", "b"), ("change", "new"), ("back", "/j/y/record")]);
    rename(&desk, "C60", "C06");
    assert!(shows_a_photo(&desk, "C06"));
    assert!(!record(&desk).contains("C06, was C06"), "{}", record(&desk));
}

#[test]
fn a_photo_of_a_circuit_that_was_taken_out_comes_back_with_it_alone() {
    let desk = Desk::of(EXAMPLE);
    desk.0.upload("/j/y/photo", &[("id", "p"), ("about", "C06"), ("back", "/j/y/c/C06")], JPEG);
    let (without, _) = (EXAMPLE.replace("tag = \"C06\"", "tag = \"C99\""), ());
    let whole = desk.0.post("/j/y/text", &[("id", "gone"), ("version", "1"), ("text", &without)]);
    assert_eq!(whole.status, 303, "{}", text_or_empty(&whole));
    desk.0.post("/j/y/circuits", &[("id", "new"), ("tag", "C06")]);
    assert!(!shows_a_photo(&desk, "C06"));
    desk.0.post("/j/y/undo", &[("id", "b1"), ("change", "new"), ("back", "/j/y/record")]);
    desk.0.post("/j/y/undo", &[("id", "b2"), ("change", "gone"), ("back", "/j/y/record")]);
    assert!(desk.text().contains("tag = \"C06\""));
    assert!(shows_a_photo(&desk, "C06"), "{}", record(&desk));
}

/// Places and resistors are numbers: of another network they would be other ones.
#[test]
fn what_is_tried_on_a_page_drawn_from_another_network_is_not_answered() {
    let desk = Desk::of(EXAMPLE);
    let form = desk.form("/j/y/c/C01", "Try it");
    let of = form.field("of").to_owned();
    assert!(of.contains("nc:"), "{of}");
    let asked = |of: &str| {
        let encoded: String = of.bytes().map(|byte| format!("%{byte:02X}")).collect();
        text(&desk.0.get(&format!("/j/y/c/C01/play?fault=cut&at=0&of={encoded}")))
    };
    assert!(asked(&of).contains("The input reads"), "{}", asked(&of));
    let to = "wire:38m - nc:other - 2.2k";
    let change = [
        ("table", "circuit"),
        ("of", "C01"),
        ("key", "network"),
        ("was", of.as_str()),
        ("to", to),
        ("back", "/"),
    ];
    assert_eq!(desk.0.post("/j/y/change", &change).status, 303);
    assert!(asked(&of).contains("The circuit is another by now"), "{}", asked(&of));
    assert!(!asked(&of).contains("The input reads"));
    assert!(asked(to).contains("The input reads"), "{}", asked(to));
}

#[test]
fn the_head_of_a_page_does_not_offer_to_take_back_what_was_taken_back() {
    let desk = Desk::of(EXAMPLE);
    let stood = desk.form("/j/y/c/C01", "Write").field("was").to_owned();
    let change = [
        ("id", "w"),
        ("table", "circuit"),
        ("of", "C01"),
        ("key", "place"),
        ("was", stood.as_str()),
        ("to", "yard"),
        ("back", "/j/y/c/C01"),
    ];
    desk.0.post("/j/y/change", &change);
    let head = || text(&desk.0.get("/j/y/c/C01?wrote=w"));
    assert!(head().contains("Written at 14:22 : C01: place is yard."), "{}", head());
    desk.0.post("/j/y/undo", &[("id", "b"), ("change", "w"), ("back", "/j/y/record")]);
    assert!(
        head().contains("Was written at 14:22 , taken back at 14:22 by tester : C01: place is yard."),
        "{}",
        head()
    );
    // The form sent again leads there too.
    let pages::Content::Redirect(to) = desk.0.post("/j/y/change", &change).content else {
        panic!("it leads on")
    };
    assert!(text(&desk.0.get(&to)).contains("taken back at 14:22"));
    assert!(!desk.text().contains("place = \"yard\""));
}

#[test]
fn a_photo_of_nothing_is_refused_with_words() {
    let desk = Desk::of(EXAMPLE);
    let none = desk.0.upload("/j/y/photo", &[("id", "p"), ("about", "C77"), ("back", "/j/y/record")], JPEG);
    assert_eq!(none.status, 409);
    assert!(text(&none).contains("There is no \u{2068}C77\u{2069} in this job"), "{}", text(&none));
    assert_eq!(desk.0.upload("/j/y/photo", &[("id", "q"), ("about", "E1")], JPEG).status, 303);
}

#[test]
fn two_jobs_of_one_name_are_told_apart_by_their_ids() {
    let desk = Desk::of(hand::EMPTY);
    assert!(!text(&desk.0.get("/")).contains("Yard y "));
    desk.0.put("z", hand::EMPTY);
    let list = text(&desk.0.get("/"));
    assert!(list.contains("Yard y ") && list.contains("Yard z "), "{list}");
}
