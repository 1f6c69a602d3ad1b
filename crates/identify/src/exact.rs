//! The joint posterior against brute force: every habit, every scale of the instrument and every combination of
//! hypotheses of all circuits, multiplied out and added up.

use document::Source;
use job::Job;
use library::{Habits, Library};

use crate::building::Building;
use crate::evidence::{Evidence, NONE, SCALES, Setting};

const HABITS: &str = r#"
id = "default"
basis = "three values, six wirings"
[wiring]
nc-bare = 3
nc-eol = 4
no-eol = 2
nc-two-resistor = 2
nc-doubled = 1
unlike-any = 1
[resistor]
"2.2k" = 5
"2.4k" = 1
"4.7k" = 4
[building]
keeps = 0.85
pair_equal = 0.8
later_hand = 0.15
later_share = 0.3
[reading]
worse = 0.05
"#;

fn habits() -> Habits {
    let mut library = Library::default();
    library.add_habits(&Source::new("habits", HABITS)).unwrap();
    library.habits.remove("default").unwrap()
}

/// Readings that leave much open, so that the habit decides.
const JOB: &str = r#"
format = 1
[[circuit]]
tag = "C01"
found = [{ when = "rest", ohms = "2.30k" }, { when = "tripped", ohms = "open" }]
[[circuit]]
tag = "C02"
found = [{ when = "rest", ohms = "2.25k" }]
[[circuit]]
tag = "C03"
found = [{ when = "rest", ohms = "4.65k" }, { when = "tripped", ohms = "6.9k" }]
[[circuit]]
tag = "C04"
found = [{ when = "rest", ohms = "1.55k" }]
"#;

/// Share of a first value under a habit: the building's own, the later hand's, or drawn.
fn follows(setting: &Setting, value: usize, own: usize, later: Option<usize>) -> f64 {
    let building = &setting.habits.building;
    let weights = [0.5, 0.1, 0.4];
    let mut share = (1.0 - building.keeps) * weights[value];
    match later {
        None if value == own => share += building.keeps,
        None => {}
        Some(later) => {
            if value == own {
                share += building.keeps * 0.7;
            }
            if value == later {
                share += building.keeps * 0.3;
            }
        }
    }
    share
}

/// Every combination of hypotheses, one of each circuit.
fn combinations(all: &[Evidence], into: &mut dyn FnMut(&[usize])) {
    let mut at = vec![0; all.len()];
    loop {
        into(&at);
        let mut digit = 0;
        loop {
            if digit == all.len() {
                return;
            }
            at[digit] += 1;
            if at[digit] < all[digit].hypotheses.len() {
                break;
            }
            at[digit] = 0;
            digit += 1;
        }
    }
}

#[test]
fn the_joint_posterior_is_that_of_brute_force() {
    let habits = habits();
    let job = Job::read(&Source::new("job", JOB)).unwrap();
    let setting = Setting::new(&habits, job.meter);
    let all: Vec<Evidence> = job.circuits.iter().map(|circuit| setting.evidence(circuit)).collect();
    let building = Building::learn(&setting, &all);

    let mut exact: Vec<Vec<f64>> = all.iter().map(|one| vec![0.0; one.hypotheses.len()]).collect();
    let mut sum = 0.0;
    let weights = [0.5, 0.1, 0.4];
    let laters: Vec<(Option<usize>, f64)> =
        [(None, 0.85)].into_iter().chain((0..3).map(|later| (Some(later), 0.15 * weights[later]))).collect();
    for scale in 0..SCALES.len() {
        for (own, weight) in weights.into_iter().enumerate() {
            for (later, later_share) in &laters {
                let prior = [0.95, 0.05][scale] * weight * later_share;
                combinations(&all, &mut |at| {
                    let mut joint = prior;
                    for (evidence, at) in all.iter().zip(at) {
                        let hypothesis = &evidence.hypotheses[*at];
                        let pulled: f64 = hypothesis
                            .pulls
                            .iter()
                            .map(|(value, factor)| match *value {
                                NONE => *factor,
                                value => factor * follows(&setting, usize::from(value), own, *later),
                            })
                            .sum();
                        joint *= pulled * hypothesis.like[scale];
                    }
                    sum += joint;
                    for (exact, at) in exact.iter_mut().zip(at) {
                        exact[*at] += joint;
                    }
                });
            }
        }
    }
    let mut most_moved: f64 = 0.0;
    for (at, evidence) in all.iter().enumerate() {
        let alone = Building::learn(&setting, std::slice::from_ref(evidence));
        let alone = alone.posterior(&setting, 0, evidence);
        let joint = building.posterior(&setting, at, evidence);
        for ((joint, exact), alone) in joint.iter().zip(&exact[at]).zip(&alone) {
            assert!((joint - exact / sum).abs() < 1e-9, "{joint} {}", exact / sum);
            most_moved = most_moved.max((joint - alone).abs());
        }
    }
    assert!(most_moved > 0.02, "the others' habit must matter here, or nothing is tested: {most_moved}");
}
