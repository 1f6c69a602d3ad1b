//! Whole packs: every file is there, the same bytes come twice, every tag reads back as its circuit, and the
//! odd jobs break nothing.

use std::collections::BTreeSet;

use document::Source;
use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::{RenderCache, RenderSettings, vello_cpu::color::palette::css::WHITE};
use job::Job;
use library::Library;
use pack::{Files, Options, PackError, Paper};

const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");

fn options(paper: Paper) -> Options {
    Options {
        paper,
        date: "2026-11-25".to_owned(),
        file_name: "job.toml".to_owned(),
        revision: "change 1".to_owned(),
        checked: String::new(),
    }
}

fn made(text: &str, options: &Options) -> Result<Files, PackError> {
    let job = Job::read(&Source::new("job.toml", text)).expect("a job without errors");
    let library = Library::embedded();
    let assessment = assess::assess(&job, &library, &|_, _| {});
    pack::pack(&assessment, options)
}

/// Pixels a millimetre that pages are rendered with.
const FINE: f32 = 8.0;

/// The texts of the square codes on all pages, looked for as a phone does: one tag at a time.
fn codes(pdf: &[u8]) -> BTreeSet<String> {
    let pdf = Pdf::new(pdf.to_vec()).expect("a PDF that can be read");
    let cache = RenderCache::new();
    let scale = FINE * 25.4 / 72.0;
    let settings =
        RenderSettings { x_scale: scale, y_scale: scale, bg_color: WHITE, ..RenderSettings::default() };
    let mut texts = BTreeSet::new();
    for page in pdf.pages().iter() {
        let image = hayro::render(page, &cache, &InterpreterSettings::default(), &settings);
        let (width, height) = (usize::from(image.width()), usize::from(image.height()));
        let pixels = image.data_as_u8_slice();
        let mm = |length: usize| (length as f32 * FINE) as usize;
        // Three columns between the margins; a window holds one whole code, and moves by less than its room.
        for left in [25, 82, 139] {
            for top in (10..250).step_by(4) {
                let (left, top) = (mm(left), mm(top));
                let (across, down) = (mm(58).min(width - left), mm(26).min(height - top));
                let green = |x: usize, y: usize| pixels[4 * ((top + y) * width + left + x) + 1];
                let mut prepared = rqrr::PreparedImage::prepare_from_greyscale(across, down, green);
                texts.extend(prepared.detect_grids().iter().filter_map(|grid| Some(grid.decode().ok()?.1)));
            }
        }
    }
    texts
}

#[test]
fn the_example_has_every_file() {
    let files = made(EXAMPLE, &options(Paper::A4)).expect("a pack");
    let names: Vec<&str> = files.files.iter().map(|file| file.name.as_str()).collect();
    let expected = [
        "pack.pdf",
        "tags.pdf",
        "tables.xlsx",
        "tables/circuits.csv",
        "tables/states.csv",
        "tables/findings.csv",
        "tables/faults.csv",
        "tables/schedule.csv",
        "tables/loads.csv",
        "tables/volts.csv",
        "tables/battery.csv",
        "tables/survey.csv",
        "tables/programming.csv",
        "tables/areas.csv",
        "tables/users.csv",
        "tables/call_order.csv",
        "tables/station.csv",
        "tables/station_zones.csv",
        "tables/calls.csv",
        "tables/cutover.csv",
        "tables/cutover_circuits.csv",
        "tables/cutover_steps.csv",
        "tables/kit.csv",
        "tables/kit_reasons.csv",
        "tables/work.csv",
        "tables/quotation.csv",
        "tables/options.csv",
    ];
    assert_eq!(names, expected);
    assert!(files.sheets > 40, "{}", files.sheets);
    assert!(files.get("pack.pdf").is_some_and(|bytes| bytes.starts_with(b"%PDF-1.7")));
    assert!(files.get("tables.xlsx").is_some_and(|bytes| bytes.starts_with(b"PK")));
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    for paper in [Paper::A4, Paper::Letter] {
        assert_eq!(made(EXAMPLE, &options(paper)), made(EXAMPLE, &options(paper)));
    }
}

#[test]
fn every_tag_reads_back_as_its_circuit() {
    let files = made(EXAMPLE, &options(Paper::A4)).expect("a pack");
    let tags = files.get("tags.pdf").expect("tags");
    let wanted: BTreeSet<String> = (1..=60)
        .map(|number| drawing::tag_code("Orchard Row Veterinary Hospital", &format!("C{number:02}")))
        .collect();
    assert_eq!(codes(tags), wanted);
}

