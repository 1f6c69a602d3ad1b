//! What a reading at the panel end can be: rows of a table in use among technicians (public trade pages; common
//! practice, no source; values from memory). The listed cause must be in the smallest set of 95 %.

use document::Source;
use identify::{OneByOne, Survey, remarks, survey};
use job::Job;
use library::Library;

/// A row: readings as typed, causes that must be in the set, a word that must be said.
struct Row {
    name: &'static str,
    found: &'static str,
    causes: &'static [&'static str],
    said: &'static str,
}

const fn row(
    name: &'static str,
    found: &'static str,
    causes: &'static [&'static str],
    said: &'static str,
) -> Row {
    Row { name, found, causes, said }
}

const ROWS: &[Row] = &[
    row("0 to 5 ohm, over range", "rest 3.1 ohm; tripped open; reversed 3.1 ohm", &["nc-bare"], ""),
    row("5 to 100 ohm, over range", "rest 62.0 ohm; tripped open; reversed 62.1 ohm", &["nc-bare"], ""),
    row(
        "20 to 60 ohm and steady: a relay with its own resistor",
        "rest 41.5 ohm; tripped open",
        &["nc-bare"],
        "",
    ),
    row("20 to 60 ohm, drifting", "rest 41.5 ohm; after 60 s 55.2 ohm; tripped open", &["nc-bare"], "joint"),
    row("20 to 60 ohm, restless", "rest unstable; tripped open", &["nc-bare"], ""),
    row("100 to 300 ohm: a long chain", "rest 215.0 ohm; tripped open; reversed 215.1 ohm", &["nc-bare"], ""),
    row(
        "0 to 100 ohm, no change",
        "rest 12.4 ohm; tripped 12.4 ohm; reversed 12.4 ohm",
        &["shorted-pair"],
        "",
    ),
    row("0 to 100 ohm, then a resistor", "rest 4.2 ohm; tripped 4.71k", &["nc-stepped"], ""),
    row("a resistor, then open", "rest 2.21k; tripped open; reversed 2.21k", &["nc-eol"], ""),
    row("a resistor, then low", "rest 4.72k; tripped 6.1 ohm; reversed 4.72k", &["no-eol"], ""),
    row("exactly double, 1 k", "rest 1.005k; tripped 2.007k", &["nc-two-resistor"], ""),
    row("exactly double, 4.7 k", "rest 4.71k; tripped 9.41k", &["nc-two-resistor"], ""),
    row("double, cover open", "rest 4.71k; pir 9.41k; pir.tamper open", &["nc-two-resistor"], ""),
    row("half", "rest 4.70k; tripped 2.36k", &["no-two-resistor"], ""),
    row("2.2 k, then 6.9 k", "rest 2.21k; tripped 6.90k", &["nc-two-resistor"], ""),
    row("2.7 k, then 7.4 k", "rest 2.71k; tripped 7.41k", &["nc-two-resistor"], ""),
    row("4.7 k, then steps of 6.8 k", "rest 4.70k; tripped 11.50k; tripped 18.30k", &["nc-two-resistor"], ""),
    row("3.4 k, then 4.7 k", "rest 3.38k; tripped 4.71k", &["nc-doubled"], ""),
    row("3.4 k, then 12 k", "rest 3.38k; tripped 12.01k", &["nc-doubled"], ""),
    row(
        "3.4 k, then 4.7 k or 12 k or open",
        "rest 3.38k; a 4.71k; b 12.01k; tripped open",
        &["nc-doubled"],
        "",
    ),
    row(
        "four levels: r, r+A, r+B, r+A+B",
        "rest 2.20k; tripped 5.50k; tripped 9.01k; tripped 12.31k",
        &["three-resistor"],
        "",
    ),
    row("half of 2.2 k, then open", "rest 1.105k; tripped open", &["two-ends"], ""),
    row("half of 4.7 k, then open", "rest 2.352k; tripped open", &["two-ends"], ""),
    row("half of 2.2 k, then low", "rest 1.105k; tripped 5.0 ohm", &["two-ends"], ""),
    row("half of 10 k, then low", "rest 5.04k; tripped 5.0 ohm", &["two-ends"], ""),
    row("call point of 470 ohm", "rest 4.70k; tripped 431.0 ohm", &["no-two-resistor"], ""),
    row("call point of 680 ohm", "rest 4.70k; tripped 598.0 ohm", &["no-two-resistor"], ""),
    row("two-wire smoke, unpowered", "rest 4.68k; tripped 4.68k; reversed 3.10k", &["smoke-two-wire"], ""),
    row(
        "open whatever is done",
        "rest open; tripped open; reversed open",
        &["open-pair", "nc-bare", "nc-eol", "no-bare"],
        "",
    ),
    row("open, then low", "rest open; tripped 5.3 ohm; reversed open", &["no-bare"], ""),
    row("rises from low to open", "rest unstable; after 60 s open", &["unlike-any"], "capacitor"),
    row("a resistor one way, low the other", "rest 9.95k; reversed 34.0 ohm", &["sounder"], ""),
    row("a resistor one way, a diode the other", "rest 4.71k; reversed 612.0 ohm", &["sounder"], ""),
    row("open one way, a diode the other", "rest open; reversed 1.21k", &["sounder"], ""),
    row(
        "3 to 7 ohm, no change",
        "rest 6.5 ohm; tripped 6.5 ohm; reversed 6.5 ohm",
        &["unlike-any"],
        "loudspeaker",
    ),
    row(
        "6 to 14 ohm, no change",
        "rest 13.1 ohm; tripped 13.1 ohm; reversed 13.1 ohm",
        &["unlike-any"],
        "loudspeaker",
    ),
    row(
        "0.5 to 3 ohm, no change",
        "rest 1.3 ohm; tripped 1.3 ohm; reversed 1.3 ohm",
        &["unlike-any"],
        "transformer",
    ),
    row("a coil of 85 ohm", "rest 85.0 ohm; tripped 85.0 ohm; reversed 85.1 ohm", &["unlike-any"], "coil"),
    row("a supervision relay of 750 ohm", "rest 750.0 ohm; tripped 750.0 ohm", &["unlike-any"], "coil"),
    row("restless, and no change", "rest unstable; tripped unstable; reversed 3.40k", &["supply-pair"], ""),
    row("restless volts", "volts_dc 5.2 V; volts unstable", &["data-pair"], "bus"),
    row("12 to 14 V DC", "volts_dc 13.6 V; rest 2.20k", &["supply-pair"], "supply still live"),
    row("24 to 28 V DC", "volts_dc 27.1 V; rest 2.20k", &["supply-pair"], "supply still live"),
    row("16 to 18 V AC", "volts_ac 17.2 V", &["unlike-any"], "transformer"),
    row("a leg to earth", "rest 2.20k; earth-a 12.0k; earth-b 14.2k", &[], "to earth"),
];

