//! The card's units and refusals, the walk, tags by photo, sheets into a job.

mod dom;
mod seen;
mod shelf;

use pages::{Answer, Write};
use seen::{JOB, html, opened, text, to};
use shelf::{EXAMPLE, Shelf};

fn entry(answer: &Answer) -> String {
    let entries = answer.writes.iter().filter_map(|write| match write {
        Write::Evidence { entry, .. } => Some(entry.data.clone()),
        _ => None,
    });
    entries.collect::<Vec<_>>().join("\n")
}

#[test]
fn every_unit_is_a_press_and_a_unit_that_was_typed_counts_more() {
    let shelf = opened();
    for (shown, unit, written) in [
        ("470", "ohm", r#"ohms = "470 ohm""#),
        ("O.L", "kohm", r#"ohms = "open""#),
        ("4k7", "kohm", r#"ohms = "4k7""#),
        ("2,2k", "Mohm", r#"ohms = "2.2k""#),
        ("1.02", "Mohm", r#"ohms = "1.02M""#),
        ("0.2", "Vac", r#"volts_ac = "0.2 V""#),
        ("\u{2212}0.31", "Vdc", r#"volts_dc = "-0.31 V""#),
        ("-12.5", "mVdc", r#"volts_dc = "-12.5 mV""#),
        ("3.1", "mA", r#"amps = "3.1 mA""#),
        ("0.4 V", "Vac", r#"volts_ac = "0.4 V""#),
        ("unstable", "Vdc", r#"volts_dc = "unstable""#),
    ] {
        let form = [("when", "rest"), ("shown", shown), ("unit", unit)];
        let answer = shelf.post(&format!("{JOB}/survey/C05"), &form);
        assert_eq!(answer.status, 303, "{shown} {unit}");
        let kept = shelf.text("orchard-row");
        assert!(kept.contains(written), "{shown} {unit}: {written}");
        assert!(entry(&answer).contains("typed"), "{}", entry(&answer));
    }
    // What is no display, and volts that do not say of which kind.
    for (shown, unit, says) in [
        (">20M", "kohm", "Accepted: `open`"),
        ("12 V", "kohm", "AC or DC"),
        ("open", "Vac", "only ohms are open"),
        ("-5", "kohm", ""),
    ] {
        let answer =
            shelf.post(&format!("{JOB}/survey/C06"), &[("when", "rest"), ("shown", shown), ("unit", unit)]);
        assert_eq!(answer.status, 400, "{shown}");
        assert!(text(&answer).to_lowercase().contains(&says.to_lowercase()), "{}", text(&answer));
    }
}

#[test]
fn what_keep_would_refuse_is_refused_while_it_is_typed() {
    let shelf = opened();
    shelf.post(&format!("{JOB}/circuits"), &[("tag", "C37"), ("ends_in", "E1")]);
    let weigh = |shown: &str, unit: &str| {
        html(&shelf.get(&format!("{JOB}/survey/C37/weigh?when=rest&shown={shown}&unit={unit}"))).to_owned()
    };
    assert!(weigh("2.2", "kohm").contains("No ohms of C37"), "{}", weigh("2.2", "kohm"));
    assert!(!weigh("0.2", "Vac").contains("No ohms of C37"));
    // The card begins with what may be read.
    let card = shelf.get(&format!("{JOB}/survey/C37"));
    assert!(html(&card).contains(r#"value="Vac" checked"#));
}

#[test]
fn a_leg_that_finds_earth_is_told_once_and_no_press_for_the_strip_is_offered() {
    let shelf = opened();
    let form = [("when", "earth-a"), ("shown", "2.1"), ("unit", "kohm")];
    assert_eq!(shelf.post(&format!("{JOB}/survey/C05"), &form).status, 303);
    let card = text(&shelf.get(&format!("{JOB}/survey/C05")));
    assert!(!card.contains("All under 1 V and clear of earth"), "{card}");
    assert!(!card.contains("Most likely") && !card.contains("Settled"), "{card}");
    assert_eq!(card.matches("are not used").count(), 1, "{card}");
}

#[test]
fn the_next_card_says_what_the_one_before_came_to() {
    let shelf = opened();
    let form = [("when", "tripped"), ("shown", "open"), ("unit", "kohm"), ("then", "next")];
    let kept = shelf.post(&format!("{JOB}/survey/C05"), &form);
    let onward = shelf.get(to(&kept));
    assert!(to(&onward).ends_with("&of=C05"), "{}", to(&onward));
    let next = text(&shelf.get(to(&onward)));
    assert!(next.contains("C05") && next.contains("Settled: closed contacts in line"), "{next}");
}

#[test]
fn a_press_of_the_walk_goes_on_and_whoever_holds_the_meter_hears_it_on_any_card() {
    let shelf = opened();
    let walk = text(&shelf.get(&format!("{JOB}/walk")));
    let first = walk.split("Skip to ").next().map(str::to_owned).expect("a walk");
    assert!(first.contains("tripped now"));
    let pressed = shelf.post(&format!("{JOB}/walk"), &[("tag", "C05")]);
    let next = to(&pressed);
    assert!(next.contains("pressed=C05") && !next.contains("tag=C05"), "{next}");
    let page = text(&shelf.get(next));
    assert!(page.contains("Again: C05"), "{page}");
    // Another pair's card hears of it, and leads there.
    let other = shelf.get(&format!("{JOB}/survey/C30"));
    assert!(html(&other).contains("survey/C05?when=tripped"), "the card of another pair");
    // Through to the end: it comes to one, and says so.
    let mut at = format!("{JOB}/walk");
    for _ in 0..80 {
        let page = shelf.get(&at);
        let html = html(&page);
        let tag = html
            .split("name=\"tag\" value=\"")
            .nth(1)
            .and_then(|rest| rest.split('"').next())
            .expect("a pair");
        let onward = to(&shelf.post(&format!("{JOB}/walk"), &[("tag", tag)])).to_owned();
        if onward.ends_with(&format!("tag={tag}&pressed={tag}")) {
            assert!(text(&shelf.get(&onward)).contains("the last of the walk"));
            return;
        }
        at = onward;
    }
    panic!("the walk has no end");
}

#[test]
fn a_photo_of_a_tag_opens_its_card_or_says_why_not() {
    let shelf = opened();
    let own = "loopwright:orchard-row-veterinary-hospital";
    let photo = |codes: &str| shelf.upload(&format!("{JOB}/tag"), &[], codes.as_bytes());
    assert_eq!(to(&photo(&format!("{own}/C07"))), "/j/orchard-row/survey/C07");
    assert_eq!(to(&photo(&format!("{own}/C99"))), "/j/orchard-row/survey/C99");
    assert_eq!(to(&photo(&format!("{}/c07", own.to_uppercase()))), "/j/orchard-row/survey/C07");
    let page = |codes: &str| text(&photo(codes));
    assert!(page("loopwright:quarry-lane/C07").contains("of another site, quarry-lane"));
    assert!(page("https://example.org/C07").contains("no tag of ours"));
    let several = photo(&format!("{own}/C07\n{own}/C08\nloopwright:quarry-lane/C01"));
    assert!(several.writes.is_empty());
    let several = text(&several);
    assert!(
        several.contains("several codes") && several.contains("C08") && several.contains("quarry-lane"),
        "{several}"
    );
    let hostile = photo(&format!("{own}/<script>alert(1)</script>\n{own}/\u{202e}C07"));
    assert!(!html(&hostile).contains("<script>alert"), "markup is escaped");
    for nothing in [&b"\n"[..], b"\xff\xd8\xff", b""] {
        let answer = shelf.upload(&format!("{JOB}/tag"), &[], nothing);
        assert_eq!(answer.status, if nothing == b"\n" { 303 } else { 400 });
    }
    // A scanner that types into the display is no reading.
    let form = [("when", "rest"), ("shown", "loopwright:orchard-row/C08"), ("unit", "kohm")];
    let scanned = shelf.post(&format!("{JOB}/survey/C05"), &form);
    assert_eq!(to(&scanned), "/j/orchard-row/survey/C08");
    assert!(scanned.writes.is_empty());
}

#[test]
fn readings_of_a_sheet_are_shown_then_written_as_one_change_and_taken_back() {
    let shelf = opened();
    let sheet = "Survey of 3 May\n\nTag;Place;Volts DC;Leg a to earth;Leg b to earth;At rest;Device;Tripped;Note\n\
                 C05;;;;;2.23k;;OL;\nC30;;;;;4.71 kΩ;hall;4k7;seen twice\nC40;loft;0 V;OL;OL;2.2k;;;\nC41;;;;;2.2k;;;\n";
    let page = shelf.upload(&format!("{JOB}/readings"), &[("id", "s1")], sheet.as_bytes());
    assert!(page.writes.is_empty(), "nothing is written before it was seen");
    let shown = text(&page);
    for says in [
        "readings of file would be written",
        "New pairs: C40, C41",
        "H4",
        "Not taken",
        "No ohms of C40 before its volts: read volts AC of the pair",
        "No ohms of C41",
        "1 reading stands here already",
    ] {
        assert!(shown.contains(says), "{says}: {shown}");
    }
    let carried =
        html(&page).split("name=\"rows\" value=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap();
    let carried = carried.replace("&quot;", "\"").replace("&amp;", "&");
    let form = [("id", "s1"), ("rows", carried.as_str())];
    let written = shelf.post(&format!("{JOB}/readings"), &form);
    assert_eq!(to(&written), "/j/orchard-row/survey");
    let saves = written.writes.iter().filter(|write| matches!(write, Write::Save { .. })).count();
    assert_eq!(saves, 1);
    assert!(entry(&written).contains("cell H4"), "{}", entry(&written));
    let kept = shelf.text("orchard-row");
    assert!(kept.contains("tag = \"C40\"\nplace = \"loft\"\nfound = ["));
    // A leg is read to earth when the volts AC and DC of pair and legs are known; the sheet says one of them.
    let new = &kept[kept.find("C40").unwrap()..];
    assert!(new.contains(r#"found = [ { when = "rest", volts_dc = "0 V" } ]"#), "{new}");
    assert!(kept.contains(r#"{ when = "hall", ohms = "4.7k" }"#));
    // Sent twice it is one, and it comes back out whole.
    shelf.post(&format!("{JOB}/readings"), &form);
    assert!(shelf.text("orchard-row") == kept);
    shelf.post(&format!("{JOB}/undo"), &[("id", "u1"), ("change", "s1")]);
    assert!(shelf.text("orchard-row") == EXAMPLE, "not as it was");
}

#[test]
fn what_of_a_sheet_cannot_be_read_is_told_by_its_cell_in_words_of_a_page() {
    let shelf = opened();
    let sheet = "Tag,At rest,Colour\nC05,470,red\nC06,\"4,700 ohm\",\nC07,>20M,\nC08,many,\n";
    let answer = shelf.upload(&format!("{JOB}/readings"), &[], sheet.as_bytes());
    assert_eq!(answer.status, 400);
    let says = text(&answer);
    for part in [
        "Cell B2:",
        "unit of",
        "Cell B3:",
        "`4700 ohm` where it parts thousands",
        "Cell B4:",
        "`open` or `OL`",
        "Cell B5:",
        "Cell C2:",
        "a head of a survey sheet",
    ] {
        assert!(says.contains(part), "{part}: {says}");
    }
    assert!(!says.contains("--map") && !says.contains("[["), "{says}");
    for (bytes, part) in
        [(&b"PK\x03\x04"[..], "workbook"), (b"a,b\n1,2\n", "Tag"), (b"\xff\xff", "neither"), (b"", "No file")]
    {
        let answer = shelf.upload(&format!("{JOB}/readings"), &[], bytes);
        assert_eq!(answer.status, 400);
        assert!(text(&answer).contains(part), "{}", text(&answer));
    }
    for carried in ["{", "{\"file\":\"a\",\"rows\":[[1]]}", "[]"] {
        assert_eq!(shelf.post(&format!("{JOB}/readings"), &[("rows", carried)]).status, 400);
    }
    assert_eq!(shelf.text("orchard-row"), EXAMPLE);
}

#[test]
fn what_was_typed_on_the_walk_is_still_there_when_it_is_refused() {
    let shelf = Shelf::new();
    shelf.put("orchard-row", EXAMPLE);
    for (tag, says) in [("C05", "This is no name of a device."), ("C99", "There is no pair")] {
        let refused = shelf.post(&format!("{JOB}/walk"), &[("tag", tag), ("device", "hall door <3>")]);
        assert_eq!(refused.status, 400);
        assert!(refused.writes.is_empty());
        assert!(text(&refused).contains(says), "{}", text(&refused));
        let forms = dom::forms(html(&refused));
        let form = forms.iter().find(|form| !form.field("device").is_empty()).expect("what was typed");
        assert!(tag != "C05" || form.field("tag") == tag);
        assert_eq!(form.field("device"), "hall door <3>");
        // Put right, it goes on from there.
        let done = shelf.post(&format!("{JOB}/walk"), &[("tag", form.field("tag")), ("device", "hall_door")]);
        assert_eq!(done.status, 303);
    }
}
