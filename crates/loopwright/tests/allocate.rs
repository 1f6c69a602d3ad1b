//! `allocate` from end to end: what a person reads, what is written into the file, what is refused.

mod common;

use std::path::{Path, PathBuf};

use common::{jobs, run};
use serde_json::Value;

const SURVEY: &str = include_str!("../../../examples/orchard-row/survey.toml");

fn file(name: &str, text: &str) -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("allocate");
    std::fs::create_dir_all(&folder).expect("the build's folder can be written");
    let path: PathBuf = folder.join(name);
    std::fs::write(&path, text).expect("it can be written");
    path.to_string_lossy().into_owned()
}

fn text(path: &str) -> String {
    std::fs::read_to_string(path).expect("it is there")
}

fn json(words: &[&str]) -> Value {
    let run = run(words);
    serde_json::from_str(&run.out)
        .unwrap_or_else(|error| panic!("{words:?}: {error}: {}{}", run.out, run.talk))
}

#[test]
fn a_report_is_no_wider_than_a_terminal_and_begins_with_the_answer() {
    let path = file("survey.toml", SURVEY);
    let report = run(&["allocate", &path]);
    assert_eq!(report.code, 1, "fire circuits stop until somebody has decided");
    assert!(report.out.starts_with("Best possible: 33 circuits on 4 modules"), "{}", report.out);
    for line in report.out.lines().filter(|line| !line.contains("--write")) {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for said in ["Tamper input wired", "Tamper input bridged", "What is left", "Without an input", "zone 7"] {
        assert!(report.out.contains(said), "{said}");
    }
    assert_eq!(text(&path), SURVEY, "nothing is written without --write");
}

#[test]
fn what_is_written_keeps_the_rest_and_a_second_run_changes_nothing() {
    let path = file("written.toml", SURVEY);
    let first = json(&["allocate", &path, "--write", "--json"]);
    assert!(first["written"].as_u64().unwrap() > 60, "{}", first["written"]);
    let once = text(&path);
    let kept: Vec<&str> = once.lines().filter(|line| SURVEY.lines().any(|old| old == *line)).collect();
    assert!(SURVEY.lines().all(|old| kept.contains(&old)), "every line of before is there");
    let second = json(&["allocate", &path, "--write", "--json"]);
    assert_eq!(second["written"], 0);
    assert_eq!(text(&path), once, "byte for byte");
    assert_eq!(second["status"], "optimal");
    let places = |value: &Value| -> Vec<(String, String)> {
        let row = |row: &Value| (row["tag"].to_string(), row["input"].to_string());
        value["inputs"].as_array().unwrap().iter().map(row).collect()
    };
    assert_eq!(places(&first), places(&second));
    assert!(second["inputs"].as_array().unwrap().iter().all(|row| row["pinned"] == true));
    assert_eq!(run(&["check", &path]).code, run(&["check", "../../../../examples/orchard-row"]).code);
}

#[test]
fn what_cannot_be_done_is_named_by_its_lines_and_nothing_is_written() {
    let two = "[[circuit]]\ntag = \"S1\"\nduty = \"smoke\"\nends_in = \"E1\"\nnetwork = \"wire:20m - smoke:D1 | 2.2k\"\n\
               [[circuit]]\ntag = \"S2\"\nduty = \"smoke\"\nends_in = \"E1\"\nnetwork = \"wire:21m - smoke:D2 | 2.2k\"\n";
    let job = format!(
        "format = 1\n[allocate]\nnew_modules = false\n[[enclosure]]\nid = \"E1\"\n[[module]]\nid = \"M1\"\n\
         enclosure = \"E1\"\nprofile = \"input-12\"\nmode = \"fixed-2k2\"\n{two}"
    );
    let path = file("too-many.toml", &job);
    let report = run(&["allocate", &path, "--write"]);
    assert_eq!(report.code, 1);
    assert!(report.out.starts_with("It cannot be done because 2 smoke circuits end in E1"), "{}", report.out);
    for line in ["line 12", "line 17"] {
        assert!(report.out.contains(line), "{line} is not in {}", report.out);
    }
    assert_eq!(text(&path), job, "nothing is written");
    let value = json(&["allocate", &path, "--json"]);
    assert_eq!(value["status"], "infeasible");
    assert!(value["cost"].is_null());
    let lines: Vec<u64> =
        value["conflict"].as_array().unwrap().iter().filter_map(|demand| demand["line"].as_u64()).collect();
    assert!(lines.contains(&12) && lines.contains(&17), "{lines:?}");
}

#[test]
fn two_allocations_side_by_side() {
    let example = jobs().join("../../../../examples/orchard-row");
    let example = example.to_str().expect("a path");
    let beside = run(&["allocate", example, "--compare"]);
    assert!(beside.out.contains("this job") && beside.out.contains("nothing assigned"), "{}", beside.out);
    assert!(beside.out.contains("C25"), "its input reads it wrong: {}", beside.out);
    for line in beside.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let path = file("beside.toml", SURVEY);
    let value = json(&["allocate", example, "--compare", &path, "--json"]);
    assert_eq!(value["compared"]["status"], "optimal");
    assert!(value["compared"]["cost"].as_f64() > value["cost"].as_f64(), "its modules are to be bought");
}

#[test]
fn a_clock_or_a_count_may_end_the_search() {
    let path = file("clock.toml", SURVEY);
    for words in [&["--time-limit", "0 s"][..], &["--nodes", "1"]] {
        let all = [&["allocate", path.as_str(), "--json"], words].concat();
        let value = json(&all);
        let stopped = value["stopped"].as_str();
        let proven = value["status"] == "optimal";
        assert!(proven || stopped == Some(if words[0] == "--nodes" { "nodes" } else { "clock" }), "{value}");
    }
    let wrong = run(&["allocate", &path, "--time-limit", "soon"]);
    assert_eq!(wrong.code, 2);
    assert!(wrong.talk.contains("no time limit"), "{}", wrong.talk);
}
