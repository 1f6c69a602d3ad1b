//! A network in a sentence, so that nobody has to trust his reading of the signs.

use network::{Element, Network, Node, Part};
use quantity::UnitsShown;

use crate::part::{chain, closed_at_rest, element, label, run};

/// Pieces that a sentence names before it says how many more there are.
const MOST_PIECES: usize = 40;
/// Brackets in brackets that are still put into words.
const DEEPEST: usize = 4;

/// The network from the terminals outwards: `38 m of cable, then leaf1 in line (closed at rest), and 2.2 kΩ
/// closes the pair at the end.`
#[must_use]
pub fn sentence(network: &Network, units: UnitsShown) -> String {
    let chain = chain(network, network.root(), MOST_PIECES);
    let mut words: Vec<String> = Vec::new();
    for (piece, in_line) in &chain.pieces {
        words.push(piece_words(network, *piece, *in_line, units));
    }
    words.push(end_words(network, chain.end, units));
    let mut text = String::new();
    for (at, part) in words.iter().enumerate() {
        let last = at + 1 == words.len();
        let after_cable = at > 0 && ends_as_cable(&words[at - 1]);
        match at {
            0 => {}
            _ if last => text.push_str(", and "),
            _ if after_cable => text.push_str(", then "),
            _ => text.push_str(", "),
        }
        text.push_str(part);
    }
    text.push('.');
    text
}

fn ends_as_cable(words: &str) -> bool {
    words.ends_with("of cable")
}

fn piece_words(network: &Network, piece: Node, in_line: bool, units: UnitsShown) -> String {
    let Some(element) = element(network, piece) else {
        let inner = inner_words(network, piece, units, 0);
        return match (in_line, begins_with_cable(network, piece)) {
            (true, true) => format!("a run of its own in line ({inner})"),
            (true, false) => format!("{inner}, together in line"),
            (false, true) => format!("a branch across the pair ({inner})"),
            (false, false) => format!("{inner}, together across the pair"),
        };
    };
    let leg = if element.returns { " in the return leg" } else { "" };
    match (&element.part, in_line) {
        (Part::Wire(_) | Part::Core(_), true) => cable_words(element, units),
        (Part::Contact { .. }, true) => {
            format!("{} in line{leg} ({})", name(element, units), stands(element))
        }
        (Part::Contact { .. }, false) if closed_at_rest(element) == Some(true) => {
            format!(
                "{} across the pair ({}: it bridges all that follows)",
                name(element, units),
                stands(element)
            )
        }
        (Part::Contact { .. }, false) => {
            format!("{} across the pair ({})", name(element, units), stands(element))
        }
        (_, true) => format!("{} in line{leg}", name(element, units)),
        (_, false) => format!("{} across the pair", name(element, units)),
    }
}

fn end_words(network: &Network, end: Node, units: UnitsShown) -> String {
    let Some(element) = element(network, end) else {
        let left = network.elements_of(end).count();
        let inner = inner_words(network, end, units, 0);
        return if left > MOST_PIECES {
            format!("{left} more parts follow")
        } else {
            format!("{inner} close the pair at the end")
        };
    };
    match &element.part {
        Part::Joined => "the two cores are joined at the end".to_owned(),
        Part::Open => "nothing joins the two cores at the end".to_owned(),
        Part::Wire(_) => format!("{}, looped at its end", cable_words(element, units)),
        Part::Core(_) => format!("{} closes the pair", cable_words(element, units)),
        Part::Contact { .. } => {
            format!("{} closes the pair at the end ({})", name(element, units), stands(element))
        }
        _ => format!("{} closes the pair at the end", name(element, units)),
    }
}

