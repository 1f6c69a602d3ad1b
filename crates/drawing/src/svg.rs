//! The SVG pen: a sheet of lines and lettering in millimetres, written as an SVG of its own.
//!
//! Four line weights, few colours, no styles and no scripts: what any printer and any page can take. Numbers
//! are printed to a hundredth of a millimetre, so the same sheet is always the same bytes.

use std::fmt::Write as _;

pub(crate) use crate::area::Area;
use crate::text_width::{Face, text_width};

/// A drawing, ready to stand on a page or in a document.
#[derive(Clone, PartialEq, Debug)]
pub struct Picture {
    /// The whole SVG, with title and description; its user unit is the millimetre.
    pub svg: String,
    /// Its width in millimetres.
    pub width_mm: f64,
    /// Its height in millimetres.
    pub height_mm: f64,
    /// The scale for the title block: `1 m = 1.5 mm`, or what is not to scale; empty where there is none.
    pub scale_words: String,
    /// Where lettering stands, for whoever checks that nothing overlaps.
    pub lettering: Vec<Lettering>,
}

/// A line of lettering and the box that it takes at most.
#[derive(Clone, PartialEq, Debug)]
pub struct Lettering {
    /// The text.
    pub text: String,
    /// The box.
    pub area: Area,
}

/// A point in millimetres, `y` downwards.
pub(crate) type Point = (f64, f64);

/// The colours of `look.md`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Colour {
    Paper,
    Ink,
    Pencil,
    Red,
}

impl Colour {
    fn code(self) -> &'static str {
        match self {
            Self::Paper => "#FBF9F3",
            Self::Ink => "#17212B",
            Self::Pencil => "#6B7480",
            Self::Red => "#B3261E",
        }
    }
}

/// The four line weights of `look.md`, after ISO 128.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Weight {
    Construction,
    Dimension,
    Outline,
    Emphasis,
}

impl Weight {
    fn millimetres(self) -> &'static str {
        match self {
            Self::Construction => "0.18",
            Self::Dimension => "0.25",
            Self::Outline => "0.35",
            Self::Emphasis => "0.7",
        }
    }
}

/// Whole, or one of the standard's interrupted lines.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Dash {
    Whole,
    /// Hidden, not known.
    Dashed,
    /// A boundary.
    Chain,
}

/// How a line is drawn.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Stroke {
    pub(crate) weight: Weight,
    pub(crate) colour: Colour,
    pub(crate) dash: Dash,
}

impl Stroke {
    pub(crate) const OUTLINE: Self = Self::ink(Weight::Outline);
    pub(crate) const DIMENSION: Self = Self::ink(Weight::Dimension);
    pub(crate) const CONSTRUCTION: Self = Self::ink(Weight::Construction);
    pub(crate) const EMPHASIS: Self = Self::ink(Weight::Emphasis);
    pub(crate) const RED: Self = Self { weight: Weight::Outline, colour: Colour::Red, dash: Dash::Whole };

    pub(crate) const fn ink(weight: Weight) -> Self {
        Self { weight, colour: Colour::Ink, dash: Dash::Whole }
    }

    pub(crate) const fn dashed(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }
}

/// A step of a path; arcs are circular and turn clockwise on the sheet.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Step {
    To(Point),
    Line(Point),
    Arc { radius: f64, to: Point },
    Close,
}

/// Where a line of lettering is held.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// Type: face, size and colour.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Type {
    pub(crate) face: Face,
    pub(crate) size: f64,
    pub(crate) colour: Colour,
}

impl Type {
    pub(crate) const fn lettering(size: f64) -> Self {
        Self { face: Face::Lettering, size, colour: Colour::Ink }
    }

    pub(crate) const fn text(size: f64) -> Self {
        Self { face: Face::Text, size, colour: Colour::Ink }
    }

    pub(crate) const fn figures(size: f64) -> Self {
        Self { face: Face::Figures, size, colour: Colour::Ink }
    }

    pub(crate) const fn coloured(self, colour: Colour) -> Self {
        Self { colour, ..self }
    }

    pub(crate) fn width(self, text: &str) -> f64 {
        text_width(text, self.face, self.size)
    }
}

#[derive(Clone, PartialEq, Debug)]
enum Mark {
    Path { steps: Vec<Step>, stroke: Option<Stroke>, fill: Option<Colour> },
    Circle { centre: Point, radius: f64, stroke: Option<Stroke>, fill: Option<Colour> },
    Text { at: Point, text: String, kind: Type, anchor: Anchor },
}

/// Shapes on a sheet, in the order in which they are drawn.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Sheet {
    marks: Vec<Mark>,
}

/// How far a line of lettering reaches above and below its base line, in parts of its size.
const ABOVE_BASE: f64 = 0.8;
const BELOW_BASE: f64 = 0.22;

impl Sheet {
    pub(crate) fn path(&mut self, steps: Vec<Step>, stroke: Option<Stroke>, fill: Option<Colour>) {
        self.marks.push(Mark::Path { steps, stroke, fill });
    }

    pub(crate) fn line(&mut self, points: &[Point], stroke: Stroke) {
        self.path(steps(points, false), Some(stroke), None);
    }

