//! A job that begins empty is finished on its pages: equipment and circuits; two people at it; the way back.

mod dom;
mod hand;
mod shelf;

use dom::{Form, form};
use hand::{Desk, EMPTY, html, text};
use shelf::EXAMPLE;

const EQUIPMENT: &str = "/j/y/equipment";

#[test]
fn a_job_from_nothing_gets_its_equipment_and_all_of_it_is_taken_back() {
    let desk = Desk::of(EMPTY);
    let mut made = Vec::new();
    let mut take = |form: Form| {
        made.push(form.field("id").to_owned());
        desk.take(&form);
    };
    let box_form = desk.form(EQUIPMENT, "Add this enclosure");
    assert_eq!(box_form.field("k-id"), "E1");
    take(box_form.with("k-place", "riser, \"left\"").with("k-profile", "enclosure-large"));
    let module = desk.form(EQUIPMENT, "Add this module");
    assert_eq!(module.field("k-id"), "M1");
    take(module.with("k-profile", "input-12").with("k-enclosure", "E1").with("k-mode", "fixed-2k2"));
    take(
        desk.form(EQUIPMENT, "Add this supply")
            .with("k-profile", "psu-12v-2a")
            .with("k-enclosure", "E1")
            .with("k-battery", "vrla-12v-7ah")
            .with("k-strings", "1")
            .with("k-temperature", "10 C to 30 C"),
    );
    take(
        desk.form(EQUIPMENT, "Add this run of cable")
            .with("k-from", "P1")
            .with("k-to", "J1")
            .with("k-cable", "25 m of 18 AWG"),
    );
    take(
        desk.form(EQUIPMENT, "Add this load")
            .with("k-at", "J1")
            .with("k-device", "motion-pir")
            .with("k-count", "3"),
    );
    let meter = dom::forms(html(&desk.0.get(EQUIPMENT)));
    let meter = meter.iter().find(|form| form.field("table") == "meter").expect("the meter's form").clone();
    take(meter.with("k-ohms", "0.9 % + 2 digits").with("k-counts", "6000"));
    take(desk.form(EQUIPMENT, "Add this cable").with("k-ends_in", "E1"));
    for tag in ["C01", "C02"] {
        desk.0.post("/j/y/circuits", &[("id", tag), ("tag", tag), ("ends_in", "E1"), ("duty", "intrusion")]);
    }
    take(desk.form(EQUIPMENT, "Add this core").with("k-colour", "red").with("k-to", "C01.a, C02.a"));
    take(
        desk.form("/j/y/c/C01", "Write all of this into C01")
            .with("k-network", "wire:38m - nc:leaf1 - 2.2k")
            .with("k-input", "M1.7"),
    );
    let written = desk.text();
    for line in [
        "place = \"riser, \\\"left\\\"\"",
        "strings = 1",
        "counts = 6000",
        "runs = [ { from = \"P1\", to = \"J1\", cable = \"25 m of 18 AWG\" } ]",
        "loads = [ { at = \"J1\", device = \"motion-pir\", count = 3 } ]",
        "cores = [ { colour = \"red\", to = [\"C01.a\", \"C02.a\"] } ]",
        "input = \"M1.7\"",
    ] {
        assert!(written.contains(line), "{line}\n{written}");
    }
    assert!(text(&desk.0.get("/j/y/c/C01")).contains("Input M1.7 reads this circuit right in every state."));
    assert!(text(&desk.0.get(EQUIPMENT)).contains("1 enclosure, 1 module, 1 supply."));
    // Back the way it came; a new circuit stands in between, taken back in its turn.
    let (first, last) = made.split_at(7);
    let order = last
        .iter()
        .rev()
        .map(String::as_str)
        .chain(["C02", "C01"])
        .chain(first.iter().rev().map(String::as_str));
    for id in order {
        assert_eq!(desk.undo(id).status, 303, "{id} {}", desk.text());
    }
    assert_eq!(desk.text(), EMPTY);
}

