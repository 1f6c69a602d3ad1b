//! Lengths of cable on the sheet: the scale, what is drawn to it and what cannot be.

use crate::chain::Item;
use crate::parts::{Known, Parts};
use crate::svg::{Anchor, Dash, Sheet, Stroke, Type};
use crate::symbol::arrow;

/// Lettering of dimensions.
pub(crate) const DIMENSION: Type = Type::lettering(3.0);

/// Millimetres on the sheet for a metre or a foot of cable, from large to small.
const SCALES: [f64; 22] = [
    4.0, 3.0, 2.5, 2.0, 1.5, 1.2, 1.0, 0.8, 0.6, 0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.12, 0.1, 0.08, 0.06, 0.05,
    0.04, 0.03,
];

/// A run that nobody measured is drawn as long as this.
const NOT_MEASURED: f64 = 30.0;

/// A run is never shorter on the sheet than this.
const SHORTEST: f64 = 7.0;

/// A broken run is as long as this.
const BROKEN: f64 = 24.0;

/// How lengths become millimetres.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Scale {
    /// Millimetres for a unit of length.
    pub(crate) per_unit: f64,
    /// Metres of that unit.
    pub(crate) unit_m: f64,
    /// Runs longer than this many metres are broken.
    pub(crate) broken_above_m: f64,
}

/// A run on the sheet.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Drawn {
    pub(crate) length: f64,
    pub(crate) text: String,
    pub(crate) known: Known,
    pub(crate) to_scale: bool,
    pub(crate) broken: bool,
    pub(crate) one_core: bool,
}

impl Scale {
    /// All scales, from large to small.
    pub(crate) fn all(unit_m: f64) -> impl Iterator<Item = Self> {
        SCALES.into_iter().map(move |per_unit| Self { per_unit, unit_m, broken_above_m: f64::INFINITY })
    }

    pub(crate) fn drawn(&self, parts: &Parts, element: Option<usize>) -> Drawn {
        let measure = parts.measure(element);
        let least = (DIMENSION.width(&measure.text) + 5.8).max(SHORTEST);
        let exact = measure.metres / self.unit_m * self.per_unit;
        let broken = measure.metres > self.broken_above_m;
        let (length, to_scale) = match measure.known {
            Known::Not => (NOT_MEASURED.max(least), true),
            _ if broken => (BROKEN.max(least), false),
            _ if exact >= least => (exact, true),
            _ => (least, false),
        };
        Drawn {
            length,
            text: measure.text,
            known: measure.known,
            to_scale,
            broken,
            one_core: measure.one_core,
        }
    }

