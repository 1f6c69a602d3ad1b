//! The building's habit: one value (or two, where a later hand worked) that its resistors tend to have, learned from
//! all circuits at once and fed back to each.
//!
//! Given the habit the circuits are independent, so the joint posterior is an exact sum over habits. A circuit's own
//! vote is divided out of what it is told: it enters the posterior of its hypotheses once.

use quantity::Ohms;

use crate::evidence::{Evidence, Hypothesis, NONE, SCALES, Setting};

/// A habit: the building's value, and a later hand's.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Habit {
    pub(crate) value: usize,
    pub(crate) later: Option<usize>,
    prior: f64,
}

/// What one circuit makes of a habit: a constant, and a factor for every value that follows the habit.
#[derive(Clone, Debug)]
pub(crate) struct Vote {
    constant: f64,
    by_value: Vec<f64>,
}

/// What all circuits together say of the building.
#[derive(Clone, Debug)]
pub struct Building {
    pub(crate) habits: Vec<Habit>,
    /// For each scale of the instrument and each habit: its posterior.
    pub(crate) posterior: Vec<Vec<f64>>,
    votes: Vec<Vec<Vote>>,
}

impl Habit {
    /// What a circuit's readings are worth under it.
    fn weigh(&self, vote: &Vote, drawn: f64, setting: &Setting) -> f64 {
        let building = &setting.habits.building;
        let own = match self.later {
            None => vote.by_value[self.value],
            Some(later) => {
                (1.0 - building.later_share) * vote.by_value[self.value]
                    + building.later_share * vote.by_value[later]
            }
        };
        vote.constant + drawn + building.keeps * own
    }
}

/// Every habit that a building may have.
fn habits(setting: &Setting) -> Vec<Habit> {
    let later_hand = setting.habits.building.later_hand;
    let weights = &setting.weights;
    let mut habits: Vec<Habit> = weights
        .iter()
        .enumerate()
        .map(|(value, weight)| Habit { value, later: None, prior: weight * (1.0 - later_hand) })
        .collect();
    if later_hand <= 0.0 {
        return habits;
    }
    for (value, weight) in weights.iter().enumerate() {
        for (later, other) in weights.iter().enumerate() {
            // A later hand with the same value is none.
            habits.push(Habit { value, later: Some(later), prior: weight * other * later_hand });
        }
    }
    habits
}

fn vote(evidence: &Evidence, scale: usize, setting: &Setting) -> Vote {
    let mut vote = Vote { constant: 0.0, by_value: vec![0.0; setting.values.len()] };
    for hypothesis in &evidence.hypotheses {
        for (value, factor) in hypothesis.pulls {
            let worth = factor * hypothesis.like[scale];
            match vote.by_value.get_mut(usize::from(value)) {
                Some(sum) => *sum += worth,
                None => vote.constant += worth,
            }
        }
    }
    vote
}

/// What is drawn by weight, not by habit, is worth the same under every habit.
fn drawn(vote: &Vote, setting: &Setting) -> f64 {
    let by_weight: f64 = vote.by_value.iter().zip(&setting.weights).map(|(sum, weight)| sum * weight).sum();
    (1.0 - setting.habits.building.keeps) * by_weight
}

impl Building {
    /// Learns from all circuits.
    #[must_use]
    pub fn learn(setting: &Setting, all: &[Evidence]) -> Self {
        let habits = habits(setting);
        let votes: Vec<Vec<Vote>> = all
            .iter()
            .map(|evidence| (0..SCALES.len()).map(|scale| vote(evidence, scale, setting)).collect())
            .collect();
        let worse = setting.habits.reading.worse;
        let prior_of_scale = [1.0 - worse, worse];
        let mut logs: Vec<Vec<f64>> = Vec::new();
        for (scale, prior) in prior_of_scale.into_iter().enumerate() {
            let mut of_scale: Vec<f64> = habits.iter().map(|habit| libm::log(prior * habit.prior)).collect();
            for votes in votes.iter().map(|votes| &votes[scale]) {
                let drawn = drawn(votes, setting);
                for (log, habit) in of_scale.iter_mut().zip(&habits) {
                    *log += libm::log(habit.weigh(votes, drawn, setting));
                }
            }
            logs.push(of_scale);
        }
        let most = logs.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
        // Nothing explains the readings at all: then they say nothing of the habit either.
        let exp = |log: f64| if most.is_finite() { libm::exp(log - most) } else { 1.0 };
        let mut posterior: Vec<Vec<f64>> =
            logs.iter().map(|logs| logs.iter().map(|log| exp(*log)).collect()).collect();
        let sum: f64 = posterior.iter().flatten().sum();
        posterior.iter_mut().flatten().for_each(|share| *share /= sum);
        Self { habits, posterior, votes }
    }

    /// The posterior of every hypothesis of one of the circuits that it was learned from; sums to 1.
    pub(crate) fn posterior(&self, setting: &Setting, circuit: usize, evidence: &Evidence) -> Vec<f64> {
        let scaled: Vec<(f64, Vec<f64>)> =
            (0..SCALES.len()).map(|scale| self.told(setting, circuit, scale)).collect();
        let of = |hypothesis: &Hypothesis| -> f64 {
            scaled
                .iter()
                .zip(hypothesis.like)
                .map(|((constant, by_value), like)| {
                    let pulled = hypothesis.pulls.iter().map(|(value, factor)| match *value {
                        NONE => factor * constant,
                        value => factor * by_value[usize::from(value)],
                    });
                    like * pulled.sum::<f64>()
                })
                .sum()
        };
        let mut posterior: Vec<f64> = evidence.hypotheses.iter().map(of).collect();
        let sum: f64 = posterior.iter().sum();
        if sum > 0.0 {
            posterior.iter_mut().for_each(|share| *share /= sum);
        }
        posterior
    }

    /// What the other circuits tell one: the factor of what does not follow a habit, and of every value.
    fn told(&self, setting: &Setting, circuit: usize, scale: usize) -> (f64, Vec<f64>) {
        let vote = &self.votes[circuit][scale];
        let drawn = drawn(vote, setting);
        let building = &setting.habits.building;
        let mut by_value = vec![0.0; setting.values.len()];
        let mut all = 0.0;
        for (habit, share) in self.habits.iter().zip(&self.posterior[scale]) {
            let worth = habit.weigh(vote, drawn, setting);
            if worth <= 0.0 {
                continue;
            }
            let others = share / worth;
            all += others;
            match habit.later {
                None => by_value[habit.value] += others * building.keeps,
                Some(later) => {
                    by_value[habit.value] += others * building.keeps * (1.0 - building.later_share);
                    by_value[later] += others * building.keeps * building.later_share;
                }
            }
        }
        for (value, weight) in by_value.iter_mut().zip(&setting.weights) {
            *value += all * (1.0 - building.keeps) * weight;
        }
        (all, by_value)
    }

    /// The likeliest value of the building's own, and how likely it is.
    pub(crate) fn own_value(&self, setting: &Setting) -> Option<(Ohms, f64)> {
        let mut by_value = vec![0.0; setting.values.len()];
        for shares in &self.posterior {
            for (habit, share) in self.habits.iter().zip(shares) {
                by_value[habit.value] += share;
            }
        }
        let (value, share) = by_value.iter().enumerate().max_by(|one, other| one.1.total_cmp(other.1))?;
        Some((Ohms(setting.values[value]), *share))
    }

    /// Probability that the instrument is worse than its data sheet says.
    #[must_use]
    pub fn worse(&self) -> f64 {
        self.posterior.get(1).map_or(0.0, |shares| shares.iter().sum())
    }
}
