//! Places of a circuit where something can go wrong, in words.

use network::{Network, Node, Part, Step};

/// A place in a circuit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Place {
    /// Between the input's terminals and the first element.
    Terminals,
    /// Between a piece and what follows it.
    Behind {
        /// The piece in front.
        piece: Node,
        /// What follows it.
        rest: Node,
        /// Whether the piece stands across what follows it; otherwise in line.
        across: bool,
    },
    /// Where a branch leaves.
    Branch(Node),
    /// At an element itself.
    Element(usize),
    /// At a contact of a device.
    Contact(usize),
    /// In a core that several circuits share.
    Common,
    /// At the supply point that feeds this contact's device, and perhaps others.
    Supply(usize),
    /// The circuit as a whole.
    Whole,
}

/// Which of the pair's two legs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Leg {
    /// The one that goes out from the input.
    Live,
    /// The one that comes back.
    Return,
    /// Both at once.
    Both,
}

impl Leg {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Live => "live",
            Self::Return => "return",
            Self::Both => "both",
        }
    }
}

/// A place where cable or a screw can fail.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Spot {
    pub(crate) place: Place,
    /// What lies beyond it.
    pub(crate) beyond: Node,
    /// Whether the two cores can touch here, and it is not the same node as another spot.
    pub(crate) pair: bool,
    /// Whether a core can break here.
    pub(crate) core: bool,
}

/// Every spot, from the terminals outwards.
pub(crate) fn spots(network: &Network) -> Vec<Spot> {
    let mut spots = Vec::new();
    let mut open = vec![Spot { place: Place::Terminals, beyond: network.root(), pair: true, core: true }];
    while let Some(spot) = open.pop() {
        if spot.pair || spot.core {
            spots.push(spot);
        }
        let Some((piece, rest)) = network.operands(spot.beyond) else { continue };
        let in_line = network.step(spot.beyond) == Step::InLine;
        let joined = is_joined(network, rest);
        let behind = Place::Behind { piece, rest, across: !in_line };
        open.push(Spot { place: behind, beyond: rest, pair: in_line && !joined, core: !joined });
        if network.operands(piece).is_some() {
            // A bracket: in line it is a home run or a device of several parts, across it is a branch.
            let cabled = network.elements_of(piece).any(|element| network.elements()[element].is_cable());
            let place = Place::Branch(piece);
            open.push(Spot { place, beyond: piece, pair: cabled && in_line, core: !in_line });
        }
    }
    spots
}

fn is_joined(network: &Network, node: Node) -> bool {
    matches!(network.step(node), Step::Element(element) if network.elements()[element].part == Part::Joined)
}

impl Place {
    /// The place in words, as `after leaf1`.
    #[must_use]
    pub fn words(self, network: &Network) -> String {
        match self {
            Self::Terminals => "at the terminals".to_owned(),
            Self::Behind { piece, rest, across } => behind(network, piece, rest, across),
            Self::Branch(node) => match first_named(network, node) {
                Some(name) => format!("at the head of the branch to {name}"),
                None => "at the head of the branch".to_owned(),
            },
            Self::Element(element) => format!("at {}", element_name(network, element)),
            Self::Contact(contact) => {
                network.contacts().get(contact).map_or_else(String::new, network::Contact::label)
            }
            Self::Common => "in the shared common".to_owned(),
            Self::Supply(contact) => match network.contacts().get(contact) {
                Some(contact) => format!("at the supply of {}", contact.name),
                None => "at the supply point".to_owned(),
            },
            Self::Whole => "the whole circuit".to_owned(),
        }
    }
}

fn behind(network: &Network, piece: Node, rest: Node, across: bool) -> String {
    let elements = network.elements();
    let first_of_rest = network.elements_of(rest).min();
    let last_of_piece = network.elements_of(piece).max();
    let cable_before =
        network.operands(piece).is_none() && last_of_piece.is_some_and(|last| elements[last].is_cable());
    if cable_before && let Some(next) = first_of_rest {
        return format!("in the wire before {}", element_name(network, next));
    }
    let name = match (network.operands(piece), first_named(network, piece)) {
        (Some(_), Some(name)) => Some(format!("the bracket of {name}")),
        (None, Some(name)) => Some(name),
        (_, None) => last_of_piece.map(|last| element_name(network, last)),
    };
    match (name, first_of_rest) {
        (Some(name), Some(next)) if across => format!("between {name} and {}", element_name(network, next)),
        (Some(name), _) => format!("after {name}"),
        (None, _) => "on the way".to_owned(),
    }
}

fn first_named(network: &Network, node: Node) -> Option<String> {
    let mut named: Vec<usize> =
        network.elements_of(node).filter(|&at| network.elements()[at].name().is_some()).collect();
    named.sort_unstable();
    named.first().map(|&at| element_name(network, at))
}

/// What a technician would call an element: its name, or what it is; with a number where several are alike.
#[must_use]
pub fn element_name(network: &Network, at: usize) -> String {
    let Some(element) = network.elements().get(at) else { return String::new() };
    match &element.part {
        Part::Contact { name, role, .. } => {
            let label = network::label(name, *role);
            let same =
                network.contact_of(at).map_or(&[][..], |contact| &network.contacts()[contact].elements);
            match same.iter().position(|&other| other == at) {
                Some(number) if same.len() > 1 => format!("{label} ({})", number + 1),
                _ => label,
            }
        }
        Part::Smoke(name) | Part::Sounder(name) | Part::Joint(name) => {
            match among(network, at, |other| other.part == element.part) {
                (_, 1) => name.clone(),
                (number, _) => format!("{name} ({number})"),
            }
        }
        Part::Wire(_) | Part::Core(_) => format!("wire {}", among(network, at, network::Element::is_cable).0),
        Part::Resistor { nominal, .. } => {
            let alike = |other: &network::Element| matches!(other.part, Part::Resistor { nominal: value, .. } if value == *nominal);
            let value = quantity::Written::written(*nominal);
            match among(network, at, alike) {
                (_, 1) => format!("the {value} resistor"),
                (number, _) => format!("the {value} resistor ({number})"),
            }
        }
        Part::Diode => "the diode".to_owned(),
        Part::Capacitor(_) => "the capacitor".to_owned(),
        Part::Joined => "the joined end".to_owned(),
        Part::Open => "the open end".to_owned(),
    }
}

/// The number of an element among those that are alike, and how many these are.
fn among(network: &Network, at: usize, alike: impl Fn(&network::Element) -> bool) -> (usize, usize) {
    let elements = network.elements();
    let before = elements[..at].iter().filter(|element| alike(element)).count();
    (before + 1, before + elements[at..].iter().filter(|element| alike(element)).count())
}
