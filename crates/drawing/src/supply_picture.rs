//! A supply's drawing: the source at the left, its tree of runs and loads beside it, volts in columns at the right.
//!
//! A tree is drawn downwards: what leads on to most points goes straight down, everything else branches to the right,
//! so that even a very long chain stays narrow. Rows that do not fit a sheet go on upon the next; nothing shrinks.

use crate::supply_rows::{Kind, Row, rows};
use crate::supply_source::source;
use crate::svg::{Anchor, Area, Colour, Picture, Sheet, Stroke, Type};
use crate::symbol::triangle;
use crate::text_width::broken;

/// Where the tree begins and ends, beside the source and the columns of volts.
pub(crate) const TREE: f64 = 42.0;
const TREE_END: f64 = 103.0;
/// Where the three columns of volts begin, and how wide each is.
const COLUMNS: f64 = 104.0;
const COLUMN: f64 = 22.2;
/// The heads of the columns.
const HEAD: f64 = 7.0;

pub(crate) const TEXT: Type = Type::text(2.3);
const NAME: Type = Type::lettering(3.0);
const FIGURES: Type = Type::figures(2.2);

/// What a supply's drawing is asked for; everything in words already.
#[derive(Clone, Copy, Debug)]
pub struct SupplyRequest<'a> {
    /// The supply's id.
    pub id: &'a str,
    /// What it is and the volts that it holds, a line each.
    pub words: &'a [String],
    /// Its battery, a line each; empty where there is none.
    pub battery: &'a [String],
    /// What feeds it, a line each; empty where nobody has said.
    pub feed: &'a [String],
    /// Whether that is a transformer.
    pub transformer: bool,
    /// Its points, parents first; the terminals are the first.
    pub points: &'a [SupplyPoint],
    /// Its loads.
    pub loads: &'a [SupplyLoad],
    /// The width of the drawing.
    pub width_mm: f64,
    /// The most height of the first drawing, and of those that continue it.
    pub heights_mm: (f64, f64),
}

/// A point of a supply's tree.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SupplyPoint {
    /// Its name.
    pub name: String,
    /// The place of the point that it is fed from; its own for the terminals.
    pub parent: usize,
    /// The way that leads here: `25 m of 18 AWG, 1.04 to 1.22 ohm`; empty for what has no length.
    pub way: String,
    /// What it is, behind its name: `output`; empty for a plain point.
    pub what: String,
    /// Volts at rest, in alarm and in the last alarm minute; empty where nothing could be computed.
    pub volts: [String; 3],
}

/// So many like loads at one point.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SupplyLoad {
    /// The place of its point.
    pub point: usize,
    /// `12 x door lamp`.
    pub words: String,
    /// The volts that it needs and what it is short of, or nothing.
    pub needs: String,
    /// The number of the finding that it is short of volts; empty where it fails without one of its own.
    pub fails: Option<String>,
}

/// Draws a supply on as many sheets as it takes.
#[must_use]
pub fn supply_drawings(request: &SupplyRequest) -> Vec<Picture> {
    let all = rows(request, TREE, TREE_END);
    let mut pictures = Vec::new();
    let mut at = 0;
    while at < all.len() || pictures.is_empty() {
        let first = pictures.is_empty();
        let most = if first { request.heights_mm.0 } else { request.heights_mm.1 };
        let from = at;
        let mut height = HEAD + if first { 0.0 } else { CONTINUED };
        while let Some(row) = all.get(at) {
            let needed: f64 = all[at..at + together(&all[at..])].iter().map(|row| row.height).sum();
            if at > from && height + needed > most {
                break;
            }
            height += row.height;
            at += 1;
        }
        pictures.push(piece(request, &all[from..at], first, at < all.len()));
    }
    pictures
}

/// How many of the next rows are not parted: a way and its point, a point and its first load.
fn together(rows: &[Row]) -> usize {
    let rank = |row: &Row| match row.kind {
        Kind::Way(_) => 0,
        Kind::Point { .. } => 1,
        Kind::Load { .. } => 2,
    };
    let first = rows.first().map_or(2, rank);
    let follow = rows.iter().skip(1).zip(first + 1..=2).take_while(|(row, wanted)| rank(row) == *wanted);
    1 + follow.count()
}

