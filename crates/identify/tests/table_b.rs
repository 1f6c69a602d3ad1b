//! Misleading situations and the reading that settles them: rows of a table in use among technicians (public trade
//! pages; common practice, no source). The settling reading is the one proposed, or tells no more than that one.

use document::Source;
use identify::{Act, OneByOne, next, options, survey};
use job::Job;
use library::Library;

/// A row: what it looks like, the reading that settles it, and whether it must be the one proposed.
struct Row {
    name: &'static str,
    found: &'static str,
    settles: Act,
    fed: bool,
    proposed: bool,
}

const fn row(name: &'static str, found: &'static str, settles: Act, proposed: bool) -> Row {
    Row { name, found, settles, fed: false, proposed }
}

const ROWS: &[Row] = &[
    row("good value, never alarms: trip the far device", "rest 2.20k", Act::Trip, true),
    Row {
        name: "open: a detector without supply: feed it, read again",
        found: "rest open; tripped open; reversed open; volts_dc 0 V; volts_ac 0 V",
        settles: Act::Rest,
        fed: true,
        proposed: true,
    },
    row("a short: a loudspeaker: reverse the leads", "rest 6.5 ohm; tripped 6.5 ohm", Act::Reverse, true),
    row("a T-tap: open at every device", "rest 1.105k; tripped open; reversed 1.106k", Act::Open, false),
    row("a leg to earth: each leg to earth", "rest 2.20k; tripped 2.20k", Act::Earth, false),
    row("jumping ohms: volts first", "rest unstable", Act::Volts, true),
    row("two readings by direction: volts, fed", "rest 4.70k; reversed 3.10k", Act::Volts, false),
    row(
        "slow rise: hold on and read again",
        "rest unstable; reversed unstable; volts_dc 0 V; volts_ac 0 V",
        Act::Wait,
        true,
    ),
    row("20 to 60 ohm, moving when tapped: read again", "rest 41.5 ohm; tripped open", Act::Wait, false),
    row("ghost volts: volts under a load", "rest 2.20k; volts_dc 22 V", Act::Volts, true),
    row("half the value: open the far resistor", "rest 1.00k; tripped 2.01k", Act::Open, true),
    row(
        "no change: another device, all pairs watched",
        "rest 2.20k; tripped 2.20k; reversed 2.20k",
        Act::Trip,
        true,
    ),
    row("no alarm although ohms are right: at the device", "rest 2.20k; tripped open", Act::Join, false),
    row("normal with a head removed: each head in turn", "rest 4.70k; tripped 4.70k", Act::Open, false),
    row("a sounder by resting volts: volts in alarm", "rest 9.95k; reversed 34.0 ohm", Act::Volts, false),
    row("the colour bands differ: total of both ends", "rest 3.20k; tripped open", Act::Open, false),
];

/// Rows whose settling reading is none of a pair's: a sister loop, core to core, days of logging, the supply, the
/// battery, earth with everything on. They say nothing of wiring and values, so any proposed reading tells more.
const NOT_OF_A_PAIR: [&str; 7] = [
    "20 to 60 ohm and steady: a sister loop of the same route",
    "false alarms at night: log over a week",
    "two zones move together: core to core",
    "13.2 V at the desk, resets in alarm: volts at the farthest device",
    "13.6 V with the charger on: charger off, load for ten minutes",
    "trouble light off, earth fault still there: volts from negative to earth",
    "an induced reading: separate the cables",
];

fn job(found: &str) -> Job {
    let entries: Vec<String> = found
        .split("; ")
        .map(|entry| {
            let (when, shown) = entry.split_once(' ').expect("a condition and a display");
            match when {
                "volts_dc" | "volts_ac" => format!("{{ when = \"rest\", {when} = \"{shown}\" }}"),
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

#[test]
fn the_settling_reading_is_proposed_or_tells_no_more() {
    let library = Library::embedded();
    let mut wrong = Vec::new();
    for row in ROWS {
        let job = job(row.found);
        let survey = survey(&job, &library.habits["default"], &OneByOne);
        let pair = &survey.pairs[0];
        let options = options(&survey.setting, &job, &job.circuits[0], &pair.evidence, &pair.ranking);
        let next = next(&survey.setting, &job, &job.circuits[0], &pair.evidence, &pair.ranking);
        let best = next.map_or_else(|| options[0].clone(), |next| next.reading);
        // What was read before is no option any more: it tells nothing new.
        let gain = options.iter().find(|one| one.act == row.settles && one.fed == row.fed);
        let gain = gain.map_or(0.0, |one| one.gain_bits / one.counted.0);
        let best_gain = best.gain_bits / best.counted.0;
        let is_it = (best.act, best.fed) == (row.settles, row.fed);
        if !is_it && (row.proposed || gain > best_gain) {
            wrong.push(format!(
                "{}: {:?} tells {gain} bits a minute, proposed {best:?}",
                row.name, row.settles
            ));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert_eq!(ROWS.len() + NOT_OF_A_PAIR.len(), 23);
}
