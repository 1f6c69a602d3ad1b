//! How many readings, and how many minutes, it takes to settle a circuit: by the proposed next reading, and by a fixed
//! routine.

#![expect(clippy::print_stdout, reason = "figures to read with --nocapture")]

mod simulate;

use document::Source;
use identify::{Act, Building as Habit, Evidence, Ranking, Setting, next};
use job::Job;
use library::Library;
use simulate::{Building, Dice, Truth, World};

/// No circuit gets more.
const MOST: usize = 7;
/// After rest: the routine of a careful technician without a tool.
const ROUTINE: [&str; 6] = ["trip", "reversed", "joined", "opened", "earth", "volts"];

#[derive(Default, Debug, Clone, Copy)]
struct Effort {
    readings: usize,
    settled: usize,
    wrong: usize,
    minutes: f64,
}

/// The next device that nobody tripped yet; the first again when all were.
fn trip(truth: &Truth) -> &'static str {
    let devices = truth.devices();
    let taken = truth.readings.iter().filter(|(when, _)| devices.contains(&when.as_str())).count();
    devices[taken % devices.len()]
}

/// Takes a reading by its word; what says nothing of ohms between the cores is typed as a sound pair shows it.
fn take(truth: &mut Truth, word: &str, world: &World, dice: &mut Dice) {
    match word {
        "trip" | "tripped" => {
            let device = trip(truth);
            truth.take(device, world, dice);
        }
        "earth" => truth.readings.push(("earth".to_owned(), "open".to_owned())),
        "volts" => truth.volts = true,
        other => truth.take(other, world, dice),
    }
}

fn minutes(act: Act) -> f64 {
    match act {
        Act::Trip => 4.0,
        Act::Join | Act::Open => 8.0,
        Act::Wait => 2.0,
        _ => 1.0,
    }
}

fn evidence(setting: &Setting, truth: &Truth) -> Evidence {
    let building = Building { circuits: vec![truth.clone()] };
    let job =
        Job::read(&Source::new("job", building.job_file(&|_| usize::MAX))).expect("made-up jobs can be read");
    setting.evidence(&job.circuits[0])
}

fn is_truth(ranking: &Ranking, truth: &Truth) -> bool {
    let first = &ranking.all[0];
    first.wiring.word() == truth.wiring
        && first.resistors.len() == truth.resistors.len()
        && first.resistors.iter().zip(&truth.resistors).all(|(one, other)| (one.0 - other).abs() < 1e-6)
}

/// Goes through a building circuit by circuit, all rest readings known.
fn walk(building: &Building, routine: bool, world: &World, seed: u64) -> Effort {
    let library = Library::embedded();
    let mut truths = building.circuits.clone();
    let job = Job::read(&Source::new("job", building.job_file(&|_| 1))).expect("made-up jobs can be read");
    let setting = Setting::new(&library.habits["default"], job.meter);
    let mut all: Vec<Evidence> = truths.iter().map(|truth| evidence(&setting, truth)).collect();
    let mut effort = Effort::default();
    for at in 0..truths.len() {
        // Each circuit draws from its own dice, whatever was read of the others.
        let mut dice = Dice(seed + at as u64);
        let mut taken = 1;
        effort.minutes += 1.0;
        loop {
            let habit = Habit::learn(&setting, &all);
            let ranking = Ranking::new(&setting, &habit, at, &all[at]);
            if ranking.settled {
                effort.settled += 1;
                effort.wrong += usize::from(!is_truth(&ranking, &truths[at]));
                break;
            }
            if taken == MOST {
                break;
            }
            let word = if routine {
                ROUTINE[taken - 1].to_owned()
            } else {
                match next(&setting, &job, &job.circuits[at], &all[at], &ranking) {
                    Some(next) => next.reading.act.word().to_owned(),
                    None => break,
                }
            };
            let act = Act::ALL.into_iter().find(|act| act.word() == word).unwrap_or(Act::Trip);
            effort.minutes += minutes(act);
            take(&mut truths[at], &word, world, &mut dice);
            all[at] = evidence(&setting, &truths[at]);
            taken += 1;
        }
        effort.readings += taken;
    }
    effort
}

#[test]
fn fewer_readings_than_a_fixed_routine() {
    let world = World { without_trip: 1.0, ..World::usual() };
    let mut dice = Dice(1850);
    let (mut ours, mut routine) = (Effort::default(), Effort::default());
    for at in 0..14 {
        let building = Building::draw(&world, 20, &mut dice);
        for (sum, by_routine) in [(&mut ours, false), (&mut routine, true)] {
            let effort = walk(&building, by_routine, &world, 1850 + 1000 * at);
            sum.readings += effort.readings;
            sum.settled += effort.settled;
            sum.wrong += effort.wrong;
            sum.minutes += effort.minutes;
        }
    }
    let circuits = 14.0 * 20.0;
    let tell = |name: &str, effort: &Effort| {
        println!(
            "{name}: {:.2} readings and {:.1} minutes a circuit, {} settled, {} of them wrong",
            effort.readings as f64 / circuits,
            effort.minutes / circuits,
            effort.settled,
            effort.wrong
        );
    };
    tell("next reading", &ours);
    tell("fixed routine", &routine);
    assert!(ours.readings < routine.readings);
    assert!(ours.minutes < routine.minutes);
    assert!(ours.settled + 5 >= routine.settled, "fewer readings must not mean less known");
}
