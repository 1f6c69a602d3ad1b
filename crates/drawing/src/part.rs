//! What one element is called in pictures and sentences.

use network::{Conductor, Element, Form, LengthUnit, Network, Node, Part, Run, Step};
use quantity::{Ohms, UnitsShown, Written};

/// A resistor's value as it is printed on pictures: `2.2 kΩ`, every digit that was typed.
pub(crate) fn ohms(value: Ohms) -> String {
    let written = value.written();
    let Some((number, prefix)) =
        ["k", "M"].iter().find_map(|unit| Some((written.strip_suffix(unit)?, *unit)))
    else {
        return written.replace(" ohm", "\u{2009}Ω");
    };
    format!("{number}\u{2009}{prefix}Ω")
}

/// A length as typed, or in the job's units where it was typed in the others.
pub(crate) fn run(conductor: &Conductor, units: UnitsShown) -> String {
    match conductor.run {
        Run::Length { from, to, unit } => {
            let (shown, word) = match unit {
                LengthUnit::Metres => (units == UnitsShown::Metric, "m"),
                LengthUnit::Feet => (units == UnitsShown::Us, "ft"),
            };
            match conductor.run.length() {
                Some(length) if !shown => length.shown_in(units),
                _ if to > from => format!("{from} to {to}\u{2009}{word}"),
                _ => format!("{from}\u{2009}{word}"),
            }
        }
        Run::Measured(measured) if measured.lo() < measured.hi() => measured.shown(),
        Run::Measured(measured) => ohms(measured.lo()),
    }
}

/// An element's label in a picture: short, without its symbol.
pub(crate) fn label(element: &Element, units: UnitsShown) -> String {
    match &element.part {
        Part::Wire(conductor) | Part::Core(conductor) => run(conductor, units),
        Part::Contact { name, role, .. } => network::label(name, *role),
        Part::Resistor { nominal, .. } => ohms(*nominal),
        Part::Smoke(name) | Part::Sounder(name) | Part::Joint(name) => name.clone(),
        Part::Diode => "diode".to_owned(),
        Part::Capacitor(farads) => farads.written(),
        Part::Joined => "joined".to_owned(),
        Part::Open => "open".to_owned(),
    }
}

/// Whether a contact is closed at rest; none for what is no contact.
pub(crate) fn closed_at_rest(element: &Element) -> Option<bool> {
    match &element.part {
        Part::Contact { form, .. } => Some(*form == Form::NormallyClosed),
        _ => None,
    }
}

/// A line of pieces, each with how it stands to all that follows it; the last closes the line.
pub(crate) struct Chain {
    /// The piece and whether it is in line (otherwise across).
    pub(crate) pieces: Vec<(Node, bool)>,
    /// What is at the end.
    pub(crate) end: Node,
}

/// Follows a line of pieces outwards, at most so many.
pub(crate) fn chain(network: &Network, from: Node, most: usize) -> Chain {
    let mut chain = Chain { pieces: Vec::new(), end: from };
    while chain.pieces.len() < most
        && let Some((piece, rest)) = network.operands(chain.end)
    {
        chain.pieces.push((piece, network.step(chain.end) == Step::InLine));
        chain.end = rest;
    }
    chain
}

/// The element that a node is; none for a piece of several.
pub(crate) fn element(network: &Network, node: Node) -> Option<&Element> {
    match network.step(node) {
        Step::Element(at) => network.elements().get(at),
        _ => None,
    }
}