    /// The scale in words for the title block.
    pub(crate) fn words(&self, parts: &Parts, items: &[Item]) -> String {
        let mut runs = Vec::new();
        collect(items, &mut runs);
        let drawn: Vec<Drawn> = runs.iter().map(|&run| self.drawn(parts, run)).collect();
        let known = |run: &&Drawn| run.known != Known::Not;
        if !drawn.iter().filter(known).any(|run| run.to_scale) {
            return "not to scale".to_owned();
        }
        let (unit, _) = parts.unit();
        let (count, millimetres) =
            if self.per_unit < 1.0 { (10.0, self.per_unit * 10.0) } else { (1.0, self.per_unit) };
        let plain = |value: f64| {
            let text = format!("{value:.1}");
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        let words = format!("{count}\u{2009}{unit} = {}\u{2009}mm", plain(millimetres));
        if drawn.iter().filter(known).all(|run| run.to_scale) {
            words
        } else {
            format!("{words}; underlined: not to scale")
        }
    }
}

/// Every run, those in branches too.
pub(crate) fn collect(items: &[Item], into: &mut Vec<Option<usize>>) {
    for item in items {
        match item {
            Item::Run { element } => into.push(*element),
            Item::Tap(items) | Item::Home(items) => collect(items, into),
            _ => {}
        }
    }
}

/// The largest scale at which everything is in one row of the width; else one for few rows.
pub(crate) fn chosen(parts: &Parts, items: &[Item], width: f64, reach: &dyn Fn(&Scale) -> f64) -> Scale {
    let (_, unit_m) = parts.unit();
    let mut runs = Vec::new();
    collect(items, &mut runs);
    let metres = |run: &Option<usize>| parts.measure(*run).metres;
    let to_scale = |scale: &Scale| runs.iter().filter(|&&run| scale.drawn(parts, run).to_scale).count();
    let fitting = Scale::all(unit_m).find(|scale| reach(scale) <= width);
    let mut lengths: Vec<f64> = runs.iter().map(metres).collect();
    lengths.sort_by(f64::total_cmp);
    // One very long run must not make everything else unreadable: it is broken where that puts more to scale.
    if let [.., second, longest] = lengths.as_slice()
        && *longest > 4.0 * second
        && *second > 0.0
    {
        let broken = |scale: Scale| Scale { broken_above_m: *second, ..scale };
        let best = Scale::all(unit_m).map(broken).find(|scale| reach(scale) <= width);
        if let Some(best) = best
            && to_scale(&best) > fitting.as_ref().map_or(0, &to_scale)
        {
            return best;
        }
    }
    let smallest = Scale { per_unit: 0.03, unit_m, broken_above_m: f64::INFINITY };
    fitting.or_else(|| in_rows(unit_m, width, reach)).unwrap_or(smallest)
}

/// Where one row cannot be: the largest scale that takes hardly more rows than the smallest one.
fn in_rows(unit_m: f64, width: f64, reach: &dyn Fn(&Scale) -> f64) -> Option<Scale> {
    let least = Scale::all(unit_m).map(|scale| reach(&scale)).fold(f64::INFINITY, f64::min);
    let room = least * 1.12 + width / 4.0;
    Scale::all(unit_m).find(|scale| reach(scale) <= room)
}

/// A pair's two legs, or one leg where only one core runs.
pub(crate) fn legs(sheet: &mut Sheet, drawn: &Drawn, x: f64, live: f64, back: f64) {
    let end = x + drawn.length;
    let dash = if drawn.known == Known::Length { Dash::Whole } else { Dash::Dashed };
    for y in [live, back] {
        let stroke = Stroke::OUTLINE.dashed(dash);
        if drawn.broken {
            let middle = f64::midpoint(x, end);
            sheet.line(&[(x, y), (middle - 1.6, y)], stroke);
            sheet.line(&[(middle + 1.6, y), (end, y)], stroke);
            for shift in [-1.6, 1.6] {
                let at = middle + shift;
                sheet.line(&[(at - 0.8, y + 1.8), (at + 0.8, y - 1.8)], Stroke::DIMENSION);
            }
        } else {
            sheet.line(&[(x, y), (end, y)], stroke);
        }
    }
}

/// A dimension line with its value in a gap; a value that is not to scale is underlined (ISO 129-1).
pub(crate) fn dimension(sheet: &mut Sheet, drawn: &Drawn, x: f64, leg: f64, y: f64) {
    let end = x + drawn.length;
    for at in [x, end] {
        sheet.line(&[(at, leg + 1.5), (at, y + 1.2)], Stroke::CONSTRUCTION);
    }
    let middle = f64::midpoint(x, end);
    let half = DIMENSION.width(&drawn.text) / 2.0 + 0.6;
    if middle - half > x + 0.5 {
        sheet.line(&[(x, y), (middle - half, y)], Stroke::DIMENSION);
        sheet.line(&[(middle + half, y), (end, y)], Stroke::DIMENSION);
    }
    arrow(sheet, (end, y), (x, y));
    arrow(sheet, (x, y), (end, y));
    sheet.text((middle, y + 1.05), &drawn.text, DIMENSION, Anchor::Middle);
    if !drawn.to_scale && drawn.known != Known::Not {
        let half = half - 0.6;
        sheet.line(&[(middle - half, y + 1.75), (middle + half, y + 1.75)], Stroke::DIMENSION);
    }
}
