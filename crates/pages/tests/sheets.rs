//! Survey sheets: into a new job as into one that is there, and what of them cannot be read said once.

mod dom;
mod seen;
mod shelf;

use pages::{Answer, Entry, World, Write};
use seen::{JOB, html, opened, text, to};
use shelf::Shelf;

fn bring(shelf: &Shelf, name: &str, fields: &[(&str, &str)], sheet: &str) -> Answer {
    let form = [&[("as", "sheet"), ("name", name)][..], fields].concat();
    shelf.upload("/new", &form, sheet.as_bytes())
}

fn said(shelf: &Shelf, job: &str) -> Vec<Entry> {
    let mut all = shelf.evidence(job, "reading", "", 0, 100);
    all.reverse();
    all
}

#[test]
fn readings_that_make_a_job_are_evidence_with_their_cells_as_in_one_that_is_there() {
    let sheet = "Survey of 3 May\nTag,Place,Ends in,Volts DC,At rest,Device,Tripped,Note\n\
                 C01,hall,E1,0 V,\"2,2 kΩ\",door,OL,\nC02,yard,E1,13.8 V,4.7k,,,\n";
    let shelf = Shelf::new();
    let made = bring(&shelf, "Sheet House", &[("id", "s1"), ("units", "metric")], sheet);
    assert_eq!(to(&made), "/j/sheet-house", "{made:?}");
    let [Write::NewJob { what, .. }, kept @ ..] = made.writes.as_slice() else { panic!("{made:?}") };
    assert!(kept.iter().all(|write| matches!(write, Write::Evidence { job, .. } if job == "sheet-house")));
    assert!(what.contains("Not taken: the ohms in E4;"), "{what}");
    let stands = shelf.text("sheet-house");
    assert!(stands.contains("units = \"metric\""), "{stands}");
    // The same sheet into a job of the same pairs says the same of each reading.
    let beside = Shelf::new();
    beside.put(
        "sheet-house",
        "format = 1\n[site]\nname = \"Sheet House\"\n[[enclosure]]\nid = \"E1\"\n\
         [[circuit]]\ntag = \"C01\"\nends_in = \"E1\"\n[[circuit]]\ntag = \"C02\"\nends_in = \"E1\"\n",
    );
    beside.post("/j/sheet-house/strip", &[("strip", "E1")]);
    let page = beside.upload("/j/sheet-house/readings", &[("id", "s1")], sheet.as_bytes());
    beside.post("/j/sheet-house/readings", &dom::form(html(&page), "Write").with("id", "s1").pairs());
    let (one, other) = (said(&shelf, "sheet-house"), said(&beside, "sheet-house"));
    assert_eq!(one.len(), 4);
    for (one, other) in one.iter().zip(&other) {
        assert_eq!((&one.id, &one.about, &one.words), (&other.id, &other.about, &other.words));
        assert_eq!((&one.data, &one.instrument), (&other.data, &other.instrument));
    }
    let rest = one.iter().find(|entry| entry.words.contains("at rest 2.2")).expect("it is there");
    assert!(
        rest.data.contains("file, cell E3") && rest.data.contains("\"typed\":\"2,2 kΩ\""),
        "{}",
        rest.data
    );
    // The pair with volts on it has its volts as evidence, and no ohms.
    assert!(one.iter().any(|entry| entry.about == "C02" && entry.data.contains("13.8 V")));
    assert!(!one.iter().any(|entry| entry.about == "C02" && entry.data.contains("ohms")));
    let record = text(&shelf.get("/j/sheet-house/record"));
    assert!(record.contains("C01: at rest 2.2"), "{record}");
}

#[test]
fn a_sheet_says_in_which_units_its_job_is() {
    let shelf = Shelf::new();
    let page = shelf.get("/new");
    let form = dom::form(html(&page), "Read this sheet");
    assert_eq!(form.field("units"), "us");
    bring(&shelf, "Feet", &[], "Tag\nC01\n");
    assert!(shelf.text("feet").contains("units = \"us\""));
}

#[test]
fn what_cannot_be_read_is_said_once_for_all_its_cells() {
    let shelf = opened();
    let rows: String = (1..=120).map(|row| format!("X{row},{}\n", 400 + row)).collect();
    let sheet = format!("Tag,At rest,Volts DC\n{rows}Y1,\"4,700 ohm\",\nY2,\"1,250k\",OL\n");
    for answer in
        [shelf.upload(&format!("{JOB}/readings"), &[], sheet.as_bytes()), bring(&shelf, "Many", &[], &sheet)]
    {
        assert_eq!((answer.status, answer.writes.len()), (400, 0));
        let says = text(&answer);
        assert!(says.contains("123 cells of this sheet cannot be read"), "{says}");
        assert!(says.contains("Cells B2, B3, B4, B5, B6, B7 and 114 more:"), "{says}");
        assert_eq!(says.matches("the unit of").count(), 1, "{says}");
        assert!(says.contains("Cells B122, B123:") && says.contains("Cell C123:"), "{says}");
        assert_eq!(says.matches("two ways").count(), 1, "{says}");
    }
}

#[test]
fn why_readings_are_not_taken_is_said_once_for_all_its_cells() {
    let shelf = opened();
    let rows: String = (1..=40).map(|row| format!("X{row},4.7k,\n")).collect();
    let sheet = format!("Tag,At rest,Volts DC\n{rows}Y1,2.2k,12 V\n");
    let page = shelf.upload(&format!("{JOB}/readings"), &[("id", "s1")], sheet.as_bytes());
    let says = text(&page);
    assert!(says.contains("41 readings would not be taken"), "{says}");
    assert!(says.contains("Cells B2, B3, B4, B5, B6, B7 and 34 more:"), "{says}");
    assert!(says.contains("No ohms of X1, X2, X3, X4, X5, X6 and 34 more yet: its strip"), "{says}");
    assert_eq!(says.matches("has no safety entry that covers it").count(), 1, "{says}");
    assert!(says.contains("Cell B42:") && says.contains("Y1 has volts on it, at rest 12"), "{says}");
    // What is written is told cell by cell.
    assert!(says.contains("C42"), "{says}");
}

/// As many pairs as a survey has: one after the other they would be put in for hours.
#[test]
fn thousands_of_pairs_make_a_job() {
    let shelf = Shelf::new();
    let rows: String = (0..3000).map(|row| format!("P{row},E{},0.1 V,2.2k\n", row % 9)).collect();
    let made = bring(&shelf, "Big", &[], &format!("Tag,Ends in,Volts DC,At rest\n{rows}"));
    assert_eq!(made.status, 303, "{made:?}");
    assert_eq!(made.writes.len(), 6001);
    let stands = shelf.text("big");
    assert_eq!(stands.matches("[[circuit]]").count(), 3000);
    let last = "\n[[circuit]]\ntag = \"P2999\"\nends_in = \"E2\"\nfound = [";
    assert!(stands.contains(last), "{}", &stands[stands.len() - 300..]);
}