#[test]
fn what_cannot_be_taken_stays_in_its_field_with_the_reason_beside_it() {
    let desk = Desk::of(EMPTY);
    desk.take(&desk.form(EQUIPMENT, "Add this enclosure"));
    let refused = |form: Form, says: &str, key: &str, typed: &str| {
        let answer = desk.send(&form);
        assert_eq!(answer.status, 400, "{says}");
        assert!(answer.writes.is_empty());
        let shown = text(&answer);
        assert!(shown.contains(says), "{says}: {shown}");
        assert!(shown.contains("Accepted: "), "{shown}");
        let again = dom::forms(html(&answer));
        let again = again.iter().find(|again| again.field(key) == typed);
        assert!(again.is_some(), "{key} still says {typed}");
    };
    let module = || desk.form(EQUIPMENT, "Add this module");
    refused(
        module().with("k-profile", "input-12").with("k-mode", "fixed-9k9"),
        "fixed-9k9",
        "k-mode",
        "fixed-9k9",
    );
    refused(module().with("k-fed_by", "P7"), "No supply point `P7`", "k-fed_by", "P7");
    refused(module().with("k-enclosure", "E9"), "No enclosure `E9`, did you mean `E1`?", "k-enclosure", "E9");
    let supply = || desk.form(EQUIPMENT, "Add this supply");
    refused(supply().with("k-strings", "two"), "strings", "k-strings", "two");
    refused(supply().with("k-temperature", "warm"), "warm", "k-temperature", "warm");
    refused(supply().with("k-fuse", "3"), "3", "k-fuse", "3");
    let enclosure = desk.form(EQUIPMENT, "Add this enclosure").with("k-id", "e1");
    refused(enclosure, "There is an enclosure e1 already.", "k-id", "e1");
    assert_eq!(desk.text(), format!("{EMPTY}\n[[enclosure]]\nid = \"E1\"\n"));
}

#[test]
fn a_network_that_cannot_be_read_is_marked_at_its_column() {
    let desk = Desk::of(&format!("{EMPTY}\n[[circuit]]\ntag = \"C01\"\n"));
    let form = desk.form("/j/y/c/C01", "Write all of this into C01");
    let answer = desk.send(&form.with("k-network", "nc:front-door - 2.2k").with("k-gauge", "0.5 mm2"));
    assert_eq!(answer.status, 400);
    let shown = html(&answer);
    assert!(shown.contains("nc:front-door - 2.2k\n         ^ column 10"), "{shown}");
    assert!(shown.contains("value=\"0.5 mm2\""), "the other field is still there");
    assert!(
        text(&answer).contains("write `front_door`") || text(&answer).contains("front_door"),
        "{}",
        text(&answer)
    );
    assert!(!desk.text().contains("front"));
}

#[test]
fn a_module_with_circuits_on_it_is_not_taken_out_without_a_word() {
    let desk = Desk::of(EXAMPLE);
    let ask = desk.send(&desk.form(EQUIPMENT, "Take module M1 out"));
    assert_eq!(ask.status, 409);
    assert!(ask.writes.is_empty());
    let says = text(&ask);
    assert!(says.contains("Circuit C01 is on M1.1."), "{says}");
    let free = form(html(&ask), "Take M1 out, and its name out of these").with("id", "out");
    desk.take(&free);
    let after = desk.text();
    assert!(!after.contains("\"M1."), "{after}");
    assert!(job::Job::read(&document::Source::new("job.toml", after.as_str())).is_ok());
    assert_eq!(desk.undo("out").status, 303);
    assert_eq!(desk.text(), EXAMPLE, "one press takes all of it back");
    // A module that a circuit is on already cannot take all of them.
    let move_all = form(
        html(&desk.send(&desk.form(EQUIPMENT, "Take module M1 out"))),
        "Take M1 out, and put these on M2",
    );
    let answer = desk.send(&move_all);
    assert_eq!(answer.status, 400);
    assert!(text(&answer).contains("already"), "{}", text(&answer));
}

#[test]
fn what_hangs_on_an_enclosure_goes_to_another_with_one_press() {
    let desk = Desk::of(&format!(
        "{EMPTY}[[enclosure]]\nid = \"E1\"\n[[enclosure]]\nid = \"E2\"\n[[module]]\nid = \"M1\"\nenclosure = \"E1\"\n[[circuit]]\ntag = \"C1\"\nends_in = \"E1\"\n[[supply]]\nid = \"P1\"\nenclosure = \"E1\"\n"
    ));
    let before = desk.text();
    let ask = desk.send(&desk.form(EQUIPMENT, "Take enclosure E1 out"));
    assert!(text(&ask).contains("3 things name enclosure E1."), "{}", text(&ask));
    desk.take(&form(html(&ask), "Take E1 out, and put these on E2").with("id", "moved"));
    assert_eq!(desk.text().matches("\"E2\"").count(), 4, "{}", desk.text());
    assert!(!desk.text().contains("\"E1\""));
    desk.undo("moved");
    assert_eq!(desk.text(), before);
}

