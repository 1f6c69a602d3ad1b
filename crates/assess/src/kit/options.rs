//! What an office offers for each circuit that does not do as it is: keep, replace, rewire, each with price and time.

use ::kit::{Bill, Count, Price, Rates, Time};
use circuit::{Remedy, RemedyKind};
use job::{Circuit, Duty};
use library::{SmallPart, Task};
use network::{Element, Network, Part};

use super::collector::{Collector, Reach};
use super::items::{cable, of_profile, resistor, small, unknown_device};
use super::remedies::names;
use super::runs::whole_metres;
use crate::CircuitResult;
use crate::answer::{Need, better_mode, chosen_remedies, needs};

/// A circuit with its offers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CircuitOptions {
    /// Its tag.
    pub tag: String,
    /// Where it goes; empty when not given.
    pub place: String,
    /// What is the matter with it, in a few words.
    pub matter: &'static str,
    /// The same for whoever may not know terminals and resistors.
    pub plain_matter: &'static str,
    /// Keep, replace, rewire.
    pub offers: Vec<Offer>,
}

/// What is done with the wiring.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// Devices and cable stay.
    Keep,
    /// Its devices are replaced.
    Replace,
    /// Its cable is replaced.
    Rewire,
}

impl Way {
    /// The word in reports and JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Keep => "keep",
            Self::Replace => "replace",
            Self::Rewire => "rewire",
        }
    }
}

/// One offer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Offer {
    /// What is done with the wiring.
    pub way: Way,
    /// What is done, in a sentence.
    pub text: String,
    /// The same for whoever may not know terminals and resistors.
    pub plain: String,
    /// Working time; none where it cannot be done or nobody can say.
    pub time: Option<Time>,
    /// Parts with margin, and labour; none where it cannot be done, or where a price is missing.
    pub price: Option<Price>,
    /// Whether the price of the whole holds it.
    pub in_price: bool,
}

/// The offers for every circuit that does not do as it is, in the order of the job.
pub(super) fn options(collector: &mut Collector, rates: &Rates) -> Vec<CircuitOptions> {
    let assessment = collector.assessment;
    let remedies = chosen_remedies(assessment);
    let all = assessment.circuits.iter().zip(needs(assessment)).zip(remedies);
    let does_not = all.filter(|((_, need), _)| !matches!(need, Need::Nothing | Need::Driven | Need::Spare));
    let one = |((result, need), remedy): ((&CircuitResult, Need), Option<&Remedy>)| {
        let circuit = result.circuit;
        let better = result.study.as_ref().and_then(better_mode).filter(|_| remedy.is_some());
        let mut offers: Vec<Offer> = better.map(|mode| another_mode(mode, rates)).into_iter().collect();
        offers.push(keep(collector, result, need, remedy, rates));
        if let (Some(_), Some(kept)) = (better, offers.last_mut()) {
            kept.text = format!("Until the job says that mode, this is counted on: {}", kept.text);
        }
        if let Some(network) = &circuit.network {
            offers.push(replace(collector, result, network, rates, remedy.is_none() && stays_open(need)));
            offers.push(rewire(collector, result, network, rates));
        }
        CircuitOptions {
            tag: circuit.tag.value.clone(),
            place: circuit.place.clone(),
            matter: matter(need),
            plain_matter: match need {
                Need::Unknown => "nobody knows yet what is on it",
                _ => "it does not suit the new equipment as it is",
            },
            offers,
        }
    };
    // A circuit that only wants an input wants no offer.
    does_not.filter(|((result, _), _)| result.why != Some("no input")).map(one).collect()
}

/// Whether the list holds new devices for it, in case they are chosen.
fn stays_open(need: Need) -> bool {
    matches!(need, Need::NotAsItIs | Need::Rewiring)
}

fn matter(need: Need) -> &'static str {
    match need {
        Need::Nothing => "it reads right",
        Need::Resistor => "it needs a resistor changed, moved or added",
        Need::Mode => "it does not read right in its mode",
        Need::Split => "its home runs need inputs of their own",
        Need::Rewiring => "it needs another input, device or wiring",
        Need::NotAsItIs => "it cannot be supervised as it is",
        Need::Driven => "an output drives it",
        Need::Spare => "it is spare",
        Need::Unknown => "nobody knows yet what is on it",
    }
}

