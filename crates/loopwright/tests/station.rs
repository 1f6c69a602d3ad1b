//! Sheets for people, and a station's own list: what is printed, kept and remembered.

mod common;

use std::path::{Path, PathBuf};

use common::{jobs, run};
use serde_json::Value;

/// A copy of the test job, for evidence to lie beside it.
fn job(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("the build's folder can be written");
    std::fs::copy(jobs().join("signals/job.toml"), folder.join("job.toml")).expect("a copy");
    folder
}

fn valid(schema: &str, text: &str) -> Value {
    let schema: Value = serde_json::from_str(&run(&["schema", schema]).out).expect("JSON");
    let validator = jsonschema::draft202012::new(&schema).expect("it is a schema");
    let value: Value = serde_json::from_str(text).expect("JSON");
    let errors: Vec<String> = validator.iter_errors(&value).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    value
}

#[test]
fn the_three_sheets() {
    let mut all = String::new();
    for which in ["programming", "station", "calls"] {
        let run = run(&["sheet", "signals", which]);
        assert_eq!(run.code, 0, "{}", run.talk);
        all.push_str(&format!("==== {which}\n{}", run.out));
    }
    insta::assert_snapshot!("sheets", all);
}

#[test]
fn sheets_for_programs() {
    let json = run(&["sheet", "signals", "calls", "--json"]);
    let value = valid("sheet", &json.out);
    let csv = run(&["sheet", "signals", "calls", "--csv"]);
    let rows = value["tables"][0]["rows"].as_array().expect("rows").len();
    assert_eq!(csv.out.lines().count(), rows + 1);
    assert!(csv.out.starts_with("Line,Signal,Area,No,Code,Came,Read back\n1,"), "{}", csv.out);
}

const LIST: &str = "Station list,,,,\nDate,Time,Acct,Signal,Point,Description\n\
    03/14/2026,04:26:53 AM,4401,E134,001,ENTRY ALARM\n\
    03/14/2026,04:27:10 AM,4401,R134,001,RESTORE\n\
    03/14/2026,04:28:00 AM,4402,E134,001,SOMEBODY ELSE\n\
    03/14/2026,04:29:00 AM,4401,E150,044,UNKNOWN\n";

#[test]
fn a_list_is_tied_kept_once_and_its_headings_are_remembered() {
    let folder = job("list");
    let path = folder.to_string_lossy().into_owned();
    let list = folder.join("list.csv");
    std::fs::write(&list, LIST).expect("written");
    let list = list.to_string_lossy().into_owned();
    let shown = run(&["history", &path, &list, "--shift", "5 h"]);
    assert_eq!(shown.code, 0, "{}", shown.talk);
    insta::assert_snapshot!("history", shown.out);
    assert!(!folder.join("evidence.jsonl").exists(), "nothing is kept without --write");
    let before = std::fs::read_to_string(folder.join("job.toml")).expect("the job");
    let written = run(&["history", &path, &list, "--shift", "5 h", "--write", "--json"]);
    let value = valid("history", &written.out);
    assert_eq!((&value["kept"], &value["lines"][0]["at"]), (&Value::from(3), &"2026-03-14T09:26:53Z".into()));
    assert_eq!(value["lines"][0]["tie"]["expected"], "C01 alarm");
    assert_eq!(value["lines"][2]["tie"], Value::Null);
    let after = std::fs::read_to_string(folder.join("job.toml")).expect("the job");
    assert!(after.starts_with(&before), "what was there stays");
    for line in
        ["[history]", "code = \"Signal\"", "zone = \"Point\"", "order = \"month-first\"", "shift = \"5 h\""]
    {
        assert!(after.contains(line), "{line} in {after}");
    }
    // The same list again, with nothing said: read as remembered, and nothing of it is new.
    let again = run(&["history", &path, &list, "--write", "--json"]);
    let value = valid("history", &again.out);
    assert_eq!((&value["kept"], &value["done"]), (&Value::from(0), &Value::from(2)), "{}", again.out);
    assert_eq!(std::fs::read_to_string(folder.join("job.toml")).expect("the job"), after);
    let calls = run(&["sheet", &path, "calls"]);
    assert!(calls.out.contains("station-list 1 of 1"), "{}", calls.out);
}

#[test]
fn pasted_text_and_what_cannot_be_read() {
    let folder = job("pasted");
    let path = folder.to_string_lossy().into_owned();
    let list = folder.join("list.txt");
    std::fs::write(&list, "Date/Time\tCode\tZone\n03/04/2026 10:00\t1134\t1\n").expect("written");
    let list = list.to_string_lossy().into_owned();
    let either = run(&["history", &path, &list]);
    assert_eq!(either.code, 2);
    assert!(either.talk.contains("--order day-first"), "{}", either.talk);
    let settled = run(&["history", &path, &list, "--order", "day-first"]);
    assert_eq!(settled.code, 0, "{}", settled.talk);
    assert!(settled.out.contains("2026-04-03T10:00:00Z"), "{}", settled.out);
    for (words, wanted) in [
        (["--map", "color=x"], "no column is called `color`"),
        (["--map", "code=Nonsense"], "no row with the headings"),
        (["--shift", "5"], "unit"),
    ] {
        let run = run(&[&["history", &path, &list][..], &words].concat());
        assert_eq!(run.code, 2, "{words:?}");
        assert!(run.talk.contains(wanted), "{}", run.talk);
    }
    let broken = folder.join("list.xlsx");
    std::fs::write(&broken, b"PK\x03\x04 no workbook").expect("written");
    assert_eq!(run(&["history", &path, &broken.to_string_lossy()]).code, 2);
}
