//! The band picture in SVG: what an input sees, on the one ohm scale that every page of a job shares.

use network::{Bounds, Meaning};
use quantity::{Ohms, Written};

use crate::ohm_sheet::Drawing;
use crate::svg::{Anchor, Area, Colour, Picture, Point, Sheet, Stroke, Type, text_area};
use crate::symbol::arrow;

/// The strip of bands.
const STRIP: f64 = 8.0;
/// A row of predicted readings.
const ROW: f64 = 5.4;
/// What slack takes below a row.
const SLACK: f64 = 6.4;
/// Bars are drawn at least so wide, and so high.
const LEAST_BAR: f64 = 1.6;
const BAR: f64 = 2.2;
/// A row's label is at most so wide; the states that it leaves out stand in the meter table.
const WIDEST: f64 = 88.0;
/// Levels that a measured value may climb.
const MAX_LEVELS: i32 = 40;
/// Rows of predicted readings before the rest is summed up.
const MAX_ROWS: usize = 12;

const NAME: Type = Type::text(2.8);
const LABEL: Type = Type::text(2.7);
const VALUE: Type = Type::figures(2.7);

/// What a band picture is asked for.
#[derive(Clone, Copy, Debug)]
pub struct BandRequest<'a> {
    /// For who cannot see it: `What input M1.7 sees`.
    pub title: &'a str,
    /// The input's bands, in rising order.
    pub bands: &'a [BandStrip],
    /// For a mode that learns: the value at which the bands' shares become ohms.
    pub learned: Option<Ohms>,
    /// Predicted readings, rest first.
    pub predicted: &'a [Predicted],
    /// Measured readings.
    pub measured: &'a [Measured],
    /// The width of the drawing.
    pub width_mm: f64,
}

/// A band of an input, in ohms or in shares of the learned value.
#[derive(Clone, PartialEq, Debug)]
pub struct BandStrip {
    /// Its name.
    pub name: String,
    /// What it means to the circuit.
    pub means: Option<Meaning>,
    /// What surely reads as this band.
    pub sure: Bounds,
}

/// A predicted reading.
#[derive(Clone, PartialEq, Debug)]
pub struct Predicted {
    /// The state: `at rest`, `leaf1 open`.
    pub state: String,
    /// Its range at the terminals.
    pub ohms: Bounds,
    /// Whether it is read as it should be; none where nothing could be said.
    pub ok: Option<bool>,
    /// Ohms to the band's edge below, where it is to be shown.
    pub slack_below: Option<Ohms>,
    /// Ohms to the band's edge above.
    pub slack_above: Option<Ohms>,
}

/// A measured reading.
#[derive(Clone, PartialEq, Debug)]
pub struct Measured {
    /// The value; infinite for over range.
    pub ohms: Ohms,
    /// As the meter showed it, and when: `2.21 kΩ as found`.
    pub words: String,
}

/// Draws what an input sees.
#[must_use]
pub fn band_picture(request: &BandRequest) -> Picture {
    let mut drawing = Drawing { sheet: Sheet::default(), width: request.width_mm };
    let factor = request.learned.map_or(1.0, |learned| learned.0);
    let bands: Vec<BandStrip> = request.bands.iter().map(|band| in_ohms(band, factor)).collect();
    let plumbs = drawing.values(request.measured);
    let names = drawing.outer_names(&bands);
    let strip = if names { 10.0 } else { 4.0 };
    drawing.strip(&bands, strip, &plumbs);
    let rows = grouped(request.predicted, &drawing);
    let mut y = strip + STRIP + 2.0;
    for row in &rows {
        y = drawing.row(row, &bands, y, &plumbs);
    }
    let hidden = request.predicted.len().saturating_sub(rows.iter().map(|row| row.states.len()).sum());
    if hidden > 0 {
        let words = format!("and {hidden} more states: see the meter table");
        drawing.sheet.text((0.0, y + 3.4), &words, LABEL.coloured(Colour::Pencil), Anchor::Start);
        y += ROW;
    }
    let lettered: Vec<Area> = drawing.sheet.lettering().into_iter().map(|line| line.area).collect();
    drawing.edges(&bands, (strip + STRIP, y + 1.5), &lettered);
    drawing.plumb_lines(&plumbs, y + 1.5, &lettered);
    drawing.axis(y + 1.5);
    let mut bottom = y + 10.0;
    if let Some(learned) = request.learned {
        let words = format!("Edges as they are at a learned value of {}.", learned.shown(3));
        bottom += 4.2;
        drawing.sheet.text((0.0, bottom - 1.4), &words, LABEL.coloured(Colour::Pencil), Anchor::Start);
    }
    let area = drawing.sheet.area().unwrap_or(Area::new(0.0, 0.0, 1.0, 1.0));
    let view = Area::new(
        area.left_mm.min(0.0) - 0.5,
        area.top_mm - 0.5,
        area.right_mm.max(request.width_mm) + 0.5,
        bottom.max(area.bottom_mm + 0.5),
    );
    drawing.sheet.picture(view, request.title, &described(request, &bands), String::new())
}

