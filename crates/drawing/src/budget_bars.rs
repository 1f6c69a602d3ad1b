//! What is drawn from everything that has a limit, as bars: black at rest, hatched what an alarm adds.

use crate::hatch::hatch;
use crate::svg::{Anchor, Area, Colour, Picture, Sheet, Stroke, Type};
use crate::text_width::broken;

const PITCH: f64 = 7.4;
/// Height of a bar.
const HIGH: f64 = 4.2;
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

/// Draws bars under one another; on a narrow sheet each has its name above it and its numbers below.
#[must_use]
pub fn budget_bars(title: &str, bars: &[BudgetBar], width_mm: f64) -> Picture {
    let mut sheet = Sheet::default();
    let mut top = 0.0;
    for bar in bars {
        top += if width_mm < WORDS {
            stacked(&mut sheet, bar, top, width_mm)
        } else {
            row(&mut sheet, bar, top, width_mm)
        };
    }
    let view = Area::new(-0.5, -0.5, width_mm + 0.5, top.max(PITCH) + 0.5);
    sheet.picture(view, title, "what is drawn at rest and in alarm of each limit", String::new())
}

/// Name, bar and numbers beside one another; gives the height that they take.
fn row(sheet: &mut Sheet, bar: &BudgetBar, top: f64, width_mm: f64) -> f64 {
    let names = broken(&bar.name, NAME.face, NAME.size, FROM - 2.0);
    for (at, line) in names.iter().take(2).enumerate() {
        let y = top + if names.len() > 1 { 2.8 } else { 4.3 } + at as f64 * 3.1;
        sheet.text((0.0, y), line, NAME, Anchor::Start);
    }
    draw(sheet, bar, top + 1.2, (FROM, LIMIT));
    let words = broken(&bar.words, TEXT.face, TEXT.size, width_mm - WORDS);
    for (at, line) in words.iter().take(2).enumerate() {
        let y = top + if words.len() > 1 { 2.7 } else { 4.2 } + at as f64 * 3.0;
        sheet.text((WORDS, y), line, TEXT.coloured(colour(bar)), Anchor::Start);
    }
    PITCH
}

/// Under one another; gives the height that they take.
fn stacked(sheet: &mut Sheet, bar: &BudgetBar, top: f64, width_mm: f64) -> f64 {
    let mut y = top + 3.0;
    for line in broken(&bar.name, NAME.face, NAME.size, width_mm) {
        sheet.text((0.0, y), &line, NAME, Anchor::Start);
        y += 3.2;
    }
    let upper = y - 1.4;
    draw(sheet, bar, upper, (0.0, (width_mm - 1.0) / MOST_SHARE));
    y = upper + HIGH + 4.0;
    for line in broken(&bar.words, TEXT.face, TEXT.size, width_mm) {
        sheet.text((0.0, y), &line, TEXT.coloured(colour(bar)), Anchor::Start);
        y += 3.1;
    }
    y + 0.8 - top
}

fn colour(bar: &BudgetBar) -> Colour {
    if bar.holds { Colour::Ink } else { Colour::Red }
}

/// The bar itself, from nothing to its limit.
fn draw(sheet: &mut Sheet, bar: &BudgetBar, upper: f64, (from, limit): (f64, f64)) {
    let x = |share: f64| from + (limit - from) * share.clamp(0.0, MOST_SHARE);
    let lower = upper + HIGH;
    sheet.rectangle(Area::new(from, upper, limit, lower), Some(Stroke::DIMENSION), None);
    let (rest, alarm) = (x(bar.rest), x(bar.alarm.max(bar.rest)));
    if rest > from + 0.05 {
        sheet.rectangle(Area::new(from, upper, rest, lower), None, Some(Colour::Ink));
    }
    let added = Area::new(rest, upper, alarm, lower);
    if alarm - rest >= 0.1 {
        sheet.rectangle(added, Some(Stroke::CONSTRUCTION), None);
        hatch(sheet, added, 1.4, Stroke::CONSTRUCTION);
    }
    if alarm > limit {
        sheet.rectangle(Area::new(limit, upper, alarm, lower), Some(Stroke::RED), None);
    }
    // The limit itself.
    sheet.line(&[(limit, upper - 0.9), (limit, lower + 0.9)], Stroke::EMPHASIS);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn on_paper_and_on_a_phone_no_lettering_lies_on_lettering() {
        let bar = |rest: f64, holds: bool| BudgetBar {
            name: "M1.S1 (contact of a module with a name)".to_owned(),
            rest,
            alarm: rest * 1.5,
            words: "403 mA at rest, 1.19 A in alarm, of 2.00 A: too much".to_owned(),
            holds,
        };
        let bars = [bar(0.3, true), bar(0.9, false), bar(f64::INFINITY, false)];
        for width_mm in [170.0, 58.0] {
            let picture = budget_bars("t", &bars, width_mm);
            assert!(picture.lettering.len() >= 2 * bars.len(), "{picture:?}");
            for (at, one) in picture.lettering.iter().enumerate() {
                assert!(one.area.left_mm >= 0.0 && one.area.right_mm <= picture.width_mm, "{one:?}");
                for other in &picture.lettering[at + 1..] {
                    assert!(!one.area.meets(other.area), "{one:?} {other:?}");
                }
            }
        }
    }
}
