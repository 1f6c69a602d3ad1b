//! A safety entry follows the pair, not its tag; presses that came before; what was refused stays as it was typed.

mod dom;
mod seen;
mod shelf;

use pages::{Content, Write};
use seen::{JOB, html, opened, text, to};
use shelf::Shelf;

/// All presses of a page carry one id; one that kept something does not swallow another.
#[test]
fn a_press_whose_id_kept_something_else_is_told_and_does_not_look_done() {
    let shelf = opened();
    let add = [("id", "one"), ("tag", "C90"), ("ends_in", "E1")];
    shelf.post(&format!("{JOB}/circuits"), &add);
    let kept = shelf.text("orchard-row");
    assert!(kept.contains("C90"));
    let presses: [(&str, &[(&str, &str)]); 3] = [
        ("equipment", &[("id", "one"), ("do", "remove"), ("table", "circuit"), ("of", "C90")]),
        ("equipment", &[("id", "one"), ("do", "rename"), ("table", "circuit"), ("of", "C90"), ("to", "C91")]),
        ("inputs/divide", &[("id", "one"), ("seen", "")]),
    ];
    for (room, form) in presses {
        let answer = shelf.post(&format!("{JOB}/{room}"), form);
        assert_eq!(answer.status, 409, "{form:?}");
        assert!(text(&answer).contains("Kept already"), "{form:?}");
        assert!(shelf.text("orchard-row") == kept);
    }
}

/// What was refused stands in its page as it was typed: the page hears nothing of others, or they would take its place.
#[test]
fn a_page_that_refuses_keeps_what_was_typed_whatever_others_do() {
    let shelf = opened();
    let page = shelf.get(&format!("{JOB}/text"));
    assert!(html(&page).contains("data-events"));
    let wrong = shelf.post(&format!("{JOB}/text"), &[("id", "w"), ("version", "1"), ("text", "no = job")]);
    assert_eq!(wrong.status, 400);
    assert!(html(&wrong).contains("no = job") && !html(&wrong).contains("data-events"));
}

#[test]
fn what_a_safety_entry_says_follows_the_pair_and_not_its_tag() {
    let shelf = opened();
    let read = |tag: &str| {
        let form = [("when", "rest"), ("shown", "4.7"), ("unit", "kohm")];
        shelf.post(&format!("{JOB}/survey/{tag}"), &form).status
    };
    let gear = |id: &str, fields: &[(&str, &str)]| {
        let of = [&[("id", id), ("table", "circuit")][..], fields].concat();
        let answer = shelf.post(&format!("{JOB}/equipment"), &of);
        if answer.status != 409 {
            return answer;
        }
        let Content::Html(page) = &answer.content else { panic!("a page") };
        let mark = "name=\"seen\" value=\"";
        assert!(page.contains(mark), "{page}");
        let seen = page[page.find(mark).unwrap() + mark.len()..].split('"').next().unwrap().to_owned();
        let more = [("seen", seen.as_str()), ("way", "free")];
        shelf.post(&format!("{JOB}/equipment"), &[&of[..], &more].concat())
    };
    let rename = |id: &str, of: &str, to: &str| gear(id, &[("do", "rename"), ("of", of), ("to", to)]);
    shelf.post(&format!("{JOB}/strip"), &[("strip", "E2"), ("except", "C36")]);
    assert_eq!((read("C30"), read("C36")), (303, 400));
    // Taken out, and another cable comes under its tag.
    let out = gear("g1", &[("do", "remove"), ("of", "C30")]);
    assert_eq!(out.status, 303, "{}", text(&out));
    assert!(
        matches!(out.writes.as_slice(), [Write::Save { .. }, Write::Evidence { .. }, Write::Evidence { entry, .. }] if entry.kind == "called"),
        "{out:?}"
    );
    assert_eq!(shelf.post(&format!("{JOB}/circuits"), &[("tag", "C30"), ("ends_in", "E2")]).status, 303);
    assert_eq!(read("C30"), 400, "another cable");
    assert_eq!(gear("g2", &[("do", "remove"), ("of", "C30")]).status, 303);
    // Who is left out takes a tag that was clear, and stays left out.
    let answer = rename("g3", "C36", "C30");
    assert_eq!(answer.status, 303, "{}", text(&answer));
    assert_eq!(read("C30"), 400, "it is the pair that was left out");
    let undone = shelf.post(&format!("{JOB}/undo"), &[("change", "g3")]);
    assert_eq!(undone.status, 303, "{}", text(&undone));
    assert_eq!(read("C36"), 400, "and back");
    // Its ohms of before the entry free nothing under a new tag.
    assert_eq!(rename("g4", "C36", "C99").status, 303);
    assert_eq!(read("C99"), 400);
    // Who is clear stays clear.
    assert_eq!(read("C31"), 303);
    assert_eq!(rename("g5", "C31", "C98").status, 303);
    assert_eq!(read("C98"), 303);
    // Who was left out and taken out, while the strip is cleared anew, comes back left out.
    assert_eq!(gear("g6", &[("do", "remove"), ("of", "C99")]).status, 303);
    shelf.post(&format!("{JOB}/strip"), &[("strip", "E2")]);
    assert_eq!(shelf.post(&format!("{JOB}/undo"), &[("change", "g6")]).status, 303);
    assert_eq!(read("C99"), 400);
}

