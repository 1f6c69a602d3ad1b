//! What is drawn from everything that has a limit, as bars: black at rest, hatched what an alarm adds.

use crate::svg::{Anchor, Area, Colour, Picture, Sheet, Stroke, Type};
use crate::text_width::broken;

const PITCH: f64 = 7.4;
/// Where bars begin, where the limit stands, and how much of an excess is drawn.
const FROM: f64 = 36.0;
const LIMIT: f64 = 90.0;
const MOST_SHARE: f64 = 1.2;
const WORDS: f64 = 104.0;
const NAME: Type = Type::lettering(2.8);
const TEXT: Type = Type::text(2.3);

/// One thing with a limit.
#[derive(Clone, PartialEq, Debug)]
pub struct BudgetBar {
    /// What it is.
    pub name: String,
    /// Drawn at rest, as a share of the limit; infinite where nothing solves.
    pub rest: f64,
    /// Drawn in alarm, as a share of the limit.
    pub alarm: f64,
    /// The numbers in words.
    pub words: String,
    /// Whether it stays within its limit.
    pub holds: bool,
}

/// Draws bars under one another.
#[must_use]
pub fn budget_bars(title: &str, bars: &[BudgetBar], width_mm: f64) -> Picture {
    let mut sheet = Sheet::default();
    for (at, bar) in bars.iter().enumerate() {
        draw(&mut sheet, bar, at as f64 * PITCH, width_mm);
    }
    let view = Area::new(-0.5, -0.5, width_mm + 0.5, bars.len().max(1) as f64 * PITCH + 0.5);
    sheet.picture(view, title, "what is drawn at rest and in alarm of each limit", String::new())
}

fn draw(sheet: &mut Sheet, bar: &BudgetBar, top: f64, width_mm: f64) {
    let x = |share: f64| FROM + (LIMIT - FROM) * share.clamp(0.0, MOST_SHARE);
    let (upper, lower) = (top + 1.2, top + 5.4);
    let names = broken(&bar.name, NAME.face, NAME.size, FROM - 2.0);
    for (at, line) in names.iter().take(2).enumerate() {
        let y = top + if names.len() > 1 { 2.8 } else { 4.3 } + at as f64 * 3.1;
        sheet.text((0.0, y), line, NAME, Anchor::Start);
    }
    sheet.rectangle(Area::new(FROM, upper, LIMIT, lower), Some(Stroke::DIMENSION), None);
    let (rest, alarm) = (x(bar.rest), x(bar.alarm.max(bar.rest)));
    if rest > FROM + 0.05 {
        sheet.rectangle(Area::new(FROM, upper, rest, lower), None, Some(Colour::Ink));
    }
    hatch(sheet, Area::new(rest, upper, alarm, lower));
    if alarm > LIMIT {
        sheet.rectangle(Area::new(LIMIT, upper, alarm, lower), Some(Stroke::RED), None);
    }
    // The limit itself.
    sheet.line(&[(LIMIT, top + 0.3), (LIMIT, top + 6.3)], Stroke::EMPHASIS);
    let colour = if bar.holds { Colour::Ink } else { Colour::Red };
    let words = broken(&bar.words, TEXT.face, TEXT.size, width_mm - WORDS);
    for (at, line) in words.iter().take(2).enumerate() {
        let y = top + if words.len() > 1 { 2.7 } else { 4.2 } + at as f64 * 3.0;
        sheet.text((WORDS, y), line, TEXT.coloured(colour), Anchor::Start);
    }
}

/// Lines that rise to the right, inside a box.
fn hatch(sheet: &mut Sheet, area: Area) {
    let (wide, high) = (area.right_mm - area.left_mm, area.bottom_mm - area.top_mm);
    if wide < 0.1 {
        return;
    }
    sheet.rectangle(area, Some(Stroke::CONSTRUCTION), None);
    let mut along = 1.4;
    while along < wide + high {
        let start = if along <= high {
            (area.left_mm, area.top_mm + along)
        } else {
            (area.left_mm + along - high, area.bottom_mm)
        };
        let end = if along <= wide {
            (area.left_mm + along, area.top_mm)
        } else {
            (area.right_mm, area.top_mm + along - wide)
        };
        sheet.line(&[start, end], Stroke::CONSTRUCTION);
        along += 1.4;
    }
}
