//! The list of faults of a circuit, each with what it does to the network.

use job::{Circuit, Connection};
use library::Earth;
use network::{Bounds, Form, Network, Node, Part, Step};
use quantity::{Interval, Ohms};

use crate::Setting;
use crate::fault::FaultKind;
use crate::model::Model;
use crate::place::{Leg, Place, Spot, spots};
use crate::scene::Act;

/// Leakage that is looked at.
pub(crate) const LEAK: Bounds = Bounds { lo: 1e3, hi: 1e6 };
/// Bad joints that are looked at.
pub(crate) const JOINT: Bounds = Bounds { lo: 1.0, hi: 100e3 };
/// Earth faults that are looked at; a pair of them lies in line through the earth.
pub(crate) const EARTH: Bounds = Bounds { lo: 0.0, hi: 50e3 };
pub(crate) const EARTH_PAIR: Bounds = Bounds { lo: 0.0, hi: 100e3 };

/// One fault, before it is judged.
#[derive(Clone, Debug)]
pub(crate) struct Case {
    pub(crate) kind: FaultKind,
    pub(crate) place: Place,
    pub(crate) leg: Option<Leg>,
    /// The supply point that is lost, where the job names it.
    pub(crate) point: Option<String>,
    pub(crate) does: Does,
}

/// What a fault does.
#[derive(Clone, Debug)]
pub(crate) enum Does {
    /// An act of any size between two.
    Sized(Act, Bounds),
    /// One of a few acts, each of one size; the worst counts.
    OneOf(Vec<(Act, Bounds)>),
    /// The resistor of this piece has one of these values, named by their nominal ohms.
    Values(Node, Vec<(Ohms, Bounds)>),
    /// `x` from one leg to the input's own return terminal, past whatever lies between.
    Earthed {
        /// How the place lies between the terminals.
        past: Past,
        /// Whether it is the return leg.
        on_return: bool,
        sizes: Bounds,
    },
    /// Nothing that the terminals could show, at these sizes if it has any.
    Nothing(Option<Bounds>),
    /// Nothing that the terminals could show, and the polarised devices are dead.
    Dead,
    /// The module's own earth detector shows it.
    Detected,
    /// A contact does not return to rest.
    Active(usize),
    /// These contacts' devices lose their supply.
    Unfed(Vec<usize>),
}

/// How a place lies on the way from the terminals and back: what is in line before it, beyond it, and on the
/// way back. All of it together is `whole`.
#[derive(Clone, Debug)]
pub(crate) struct Past {
    pub(crate) whole: Node,
    pub(crate) before: Vec<Node>,
    pub(crate) beyond: Node,
    pub(crate) after: Vec<Node>,
}

/// Every single fault, from the terminals outwards.
pub(crate) fn cases(
    setting: &Setting,
    circuit: &Circuit,
    model: &Model,
    earth: Earth,
    shares: bool,
) -> Vec<Case> {
    let network = model.network;
    let leaves = leaves(network);
    let parents = parents(network);
    let mut cases = Vec::new();
    for spot in spots(network) {
        of_spot(network, spot, earth, &mut cases);
    }
    if shares {
        let all = Act::Becomes(network.root());
        cases.push(case(FaultKind::Open, Place::Common, Does::OneOf(vec![(all, Bounds::OPEN)])));
    }
    for (element, &leaf) in leaves.iter().enumerate() {
        match &network.elements()[element].part {
            Part::Resistor { nominal, tolerance } => {
                let tolerance = tolerance.unwrap_or(setting.job.assume.resistor_tolerance);
                of_resistor(element, leaf, *nominal, tolerance, &mut cases);
            }
            Part::Contact { name, .. } => {
                of_contact_element(
                    setting,
                    circuit,
                    network,
                    (element, leaf, parents[leaf.index()]),
                    name,
                    &mut cases,
                );
            }
            Part::Smoke(name) => {
                let whole =
                    opens_when_removed(setting, circuit, name).then_some(parents[leaf.index()]).flatten();
                let act = Act::Becomes(whole.unwrap_or(leaf));
                let does = Does::OneOf(vec![(act, Bounds::OPEN)]);
                cases.push(case(FaultKind::HeadRemoved, Place::Element(element), does));
            }
            _ => {}
        }
    }
    for contact in 0..network.contacts().len() {
        cases.push(case(FaultKind::StuckAtRest, Place::Contact(contact), Does::Nothing(None)));
        cases.push(case(FaultKind::StuckActive, Place::Contact(contact), Does::Active(contact)));
    }
    if network.elements().iter().any(|element| matches!(element.part, Part::Smoke(_) | Part::Sounder(_))) {
        cases.push(case(FaultKind::Polarity, Place::Whole, Does::Dead));
    }
    of_four_wire_heads(setting, circuit, model, &parents, &leaves, &mut cases);
    of_supplies(setting, circuit, model, &mut cases);
    cases
}