#[test]
fn volts_that_are_in_the_way_are_named_and_looked_for_again_where_they_were() {
    let shelf = opened();
    let form = [("when", "earth-a"), ("shown", "13.8"), ("unit", "Vdc"), ("then", "trip")];
    let kept = shelf.post(&format!("{JOB}/survey/C05"), &form);
    assert_eq!(to(&kept), "/j/orchard-row/survey/C05", "nothing is tripped now");
    let Content::Html(card) = shelf.get(to(&kept)).content else { panic!("a card") };
    assert!(card.contains("C05 has volts on it, first leg to earth 13.8 V DC"), "{card}");
    assert!(card.contains(r#"value="earth-a" checked"#) && card.contains(r#"value="Vdc" checked"#), "{card}");
}

#[test]
fn another_quantity_begins_in_its_usual_unit() {
    let shelf = opened();
    for (unit, wanted) in [("Vac", "kohm"), ("Mohm", "kohm"), ("mVdc", "kohm"), ("ohm", "ohm")] {
        let Content::Html(card) = shelf.get(&format!("{JOB}/survey/C05?unit={unit}")).content else {
            panic!("a card")
        };
        assert!(card.contains(&format!(r#"value="{wanted}" checked"#)), "{unit}");
    }
}

#[test]
fn what_is_refused_stands_on_the_card_as_it_was_typed() {
    let shelf = opened();
    let form = [("when", "reversed"), ("shown", "4,700"), ("unit", "ohm"), ("fed", "yes")];
    let refused = shelf.post(&format!("{JOB}/survey/C05"), &form);
    assert_eq!(refused.status, 400);
    assert!(
        text(&refused)
            .contains("can be read in two ways. Accepted: `4.700` where the comma is a point, `4700`"),
        "{}",
        text(&refused)
    );
    let Content::Html(card) = &refused.content else { panic!("a card") };
    for stands in [r#"value="4,700""#, r#"value="reversed" checked"#, r#"value="ohm" checked"#] {
        assert!(card.contains(stands), "{stands}: {card}");
    }
    let form = [("when", "rest"), ("shown", "2,2 kΩ"), ("unit", "ohm")];
    assert_eq!(shelf.post(&format!("{JOB}/survey/C05"), &form).status, 303);
}

#[test]
fn a_photo_with_a_code_that_could_not_be_read_opens_nothing_by_itself() {
    let shelf = opened();
    let seen = shelf.upload(&format!("{JOB}/tag"), &[], b"C05\n?");
    assert_eq!(seen.status, 200, "{seen:?}");
    assert!(text(&seen).contains("1 code read, others were seen that could not be read"), "{}", text(&seen));
}

#[test]
fn a_job_from_a_sheet_takes_no_ohms_of_a_pair_with_volts_of_its_own() {
    let shelf = Shelf::new();
    let sheet =
        "Tag,At rest,Volts DC,Leg a to earth\nC01,2.21k,13.8 V,\nC02,4.7k,0.1 V,12k\nC03,2.2k,,open\n";
    let made = shelf.upload("/new", &[("as", "sheet"), ("name", "Sheet House")], sheet.as_bytes());
    assert_eq!(to(&made), "/j/sheet-house", "{made:?}");
    let kept = shelf.text("sheet-house");
    assert!(!kept.contains("2.21k") && !kept.contains("4.7k") && kept.contains(r#"ohms = "2.2k""#), "{kept}");
    let [Write::NewJob { what, .. }, ..] = made.writes.as_slice() else { panic!("{made:?}") };
    assert!(what.contains("Not taken: the ohms in B2, B3;"), "{what}");
    // Nobody has written that its pairs are clear.
    let sheet = b"Tag,At rest\nC01,2.21k\n";
    shelf.upload("/new", &[("as", "sheet"), ("name", "Open House")], sheet);
    let room = text(&shelf.get("/j/open-house/survey"));
    assert!(
        room.contains("nobody has written its safety entry") && !room.contains("was read by itself"),
        "{room}"
    );
    for (wrong, cell) in
        [("Tag,Volts DC\nC01,OL\n", "Cell B2"), ("Tag,At rest,At rest\nC01,2k,3k\n", "Cell C1")]
    {
        let refused = shelf.upload("/new", &[("as", "sheet"), ("name", "W")], wrong.as_bytes());
        assert!(text(&refused).contains(cell), "{}", text(&refused));
    }
}

/// A whole text says nothing of what became of which pair: only what surely is the pair that was there stays clear.
#[test]
fn a_safety_entry_does_not_cover_what_a_whole_text_brings() {
    let shelf = opened();
    let read = |tag: &str| {
        let form = [("when", "rest"), ("shown", "4.7"), ("unit", "kohm")];
        shelf.post(&format!("{JOB}/survey/{tag}"), &form)
    };
    let put = |id: &str, text: &str| {
        let Content::Html(page) = shelf.get(&format!("{JOB}/text")).content else { panic!("a page") };
        let version = dom::form(&page, "Keep").field("version").to_owned();
        shelf.post(&format!("{JOB}/text"), &[("id", id), ("version", &version), ("text", text)])
    };
    shelf.post(&format!("{JOB}/strip"), &[("strip", "E2")]);
    assert_eq!(read("C30").status, 303);
    let text_of = || shelf.text("orchard-row");
    // Out with one text, and another cable under its tag with the next.
    let began = text_of();
    let out = put("t1", &began.replace("\"C30\"", "\"C70\""));
    assert!(
        matches!(out.writes.as_slice(), [Write::Save { .. }, Write::Evidence { .. }, Write::Evidence { entry, .. }] if entry.kind == "called"),
        "{out:?}"
    );
    let out = put("t2", &format!("{}\n[[circuit]]\ntag = \"C30\"\nends_in = \"E2\"\n", text_of()));
    assert_eq!(out.status, 303, "{}", text(&out));
    for tag in ["C30", "C70"] {
        assert_eq!(read(tag).status, 400, "{tag}");
    }
    let card = shelf.get(&format!("{JOB}/survey/C70"));
    assert!(text(&card).contains("The whole text of the job was written anew since"), "{}", text(&card));
    let room = text(&shelf.get(&format!("{JOB}/record")));
    assert!(room.contains("The safety entry of this strip goes on for"), "{room}");
    // The others are what they were.
    assert_eq!(read("C31").status, 303);
    // Two swapped in one text; taken back, they come back no surer.
    let swapped =
        text_of().replace("\"C31\"", "\"T\"").replace("\"C32\"", "\"C31\"").replace("\"T\"", "\"C32\"");
    assert_eq!(put("t3", &swapped).status, 303);
    assert_eq!((read("C31").status, read("C32").status, read("C33").status), (400, 400, 303));
    assert_eq!(shelf.post(&format!("{JOB}/undo"), &[("change", "t3")]).status, 303);
    assert_eq!((read("C31").status, read("C32").status, read("C33").status), (400, 400, 303));
    // The text of before all of it: taken, and no ohms of what it changes.
    assert_eq!(put("t4", &began).status, 303);
    assert_eq!(
        (read("C30").status, read("C33").status),
        (400, 400),
        "its reading is gone: another pair may be there"
    );
    assert_eq!(read("C34").status, 303);
    // Somebody looks, and writes it anew.
    shelf.post(&format!("{JOB}/strip"), &[("strip", "E2")]);
    assert_eq!(read("C30").status, 303);
}

#[test]
fn a_whole_text_taken_back_leaves_the_safety_entries_unsure_too() {
    let shelf = opened();
    let read = |tag: &str| {
        let form = [("when", "rest"), ("shown", "4.7"), ("unit", "kohm")];
        shelf.post(&format!("{JOB}/survey/{tag}"), &form).status
    };
    let before = shelf.text("orchard-row");
    let tag = "tag = \"C30\"";
    assert_eq!(before.matches(tag).count(), 1);
    let Content::Html(page) = shelf.get(&format!("{JOB}/text")).content else { panic!("a page") };
    let version = dom::form(&page, "Keep").field("version").to_owned();
    let anew = before.replace(tag, "tag = \"C70\"");
    shelf.post(&format!("{JOB}/text"), &[("id", "t"), ("version", &version), ("text", &anew)]);
    shelf.post(&format!("{JOB}/circuits"), &[("tag", "C80"), ("ends_in", "E2")]);
    shelf.post(&format!("{JOB}/strip"), &[("strip", "E2")]);
    assert_eq!(read("C70"), 303);
    shelf.post(&format!("{JOB}/undo"), &[("change", "t")]);
    assert!(shelf.text("orchard-row").contains(tag) && shelf.text("orchard-row").contains("C80"));
    assert_eq!(read("C30"), 400, "nobody said so of what is called C30 now");
    assert_eq!(read("C80"), 303);
}

/// Who presses has seen the pairs that stood on the page, and no other.
#[test]
fn a_press_covers_only_the_pairs_that_its_page_showed() {
    let shelf = opened();
    let Content::Html(room) = shelf.get(&format!("{JOB}/survey")).content else { panic!("a page") };
    let press = dom::forms(&room).into_iter().find(|form| {
        form.fields.iter().any(|field| field == &("strip".to_owned(), "E2".to_owned()))
            && form.fields.iter().any(|(name, _)| name == "seen")
    });
    let mut press = press.expect("the strip's press");
    press.fields.retain(|(name, _)| name != "except");
    // Meanwhile, in another window.
    shelf.post(&format!("{JOB}/circuits"), &[("tag", "C90"), ("ends_in", "E2")]);
    assert_eq!(shelf.post(&press.action, &press.pairs()).status, 303);
    let read = |tag: &str| {
        let form = [("when", "rest"), ("shown", "4.7"), ("unit", "kohm")];
        shelf.post(&format!("{JOB}/survey/{tag}"), &form).status
    };
    assert_eq!((read("C90"), read("C30")), (400, 303));
}

#[test]
fn a_pair_that_something_feeds_is_asked_for_its_volts_alone_everywhere() {
    let shelf = opened();
    let keep = |form: &[(&str, &str)]| shelf.post(&format!("{JOB}/survey/C36"), form);
    let asked = |when: &str, unit: &str| {
        let Content::Html(card) = shelf.get(&format!("{JOB}/survey/C36")).content else { panic!("a card") };
        let checked = |value: &str| card.contains(&format!(r#"value="{value}" checked"#));
        assert!(checked(when) && checked(unit), "{when} {unit}: {card}");
        card
    };
    keep(&[("when", "live"), ("shown", "230"), ("unit", "Vac")]);
    let card = asked("rest", "Vac");
    assert!(card.contains("Volts AC of the pair, off its terminals, before any ohms."), "{card}");
    let walk = |tag: &str| text(&shelf.get(&format!("{JOB}/walk?tag={tag}")));
    assert!(
        walk("C36").contains("Something feeds C36") && !walk("C36").contains("trip it"),
        "{}",
        walk("C36")
    );
    let sheet = text(&shelf.get("/j/orchard-row/c/C36"));
    assert!(
        sheet.contains("Something feeds this pair") && !sheet.contains("Measure the pair at rest"),
        "{sheet}"
    );
    assert!(!walk("C05").contains("Something feeds") && walk("C05").contains("trip it"), "{}", walk("C05"));
    let Content::Html(survey) = shelf.get(&format!("{JOB}/survey")).content else { panic!("a room") };
    assert!(survey.contains(r#"href="/j/orchard-row/survey/C36""#));
    assert!(!survey.contains(r#"href="/j/orchard-row/survey/C36?when="#), "{survey}");
    // The pair alone does not clear it, nor one leg of it.
    keep(&[("when", "rest"), ("shown", "0.1"), ("unit", "Vac")]);
    asked("earth-a", "Vac");
    keep(&[("when", "earth-a"), ("shown", "0.1"), ("unit", "Vac")]);
    asked("earth-b", "Vac");
    let refused = keep(&[("when", "rest"), ("shown", "47"), ("unit", "ohm")]);
    assert_eq!(refused.status, 400, "{}", text(&refused));
    keep(&[("when", "earth-b"), ("shown", "0.1"), ("unit", "Vac")]);
    let live = keep(&[("when", "live"), ("shown", "4.7"), ("unit", "kohm")]);
    assert!(text(&live).contains("Lift the pair, and read it at rest"), "{}", text(&live));
}
