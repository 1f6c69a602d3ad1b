//! The symbols of circuit diagrams, drawn by us after the open standard IEC 60617.
//!
//! Each is drawn along its own axis, from its first lead at 0 to its second at its length, and lies along a
//! leg or stands between the two. To add one: give it a length and a half width in [`Symbol::size`] and its
//! lines in [`Symbol::draw`].

use network::{Form, Part};

use crate::svg::{Anchor, Area, Colour, Point, Sheet, Step, Stroke, Type};

/// What can be drawn.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Symbol {
    /// A contact, at rest or switched.
    Contact {
        form: Form,
        active: bool,
    },
    Resistor,
    /// A two-wire smoke detector, quiet or in alarm.
    Smoke,
    Sounder,
    Joint,
    Diode,
    Capacitor,
    /// A plain lead.
    Lead,
    /// Nothing joins the two sides.
    Gap,
}

/// How much room a symbol takes, in millimetres.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Size {
    /// From lead to lead.
    pub(crate) length: f64,
    /// To the left of its axis when it stands, above it when it lies.
    pub(crate) above: f64,
    /// To the other side.
    pub(crate) below: f64,
}

impl Symbol {
    /// The symbol of an element; none for cable.
    pub(crate) fn of(part: &Part, active: bool) -> Self {
        match part {
            Part::Contact { form, .. } => Self::Contact { form: *form, active },
            Part::Resistor { .. } => Self::Resistor,
            Part::Smoke(_) => Self::Smoke,
            Part::Sounder(_) => Self::Sounder,
            Part::Joint(_) => Self::Joint,
            Part::Diode => Self::Diode,
            Part::Capacitor(_) => Self::Capacitor,
            Part::Open => Self::Gap,
            Part::Wire(_) | Part::Core(_) | Part::Joined => Self::Lead,
        }
    }

    pub(crate) fn size(self) -> Size {
        let (length, above, below) = match self {
            Self::Contact { active: true, .. } => (8.4, 3.9, 0.6),
            Self::Contact { .. } => (8.4, 2.9, 0.6),
            Self::Resistor => (9.0, 1.4, 1.4),
            Self::Smoke => (10.0, 3.8, 3.8),
            Self::Sounder => (9.0, 3.4, 1.8),
            Self::Joint => (3.0, 0.8, 0.8),
            Self::Diode => (7.0, 1.8, 1.8),
            Self::Capacitor => (6.0, 2.4, 2.4),
            Self::Lead => (3.0, 0.3, 0.3),
            Self::Gap => (6.0, 0.9, 0.9),
        };
        Size { length, above, below }
    }

    /// Draws it from `at`, to the right or, standing, downwards.
    pub(crate) fn draw(self, sheet: &mut Sheet, at: Point, standing: bool) {
        let mut pen = Pen { sheet, at, standing };
        match self {
            Self::Contact { form, active } => contact(&mut pen, form, active),
            Self::Resistor => resistor(&mut pen),
            Self::Smoke => smoke(&mut pen),
            Self::Sounder => sounder(&mut pen),
            Self::Joint => {
                pen.line(&[(0.0, 0.0), (3.0, 0.0)], Stroke::OUTLINE);
                pen.dot((1.5, 0.0));
            }
            Self::Diode => diode(&mut pen),
            Self::Capacitor => capacitor(&mut pen),
            Self::Lead => pen.line(&[(0.0, 0.0), (3.0, 0.0)], Stroke::OUTLINE),
            Self::Gap => gap(&mut pen),
        }
    }
}

/// A sheet seen along the symbol's axis.
struct Pen<'s> {
    sheet: &'s mut Sheet,
    at: Point,
    standing: bool,
}

