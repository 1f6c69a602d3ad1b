//! `identify` from end to end: what is written into the job, what `assess` makes of it, sheets in and out, habits of
//! one's own.

mod common;

use std::path::{Path, PathBuf};

use common::{jobs, run};
use serde_json::Value;

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("survey-{name}"));
    std::fs::create_dir_all(&folder).expect("the build's folder can be written");
    folder
}

fn write(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    std::fs::create_dir_all(path.parent().expect("a file is in a folder")).expect("it can be written");
    std::fs::write(&path, text).expect("it can be written");
    path.to_string_lossy().into_owned()
}

fn json(words: &[&str]) -> Value {
    let run = run(words);
    serde_json::from_str(&run.out)
        .unwrap_or_else(|error| panic!("{words:?}: {error}: {}{}", run.out, run.talk))
}

#[test]
fn what_is_settled_is_written_with_a_comment_and_nothing_else_changes() {
    let folder = folder("accept");
    let before = std::fs::read_to_string(jobs().join("survey/job.toml")).expect("the job is there");
    let path = write(&folder, "job.toml", &before);
    let value = json(&["identify", &path, "--accept", "--json"]);
    let accepted: Vec<&str> =
        value["accepted"].as_array().unwrap().iter().map(|tag| tag.as_str().unwrap()).collect();
    assert_eq!(accepted, ["C01", "C02", "C04", "C06"], "C03 has no trip, C05 volts, C07 contradicts itself");
    let after = std::fs::read_to_string(&path).expect("the job is there");
    let (new, old): (Vec<&str>, Vec<&str>) = after.lines().partition(|line| line.starts_with("network = "));
    assert_eq!(old.join("\n") + "\n", before, "nothing else is touched");
    assert_eq!(new.len(), 4);
    assert!(
        new[0].starts_with("network = \"wire:4..90m - nc:bay - 2.2k\"  # inferred from 2 readings, 99."),
        "{}",
        new[0]
    );
    let again = json(&["identify", &path, "--accept", "--json"]);
    assert_eq!(again["accepted"], Value::Array(Vec::new()), "what is known is not written twice");
}

#[test]
fn assess_uses_what_is_settled_and_marks_it() {
    let value = json(&["assess", "survey", "--json"]);
    let circuits = value["circuits"].as_array().unwrap();
    let inferred: Vec<bool> = circuits.iter().map(|circuit| circuit["inferred"].as_bool().unwrap()).collect();
    assert_eq!(inferred, [true, true, false, true, false, true, false, false]);
    assert_eq!(circuits[0]["states"][0]["ok"], true, "it is on an input and reads right");
    let said =
        |code: &str| value["findings"].as_array().unwrap().iter().filter(|one| one["code"] == code).count();
    assert_eq!(said("network-inferred"), 4);
}

#[test]
fn a_survey_in_json() {
    let value = json(&["identify", "survey", "--json"]);
    let circuits = value["circuits"].as_array().unwrap();
    let tags: Vec<&str> = circuits.iter().map(|circuit| circuit["tag"].as_str().unwrap()).collect();
    assert_eq!(tags, ["C01", "C02", "C03", "C04", "C05", "C06", "C07"], "every circuit with readings");
    let first = &circuits[0];
    assert_eq!(first["settled"], true);
    assert_eq!(first["next"], Value::Null);
    assert_eq!(first["candidates"][0]["wiring"], "nc-eol");
    assert_eq!(first["candidates"][0]["resistors_ohm"], serde_json::json!([2200.0]));
    let sum = |circuit: &Value| -> f64 {
        let listed = circuit["candidates"].as_array().unwrap().iter();
        listed.map(|one| one["probability"].as_f64().unwrap()).sum::<f64>()
            + circuit["other"].as_f64().unwrap()
    };
    for circuit in circuits {
        assert!((sum(circuit) - 1.0).abs() < 1e-9, "{circuit:#}");
        let listed = circuit["candidates"].as_array().unwrap();
        let each: Vec<f64> = listed.iter().map(|one| one["probability"].as_f64().unwrap()).collect();
        assert!(each.is_sorted_by(|one, other| one >= other));
        let before_last: f64 = each[..each.len() - 1].iter().sum();
        assert!(before_last < 0.99, "no longer than it has to be");
    }
    let third = &circuits[2];
    assert_eq!(third["settled"], false, "nothing is settled on rest alone");
    assert_eq!(third["next"]["when"], "tripped");
    assert!(circuits[4]["refused"].as_str().unwrap().contains("13.7"));
    assert_eq!(circuits[4]["settled"], false);
    let remarks = circuits[6]["remarks"].as_array().unwrap();
    assert!(
        remarks.iter().any(|one| one.as_str().unwrap().starts_with("The readings contradict")),
        "{remarks:?}"
    );
    assert_eq!(value["building"]["own_ohm"], 2200.0);
    assert_eq!(value["building"]["breakers"], serde_json::json!(["C04"]));
}

