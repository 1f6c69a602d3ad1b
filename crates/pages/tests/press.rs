//! What a press does: readings kept, remedies taken, changes taken back, the same form sent twice, two people at one thing.

mod dom;
mod seen;
mod shelf;

use pages::{Content, Method, Write};
use seen::{JOB, opened, text, to};
use shelf::{EXAMPLE, Shelf};

#[test]
fn a_reading_stands_in_the_job_and_in_the_evidence_and_comes_back_out_byte_for_byte() {
    let shelf = opened();
    let form = [("id", "r1"), ("when", "tripped"), ("shown", "4,71"), ("unit", "kohm"), ("then", "trip")];
    let answer = shelf.post(&format!("{JOB}/survey/C30"), &form);
    assert_eq!(answer.status, 303);
    assert_eq!(to(&answer), "/j/orchard-row/survey/C30?when=tripped&unit=kohm");
    assert!(
        shelf.text("orchard-row").contains(r#"{ when = "tripped", ohms = "4.71k" }"#),
        "{}",
        shelf.text("orchard-row")
    );
    let [Write::Save { changes, .. }, Write::Evidence { entry, .. }] = answer.writes.as_slice() else {
        panic!("two are written: {:?}", answer.writes)
    };
    assert_eq!(changes.len(), 1);
    assert_eq!((entry.kind.as_str(), entry.about.as_str()), ("reading", "C30"));
    assert_eq!(
        entry.data,
        r#"{"accuracy":"0.9 % + 2 digits","ohms":"4.71k","typed":"4,71 kΩ","when":"tripped"}"#
    );
    assert_eq!(entry.instrument, "meter");
    // The same form again: nothing twice.
    shelf.post(&format!("{JOB}/survey/C30"), &form);
    assert_eq!(shelf.text("orchard-row").matches("4.71k").count(), 1 + EXAMPLE.matches("4.71k").count());
    let undone = shelf
        .post(&format!("{JOB}/undo"), &[("id", "u1"), ("change", "r1"), ("back", "/j/orchard-row/record")]);
    assert_eq!(to(&undone), "/j/orchard-row/record");
    assert_eq!(shelf.text("orchard-row"), EXAMPLE);
    // What was observed stays observed.
    assert!(text(&shelf.get(&format!("{JOB}/record"))).contains("C30: tripped 4.71\u{2009}kΩ."));
}

#[test]
fn a_pair_costs_its_digits_and_two_presses() {
    let shelf = opened();
    let first = shelf.post(
        &format!("{JOB}/survey/C05"),
        &[("id", "a"), ("when", "rest"), ("shown", "2.21"), ("unit", "kohm"), ("then", "trip")],
    );
    let second = shelf.post(
        to(&first).split('?').next().unwrap(),
        &[("id", "b"), ("when", "tripped"), ("shown", "open"), ("unit", "kohm"), ("then", "next")],
    );
    let onward = shelf.get(to(&second));
    assert!(to(&onward).starts_with("/j/orchard-row/survey/C08?"), "{}", to(&onward));
    assert!(text(&shelf.get(&format!("{JOB}/survey/C05"))).contains("Settled: "));
}

#[test]
fn digits_are_weighed_while_they_are_typed_as_they_will_be_once_they_are_kept() {
    let shelf = opened();
    let typed = shelf.get(&format!("{JOB}/survey/C05/weigh?when=tripped&shown=open&unit=kohm"));
    let Content::Html(typed) = typed.content else { panic!("a part of a page") };
    shelf.post(
        &format!("{JOB}/survey/C05"),
        &[("id", "a"), ("when", "tripped"), ("shown", "open"), ("unit", "kohm")],
    );
    let Content::Html(kept) = shelf.get(&format!("{JOB}/survey/C05")).content else { panic!("a page") };
    assert!(typed.contains("Settled: "));
    assert!(kept.contains(&typed));
}

#[test]
fn what_no_meter_shows_is_refused_with_what_would_be_accepted() {
    let shelf = opened();
    for (shown, unit) in [("4.7.1", "kohm"), ("-5", "kohm"), ("<b>", "ohm"), ("1e99", "kohm"), ("", "kohm")] {
        let answer =
            shelf.post(&format!("{JOB}/survey/C05"), &[("when", "rest"), ("shown", shown), ("unit", unit)]);
        assert_eq!(answer.status, 400, "{shown}");
        assert!(answer.writes.is_empty());
    }
    let answer = shelf.post(
        &format!("{JOB}/survey/C05"),
        &[("when", "sometimes at night"), ("shown", "1"), ("unit", "kohm")],
    );
    assert_eq!(answer.status, 400);
    assert_eq!(shelf.text("orchard-row"), EXAMPLE);
}

#[test]
fn a_remedy_is_taken_with_one_press_and_the_circuit_then_reads_right() {
    let shelf = opened();
    let before = text(&shelf.get(&format!("{JOB}/c/C06")));
    assert!(before.contains("Change the resistor at the end to 2.2k"));
    let form = [("id", "m1"), ("remedy", "0"), ("text", "Change the resistor at the end to 2.2k.")];
    let done = shelf.post(&format!("{JOB}/c/C06/remedy"), &form);
    assert_eq!(done.status, 303);
    let [Write::Save { what, .. }, Write::Evidence { entry, .. }] = done.writes.as_slice() else {
        panic!("two are written: {:?}", done.writes)
    };
    assert_eq!(what, "Done: C06, change the resistor at the end to 2.2k.");
    assert_eq!((entry.kind.as_str(), entry.about.as_str(), &entry.words), ("work", "C06", what));
    assert!(before.contains("Press when it is done. Until then it stays in kit, cut-over and method."));
    let after = text(&shelf.get(&format!("{JOB}/c/C06")));
    assert!(after.contains("Input M1.6 reads this circuit right in every state."), "{after}");
    // Readings from before the work are no reason to write its network back.
    assert!(!after.contains("correct the network"), "{after}");
    for room in ["c/C06", "circuits"] {
        let page = text(&shelf.get(&format!("{JOB}/{room}")));
        let says = "Measure again; if the work is not done yet, take it back under Changes.";
        assert!(page.contains(says), "{room}: {page}");
    }
    // It is not offered any more, and a page that still shows it changes nothing.
    let again = shelf.post(&format!("{JOB}/c/C06/remedy"), &[("id", "m2"), ("text", form[2].1)]);
    assert_eq!(again.status, 400);
    shelf.post(&format!("{JOB}/undo"), &[("id", "u1"), ("change", "m1")]);
    assert_eq!(shelf.text("orchard-row"), EXAMPLE);
}

/// The place of the resistor goes with the work, in the same press.
#[test]
fn a_resistor_said_to_be_moved_was_seen_at_the_end() {
    let shelf = opened();
    let before = text(&shelf.get(&format!("{JOB}/c/C03")));
    let says = "Move the 2.2k from where it is (at the terminals) to the end of the line.";
    assert!(
        before.contains("Done: Move the 2.2k from where it is (at the terminals) to the end of the line"),
        "{before}"
    );
    assert_eq!(shelf.post(&format!("{JOB}/c/C03/remedy"), &[("id", "m1"), ("text", says)]).status, 303);
    let job = shelf.text("orchard-row");
    let written = |job: &str, place: &str| job.matches(&format!("resistor_at = \"{place}\"")).count();
    assert_eq!(written(&job, "end"), written(EXAMPLE, "end") + 1, "{job}");
    assert_eq!(written(&job, "panel") + 1, written(EXAMPLE, "panel"), "{job}");
    let after = text(&shelf.get(&format!("{JOB}/c/C03")));
    assert!(!after.contains("The resistor was seen"), "{after}");
    shelf.post(&format!("{JOB}/undo"), &[("id", "u1"), ("change", "m1")]);
    assert_eq!(shelf.text("orchard-row"), EXAMPLE);
}

#[test]
fn two_edits_of_one_thing_are_both_shown_and_two_of_different_things_both_made() {
    let shelf = opened();
    let change = |id: &str, key: &str, was: &str, to: &str| {
        shelf.post(
            &format!("{JOB}/change"),
            &[
                ("id", id),
                ("table", "circuit"),
                ("of", "C06"),
                ("key", key),
                ("was", was),
                ("to", to),
                ("back", JOB),
            ],
        )
    };
    assert_eq!(change("a", "place", "pharmacy door", "pharmacy, outer door").status, 303);
    let stale = change("b", "place", "pharmacy door", "pharmacy, inner door");
    assert_eq!(stale.status, 409);
    assert!(stale.writes.is_empty());
    let says = text(&stale);
    for part in ["pharmacy, outer door", "pharmacy, inner door", "pharmacy door"] {
        assert!(says.contains(part), "{part}: {says}");
    }
    // From the same stale page, another thing.
    assert_eq!(change("c", "was", "zone 6", "zone 6, pharmacy").status, 303);
    assert!(shelf.text("orchard-row").contains("pharmacy, outer door"));
    assert!(shelf.text("orchard-row").contains("zone 6, pharmacy"));
    // Having seen both, mine in its place.
    assert_eq!(change("d", "place", "pharmacy, outer door", "pharmacy, inner door").status, 303);
    assert!(shelf.text("orchard-row").contains("pharmacy, inner door"));
}

#[test]
fn only_what_pages_offer_can_be_changed_and_nothing_that_breaks_the_job() {
    let shelf = opened();
    let change = |table: &str, of: &str, key: &str, was: &str, to: &str| {
        shelf.post(
            &format!("{JOB}/change"),
            &[("table", table), ("of", of), ("key", key), ("was", was), ("to", to), ("back", JOB)],
        )
    };
    assert_eq!(change("circuit", "C06", "tag", "C06", "C07").status, 400);
    assert_eq!(change("meter", "", "ohms", "0.9 % + 2 digits", "1 %").status, 400);
    assert_eq!(change("circuit", "C06", "input", "M1.6", "M1.7").status, 400, "two on one input");
    assert_eq!(change("circuit", "C06", "duty", "intrusion", "gardening").status, 400);
    assert_eq!(change("module", "M1", "mode", "fixed-2k2", "no-such-mode").status, 400);
    assert_eq!(change("circuit", "C99", "place", "", "nowhere").status, 400);
    assert_eq!(shelf.text("orchard-row"), EXAMPLE);
}

#[test]
fn a_new_circuit_and_a_scanned_tag_and_a_strip_that_is_clear() {
    let shelf = opened();
    let answer = shelf.post(
        &format!("{JOB}/circuits"),
        &[
            ("id", "n1"),
            ("tag", "C37"),
            ("place", "attic \"north\""),
            ("duty", ""),
            ("ends_in", "E2"),
            ("then", "card"),
        ],
    );
    assert_eq!(to(&answer), "/j/orchard-row/survey/C37");
    let card = text(&shelf.get(&format!("{JOB}/survey/C37")));
    assert!(card.contains("All under 1 V and clear of earth"), "{card}");
    let clear = shelf.post(
        &format!("{JOB}/strip"),
        &[("id", "s1"), ("strip", "E2"), ("except", "C36"), ("back", "/j/orchard-row/survey/C37")],
    );
    let [Write::Evidence { entry, .. }] = clear.writes.as_slice() else { panic!("one entry") };
    assert_eq!((entry.kind.as_str(), entry.about.as_str()), ("strip-clear", "E2"));
    assert_eq!(entry.words, "All pairs under 1 V and all legs clear of earth, except C36.");
    let card = text(&shelf.get(&format!("{JOB}/survey/C37")));
    assert!(!card.contains("All under 1 V and clear of earth"), "{card}");
    // A pair that was added since then was not looked at.
    shelf.post(&format!("{JOB}/circuits"), &[("id", "n3"), ("tag", "C38"), ("ends_in", "E2")]);
    let later = text(&shelf.get(&format!("{JOB}/survey/C38")));
    assert!(later.contains("All under 1 V and clear of earth"), "{later}");
    shelf.post(&format!("{JOB}/undo"), &[("id", "u3"), ("change", "n3")]);
    assert_eq!(shelf.post(&format!("{JOB}/circuits"), &[("id", "n2"), ("tag", "C37")]).status, 400);
    shelf.post(&format!("{JOB}/undo"), &[("id", "u"), ("change", "n1")]);
    assert_eq!(shelf.text("orchard-row"), EXAMPLE);
}

#[test]
fn jobs_from_nothing_from_a_file_from_a_sheet() {
    let shelf = Shelf::new();
    let made = shelf.post(
        "/new",
        &[("id", "x"), ("as", "blank"), ("name", "Quarry \"Lane\"\\ 4\n"), ("units", "metric")],
    );
    assert_eq!(to(&made), "/j/quarry-lane-4");
    assert!(text(&shelf.get("/j/quarry-lane-4/survey")).contains("No pair here yet"));
    let twice = shelf.post("/new", &[("id", "y"), ("as", "blank"), ("name", "Quarry Lane 4")]);
    assert_eq!(to(&twice), "/j/quarry-lane-4-y");
    let file = shelf.upload("/new", &[("id", "z"), ("as", "file")], EXAMPLE.as_bytes());
    assert_eq!(to(&file), "/j/orchard-row-veterinary-hospital");
    let broken = shelf.upload("/new", &[("id", "z"), ("as", "file")], b"format = 1\n[site]\nnaem = 3\n");
    assert_eq!(broken.status, 400);
    assert!(text(&broken).contains("Line 3, column 1"), "{}", text(&broken));
    for bytes in [&b"\xff\xfe\x00"[..], b"PK\x03\x04", b""] {
        assert_eq!(shelf.upload("/new", &[("as", "file")], bytes).status, 400);
    }
    let sheet = "Tag,Place,At rest,Tripped,Note\nC01,\"hall, door\",2.21k,open,\nC02,yard,4.7k,,\nC01,,,,\n";
    let made =
        shelf.upload("/new", &[("id", "s"), ("as", "sheet"), ("name", "Sheet House")], sheet.as_bytes());
    assert_eq!(to(&made), "/j/sheet-house", "{made:?}");
    let kept = shelf.text("sheet-house");
    assert!(
        kept.contains(
            r#"found = [ { when = "rest", ohms = "2.21k" }, { when = "tripped", ohms = "open" } ]"#
        ),
        "{kept}"
    );
    assert!(
        text(&shelf.get("/j/sheet-house/survey")).contains("1 of 2 pairs settled"),
        "{}",
        text(&shelf.get("/j/sheet-house/survey"))
    );
    let wrong = shelf.upload("/new", &[("as", "sheet"), ("name", "S")], b"Tag,At rest\nC01,many\n");
    assert_eq!(wrong.status, 400);
    assert!(text(&wrong).contains("Cell B2"), "{}", text(&wrong));
}

#[test]
fn a_photo_goes_on_as_it_came_and_nothing_else_does() {
    let shelf = opened();
    let jpeg = [0xff, 0xd8, 0xff, 0xe0, 1, 2, 3];
    let answer =
        shelf.upload(&format!("{JOB}/photo"), &[("id", "p1"), ("about", "C06"), ("back", JOB)], &jpeg);
    assert!(matches!(answer.writes.as_slice(), [Write::Photo { about, .. }] if about == "C06"));
    assert_eq!(shelf.photo("orchard-row", "p1").as_deref(), Some(&jpeg[..]));
    for bytes in [&b"<svg onload=alert(1)>"[..], b"GIF89a", b""] {
        let answer = shelf.upload(&format!("{JOB}/photo"), &[("id", "p2"), ("back", JOB)], bytes);
        assert_eq!(answer.status, 400);
    }
}

#[test]
fn the_sheet_is_remembered_and_a_way_back_stays_on_this_site() {
    let shelf = opened();
    let answer = shelf.post("/sheet", &[("sheet", "night"), ("back", "//evil.example/")]);
    assert_eq!(
        (to(&answer), answer.remember.clone()),
        ("/", Some(pages::Remember::Sheet(pages::Sheet::Night)))
    );
    let mut request = shelf.request(Method::Get, "/");
    request.sheet = pages::Sheet::Night;
    let Content::Html(html) = shelf.ask(&request).content else { panic!("a page") };
    assert!(html.contains("data-sheet=\"night\""));
}

#[test]
fn a_tag_opens_its_card_however_it_is_read() {
    let shelf = opened();
    for code in ["C07", "c07", "loopwright%3Aorchard-row%2FC07", "%20C07%20"] {
        assert_eq!(to(&shelf.get(&format!("{JOB}/tag?code={code}"))), "/j/orchard-row/survey/C07", "{code}");
    }
    let own = "loopwright%3Aorchard-row-veterinary-hospital%2FC07";
    assert_eq!(to(&shelf.get(&format!("{JOB}/tag?code={own}"))), "/j/orchard-row/survey/C07");
    let other = shelf.get(&format!("{JOB}/tag?code=loopwright%3Aquarry-lane%2FC07"));
    assert_eq!(other.status, 400);
    assert!(text(&other).contains("quarry-lane"), "{}", text(&other));
    assert_eq!(to(&shelf.get(&format!("{JOB}/tag?code=C99"))), "/j/orchard-row/survey/C99");
    assert_eq!(to(&shelf.get(&format!("{JOB}/tag?code="))), "/j/orchard-row/survey");
}

/// The survey of the example has no input assigned: one press divides it, and one takes all of that back.
#[test]
fn circuits_are_divided_over_the_inputs_with_one_press() {
    const SURVEY: &str = include_str!("../../../examples/orchard-row/survey.toml");
    let shelf = Shelf::new();
    shelf.put("orchard-row", SURVEY);
    let Content::Html(plan) = shelf.get(&format!("{JOB}/inputs/divide")).content else { panic!("a page") };
    let press = dom::form(&plan, "Write it into the job").with("id", "d1");
    assert_eq!(shelf.post(&press.action, &press.pairs()).status, 303);
    let inputs = text(&shelf.get(&format!("{JOB}/inputs")));
    assert!(!inputs.contains("0 of 36 circuits are on inputs"), "{inputs}");
    let cut_over = text(&shelf.get(&format!("{JOB}/cut-over")));
    assert!(cut_over.contains("Method statement"), "{cut_over}");
    shelf.post(&format!("{JOB}/undo"), &[("id", "u1"), ("change", "d1")]);
    assert_eq!(shelf.text("orchard-row"), SURVEY);
}

/// `[fire]` and `[standing]` of the example hold empty texts: nothing clears the stop for fire alarms but a decision.
#[test]
fn what_stands_as_an_empty_text_can_be_written_and_taken_back() {
    let shelf = opened();
    for (table, key) in [("fire", "decision"), ("standing", "authority_in_writing")] {
        assert!(EXAMPLE.contains(&format!("{key} = \"\"")));
        let form = [
            ("id", key),
            ("table", table),
            ("of", ""),
            ("key", key),
            ("was", ""),
            ("to", "in writing"),
            ("back", JOB),
        ];
        assert_eq!(shelf.post(&format!("{JOB}/change"), &form).status, 303, "{key}");
        assert!(shelf.text("orchard-row").contains(&format!("{key} = \"in writing\"")));
        // Whoever still sees it empty does not write over it.
        let stale = [form[1], form[2], form[3], form[4], ("to", "by word of mouth"), form[6]];
        assert_eq!(shelf.post(&format!("{JOB}/change"), &stale).status, 409, "{key}");
        shelf.post(&format!("{JOB}/undo"), &[("change", key)]);
        assert_eq!(shelf.text("orchard-row"), EXAMPLE, "{key}");
    }
}

#[test]
fn no_ohms_of_a_pair_that_is_left_out_or_was_never_looked_at() {
    let shelf = opened();
    let read = |tag: &str, when: &str, shown: &str, unit: &str| {
        let form = [("when", when), ("shown", shown), ("unit", unit)];
        shelf.post(&format!("{JOB}/survey/{tag}"), &form)
    };
    let cleared = shelf.post(&format!("{JOB}/strip"), &[("strip", "E2"), ("except", "C36")]);
    assert_eq!(cleared.status, 303);
    let refused = read("C36", "rest", "47.2", "ohm");
    assert_eq!(refused.status, 400);
    assert!(text(&refused).contains("Read volts AC of the pair"), "{}", text(&refused));
    assert_eq!(read("C30", "rest", "4.7", "kohm").status, 303, "its strip is clear");
    // Nothing but volts, then earth, then the pair.
    assert_eq!(read("C36", "earth", "open", "kohm").status, 400);
    // AC alone says nothing of DC, and the pair nothing of its legs.
    for (when, unit) in
        [("rest", "Vac"), ("rest", "Vdc"), ("earth-a", "Vac"), ("earth-b", "Vac"), ("earth", "Vdc")]
    {
        assert_eq!(read("C36", "earth", "open", "kohm").status, 400, "before {when} {unit}");
        assert_eq!(read("C36", "rest", "47.2", "ohm").status, 400, "before {when} {unit}");
        assert_eq!(read("C36", when, "0.2", unit).status, 303);
    }
    assert_eq!(read("C36", "rest", "47.2", "ohm").status, 400);
    assert_eq!(read("C36", "earth", "open", "kohm").status, 303);
    assert_eq!(read("C36", "rest", "47.2", "ohm").status, 303);
    // Volts stop it again, and the press for the whole strip leaves it out.
    assert_eq!(read("C36", "rest", "12.1", "Vdc").status, 303);
    assert_eq!(read("C36", "rest", "47.2", "ohm").status, 400);
    let again = shelf.post(&format!("{JOB}/strip"), &[("strip", "E2")]);
    let [Write::Evidence { entry, .. }] = again.writes.as_slice() else { panic!("one entry") };
    assert_eq!(entry.words, "All pairs under 1 V and all legs clear of earth, except C36.");
    assert!(entry.data.contains(r#""except":["C36"]"#), "{}", entry.data);
    // A pair without any safety entry and without a reading.
    shelf.post(&format!("{JOB}/circuits"), &[("tag", "C37"), ("ends_in", "E1")]);
    assert_eq!(read("C37", "rest", "2.2", "kohm").status, 400);
    // Taken back: a new entry, and the strip is not clear any more.
    let form = [("strip", "E2"), ("takes_back", entry.id.as_str())];
    let back = shelf.post(&format!("{JOB}/strip"), &form);
    assert!(matches!(back.writes.as_slice(), [Write::Evidence { .. }]));
    assert_eq!(read("C30", "rest", "4.7", "kohm").status, 400);
}

#[test]
fn a_trip_is_taken_back_by_a_new_entry() {
    let shelf = opened();
    shelf.post(&format!("{JOB}/walk"), &[("id", "t1"), ("tag", "C05")]);
    assert!(text(&shelf.get(&format!("{JOB}/survey/C05"))).contains("Tripped now:"));
    let back = shelf.post(&format!("{JOB}/walk"), &[("tag", "C05"), ("takes_back", "t1")]);
    assert!(matches!(back.writes.as_slice(), [Write::Evidence { .. }]));
    assert!(!text(&shelf.get(&format!("{JOB}/survey/C05"))).contains("Tripped now:"));
    let walk = text(&shelf.get(&format!("{JOB}/walk")));
    assert!(walk.contains("taken back") && !walk.contains("Take back"), "{walk}");
}

#[test]
fn a_tag_beside_its_own_small_letters_and_an_unknown_unit_are_refused() {
    let shelf = opened();
    assert_eq!(shelf.post(&format!("{JOB}/circuits"), &[("tag", "c07")]).status, 400);
    let form = [("when", "rest"), ("shown", "2.2"), ("unit", "furlong")];
    let refused = shelf.post(&format!("{JOB}/survey/C05"), &form);
    assert_eq!(refused.status, 400);
    assert!(text(&refused).contains("Accepted: kohm, ohm"), "{}", text(&refused));
}

#[test]
fn readings_are_taken_back_in_any_order() {
    let shelf = opened();
    for (id, shown) in [("a", "2.21"), ("b", "2.22")] {
        let form = [("id", id), ("when", "rest"), ("shown", shown), ("unit", "kohm")];
        assert_eq!(shelf.post(&format!("{JOB}/survey/C05"), &form).status, 303);
    }
    for id in ["a", "b"] {
        assert_eq!(shelf.post(&format!("{JOB}/undo"), &[("change", id)]).status, 303, "{id}");
    }
    assert_eq!(shelf.text("orchard-row"), EXAMPLE);
}
