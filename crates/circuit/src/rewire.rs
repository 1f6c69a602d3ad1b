//! Edits of a circuit that remedies try: resistors changed, moved, added, taken out, home runs parted.

use network::{Element, Form, Network, Part, Piece, Sign, Sketch};
use quantity::{Ohms, Written};

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
    put_at_end(sketch, sign, resistor)
}

/// Behind the last piece; inside it where that is a run of cable to a device of its own.
fn put_at_end(mut sketch: Sketch, sign: Sign, resistor: Element) -> Sketch {
    let runs_on = matches!(sketch.pieces().last(), Some((Piece::Bracket(run), _)) if has_cable(run));
    if runs_on && let Some(Piece::Bracket(run)) = sketch.pop() {
        sketch.push_last(Piece::Bracket(put_at_end(run, sign, resistor)));
    } else {
        sketch.push(sign, Piece::Element(resistor));
    }
    sketch
}

/// Whether anything on the circuit can raise an alarm.
pub(crate) fn can_raise(network: &Network) -> bool {
    !network.contacts().is_empty() || has_smoke(network)
}

/// Whether the last resistor closes the pair at the far end, with cable on the way to it.
#[must_use]
pub fn at_end(network: &Network) -> bool {
    let pieces = || network.sketch().pieces().map(|(piece, _)| piece);
    let ends = matches!(pieces().last(), Some(Piece::Element(Element { part: Part::Resistor { .. }, .. })));
    let cable = network.elements().iter().any(Element::is_cable);
    let on_the_way = pieces().any(|piece| matches!(piece, Piece::Element(element) if element.is_cable()));
    ends && (on_the_way || !cable)
}

/// Whether a resistor sits at the terminals, before any cable and any device: in the panel.
#[must_use]
pub fn in_panel(network: &Network) -> bool {
    let pieces = network.sketch().pieces().map(|(piece, _)| piece);
    let before = |piece: &&Piece| match piece {
        Piece::Element(element) => matches!(element.part, Part::Resistor { .. } | Part::Joint(_)),
        // Home runs meet in the box, so what stands beside them stands there too.
        Piece::Bracket(run) => has_cable(run),
    };
    let is_resistor =
        |piece: &Piece| matches!(piece, Piece::Element(Element { part: Part::Resistor { .. }, .. }));
    pieces.take_while(before).any(is_resistor)
}

/// The network with its end resistor at the terminals instead, in line or across as it was; none where no resistor stands
/// at the end.
pub(crate) fn moved_to_panel(network: &Network) -> Option<Network> {
    if at_end(network) { network.end_resistor_at_terminals() } else { None }
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

/// Without the resistors that stand by themselves, in runs of cable of their own too, and without what else
/// closes the far end; resistors of a device, in brackets without cable, stay.
pub(crate) fn without_end_resistors(sketch: &Sketch) -> Sketch {
    let mut stripped = without_end(sketch.clone());
    stripped.for_each_bracket(&mut |run| {
        if has_cable(run) {
            *run = without_end_resistors(run);
        }
    });
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

/// What closed an end and is not there any more, resistors apart, as a list in words; none where all of it stays.
pub(crate) fn taken_out(old: &Sketch, new: &[&Sketch]) -> Option<String> {
    let mut gone = ends(old);
    for part in new.iter().flat_map(|sketch| ends(sketch)) {
        if let Some(at) = gone.iter().position(|one| *one == part) {
            gone.remove(at);
        }
    }
    let mut words: Vec<String> = Vec::new();
    for part in &gone {
        let one = match part {
            Part::Capacitor(farads) => format!("the {}", farads.shown(2)),
            Part::Diode => "the diode".to_owned(),
            _ => "the join at the end".to_owned(),
        };
        if !words.contains(&one) {
            words.push(one);
        }
    }
    (!words.is_empty()).then(|| words.join(" and "))
}

fn ends(sketch: &Sketch) -> Vec<Part> {
    let mut found = Vec::new();
    sketch.clone().for_each_element(&mut |element| {
        if matches!(element.part, Part::Joined | Part::Capacitor(_) | Part::Diode) {
            found.push(element.part.clone());
        }
    });
    found
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