/// The line that a continued drawing begins with.
const CONTINUED: f64 = 5.0;

fn piece(request: &SupplyRequest, rows: &[Row], first: bool, goes_on: bool) -> Picture {
    let mut sheet = Sheet::default();
    for (column, words) in ["at rest", "in alarm", "last minute"].into_iter().enumerate() {
        let x = COLUMNS + column as f64 * COLUMN;
        sheet.text((x, 2.4), &format!("{words}, V"), TEXT.coloured(Colour::Pencil), Anchor::Start);
    }
    sheet.line(&[(COLUMNS, 4.0), (request.width_mm, 4.0)], Stroke::OUTLINE);
    let mut y = HEAD;
    if first {
        source(&mut sheet, request, y);
    } else {
        let words = format!("{} continued from the sheet before", request.id);
        sheet.text((TREE, y), &words, TEXT.coloured(Colour::Pencil), Anchor::Start);
        y += CONTINUED;
    }
    for row in rows {
        draw(&mut sheet, request, row, y);
        y += row.height;
    }
    if goes_on {
        sheet.text((TREE + 3.0, y + 2.4), "goes on", TEXT.coloured(Colour::Pencil), Anchor::Start);
        y += 3.0;
    }
    let drawn = sheet.area().map_or(y, |area| area.bottom_mm.max(y));
    let view = Area::new(-0.5, -0.5, request.width_mm + 0.5, drawn + 1.0);
    let title = format!("Supply {}", request.id);
    sheet.picture(view, &title, "points, runs and loads; the numbers stand in the tables", String::new())
}

fn draw(sheet: &mut Sheet, request: &SupplyRequest, row: &Row, top: f64) {
    let bottom = top + row.height;
    for &x in &row.through {
        sheet.line(&[(x, top), (x, bottom)], Stroke::OUTLINE);
    }
    match &row.kind {
        Kind::Way(lines) => way(sheet, row, lines, top),
        Kind::Point { at, lines } => point(sheet, &request.points[*at], row, lines, top),
        Kind::Load { at, lines } => load(sheet, &request.loads[*at], row, lines, top),
    }
}

/// A run: straight down, or first to the right from the line that it branches from.
fn way(sheet: &mut Sheet, row: &Row, lines: &[String], top: f64) {
    let bottom = top + row.height;
    let from = match row.branches_from {
        Some(x) => vec![(x, top + 1.0), (row.x, top + 1.0), (row.x, bottom)],
        None => vec![(row.x, top), (row.x, bottom)],
    };
    sheet.line(&from, Stroke::OUTLINE);
    if let Some(x) = row.branches_from {
        sheet.dot((x, top + 1.0));
    }
    for (at, line) in lines.iter().enumerate() {
        let y = top + 4.2 + at as f64 * LINE;
        sheet.text((row.x + 2.0, y), line, TEXT.coloured(Colour::Pencil), Anchor::Start);
    }
}

/// From line to line.
pub(crate) const LINE: f64 = 3.0;

fn point(sheet: &mut Sheet, point: &SupplyPoint, row: &Row, lines: &[String], top: f64) {
    let middle = top + 2.6;
    if row.from_above {
        sheet.line(&[(row.x, top), (row.x, middle)], Stroke::OUTLINE);
    }
    if row.goes_down {
        sheet.line(&[(row.x, middle), (row.x, top + row.height)], Stroke::OUTLINE);
    }
    sheet.circle((row.x, middle), 0.9, Some(Stroke::OUTLINE), Some(Colour::Paper));
    let mut end = row.x;
    for (at, line) in lines.iter().enumerate() {
        sheet.text((row.x + 2.4, middle + 1.0 + at as f64 * LINE), line, NAME, Anchor::Start);
        end = row.x + 2.4 + NAME.width(line);
    }
    let what = if lines.len() == 1 { point.what.as_str() } else { "" };
    if !what.is_empty() && end + 2.0 + TEXT.width(what) < TREE_END {
        sheet.text((end + 2.0, middle + 1.0), what, TEXT.coloured(Colour::Pencil), Anchor::Start);
        end += 2.0 + TEXT.width(what);
    }
    if lines.len() == 1 && end + 4.0 < COLUMNS {
        sheet.line(&[(end + 2.0, middle), (COLUMNS - 1.0, middle)], Stroke::CONSTRUCTION);
    }
    for (column, volts) in point.volts.iter().enumerate() {
        let x = COLUMNS + column as f64 * COLUMN;
        sheet.text((x, middle + 0.9), volts, FIGURES, Anchor::Start);
    }
}