#[test]
fn tables_have_a_row_for_everything() {
    let files = made(EXAMPLE, &options(Paper::A4)).expect("a pack");
    let lines = |name: &str| {
        let bytes = files.get(name).expect("a table");
        csv::Reader::from_reader(bytes).into_records().collect::<Result<Vec<_>, _>>().expect("records").len()
    };
    assert_eq!(lines("tables/circuits.csv"), 36);
    assert_eq!(lines("tables/schedule.csv"), 12 + 16 + 8);
    assert!(lines("tables/faults.csv") > 1000);
    // Two circuits have two devices each.
    assert_eq!(lines("tables/survey.csv"), 36 + 2);
    assert_eq!(lines("tables/battery.csv"), 4);
    assert_eq!(lines("tables/users.csv"), 2);
    assert!(lines("tables/loads.csv") >= 16 && lines("tables/calls.csv") > 100);
    // Four things of enclosures and modules, their supplies, a line for every value of a resistor.
    assert!(lines("tables/kit.csv") > 40 && lines("tables/kit_reasons.csv") > lines("tables/kit.csv"));
    assert!(lines("tables/work.csv") > 36 * 6);
    // Price in six rows, and at least one of what is in it and what is not.
    assert!(lines("tables/quotation.csv") > 8 && lines("tables/options.csv") >= 9 * 2);
    let states = std::str::from_utf8(files.get("tables/states.csv").expect("states")).expect("UTF-8");
    assert!(states.starts_with("tag,state,terminals_lo_ohm,terminals_hi_ohm,meter_lo_ohm"), "{states}");
    assert!(!states.contains("inf") && !states.contains("NaN"));
}

#[test]
fn odd_jobs_break_nothing() {
    let long = "Ż".repeat(60);
    let odd = [
        "format = 1\n".to_owned(),
        "format = 1\n[[circuit]]\ntag = \"C01\"\n".to_owned(),
        format!("format = 1\n[site]\nname = \"{long}{long}\"\n[[circuit]]\ntag = \"C01\"\nplace = \"{long}\"\nnetwork = \"wire:400m - nc:{long} - 2.2k\"\n"),
        "format = 1\n[[circuit]]\ntag = \"#let\"\nplace = \"$x$ *b* _i_ @r \\\\ <l> \\\"q\\\" 中\"\nother = \"#panic()\"\n".to_owned(),
        "format = 1\n[[user]]\nnumber = 1\nname = \"$x$ #panic()\"\n[[supply]]\nid = \"#P\"\nbattery = \"vrla-12v-7ah\"\n".to_owned(),
        "format = 1\n[[module]]\nid = \"M1\"\n[[enclosure]]\nid = \"E1\"\n[[supply]]\nid = \"P1\"\nenclosure = \"E1\"\n".to_owned(),
    ];
    for text in odd {
        let files = made(&text, &options(Paper::Letter)).unwrap_or_else(|error| panic!("{error}\n{text}"));
        assert!(files.sheets > 0);
    }
}

/// What the survey sheet prints is what a filled-in one is read back by.
#[test]
fn the_survey_table_reads_back() {
    let files = made(EXAMPLE, &options(Paper::A4)).expect("a pack");
    let mut table = csv::Reader::from_reader(files.get("tables/survey.csv").expect("a table"));
    let columns: Vec<Option<identify::Column>> =
        table.headers().expect("heads").iter().map(identify::Column::named).collect();
    assert!(columns.iter().all(Option::is_some), "{columns:?}");
    let rows: Vec<Vec<String>> =
        table.records().map(|row| row.expect("a row").iter().map(str::to_owned).collect()).collect();
    let job = Job::read(&Source::new("job.toml", EXAMPLE)).expect("a job without errors");
    let readings = identify::read_sheet(&job, &columns, &rows).expect("readings");
    assert!(readings.len() >= 36, "{}", readings.len());
}

/// A job that says nothing of programming gets no sheet of it.
#[test]
fn nothing_is_printed_empty() {
    let files = made("format = 1\n[[circuit]]\ntag = \"C01\"\n", &options(Paper::A4)).expect("a pack");
    let names: Vec<&str> = files.files.iter().map(|file| file.name.as_str()).collect();
    assert!(names.contains(&"tables/survey.csv"));
    for absent in ["tables/programming.csv", "tables/calls.csv", "tables/loads.csv", "tables/battery.csv"] {
        assert!(!names.contains(&absent), "{absent}");
    }
}

#[test]
fn a_date_that_is_none_is_refused() {
    let wrong = Options { date: "tomorrow".to_owned(), ..options(Paper::A4) };
    assert_eq!(made("format = 1\n", &wrong), Err(PackError::Date("tomorrow".to_owned())));
}
