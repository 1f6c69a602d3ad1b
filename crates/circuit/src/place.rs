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
        let behind = Place::Behind { piece, rest };
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
            Self::Behind { piece, rest } => behind(network, piece, rest),
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

fn behind(network: &Network, piece: Node, rest: Node) -> String {
    let elements = network.elements();
    let first_of_rest = network.elements_of(rest).min();
    let cable_before = network.elements_of(piece).max().is_some_and(|last| elements[last].is_cable());
    if cable_before && let Some(next) = first_of_rest {
        return format!("in the wire before {}", element_name(network, next));
    }
    match first_named(network, piece).or_else(|| {
        let last = network.elements_of(piece).max()?;
        Some(element_name(network, last))
    }) {
        Some(name) => format!("after {name}"),
        None => "on the way".to_owned(),
    }
}

fn first_named(network: &Network, node: Node) -> Option<String> {
    let mut named: Vec<usize> =
        network.elements_of(node).filter(|&at| network.elements()[at].name().is_some()).collect();
    named.sort_unstable();
    named.first().map(|&at| element_name(network, at))
}

/// What a technician would call an element: its name, or what it is.
#[must_use]
pub fn element_name(network: &Network, element: usize) -> String {
    let Some(element) = network.elements().get(element) else { return String::new() };
    match &element.part {
        Part::Contact { name, role, .. } => network::label(name, *role),
        Part::Smoke(name) | Part::Sounder(name) | Part::Joint(name) => name.clone(),
        Part::Wire(_) | Part::Core(_) => "the next wire".to_owned(),
        Part::Resistor { nominal, .. } => format!("the {} resistor", quantity::Written::written(*nominal)),
        Part::Diode => "the diode".to_owned(),
        Part::Capacitor(_) => "the capacitor".to_owned(),
        Part::Joined => "the joined end".to_owned(),
        Part::Open => "the open end".to_owned(),
    }
}
