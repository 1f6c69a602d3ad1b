//! A survey sheet that is printed with what the job knows, and read back.

use document::Source;
use identify::{Column, OneByOne, Sheet, SheetProblem, SheetReading, merge, read_sheet, survey};
use job::{Job, When};
use library::Library;

fn job(found: &str) -> Job {
    let text = format!("format = 1\n[[circuit]]\ntag = \"C01\"\nplace = \"hall\"\nfound = [{found}]\n");
    Job::read(&Source::new("job", text.as_str()))
        .unwrap_or_else(|problems| panic!("{}\n{text}", problems[0].text))
}

fn columns() -> Vec<Option<Column>> {
    Column::ALL.into_iter().map(Some).collect()
}

fn back(job: &Job) -> Vec<SheetReading> {
    read_sheet(job, &columns(), &Sheet::of(job).rows).expect("it reads back")
}

/// Condition, supply and display of every reading, in no order.
fn all<'a>(readings: impl Iterator<Item = &'a job::Reading>) -> Vec<String> {
    let mut all: Vec<String> = readings
        .flat_map(|reading| {
            let (when, fed) = (&reading.when, reading.fed);
            reading.shown.iter().map(move |shown| format!("{when:?} {fed} {shown:?}"))
        })
        .collect();
    all.sort();
    all
}

const MANY: &str = "{ when = \"rest\", volts_dc = \"0.0 V\", volts_ac = \"0.4 V\" }, { when = \"earth-a\", ohms = \"open\" }, \
     { when = \"rest\", ohms = \"5.0 ohm\" }, { when = \"rest\", ohms = \"2.210k\", fed = true }, \
     { when = \"pir\", ohms = \"4.42k\", fed = true }, { when = \"pir.tamper\", ohms = \"open\" }, \
     { when = \"door\", ohms = \"open\" }, { when = \"tripped\", ohms = \"0.5k\" }, \
     { when = \"live\", volts_dc = \"6.66 V\" }, { when = \"after 60 s\", ohms = \"unstable\" }, \
     { when = \"rest\", ohms = \"20k\" }, { when = \"joined\", ohms = \"12 ohm\" }";

#[test]
fn what_is_printed_is_what_was_read() {
    let job = job(MANY);
    let sheet = Sheet::of(&job);
    let cell = |row: &Vec<String>, wanted: Column| {
        row[Column::ALL.iter().position(|column| *column == wanted).unwrap()].clone()
    };
    assert_eq!(cell(&sheet.rows[0], Column::Rest), "5.0 ohm", "the last digit sets the error");
    let device = |name: &str| -> Vec<[String; 3]> {
        let rows = sheet.rows.iter().filter(|row| cell(row, Column::Device) == name);
        rows.map(|row| [Column::Tripped, Column::CoverOpen, Column::Fed].map(|column| cell(row, column)))
            .collect()
    };
    assert_eq!(device("door"), [["open", "", ""]]);
    let mut pir = device("pir");
    pir.sort();
    assert_eq!(pir, [["", "open", ""], ["4.42k", "", "yes"]]);
    let read = back(&job);
    assert_eq!(all(read.iter().map(|one| &one.reading)), all(job.circuits[0].found.iter()));
}

/// What has no column is left out, not changed.
#[test]
fn what_has_no_column_is_left_out() {
    let job = job("{ when = \"after 10 s\", ohms = \"1k\" }, { when = \"core C02.b\", ohms = \"1 ohm\" }, \
         { when = \"earth\", ohms = \"1k\" }, { when = \"d.fault\", ohms = \"1k\" }, \
         { when = \"rest\", amps = \"12 mA\" }, { when = \"live\", volts_ac = \"0.1 V\" }, \
         { when = \"earth-a\", volts_dc = \"2 V\" }");
    assert_eq!(Sheet::of(&job).rows.len(), 1);
    assert!(back(&job).is_empty());
}

#[test]
fn a_sheet_read_back_counts_nothing_twice() {
    for found in [MANY, "{ when = \"rest\", ohms = \"2.21k\" }, { when = \"tripped\", ohms = \"4.4k\" }"] {
        let before = job(found);
        let mut after = job(found);
        merge(&mut after, back(&before));
        assert_eq!(all(after.circuits[0].found.iter()), all(before.circuits[0].found.iter()));
        let habits = &Library::embedded().habits["default"];
        let first = |job: &Job| survey(job, habits, &OneByOne).pairs[0].ranking.all[0].probability;
        assert!((first(&after) - first(&before)).abs() < 1e-12);
    }
}

