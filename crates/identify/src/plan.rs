//! The order of a survey that spares the ladder: along the old terminal strip, then through the building, then only
//! what is unsettled.

use job::Job;
use quantity::Minutes;

use crate::next::{Act, trip_minutes};
use crate::survey::Survey;
use crate::words;

/// A pass through the building.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Pass {
    /// Along the old terminal strip, in terminal order: volts, legs to earth, ohms at rest.
    Strip,
    /// Through the building in walking order: trips.
    Walk,
    /// Only what is unsettled; inside one place what tells most for a minute first.
    Unsettled,
}

impl Pass {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Strip => "strip",
            Self::Walk => "walk",
            Self::Unsettled => "unsettled",
        }
    }
}

/// One reading to take.
#[derive(Clone, PartialEq, Debug)]
pub struct Task {
    /// The pass that it belongs to.
    pub pass: Pass,
    /// The circuit's place in the job.
    pub circuit: usize,
    /// Where one stands for it: the enclosure, or the circuit's own place.
    pub place: String,
    /// What to do.
    pub act: Act,
    /// Whether powered detectors are fed first.
    pub fed: bool,
    /// What it tells, in bits; none in the first two passes, where order decides.
    pub gain_bits: Option<f64>,
    /// What it costs.
    pub minutes: Minutes,
    /// Why.
    pub why: String,
}

/// Everything that is left to read, in the order in which to read it.
#[must_use]
pub fn plan(survey: &Survey) -> Vec<Task> {
    let job = survey.job;
    let minutes = &survey.setting.habits.minutes;
    let mut tasks = Vec::new();
    for (at, circuit) in job.circuits.iter().enumerate() {
        let pair = survey.pairs.iter().find(|pair| pair.circuit == at);
        if circuit.network.is_some() && pair.is_none() {
            continue;
        }
        let looks = pair.map(|pair| &pair.evidence.looks);
        let refused = pair.is_some_and(|pair| pair.evidence.refusal.is_some());
        let mut strip = |act: Act, why: &str| {
            tasks.push(Task {
                pass: Pass::Strip,
                circuit: at,
                place: box_of(job, at),
                act,
                fed: false,
                gain_bits: None,
                minutes: minutes.meter,
                why: why.to_owned(),
            });
        };
        if looks.is_none_or(|looks| looks.volts_dc.is_none() && looks.ohms.is_empty()) && !refused {
            strip(Act::Volts, "before any ohms: on the highest range first, each leg to earth too");
        }
        if looks.is_none_or(|looks| looks.ohms.is_empty()) && !refused {
            strip(Act::Rest, words::instruction(Act::Rest, false));
        }
    }
    let by_place = places_in_order(job);
    let order = |circuit: usize| by_place.iter().position(|place| *place == job.circuits[circuit].place);
    let mut walk = Vec::new();
    let mut unsettled = Vec::new();
    for pair in &survey.pairs {
        let circuit = &job.circuits[pair.circuit];
        if pair.ranking.settled {
            continue;
        }
        let trip = trip_minutes(job, circuit, minutes);
        let with_contact: f64 = pair
            .ranking
            .all
            .iter()
            .filter(|candidate| candidate.wiring.has_contact())
            .map(|candidate| candidate.probability)
            .sum();
        let sound = pair.evidence.refusal.is_none() && !pair.evidence.looks.restless();
        let next = pair.next.clone();
        if sound && !pair.evidence.looks.has_trip() && with_contact > 0.5 {
            let why = next.filter(|next| next.reading.act == Act::Trip).map(|next| next.why);
            walk.push(Task {
                pass: Pass::Walk,
                circuit: pair.circuit,
                place: circuit.place.clone(),
                act: Act::Trip,
                fed: false,
                gain_bits: None,
                minutes: trip,
                why: why.unwrap_or_else(|| words::instruction(Act::Trip, false).to_owned()),
            });
        } else if let Some(next) = next {
            let place = if next.reading.act.at_the_meter() {
                box_of(job, pair.circuit)
            } else {
                circuit.place.clone()
            };
            unsettled.push(Task {
                pass: Pass::Unsettled,
                circuit: pair.circuit,
                place,
                act: next.reading.act,
                fed: next.reading.fed,
                gain_bits: Some(next.reading.gain_bits),
                minutes: next.reading.minutes,
                why: next.why,
            });
        }
    }
    walk.sort_by_key(|task: &Task| order(task.circuit));
    // Between places distance decides, inside one place what tells most for a minute.
    let rate = |task: &Task| task.gain_bits.unwrap_or(0.0) / task.minutes.0.max(1e-3);
    unsettled.sort_by(|one: &Task, other: &Task| {
        let place = |task: &Task| {
            (!task.act.at_the_meter(), order(task.circuit).filter(|_| !task.act.at_the_meter()))
        };
        place(one).cmp(&place(other)).then(rate(other).total_cmp(&rate(one)))
    });
    tasks.extend(walk);
    tasks.extend(unsettled);
    tasks
}

/// The enclosure in which a circuit ends, as people call it.
fn box_of(job: &Job, circuit: usize) -> String {
    let Some(id) = &job.circuits[circuit].ends_in else { return "the old panel".to_owned() };
    let enclosure = job.enclosures.iter().find(|enclosure| enclosure.id.value == id.value);
    match enclosure {
        Some(enclosure) if !enclosure.place.is_empty() => format!("{}, {}", id.value, enclosure.place),
        _ => id.value.clone(),
    }
}

/// Places as the job names them first: the order of the walk.
fn places_in_order(job: &Job) -> Vec<&str> {
    let mut places: Vec<&str> = Vec::new();
    for circuit in &job.circuits {
        if !places.contains(&circuit.place.as_str()) {
            places.push(&circuit.place);
        }
    }
    places
}
