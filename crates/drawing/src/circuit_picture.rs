//! The circuit picture: one pair from the module's terminals to its end, cable to scale.

use network::{Network, Node};
use quantity::{Gauge, UnitsShown};

use crate::chain::{Item, at_terminals, items};
use crate::lane::{GAP, LEAD, Layout};
use crate::mark::checked;
use crate::parts::Parts;
use crate::run::{Scale, chosen};
use crate::svg::{Anchor, Area, Colour, Dash, Picture, Point, Sheet, Stroke, Type, text_area};
use crate::symbol::terminal;

/// Right edge of the module's box, on which its terminals lie.
const BOX: f64 = 8.5;
/// Where the pair begins.
const START: f64 = BOX + 3.5;
/// The box stands over the legs by this.
const OVER: f64 = 5.0;
/// Lettered at the boundary of what sits there.
const AT_MODULE: &str = "at the module";
/// Clear paper around the drawing.
const MARGIN: f64 = 1.0;

/// What a circuit picture is asked for.
#[derive(Clone, Copy, Debug)]
pub struct CircuitRequest<'a> {
    /// For who cannot see it: `Circuit C07 as found`.
    pub title: &'a str,
    /// What is lettered over the module's terminals: `M1.7`, or the tag where there is no input yet.
    pub input: &'a str,
    /// What hangs on the pair; none where nobody knows.
    pub network: Option<&'a Network>,
    /// The circuit's conductor, where the network says nothing else.
    pub gauge: Gauge,
    /// The job's units.
    pub units: UnitsShown,
    /// Contacts to be drawn switched, as places in the network's list of contacts.
    pub active: &'a [usize],
    /// The checker's marks, in the order of their weight.
    pub marks: &'a [CheckMark],
    /// How wide the drawing may be; one that cannot be so narrow is wider.
    pub width_mm: f64,
}

/// A checker's mark: a numbered triangle at a place, whose text stands in the notes under the same number.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CheckMark {
    /// Its number.
    pub number: usize,
    /// The place.
    pub place: MarkPlace,
    /// What is drawn there beside the triangle.
    pub sign: MarkSign,
}

/// A place in a circuit, as the engine names it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum MarkPlace {
    /// Between the input's terminals and the first element.
    Terminals,
    /// Ahead of a part of the network: in the wire before it, or where its branch leaves.
    Ahead(Node),
    /// At an element.
    Element(usize),
    /// At a contact, by its place in the network's list.
    Contact(usize),
    /// The circuit as a whole.
    Whole,
}

/// What is drawn at the place of a mark.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum MarkSign {
    /// A cloud around the place.
    Cloud,
    /// A lightning mark between the two legs: the pair shorted, or damp.
    Across,
    /// A lightning mark through the live leg: cut, or a bad joint.
    Through,
    /// The triangle alone.
    Triangle,
}

/// Draws a circuit.
///
/// The same request gives the same bytes. Whatever is in the network is drawn; what has no room goes on in a
/// new row, and a drawing that cannot be as narrow as asked for says its own width.
#[must_use]
pub fn circuit_picture(request: &CircuitRequest) -> Picture {
    let prepared = Prepared::new(request);
    let scale = prepared.scale(&[]);
    prepared.drawn(scale)
}

/// Draws several states of one circuit for one sheet, as found and as it shall be: all to one scale.
#[must_use]
pub fn circuit_pictures(requests: &[CircuitRequest]) -> Vec<Picture> {
    let all: Vec<Prepared> = requests.iter().map(Prepared::new).collect();
    // The state with the longest drawing says the scale, as the others then have room as well.
    let scales = all.iter().enumerate().map(|(at, one)| {
        let others: Vec<&Prepared> =
            all.iter().enumerate().filter(|(other, _)| *other != at).map(|(_, other)| other).collect();
        one.scale(&others)
    });
    let scale = scales.min_by(|one, other| one.per_unit.total_cmp(&other.per_unit));
    all.iter().filter_map(|one| Some(one.drawn(scale?))).collect()
}

/// A request with its network taken apart.
struct Prepared<'a> {
    request: &'a CircuitRequest<'a>,
    parts: Parts<'a>,
    items: Vec<Item>,
    clouded: Vec<usize>,
}

impl<'a> Prepared<'a> {
    fn new(request: &'a CircuitRequest<'a>) -> Self {
        let parts = Parts {
            network: request.network,
            gauge: request.gauge,
            units: request.units,
            active: request.active,
        };
        Self { request, parts, items: items(request.network), clouded: clouded(request) }
    }

