//! Before leaving the first visit: what a second one would be needed for, and what it would cost.

use job::Duty;
use network::Part;
use quantity::{Minutes, Ohms, Written};

use crate::next::trip_minutes;
use crate::survey::{Pair, Survey};
use crate::words;

/// Minutes to look up and photograph a listing, to ask for a name, to fetch a part (from memory).
const LISTING: Minutes = Minutes(10.0);
const NAME: Minutes = Minutes(3.0);
const FETCH: Minutes = Minutes(15.0);

/// Why a circuit would need a second visit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Left {
    /// Nobody has read it, or nobody has tripped it.
    NotReached,
    /// Readings leave it open what it is.
    NotSettled,
    /// It carries a value that the van does not.
    NotCarried,
    /// A two-wire detector whose listing with the module nobody has seen.
    ListingNotSeen,
    /// Nobody has said what it is called.
    NameNotAgreed,
}

impl Left {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::NotReached => "not-reached",
            Self::NotSettled => "not-settled",
            Self::NotCarried => "not-carried",
            Self::ListingNotSeen => "listing-not-seen",
            Self::NameNotAgreed => "name-not-agreed",
        }
    }
}

/// One thing that is left.
#[derive(Clone, PartialEq, Debug)]
pub struct LeftOpen {
    /// Why.
    pub left: Left,
    /// The circuit's place in the job.
    pub circuit: usize,
    /// What, in a sentence.
    pub text: String,
    /// What a second visit would take for it, on the spot.
    pub minutes: Minutes,
}

/// Everything that is left, by kind and then in the order of the job.
#[must_use]
pub fn before_leaving(survey: &Survey) -> Vec<LeftOpen> {
    let job = survey.job;
    let mut left = Vec::new();
    for (at, circuit) in job.circuits.iter().enumerate() {
        let pair = survey.pairs.iter().find(|pair| pair.circuit == at);
        let mut put = |kind: Left, text: String, minutes: Minutes| {
            left.push(LeftOpen { left: kind, circuit: at, text, minutes });
        };
        if circuit.network.is_none()
            && circuit.other.is_none()
            && let Some((kind, text, minutes)) = unknown(survey, at, pair)
        {
            put(kind, text, minutes);
        }
        for ohms in not_carried(survey, at, pair) {
            let text = format!("It carries {}, which the van does not.", ohms.written());
            put(Left::NotCarried, text, FETCH);
        }
        let listed = |name: &str| {
            let own = format!("{}/{name}", circuit.tag.as_str());
            let device = job.devices.iter().find(|device| device.id.value == name || device.id.value == own);
            device.is_some_and(|device| !device.listing.is_empty())
        };
        if smoke_names(survey, at, pair).iter().any(|name| !listed(name)) {
            let text = "Two-wire detectors whose listing with the module nobody has seen.".to_owned();
            put(Left::ListingNotSeen, text, LISTING);
        }
        if circuit.place.is_empty() {
            put(Left::NameNotAgreed, "Nobody has said what it is called.".to_owned(), NAME);
        }
    }
    left.sort_by_key(|open| open.left);
    left
}

/// What a second visit costs altogether: coming back, and everything on the spot.
#[must_use]
pub fn second_visit(survey: &Survey, left: &[LeftOpen]) -> Minutes {
    if left.is_empty() {
        return Minutes(0.0);
    }
    survey.setting.habits.minutes.second_visit + left.iter().map(|open| open.minutes).sum()
}

fn unknown(survey: &Survey, at: usize, pair: Option<&Pair>) -> Option<(Left, String, Minutes)> {
    let (job, minutes) = (survey.job, &survey.setting.habits.minutes);
    let trip = trip_minutes(job, &job.circuits[at], minutes);
    let Some(pair) = pair else {
        let both = Minutes(trip.0 + minutes.meter.0);
        return Some((Left::NotReached, "Nobody has read this pair.".to_owned(), both));
    };
    if pair.ranking.settled {
        return None;
    }
    let first = pair.ranking.all.first();
    let contact = first.is_some_and(|first| first.wiring.has_contact());
    if contact && !pair.evidence.looks.has_trip() && pair.evidence.refusal.is_none() {
        return Some((Left::NotReached, "Nobody has tripped what hangs on it.".to_owned(), trip));
    }
    let (wants, cost) = match &pair.next {
        Some(next) => {
            (words::instruction(next.reading.act, next.reading.fed).to_owned(), next.reading.minutes)
        }
        None => ("No reading from here tells more; open it and look.".to_owned(), minutes.far),
    };
    Some((Left::NotSettled, format!("Not settled what it is. {wants}"), cost))
}

/// Values that the circuit carries and the van does not; none where nobody has said what the van carries.
fn not_carried(survey: &Survey, at: usize, pair: Option<&Pair>) -> Vec<Ohms> {
    let van = &survey.setting.habits.van;
    let carried = |ohms: &Ohms| van.iter().any(|own| (own.0 - ohms.0).abs() <= 1e-6 * ohms.0);
    let known = survey.job.circuits[at].network.as_ref().map(|network| {
        let of = |part: &Part| match part {
            Part::Resistor { nominal, .. } => Some(*nominal),
            _ => None,
        };
        network.elements().iter().filter_map(|element| of(&element.part)).collect::<Vec<_>>()
    });
    let settled = pair.and_then(|pair| pair.ranking.settled()).map(|first| first.resistors.clone());
    let mut values = known.or(settled).unwrap_or_default();
    values.retain(|ohms| !van.is_empty() && !carried(ohms));
    values.dedup();
    values
}

/// Names of two-wire detectors on a circuit; a nameless one where only readings say that there are some.
fn smoke_names(survey: &Survey, at: usize, pair: Option<&Pair>) -> Vec<String> {
    let circuit = &survey.job.circuits[at];
    if let Some(network) = &circuit.network {
        let of = |part: &Part| match part {
            Part::Smoke(name) => Some(name.clone()),
            _ => None,
        };
        return network.elements().iter().filter_map(|element| of(&element.part)).collect();
    }
    let settled = pair.and_then(|pair| pair.ranking.settled());
    let smoke = settled.is_some_and(|first| first.wiring == library::Wiring::SmokeTwoWire);
    if smoke && circuit.duty.is_none_or(Duty::is_fire) { vec![String::new()] } else { Vec::new() }
}