    pub(crate) fn shape(&mut self, points: &[Point], stroke: Option<Stroke>, fill: Option<Colour>) {
        self.path(steps(points, true), stroke, fill);
    }

    pub(crate) fn rectangle(&mut self, area: Area, stroke: Option<Stroke>, fill: Option<Colour>) {
        let Area { left_mm, top_mm, right_mm, bottom_mm } = area;
        let corners = [(left_mm, top_mm), (right_mm, top_mm), (right_mm, bottom_mm), (left_mm, bottom_mm)];
        self.shape(&corners, stroke, fill);
    }

    /// Filled rectangles as one shape: a square code has hundreds, and each shape of its own costs a reader time.
    pub(crate) fn rectangles(&mut self, areas: &[Area], fill: Colour) {
        let outline = |area: &Area| {
            let Area { left_mm, top_mm, right_mm, bottom_mm } = *area;
            steps(&[(left_mm, top_mm), (right_mm, top_mm), (right_mm, bottom_mm), (left_mm, bottom_mm)], true)
        };
        self.path(areas.iter().flat_map(outline).collect(), None, Some(fill));
    }

    pub(crate) fn circle(
        &mut self,
        centre: Point,
        radius: f64,
        stroke: Option<Stroke>,
        fill: Option<Colour>,
    ) {
        self.marks.push(Mark::Circle { centre, radius, stroke, fill });
    }

    /// A joint: the filled dot of IEC 60617.
    pub(crate) fn dot(&mut self, centre: Point) {
        self.circle(centre, 0.75, None, Some(Colour::Ink));
    }

    pub(crate) fn text(&mut self, at: Point, text: &str, kind: Type, anchor: Anchor) {
        if !text.is_empty() {
            self.marks.push(Mark::Text { at, text: text.to_owned(), kind, anchor });
        }
    }

    /// Takes over all of another sheet, moved.
    pub(crate) fn absorb(&mut self, other: Self, dx: f64, dy: f64) {
        self.marks.extend(other.marks.into_iter().map(|mark| mark.moved(dx, dy)));
    }

    /// The box of everything on it; none for an empty sheet.
    pub(crate) fn area(&self) -> Option<Area> {
        self.marks.iter().map(Mark::area).reduce(Area::hull)
    }

    /// Every line of lettering with its box.
    pub(crate) fn lettering(&self) -> Vec<Lettering> {
        let lines = self.marks.iter().filter_map(|mark| match mark {
            Mark::Text { text, .. } => Some(Lettering { text: text.clone(), area: mark.area() }),
            _ => None,
        });
        lines.collect()
    }

    /// The boxes of everything that lettering must keep clear of.
    pub(crate) fn boxes(&self) -> impl Iterator<Item = Area> {
        self.marks.iter().map(Mark::area)
    }

    /// Writes the sheet, all that lies within `view`.
    pub(crate) fn picture(&self, view: Area, title: &str, description: &str, scale_words: String) -> Picture {
        let width = view.right_mm - view.left_mm;
        let height = view.bottom_mm - view.top_mm;
        let mut svg = String::new();
        // Writing to a string cannot fail.
        let _ = write!(
            svg,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" \
             viewBox=\"{x} {y} {w} {h}\" role=\"img\">\n<title>{}</title>\n<desc>{}</desc>\n",
            escaped(title),
            escaped(description),
            x = number(view.left_mm),
            y = number(view.top_mm),
            w = number(width),
            h = number(height),
        );
        svg.push_str("<g stroke-linecap=\"round\" stroke-linejoin=\"round\">\n");
        for mark in gathered(&self.marks) {
            mark.write(&mut svg);
        }
        svg.push_str("</g>\n</svg>\n");
        let lettering = self.lettering().into_iter();
        let lettering = lettering
            .map(|line| Lettering { area: line.area.moved(-view.left_mm, -view.top_mm), ..line })
            .collect();
        Picture { svg, width_mm: width, height_mm: height, scale_words, lettering }
    }
}

/// The marks with all lines of one pen as one path, as far as nothing is painted over them in between: hatching and
/// scales have dozens of lines, and each mark of its own costs a reader room and time.
fn gathered(marks: &[Mark]) -> Vec<Mark> {
    let mut all: Vec<Mark> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    for mark in marks {
        match mark {
            Mark::Path { steps, stroke, fill: None } => {
                let same =
                    |at: &&usize| matches!(&all[**at], Mark::Path { stroke: other, .. } if other == stroke);
                if let Some(&at) = open.iter().find(same) {
                    if let Mark::Path { steps: before, .. } = &mut all[at] {
                        before.extend(steps);
                    }
                    continue;
                }
                open.push(all.len());
            }
            Mark::Path { fill: Some(Colour::Paper), .. } | Mark::Circle { fill: Some(Colour::Paper), .. } => {
                open.clear();
            }
            _ => {}
        }
        all.push(mark.clone());
    }
    all
}