/// What is new on it counts; a trip that gets its name on paper is still one trip.
#[test]
fn what_is_new_is_added() {
    let found = "{ when = \"rest\", ohms = \"2.21k\" }, { when = \"tripped\", ohms = \"open\" }";
    let mut job = job(found);
    let mut rows = Sheet::of(&job).rows;
    let at = |wanted: Column| Column::ALL.iter().position(|column| *column == wanted).unwrap();
    rows[0][at(Column::Device)] = "door".to_owned();
    rows[0][at(Column::Joined)] = "6 ohm".to_owned();
    let readings = read_sheet(&job, &columns(), &rows).expect("readings");
    merge(&mut job, readings);
    let whens: Vec<&When> = job.circuits[0].found.iter().map(|reading| &reading.when).collect();
    assert_eq!(whens, [&When::Rest, &When::Device("door".to_owned()), &When::Joined]);
}

fn problems(columns: &[Option<Column>], row: &[&str]) -> Vec<SheetProblem> {
    let row = row.iter().map(|cell| (*cell).to_owned()).collect();
    read_sheet(&job(""), columns, &[row]).expect_err("it is refused")
}

#[test]
fn nothing_typed_vanishes_without_a_word() {
    use Column as C;
    let told = problems(&[Some(C::Tag), None, Some(C::Rest)], &["C01", "2.21k", ""]);
    assert_eq!((told.len(), told[0].row, told[0].column), (1, 2, 2), "{told:?}");
    assert!(told[0].text.contains("2.21k") && told[0].accept.contains("Note"), "{told:?}");
    let told = problems(&[Some(C::Tag), Some(C::Rest)], &["C01", "2.21k", "open"]);
    assert_eq!((told.len(), told[0].column), (1, 3), "{told:?}");
    assert!(told[0].text.contains("open"), "{told:?}");
    let with_device = [Some(C::Tag), Some(C::Device), Some(C::Tripped)];
    for name in ["front door", "2nd", "tripped", "Rest", "a.b", "after 60 s", "core x"] {
        let told = problems(&with_device, &["C01", name, "open"]);
        assert_eq!((told.len(), told[0].column), (1, 2), "{name}: {told:?}");
    }
    let with_fed = [Some(C::Tag), Some(C::Fed), Some(C::Rest)];
    let told = problems(&with_fed, &["C01", "maybe", "2.21k"]);
    assert_eq!((told.len(), told[0].column), (1, 2), "{told:?}");
    // A column that stays empty may be called anything.
    let row = [["C01", "", "2.21k"].map(str::to_owned).to_vec()];
    assert_eq!(read_sheet(&job(""), &[Some(C::Tag), None, Some(C::Rest)], &row).map(|all| all.len()), Ok(1));
}

/// What a card takes, a cell takes: a point or a comma, the unit behind or among the digits. What can be read in two ways is
/// refused.
#[test]
fn a_cell_is_read_as_a_card_is() {
    let job = job("");
    let columns = [Some(Column::Tag), Some(Column::Rest), Some(Column::VoltsDc)];
    let read = |ohms: &str, volts: &str| {
        read_sheet(&job, &columns, &[vec!["C01".to_owned(), ohms.to_owned(), volts.to_owned()]])
    };
    let shown = |ohms: &str| format!("{:?}", read(ohms, "").expect(ohms)[0].reading.shown);
    for typed in ["2,2 kΩ", "2k2", "2,2k", "2.2\u{a0}kΩ"] {
        assert_eq!(shown(typed), shown("2.2k"), "{typed}");
    }
    assert_ne!(shown("2,20k"), shown("2.2k"), "its last digit is worth less");
    assert_eq!(
        format!("{:?}", read("", "\u{2013}0,02 V").unwrap()[0].reading.shown),
        format!("{:?}", read("", "-0.02 V").unwrap()[0].reading.shown)
    );
    for (ohms, volts) in [("4,700 ohm", ""), ("", "1,250 V"), ("4,700", "")] {
        let problems = read(ohms, volts).unwrap_err();
        assert!(problems[0].text.contains("two ways"), "{problems:?}");
        assert!(problems[0].accept.contains("where the comma is a point"), "{problems:?}");
    }
    assert!(read("1,234.5k", "").is_err() && read("2,2", "").is_err());
}