/// One removes a module while the other gives a circuit an input of it: whoever comes second is asked, and nothing is lost.
#[test]
fn two_windows_at_one_module_lose_nothing() {
    let job = format!(
        "{EMPTY}[[module]]\nid = \"M1\"\nprofile = \"input-12\"\n[[circuit]]\ntag = \"C1\"\nnetwork = \"wire:9m - nc:door - 2.2k\"\n"
    );
    // The input first, the removal second.
    let desk = Desk::of(&job);
    let out = desk.form(EQUIPMENT, "Take module M1 out");
    let input = desk.form("/j/y/c/C1", "Write all of this into C1").with("k-input", "M1.3");
    desk.take(&input);
    let asked = desk.send(&out);
    assert_eq!(asked.status, 409);
    assert!(text(&asked).contains("Circuit C1 is on M1.3."), "{}", text(&asked));
    assert!(desk.text().contains("input = \"M1.3\""));
    // What was seen there is not what is there when the press comes: asked again.
    let free = form(html(&asked), "Take M1 out, and its name");
    desk.0.post("/j/y/circuits", &[("tag", "C2")]);
    desk.take(&desk.form("/j/y/c/C2", "Write all of this into C2").with("k-input", "M1.4"));
    let again = desk.send(&free);
    assert_eq!(again.status, 409);
    assert!(text(&again).contains("Circuit C2 is on M1.4."), "{}", text(&again));
    assert!(desk.text().contains("[[module]]"));
    // The removal first, the input second.
    let desk = Desk::of(&job);
    let out = desk.form(EQUIPMENT, "Take module M1 out");
    desk.take(&out);
    let answer = desk.send(&input);
    assert_eq!(answer.status, 400);
    assert!(answer.writes.is_empty());
    assert!(text(&answer).contains("No module `M1`"), "{}", text(&answer));
    assert!(html(&answer).contains("M1.3"), "what was wanted is still there");
    // The same form of the module that is gone.
    let mode = Desk::of(&job).form(EQUIPMENT, "Write all of this into M1").with("k-mode", "fixed-2k2");
    let answer = desk.send(&mode);
    assert_eq!(answer.status, 409);
    assert!(text(&answer).contains("Mode fixed-2k2"), "{}", text(&answer));
}

#[test]
fn two_people_at_one_field_both_see_it_and_at_two_fields_both_are_kept() {
    let desk = Desk::of(&format!("{EMPTY}[[enclosure]]\nid = \"E1\"\nplace = \"riser\"\n"));
    let seen = desk.form(EQUIPMENT, "Write all of this into E1");
    desk.take(&seen.clone().with("k-place", "attic"));
    // Another field of the form that was opened before.
    desk.take(&seen.clone().with("id", "second").with("k-spare", "2"));
    assert!(
        desk.text().contains("place = \"attic\"") && desk.text().contains("spare = 2"),
        "{}",
        desk.text()
    );
    let clash = desk.send(&seen.with("id", "third").with("k-place", "cellar"));
    assert_eq!(clash.status, 409);
    let says = text(&clash);
    for word in ["You saw riser", "It is now attic", "You wanted cellar"] {
        assert!(says.contains(word), "{says}");
    }
    desk.take(&form(html(&clash), "Write mine in its place"));
    assert!(desk.text().contains("place = \"cellar\"") && desk.text().contains("spare = 2"));
}

#[test]
fn a_form_that_comes_twice_writes_once() {
    let desk = Desk::of(EMPTY);
    let add = desk.form(EQUIPMENT, "Add this enclosure");
    desk.take(&add);
    desk.take(&add);
    assert_eq!(desk.text().matches("[[enclosure]]").count(), 1);
    let out = desk.form(EQUIPMENT, "Take enclosure E1 out");
    desk.take(&out);
    desk.take(&out);
    assert_eq!(desk.text(), EMPTY);
}