fn case(kind: FaultKind, place: Place, does: Does) -> Case {
    Case { kind, place, leg: None, point: None, does }
}

fn of_spot(network: &Network, spot: Spot, earth: Earth, cases: &mut Vec<Case>) {
    let Spot { place, beyond, pair, core } = spot;
    if core {
        // A branch without cable is a device and its resistor: its lead comes off, nothing else.
        let own_lead = matches!(place, Place::Branch(_))
            && !network.elements_of(beyond).any(|element| network.elements()[element].is_cable());
        let kind = if own_lead { FaultKind::LeadOff } else { FaultKind::Open };
        cases.push(case(kind, place, Does::OneOf(vec![(Act::InLine(beyond), Bounds::OPEN)])));
        cases.push(case(FaultKind::Joint, place, Does::Sized(Act::InLine(beyond), JOINT)));
    }
    if !pair {
        return;
    }
    cases.push(case(FaultKind::Short, place, Does::OneOf(vec![(Act::Across(beyond), Bounds::JOINED)])));
    cases.push(case(FaultKind::Leak, place, Does::Sized(Act::Across(beyond), LEAK)));
    let past = past(network, beyond);
    cases.push(case(FaultKind::Cross, place, cross(&past)));
    let mut earthed =
        |leg, does| cases.push(Case { kind: FaultKind::Earth, place, leg: Some(leg), point: None, does });
    let to_return = |on_return| Does::Earthed { past: past.clone(), on_return, sizes: EARTH };
    match earth {
        Earth::Floating => {
            earthed(Leg::Live, Does::Nothing(Some(EARTH)));
            earthed(Leg::Return, Does::Nothing(Some(EARTH)));
            earthed(Leg::Both, Does::Sized(Act::Across(beyond), EARTH_PAIR));
        }
        Earth::CommonEarthed => {
            // With nothing on the way back, the return terminal is as near as the return leg of the same place.
            let bare = past.after.is_empty();
            let across = Does::Sized(Act::Across(beyond), EARTH);
            earthed(Leg::Live, if bare { across } else { to_return(false) });
            earthed(Leg::Return, if bare { Does::Nothing(Some(EARTH)) } else { to_return(true) });
        }
        Earth::DetectedBelow(limit) => {
            let unseen = Bounds { lo: limit.0, hi: EARTH.hi };
            let does = if unseen.lo >= unseen.hi { Does::Detected } else { Does::Nothing(Some(unseen)) };
            earthed(Leg::Live, does.clone());
            earthed(Leg::Return, does);
        }
    }
    // Two earths on one leg, one on either side of a piece, bridge that piece.
    if earth == Earth::Floating
        && let Some((piece, _)) = network.operands(beyond)
        && network.step(beyond) == Step::InLine
        && network.elements_of(piece).any(|element| network.contact_of(element).is_some())
    {
        let does = Does::Sized(Act::Across(piece), EARTH_PAIR);
        let around = Place::Around(piece);
        cases.push(Case { leg: Some(Leg::Both), ..case(FaultKind::Earth, around, does) });
    }
}

