//! What pages say beside a press: every field drawn is taken, what was written is told where it belongs, what is assumed is
//! told as assumed.

mod dom;
mod seen;
mod shelf;

use pages::{Answer, Content, Method};
use seen::{JOB, opened, text, to};
use shelf::{EXAMPLE, Shelf};

#[test]
fn every_field_that_a_page_draws_is_taken_as_it_is_drawn() {
    let shelf = opened();
    let mut tried = 0;
    for room in
        ["survey", "circuits", "c/C05", "c/C35", "inputs", "supplies", "cut-over", "record", "equipment"]
    {
        let Content::Html(html) = shelf.get(&format!("{JOB}/{room}")).content else { panic!("a page") };
        for form in dom::forms(&html).into_iter().filter(|form| form.action == format!("{JOB}/change")) {
            let begins = form.field("table") == "cutover";
            let of = format!("{room}: {} {} {}", form.field("table"), form.field("of"), form.field("key"));
            let written = form.with("id", &format!("w{tried}"));
            let written = if begins { written.with("to", "2026-12-01 08:00") } else { written };
            let answer = shelf.post(&written.action, &written.pairs());
            let says = match &answer.content {
                Content::Html(html) => dom::page(html).text,
                _ => String::new(),
            };
            assert!(!says.contains("Nothing on these pages changes that"), "{of}");
            assert_eq!(answer.status, 303, "{of}: {says}");
            tried += 1;
        }
    }
    assert!(tried > 10, "{tried}");
    assert!(shelf.text("orchard-row").contains("start = \"2026-12-01 08:00\""));
}

#[test]
fn what_was_written_is_said_once_where_the_press_leads_and_its_way_back_only_where_it_belongs() {
    let shelf = opened();
    let led = |answer: &Answer| match &answer.content {
        Content::Redirect(to) => text(&shelf.get(to)),
        other => panic!("no way onwards: {other:?}"),
    };
    let before_margin = |page: &str| page[..page.find("Changes").expect("the margin")].to_owned();
    let keep = |id: &str, then: &str| {
        let form = [("id", id), ("when", "tripped"), ("shown", "4.71"), ("unit", "kohm"), ("then", then)];
        shelf.post(&format!("{JOB}/survey/C30"), &form)
    };
    // On the card of the circuit itself, with the way back; nowhere else.
    let card = before_margin(&led(&keep("r1", "trip")));
    assert!(card.contains("Written at") && card.contains("Take back"), "{card}");
    for room in ["survey/C30", "survey/C05", "circuits", "cut-over", "supplies"] {
        let page = text(&shelf.get(&format!("{JOB}/{room}")));
        assert!(!page.contains("Written at"), "{room}: {page}");
    }
    // On the card of another circuit it is said, and not taken back.
    let answer = keep("r2", "");
    let Content::Redirect(next) = &answer.content else { panic!("onwards") };
    let other = before_margin(&text(&shelf.get(&format!("{JOB}/survey/C05?wrote=r2"))));
    assert!(
        next.contains("wrote=r2") && other.contains("Written at") && !other.contains("Take back"),
        "{other}"
    );
    // Nor what somebody else wrote, nor later on.
    let mut request = shelf.request(Method::Get, &format!("{JOB}/survey/C30?wrote=r2"));
    request.author = "somebody else".to_owned();
    assert!(!text(&shelf.ask(&request)).contains("Written at"));
    request.author = "tester".to_owned();
    request.at = "2026-11-24T14:25:05Z".to_owned();
    assert!(!text(&shelf.ask(&request)).contains("Written at"));
    // What was taken back is said without a way back from it.
    let undone = shelf
        .post(&format!("{JOB}/undo"), &[("id", "u1"), ("change", "r1"), ("back", "/j/orchard-row/circuits")]);
    let says = before_margin(&led(&undone));
    let circuits = &says[says.find("Written at").expect("it is said")..];
    assert!(circuits.contains("Taken back: C30") && !circuits.contains("Take back"), "{circuits}");
    // A safety entry is said too.
    let clear = shelf.post(
        &format!("{JOB}/strip"),
        &[("id", "s1"), ("strip", "E2"), ("back", "/j/orchard-row/survey/C30")],
    );
    let says = led(&clear);
    assert!(says.contains("Written at") && says.contains("All pairs under 1 V"), "{says}");
}

#[test]
fn inputs_say_the_verdict_of_the_circuits_and_a_division_what_it_leaves_out_and_takes_for_granted() {
    let shelf = opened();
    let inputs = text(&shelf.get(&format!("{JOB}/inputs")));
    // A row: its input, its tag, its place, its verdict.
    for (tag, place) in [("C12", "Kennel corridor, smoke detectors"), ("C06", "Pharmacy door")] {
        let row = &inputs[inputs.find(&format!("\n{tag}\n{place}\n")).expect(tag)..];
        let verdict = row.lines().nth(3).expect("its verdict");
        assert!(["stop", "fix"].contains(&verdict), "{tag}: {verdict}");
    }
    let bare = EXAMPLE.replacen("[[module]]", "[[module]]\nid = \"M9\"\n[[module]]", 1);
    shelf.put("bare", &bare);
    let divided = text(&shelf.get("/j/bare/inputs/divide"));
    let first = divided.find("Module M9 has no profile").expect("it is said");
    assert!(divided.find("Best possible").is_none_or(|best| first < best), "{divided}");
    assert_eq!(divided.matches("Module M9 has no profile").count(), 1);
    let small = "format = 1\n[site]\nname = \"S\"\n[[circuit]]\ntag = \"C1\"\nduty = \"intrusion\"\nnetwork = \"nc:door - 4.7k\"\n";
    shelf.put("small", small);
    for room in ["inputs/divide", "inputs/compare"] {
        let says = text(&shelf.get(&format!("/j/small/{room}")));
        assert!(says.contains("60.00 an hour, assumed: nobody has said"), "{room}: {says}");
    }
    shelf.put("paid", &format!("{small}[rates]\ncurrency = \"EUR\"\nhour = 80\n"));
    let paid = text(&shelf.get("/j/paid/inputs/divide"));
    assert!(paid.contains("80.00 an hour.") && !paid.contains("nobody has said"), "{paid}");
    assert!(text(&shelf.get(&format!("{JOB}/record"))).contains("the job file brought"));
    assert!(text(&shelf.get(&format!("{JOB}/equipment"))).contains("a user"));
}

#[test]
fn the_example_is_offered_beside_other_jobs_until_it_is_there() {
    let shelf = Shelf::new();
    shelf.put("other", "format = 1\n[site]\nname = \"Other\"\n");
    let Content::Html(list) = shelf.get("/").content else { panic!("a page") };
    let press = dom::form(&list, "Open the example").with("id", "e1");
    assert_eq!(to(&shelf.post(&press.action, &press.pairs())), "/j/orchard-row-veterinary-hospital");
    assert!(!text(&shelf.get("/")).contains("Open the example"));
}
