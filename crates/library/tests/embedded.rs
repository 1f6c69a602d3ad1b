//! The embedded files: complete, readable, and what `docs/format.md` promises of them.

use std::collections::BTreeSet;
use std::path::Path;

use document::Source;
use library::{Kind, Labour, Library, Profile, Task};

/// Prints every problem with its place, so that a failing test says what to mend.
fn told(source: &Source, problems: &[document::Problem]) -> String {
    let lines = problems.iter().map(|problem| {
        let complaint = source.complaint(problem);
        format!(
            "{}:{}:{}: {} ({})",
            complaint.file, complaint.line, complaint.column, complaint.text, complaint.accept
        )
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn every_embedded_file_is_read_without_a_problem() {
    let mut library = Library::default();
    for (name, text) in Library::embedded_equipment() {
        let source = Source::new(format!("equipment/{name}.toml"), *text);
        if let Err(problems) = library.add_equipment(&source) {
            panic!("{}", told(&source, &problems));
        }
        assert!(library.profiles.contains_key(*name), "{name}: the file is named like its id");
    }
    for (name, text) in Library::embedded_rules() {
        let source = Source::new(format!("rules/{name}.toml"), *text);
        if let Err(problems) = library.add_rules(&source) {
            panic!("{}", told(&source, &problems));
        }
        assert!(library.rules.contains_key(*name), "{name}: the file is named like its id");
    }
    for (name, text) in Library::embedded_habits() {
        let source = Source::new(format!("habits/{name}.toml"), *text);
        if let Err(problems) = library.add_habits(&source) {
            panic!("{}", told(&source, &problems));
        }
        assert!(library.habits.contains_key(*name), "{name}: the file is named like its id");
    }
    for (name, text) in Library::embedded_labour() {
        let source = Source::new(format!("labour/{name}.toml"), *text);
        match Labour::read(&source) {
            Err(problems) => panic!("{}", told(&source, &problems)),
            Ok(labour) => assert_eq!(labour.id, *name, "the file is named like its id"),
        }
    }
}

#[test]
fn every_file_of_the_folders_is_embedded() {
    for (folder, files) in [
        ("equipment", Library::embedded_equipment()),
        ("rules", Library::embedded_rules()),
        ("habits", Library::embedded_habits()),
        ("labour", Library::embedded_labour()),
    ] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(folder);
        let on_disk: BTreeSet<String> = std::fs::read_dir(path)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter_map(|name| name.strip_suffix(".toml").map(str::to_owned))
            .collect();
        let embedded: BTreeSet<String> = files.iter().map(|(name, _)| (*name).to_owned()).collect();
        assert_eq!(embedded, on_disk, "{folder}");
    }
}

#[test]
fn every_profile_says_that_it_is_a_generic_class() {
    for profile in Library::embedded().profiles.values() {
        assert_eq!(profile.basis, "generic class, typical values; type in your manual's", "{}", profile.id);
    }
}

/// The example of `docs/format.md`, section 3, by hand.
#[test]
fn the_example_of_the_format_is_embedded() {
    let library = Library::embedded();
    let Profile { kind: Kind::Module(module), .. } = &library.profiles["input-12"] else {
        panic!("no module")
    };
    assert_eq!(module.inputs, 12);
    let mode = &module.modes[0];
    assert_eq!(mode.id, "fixed-2k2");
    assert_eq!(mode.smoke_inputs, [12]);
    // rest lies from 1.2k to 3.4k, each edge 3 % uncertain: surely 1.236k to 3.298k, perhaps 1.164k to 3.502k
    let rest = mode.limits[1];
    for (is, wanted) in
        [(rest.sure_lo, 1236.0), (rest.sure_hi, 3298.0), (rest.may_lo, 1164.0), (rest.may_hi, 3502.0)]
    {
        assert!((is - wanted).abs() < 1e-9, "{is} {wanted}");
    }
}

/// Every key that a habits file may leave out has, in the code, the value that the embedded file states.
#[test]
fn the_defaults_of_habits_are_those_of_the_embedded_file() {
    let mut library = Library::default();
    let least = "id = \"default\"\nbasis = \"x\"\n[wiring]\nnc-eol = 1\n[resistor]\n\"2.2k\" = 1\n";
    library.add_habits(&Source::new("least", least)).unwrap();
    let (least, whole) = (&library.habits["default"], &Library::embedded().habits["default"]);
    assert_eq!(least.building, whole.building);
    assert_eq!(least.spread, whole.spread);
    assert_eq!(least.reading, whole.reading);
    assert_eq!(least.place, whole.place);
    assert_eq!(least.minutes, whole.minutes);
    let sum: f64 = whole.wiring.iter().map(|(_, share)| share).sum();
    assert!((sum - 1.0).abs() < 1e-12);
}

#[test]
fn habits_that_are_refused() {
    let head = "id = \"default\"\nbasis = \"x\"\n";
    for (body, said) in [
        ("[wiring]\nnc-eol = 1", "`resistor` is missing"),
        ("[resistor]\n\"2.2k\" = 1", "`wiring` is missing"),
        ("[wiring]\nnc-eol = 0\n[resistor]\n\"2.2k\" = 1", "no weight is more than 0"),
        ("[wiring]\nnc-eel = 1\n[resistor]\n\"2.2k\" = 1", "nc-eel"),
        ("[wiring]\nnc-eol = 1\n[resistor]\n\"2.2\" = 1", "the unit of `2.2`"),
        ("[wiring]\nnc-eol = 1\n[resistor]\n\"2.2k\" = 1\n\"2k2\" = 1", "this value is there twice"),
        ("[wiring]\nnc-eol = 1\n[resistor]\n\"2.2k\" = -1", "out of range"),
        ("[wiring]\nnc-eol = 1\n[resistor]\n\"2.2k\" = 1\n[reading]\nwrong = 0.9", "out of range"),
        (
            "[wiring]\nnc-eol = 1\n[resistor]\n\"2.2k\" = 1\n[spread]\nresistor = \"80 %\"",
            "no resistor is made",
        ),
    ] {
        let source = Source::new("habits", format!("{head}{body}"));
        let problems = Library::default().add_habits(&source).expect_err(body);
        assert!(problems.iter().any(|one| one.text.contains(said)), "{body}: {}", told(&source, &problems));
    }
}

/// An office types in what it has measured; the rest stays. By hand: 16 circuits take 45 to 75 min, so 36 take
/// 36/16 = 2.25 times as long, 101.25 to 168.75 min.
#[test]
fn a_labour_table_of_ones_own_stands_on_the_built_in_one() {
    let mut library = Library::embedded();
    let survey = library.working_time().minutes(Task::Survey, 36);
    assert!((survey.lo().0 - 101.25).abs() < 1e-9 && (survey.hi().0 - 168.75).abs() < 1e-9);
    let ours = "id = \"default\"\nbasis = \"ours\"\n[task]\nland-pair = { minutes = \"2 min\", basis = \"measured\" }\n";
    library.add_labour(&Source::new("ours", ours)).unwrap();
    let ours = library.working_time();
    assert_eq!(ours.basis, "ours");
    let land = ours.minutes(Task::LandPair, 3);
    assert!((land.lo().0 - 6.0).abs() < 1e-9 && (land.hi().0 - 6.0).abs() < 1e-9);
    for task in Task::ALL.iter().filter(|task| **task != Task::LandPair) {
        assert_eq!(ours.effort(*task), Labour::embedded().effort(*task), "{}", task.word());
    }
}

#[test]
fn labour_tables_that_are_refused() {
    let head = "id = \"default\"\nbasis = \"x\"\n";
    for (body, said) in [
        ("[task]\nland-par = { minutes = \"2 min\", basis = \"x\" }", "land-par"),
        ("[task]\nland-pair = { minutes = 2, basis = \"x\" }", "min"),
        ("[task]\nland-pair = { minutes = \"2\", basis = \"x\" }", "unit"),
        ("[task]\nland-pair = { minutes = \"2 min\" }", "has no `basis`"),
        ("[task]\nland-pair = { basis = \"x\" }", "has no `minutes`"),
        ("[task]\nland-pair = { minutes = \"20000 min\", basis = \"x\" }", "out of range"),
        ("[task]\ncable = { minutes = \"20 min\", per = 0, basis = \"x\" }", "out of range"),
        ("task = 3", "task"),
        ("[part]\nresistor = { price = 0.125, basis = \"x\" }", "two decimals"),
        ("[part]\nresistor = { basis = \"x\" }", "has no `price`"),
        ("[part]\nresister = { price = 1, basis = \"x\" }", "resister"),
        ("[allowance]\ndead = \"5\"", "unit"),
        ("[allowance]\ndue_after = 0", "out of range"),
    ] {
        let source = Source::new("labour", format!("{head}{body}"));
        let problems = Library::default().add_labour(&source).expect_err(body);
        assert!(
            problems.iter().any(|one| one.text.contains(said) || one.accept.contains(said)),
            "{body}: {}",
            told(&source, &problems)
        );
    }
    let least = Source::new("labour", head);
    assert!(Labour::read(&least).is_err(), "a table that stands alone names every task");
}