fn of_resistor(element: usize, leaf: Node, nominal: Ohms, tolerance: quantity::Ratio, cases: &mut Vec<Case>) {
    let place = Place::Element(element);
    let becomes = |bounds| Does::OneOf(vec![(Act::Becomes(leaf), bounds)]);
    cases.push(case(FaultKind::ResistorOpen, place, becomes(Bounds::OPEN)));
    cases.push(case(FaultKind::ResistorShort, place, becomes(Bounds::JOINED)));
    let others = quantity::preferred::common_resistors()
        .iter()
        .filter(|other| (other.0 / nominal.0 - 1.0).abs() > 1e-6);
    let values = others.map(|&other| (other, Interval::with_tolerance(other, tolerance).into())).collect();
    cases.push(case(FaultKind::ResistorValue, place, Does::Values(leaf, values)));
}

fn of_contact_element(
    setting: &Setting,
    circuit: &Circuit,
    network: &Network,
    (element, leaf, parent): (usize, Node, Option<Node>),
    name: &str,
    cases: &mut Vec<Case>,
) {
    let place = Place::Element(element);
    let becomes = |bounds| Does::OneOf(vec![(Act::Becomes(leaf), bounds)]);
    cases.push(case(FaultKind::Bridged, place, becomes(Bounds::JOINED)));
    let across = parent.is_some_and(|parent| {
        network.step(parent) == Step::Across
            && network.operands(parent).is_some_and(|(piece, _)| piece == leaf)
    });
    let connection = setting.device(&circuit.tag, name).and_then(|device| device.connection);
    if across && connection != Some(Connection::InOut) {
        cases.push(case(FaultKind::LeadOff, place, becomes(Bounds::OPEN)));
    }
}

/// Whether taking a detector's head out opens the circuit behind it; where nobody has said, it does not.
fn opens_when_removed(setting: &Setting, circuit: &Circuit, name: &str) -> bool {
    let profile = setting.detector(&circuit.tag, name).and_then(|detector| detector.two_wire.as_ref());
    let connection = setting.device(&circuit.tag, name).and_then(|device| device.connection);
    match connection {
        Some(connection) => connection == Connection::InOut,
        None => profile.and_then(|two_wire| two_wire.head_opens).unwrap_or(false),
    }
}

/// One fault for every supply point that can be lost: each point that feeds a device of the circuit, and each that
/// it hangs on, with all contacts that then lose their supply. Points whose loss takes the module along are left
/// out: a module that is dead is missed by what it reports to.
fn of_supplies(setting: &Setting, circuit: &Circuit, model: &Model, cases: &mut Vec<Case>) {
    let feeding = &setting.feeding;
    let own = circuit.input.as_ref().map(|input| feeding.chain(input.module.as_str())).unwrap_or_default();
    let mut points: Vec<(Option<&str>, Vec<usize>)> = Vec::new();
    for contact in model.powered_contacts() {
        let name = &model.network.contacts()[contact].name;
        let device = setting.device(&circuit.tag, name);
        let point = device.and_then(|device| device.fed_by.as_ref()).map(|point| point.as_str());
        let chain: Vec<Option<&str>> = match point {
            Some(point) => {
                let all = feeding.chain(point).into_iter();
                all.enumerate()
                    .filter(|(at, up)| *at == 0 || !own.contains(up))
                    .map(|(_, up)| Some(up))
                    .collect()
            }
            None => vec![None],
        };
        for point in chain {
            match points.iter_mut().find(|(known, _)| *known == point) {
                Some((_, contacts)) => contacts.push(contact),
                None => points.push((point, vec![contact])),
            }
        }
    }
    for (point, contacts) in points {
        let place = contacts.first().map_or(Place::Whole, |&first| Place::Supply(first));
        let lost = case(FaultKind::SupplyLost, place, Does::Unfed(contacts));
        cases.push(Case { point: point.map(str::to_owned), ..lost });
    }
}

