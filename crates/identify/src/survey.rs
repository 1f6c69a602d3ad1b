//! The door: from a job to what is known of each pair.

use job::Job;
use library::Habits;

use crate::building::Building;
use crate::candidate::Ranking;
use crate::evidence::{Evidence, Setting};

/// What is known of one circuit.
#[derive(Clone, Debug)]
pub struct Pair {
    /// Its place in the job's list.
    pub circuit: usize,
    /// What it may be.
    pub ranking: Ranking,
    /// What its readings say.
    pub evidence: Evidence,
}

/// What is known of all circuits that have readings.
#[derive(Clone, Debug)]
pub struct Survey<'a> {
    /// The job.
    pub job: &'a Job,
    /// Habits and instrument.
    pub setting: Setting<'a>,
    /// What the circuits have in common.
    pub building: Building,
    /// Every circuit with readings, in the order of the job.
    pub pairs: Vec<Pair>,
}

/// Calls `one` for `0..count`; the results in that order.
pub type Each<'f> = &'f dyn Fn(usize, &(dyn Fn(usize) -> Evidence + Sync)) -> Vec<Evidence>;

/// Identifies every circuit that has readings; `each` may work side by side.
#[must_use]
pub fn survey<'a>(job: &'a Job, habits: &'a Habits, each: Each) -> Survey<'a> {
    let setting = Setting::new(habits, job.meter);
    let with_readings: Vec<usize> =
        (0..job.circuits.len()).filter(|at| !job.circuits[*at].found.is_empty()).collect();
    let all = each(with_readings.len(), &|at| setting.evidence(&job.circuits[with_readings[at]]));
    let building = Building::learn(&setting, &all);
    let pairs = with_readings
        .into_iter()
        .zip(all)
        .enumerate()
        .map(|(at, (circuit, evidence))| Pair {
            circuit,
            ranking: Ranking::new(&setting, &building, at, &evidence),
            evidence,
        })
        .collect();
    Survey { job, setting, building, pairs }
}
