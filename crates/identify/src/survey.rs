//! The door: from a job to what is known of each pair, and what to read next.

use std::cmp::Ordering;

use job::{Display, Job};
use library::Habits;
use quantity::{Interval, Ohms, Written};

use crate::building::Building;
use crate::candidate::Ranking;
use crate::evidence::{Evidence, Setting};
use crate::live::{OldBoard, boards};
use crate::look::{Asked, Look, Looks};
use crate::next::{Next, next};

/// From here on a value is called the building's own.
const OWN: f64 = 0.9;
/// Fewer circuits with the building's own value make no habit that another could break.
const LEAST_KEEPERS: usize = 3;
/// A circuit whose likeliest candidate holds less than this breaks no habit.
const LIKELY: f64 = 0.8;
/// Cores with less than this between them are one, in ohm.
const SHARED: f64 = 100.0;

/// Who works: one by one, or side by side where there are threads. The order of the results is that of the numbers.
pub trait Workers {
    /// Calls `one` for `0..count`.
    fn each<T: Send>(&self, count: usize, one: &(dyn Fn(usize) -> T + Sync)) -> Vec<T>;
}

/// One after the other.
#[derive(Clone, Copy, Debug)]
pub struct OneByOne;

impl Workers for OneByOne {
    fn each<T: Send>(&self, count: usize, one: &(dyn Fn(usize) -> T + Sync)) -> Vec<T> {
        (0..count).map(one).collect()
    }
}

/// What is known of one circuit.
#[derive(Clone, Debug)]
pub struct Pair {
    /// Its place in the job's list.
    pub circuit: usize,
    /// What it may be.
    pub ranking: Ranking,
    /// What its readings say.
    pub evidence: Evidence,
    /// The reading to take next; none when it is settled or no reading from here tells more.
    pub next: Option<Next>,
}

/// A circuit whose resistor is not the building's own.
#[derive(Clone, PartialEq, Debug)]
pub struct Breaker {
    /// The circuit's place in the job.
    pub circuit: usize,
    /// What it carries.
    pub value: Ohms,
    /// What the others carry, and how many of them.
    pub others: (Ohms, usize),
}

/// Two cores that a reading found to be one.
#[derive(Clone, PartialEq, Debug)]
pub struct SharedCore {
    /// The circuit's place in the job.
    pub circuit: usize,
    /// The other core, as the reading names it.
    pub core: String,
    /// Ohms between the two.
    pub ohms: Ohms,
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
    /// The building's own value, with its probability, where there is one.
    pub own: Option<(Ohms, f64)>,
    /// Circuits that break the habit.
    pub breakers: Vec<Breaker>,
    /// Old boards that were read while they worked.
    pub boards: Vec<OldBoard>,
    /// Cores that are one.
    pub shared: Vec<SharedCore>,
}

/// Identifies every circuit that has readings.
#[must_use]
pub fn survey<'a>(job: &'a Job, habits: &'a Habits, workers: &impl Workers) -> Survey<'a> {
    let setting = Setting::new(habits, job.meter);
    let (looks, boards) = seen(job, &setting);
    let shared = shared_cores(&looks);
    let with_readings: Vec<usize> =
        (0..job.circuits.len()).filter(|at| !job.circuits[*at].found.is_empty()).collect();
    let all = workers.each(with_readings.len(), &|at| setting.weigh(looks[with_readings[at]].clone()));
    let building = Building::learn(&setting, &all);
    let ranked = workers.each(with_readings.len(), &|at| {
        let ranking = Ranking::new(&setting, &building, at, &all[at]);
        let next = next(&setting, job, &job.circuits[with_readings[at]], &all[at], &ranking);
        (ranking, next)
    });
    let pairs: Vec<Pair> = with_readings
        .into_iter()
        .zip(all)
        .zip(ranked)
        .map(|((circuit, evidence), (ranking, next))| Pair { circuit, ranking, evidence, next })
        .collect();
    let own = building.own_value(&setting).filter(|(_, probability)| *probability >= OWN);
    let breakers = own.map_or(Vec::new(), |(value, _)| breakers(pairs.iter(), value));
    Survey { job, setting, building, pairs, own, breakers, boards, shared }
}

