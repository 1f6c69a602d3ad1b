//! What programs rely on: exit codes, JSON with its schemas, limits, the user's own library.

mod common;

use std::io::Read;
use std::process::Stdio;
use std::time::{Duration, Instant};

use common::{jobs, program, run, told};
use serde_json::Value;

fn json(words: &[&str]) -> (i32, Value) {
    let run = run(words);
    (
        run.code,
        serde_json::from_str(&run.out).unwrap_or_else(|error| panic!("{words:?}: {error}: {}", run.out)),
    )
}

fn holds(schema: &str, value: &Value) {
    let (code, schema) = json(&["schema", schema]);
    assert_eq!(code, 0);
    let validator = jsonschema::draft202012::new(&schema).expect("it is a schema");
    let errors: Vec<String> = validator.iter_errors(value).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

/// A file of one test's own.
fn file(name: &str, text: &[u8]) -> String {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, text).expect("the build's folder can be written");
    path.to_string_lossy().into_owned()
}

#[test]
fn a_kit_holds_its_schema() {
    let nothing = file("nothing-along.toml", b"format = 1\n");
    for job in ["small", "survey", "names", &nothing] {
        let (code, kit) = json(&["kit", job, "--json", "--date", "2026-11-28"]);
        assert_eq!(code, 0, "{job}");
        holds("kit", &kit);
    }
}

#[test]
fn exit_codes() {
    let nothing = file("nothing.toml", b"format = 1\n");
    for (words, code) in [
        (&["check", "small"][..], 1),
        (&["assess", "small"], 1),
        (&["identify", "survey"], 1),
        (&["identify", "small"], 0),
        (&["identify", &nothing], 0),
        (&["explain", "small", "C02"], 0),
        (&["check", &nothing], 0),
        (&["assess", &nothing], 0),
        (&["cutover", "small"], 0),
        (&["kit", "small"], 0),
        (&["kit", &nothing, "--quotation"], 0),
        (&["kit", "small", "--date", "2026-13-01"], 2),
        (&["kit", "small", "--quotation", "--json"], 2),
        (&["allocate", &nothing], 0),
        (&["allocate", "small"], 1),
        (&["allocate", "small", "--time-limit", "soon"], 2),
        (&["allocate", "small", "--write", "--compare"], 2),
        (&["cutover", &nothing, "--way", "swap"], 0),
        (&["schema"], 0),
        (&["completions", "bash"], 0),
        (&["man"], 0),
        (&["--help"], 0),
        (&["--version"], 0),
        (&["assess", "wrong.toml"], 2),
        (&["assess", "nowhere"], 2),
        (&["assess", "small", "--library", "nowhere"], 2),
        (&["explain", "small", "nobody"], 2),
        (&["assess"], 2),
        (&["cutover", "small", "--way", "both"], 2),
        (&["polish", "small"], 2),
        (&["assess", "small", "--colour", "never"], 2),
    ] {
        assert_eq!(run(words).code, code, "{words:?}");
    }
}

#[test]
fn every_json_holds_its_schema() {
    for job in ["small", "names", "survey"] {
        let (code, value) = json(&["identify", job, "--json"]);
        assert!(code < 2);
        holds("identify", &value);
        for (command, schema) in [("assess", "assess"), ("check", "check"), ("allocate", "allocate")] {
            let (code, value) = json(&[command, job, "--json"]);
            assert!(code < 2);
            holds(schema, &value);
        }
        let (_, value) = json(&["assess", job, "--json", "--all"]);
        holds("assess", &value);
        for way in ["side-by-side", "swap"] {
            let (code, value) = json(&["cutover", job, "--way", way, "--json"]);
            assert_eq!(code, 0);
            holds("cutover", &value);
        }
    }
    for place in ["C01", "C01.leaf1", "C04", "C04.D2", "C05", "M1", "M1.1", "M1.9", "P1", "P1.J1", "job"] {
        let (code, value) = json(&["explain", "small", place, "--json"]);
        assert_eq!(code, 0);
        holds("explain", &value);
    }
}

#[test]
fn errors_are_json_too() {
    for words in [
        &["assess", "wrong.toml", "--json"][..],
        &["check", "nowhere", "--json"],
        &["explain", "small", "nobody", "--json"],
        &["assess", "--json"],
        &["polish", "--json"],
    ] {
        let (code, value) = json(words);
        assert_eq!(code, 2, "{words:?}");
        holds("errors", &value);
    }
    let (_, value) = json(&["assess", "wrong.toml", "--json"]);
    let lines: Vec<u64> =
        value["errors"].as_array().unwrap().iter().map(|error| error["line"].as_u64().unwrap()).collect();
    assert_eq!(lines, [3, 11, 12, 15, 16, 17], "{value:#}");
}