impl Pen<'_> {
    fn place(&self, (along, beside): Point) -> Point {
        if self.standing {
            (self.at.0 + beside, self.at.1 + along)
        } else {
            (self.at.0 + along, self.at.1 + beside)
        }
    }

    fn line(&mut self, points: &[Point], stroke: Stroke) {
        let points: Vec<Point> = points.iter().map(|&point| self.place(point)).collect();
        self.sheet.line(&points, stroke);
    }

    fn shape(&mut self, points: &[Point], stroke: Option<Stroke>, fill: Option<Colour>) {
        let points: Vec<Point> = points.iter().map(|&point| self.place(point)).collect();
        self.sheet.shape(&points, stroke, fill);
    }

    fn dot(&mut self, at: Point) {
        self.sheet.dot(self.place(at));
    }

    /// The two leads, up to the body and from it.
    fn leads(&mut self, body: (f64, f64), length: f64) {
        self.line(&[(0.0, 0.0), (body.0, 0.0)], Stroke::OUTLINE);
        self.line(&[(body.1, 0.0), (length, 0.0)], Stroke::OUTLINE);
    }
}

/// Make contact and break contact (IEC 60617, S00227 and S00229); a switched one has a heavy blade.
fn contact(pen: &mut Pen, form: Form, active: bool) {
    let (pivot, fixed) = (1.3, 6.7);
    pen.leads((pivot, fixed), 8.4);
    let blade = if active { Stroke::EMPHASIS } else { Stroke::OUTLINE };
    let tip = match (form, active) {
        (Form::NormallyClosed, false) => (7.4, -2.26),
        (Form::NormallyClosed, true) => (6.1, -3.8),
        (Form::NormallyOpen, false) => (6.3, -2.8),
        (Form::NormallyOpen, true) => (fixed, 0.0),
    };
    if form == Form::NormallyClosed {
        pen.line(&[(fixed, 0.0), (fixed, -2.0)], Stroke::OUTLINE);
    }
    pen.line(&[(pivot, 0.0), tip], blade);
}

fn resistor(pen: &mut Pen) {
    pen.leads((1.5, 7.5), 9.0);
    let body = [(1.5, -1.1), (7.5, -1.1), (7.5, 1.1), (1.5, 1.1)];
    pen.shape(&body, Some(Stroke::OUTLINE), Some(Colour::Paper));
}

/// A square for the detector with the sign for smoke in it: after ISO 6790, as IEC 60617 has none.
fn smoke(pen: &mut Pen) {
    pen.leads((1.5, 8.5), 10.0);
    let body = [(1.5, -3.5), (8.5, -3.5), (8.5, 3.5), (1.5, 3.5)];
    pen.shape(&body, Some(Stroke::OUTLINE), Some(Colour::Paper));
    let (x, y) = pen.place((5.0, 0.0));
    let wave =
        |x: f64| vec![Step::To((x, y + 2.2)), Step::Arc { radius: 1.1, to: (x, y) }, Step::Line((x, y))];
    for shift in [-1.3, 0.5] {
        let x = x + shift;
        pen.sheet.path(wave(x), Some(Stroke::DIMENSION), None);
        let back = vec![Step::To((x, y - 2.2)), Step::Arc { radius: 1.1, to: (x, y) }];
        pen.sheet.path(back, Some(Stroke::DIMENSION), None);
    }
}

/// A sounder: a half disc on its base line; the plus says that it is polarised.
fn sounder(pen: &mut Pen) {
    pen.leads((2.0, 7.0), 9.0);
    pen.line(&[(2.0, 0.0), (7.0, 0.0)], Stroke::OUTLINE);
    let (from, to) = (pen.place((2.0, 0.0)), pen.place((7.0, 0.0)));
    let (from, to) = if pen.standing { (to, from) } else { (from, to) };
    let bow = vec![Step::To(from), Step::Arc { radius: 2.5, to }, Step::Close];
    pen.sheet.path(bow, Some(Stroke::OUTLINE), Some(Colour::Paper));
    let at = pen.place(if pen.standing { (2.4, 1.3) } else { (0.9, -0.7) });
    pen.sheet.text(at, "+", Type::lettering(2.6), Anchor::Middle);
}

fn diode(pen: &mut Pen) {
    pen.leads((2.0, 5.0), 7.0);
    pen.shape(&[(2.0, -1.6), (5.0, 0.0), (2.0, 1.6)], Some(Stroke::OUTLINE), Some(Colour::Paper));
    pen.line(&[(2.0, 0.0), (5.0, 0.0)], Stroke::OUTLINE);
    pen.line(&[(5.0, -1.6), (5.0, 1.6)], Stroke::OUTLINE);
}