fn in_ohms(band: &BandStrip, factor: f64) -> BandStrip {
    let sure = Bounds { lo: band.sure.lo * factor, hi: band.sure.hi * factor };
    BandStrip { sure, ..band.clone() }
}

/// States that show the same reading, in one row.
struct Row<'a> {
    states: Vec<&'a str>,
    first: &'a Predicted,
}

fn grouped<'p>(predicted: &'p [Predicted], drawing: &Drawing) -> Vec<Row<'p>> {
    let mut rows: Vec<Row> = Vec::new();
    for one in predicted {
        let like = rows.iter().position(|row| {
            let other = row.first;
            let near = |one: f64, other: f64| (drawing.x(one) - drawing.x(other)).abs() < 0.4;
            let same = near(other.ohms.lo, one.ohms.lo) && near(other.ohms.hi, one.ohms.hi);
            same && other.ok == one.ok && one.slack_below.is_none() && one.slack_above.is_none()
        });
        match like {
            Some(at) => rows[at].states.push(&one.state),
            None if rows.len() < MAX_ROWS => rows.push(Row { states: vec![&one.state], first: one }),
            None => {}
        }
    }
    rows
}

impl Row<'_> {
    /// The states in words, as many as have room.
    fn words(&self, width: f64) -> String {
        let wrong = if self.first.ok == Some(false) { "wrong: " } else { "" };
        for count in (1..=self.states.len()).rev() {
            let left = self.states.len() - count;
            let more = if left > 0 { format!(" and {left} more") } else { String::new() };
            let words = format!("{wrong}{}{more}", self.states[..count].join(", "));
            if LABEL.width(&words) <= width || count == 1 {
                return words;
            }
        }
        String::new()
    }
}

struct Plumb {
    x: f64,
    /// The base line of its value.
    y: f64,
}

impl Drawing {
    /// Values of measured readings above the strip, none over another.
    ///
    /// From right to left, each to the right of its line on the lowest level that is free; to the left only
    /// where no line still to come would run into it.
    fn values(&mut self, measured: &[Measured]) -> Vec<Plumb> {
        let mut order: Vec<&Measured> = Vec::new();
        for reading in measured {
            if !order.contains(&reading) {
                order.push(reading);
            }
        }
        order.sort_by(|one, other| other.ohms.0.total_cmp(&one.ohms.0));
        let places: Vec<f64> = order.iter().map(|reading| self.measured_x(reading.ohms)).collect();
        let (mut texts, mut lines): (Vec<Area>, Vec<Area>) = (Vec::new(), Vec::new());
        let mut plumbs = Vec::new();
        for (at, reading) in order.iter().enumerate() {
            let (x, pending) = (places[at], &places[at + 1..]);
            let free = |y: f64| {
                let sides = [(x + 2.2, Anchor::Start), (x - 2.2, Anchor::End)];
                sides.into_iter().find_map(|(at, anchor)| {
                    let area = text_area((at, y), &reading.words, VALUE, anchor);
                    let inside = area.left_mm >= 0.0 && area.right_mm <= self.width;
                    let meets = |all: &[Area]| all.iter().any(|other| other.meets(area.grown(0.4)));
                    let runs_into = |x: &f64| area.left_mm - 1.4 < *x && *x < area.right_mm + 1.4;
                    let clear = !meets(&texts) && !meets(&lines) && !pending.iter().any(runs_into);
                    (inside && clear).then_some((area, at, anchor))
                })
            };
            let levels = (0..MAX_LEVELS).map(|level| -3.4 - f64::from(level) * 4.0);
            let found = levels.into_iter().find_map(|y| Some((y, free(y)?)));
            // A value wider than the picture stands at its left edge, above everything.
            let top = texts.iter().map(|area| area.top_mm).fold(0.0, f64::min);
            let (y, (area, at, anchor)) = found.unwrap_or_else(|| {
                let y = top - 1.5;
                (y, (text_area((0.0, y), &reading.words, VALUE, Anchor::Start), 0.0, Anchor::Start))
            });
            self.sheet.text((at, y), &reading.words, VALUE, anchor);
            texts.push(area);
            lines.push(Area::new(x - 1.4, y, x + 1.4, 0.0));
            plumbs.push(Plumb { x, y });
        }
        plumbs
    }

