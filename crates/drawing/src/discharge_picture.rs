//! A battery's discharge: volts over the hours of standby, and beside it, to its own scale, over the minutes of alarm.

use crate::svg::{Anchor, Area, Colour, Dash, Picture, Point, Sheet, Stroke, Type};

const TOP: f64 = 3.0;
const HIGH: f64 = 38.0;
const TEXT: Type = Type::text(2.4);
const FIGURES: Type = Type::figures(2.3);
/// The boundary that is the equipment's cut-off.
const STOPS: Stroke = Stroke::DIMENSION.dashed(Dash::Chain);
/// Distances between marks of an axis; the first with which there are few is taken.
const STEPS: [f64; 14] = [0.05, 0.1, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0, 120.0, 240.0, 1200.0];
const MOST_MARKS: f64 = 9.0;
/// A mark along the lower edge wants so much room for its number.
const MARK: f64 = 6.0;

/// What the width leaves room for.
struct Layout {
    /// Where the first field begins.
    left: f64,
    /// Between the two fields, and the width of the second.
    between: f64,
    alarm: f64,
    /// Whether the words for the lines stand beside one another.
    in_a_row: bool,
}

impl Layout {
    fn of(width_mm: f64) -> Self {
        if width_mm < 100.0 {
            Self { left: 10.0, between: 4.0, alarm: 15.0, in_a_row: false }
        } else {
            Self { left: 16.0, between: 7.0, alarm: 44.0, in_a_row: true }
        }
    }
}

/// What a discharge picture is asked for.
#[derive(Clone, Copy, Debug)]
pub struct DischargeRequest<'a> {
    /// The title.
    pub title: &'a str,
    /// At its worst: aged and cold.
    pub aged: Curve<'a>,
    /// At its best: new and warm.
    pub new: Curve<'a>,
    /// Where the equipment stops, in volt.
    pub cut_off: f64,
    /// Hours of standby.
    pub standby_h: f64,
    /// Minutes of alarm behind them; the second field is left out at 0.
    pub alarm_min: f64,
    /// The width of the drawing.
    pub width_mm: f64,
}

/// One discharge.
#[derive(Clone, Copy, Debug)]
pub struct Curve<'a> {
    /// Hours since the mains went, and volts, in order.
    pub samples: &'a [(f64, f64)],
    /// What it is: `aged to 80 %, 16 C`.
    pub words: &'a str,
}

/// A field of the drawing with its two axes.
struct Field {
    area: Area,
    /// Along the lower edge, from 0.
    across: f64,
    /// Least and most volts.
    volts: (f64, f64),
}

impl Field {
    fn at(&self, along: f64, volts: f64) -> Point {
        let x = self.area.left_mm + (self.area.right_mm - self.area.left_mm) * along / self.across.max(1e-9);
        (x, self.area.bottom_mm - (self.area.bottom_mm - self.area.top_mm) * self.share(volts))
    }

    fn share(&self, volts: f64) -> f64 {
        (volts - self.volts.0) / (self.volts.1 - self.volts.0)
    }
}

/// Draws a discharge.
#[must_use]
pub fn discharge_picture(request: &DischargeRequest) -> Picture {
    let mut sheet = Sheet::default();
    let layout = Layout::of(request.width_mm);
    let has_alarm = request.alarm_min > 0.0;
    let right = request.width_mm - 4.0;
    let first_right = if has_alarm { right - layout.alarm - layout.between } else { right };
    let volts = range(request);
    let standby = Field {
        area: Area::new(layout.left, TOP, first_right, TOP + HIGH),
        across: request.standby_h.max(if has_alarm { 1e-3 } else { 0.1 }),
        volts,
    };
    frame(&mut sheet, &standby, "h at rest", true);
    let alarm = Field {
        area: Area::new(right - layout.alarm, TOP, right, TOP + HIGH),
        across: request.alarm_min,
        volts,
    };
    if has_alarm {
        frame(&mut sheet, &alarm, "min in alarm", false);
    }
    for (curve, stroke) in [(&request.new, Stroke::DIMENSION), (&request.aged, Stroke::EMPHASIS)] {
        let at_rest = |(hours, _): &(f64, f64)| *hours <= request.standby_h + 1e-6;
        let points = curve.samples.iter().filter(|sample| at_rest(sample));
        let points: Vec<Point> = points.map(|&(hours, volts)| standby.at(hours, volts)).collect();
        sheet.line(&points, stroke);
        if has_alarm {
            let points = curve.samples.iter().filter(|(hours, _)| *hours >= request.standby_h - 1e-6);
            let minutes = |hours: f64| ((hours - request.standby_h) * 60.0).max(0.0);
            let points: Vec<Point> = points.map(|&(hours, volts)| alarm.at(minutes(hours), volts)).collect();
            sheet.line(&points, stroke);
        }
    }
    for field in [Some(&standby), has_alarm.then_some(&alarm)].into_iter().flatten() {
        let level = field.at(0.0, request.cut_off).1;
        sheet.line(&[(field.area.left_mm, level), (field.area.right_mm, level)], STOPS);
    }
    let end = legend(&mut sheet, request, &layout);
    let view = Area::new(-0.5, -0.5, request.width_mm + 0.5, end + 2.6);
    sheet.picture(view, request.title, "volts over hours at rest and minutes in alarm", String::new())
}

