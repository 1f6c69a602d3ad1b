//! The band picture in SVG: what an input sees, on the one ohm scale that every page of a job shares.

use network::{Bounds, Meaning};
use quantity::{Ohms, Written};

use crate::parts::ohms_shown;
use crate::scale::{SCALE_FROM, SCALE_TO, Spot};
use crate::svg::{Anchor, Area, Colour, Picture, Point, Sheet, Stroke, Type, text_area};
use crate::symbol::arrow;

/// The boxes at both ends.
const BOX: f64 = 14.0;
const BETWEEN: f64 = 4.0;
/// The strip of bands.
const STRIP: f64 = 8.0;
/// A row of predicted readings.
const ROW: f64 = 5.4;
/// What slack takes below a row.
const SLACK: f64 = 6.4;
/// Bars are drawn at least so wide, and so high.
const LEAST_BAR: f64 = 1.6;
const BAR: f64 = 2.2;
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
    drawing.strip(&bands, strip);
    let rows = grouped(request.predicted);
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
    drawing.edges(&bands, strip + STRIP, y + 1.5);
    drawing.plumb_lines(&plumbs, y + 1.5);
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

fn grouped(predicted: &[Predicted]) -> Vec<Row<'_>> {
    let mut rows: Vec<Row> = Vec::new();
    for one in predicted {
        let like = rows.iter().position(|row| {
            let other = row.first;
            let shown = |bounds: Bounds| (Ohms(bounds.lo).shown(3), Ohms(bounds.hi).shown(3));
            other.ok == one.ok && shown(other.ohms) == shown(one.ohms)
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

struct Drawing {
    sheet: Sheet,
    width: f64,
}

impl Drawing {
    fn part(&self, part: usize) -> (f64, f64) {
        let scale = (BOX + BETWEEN, self.width - BOX - BETWEEN);
        [(0.0, BOX), scale, (self.width - BOX, self.width)][part.min(2)]
    }

    fn x(&self, ohms: f64) -> f64 {
        let (part, share) = match Spot::of(Ohms(ohms)) {
            Spot::NearZero(share) => (0, share),
            Spot::Scale(share) => (1, share),
            Spot::Open(share) => (2, share),
        };
        let (from, to) = self.part(part);
        from + (to - from) * share
    }

    /// The pieces of a range, one for each part of the scale that it touches.
    fn pieces(&self, ohms: Bounds) -> Vec<(f64, f64)> {
        let (lo, hi) = (self.x(ohms.lo), self.x(ohms.hi));
        let parts = (0..3).map(|part| self.part(part));
        parts.filter(|(from, to)| lo <= *to && hi >= *from).map(|(from, to)| (lo.max(from), hi.min(to))).collect()
    }

    /// Values of measured readings above the strip, none over another.
    fn values(&mut self, measured: &[Measured]) -> Vec<Plumb> {
        let mut order: Vec<&Measured> = measured.iter().collect();
        order.sort_by(|one, other| one.ohms.0.total_cmp(&other.ohms.0));
        let mut taken: Vec<Area> = Vec::new();
        let mut plumbs = Vec::new();
        for reading in order.into_iter().rev() {
            let x = self.x(reading.ohms.0);
            let width = VALUE.width(&reading.words);
            let mut y = -3.4;
            loop {
                let right = text_area((x + 2.2, y), &reading.words, VALUE, Anchor::Start);
                let left = text_area((x - 2.2, y), &reading.words, VALUE, Anchor::End);
                let line = Area::new(x - 1.4, y, x + 1.4, 0.0);
                let free = |area: Area| !taken.iter().any(|other| other.meets(area.grown(0.4)));
                let choice = [(right, Anchor::Start, x + 2.2), (left, Anchor::End, x - 2.2)];
                let choice = choice.into_iter().find(|(area, ..)| {
                    free(*area) && free(line) && area.left_mm >= 0.0 && area.right_mm <= self.width
                });
                if let Some((area, anchor, at)) = choice {
                    self.sheet.text((at, y), &reading.words, VALUE, anchor);
                    taken.push(area);
                    taken.push(line);
                    break;
                }
                y -= 4.0;
                if y < -200.0 || width > self.width {
                    self.sheet.text((0.0, y), &reading.words, VALUE, Anchor::Start);
                    break;
                }
            }
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
            let (from, to) = pieces.into_iter().max_by(|one, other| (one.1 - one.0).total_cmp(&(other.1 - other.0))).unwrap_or((0.0, 0.0));
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
    fn inner_place(&self, band: &BandStrip) -> Option<f64> {
        let width = NAME.width(&named(band)) + 2.0;
        let pieces = self.pieces(band.sure).into_iter();
        let widest = pieces.max_by(|one, other| (one.1 - one.0).total_cmp(&(other.1 - other.0)))?;
        (widest.1 - widest.0 >= width).then(|| f64::midpoint(widest.0, widest.1))
    }

    fn strip(&mut self, bands: &[BandStrip], top: f64) {
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
            if let Some(x) = self.inner_place(band) {
                let at = (x, top + STRIP / 2.0 + 1.0);
                self.sheet.text(at, &named(band), NAME, Anchor::Middle);
            }
        }
    }

    /// Hatching at 45 degrees: what the tolerance of the edge takes away.
    fn hatch(&mut self, area: Area) {
        let height = area.bottom_mm - area.top_mm;
        let width = area.right_mm - area.left_mm;
        let mut start = -height;
        while start < width {
            let from = start.max(0.0);
            let to = (start + height).min(width);
            if to > from {
                let at = |along: f64| -> Point { (area.left_mm + along, area.bottom_mm - (along - start)) };
                self.sheet.line(&[at(from), at(to)], Stroke::CONSTRUCTION);
            }
            start += 1.1;
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
        let room = (self.width - right - 2.0, left - 2.0);
        let kind = if row.first.ok == Some(false) { LABEL.coloured(Colour::Red) } else { LABEL };
        let base = middle + 1.0;
        let words = row.words(room.0.max(room.1));
        let places = [((right + 1.5, base), Anchor::Start, room.0), ((left - 1.5, base), Anchor::End, room.1)];
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
        let holds = |band: &&BandStrip| {
            band.sure.lo <= predicted.ohms.lo && predicted.ohms.hi <= band.sure.hi
        };
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
    fn edges(&mut self, bands: &[BandStrip], from: f64, to: f64) {
        let stroke = Stroke { colour: Colour::Pencil, ..Stroke::CONSTRUCTION }.dashed(crate::svg::Dash::Dashed);
        for pair in bands.windows(2) {
            let ends = [self.x(pair[0].sure.hi), self.x(pair[1].sure.lo)];
            self.sheet.line(&[(ends[0], from), (ends[0], to)], stroke);
            if ends[1] - ends[0] > 0.6 {
                self.sheet.line(&[(ends[1], from), (ends[1], to)], stroke);
            }
        }
    }

    fn plumb_lines(&mut self, plumbs: &[Plumb], to: f64) {
        for plumb in plumbs {
            let (x, y) = (plumb.x, plumb.y);
            let bob = [(x - 1.3, y - 2.0), (x + 1.3, y - 2.0), (x, y + 0.6)];
            self.sheet.shape(&bob, None, Some(Colour::Ink));
            self.sheet.line(&[(x, y), (x, to)], Stroke::DIMENSION);
        }
    }

    fn axis(&mut self, y: f64) {
        let figures = Type::figures(2.6);
        for (part, name) in [(0, "0"), (2, "open")] {
            let (from, to) = self.part(part);
            self.sheet.line(&[(from, y), (to, y)], Stroke::DIMENSION);
            self.sheet.text((f64::midpoint(from, to), y + 6.0), name, figures, Anchor::Middle);
        }
        let (from, to) = self.part(1);
        self.sheet.line(&[(from, y), (to, y)], Stroke::DIMENSION);
        let mut decade = SCALE_FROM.0;
        while decade < SCALE_TO.0 * 1.01 {
            let x = self.x(decade);
            self.sheet.line(&[(x, y), (x, y + 2.4)], Stroke::DIMENSION);
            let words = ohms_shown(Ohms(decade));
            self.sheet.text((x, y + 6.0), &words, figures, Anchor::Middle);
            for step in 2..10 {
                let x = self.x(decade * f64::from(step));
                if decade * f64::from(step) < SCALE_TO.0 {
                    self.sheet.line(&[(x, y), (x, y + 1.2)], Stroke::CONSTRUCTION);
                }
            }
            decade *= 10.0;
        }
    }
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
