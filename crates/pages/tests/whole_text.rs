//! The whole text of a job written on its page: line ends, old versions, hostile files, the way back.

mod dom;
mod hand;
mod shelf;

use dom::form;
use hand::{Desk, EMPTY, html, text};
use pages::Write;
use shelf::EXAMPLE;

const TEXT: &str = "/j/y/text";

#[test]
fn the_text_is_kept_as_one_change_and_comes_back_byte_for_byte() {
    let desk = Desk::of(EXAMPLE);
    let field = desk.form(TEXT, "Keep");
    assert_eq!(field.field("text").trim_start_matches('\n'), EXAMPLE);
    // As a browser sends it: nothing changed, nothing written.
    let as_sent = |text: &str| text.replace('\n', "\r\n");
    desk.take(&field.clone().with("text", &as_sent(EXAMPLE)));
    assert_eq!(desk.text(), EXAMPLE);
    let wanted = EXAMPLE.replacen("name = \"Orchard Row", "name = \"North Orchard Row", 1);
    assert_ne!(wanted, EXAMPLE);
    let form = field.with("text", &as_sent(&wanted)).with("id", "t1");
    let answer = desk.send(&form);
    assert!(matches!(answer.writes.as_slice(), [Write::Save { .. }]));
    assert_eq!(desk.text(), wanted);
    desk.take(&form);
    let record = text(&desk.0.get("/j/y/record"));
    assert!(record.contains("The text written anew: 1 line gone, 1 line new."), "{record}");
    let changed = text(&desk.0.get("/j/y/text?change=t1"));
    assert!(changed.contains("North Orchard Row"), "{changed}");
    assert_eq!(desk.undo("t1").status, 303);
    assert_eq!(desk.text(), EXAMPLE);
}

#[test]
fn a_text_taken_back_keeps_what_was_changed_since_elsewhere() {
    let desk = Desk::of("format = 1\n\n[site]\nname = \"Yard\"\n\n[[circuit]]\ntag = \"C1\"\n");
    let form = desk.form(TEXT, "Keep");
    desk.take(&form.with("text", &desk.text().replace("Yard", "Mill")).with("id", "t1"));
    desk.0.post("/j/y/circuits", &[("id", "c2"), ("tag", "C2")]);
    assert_eq!(desk.undo("t1").status, 303);
    assert!(desk.text().contains("Yard") && desk.text().contains("C2"), "{}", desk.text());
    // What it wrote was changed again: told, and nothing written.
    let form = desk.form(TEXT, "Keep");
    desk.take(&form.with("text", &desk.text().replace("Yard", "Mill")).with("id", "t2"));
    let form = desk.form(TEXT, "Keep");
    desk.take(&form.with("text", &desk.text().replace("Mill", "Quarry")).with("id", "t3"));
    let before = desk.text();
    let answer = desk.undo("t2");
    assert_eq!(answer.status, 409);
    assert!(text(&answer).contains("Quarry"), "{}", text(&answer));
    assert_eq!(desk.text(), before);
}

#[test]
fn an_old_version_is_never_written_over_a_newer_one() {
    let desk = Desk::of("format = 1\n\n[site]\nname = \"Yard\"\n\n[[circuit]]\ntag = \"C1\"\n");
    let (mine, theirs) = (desk.form(TEXT, "Keep"), desk.form(TEXT, "Keep"));
    let base = desk.text();
    desk.take(&theirs.with("text", &base.replace("Yard", "Mill")));
    let answer = desk.send(&mine.clone().with("text", &base.replace("\"C1\"", "\"C9\"")));
    assert_eq!(answer.status, 409);
    let page = html(&answer);
    assert!(page.contains("Mill") && page.contains("C9"), "both are shown: {page}");
    assert!(desk.text().contains("Mill") && !desk.text().contains("C9"));
    // They are about different lines: one press keeps both.
    desk.take(&form(page, "Keep both"));
    assert!(desk.text().contains("Mill") && desk.text().contains("C9"), "{}", desk.text());
    // About the same line: no such press, and mine can be put in its place.
    let answer = desk.send(&mine.with("id", "x").with("text", &base.replace("Yard", "Quarry")));
    assert_eq!(answer.status, 409);
    assert!(!html(&answer).contains("Keep both"));
    let form = form(html(&answer), "Write mine in its place");
    assert!(form.field("text").contains("Quarry"));
    desk.take(&form);
    assert!(desk.text().contains("Quarry"));
}