fn keep(
    collector: &Collector,
    result: &CircuitResult,
    need: Need,
    remedy: Option<&Remedy>,
    rates: &Rates,
) -> Offer {
    let circuit = result.circuit;
    if let Some(remedy) = remedy {
        let (parts, time) = cost(collector, circuit, remedy);
        let price = parts.map(|parts| Bill::of_option(parts, time, rates));
        let (text, plain) = (remedy.text.clone(), plain_remedy(remedy).to_owned());
        return Offer { way: Way::Keep, text, plain, time: Some(time), price, in_price: true };
    }
    let mode = result.study.as_ref().and_then(|study| study.remedies.first());
    if let Some(mode) = mode.filter(|remedy| remedy.kind == RemedyKind::Mode) {
        return another_mode(mode, rates);
    }
    if need == Need::Unknown {
        let task = if circuit.was.is_empty() { Task::IdentifyUnlabelled } else { Task::IdentifyLabelled };
        let time = effort(collector, task, Count::ONE);
        let text = match &circuit.other {
            Some(_) => "Its wiring has no form that can be computed; it is judged on site.",
            None => "Find out first what is on it; then it is known what it needs.",
        };
        let price = Some(Bill::of_option(Price::NOTHING, time, rates));
        let in_price = circuit.other.is_none();
        let (text, plain) = (text.to_owned(), text.to_owned());
        return Offer { way: Way::Keep, text, plain, time: Some(time), price, in_price };
    }
    let text = match need {
        Need::NotAsItIs => "Nothing was found with which it can be supervised as it is.",
        _ => "What is the matter with it is cured by no resistor; see its findings.",
    };
    let plain = "As it is it cannot be watched as it should.".to_owned();
    Offer { way: Way::Keep, text: text.to_owned(), plain, time: None, price: None, in_price: false }
}

/// Another mode: nothing of it is in the price until the job says it.
fn another_mode(mode: &Remedy, rates: &Rates) -> Offer {
    let time = super::collector::exact(mode.minutes);
    let price = Some(Bill::of_option(Price::NOTHING, time, rates));
    let (text, plain) = (mode.text.clone(), plain_remedy(mode).to_owned());
    Offer { way: Way::Keep, text, plain, time: Some(time), price, in_price: false }
}

/// A remedy for whoever may not know terminals and resistors.
fn plain_remedy(remedy: &Remedy) -> &'static str {
    match remedy.kind {
        RemedyKind::Value | RemedyKind::Move if remedy.at_devices == 0 => {
            "Devices and cable stay; one small part is taken out at the new equipment."
        }
        RemedyKind::Value | RemedyKind::Move => {
            "Devices and cable stay; one small part is changed at the device."
        }
        RemedyKind::Adapter => "Devices and cable stay; small parts are added at the new equipment.",
        RemedyKind::Split => {
            "Devices and cables stay; each cable gets a place of its own on the new equipment."
        }
        RemedyKind::Mode => "Devices and cable stay; the new equipment is set otherwise.",
    }
}

/// New devices on the old cable, with the mode's resistor at the end.
fn replace(
    collector: &Collector,
    result: &CircuitResult,
    network: &Network,
    rates: &Rates,
    in_price: bool,
) -> Offer {
    let circuit = result.circuit;
    let devices = names(network);
    let count = Count::exact(u32::try_from(devices.len()).unwrap_or(u32::MAX));
    let mut time = effort(collector, Task::Device, count);
    let mut parts = Some(Price::NOTHING);
    for name in &devices {
        let device = collector.setting.device(&circuit.tag, name);
        let profile = collector.profile(device.and_then(|device| device.profile.as_ref()));
        let item = profile.map_or_else(|| unknown_device(name), of_profile);
        parts = parts.zip(collector.price(&item)).map(|(sum, price)| sum.plus(price));
        if let Some(minutes) = device.and_then(|device| device.minutes) {
            time = time.plus(super::collector::exact(minutes));
        }
    }
    let end = end_resistor(collector, result);
    parts = parts.map(|parts| parts.plus(end));
    let which = match devices.len() {
        1 => "its device".to_owned(),
        many => format!("its {many} devices"),
    };
    let text = format!("Replace {which} and put the mode's resistor at the end{}.", licensed(circuit));
    let plain = format!("Replace {which}{}.", licensed(circuit));
    let price = parts.filter(|_| !devices.is_empty()).map(|parts| Bill::of_option(parts, time, rates));
    Offer { way: Way::Replace, text, plain, time: (!devices.is_empty()).then_some(time), price, in_price }
}