/// Whole marks around everything that is drawn.
fn range(request: &DischargeRequest) -> (f64, f64) {
    let all = request.aged.samples.iter().chain(request.new.samples).map(|(_, volts)| *volts);
    let (mut least, mut most) = (request.cut_off, request.cut_off + 0.1);
    for volts in all.filter(|volts| volts.is_finite()) {
        least = least.min(volts);
        most = most.max(volts);
    }
    let step = step(most - least, MOST_MARKS);
    (((least - 0.1 * step) / step).floor() * step, ((most + 0.1 * step) / step).ceil() * step)
}

fn step(span: f64, most: f64) -> f64 {
    STEPS.into_iter().find(|step| span / step <= most).unwrap_or(STEPS[STEPS.len() - 1])
}

fn frame(sheet: &mut Sheet, field: &Field, words: &str, numbered: bool) {
    let Area { left_mm, right_mm, bottom_mm, .. } = field.area;
    sheet.rectangle(field.area, Some(Stroke::OUTLINE), None);
    let (least, most) = field.volts;
    let by = step(most - least, MOST_MARKS);
    for volts in marks(least, most, by) {
        let (_, y) = field.at(0.0, volts);
        sheet.line(&[(left_mm - 1.0, y), (left_mm, y)], Stroke::DIMENSION);
        if numbered {
            let label = label(volts, by);
            sheet.text((left_mm - 2.0, y + 0.85), &label, FIGURES, Anchor::End);
        }
    }
    if numbered {
        let kind = TEXT.coloured(Colour::Pencil);
        sheet.text((0.0, TOP + HIGH + 4.4), "V", kind, Anchor::Start);
    }
    let by = step(field.across, MOST_MARKS.min((right_mm - left_mm) / MARK));
    let last = field.at(field.across, least).0;
    for along in marks(0.0, field.across, by) {
        let (x, _) = field.at(along, least);
        sheet.line(&[(x, bottom_mm), (x, bottom_mm + 1.0)], Stroke::DIMENSION);
        if x <= last + 0.01 {
            sheet.text((x, bottom_mm + 4.2), &label(along, by), FIGURES, Anchor::Middle);
        }
    }
    let middle = f64::midpoint(left_mm, right_mm);
    sheet.text((middle, bottom_mm + 7.8), words, TEXT.coloured(Colour::Pencil), Anchor::Middle);
}

fn marks(from: f64, to: f64, by: f64) -> impl Iterator<Item = f64> {
    let count = ((to - from) / by + 1e-6).floor().clamp(0.0, 40.0);
    let mut at = -1.0;
    std::iter::from_fn(move || {
        at += 1.0;
        (at <= count).then_some(from + at * by)
    })
}

fn label(value: f64, by: f64) -> String {
    if by < 0.1 {
        format!("{value:.2}")
    } else if by < 1.0 && by.fract() != 0.0 {
        let text = format!("{value:.2}");
        text.strip_suffix('0').unwrap_or(&text).to_owned()
    } else {
        format!("{value:.0}")
    }
}

/// Which line is which, under the axes; gives the base line of the last.
fn legend(sheet: &mut Sheet, request: &DischargeRequest, layout: &Layout) -> f64 {
    let mut y = TOP + HIGH + 12.4;
    let stops = format!("the equipment stops at {:.2}\u{2009}V", request.cut_off);
    let entries = [
        (Stroke::EMPHASIS, request.aged.words),
        (Stroke::DIMENSION, request.new.words),
        (STOPS, stops.as_str()),
    ];
    let mut x = layout.left;
    for (at, (stroke, words)) in entries.into_iter().enumerate() {
        if at > 0 && !layout.in_a_row {
            (x, y) = (layout.left, y + 3.6);
        }
        sheet.line(&[(x, y - 0.9), (x + 7.0, y - 0.9)], stroke);
        sheet.text((x + 8.5, y), words, TEXT, Anchor::Start);
        x += 8.5 + TEXT.width(words) + 6.0;
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_have_few_marks_and_nothing_overlaps() {
        let times = [(24.0, 5.0, 12.8), (60.0, 30.0, 25.6), (0.0, 4.0, 12.4), (72.0, 0.0, 12.6)];
        let papers = [170.0, 58.0];
        for ((standby_h, alarm_min, top), width_mm) in
            times.into_iter().flat_map(|times| papers.map(|width_mm| (times, width_mm)))
        {
            let end = standby_h + alarm_min / 60.0;
            let aged = [(0.0, top), (standby_h, top - 1.1), (standby_h, top - 1.3), (end, top - 1.5)];
            let new = [(0.0, top + 0.1), (standby_h, top - 0.3), (standby_h, top - 0.4), (end, top - 0.5)];
            let picture = discharge_picture(&DischargeRequest {
                title: "t",
                aged: Curve { samples: &aged, words: "aged to 80 %, 16 C" },
                new: Curve { samples: &new, words: "new, 30 C" },
                cut_off: top * 0.83,
                standby_h,
                alarm_min,
                width_mm,
            });
            for (at, one) in picture.lettering.iter().enumerate() {
                assert!(one.area.left_mm >= 0.0 && one.area.right_mm <= picture.width_mm, "{one:?}");
                for other in &picture.lettering[at + 1..] {
                    assert!(!one.area.meets(other.area), "{one:?} {other:?}");
                }
            }
        }
    }
}