fn steps(points: &[Point], closed: bool) -> Vec<Step> {
    let mut steps: Vec<Step> = points
        .iter()
        .enumerate()
        .map(|(at, &point)| if at == 0 { Step::To(point) } else { Step::Line(point) })
        .collect();
    if closed {
        steps.push(Step::Close);
    }
    steps
}

impl Mark {
    fn moved(mut self, dx: f64, dy: f64) -> Self {
        let shift = |point: &mut Point| *point = (point.0 + dx, point.1 + dy);
        match &mut self {
            Self::Path { steps, .. } => {
                for step in steps {
                    match step {
                        Step::To(point) | Step::Line(point) | Step::Arc { to: point, .. } => shift(point),
                        Step::Close => {}
                    }
                }
            }
            Self::Circle { centre, .. } => shift(centre),
            Self::Text { at, .. } => shift(at),
        }
        self
    }

    fn area(&self) -> Area {
        match self {
            Self::Path { steps, .. } => {
                let boxes = steps.iter().filter_map(|step| match *step {
                    Step::To((x, y)) | Step::Line((x, y)) => Some(Area::new(x, y, x, y)),
                    Step::Arc { radius, to: (x, y) } => Some(Area::new(x, y, x, y).grown(radius)),
                    Step::Close => None,
                });
                boxes.reduce(Area::hull).unwrap_or(Area::new(0.0, 0.0, 0.0, 0.0))
            }
            Self::Circle { centre: (x, y), radius, .. } => Area::new(*x, *y, *x, *y).grown(*radius),
            Self::Text { at, text, kind, anchor } => text_area(*at, text, *kind, *anchor),
        }
    }

    fn write(&self, svg: &mut String) {
        match self {
            Self::Path { steps, stroke, fill } => {
                svg.push_str("<path d=\"");
                for step in steps {
                    step.write(svg);
                }
                svg.push('"');
                write_paint(svg, *stroke, *fill);
            }
            Self::Circle { centre, radius, stroke, fill } => {
                let _ = write!(
                    svg,
                    "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"",
                    number(centre.0),
                    number(centre.1),
                    number(*radius)
                );
                write_paint(svg, *stroke, *fill);
            }
            Self::Text { at, text, kind, anchor } => write_text(svg, *at, text, *kind, *anchor),
        }
    }
}

/// The box of a line of lettering.
pub(crate) fn text_area(at: Point, text: &str, kind: Type, anchor: Anchor) -> Area {
    let width = kind.width(text);
    let left = match anchor {
        Anchor::Start => at.0,
        Anchor::Middle => at.0 - width / 2.0,
        Anchor::End => at.0 - width,
    };
    Area::new(left, at.1 - ABOVE_BASE * kind.size, left + width, at.1 + BELOW_BASE * kind.size)
}

impl Step {
    fn write(self, svg: &mut String) {
        let _ = match self {
            Self::To((x, y)) => write!(svg, "M{} {}", number(x), number(y)),
            Self::Line((x, y)) => write!(svg, "L{} {}", number(x), number(y)),
            Self::Arc { radius, to: (x, y) } => {
                write!(svg, "A{r} {r} 0 0 1 {} {}", number(x), number(y), r = number(radius))
            }
            Self::Close => write!(svg, "Z"),
        };
    }
}

fn write_paint(svg: &mut String, stroke: Option<Stroke>, fill: Option<Colour>) {
    let _ = write!(svg, " fill=\"{}\"", fill.map_or("none", Colour::code));
    if let Some(Stroke { weight, colour, dash }) = stroke {
        let _ = write!(svg, " stroke=\"{}\" stroke-width=\"{}\"", colour.code(), weight.millimetres());
        match dash {
            Dash::Whole => {}
            Dash::Dashed => svg.push_str(" stroke-dasharray=\"2 1.2\""),
            Dash::Chain => svg.push_str(" stroke-dasharray=\"4 1 0.3 1\""),
        }
    }
    svg.push_str("/>\n");
}

fn write_text(svg: &mut String, at: Point, text: &str, kind: Type, anchor: Anchor) {
    let anchor = match anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    // B612 has no thin space; a blank that does not break stands in.
    let text =
        if kind.face == Face::Lettering { text.to_owned() } else { text.replace('\u{2009}', "\u{a0}") };
    let _ = writeln!(
        svg,
        "<text x=\"{}\" y=\"{}\" font-family=\"{}\" font-size=\"{}\" fill=\"{}\"{anchor}>{}</text>",
        number(at.0),
        number(at.1),
        kind.face.families(),
        number(kind.size),
        kind.colour.code(),
        escaped(&text)
    );
}

/// To a hundredth of a millimetre, without needless zeros and without a minus zero.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Text as XML takes it; characters that XML has no place for become the replacement sign.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_have_no_minus_zero() {
        for (value, text) in [(0.0, "0"), (-0.001, "0"), (1.5, "1.5"), (12.345, "12.35"), (100.0, "100")] {
            assert_eq!(number(value), text, "{value}");
        }
    }

    #[test]
    fn text_is_escaped() {
        assert_eq!(escaped("a<b & \"c\"\u{1}\n"), "a&lt;b &amp; &quot;c&quot;\u{fffd} ");
    }
}