/// The head of a four-wire detector taken out: where both sides of the pair land on its base, the pair opens behind it;
/// where not, its contact is gone and nothing else.
fn of_four_wire_heads(
    setting: &Setting,
    circuit: &Circuit,
    model: &Model,
    parents: &[Option<Node>],
    leaves: &[Node],
    cases: &mut Vec<Case>,
) {
    for contact in model.powered_contacts() {
        let made = &model.network.contacts()[contact];
        let fire = circuit.duty.is_some_and(job::Duty::is_fire);
        let stays = setting.contact(&circuit.tag, &made.name, made.role).and_then(|it| it.on_power_loss);
        if !fire
            || made.role != network::Role::Alarm
            || made.form != Form::NormallyOpen
            || stays != Some(library::OnPowerLoss::Stays)
        {
            continue;
        }
        let connection = setting.device(&circuit.tag, &made.name).and_then(|device| device.connection);
        let first = made.elements.first().copied();
        let does = match (connection, first) {
            (Some(Connection::InOut), Some(element)) => {
                let leaf = leaves[element];
                let act = Act::Becomes(parents[leaf.index()].unwrap_or(leaf));
                Does::OneOf(vec![(act, Bounds::OPEN)])
            }
            _ => Does::Unfed(vec![contact]),
        };
        cases.push(case(FaultKind::HeadRemoved, first.map_or(Place::Whole, Place::Element), does));
    }
}

/// The node of every element.
pub(crate) fn leaves(network: &Network) -> Vec<Node> {
    let mut leaves = vec![network.root(); network.elements().len()];
    for node in network.nodes() {
        if let Step::Element(element) = network.step(node) {
            leaves[element] = node;
        }
    }
    leaves
}

/// The subtree that each subtree is a part of, one entry a step.
pub(crate) fn parents(network: &Network) -> Vec<Option<Node>> {
    let mut parents = vec![None; network.steps().len()];
    for node in network.nodes() {
        if let Some((piece, rest)) = network.operands(node) {
            parents[piece.index()] = Some(node);
            parents[rest.index()] = Some(node);
        }
    }
    parents
}

/// A core touches the return of another circuit, which is the module's common: what lies beyond is bridged, and
/// in a home run all that follows in the box. Or it touches the live core of a like circuit.
fn cross(past: &Past) -> Does {
    if past.after.is_empty() {
        let beyond = past.beyond;
        return Does::OneOf(vec![
            (Act::Across(beyond), Bounds::JOINED),
            (Act::Shared(beyond), Bounds::JOINED),
        ]);
    }
    Does::Earthed { past: past.clone(), on_return: false, sizes: Bounds::JOINED }
}

/// How a piece lies on the way out and back. What follows a bracket in line lies on the way back from inside
/// it, and so does a piece of the return leg. A branch that stands across on the way ends the search: past it
/// the network would be no tree, and the cable between is taken as none.
fn past(network: &Network, beyond: Node) -> Past {
    let mut past = Past { whole: network.root(), before: Vec::new(), beyond, after: Vec::new() };
    let mut node = network.root();
    while node != beyond {
        let Some((piece, rest)) = network.operands(node) else { break };
        // The rest stands before the piece in the program.
        let onward = beyond <= rest;
        let child = if onward { rest } else { piece };
        if network.step(node) == Step::Across {
            past = Past { whole: child, before: Vec::new(), beyond, after: Vec::new() };
        } else if !onward {
            past.after.push(rest);
        } else if network.elements_of(piece).any(|element| network.elements()[element].returns) {
            past.after.push(piece);
        } else {
            past.before.push(piece);
        }
        node = child;
    }
    past
}

/// Whether a contact element is closed at rest.
pub(crate) fn is_closed(network: &Network, element: usize) -> bool {
    matches!(network.elements()[element].part, Part::Contact { form: Form::NormallyClosed, .. })
}
