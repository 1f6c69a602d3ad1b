//! A network compiled for computing: one flat program, whose order of steps is also its tree.
//!
//! Steps stand in postfix order with everything that follows a sign *before* the piece in front of it, so
//! that a line of a thousand pieces needs a stack of two. The step at `at` that joins two subtrees has its
//! piece at `at - 1` and the rest at `at - 1 - size(at - 1)`.

use crate::element::label;
use crate::sketch::{MAX_BRACKETS, MAX_ELEMENTS};
use crate::{Element, Form, NotationError, Part, Piece, Role, Sign, Sketch};

/// A circuit as two terminals see it.
#[derive(Clone, PartialEq, Debug)]
pub struct Network {
    elements: Vec<Element>,
    contacts: Vec<Contact>,
    /// The contact that each element belongs to.
    contact_of: Vec<Option<usize>>,
    steps: Vec<Step>,
    /// Steps of the subtree that ends at each step, itself included.
    sizes: Vec<u32>,
    sketch: Sketch,
}

/// A contact of a device: all elements of one name and role, which switch together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Contact {
    /// The device's name.
    pub name: String,
    /// What it reports.
    pub role: Role,
    /// The elements that it is, in the order of the text.
    pub elements: Vec<usize>,
    /// How its first element stands at rest.
    pub form: Form,
}

impl Contact {
    /// The name as `active` lists it.
    #[must_use]
    pub fn label(&self) -> String {
        label(&self.name, self.role)
    }
}

/// One step of the flat program.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Step {
    /// Takes an element's value.
    Element(usize),
    /// Puts the piece in line with the rest.
    InLine,
    /// Puts the piece across the rest.
    Across,
}

/// A subtree: a two-terminal piece of the network, named by its last step.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub struct Node(pub(crate) usize);

impl Node {
    /// Its place in tables of one entry a step.
    #[must_use]
    pub fn index(self) -> usize {
        self.0
    }
}

impl Network {
    /// Reads the notation of `docs/format.md`, section 2.
    ///
    /// # Errors
    /// The first thing that is wrong with the text, with its column.
    pub fn parse(text: &str) -> Result<Self, NotationError> {
        Ok(Self::compiled(crate::parse::sketch(text)?))
    }

    /// Compiles a sketch that was made by editing another; none when it has grown over the format's limits.
    #[must_use]
    pub fn from_sketch(sketch: Sketch) -> Option<Self> {
        let mut elements = 0;
        let mut deepest = 0;
        let mut open = vec![(&sketch, 0)];
        while let Some((level, depth)) = open.pop() {
            deepest = deepest.max(depth);
            for (piece, _) in level.pieces() {
                match piece {
                    Piece::Element(_) => elements += 1,
                    Piece::Bracket(inner) => open.push((inner, depth + 1)),
                }
            }
        }
        (elements <= MAX_ELEMENTS && deepest <= MAX_BRACKETS).then(|| Self::compiled(sketch))
    }

    fn compiled(sketch: Sketch) -> Self {
        let mut elements = Vec::new();
        let steps = program(&sketch, &mut elements);
        let mut sizes = vec![1_u32; steps.len()];
        for (at, step) in steps.iter().enumerate() {
            if !matches!(step, Step::Element(_)) {
                let piece = sizes[at - 1];
                let rest = sizes[at - 1 - piece as usize];
                sizes[at] = 1 + piece + rest;
            }
        }
        let contacts = contacts_of(&elements);
        let mut contact_of = vec![None; elements.len()];
        for (at, contact) in contacts.iter().enumerate() {
            for &element in &contact.elements {
                contact_of[element] = Some(at);
            }
        }
        Self { elements, contacts, contact_of, steps, sizes, sketch }
    }

    /// The elements, in the order of the text.
    #[must_use]
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// The contacts, in the order of their first element.
    #[must_use]
    pub fn contacts(&self) -> &[Contact] {
        &self.contacts
    }

