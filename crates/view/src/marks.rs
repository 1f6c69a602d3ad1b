//! Where the checker's triangles go: the place in the circuit that a finding speaks of.

use assess::CircuitResult;
use circuit::{Class, Fault, FaultKind, Place, Study};
use drawing::{CheckMark, MarkPlace, MarkSign};
use job::{Finding, Severity};
use network::{Network, Part};

/// A mark for every numbered finding, by the number that it has in the notes.
pub fn marks(result: &CircuitResult, network: &Network, found: &[&Finding]) -> Vec<CheckMark> {
    let numbered = found.iter().filter(|finding| finding.severity > Severity::Note);
    numbered
        .zip(1..)
        .map(|(finding, number)| {
            let (place, sign) =
                spot(result, network, finding).unwrap_or((MarkPlace::Whole, MarkSign::Triangle));
            CheckMark { number, place, sign }
        })
        .collect()
}

fn spot(result: &CircuitResult, network: &Network, finding: &Finding) -> Option<(MarkPlace, MarkSign)> {
    let study = result.study.as_ref()?;
    match finding.code {
        "silent-danger" | "silent-misread" => first_hard(study).map(fault_spot),
        "alarm-reads-normal" | "masking" => contact(study.masking.examples.first()?),
        "alarm-not-read" => {
            let wrong =
                study.states.iter().find(|state| state.ok == Some(false) && !state.active.is_empty())?;
            contact(&wrong.active)
        }
        "rest-not-normal" | "outside-accepts" | "cannot-learn" => {
            end_part(network).map(|element| (MarkPlace::Element(element), MarkSign::Cloud))
        }
        "resistor-place" => {
            end_part(network).map(|element| (MarkPlace::Element(element), MarkSign::Triangle))
        }
        "leg-to-earth" | "line-too-long" | "polarity" => Some((MarkPlace::Terminals, MarkSign::Triangle)),
        _ => named(network, &finding.text).map(|element| (MarkPlace::Element(element), MarkSign::Cloud)),
    }
}

/// The fault that the engine names first: one that reads normal, a short before others.
fn first_hard(study: &Study) -> Option<&Fault> {
    let hard =
        study.faults.iter().filter(|fault| fault.class == Class::SilentDangerous && fault.kind.is_hard());
    hard.min_by_key(|fault| (!fault.reads_normal, fault.kind != FaultKind::Short))
}

fn contact(active: &[usize]) -> Option<(MarkPlace, MarkSign)> {
    active.first().map(|&contact| (MarkPlace::Contact(contact), MarkSign::Cloud))
}

fn fault_spot(fault: &Fault) -> (MarkPlace, MarkSign) {
    let place = match fault.place {
        Place::Terminals => MarkPlace::Terminals,
        Place::Behind { rest, .. } => MarkPlace::Ahead(rest),
        Place::Branch(node) => MarkPlace::Ahead(node),
        Place::Element(element) => MarkPlace::Element(element),
        Place::Contact(contact) => MarkPlace::Contact(contact),
        Place::Around(node) => MarkPlace::Ahead(node),
        Place::Common | Place::Supply(_) | Place::Whole => MarkPlace::Whole,
    };
    let sign = match fault.kind {
        FaultKind::Short | FaultKind::Leak => MarkSign::Across,
        FaultKind::Open | FaultKind::Joint => MarkSign::Through,
        FaultKind::Cross | FaultKind::Earth | FaultKind::Polarity | FaultKind::SupplyLost => {
            MarkSign::Triangle
        }
        _ => MarkSign::Cloud,
    };
    (place, sign)
}

/// What closes the pair, or the last resistor of it.
fn end_part(network: &Network) -> Option<usize> {
    let ends = |part: &Part| matches!(part, Part::Resistor { .. } | Part::Capacitor(_));
    network.elements().iter().rposition(|element| ends(&element.part))
}

/// A device that the text of a finding names.
fn named(network: &Network, text: &str) -> Option<usize> {
    let words: Vec<&str> = text.split(|letter: char| !letter.is_alphanumeric() && letter != '_').collect();
    network.elements().iter().position(|element| element.name().is_some_and(|name| words.contains(&name)))
}