#[test]
fn a_circuit_gets_another_tag_wherever_it_is_named_and_gets_it_back() {
    let job = format!(
        "{EMPTY}[[area]]\nnumber = 1\nroute = [\"C1\"]\n[[device]]\nid = \"C1/door\"\nplace = \"front\"\n[[circuit]]\ntag = \"C1\" # the front\nnetwork = \"nc:door - 2.2k\"\n[[circuit]]\ntag = \"C2\"\n[[cable]]\nid = \"K1\"\ncores = [ {{ colour = \"red\", to = [\"C1.a\", \"C2.a\"] }}, {{ to = \"C1.b\" }} ]\n"
    );
    let desk = Desk::of(&job);
    let rename = desk.form("/j/y/c/C1", "Call it so").with("to", "F 01").with("id", "anew");
    let answer = desk.send(&rename);
    assert_eq!(answer.status, 303, "{:?}", answer.content);
    let after = desk.text();
    assert!(!after.contains("C1"), "{after}");
    assert!(after.contains("tag = \"F 01\" # the front"), "{after}");
    assert!(text(&desk.0.get("/j/y/c/F%2001")).contains("F 01"));
    assert_eq!(
        desk.send(&desk.form("/j/y/c/C2", "Call it so").with("to", "F 01")).status,
        400,
        "two of one tag"
    );
    assert_eq!(desk.undo("anew").status, 303);
    assert_eq!(desk.text(), job);
    // Taken out: what names it is named.
    let ask = desk.send(&desk.form("/j/y/c/C1", "Take circuit C1 out"));
    assert_eq!(ask.status, 409);
    let says = text(&ask);
    for word in ["Device C1/door is on it", "Cores of cable K1 serve it.", "way in of area 1"] {
        assert!(says.contains(word), "{says}");
    }
    desk.take(&form(html(&ask), "Take C1 out").with("id", "gone"));
    assert!(!desk.text().contains("C1"), "{}", desk.text());
    assert_eq!(desk.undo("gone").status, 303);
    assert_eq!(desk.text(), job);
}

#[test]
fn a_form_that_changes_nothing_writes_nothing_whatever_the_job_holds() {
    let desk = Desk::of(EXAMPLE);
    for path in [EQUIPMENT, "/j/y/c/C01", "/j/y/c/C07", "/j/y/c/C36"] {
        for form in dom::forms(html(&desk.0.get(path))) {
            let (does, out) = (form.field("do").to_owned(), form.field("at") == "new");
            if does == "write" || (does == "entry" && !out) {
                let mut form = form;
                form.fields.retain(|(name, _)| name != "out");
                let answer = desk.send(&form);
                assert_eq!(answer.status, 303, "{:?} {}", form.fields, text(&answer));
                // A browser sends line ends as both letters.
                for (_, value) in &mut form.fields {
                    *value = value.replace('\n', "\r\n");
                }
                let answer = desk.send(&form);
                assert_eq!(answer.status, 303, "{:?} {}", form.fields, text(&answer));
            }
        }
    }
    assert_eq!(desk.text(), EXAMPLE);
    assert!(desk.0.get("/j/y/version").writes.is_empty());
}

#[test]
fn only_the_plan_that_was_seen_is_written() {
    const SURVEY: &str = include_str!("../../../examples/orchard-row/survey.toml");
    let desk = Desk::of(SURVEY);
    let seen = desk.form("/j/y/inputs/divide", "Write it into the job");
    // Somebody writes a module meanwhile: the plan is another one now.
    desk.take(&desk.form(EQUIPMENT, "Add this module").with("k-profile", "input-8").with("id", "m"));
    let answer = desk.send(&seen);
    assert_eq!(answer.status, 409);
    assert!(answer.writes.is_empty());
    assert!(text(&answer).contains("Look again"), "{}", text(&answer));
    desk.undo("m");
    desk.take(&seen.with("id", "d"));
    assert!(desk.text().contains("input = \"M1."));
    desk.undo("d");
    assert_eq!(desk.text(), SURVEY);
}