    /// The flat program.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// The form that is printed and edited.
    #[must_use]
    pub fn sketch(&self) -> &Sketch {
        &self.sketch
    }

    /// The notation's text, in its one printed form.
    #[must_use]
    pub fn written(&self) -> String {
        self.sketch.written()
    }

    /// The same with the resistor that ends it at the terminals instead, in line or across as it was; none where no resistor
    /// ends it.
    #[must_use]
    pub fn end_resistor_at_terminals(&self) -> Option<Self> {
        let count = self.sketch.len();
        let (end, _) = self.sketch.pieces().last()?;
        let sign = self.sketch.pieces().nth(count.checked_sub(2)?)?.1?;
        if !matches!(end, Piece::Element(Element { part: Part::Resistor { .. }, .. })) {
            return None;
        }
        let end = end.clone();
        Self::from_sketch(self.sketch.clone().without(count - 1)?.behind(end, sign))
    }

    /// The whole network.
    #[must_use]
    pub fn root(&self) -> Node {
        Node(self.steps.len() - 1)
    }

    /// Every subtree, each behind its own parts.
    pub fn nodes(&self) -> impl Iterator<Item = Node> + use<> {
        (0..self.steps.len()).map(Node)
    }

    /// What a subtree does last.
    #[must_use]
    pub fn step(&self, node: Node) -> Step {
        self.steps[node.0]
    }

    /// The piece and the rest of a subtree that joins two; none for an element.
    #[must_use]
    pub fn operands(&self, node: Node) -> Option<(Node, Node)> {
        match self.steps[node.0] {
            Step::Element(_) => None,
            Step::InLine | Step::Across => {
                let piece = node.0 - 1;
                Some((Node(piece), Node(piece - self.sizes[piece] as usize)))
            }
        }
    }

    pub(crate) fn size(&self, step: usize) -> usize {
        self.sizes[step] as usize
    }

    /// The elements of a subtree, in no particular order.
    pub fn elements_of(&self, node: Node) -> impl Iterator<Item = usize> {
        let first = node.0 + 1 - self.sizes[node.0] as usize;
        self.steps[first..=node.0].iter().filter_map(|step| match step {
            Step::Element(element) => Some(*element),
            _ => None,
        })
    }

    /// The contact that an element belongs to.
    #[must_use]
    pub fn contact_of(&self, element: usize) -> Option<usize> {
        self.contact_of.get(element).copied().flatten()
    }
}

/// Pre-order with the piece before the rest, turned round: postfix with the rest before the piece.
fn program(sketch: &Sketch, elements: &mut Vec<Element>) -> Vec<Step> {
    // Elements are numbered in the order of the text, so the text is walked forwards: each open bracket is
    // a place in its sketch.
    let mut steps = Vec::new();
    let mut open = vec![sketch.pieces()];
    while let Some(level) = open.last_mut() {
        let Some((piece, sign)) = level.next() else {
            open.pop();
            continue;
        };
        match sign {
            Some(Sign::InLine) => steps.push(Step::InLine),
            Some(Sign::Across) => steps.push(Step::Across),
            None => {}
        }
        match piece {
            Piece::Element(element) => {
                steps.push(Step::Element(elements.len()));
                elements.push(element.clone());
            }
            Piece::Bracket(inner) => open.push(inner.pieces()),
        }
    }
    steps.reverse();
    steps
}

fn contacts_of(elements: &[Element]) -> Vec<Contact> {
    let mut contacts: Vec<Contact> = Vec::new();
    let mut known: std::collections::BTreeMap<(&str, Role), usize> = std::collections::BTreeMap::new();
    for (at, element) in elements.iter().enumerate() {
        if let Part::Contact { name, role, form } = &element.part {
            if let Some(&contact) = known.get(&(name.as_str(), *role)) {
                contacts[contact].elements.push(at);
            } else {
                known.insert((name, *role), contacts.len());
                contacts.push(Contact { name: name.clone(), role: *role, elements: vec![at], form: *form });
            }
        }
    }
    contacts
}
