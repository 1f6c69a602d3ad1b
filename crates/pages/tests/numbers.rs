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

/// Circuits of the example whose alarm is not read even without a fault: by its value, or too quick.
const NOT_READ: [&str; 3] = ["C14", "C25", "C26"];

/// A sounder circuit is no circuit that waits for an input.
#[test]
fn what_an_output_drives_needs_nothing_here() {
    let shelf = opened();
    let page = text(&shelf, "/j/orchard-row/c/C35");
    assert!(page.contains("M1.S1 drives it; no input reads it"), "{page}");
    assert!(!page.contains("On no input"), "{page}");
    let table = text(&shelf, "/j/orchard-row/circuits");
    let row = table.split("\nC35\n").nth(1).and_then(|row| row.split("\nC36\n").next()).expect("a row");
    assert!(row.contains("nothing here") && !row.contains("to be known better"), "{row}");
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
        let row = table
            .split(&format!("\n{tag}\n"))
            .nth(1)
            .map_or("", |row| row.split("\nC").next().unwrap_or(row));
        assert_eq!(row.contains("alarm not read"), NOT_READ.contains(&tag), "{tag}: {row}");
        if coverage["total"] != 0 {
            let (beside, safe) = if NOT_READ.contains(&tag) {
                assert!(!page.contains("alarm still works"), "{tag}");
                (", beside an alarm that is not read at all", "no worse than without them")
            } else {
                ("", "the alarm still works")
            };
            let says = format!(
                "{} single faults{beside}: {} show, {} are silent and {safe}, {} are silent and hide an alarm, {} only",
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

/// What `kit --json` prints of the same job in the year of the visit: every count, price and time stands on the page.
#[test]
fn the_kits_page_says_what_the_json_says() {
    const SURVEY: &str = include_str!("../../../examples/orchard-row/survey.toml");
    for job_text in [EXAMPLE, SURVEY] {
        let shelf = Shelf::new();
        shelf.put("orchard-row", job_text);
        let library = library::Library::embedded();
        let job = job::Job::read(&document::Source::new("job.toml", job_text)).expect("it reads");
        let settled = assess::with_settled(job, &library);
        let assessment = assess::assess(&settled, &library, &|_, _| {});
        // The year of the tests' clock.
        let outfit = assess::kit::planned_kit(&assessment, Some(2026));
        let kit = serde_json::to_value(assess::wire::KitJson::new(&outfit)).expect("it is JSON");
        let page = text(&shelf, "/j/orchard-row/kit");
        let flat = page.replace('\n', " ");
        let between = |value: &serde_json::Value| {
            let (lo, hi) = (value["lo"].as_u64().expect("a count"), value["hi"].as_u64().expect("a count"));
            if lo == hi { lo.to_string() } else { format!("{lo} to {hi}") }
        };
        let money = |value: &serde_json::Value| {
            let one = |key: &str| {
                let cents = value[key].as_i64().expect("hundredths");
                format!("{}.{:02}", cents / 100, cents % 100)
            };
            if value["lo"] == value["hi"] { one("lo") } else { format!("{} to {}", one("lo"), one("hi")) }
        };
        let plain = |text: &str| text.replace(['\u{2009}', ','], "");
        let flat_plain = plain(&flat);
        for line in kit["lines"].as_array().expect("a list") {
            if ["tools", "access"].contains(&line["group"].as_str().expect("a word")) {
                continue;
            }
            let metres = if line["unit"] == "metre" { " m" } else { "" };
            let van = if line["uncounted"] == true { "yes".to_owned() } else { line["from_van"].to_string() };
            let price = if line["price_hundredths"].is_null() {
                "not given".to_owned()
            } else {
                money(&line["price_hundredths"])
            };
            let says = format!(
                "needed {}{metres} spare {} van {van} order {} price {}",
                between(&line["needed"]),
                line["spares"],
                line["to_order"],
                plain(&price)
            );
            assert!(flat_plain.contains(&says), "{line}: {says} {flat_plain}");
            for need in line["needs"].as_array().expect("a list") {
                let why = need["why"].as_str().expect("words");
                assert!(flat.contains(why), "{why}");
            }
        }
        let total = plain(&money(&kit["bill"]["total_hundredths"]));
        assert!(flat_plain.contains(&total), "{total}");
        for finding in kit["findings"].as_array().expect("a list") {
            let says = finding["text"].as_str().expect("words");
            assert!(flat.contains(says), "{says}");
        }
        for caution in kit["quotation"]["cautions"].as_array().expect("a list") {
            assert!(flat.contains(caution.as_str().expect("words")), "{caution}");
        }
    }
}

/// What `allocate --json` prints: the same circuits on the same inputs, with what is to be done and what it costs.
#[test]
fn the_division_says_what_the_json_says() {
    const SURVEY: &str = include_str!("../../../examples/orchard-row/survey.toml");
    for job_text in [EXAMPLE, SURVEY] {
        let shelf = Shelf::new();
        shelf.put("orchard-row", job_text);
        let library = library::Library::embedded();
        let job = job::Job::read(&document::Source::new("job.toml", job_text)).expect("it reads");
        let settled = assess::with_settled(job, &library);
        let plan = assess::allocate(&settled, &library, &assess::Limits::default());
        let source = document::Source::new("job.toml", job_text);
        let json = assess::wire::AllocationJson::new(&plan, &|span| source.place(span.start).line);
        let json = serde_json::to_value(json).expect("it is JSON");
        for path in ["/j/orchard-row/inputs/divide", "/j/orchard-row/inputs/compare"] {
            let page = text(&shelf, path).replace('\n', " ");
            assert!(page.contains(json["answer"].as_str().expect("words")), "{path}: {page}");
        }
        let page = text(&shelf, "/j/orchard-row/inputs/divide")
            .replace('\n', " ")
            .replace("  ", " ")
            .replace(" .", ".");
        let cents = (json["cost"].as_f64().expect("a cost") * 100.0).round() as i64;
        assert!(page.contains(&format!("{}.{:02}", cents / 100, cents % 100)), "{page}");
        for input in json["inputs"].as_array().expect("a list") {
            let (name, tag) =
                (input["input"].as_str().expect("an input"), input["tag"].as_str().expect("a tag"));
            assert!(page.contains(&format!("{name} {tag} ")), "{name} {tag}: {page}");
            if let Some(remedy) = input["remedy"]["text"].as_str() {
                assert!(page.contains(remedy), "{remedy}");
            }
        }
        for left in json["left"].as_array().expect("a list") {
            assert!(page.contains(left["why"].as_str().expect("words")), "{left}");
        }
    }
}

/// What is compared is what is divided: where a mode of the plan reads a circuit without a remedy, it is listed so.
#[test]
fn what_is_compared_is_what_is_divided() {
    let library = library::Library::embedded();
    let job = job::Job::read(&document::Source::new("job.toml", EXAMPLE)).expect("it reads");
    let settled = assess::with_settled(job, &library);
    let plan = assess::allocate(&settled, &library, &assess::Limits::default());
    let modes = assess::compare_modes(&settled, &library);
    let mut seen = 0;
    for input in plan.inputs.iter().filter(|input| input.wrong.is_none()) {
        let module =
            plan.modules.iter().find(|module| module.id == input.inputs[0].module).expect("its module");
        let mode = modes.iter().find(|mode| mode.profile == module.profile && mode.mode == input.mode);
        let circuits = &mode.expect("its mode is compared").circuits;
        let own = circuits.iter().find(|one| one.circuit == input.circuit).expect("its circuit is compared");
        match &own.reads {
            assess::Reads::AsItIs { .. } => assert!(input.remedy.is_none()),
            assess::Reads::Once { .. } => assert!(input.remedy.is_some()),
            assess::Reads::No { why } => panic!("{why}"),
        }
        seen += 1;
    }
    assert!(seen > 20, "{seen}");
}
