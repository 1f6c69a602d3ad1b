//! Edits of a circuit that remedies try: resistors changed, moved, added, taken out, home runs parted.

use network::{Element, Form, Network, Part, Piece, Sign, Sketch};
use quantity::Ohms;

/// Whether two-wire smoke detectors live on it.
pub(crate) fn has_smoke(network: &Network) -> bool {
    network.elements().iter().any(|element| matches!(element.part, Part::Smoke(_)))
}

pub(crate) fn resistors(network: &Network) -> Vec<usize> {
    let elements = network.elements().iter().enumerate();
    elements.filter(|(_, element)| matches!(element.part, Part::Resistor { .. })).map(|(at, _)| at).collect()
}

pub(crate) fn resistor_value(network: &Network, element: usize) -> Option<Ohms> {
    match network.elements()[element].part {
        Part::Resistor { nominal, .. } => Some(nominal),
        _ => None,
    }
}

/// The network with these resistors of another value, in the order of the text.
pub(crate) fn replaced(network: &Network, which: &[usize], nominal: Ohms) -> Sketch {
    let mut sketch = network.sketch().clone();
    let mut at = 0;
    sketch.for_each_element(&mut |element| {
        if which.contains(&at) {
            element.part = Part::Resistor { nominal, tolerance: None };
        }
        at += 1;
    });
    sketch
}

/// A resistor at the end: in line where contacts open, across where they close (common practice, no source).
pub(crate) fn with_end(mut sketch: Sketch, resistor: Element) -> Sketch {
    let mut closes = false;
    sketch.for_each_element(&mut |element| {
        closes |= matches!(element.part, Part::Smoke(_) | Part::Contact { form: Form::NormallyOpen, .. });
    });
    let sign = if closes && ends_across(&sketch) { Sign::Across } else { Sign::InLine };
    sketch.push(sign, Piece::Element(resistor));
    sketch
}

/// Whether the far end is a contact or a detector that stands across the pair.
fn ends_across(sketch: &Sketch) -> bool {
    match sketch.pieces().last() {
        Some((Piece::Element(element), _)) => {
            matches!(element.part, Part::Smoke(_) | Part::Contact { form: Form::NormallyOpen, .. })
        }
        Some((Piece::Bracket(inner), _)) => ends_across(inner),
        None => false,
    }
}

/// Without the resistors that stand by themselves, and without what else closes the far end; resistors of a
/// device, in brackets, stay.
pub(crate) fn without_end_resistors(sketch: &Sketch) -> Sketch {
    let mut stripped = without_end(sketch.clone());
    let mut at = 0;
    while at < stripped.len() {
        let is_resistor = stripped.pieces().nth(at).is_some_and(|(piece, _)| {
            matches!(piece, Piece::Element(Element { part: Part::Resistor { .. }, .. }))
        });
        match stripped.clone().without(at) {
            Some(fewer) if is_resistor => stripped = fewer,
            _ => at += 1,
        }
    }
    stripped
}

/// Without a joined end, a capacitor or a diode at the end, where a resistor is going to be put.
pub(crate) fn without_end(sketch: Sketch) -> Sketch {
    let ends = match sketch.pieces().last() {
        Some((Piece::Element(element), _)) => {
            matches!(element.part, Part::Joined | Part::Capacitor(_) | Part::Diode)
        }
        _ => false,
    };
    match sketch.clone().without(sketch.len() - 1) {
        Some(shorter) if ends => shorter,
        _ => sketch,
    }
}

/// The brackets of a line of home runs: at least two, each with cable and a contact, in line with one
/// another and at most with resistors.
pub(crate) fn home_runs(sketch: &Sketch) -> Option<Vec<Sketch>> {
    let mut runs = Vec::new();
    for (piece, sign) in sketch.pieces() {
        if sign == Some(Sign::Across) {
            return None;
        }
        match piece {
            Piece::Bracket(run) if has_cable(run) && !names(run).is_empty() => {
                runs.push(without_end_resistors(run));
            }
            Piece::Element(Element { part: Part::Resistor { .. }, .. }) => {}
            _ => return None,
        }
    }
    (runs.len() > 1).then_some(runs)
}

fn has_cable(sketch: &Sketch) -> bool {
    let mut found = false;
    sketch.clone().for_each_element(&mut |element| found |= element.is_cable());
    found
}

pub(crate) fn names(sketch: &Sketch) -> Vec<String> {
    let mut found = Vec::new();
    sketch.clone().for_each_element(&mut |element| found.extend(element.name().map(str::to_owned)));
    found
}
