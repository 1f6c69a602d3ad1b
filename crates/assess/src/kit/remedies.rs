//! What a circuit's remedy takes: resistors, joints, more inputs, and the way to its devices.

use ::kit::Count;
use circuit::{Remedy, RemedyKind};
use job::Circuit;
use library::{SmallPart, Task};
use network::{Element, Network, Part};
use quantity::Ohms;

use super::causes::Cause;
use super::collector::Collector;
use super::items::small;

/// Parts and work of the remedy that a circuit gets.
pub(super) fn collect(collector: &mut Collector, circuit: &Circuit, remedy: &Remedy, enclosure: &str) {
    let tag = circuit.tag.as_str();
    for ohms in &remedy.resistors {
        collector.resistor(*ohms, Count::ONE, tag, why(remedy.kind), None);
    }
    if let Some(moved) = moved(circuit, remedy) {
        let why = "moved to the end of the line, where its leads are too short";
        collector.resistor(moved, Count::between(0, 1), tag, why, Some(Cause::MovedResistor));
    }
    let at_devices = count(remedy.at_devices);
    if at_devices > 0 {
        let names = sites(circuit, remedy);
        let reach = collector.hardest(circuit, &names);
        collector.resistor_work(reach, enclosure, tag, Count::exact(at_devices), None);
        for name in &names {
            collector.reach(circuit, name, enclosure, Count::ONE, None);
        }
        let joints = Count::exact(at_devices.saturating_mul(2));
        collector.need(small(SmallPart::GelJoint), joints, tag, "the resistor's two leads", None);
    }
    let at_panel = count(remedy.at_panel);
    if remedy.kind == RemedyKind::Split {
        // Each home run becomes a circuit of its own; the first has been counted as the old one.
        let more = Count::exact(at_panel.saturating_sub(1));
        collector.task(Task::LandPair, enclosure, tag, more, None);
        collector.task(Task::EnrolInput, enclosure, tag, more, None);
        collector.task(Task::ProgrammeZone, enclosure, tag, more, None);
        pair_parts(collector, tag, more);
    } else {
        collector.task(Task::ResistorAtPanel, enclosure, tag, Count::exact(at_panel), None);
    }
}

/// Tags, ties, sleeves and a label for so many pairs that are landed.
pub(super) fn pair_parts(collector: &mut Collector, tag: &str, pairs: Count) {
    collector.need(small(SmallPart::Ferrule), pairs.times(2), tag, "two cores landed", None);
    collector.need(small(SmallPart::CableTag), pairs.times(2), tag, "tagged at both ends", None);
    collector.need(small(SmallPart::CableTie), pairs.times(2), tag, "dressed", None);
    collector.need(small(SmallPart::Label), pairs, tag, "its input", None);
}

fn why(kind: RemedyKind) -> &'static str {
    match kind {
        RemedyKind::Value => "in place of what is found",
        RemedyKind::Move => "at the end of the line",
        RemedyKind::Adapter => "at the module's terminals",
        RemedyKind::Split => "at the end of each home run",
        RemedyKind::Mode => "with another mode",
    }
}

/// The resistor that a remedy moves to the end without taking a new one; none where it takes one out.
fn moved(circuit: &Circuit, remedy: &Remedy) -> Option<Ohms> {
    if remedy.kind != RemedyKind::Move || !remedy.resistors.is_empty() {
        return None;
    }
    let (old, new) = (circuit.network.as_ref()?, remedy.network.as_ref()?);
    let resistors = |network: &Network| -> Vec<Ohms> {
        let one = |element: &Element| match element.part {
            Part::Resistor { nominal, .. } => Some(nominal),
            _ => None,
        };
        network.elements().iter().filter_map(one).collect()
    };
    let (old, new) = (resistors(old), resistors(new));
    (old.len() == new.len()).then(|| new.last().copied()).flatten()
}

/// The devices at which it is done: the last of the text, or all where there are several places.
fn sites(circuit: &Circuit, remedy: &Remedy) -> Vec<String> {
    let names = circuit.network.as_ref().map_or_else(Vec::new, names);
    if remedy.at_devices > 1 { names } else { names.last().cloned().into_iter().collect() }
}

/// Devices of a network, each once, in the order of the text; a splice is none.
pub(crate) fn names(network: &Network) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for element in network.elements() {
        let Some(name) = element.name().filter(|_| !matches!(element.part, Part::Joint(_))) else { continue };
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

fn count(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