/// New cable in the old ways, devices as they are, with the mode's resistor at the end.
fn rewire(collector: &Collector, result: &CircuitResult, network: &Network, rates: &Rates) -> Offer {
    let circuit = result.circuit;
    let Some(metres) = length(network).filter(|metres| metres.hi() > 0) else {
        let text = "New cable: nobody has measured how long.".to_owned();
        return Offer {
            way: Way::Rewire,
            plain: text.clone(),
            text,
            time: None,
            price: None,
            in_price: false,
        };
    };
    let gauge = circuit.gauge.unwrap_or(collector.assessment.job.assume.cable);
    let mut time = effort(collector, Task::Cable, metres).plus(effort(collector, Task::LandPair, Count::ONE));
    let devices = names(network);
    for name in &devices {
        let device = collector.setting.device(&circuit.tag, name);
        if let Some(minutes) = device.and_then(|device| device.minutes) {
            time = time.plus(super::collector::exact(minutes));
        }
    }
    time = time.plus(effort(collector, Task::ResistorAtDevice, Count::ONE));
    let cable = collector.price(&cable(gauge)).map(|price| price.times(metres));
    let price = cable.map(|cable| Bill::of_option(cable.plus(end_resistor(collector, result)), time, rates));
    let text = format!(
        "New cable, {} m of {}, with the mode's resistor at the end{}.",
        metres.written(),
        gauge.written(),
        licensed(circuit)
    );
    let plain = format!("New cable, {} m{}.", metres.written(), licensed(circuit));
    Offer { way: Way::Rewire, text, plain, time: Some(time), price, in_price: false }
}

/// Fire circuits are not everybody's work.
fn licensed(circuit: &Circuit) -> &'static str {
    if circuit.duty.is_some_and(Duty::is_fire) {
        "; fire work, for licensed people under the local code"
    } else {
        ""
    }
}

/// What the resistor at the end costs, with the joints of its two leads.
fn end_resistor(collector: &Collector, result: &CircuitResult) -> Price {
    let eol = result.mode.and_then(|mode| mode.eol);
    let resistor = eol.and_then(|ohms| collector.price(&resistor(ohms))).unwrap_or_default();
    let joint = collector.price(&small(SmallPart::GelJoint)).unwrap_or_default();
    resistor.plus(joint.times(Count::exact(2)))
}

/// Parts and time of a remedy, by itself.
fn cost(collector: &Collector, circuit: &Circuit, remedy: &Remedy) -> (Option<Price>, Time) {
    let mut parts = Some(Price::NOTHING);
    for ohms in &remedy.resistors {
        parts = parts.zip(collector.price(&resistor(*ohms))).map(|(sum, price)| sum.plus(price));
    }
    let at_devices = Count::exact(u32::try_from(remedy.at_devices).unwrap_or(u32::MAX));
    let joints = collector.price(&small(SmallPart::GelJoint)).unwrap_or_default().times(at_devices.times(2));
    parts = parts.map(|parts| parts.plus(joints));
    let devices = circuit.network.as_ref().map_or_else(Vec::new, names);
    let at = if remedy.at_devices > 1 { devices } else { devices.last().cloned().into_iter().collect() };
    let mut time = Time::NONE;
    if remedy.at_devices > 0 {
        let plain = effort(collector, Task::ResistorAtDevice, at_devices);
        let lift = effort(collector, Task::ResistorByLift, at_devices);
        time = match collector.hardest(circuit, &at) {
            Reach::Known => plain,
            Reach::Lift => lift,
            Reach::Unknown => plain.hull(lift),
        };
        for name in &at {
            let device = collector.setting.device(&circuit.tag, name);
            if let Some(minutes) = device.and_then(|device| device.minutes) {
                time = time.plus(super::collector::exact(minutes));
            }
        }
    }
    let at_panel = Count::exact(u32::try_from(remedy.at_panel).unwrap_or(u32::MAX));
    if remedy.kind == RemedyKind::Split {
        let more = Count::exact(at_panel.lo().saturating_sub(1));
        for task in [Task::LandPair, Task::EnrolInput, Task::ProgrammeZone] {
            time = time.plus(effort(collector, task, more));
        }
    } else {
        time = time.plus(effort(collector, Task::ResistorAtPanel, at_panel));
    }
    (parts, time)
}

fn effort(collector: &Collector, task: Task, count: Count) -> Time {
    let effort = collector.labour.effort(task);
    Time::of_minutes(effort.minutes).for_each(count, effort.per)
}

/// Cable of a circuit, all runs together; none where one of them is known in ohms alone.
fn length(network: &Network) -> Option<Count> {
    let one = |element: &Element| match &element.part {
        Part::Wire(conductor) | Part::Core(conductor) => Some(conductor.run.length()),
        _ => None,
    };
    let runs: Vec<_> = network.elements().iter().filter_map(one).collect();
    let mut sum = (0.0, 0.0);
    for run in runs {
        let run = run?;
        sum = (sum.0 + run.lo().0, sum.1 + run.hi().0);
    }
    Some(whole_metres(quantity::Interval::new(quantity::Metres(sum.0), quantity::Metres(sum.1))))
}