#[test]
fn what_holds_for_the_whole_job_is_written_too() {
    let desk = Desk::of(&format!("{EMPTY}\n[[circuit]]\ntag = \"C1\"\n"));
    let before = desk.text();
    let single = |table: &str| {
        let all = dom::forms(html(&desk.0.get(EQUIPMENT)));
        let found = all.into_iter().find(|form| {
            form.field("table") == table && form.field("do") == "write" && form.field("of").is_empty()
        });
        found.expect("a form")
    };
    let texts = "Old panel taken away, and its battery.\r\nCovers closed.";
    desk.take(&single("quotation").with("k-scope", texts).with("id", "q"));
    assert!(
        desk.text().contains("scope = [\"Old panel taken away, and its battery.\", \"Covers closed.\"]"),
        "{}",
        desk.text()
    );
    desk.take(&single("rates").with("k-hour", "82.50").with("k-margin", "15 %").with("id", "r"));
    assert!(desk.text().contains("hour = 82.5"), "{}", desk.text());
    desk.take(
        &single("cutover")
            .with("k-way", "swap")
            .with("k-start", "2026-12-01 08:00")
            .with("k-dummy_resistors", "no")
            .with("id", "w"),
    );
    let hours = desk
        .form(EQUIPMENT, "Add this stretch of hours")
        .with("k-days", "mon, tue")
        .with("k-from", "08:00")
        .with("k-to", "17:00");
    let answer = desk.send(&hours);
    assert_eq!(answer.status, 400);
    assert!(text(&answer).contains("Whether the building is occupied is needed."), "{}", text(&answer));
    desk.take(&hours.with("k-building", "occupied").with("id", "h"));
    assert!(
        desk.text().contains("hours = [ { days = [\"mon\", \"tue\"], from = \"08:00\", to = \"17:00\", building = \"occupied\" } ]"),
        "{}",
        desk.text()
    );
    desk.take(
        &desk.form(EQUIPMENT, "Add this area").with("k-name", "Shop").with("k-route", "C1").with("id", "a"),
    );
    assert!(desk.text().contains("number = 1\nname = \"Shop\"\nroute = [\"C1\"]"), "{}", desk.text());
    desk.take(&desk.form("/j/y/c/C1", "Write all of this into C1").with("k-area", "1").with("id", "c"));
    let answer = desk.send(&desk.form(EQUIPMENT, "Take area 1 out"));
    assert_eq!(answer.status, 409);
    assert!(text(&answer).contains("Circuit C1 is in it."), "{}", text(&answer));
    // What is no number, no time, no day: said at its field.
    let answer = desk.send(&single("rates").with("k-crew", "two"));
    assert_eq!(answer.status, 400);
    assert!(
        html(&answer).contains("value=\"two\"") && html(&answer).contains("autofocus"),
        "{}",
        text(&answer)
    );
    for id in ["c", "a", "h", "w", "r", "q"] {
        assert_eq!(desk.undo(id).status, 303);
    }
    assert_eq!(desk.text(), before);
}

/// Two windows show two lines that say the same; each takes its own first one out.
#[test]
fn of_two_equal_lines_two_windows_take_one_out() {
    let line = "{ device = \"motion-pir\", at = \"P1\", count = 1 }";
    let desk = Desk::of(&format!("{EMPTY}[[supply]]\nid = \"P1\"\nloads = [ {line}, {line}, {line} ]\n"));
    let press = |number: &str| {
        let forms = dom::forms(html(&desk.0.get(EQUIPMENT)));
        let own = forms.into_iter().find(|form| form.field("list") == "loads" && form.field("at") == number);
        own.expect("a line's form")
    };
    let out = |form: &Form| {
        let mut fields = form.pairs();
        fields.retain(|(name, _)| *name != "out");
        fields.push(("out", "yes"));
        desk.0.post(EQUIPMENT, &fields)
    };
    let count = || desk.text().matches("motion-pir").count();
    let (mine, theirs, last) = (press("0"), press("0"), press("2"));
    assert_eq!(out(&mine).status, 303);
    assert_eq!(count(), 2);
    let late = out(&theirs);
    assert_eq!(late.status, 409);
    assert!(text(&late).contains("is not there any more"), "{}", text(&late));
    assert!(text(&late).contains("a load taken out"), "{}", text(&late));
    assert!(!text(&late).contains("It is now"), "another line stands at its number: {}", text(&late));
    // The same press once more has done its work already, and another line is followed to where it stands.
    assert_eq!((out(&mine).status, count()), (303, 2));
    assert_eq!((out(&last).status, count()), (303, 1));
    // A whole new text with the line twice: nobody knows which it was.
    let only = press("0");
    let twice = desk.text().replacen(line, &format!("{line}, {line}"), 1);
    let form = desk.form("/j/y/text", "Keep").with("text", &twice);
    desk.take(&form);
    assert_eq!((out(&only).status, count()), (409, 2));
}