/// `rest 2.21k; tripped open` as entries of a job file.
fn job(found: &str) -> Job {
    let entries: Vec<String> = found
        .split("; ")
        .map(|entry| {
            let (when, shown) = if let Some(rest) = entry.strip_prefix("after 60 s ") {
                ("after 60 s", rest)
            } else {
                entry.split_once(' ').expect("a condition and a display")
            };
            match when {
                "volts_dc" | "volts_ac" => format!("{{ when = \"rest\", {when} = \"{shown}\" }}"),
                "volts" => format!("{{ when = \"rest\", volts_dc = \"{shown}\" }}"),
                _ => format!("{{ when = \"{when}\", ohms = \"{shown}\" }}"),
            }
        })
        .collect();
    let text = format!(
        "format = 1\n[meter]\nohms = \"0.9 % + 2 digits\"\nleads = \"0.2 ohm\"\n[[circuit]]\ntag = \"C01\"\nfound = [{}]\n",
        entries.join(", ")
    );
    Job::read(&Source::new("job", text)).unwrap_or_else(|problems| panic!("{found}: {}", problems[0].text))
}

/// The wirings of the smallest set of 95 %.
fn set(survey: &Survey) -> Vec<(&'static str, f64)> {
    let mut sum = 0.0;
    let mut set: Vec<(&str, f64)> = Vec::new();
    for candidate in &survey.pairs[0].ranking.all {
        let word = candidate.wiring.word();
        match set.iter_mut().find(|(other, _)| *other == word) {
            Some((_, share)) => *share += candidate.probability,
            None => set.push((word, candidate.probability)),
        }
        sum += candidate.probability;
        if sum >= 0.95 {
            break;
        }
    }
    set
}

#[test]
fn every_row() {
    let library = Library::embedded();
    let mut wrong = Vec::new();
    for row in ROWS {
        let job = job(row.found);
        let survey = survey(&job, &library.habits["default"], &OneByOne);
        let pair = &survey.pairs[0];
        let set = set(&survey);
        let told = remarks(&survey, pair).join(" ");
        for cause in row.causes {
            if !set.iter().any(|(word, _)| word == cause) {
                wrong.push(format!("{}: {cause} is not in {set:.3?}", row.name));
            }
        }
        if !told.contains(row.said) {
            wrong.push(format!("{}: `{}` is not said in `{told}`", row.name, row.said));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// The steps count the devices, and the resistors of every row are those that it names.
#[test]
fn values_of_the_rows() {
    let library = Library::embedded();
    for (found, wiring, values) in [
        ("rest 2.21k; tripped 6.90k", "nc-two-resistor", vec![2200.0, 4700.0]),
        ("rest 4.70k; tripped 11.50k; tripped 18.30k", "nc-two-resistor", vec![4700.0, 6800.0]),
        ("rest 3.38k; a 4.71k; b 12.01k", "nc-doubled", vec![12000.0, 4700.0]),
        ("rest 4.70k; tripped 431.0 ohm", "no-two-resistor", vec![4700.0, 470.0]),
        ("rest 1.105k; tripped open", "two-ends", vec![2200.0, 2200.0]),
    ] {
        let job = job(found);
        let survey = survey(&job, &library.habits["default"], &OneByOne);
        let all = &survey.pairs[0].ranking.all;
        let best = all.iter().find(|one| one.wiring.word() == wiring).unwrap();
        let said: Vec<f64> = best.resistors.iter().map(|ohms| ohms.0).collect();
        assert_eq!(said, values, "{found}");
    }
}