/// The survey after one circuit was read again: `job` is the job of `before` with another `found` in it, and that circuit
/// (its place in the job) is the only one that is weighed and ranked anew, and the only one among the pairs that come back.
/// What it may be is the same as in a survey of the whole job.
#[must_use]
pub fn survey_one<'a>(before: &Survey, job: &'a Job, habits: &'a Habits, circuit: usize) -> Survey<'a> {
    let setting = Setting::new(habits, job.meter);
    let (mut looks, boards) = seen(job, &setting);
    let shared = shared_cores(&looks);
    let mut all: Vec<Evidence> = Vec::with_capacity(before.pairs.len() + 1);
    let mut at = before.pairs.len();
    for pair in &before.pairs {
        match pair.circuit.cmp(&circuit) {
            Ordering::Equal => {}
            order => {
                if order == Ordering::Greater && at > all.len() {
                    at = all.len();
                }
                all.push(pair.evidence.clone());
            }
        }
    }
    at = at.min(all.len());
    let own_looks = if circuit < looks.len() { looks.swap_remove(circuit) } else { Looks::default() };
    all.insert(at, setting.weigh(own_looks));
    let building = Building::learn(&setting, &all);
    let ranking = Ranking::new(&setting, &building, at, &all[at]);
    let evidence = all.swap_remove(at);
    let next = job.circuits.get(circuit).and_then(|of| next(&setting, job, of, &evidence, &ranking));
    let pairs = vec![Pair { circuit, ranking, evidence, next }];
    let own = building.own_value(&setting).filter(|(_, probability)| *probability >= OWN);
    let others = before.pairs.iter().filter(|pair| pair.circuit != circuit);
    let breakers = own.map_or(Vec::new(), |(value, _)| breakers(others.chain(&pairs), value));
    Survey { job, setting, building, pairs, own, breakers, boards, shared }
}

/// What was seen of each circuit, with what the old boards' volts say of it.
fn seen(job: &Job, setting: &Setting) -> (Vec<Looks>, Vec<OldBoard>) {
    let mut looks: Vec<Looks> = job.circuits.iter().map(Looks::of).collect();
    let boards = boards(job, setting, &looks);
    for (circuit, field) in boards.iter().flat_map(|board| &board.field) {
        if let Some(looks) = looks.get_mut(*circuit) {
            read_live(looks, *field, setting);
        }
    }
    (looks, boards)
}

impl Breaker {
    /// The sentence.
    #[must_use]
    pub fn text(&self) -> String {
        let (value, count) = self.others;
        format!(
            "{count} circuits here carry {}, this one {}: another hand, or added later; look for a splice.",
            value.written(),
            self.value.written()
        )
    }
}

impl SharedCore {
    /// The sentence.
    #[must_use]
    pub fn text(&self) -> String {
        format!(
            "It has {} to core {}: one core serves both. Put both on one module, and read them with the other's far end open.",
            self.ohms.shown(3),
            self.core
        )
    }
}

/// Field ohms from terminal volts stand in for a reading at rest, where none was taken with the pair lifted.
fn read_live(looks: &mut Looks, field: Interval<Ohms>, setting: &Setting) {
    if looks.ohms.iter().any(|look| look.asked == Asked::Rest) {
        return;
    }
    let (lo, hi) = (field.lo(), field.hi());
    let display = if hi.is_finite() {
        // As wide as the digits of the instrument make it.
        let digits = f64::from(setting.meter.digits).max(0.5);
        let half = (hi.0 - lo.0) / 2.0;
        Display::Value { value: Ohms((lo.0 + hi.0) / 2.0), digit: Ohms(half / digits) }
    } else {
        Display::Open
    };
    looks.ohms.insert(0, Look { asked: Asked::Rest, fed: true, display, at: usize::MAX });
}

fn shared_cores(looks: &[Looks]) -> Vec<SharedCore> {
    let of = |(circuit, looks): (usize, &Looks)| {
        let low = looks.cores.iter().filter(|(_, ohms)| *ohms < SHARED);
        low.map(|(core, ohms)| SharedCore { circuit, core: core.clone(), ohms: Ohms(*ohms) })
            .collect::<Vec<_>>()
    };
    looks.iter().enumerate().flat_map(of).collect()
}

fn breakers<'p>(pairs: impl Iterator<Item = &'p Pair>, own: Ohms) -> Vec<Breaker> {
    let same = |ohms: &Ohms| (ohms.0 - own.0).abs() <= 1e-9 * own.0;
    let likely: Vec<(usize, &[Ohms])> = pairs
        .filter_map(|pair| {
            let first = pair.ranking.all.first()?;
            // Which wiring it is may be open while its value is not.
            let value = first.resistors.first()?;
            let with_value: f64 = pair
                .ranking
                .all
                .iter()
                .filter(|one| one.resistors.first() == Some(value))
                .map(|one| one.probability)
                .sum();
            (with_value >= LIKELY).then_some((pair.circuit, first.resistors.as_slice()))
        })
        .collect();
    let keepers = likely.iter().filter(|(_, values)| values.iter().any(same)).count();
    if keepers < LEAST_KEEPERS {
        return Vec::new();
    }
    let breaks = likely.iter().filter(|(_, values)| !values.iter().any(same));
    breaks
        .map(|(circuit, values)| Breaker { circuit: *circuit, value: values[0], others: (own, keepers) })
        .collect()
}
