//! The numbers on pages are those of the assessment, told by another program's hands: its JSON.

mod dom;
mod shelf;

use pages::Content;
use shelf::{EXAMPLE, Shelf};

fn opened() -> Shelf {
    let shelf = Shelf::new();
    shelf.put("orchard-row", EXAMPLE);
    shelf
}

fn json(shelf: &Shelf, path: &str) -> serde_json::Value {
    let Content::Json(text) = shelf.get(path).content else { panic!("JSON") };
    serde_json::from_str(&text).expect("it is JSON")
}

fn text(shelf: &Shelf, path: &str) -> String {
    let Content::Html(html) = shelf.get(path).content else { panic!("a page") };
    dom::page(&html).text
}

/// The same call as the command line makes of the same job.
#[test]
fn the_json_is_that_of_the_command_line() {
    let shelf = opened();
    let library = library::Library::embedded();
    let job = job::Job::read(&document::Source::new("job.toml", EXAMPLE)).expect("it reads");
    let settled = assess::with_settled(job.clone(), &library);
    let assessment = assess::assess(&settled, &library, &|_, _| {});
    let printed =
        serde_json::to_value(assess::wire::AssessmentJson::new(&assessment, true)).expect("it is JSON");
    assert_eq!(json(&shelf, "/j/orchard-row/assess.json"), printed);
    let survey = assess::identify(&job, &library).expect("there are habits");
    let printed =
        serde_json::to_value(assess::wire::IdentifyJson::new(&survey, Vec::new())).expect("it is JSON");
    assert_eq!(json(&shelf, "/j/orchard-row/identify.json"), printed);
}

#[test]
fn every_circuits_page_says_what_the_json_says() {
    let shelf = opened();
    let all = json(&shelf, "/j/orchard-row/assess.json");
    let table = text(&shelf, "/j/orchard-row/circuits");
    for circuit in all["circuits"].as_array().expect("a list") {
        let tag = circuit["tag"].as_str().expect("a tag");
        let page = text(&shelf, &format!("/j/orchard-row/c/{tag}"));
        for state in circuit["states"].as_array().expect("a list") {
            let one = state["active"].as_array().map_or(0, Vec::len) <= 1;
            let shows = state["meter"]["shows"].as_str().expect("words");
            if one {
                assert!(page.contains(shows), "{tag}: {shows}");
            }
        }
        if let Some(rest) = circuit["states"][0]["meter"]["shows"].as_str() {
            assert!(table.contains(rest), "{tag}: {rest}");
        }
        let coverage = &circuit["coverage"];
        if coverage["total"] != 0 {
            let says = format!(
                "{} single faults: {} show, {} are silent and the alarm still works, {} are silent and hide an alarm, {} only",
                coverage["total"],
                coverage["announced"],
                coverage["silent_safe"],
                coverage["silent_dangerous"],
                coverage["test_only"]
            );
            assert!(page.contains(&says), "{tag}: {says}");
        }
        for remedy in circuit["remedies"].as_array().expect("a list").iter().take(4) {
            let says = remedy["text"].as_str().expect("words");
            assert!(page.contains(says), "{tag}: {says}");
        }
        for finding in all["findings"].as_array().expect("a list") {
            if finding["where"] == tag {
                let says = finding["text"].as_str().expect("words");
                assert!(page.contains(says), "{tag}: {says}");
            }
        }
    }
}

/// A circuit tried out as it is reads what the study says of its rest, band and meaning.
#[test]
fn a_circuit_tried_out_as_it_is_says_the_same_as_its_sheet() {
    let shelf = opened();
    let all = json(&shelf, "/j/orchard-row/assess.json");
    for circuit in all["circuits"].as_array().expect("a list") {
        let Some(rest) = circuit["states"].get(0).filter(|rest| rest["band"].is_string()) else { continue };
        let tag = circuit["tag"].as_str().expect("a tag");
        let tried = text(&shelf, &format!("/j/orchard-row/c/{tag}/play"));
        let says = format!(
            "The input reads {}: {}.",
            rest["band"].as_str().unwrap(),
            rest["means"].as_str().unwrap()
        );
        assert!(tried.replace('\n', " ").replace("  ", " ").contains(&says), "{tag}: {says} {tried}");
        assert!(tried.contains(rest["meter"]["shows"].as_str().unwrap()), "{tag}: {tried}");
    }
}

#[test]
fn a_supplys_page_says_what_the_json_says() {
    let shelf = opened();
    let all = json(&shelf, "/j/orchard-row/assess.json");
    for finding in all["findings"].as_array().expect("a list") {
        let place = finding["where"].as_str().expect("a place");
        if place == "P1" || place == "P2" {
            let page = text(&shelf, &format!("/j/orchard-row/s/{place}"));
            assert!(page.contains(finding["text"].as_str().expect("words")), "{place}");
        }
    }
}
