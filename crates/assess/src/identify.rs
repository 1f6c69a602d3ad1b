//! The door to the identify engine: what is on every pair, and a job in which what is settled counts as known.

use ::identify::{OneByOne, Survey, Workers, network_of, survey, survey_one};
use job::{Finding, Job, Severity};
use library::{Habits, Library};
use network::Network;

/// Works side by side where the feature `threads` is on.
struct SideBySide;

impl Workers for SideBySide {
    fn each<T: Send>(&self, count: usize, one: &(dyn Fn(usize) -> T + Sync)) -> Vec<T> {
        if count < 2 { OneByOne.each(count, one) } else { crate::threads::each(count, one, &|_, _| {}) }
    }
}

/// Identifies every circuit that has readings; none when the library has no habits called `default`.
#[must_use]
pub fn identify<'a>(job: &'a Job, library: &'a Library) -> Option<Survey<'a>> {
    Some(survey(job, habits(library)?, &SideBySide))
}

/// Identifies one circuit after another reading of it, while someone types: `job` is the job of `before` with that reading
/// in it. None when the library has no habits called `default`.
#[must_use]
pub fn identify_one<'a>(
    before: &Survey,
    job: &'a Job,
    library: &'a Library,
    circuit: usize,
) -> Option<Survey<'a>> {
    Some(survey_one(before, job, habits(library)?, circuit))
}

/// The job as it is assessed: a circuit without network whose wiring is settled gets the inferred one, marked so.
///
/// Every face hands a job through this before it assesses it. Where nothing can be inferred the job comes back as it was.
#[must_use]
pub fn with_settled(job: Job, library: &Library) -> Job {
    if !job.circuits.iter().any(is_open) {
        return job;
    }
    let inferred = identify(&job, library).map(|survey| inferred(&survey));
    with_inferred(job, inferred.unwrap_or_default())
}

/// The same by a survey of this very job, for who has one already.
#[must_use]
pub fn with_settled_in(survey: &Survey) -> Job {
    with_inferred(survey.job.clone(), inferred(survey))
}

/// Whether a network would be inferred where readings settle it.
fn is_open(circuit: &job::Circuit) -> bool {
    circuit.network.is_none() && circuit.other.is_none() && !circuit.found.is_empty()
}

/// The networks that readings settle, each with its circuit's place in the job.
fn inferred(survey: &Survey) -> Vec<(usize, Network)> {
    let open = survey.pairs.iter().filter(|pair| is_open(&survey.job.circuits[pair.circuit]));
    open.filter_map(|pair| Some((pair.circuit, network_of(&survey.setting, survey.job, pair)?))).collect()
}

fn with_inferred(mut job: Job, inferred: Vec<(usize, Network)>) -> Job {
    for (circuit, network) in inferred {
        let circuit = &mut job.circuits[circuit];
        circuit.network = Some(network);
        circuit.inferred = true;
    }
    job
}

/// What is said of circuits whose network was inferred.
pub(crate) fn inferred_findings(job: &Job, findings: &mut Vec<Finding>) {
    for circuit in job.circuits.iter().filter(|circuit| circuit.inferred) {
        let Some(network) = &circuit.network else { continue };
        findings.push(Finding {
            severity: Severity::Check,
            place: circuit.tag.value.clone(),
            code: "network-inferred",
            text: format!("Nobody has written what hangs on it; its readings say `{}`.", network.written()),
            remedy: "`loopwright identify` shows what speaks for it; --accept writes it into the job."
                .to_owned(),
        });
    }
}

fn habits(library: &Library) -> Option<&Habits> {
    library.habits.get("default")
}