/// What stands in a bracket.
fn inner_words(network: &Network, node: Node, units: UnitsShown, depth: usize) -> String {
    if let Some(element) = element(network, node) {
        return match &element.part {
            Part::Wire(_) | Part::Core(_) => cable_words(element, units),
            Part::Contact { .. } => format!("{} ({})", name(element, units), stands(element)),
            _ => name(element, units),
        };
    }
    let chain = chain(network, node, MOST_PIECES);
    if depth >= DEEPEST || network.operands(chain.end).is_some() {
        return format!("{} parts", network.elements_of(node).count());
    }
    let words = |node: Node| inner_words(network, node, units, depth + 1);
    let mut text = words(chain.end);
    for (at, (piece, in_line)) in chain.pieces.iter().enumerate().rev() {
        let several = |node: Node, words: String| match element(network, node) {
            Some(_) => words,
            None => format!("({words})"),
        };
        let piece_words = words(*piece);
        text = if *in_line {
            format!("{piece_words}, {text}")
        } else {
            let alone = at + 1 == chain.pieces.len() && element(network, chain.end).is_some();
            let rest = if alone { text } else { format!("({text})") };
            format!("{} with {rest} across it", several(*piece, piece_words))
        };
    }
    text
}

fn begins_with_cable(network: &Network, node: Node) -> bool {
    let mut at = node;
    while let Some((piece, _)) = network.operands(at) {
        at = piece;
    }
    element(network, at).is_some_and(Element::is_cable)
}

fn cable_words(element: &Element, units: UnitsShown) -> String {
    let leg = if element.returns { " in the return leg" } else { "" };
    match &element.part {
        Part::Wire(conductor) => format!("{} of cable", run(conductor, units)),
        Part::Core(conductor) => format!("{} of one core{leg}", run(conductor, units)),
        _ => String::new(),
    }
}

fn name(element: &Element, units: UnitsShown) -> String {
    let label = label(element, units);
    match &element.part {
        Part::Smoke(_) => format!("smoke detector {label}"),
        Part::Sounder(_) => format!("sounder {label}"),
        Part::Joint(_) => format!("joint {label}"),
        Part::Diode => "a diode".to_owned(),
        Part::Capacitor(_) => format!("a capacitor of {label}"),
        Part::Joined => "a joint of the two cores".to_owned(),
        Part::Open => "an open end".to_owned(),
        _ => label,
    }
}

fn stands(element: &Element) -> &'static str {
    if closed_at_rest(element) == Some(true) { "closed at rest" } else { "open at rest" }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(notation: &str, expected: &str) {
        let network = Network::parse(notation).unwrap();
        assert_eq!(sentence(&network, UnitsShown::Metric).replace('\u{2009}', " "), expected);
    }

    #[test]
    fn usual_circuits() {
        check(
            "wire:38m - nc:leaf1 - wire:2m - nc:leaf2 - 2.2k",
            "38 m of cable, then leaf1 in line (closed at rest), 2 m of cable, then leaf2 in line (closed at \
             rest), and 2.2 kΩ closes the pair at the end.",
        );
        check(
            "wire:30m - no:a | wire:5m - no:b | 4.7k",
            "30 m of cable, then a across the pair (open at rest), 5 m of cable, then b across the pair (open \
             at rest), and 4.7 kΩ closes the pair at the end.",
        );
        check(
            "wire:20m - nc:pir.tamper - (nc:pir | 4.7k) - 4.7k",
            "20 m of cable, then pir.tamper in line (closed at rest), pir (closed at rest) with 4.7 kΩ across \
             it, together in line, and 4.7 kΩ closes the pair at the end.",
        );
        check(
            "4.7k - wire:38m - nc:door",
            "4.7 kΩ in line, 38 m of cable, and door closes the pair at the end (closed at rest).",
        );
        check("wire:20m - open", "20 m of cable, and nothing joins the two cores at the end.");
        check("wire:20m", "20 m of cable, looped at its end.");
    }

    #[test]
    fn tricky_circuits() {
        check(
            "nc:a | 4.7k - 4.7k",
            "a across the pair (closed at rest: it bridges all that follows), 4.7 kΩ in line, and 4.7 kΩ closes \
             the pair at the end.",
        );
        check(
            "(wire:20m - nc:a) - (wire:30m - nc:b) - 2.2k",
            "a run of its own in line (20 m of cable, a (closed at rest)), a run of its own in line (30 m of \
             cable, b (closed at rest)), and 2.2 kΩ closes the pair at the end.",
        );
    }
}