fn load(sheet: &mut Sheet, load: &SupplyLoad, row: &Row, lines: &[String], top: f64) {
    let middle = top + 2.2;
    sheet.line(&[(row.x, top), (row.x, middle)], Stroke::OUTLINE);
    if row.goes_down {
        sheet.line(&[(row.x, middle), (row.x, top + row.height)], Stroke::OUTLINE);
    }
    sheet.line(&[(row.x, middle), (row.x + 4.0, middle)], Stroke::DIMENSION);
    let colour = if load.fails.is_some() { Colour::Red } else { Colour::Ink };
    let body = Area::new(row.x + 4.0, middle - 1.0, row.x + 7.4, middle + 1.0);
    let stroke = if load.fails.is_some() { Stroke::RED } else { Stroke::DIMENSION };
    sheet.rectangle(body, Some(stroke), Some(Colour::Paper));
    for (at, line) in lines.iter().enumerate() {
        let y = middle + 0.8 + at as f64 * LINE;
        sheet.text((row.x + 9.0, y), line, TEXT.coloured(colour), Anchor::Start);
    }
    let mut x = COLUMNS;
    if let Some(number) = &load.fails {
        triangle(sheet, (x + 3.2, middle + 0.6), if number.is_empty() { "!" } else { number });
        x += 8.0;
    }
    let colour = if load.fails.is_some() { Colour::Red } else { Colour::Pencil };
    for (at, line) in broken(&load.needs, TEXT.face, TEXT.size, 170.0 - x).iter().take(2).enumerate() {
        sheet.text((x, middle + 0.8 + at as f64 * LINE), line, TEXT.coloured(colour), Anchor::Start);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn request<'a>(points: &'a [SupplyPoint], loads: &'a [SupplyLoad]) -> SupplyRequest<'a> {
        SupplyRequest {
            id: "P1",
            words: &[],
            battery: &[],
            feed: &[],
            transformer: true,
            points,
            loads,
            width_mm: 170.0,
            heights_mm: (150.0, 200.0),
        }
    }

    fn named(at: usize, parent: usize) -> SupplyPoint {
        SupplyPoint {
            name: format!("J{at}"),
            parent,
            way: "25 m of 18 AWG, 1.04 to 1.22 ohm".to_owned(),
            what: String::new(),
            volts: ["12.10 to 12.35", "11.10 to 12.35", "9.10 to 12.35"].map(str::to_owned),
        }
    }

    fn clear(picture: &Picture) {
        let lines = &picture.lettering;
        for (at, one) in lines.iter().enumerate() {
            for other in &lines[at + 1..] {
                assert!(!one.area.meets(other.area), "{one:?} {other:?}");
            }
            assert!(one.area.right_mm <= picture.width_mm && one.area.left_mm >= 0.0, "{one:?}");
        }
    }

    #[test]
    fn a_chain_of_hundreds_and_a_comb_stay_readable_and_whole() {
        let chain: Vec<SupplyPoint> = (0..300_usize).map(|at| named(at, at.saturating_sub(1))).collect();
        let comb: Vec<SupplyPoint> = (0..90_usize).map(|at| named(at, at.saturating_sub(1) / 2)).collect();
        for points in [chain, comb] {
            let loads: Vec<SupplyLoad> = (0..points.len())
                .map(|point| SupplyLoad {
                    point,
                    words: "12 \u{d7} a lamp with a name that is longer than the line".to_owned(),
                    needs: "needs 9 V; has 8.1 V in the last minute".to_owned(),
                    fails: (point % 3 == 0).then(|| "12".to_owned()),
                })
                .collect();
            let pictures = supply_drawings(&request(&points, &loads));
            assert!(pictures.len() > 5);
            let mut names = 0;
            for picture in &pictures {
                assert!(picture.height_mm < 210.0);
                clear(picture);
                names += picture.lettering.iter().filter(|line| line.text.starts_with('J')).count();
            }
            assert_eq!(names, points.len());
        }
    }
}