/// Mine is before and behind theirs: what keeping both would change is told, and done with one press.
#[test]
fn edits_in_several_places_are_kept_both() {
    let desk = Desk::of(EXAMPLE);
    let (mine, theirs) = (desk.form(TEXT, "Keep"), desk.form(TEXT, "Keep"));
    let first_and_last =
        |text: &str| text.replacen("Orchard Row", "Mill Lane", 1) + "\n[[circuit]]\ntag = \"C90\"\n";
    let between = |text: &str| text.replacen("[[circuit]]\n", "[[circuit]]\n# seen again\n", 1);
    assert!(first_and_last(EXAMPLE).starts_with(&EXAMPLE[..20]) && between(EXAMPLE) != EXAMPLE);
    desk.take(&theirs.with("text", &between(EXAMPLE)));
    let answer = desk.send(&mine.clone().with("text", &first_and_last(EXAMPLE)));
    assert_eq!(answer.status, 409);
    assert!(text(&answer).contains("What keeping both changes of it as it is now"), "{}", text(&answer));
    desk.take(&form(html(&answer), "Keep both"));
    assert_eq!(desk.text(), first_and_last(&between(EXAMPLE)));
    // One of several places is theirs too: nothing is put together, and both texts are on the page.
    let answer =
        desk.send(&mine.with("id", "x").with("text", &between(EXAMPLE).replace("seen again", "seen twice")));
    assert_eq!(answer.status, 409);
    assert!(!html(&answer).contains("Keep both") && html(&answer).contains("seen twice"));
    assert!(html(&answer).contains("seen again"), "what stands is shown");
    assert_eq!(desk.text(), first_and_last(&between(EXAMPLE)));
}

#[test]
fn what_is_wrong_with_a_text_is_told_line_by_line_and_the_text_stays() {
    let desk = Desk::of(EMPTY);
    let typed = format!(
        "{EMPTY}\n[[circuit]]\ntag = \"C1\"\nplase = \"front\"\n[[module]]\nid = \"M1\"\nprofile = \"input-99\"\n"
    );
    let answer = desk.send(&desk.form(TEXT, "Keep").with("text", &typed));
    assert_eq!(answer.status, 400);
    assert!(answer.writes.is_empty());
    let says = text(&answer);
    assert!(says.contains("Line 9, column 1:") && says.contains("plase = \"front\""), "{says}");
    assert!(form(html(&answer), "Keep").field("text").contains("plase"));
    assert_eq!(desk.text(), EMPTY);
    // Once the first is put right, what the library does not have is told.
    let answer = desk.send(&desk.form(TEXT, "Keep").with("text", &typed.replace("plase", "place")));
    assert!(text(&answer).contains("input-99"), "{}", text(&answer));
}

#[test]
fn hostile_texts_and_files_are_refused_and_lose_nothing() {
    let desk = Desk::of(EMPTY);
    let version = "1";
    let file = |bytes: &[u8]| desk.0.upload(TEXT, &[("version", version)], bytes);
    for bytes in [&b"\x00\xff\xfe\x80"[..], b"PK\x03\x04\xff\xff", b""] {
        let answer = file(bytes);
        assert_eq!(answer.status, 400);
        assert!(text(&answer).contains("UTF-8"), "{}", text(&answer));
    }
    let deep = format!("{EMPTY}x = {}", "[".repeat(100_000));
    let huge = format!("{EMPTY}# {}\n", "x".repeat(20_000_000));
    let nul = format!("{EMPTY}a = \"\u{0}\"\n");
    for text in [deep, huge, nul, "\u{202e}".to_owned(), "</textarea><script>alert(1)</script>".to_owned()] {
        for answer in [file(text.as_bytes()), desk.0.post(TEXT, &[("version", version), ("text", &text)])] {
            assert_eq!(answer.status, 400);
            assert!(answer.writes.is_empty());
            let page = dom::page(html(&answer));
            assert!(
                page.elements
                    .iter()
                    .all(|element| element.name != "script" || element.attribute("src").is_some())
            );
        }
    }
    assert_eq!(desk.text(), EMPTY);
    // A file with a byte order mark and Windows' line ends is taken, and stays so.
    let crlf = EMPTY.replace('\n', "\r\n");
    assert_eq!(file(format!("\u{feff}{crlf}").as_bytes()).status, 303);
    assert_eq!(desk.text(), crlf);
    // Then a field keeps them, though a browser may send whatever it likes.
    let form = desk.form(TEXT, "Keep");
    desk.take(&form.with("text", &EMPTY.replace("Yard", "Mill")));
    assert_eq!(desk.text(), crlf.replace("Yard", "Mill"));
}

/// A text that no release can read any more is put right where it is.
#[test]
fn an_unreadable_job_is_put_right_on_its_own_page() {
    let desk = Desk::of("format = 1\n[site]\nnam = \"x\"\n");
    let front = desk.0.get("/j/y");
    assert!(html(&front).contains("/j/y/text"));
    let page = desk.0.get(TEXT);
    assert!(text(&page).contains("Line 3"), "{}", text(&page));
    desk.take(&form(html(&page), "Keep").with("text", "format = 1\n[site]\nname = \"x\"\n"));
    assert!(desk.text().contains("name"));
}