#[test]
fn an_assessment_in_json_says_what_the_report_says() {
    let (_, value) = json(&["assess", "small", "--json"]);
    assert_eq!(value["verdict"], "stop");
    let circuits = value["circuits"].as_array().unwrap();
    let tags: Vec<&str> = circuits.iter().map(|circuit| circuit["tag"].as_str().unwrap()).collect();
    assert_eq!(tags, ["C01", "C02", "C03", "C04", "C05"]);
    assert_eq!(circuits[1]["states"][0]["band"], "open");
    assert_eq!(circuits[1]["states"][0]["ok"], false);
}

#[test]
fn explaining_lists_every_fault_and_a_contact_only_its_own() {
    let (_, all) = json(&["explain", "small", "C01", "--json"]);
    let (_, own) = json(&["explain", "small", "C01.leaf1", "--json"]);
    let faults = |value: &Value| value["assessment"]["circuits"][0]["faults"].as_array().unwrap().len();
    assert_eq!(all["assessment"]["circuits"][0]["coverage"]["total"], faults(&all));
    assert!(faults(&own) < faults(&all) && faults(&own) > 0);
    assert_eq!(own["workings"].as_array().unwrap().len(), 3);
}

#[test]
fn a_library_of_ones_own_replaces_what_is_built_in() {
    let state = |words: &[&str]| json(words).1["circuits"][1]["states"][0]["ok"].clone();
    assert_eq!(state(&["assess", "small", "--json"]), false);
    assert_eq!(state(&["assess", "small", "--json", "--library", "own-library"]), true);
    let output =
        program(&["assess", "small", "--json"]).env("LOOPWRIGHT_LIBRARY", "own-library").output().unwrap();
    let value: Value = serde_json::from_str(&told(&output).out).unwrap();
    assert_eq!(value["circuits"][1]["states"][0]["ok"], true);
}

#[test]
fn errors_of_all_files_come_at_once() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("bad-library");
    std::fs::create_dir_all(folder.join("equipment")).unwrap();
    std::fs::create_dir_all(folder.join("rules")).unwrap();
    std::fs::write(folder.join("equipment/a.toml"), "id = \"a\"\nkind = \"modul\"\n").unwrap();
    std::fs::write(folder.join("equipment/b.toml"), "id = 1\n").unwrap();
    std::fs::write(folder.join("rules/c.toml"), "titel = \"x\"\n").unwrap();
    std::fs::write(folder.join("equipment/notes.txt"), "not read").unwrap();
    let (code, value) = json(&["check", "wrong.toml", "--json", "--library", &folder.to_string_lossy()]);
    assert_eq!(code, 2);
    let mut files: Vec<&str> = value["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| error["file"].as_str().unwrap().rsplit('/').next().unwrap())
        .collect();
    files.dedup();
    assert_eq!(files, ["a.toml", "b.toml", "c.toml", "wrong.toml"]);
}

#[test]
fn what_is_no_job_file_is_refused_in_bounded_time() {
    let large = file("large.toml", &vec![b'#'; 17 * 1024 * 1024]);
    let noise = file("noise.toml", &[0xff, 0xfe, 0x00, 0x01]);
    let deep = file("deep.toml", format!("format = 1\nx = {}", "[".repeat(1 << 20)).as_bytes());
    let folder = jobs().join("own-library/equipment").to_string_lossy().into_owned();
    for (path, told) in [
        (large.as_str(), "17 MB"),
        (&noise, "UTF-8"),
        (&deep, "nested"),
        ("/dev/zero", "device"),
        (&folder, "no such file"),
    ] {
        let begun = Instant::now();
        let run = run(&["assess", path]);
        assert_eq!(run.code, 2, "{path}");
        assert!(run.talk.contains(told), "{path}: {}", run.talk);
        assert!(begun.elapsed() < Duration::from_secs(20), "{path}");
    }
}

#[test]
fn a_reader_who_leaves_ends_the_program_quietly() {
    for words in [&["assess", "small"][..], &["assess", "small", "--json", "--all"], &["schema"], &["man"]] {
        let mut child = program(words).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let mut talk = String::new();
        child.stderr.take().unwrap().read_to_string(&mut talk).unwrap();
        assert_eq!(child.wait().unwrap().code(), Some(0), "{words:?}");
        assert_eq!(talk, "", "{words:?}");
    }
}

#[test]
fn a_full_disk_is_the_machines_failure() {
    let Ok(full) = std::fs::File::options().write(true).open("/dev/full") else { return };
    let output = program(&["assess", "small"]).stdout(full).output().unwrap();
    assert_eq!(told(&output).code, 3);
}

#[test]
fn completions_and_manual_name_every_command() {
    for words in [&["completions", "bash"][..], &["completions", "fish"], &["man"]] {
        let text = run(words).out;
        for command in ["check", "assess", "explain", "schema"] {
            assert!(text.contains(command), "{words:?} {command}");
        }
    }
}