#[test]
fn explain_says_what_speaks_for_and_against() {
    let run = run(&["explain", "survey", "C03"]);
    assert!(run.out.contains("For it: at rest 2.22k."), "{}", run.out);
}

/// A sheet goes out empty, comes back filled in, and says what the same readings in the job say.
#[test]
fn a_sheet_there_and_back() {
    let folder = folder("sheet");
    let tags = "format = 1\n[meter]\nohms = \"0.9 % + 2 digits\"\nleads = \"0.2 ohm\"\n[[circuit]]\ntag = \"C01\"\nplace = \"hall, left\"\n[[circuit]]\ntag = \"C02\"\nplace = \"hall\"\n";
    let job = write(&folder, "job.toml", tags);
    let blank = run(&["identify", &job, "--blank"]);
    assert_eq!(blank.code, 0);
    let mut lines = blank.out.lines();
    let header = lines.next().unwrap();
    assert!(header.starts_with("Tag,Ends in,Was,Volts DC,Volts AC,Leg a to earth"), "{header}");
    assert_eq!(lines.count(), 2);
    let filled = blank
        .out
        .replace("C01,,,,,,,,,,\"hall, left\",,", "C01,,,0 V,0 V,open,open,,2.21k,,\"hall, left\",door,OL")
        .replace("C02,,,,,,,,,,hall,,", "C02,,,0 V,0 V,open,open,,4.71k,,hall,,4.2 ohm");
    let sheet = write(&folder, "sheet.csv", &filled);
    let from_sheet = json(&["identify", &job, "--sheet", &sheet, "--json"]);
    let in_job = tags.replace(
        "place = \"hall, left\"\n",
        "found = [{ when = \"rest\", volts_dc = \"0 V\", volts_ac = \"0 V\" }, { when = \"rest\", ohms = \"2.21k\" }, { when = \"door\", ohms = \"open\" }]\nplace = \"hall, left\"\n",
    ) + "found = [{ when = \"rest\", volts_dc = \"0 V\", volts_ac = \"0 V\" }, { when = \"rest\", ohms = \"4.71k\" }, { when = \"tripped\", ohms = \"4.2 ohm\" }]\n";
    let other = write(&folder, "typed.toml", &in_job);
    let typed = json(&["identify", &other, "--json"]);
    let said = |value: &Value| -> Vec<Value> {
        value["circuits"]
            .as_array()
            .unwrap()
            .iter()
            .map(|one| one["candidates"][0]["probability"].clone())
            .collect()
    };
    assert_eq!(said(&from_sheet), said(&typed));
    assert_eq!(from_sheet["circuits"][0]["network"], "wire:4..90m - nc:door - 2.2k");
}