    /// Whether some band's name has to stand above the strip, and letters those that do.
    fn outer_names(&mut self, bands: &[BandStrip]) -> bool {
        let mut taken: Vec<Area> = self.sheet.boxes().collect();
        let mut any = false;
        for band in bands {
            let words = named(band);
            if self.inner_place(band).is_some() {
                continue;
            }
            any = true;
            let pieces = self.pieces(band.sure);
            let (from, to) = pieces
                .into_iter()
                .max_by(|one, other| (one.1 - one.0).total_cmp(&(other.1 - other.0)))
                .unwrap_or((0.0, 0.0));
            let middle = f64::midpoint(from, to);
            let mut y = 6.6;
            let half = NAME.width(&words) / 2.0;
            let at = middle.clamp(half, (self.width - half).max(half));
            let mut area = text_area((at, y), &words, NAME, Anchor::Middle);
            while taken.iter().any(|other| other.meets(area)) && y > -200.0 {
                y -= 3.6;
                area = text_area((at, y), &words, NAME, Anchor::Middle);
            }
            taken.push(area);
            self.sheet.text((at, y), &words, NAME, Anchor::Middle);
            self.sheet.line(&[(middle, y + 0.9), (middle, 10.0)], Stroke::CONSTRUCTION);
        }
        any
    }

    /// Where a band's name has room inside its strip.
    fn inner_place(&self, band: &BandStrip) -> Option<(f64, f64)> {
        let width = NAME.width(&named(band)) + 2.0;
        let pieces = self.pieces(band.sure).into_iter();
        let widest = pieces.max_by(|one, other| (one.1 - one.0).total_cmp(&(other.1 - other.0)))?;
        (widest.1 - widest.0 >= width).then_some(widest)
    }

    fn strip(&mut self, bands: &[BandStrip], top: f64, plumbs: &[Plumb]) {
        for part in 0..3 {
            let (from, to) = self.part(part);
            self.sheet.rectangle(Area::new(from, top, to, top + STRIP), Some(Stroke::OUTLINE), None);
        }
        for pair in bands.windows(2) {
            let zone = Bounds { lo: pair[0].sure.hi, hi: pair[1].sure.lo };
            for (from, to) in self.pieces(zone) {
                for x in [from, to] {
                    self.sheet.line(&[(x, top), (x, top + STRIP)], Stroke::OUTLINE);
                }
                self.hatch(Area::new(from, top, to, top + STRIP));
            }
        }
        for band in bands {
            if let Some((from, to)) = self.inner_place(band) {
                let x = clear_of(plumbs, (from, to), NAME.width(&named(band)) / 2.0 + 1.0);
                let at = (x, top + STRIP / 2.0 + 1.0);
                self.sheet.text(at, &named(band), NAME, Anchor::Middle);
            }
        }
    }

    /// One row of predicted readings; returns where the next begins.
    fn row(&mut self, row: &Row, bands: &[BandStrip], y: f64, plumbs: &[Plumb]) -> f64 {
        let wrong = row.first.ok == Some(false);
        let middle = y + ROW / 2.0;
        let mut ends: Option<(f64, f64)> = None;
        for (from, to) in self.pieces(row.first.ohms) {
            let spare = (LEAST_BAR - (to - from)).max(0.0) / 2.0;
            let (from, to) = (from - spare, to + spare);
            let area = Area::new(from, middle - BAR / 2.0, to, middle + BAR / 2.0);
            // A wrong one is hollow, so that it also reads without its colour.
            if wrong {
                self.sheet.rectangle(area, Some(Stroke::RED), Some(Colour::Paper));
            } else {
                self.sheet.rectangle(area, None, Some(Colour::Ink));
            }
            ends = Some(ends.map_or((from, to), |(left, _)| (left, to)));
        }
        let Some((left, right)) = ends else { return y };
        self.row_label(row, (left, right), middle, plumbs);
        self.slack(row.first, bands, f64::midpoint(left, right), (left, right), middle, y)
    }

    fn row_label(&mut self, row: &Row, (left, right): (f64, f64), middle: f64, plumbs: &[Plumb]) {
        let room = ((self.width - right - 2.0).min(WIDEST), (left - 2.0).min(WIDEST));
        let kind = if row.first.ok == Some(false) { LABEL.coloured(Colour::Red) } else { LABEL };
        let base = middle + 1.0;
        let words = row.words(room.0.max(room.1));
        let places =
            [((right + 1.5, base), Anchor::Start, room.0), ((left - 1.5, base), Anchor::End, room.1)];
        let fits = |&&(at, anchor, room): &&(Point, Anchor, f64)| {
            let area = text_area(at, &words, kind, anchor);
            kind.width(&words) <= room
                && !plumbs.iter().any(|plumb| area.left_mm <= plumb.x && plumb.x <= area.right_mm)
        };
        let clear = places.iter().find(fits);
        let (at, anchor, _) = clear.copied().unwrap_or(if room.0 >= room.1 { places[0] } else { places[1] });
        let words = row.words(if anchor == Anchor::Start { room.0 } else { room.1 });
        self.sheet.text(at, &words, kind, anchor);
    }