fn capacitor(pen: &mut Pen) {
    pen.leads((2.4, 3.6), 6.0);
    for along in [2.4, 3.6] {
        pen.line(&[(along, -2.2), (along, 2.2)], Stroke::OUTLINE);
    }
}

fn gap(pen: &mut Pen) {
    pen.leads((0.8, 5.2), 6.0);
    for along in [0.8, 5.2] {
        let at = pen.place((along, 0.0));
        pen.sheet.circle(at, 0.7, Some(Stroke::OUTLINE), Some(Colour::Paper));
    }
}

/// A terminal: a small circle (IEC 60617, S00017).
pub(crate) fn terminal(sheet: &mut Sheet, at: Point) {
    sheet.circle(at, 0.9, Some(Stroke::OUTLINE), Some(Colour::Paper));
}

/// An arrow of a dimension line that points from `from` to `to`, its tip at `to`.
pub(crate) fn arrow(sheet: &mut Sheet, from: Point, to: Point) {
    const LENGTH: f64 = 2.0;
    const HALF: f64 = 0.35;
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy);
    if length <= 0.0 {
        return;
    }
    let (ux, uy) = (dx / length, dy / length);
    let foot = (to.0 - ux * LENGTH, to.1 - uy * LENGTH);
    let wings = [to, (foot.0 - uy * HALF, foot.1 + ux * HALF), (foot.0 + uy * HALF, foot.1 - ux * HALF)];
    sheet.shape(&wings, None, Some(Colour::Ink));
}

/// A checker's triangle with its number, its box centred on `at`.
pub(crate) fn triangle(sheet: &mut Sheet, at: Point, number: &str) -> Area {
    let area = Area::new(at.0 - 3.2, at.1 - 2.9, at.0 + 3.2, at.1 + 2.7);
    let corners = [(at.0, area.top_mm), (area.right_mm, area.bottom_mm), (area.left_mm, area.bottom_mm)];
    sheet.shape(&corners, Some(Stroke::RED), Some(Colour::Paper));
    let size = if number.len() > 1 { 2.1 } else { 2.8 };
    sheet.text(
        (at.0, area.bottom_mm - 0.9),
        number,
        Type::lettering(size).coloured(Colour::Red),
        Anchor::Middle,
    );
    area
}

/// The lightning mark of a fault between two points.
pub(crate) fn lightning(sheet: &mut Sheet, from: Point, to: Point) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let at = |share: f64, beside: f64| {
        let length = dx.hypot(dy).max(1e-6);
        (from.0 + dx * share - dy / length * beside, from.1 + dy * share + dx / length * beside)
    };
    let stroke = Stroke { weight: crate::svg::Weight::Emphasis, ..Stroke::RED };
    sheet.line(&[from, at(0.58, 1.5), at(0.42, -1.5), to], stroke);
}

/// The checker's cloud around a box.
pub(crate) fn cloud(sheet: &mut Sheet, area: Area) {
    let bows = |length: f64| ((length / 3.4).round() as usize).max(2);
    let (across, down) = (bows(area.right_mm - area.left_mm), bows(area.bottom_mm - area.top_mm));
    let step = ((area.right_mm - area.left_mm) / across as f64, (area.bottom_mm - area.top_mm) / down as f64);
    let mut at = (area.left_mm, area.top_mm);
    let mut path = vec![Step::To(at)];
    let sides =
        [(across, (step.0, 0.0)), (down, (0.0, step.1)), (across, (-step.0, 0.0)), (down, (0.0, -step.1))];
    for (count, (dx, dy)) in sides {
        for _ in 0..count {
            at = (at.0 + dx, at.1 + dy);
            path.push(Step::Arc { radius: dx.hypot(dy) * 0.56, to: at });
        }
    }
    path.push(Step::Close);
    sheet.path(path, Some(Stroke::RED), None);
}
