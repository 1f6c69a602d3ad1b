//! The same chart on paper: bars over time, under them what is without protection.

use crate::hatch::hatch;
use crate::svg::{Anchor, Area, Colour, Picture, Sheet, Stroke, Type};
use crate::text_width::broken;
use crate::timeline::{TimeAxis, TimeRequest, TimeTone};

const NAMES: f64 = 46.0;
const PITCH: f64 = 4.2;
const TOP: f64 = 6.0;
const HIGH: f64 = 24.0;
const GAP: f64 = 2.0;
const NAME: Type = Type::text(2.3);
const FIGURES: Type = Type::figures(2.2);
/// Distances of hours between marks; the first at which they do not crowd.
const EVERY: [u32; 6] = [60, 120, 180, 240, 360, 720];
/// A time of day takes so much.
const FIGURE: f64 = 9.4;

/// Where things stand: names beside the bars on paper, above them on a narrow sheet.
#[derive(Clone, Copy)]
struct Layout {
    /// Where the axis begins.
    left: f64,
    /// From row to row.
    pitch: f64,
    /// Base line of a name and edges of a bar, in their row.
    name: f64,
    bar: (f64, f64),
    /// From the last row to the curve.
    between: f64,
    beside: bool,
}

impl Layout {
    const BESIDE: Self =
        Self { left: NAMES, pitch: PITCH, name: 3.0, bar: (0.7, 3.5), between: 3.0, beside: true };
    const ABOVE: Self =
        Self { left: 0.0, pitch: 8.2, name: 3.0, bar: (4.0, 6.8), between: 9.0, beside: false };
}

/// Draws a chart of bars with the curve under it; on a narrow sheet each row's name stands above its bars.
#[must_use]
pub fn time_picture(request: &TimeRequest) -> Picture {
    let mut sheet = Sheet::default();
    let layout = if request.width_mm < 2.0 * NAMES { Layout::ABOVE } else { Layout::BESIDE };
    let axis = TimeAxis::new(request.spans, request.width_mm - layout.left - 1.0, GAP);
    let bottom = TOP + request.rows.len() as f64 * layout.pitch + 1.0;
    let foot = bottom + layout.between + HIGH;
    let room = if layout.beside { NAMES - 2.0 } else { request.width_mm };
    for (at, row) in request.rows.iter().enumerate() {
        let top = TOP + at as f64 * layout.pitch;
        let name = broken(&row.name, NAME.face, NAME.size, room).into_iter().next().unwrap_or_default();
        sheet.text((0.0, top + layout.name), &name, NAME, Anchor::Start);
        let (upper, lower) = (top + layout.bar.0, top + layout.bar.1);
        if !layout.beside {
            for (from, to) in axis.places() {
                sheet.rectangle(Area::new(from, upper, to, lower), Some(Stroke::CONSTRUCTION), None);
            }
        }
        for bar in &row.bars {
            for (from, to) in axis.pieces(bar.from, bar.to) {
                drawn(&mut sheet, Area::new(layout.left + from, upper, layout.left + to, lower), bar.tone);
            }
        }
    }
    grid(&mut sheet, request, &axis, layout, bottom, foot);
    curve(&mut sheet, request, &axis, layout, foot);
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
            hatch(sheet, area, 0.9, Stroke::DIMENSION);
        }
    }
}

/// Days above, hours below, on paper a line for each.
fn grid(sheet: &mut Sheet, request: &TimeRequest, axis: &TimeAxis, layout: Layout, bottom: f64, foot: f64) {
    let labels = day_labels(request, axis);
    for ((span, (from, to)), label) in request.spans.iter().zip(axis.places()).zip(labels) {
        let (left, right) = (layout.left + from, layout.left + to);
        if let Some(label) = label {
            sheet.text((left, TOP - 2.4), label, NAME.coloured(Colour::Pencil), Anchor::Start);
        }
        if layout.beside {
            sheet.rectangle(Area::new(left, TOP, right, bottom), Some(Stroke::CONSTRUCTION), None);
        }
        sheet.rectangle(Area::new(left, foot - HIGH, right, foot), Some(Stroke::CONSTRUCTION), None);
        let scale = (right - left) / f64::from(span.to - span.from).max(1.0);
        let every = EVERY.into_iter().find(|every| f64::from(*every) * scale >= FIGURE).unwrap_or(1440);
        let mut minute = span.from.div_ceil(every) * every;
        while minute <= span.to {
            let x = left + f64::from(minute - span.from) * scale;
            if layout.beside {
                sheet.line(&[(x, TOP), (x, bottom)], Stroke::CONSTRUCTION);
            }
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

/// The label of every day in its room: without the year for all of them where one is too long, none where that is, too.
fn day_labels<'r>(request: &'r TimeRequest, axis: &TimeAxis) -> Vec<Option<&'r str>> {
    let rooms: Vec<f64> = axis.places().iter().map(|(from, to)| to - from + GAP / 2.0).collect();
    let spans = || request.spans.iter().zip(&rooms);
    let all_fit = spans().all(|(span, room)| NAME.width(&span.label) <= *room);
    let label = |label: &'r str| match label.split_once('-') {
        Some((_, month_and_day)) if !all_fit => month_and_day,
        _ => label,
    };
    spans().map(|(span, room)| Some(label(&span.label)).filter(|label| NAME.width(label) <= *room)).collect()
}

/// Steps: what is without protection, black under the line.
fn curve(sheet: &mut Sheet, request: &TimeRequest, axis: &TimeAxis, layout: Layout, foot: f64) {
    let most = request.levels.iter().map(|level| level.1).fold(0.0, f64::max);
    let ends = request.levels.iter().skip(1).map(|level| level.0).chain([u32::MAX]);
    for ((from, level), to) in request.levels.iter().zip(ends) {
        if *level <= 0.0 {
            continue;
        }
        for (from, to) in axis.pieces(*from, to) {
            let top = foot - (HIGH - 1.0) * level / most;
            let area = Area::new(layout.left + from, top, layout.left + to, foot);
            sheet.rectangle(area, None, Some(Colour::Pencil));
        }
    }
    let top = foot - HIGH;
    if !layout.beside {
        let words = format!("{}, at most {most:.0}", request.level_words);
        let line =
            broken(&words, NAME.face, NAME.size, request.width_mm).into_iter().next().unwrap_or_default();
        sheet.text((0.0, top - 2.0), &line, NAME.coloured(Colour::Pencil), Anchor::Start);
        return;
    }
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
        for (days, long, width_mm) in [
            (1, 540, 170.0),
            (3, 540, 170.0),
            (6, 900, 170.0),
            (1, 30, 170.0),
            (1, 540, 58.0),
            (4, 540, 58.0),
            (9, 900, 58.0),
        ] {
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
                width_mm,
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