#[test]
fn a_foreign_table_is_mapped_and_its_mistakes_are_named() {
    let folder = folder("foreign");
    let job =
        write(&folder, "job.toml", "format = 1\n[[circuit]]\ntag = \"C01\"\n[[circuit]]\ntag = \"C02\"\n");
    let table = "survey of 3 May\n\nCable;Closed;Open;By\nC01;2.21k;OL;A\nc02;4.7 ohmm;OL;B\nC09;1k;OL;B\n";
    let sheet = write(&folder, "table.csv", table);
    let map = ["--map", "Cable=tag", "--map", "Closed=rest", "--map", "Open=tripped", "--map", "By=note"];
    let wrong = run(&[&["identify", &job, "--sheet", &sheet, "--json"][..], &map[..]].concat());
    assert_eq!(wrong.code, 2);
    let value: Value = serde_json::from_str(&wrong.out).unwrap();
    let places: Vec<(u64, u64)> = value["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| (error["line"].as_u64().unwrap(), error["column"].as_u64().unwrap()))
        .collect();
    assert_eq!(places, [(5, 2), (6, 1)], "{value:#}");
    let sheet = write(&folder, "table.csv", &table.replace("ohmm", "kohm").replace("C09;1k;OL;B\n", ""));
    let good = json(&[&["identify", &job, "--sheet", &sheet, "--json"][..], &map[..]].concat());
    assert_eq!(good["circuits"].as_array().unwrap().len(), 2);
    assert_eq!(good["circuits"][0]["candidates"][0]["wiring"], "nc-eol");
    for (map, code) in [("Cable", 2), ("Cable=colour", 2), ("Kabel=tag", 2)] {
        assert_eq!(run(&["identify", &job, "--sheet", &sheet, "--map", map]).code, code, "{map}");
    }
    let nothing = write(&folder, "nothing.csv", "a,b\n1,2\n");
    assert_eq!(run(&["identify", &job, "--sheet", &nothing]).code, 2);
    let broken = write(&folder, "broken.xlsx", "PK\u{3}\u{4} and no more");
    assert_eq!(run(&["identify", &job, "--sheet", &broken]).code, 2);
}

/// A workbook with a title above its header row: C03's trip comes from it (its reading at rest counts once).
#[test]
fn a_workbook_is_read() {
    let sheet =
        ["--sheet", "survey/sheet.xlsx", "--map", "Cable=tag", "--map", "Closed=rest", "--map", "By=note"];
    let value = json(&[&["identify", "survey", "--json"][..], &sheet[..]].concat());
    assert_eq!(value["circuits"][2]["tag"], "C03");
    assert_eq!(value["circuits"][2]["settled"], true, "{value:#}");
    assert_eq!(value["circuits"][2]["candidates"][0]["wiring"], "nc-eol");
}

/// The survey sheet of the pack's own workbook, found among its others by its heads: nothing in it is new.
#[test]
fn the_packs_own_workbook_comes_back_in() {
    let folder = folder("own-workbook");
    let out = folder.join("pack").to_string_lossy().into_owned();
    assert_eq!(run(&["pack", "survey", "--output", &out, "--date", "2026-11-28"]).code, 0);
    let sheet = format!("{out}/tables.xlsx");
    let with = json(&["identify", "survey", "--sheet", &sheet, "--json"]);
    assert_eq!(with, json(&["identify", "survey", "--json"]));
}

/// A workbook names a wrong cell as a spreadsheet does.
#[test]
fn a_wrong_cell_of_a_workbook_is_named() {
    let wrong = run(&[
        "identify",
        "survey",
        "--sheet",
        "survey/sheet.xlsx",
        "--map",
        "Cable=tag",
        "--map",
        "By=rest",
        "--json",
    ]);
    assert_eq!(wrong.code, 2);
    assert!(wrong.out.contains("cell "), "{}", wrong.out);
}

/// An office that has never met anything but open contacts.
#[test]
fn habits_of_ones_own() {
    let folder = folder("habits");
    let habits = "id = \"default\"\nbasis = \"ours\"\n[wiring]\nno-eol = 1\nno-bare = 1\n[resistor]\n\"2.2k\" = 1\n\"4.7k\" = 1\n";
    write(&folder, "habits/ours.toml", habits);
    let library = folder.to_string_lossy().into_owned();
    let value = json(&["identify", "survey", "--json", "--library", &library]);
    let wirings: Vec<&str> = value["circuits"][2]["candidates"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["wiring"].as_str().unwrap())
        .collect();
    assert_eq!(wirings, ["no-eol"]);
    write(&folder, "habits/ours.toml", &habits.replace("no-bare = 1", "no-bear = 1"));
    assert_eq!(run(&["identify", "survey", "--library", &library]).code, 2);
}