    fn layout(&self, scale: Scale) -> Layout<'_> {
        let right = self.request.width_mm - 2.0 * MARGIN;
        Layout { parts: self.parts, scale, right, left: START, clouded: &self.clouded, gap: GAP }
    }

    fn reach(&self, scale: Scale) -> f64 {
        self.layout(scale).reach(&self.items, START)
    }

    /// The scale at which this one and all others have room.
    fn scale(&self, others: &[&Self]) -> Scale {
        let reach =
            |scale: &Scale| others.iter().map(|other| other.reach(*scale)).fold(self.reach(*scale), f64::max);
        chosen(&self.parts, &self.items, self.request.width_mm - 2.0 * MARGIN, &reach)
    }

    fn drawn(&self, scale: Scale) -> Picture {
        let Self { request, parts, items, .. } = self;
        let layout = self.layout(scale);
        let lane = layout.lane(items, START, 0);
        let mut sheet = Sheet::default();
        module_box(&mut sheet, request.input, lane.back);
        sheet.absorb(lane.sheet, 0.0, 0.0);
        at_module(&mut sheet, items, &layout, lane.back);
        checked(&mut sheet, request, &lane.places, Area::new(0.0, -OVER, BOX, lane.back + OVER));
        let area = sheet.area().unwrap_or(Area::new(0.0, 0.0, 1.0, 1.0)).grown(MARGIN);
        let view = Area { right_mm: area.right_mm.max(area.left_mm + request.width_mm), ..area };
        let description = described(request, items);
        sheet.picture(view, request.title, &description, scale.words(parts, items))
    }
}

/// Elements that a cloud will be drawn around.
fn clouded(request: &CircuitRequest) -> Vec<usize> {
    let contacts = request.network.map(Network::contacts).unwrap_or_default();
    let clouds = request.marks.iter().filter(|mark| mark.sign == MarkSign::Cloud);
    let elements = clouds.filter_map(|mark| match mark.place {
        MarkPlace::Element(element) => Some(element),
        MarkPlace::Contact(contact) => contacts.get(contact)?.elements.first().copied(),
        _ => None,
    });
    elements.collect()
}

/// The module's end: a box with the input's name and two terminals.
fn module_box(sheet: &mut Sheet, input: &str, back: f64) {
    let name = Type::lettering(3.2);
    let left = BOX - (name.width(input) + 1.0).max(BOX);
    sheet.text((f64::midpoint(left, BOX), -OVER - 2.0), input, name, Anchor::Middle);
    sheet.rectangle(Area::new(left.max(0.0), -OVER, BOX, back + OVER), Some(Stroke::OUTLINE), None);
    for y in [0.0, back] {
        sheet.line(&[(BOX, y), (START, y)], Stroke::OUTLINE);
        terminal(sheet, (BOX, y));
    }
}

/// Parts before the first cable sit at the module: a boundary line says so.
fn at_module(sheet: &mut Sheet, items: &[Item], layout: &Layout, back: f64) {
    let count = at_terminals(items);
    let end = layout.reach(&items[..count], START) - LEAD / 2.0;
    if count == 0 || count == items.len() || end > layout.right {
        return;
    }
    let stroke = Stroke::CONSTRUCTION.dashed(Dash::Chain);
    let bottom = back + OVER + 1.5;
    sheet.line(&[(0.0, bottom), (end, bottom), (end, -OVER - 1.5)], stroke);
    let kind = Type::lettering(2.6).coloured(Colour::Pencil);
    let places = [((0.0, bottom + 3.2), Anchor::Start), ((end - 1.0, -OVER - 2.5), Anchor::End)];
    let taken: Vec<Area> = sheet.lettering().into_iter().map(|line| line.area).collect();
    let free = |(at, anchor): &(Point, Anchor)| {
        let area = text_area(*at, AT_MODULE, kind, *anchor);
        !taken.iter().any(|other| other.meets(area))
    };
    if let Some((at, anchor)) = places.into_iter().find(free) {
        sheet.text(at, AT_MODULE, kind, anchor);
    }
}

fn described(request: &CircuitRequest, items: &[Item]) -> String {
    let from = if request.input.is_empty() { "its terminals" } else { request.input };
    let Some(network) = request.network else {
        return format!("The pair from {from}; what hangs on it is not known.");
    };
    let mut words = format!("The pair from {from}, in the notation of job files: {}.", network.written());
    let active: Vec<String> =
        request.active.iter().filter_map(|&at| Some(network.contacts().get(at)?.label())).collect();
    if !active.is_empty() {
        words.push_str(&format!(" Drawn switched: {}.", active.join(", ")));
    }
    if items.iter().any(|item| matches!(item, Item::Run { element: None })) {
        words.push_str(" The cable was not measured.");
    }
    if !request.marks.is_empty() {
        let numbers: Vec<String> = request.marks.iter().map(|mark| mark.number.to_string()).collect();
        words.push_str(&format!(" Marked for the notes: {}.", numbers.join(", ")));
    }
    words
}
