//! Settled right, settled wrong, and whether probabilities mean what they say, on simulated buildings.

#![expect(clippy::print_stdout, reason = "figures to read with --nocapture")]

mod simulate;

use document::Source;
use identify::{OneByOne, survey};
use job::Job;
use library::Library;
use simulate::{Building, Dice, Truth, World};

/// Counts over many circuits.
#[derive(Default, Debug)]
struct Score {
    circuits: usize,
    with_trip: usize,
    right: usize,
    right_with_trip: usize,
    wrong: usize,
    /// What the settled ones say themselves about being wrong, and its variance.
    doubt: f64,
    doubt_variance: f64,
    inside: usize,
    on_rest_alone: usize,
    /// By tenths of the probability said: how many, their sum, how many were right.
    bins: Vec<(usize, f64, usize)>,
}

fn is_truth(candidate: &identify::Candidate, truth: &Truth) -> bool {
    candidate.wiring.word() == truth.wiring
        && candidate.resistors.len() == truth.resistors.len()
        && candidate.resistors.iter().zip(&truth.resistors).all(|(one, other)| (one.0 - other).abs() < 1e-6)
}

impl Score {
    fn of(world: &World, buildings: usize, circuits: usize, seed: u64) -> Self {
        let mut score = Self { bins: vec![(0, 0.0, 0); 10], ..Self::default() };
        let mut dice = Dice(seed);
        for _ in 0..buildings {
            let building = Building::draw(world, circuits, &mut dice);
            score.add(&building);
        }
        score
    }

    fn add(&mut self, building: &Building) {
        let library = Library::embedded();
        let source = Source::new("job.toml", building.job_file(&|_| usize::MAX));
        let job = Job::read(&source).unwrap_or_else(|problems| panic!("{:?}", problems[0]));
        let survey = survey(&job, &library.habits["default"], &OneByOne);
        for (pair, truth) in survey.pairs.iter().zip(&building.circuits) {
            let ranking = &pair.ranking;
            self.circuits += 1;
            self.with_trip += usize::from(truth.has_trip);
            let first = &ranking.all[0];
            let right = is_truth(first, truth);
            if ranking.settled {
                self.right += usize::from(right);
                self.right_with_trip += usize::from(right && truth.has_trip);
                self.wrong += usize::from(!right);
                self.doubt += 1.0 - first.probability;
                self.doubt_variance += first.probability * (1.0 - first.probability);
                self.on_rest_alone += usize::from(!truth.has_trip);
            }
            let mut sum = 0.0;
            for candidate in &ranking.all {
                sum += candidate.probability;
                if is_truth(candidate, truth) {
                    self.inside += 1;
                }
                let bin = ((candidate.probability * 10.0) as usize).min(9);
                if candidate.probability >= 0.01 {
                    self.bins[bin].0 += 1;
                    self.bins[bin].1 += candidate.probability;
                    self.bins[bin].2 += usize::from(is_truth(candidate, truth));
                }
                if sum >= 0.95 {
                    break;
                }
            }
        }
    }

    fn share(count: usize, of: usize) -> f64 {
        count as f64 / of as f64
    }

    fn tell(&self, name: &str) {
        println!(
            "{name}: {} circuits, settled right {:.3} (with trip {:.3}), wrong {:.4} (said {:.4}), inside {:.3}, bins {:?}",
            self.circuits,
            Self::share(self.right, self.circuits),
            Self::share(self.right_with_trip, self.with_trip),
            Self::share(self.wrong, self.circuits),
            self.doubt / self.circuits as f64,
            Self::share(self.inside, self.circuits),
            self.bins
                .iter()
                .map(|(count, said, right)| format!(
                    "{count}: {:.3} {:.3}",
                    said / *count as f64,
                    Self::share(*right, *count)
                ))
                .collect::<Vec<_>>(),
        );
    }
}

/// Nonsense readings and all: the figures that were asked for.
#[test]
fn the_usual_world() {
    let score = Score::of(&World::usual(), 60, 30, 1840);
    score.tell("usual");
    assert!(score.circuits >= 1500);
    assert!(Score::share(score.right, score.circuits) >= 0.80);
    assert!(Score::share(score.right_with_trip, score.with_trip) >= 0.92);
    assert!(Score::share(score.wrong, score.circuits) <= 0.01);
    assert!(score.wrong as f64 <= score.doubt + 3.0 * score.doubt_variance.sqrt());
    assert!(Score::share(score.inside, score.circuits) >= 0.95);
    assert_eq!(score.on_rest_alone, 0);
    for (count, said, right) in score.bins.iter().filter(|(count, _, _)| *count >= 150) {
        let (said, right) = (said / *count as f64, Score::share(*right, *count));
        let error = (said * (1.0 - said) / *count as f64).sqrt();
        assert!(
            (said - right).abs() <= (3.0 * error).max(0.03),
            "said {said:.3}, were {right:.3}, of {count}"
        );
    }
}

#[test]
fn a_world_without_nonsense() {
    let score = Score::of(&World { wrong: 0.0, ..World::usual() }, 50, 30, 1841);
    score.tell("no nonsense");
    assert!(Score::share(score.wrong, score.circuits) <= 0.003);
}

/// Weights of wirings and values off by a factor of three up or down, anew in every building.
#[test]
fn a_world_with_other_habits() {
    let mut dice = Dice(1842);
    let mut all = Score { bins: vec![(0, 0.0, 0); 10], ..Score::default() };
    for _ in 0..50 {
        let world = World::shaken(&mut dice);
        all.add(&Building::draw(&world, 30, &mut dice));
    }
    all.tell("other habits");
    assert!(Score::share(all.wrong, all.circuits) <= 0.01);
}

#[test]
fn an_instrument_three_times_worse() {
    let score = Score::of(&World { worse: 3.0, ..World::usual() }, 50, 30, 1843);
    score.tell("worse instrument");
    assert!(Score::share(score.wrong, score.circuits) <= 0.01);
    let single = Score::of(&World { worse: 3.0, ..World::usual() }, 300, 3, 1844);
    single.tell("worse instrument, three circuits");
    assert!(Score::share(single.wrong, single.circuits) <= 0.01);
}