    /// Dimension lines from the bar to the edges of its band.
    fn slack(
        &mut self,
        predicted: &Predicted,
        bands: &[BandStrip],
        centre: f64,
        (left, right): (f64, f64),
        middle: f64,
        y: f64,
    ) -> f64 {
        if predicted.slack_below.is_none() && predicted.slack_above.is_none() {
            return y + ROW;
        }
        let holds =
            |band: &&BandStrip| band.sure.lo <= predicted.ohms.lo && predicted.ohms.hi <= band.sure.hi;
        let Some(band) = bands.iter().find(holds) else { return y + ROW };
        let line = middle + BAR / 2.0 + 1.6;
        let base = line + 3.4;
        let sides = [
            (predicted.slack_below, self.x(band.sure.lo), left, centre - 0.8, Anchor::End),
            (predicted.slack_above, self.x(band.sure.hi), right, centre + 0.8, Anchor::Start),
        ];
        for (slack, edge, bar, at, anchor) in sides {
            let Some(slack) = slack else { continue };
            self.sheet.line(&[(bar, line), (edge, line)], Stroke::DIMENSION);
            if (edge - bar).abs() > 4.2 {
                arrow(&mut self.sheet, (edge, line), (bar, line));
            }
            arrow(&mut self.sheet, (bar, line), (edge, line));
            self.sheet.line(&[(bar, middle + BAR / 2.0), (bar, line + 0.8)], Stroke::CONSTRUCTION);
            self.sheet.text((at, base), &ohms_shown_rounded(slack), VALUE, anchor);
        }
        y + ROW + SLACK - 2.0
    }

    /// The edges of the bands, carried down to the axis.
    fn edges(&mut self, bands: &[BandStrip], span: (f64, f64), lettered: &[Area]) {
        let stroke =
            Stroke { colour: Colour::Pencil, ..Stroke::CONSTRUCTION }.dashed(crate::svg::Dash::Dashed);
        for pair in bands.windows(2) {
            let ends = [self.x(pair[0].sure.hi), self.x(pair[1].sure.lo)];
            self.upright(ends[0], span, stroke, lettered);
            if ends[1] - ends[0] > 0.6 {
                self.upright(ends[1], span, stroke, lettered);
            }
        }
    }

    fn plumb_lines(&mut self, plumbs: &[Plumb], to: f64, lettered: &[Area]) {
        for plumb in plumbs {
            let (x, y) = (plumb.x, plumb.y);
            let bob = [(x - 1.3, y - 2.0), (x + 1.3, y - 2.0), (x, y + 0.6)];
            self.sheet.shape(&bob, None, Some(Colour::Ink));
            self.upright(x, (y, to), Stroke::DIMENSION, lettered);
        }
    }
}

/// Where a name of this half width stands in a strip clear of plumb lines; in the middle if nowhere.
fn clear_of(plumbs: &[Plumb], (from, to): (f64, f64), half: f64) -> f64 {
    let middle = f64::midpoint(from, to);
    let places = [middle, from + half, to - half, f64::midpoint(from, middle), f64::midpoint(middle, to)];
    let clear = |x: &f64| {
        let inside = x - half >= from - 1e-9 && x + half <= to + 1e-9;
        inside && !plumbs.iter().any(|plumb| (plumb.x - x).abs() < half)
    };
    places.into_iter().find(clear).unwrap_or(middle)
}

/// Slack to three figures.
fn ohms_shown_rounded(ohms: Ohms) -> String {
    ohms.shown(3)
}

/// `short: trouble`
fn named(band: &BandStrip) -> String {
    match band.means {
        Some(means) => format!("{}: {}", band.name, means.word()),
        None => band.name.clone(),
    }
}

fn described(request: &BandRequest, bands: &[BandStrip]) -> String {
    let range = |bounds: Bounds| quantity::Interval::new(Ohms(bounds.lo), Ohms(bounds.hi)).shown();
    let mut words: Vec<String> =
        bands.iter().map(|band| format!("{} surely from {}", named(band), range(band.sure))).collect();
    for one in request.predicted.iter().take(MAX_ROWS) {
        let verdict = match one.ok {
            Some(true) => ", right",
            Some(false) => ", wrong",
            None => "",
        };
        words.push(format!("{}: {}{verdict}", one.state, range(one.ohms)));
    }
    words.extend(request.measured.iter().map(|reading| format!("measured: {}", reading.words)));
    format!("{}.", words.join("; "))
}
