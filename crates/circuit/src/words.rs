//! States and faults in plain words, addressed to a colleague.

use network::{Bounds, Form, Network, Part};
use quantity::{Interval, Ohms};

use crate::fault::{Fault, FaultKind, Raiser};
use crate::place::Leg;

/// `leaf1 open and leaf2 open`, or `at rest`.
#[must_use]
pub fn state_words(network: &Network, active: &[usize]) -> String {
    if active.is_empty() {
        return "at rest".to_owned();
    }
    let words: Vec<String> = active.iter().map(|&contact| moved(network, contact)).collect();
    words.join(" and ")
}

/// `leaf1 tripped`: what somebody did, whether it moved or not.
#[must_use]
pub(crate) fn tripped_words(network: &Network, active: &[usize]) -> String {
    let labels = active.iter().filter_map(|&contact| Some(network.contacts().get(contact)?.label()));
    format!("{} tripped", labels.collect::<Vec<_>>().join(" and "))
}

fn moved(network: &Network, contact: usize) -> String {
    let Some(contact) = network.contacts().get(contact) else { return String::new() };
    let verb = if contact.form == Form::NormallyClosed { "open" } else { "closed" };
    format!("{} {verb}", contact.label())
}

/// Ohms between two ends, as a person writes them.
#[must_use]
pub(crate) fn range(bounds: Bounds) -> String {
    if bounds.lo.is_infinite() {
        return "open".to_owned();
    }
    Interval::new(Ohms(bounds.lo), Ohms(bounds.hi)).shown()
}

/// Where a fault is, with its leg where that matters: `after leaf1, live leg`.
#[must_use]
pub fn fault_place(network: &Network, fault: &Fault) -> String {
    let place = spoken(network, fault);
    match fault.leg {
        Some(Leg::Live) => format!("{place}, live leg"),
        Some(Leg::Return) => format!("{place}, return leg"),
        Some(Leg::Both) => format!("{place}, both legs"),
        None => place,
    }
}

/// The place in words; a supply point by its name.
fn spoken(network: &Network, fault: &Fault) -> String {
    match &fault.point {
        Some(point) => format!("at supply point {point}"),
        None => fault.place.words(network),
    }
}

/// What has gone wrong, as `the pair shorted after leaf1`.
#[must_use]
pub fn fault_words(network: &Network, fault: &Fault) -> String {
    let place = spoken(network, fault);
    let size = fault.sizes.map(|sizes| format!("{} ", range(sizes))).unwrap_or_default();
    match fault.kind {
        FaultKind::Open => format!("a conductor open {place}"),
        FaultKind::Short => format!("the pair shorted {place}"),
        FaultKind::Leak => format!("a leak of {size}across the pair {place}"),
        FaultKind::Joint => format!("a bad joint of {size}{place}"),
        FaultKind::Cross => format!("a core touching one of another circuit {place}"),
        FaultKind::Earth => match fault.leg {
            Some(Leg::Both) => format!("two earth faults, {size}between them, {place}"),
            Some(Leg::Return) => format!("an earth fault on the return leg {place}"),
            _ => {
                let size = if size.is_empty() { size } else { format!("of {size}") };
                format!("an earth fault {size}on the live leg {place}")
            }
        },
        FaultKind::ResistorOpen => format!("the resistor open {place}"),
        FaultKind::ResistorShort => format!("the resistor shorted {place}"),
        FaultKind::ResistorValue => format!("a resistor of {size}in its stead {place}"),
        FaultKind::StuckAtRest => format!("{place} stuck at rest"),
        FaultKind::StuckActive => format!("{place} stuck active"),
        FaultKind::Bridged => format!("the contact bridged {place}"),
        FaultKind::LeadOff => format!("its own lead off {place}"),
        FaultKind::HeadRemoved => format!("the head taken out {place}"),
        FaultKind::Polarity => "the pair the wrong way round".to_owned(),
        FaultKind::SupplyLost => format!("the supply lost {place}"),
    }
}

/// What a raiser can do unnoticed: `leaf1 can open`.
#[must_use]
pub(crate) fn raiser_words(network: &Network, raiser: Raiser) -> String {
    match raiser {
        Raiser::Contact(contact) => match network.contacts().get(contact) {
            Some(contact) => {
                let verb = if contact.form == Form::NormallyClosed { "open" } else { "close" };
                format!("{} can {verb}", contact.label())
            }
            None => String::new(),
        },
        Raiser::Smoke(element) => match network.elements().get(element).map(|element| &element.part) {
            Some(Part::Smoke(name)) => format!("{name} can see smoke"),
            Some(Part::Sounder(name)) => format!("{name} may not sound"),
            _ => String::new(),
        },
    }
}
