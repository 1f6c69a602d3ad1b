//! The same chart on paper: bars over time, under them what is without protection.

use crate::svg::{Anchor, Area, Colour, Picture, Sheet, Stroke, Type};
use crate::text_width::broken;
use crate::timeline::{TimeAxis, TimeRequest, TimeTone};

const NAMES: f64 = 46.0;
const PITCH: f64 = 4.2;
const TOP: f64 = 6.0;
const HIGH: f64 = 24.0;
const GAP: f64 = 2.0;
const NAME: Type = Type::text(2.3);
const FIGURES: Type = Type::figures(2.1);
/// Distances of hours between marks; the first at which they do not crowd.
const EVERY: [u32; 6] = [60, 120, 180, 240, 360, 720];
/// A time of day takes so much.
const FIGURE: f64 = 9.0;

/// Draws a chart of bars with the curve under it.
#[must_use]
pub fn time_picture(request: &TimeRequest) -> Picture {
    let mut sheet = Sheet::default();
    let axis = TimeAxis::new(request.spans, request.width_mm - NAMES - 1.0, GAP);
    let bottom = TOP + request.rows.len() as f64 * PITCH + 1.0;
    let foot = bottom + 3.0 + HIGH;
    for (at, row) in request.rows.iter().enumerate() {
        let top = TOP + at as f64 * PITCH;
        let name =
            broken(&row.name, NAME.face, NAME.size, NAMES - 2.0).into_iter().next().unwrap_or_default();
        sheet.text((0.0, top + 3.0), &name, NAME, Anchor::Start);
        for bar in &row.bars {
            for (from, to) in axis.pieces(bar.from, bar.to) {
                drawn(&mut sheet, Area::new(NAMES + from, top + 0.7, NAMES + to, top + 3.5), bar.tone);
            }
        }
    }
    grid(&mut sheet, request, &axis, bottom, foot);
    curve(&mut sheet, request, &axis, foot);
    let view = Area::new(-0.5, -0.5, request.width_mm + 0.5, foot + 6.0);
    sheet.picture(view, request.title, "bars over time, and what is without protection", String::new())
}

/// Work is an outline, dead is black, fire is hatched in black outline.
fn drawn(sheet: &mut Sheet, area: Area, tone: TimeTone) {
    match tone {
        TimeTone::Work => sheet.rectangle(area, Some(Stroke::DIMENSION), None),
        TimeTone::Dead => sheet.rectangle(area, None, Some(Colour::Ink)),
        TimeTone::Fire => {
            sheet.rectangle(area, Some(Stroke::OUTLINE), None);
            let (wide, high) = (area.right_mm - area.left_mm, area.bottom_mm - area.top_mm);
            let mut along = 0.9;
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
                sheet.line(&[start, end], Stroke::DIMENSION);
                along += 0.9;
            }
        }
    }
}

/// Days above, hours below, a line for each.
fn grid(sheet: &mut Sheet, request: &TimeRequest, axis: &TimeAxis, bottom: f64, foot: f64) {
    for (span, (from, to)) in request.spans.iter().zip(axis.places()) {
        let (left, right) = (NAMES + from, NAMES + to);
        let label = broken(&span.label, NAME.face, NAME.size, (right - left).max(1.0)).into_iter().next();
        if let Some(label) = label.filter(|label| NAME.width(label) <= right - left + GAP) {
            sheet.text((left, TOP - 2.4), &label, NAME.coloured(Colour::Pencil), Anchor::Start);
        }
        sheet.rectangle(Area::new(left, TOP, right, bottom), Some(Stroke::CONSTRUCTION), None);
        sheet.rectangle(Area::new(left, bottom + 3.0, right, foot), Some(Stroke::CONSTRUCTION), None);
        let scale = (right - left) / f64::from(span.to - span.from).max(1.0);
        let every = EVERY.into_iter().find(|every| f64::from(*every) * scale >= FIGURE).unwrap_or(1440);
        let mut minute = span.from.div_ceil(every) * every;
        while minute <= span.to {
            let x = left + f64::from(minute - span.from) * scale;
            sheet.line(&[(x, TOP), (x, bottom)], Stroke::CONSTRUCTION);
            sheet.line(&[(x, foot), (x, foot + 1.0)], Stroke::DIMENSION);
            let written = format!("{:02}:{:02}", minute / 60 % 24, minute % 60);
            if x + FIGURES.width(&written) / 2.0 <= right + GAP / 2.0
                && x - FIGURES.width(&written) / 2.0 >= left - GAP / 2.0
            {
                sheet.text((x, foot + 3.8), &written, FIGURES, Anchor::Middle);
            }
            minute += every;
        }
    }
}

/// Steps: what is without protection, black under the line.
fn curve(sheet: &mut Sheet, request: &TimeRequest, axis: &TimeAxis, foot: f64) {
    let most = request.levels.iter().map(|level| level.1).fold(0.0, f64::max);
    let ends = request.levels.iter().skip(1).map(|level| level.0).chain([u32::MAX]);
    for ((from, level), to) in request.levels.iter().zip(ends) {
        if *level <= 0.0 {
            continue;
        }
        for (from, to) in axis.pieces(*from, to) {
            let top = foot - (HIGH - 1.0) * level / most;
            sheet.rectangle(Area::new(NAMES + from, top, NAMES + to, foot), None, Some(Colour::Pencil));
        }
    }
    let top = foot - HIGH;
    let words = broken(request.level_words, NAME.face, NAME.size, NAMES - 16.0);
    for (at, line) in words.iter().take(3).enumerate() {
        sheet.text((0.0, top + 8.0 + at as f64 * 3.2), line, NAME.coloured(Colour::Pencil), Anchor::Start);
    }
    sheet.text((NAMES - 1.5, top + 2.6), &format!("{most:.0}"), FIGURES, Anchor::End);
    sheet.text((NAMES - 1.5, foot), "0", FIGURES, Anchor::End);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timeline::{TimeBar, TimeRow, TimeSpan};

    #[test]
    fn no_lettering_lies_on_lettering() {
        for (days, long) in [(1, 540), (3, 540), (6, 900), (1, 30)] {
            let span = |day: u32| TimeSpan {
                from: day * 1440 + 480,
                to: day * 1440 + 480 + long,
                label: format!("2026-12-{:02}", day + 1),
            };
            let spans: Vec<TimeSpan> = (0..days).map(span).collect();
            let row = |at: u32| TimeRow {
                name: format!("M{at} powered up, enrolled and everything else"),
                bars: vec![TimeBar { from: 480 + at * 10, to: 520 + at * 10, tone: TimeTone::Fire }],
            };
            let rows: Vec<TimeRow> = (0..12).map(row).collect();
            let picture = time_picture(&TimeRequest {
                title: "t",
                spans: &spans,
                rows: &rows,
                levels: &[(490, 3.0), (500, 12.0), (600, 0.0)],
                level_words: "weight without protection",
                width_mm: 170.0,
            });
            for (at, one) in picture.lettering.iter().enumerate() {
                assert!(one.area.left_mm >= -0.5 && one.area.right_mm <= picture.width_mm, "{one:?}");
                for other in &picture.lettering[at + 1..] {
                    assert!(!one.area.meets(other.area), "{one:?} {other:?}");
                }
            }
        }
    }
}
