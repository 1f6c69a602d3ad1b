//! Who is at what when, and how much is without protection meanwhile: one geometry in time, drawn with characters here.

use crate::canvas::Row;
use crate::text::{clipped, padded};

/// What a bar stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TimeTone {
    /// Work with everything protected.
    Work,
    /// Circuits are without protection.
    Dead,
    /// Fire circuits are.
    Fire,
}

impl TimeTone {
    fn letter(self) -> char {
        match self {
            Self::Work => '░',
            Self::Dead => '█',
            Self::Fire => '▓',
        }
    }
}

/// One bar, in minutes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TimeBar {
    /// Its beginning.
    pub from: u32,
    /// Its end.
    pub to: u32,
    /// What it stands for.
    pub tone: TimeTone,
}

/// A row of bars.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TimeRow {
    /// What it is about.
    pub name: String,
    /// In rising order.
    pub bars: Vec<TimeBar>,
}

/// A stretch of the axis: a day's work. What lies between stretches is not drawn.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TimeSpan {
    /// Its first minute.
    pub from: u32,
    /// Its last.
    pub to: u32,
    /// The day.
    pub label: String,
}

/// What a chart is asked for.
#[derive(Clone, Copy, Debug)]
pub struct TimeRequest<'a> {
    /// The title.
    pub title: &'a str,
    /// The axis, in rising order.
    pub spans: &'a [TimeSpan],
    /// From top to bottom.
    pub rows: &'a [TimeRow],
    /// From when on how much is without protection: minute and level, in rising order.
    pub levels: &'a [(u32, f64)],
    /// What the levels are: `weight without protection`.
    pub level_words: &'a str,
    /// The width of the drawing on paper.
    pub width_mm: f64,
}

/// Where minutes lie on an axis of so much length.
pub(crate) struct TimeAxis<'a> {
    spans: &'a [TimeSpan],
    minutes: f64,
    length: f64,
    gap: f64,
}

impl<'a> TimeAxis<'a> {
    pub(crate) fn new(spans: &'a [TimeSpan], length: f64, gap: f64) -> Self {
        let minutes: f64 = spans.iter().map(|span| f64::from(span.to - span.from)).sum();
        Self { spans, minutes: minutes.max(1.0), length, gap }
    }

    fn scale(&self) -> f64 {
        let gaps = self.gap * self.spans.len().saturating_sub(1) as f64;
        (self.length - gaps).max(1.0) / self.minutes
    }

    /// Where each span begins and ends.
    pub(crate) fn places(&self) -> Vec<(f64, f64)> {
        let mut at = 0.0;
        let place = |span: &TimeSpan| {
            let wide = f64::from(span.to - span.from) * self.scale();
            let place = (at, at + wide);
            at += wide + self.gap;
            place
        };
        self.spans.iter().map(place).collect()
    }

    /// The pieces of a bar that lie on the axis.
    pub(crate) fn pieces(&self, from: u32, to: u32) -> Vec<(f64, f64)> {
        let mut pieces = Vec::new();
        for (span, (start, _)) in self.spans.iter().zip(self.places()) {
            let (a, b) = (from.max(span.from), to.min(span.to));
            if a < b {
                let at = |minute: u32| start + f64::from(minute - span.from) * self.scale();
                pieces.push((at(a), at(b)));
            }
        }
        pieces
    }
}

/// Columns of the names.
const NAMES: usize = 24;
/// Lines of the curve.
const HIGH: usize = 5;
const EIGHTHS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// Draws a chart with characters; as wide as asked.
#[must_use]
pub fn time_chart(request: &TimeRequest, columns: usize) -> Vec<String> {
    let wide = columns.saturating_sub(NAMES + 1).max(20);
    let axis = TimeAxis::new(request.spans, wide as f64, 2.0);
    let mut lines = vec![days(request, &axis, wide)];
    for row in request.rows {
        let mut chart = Row::of(' ', wide);
        for bar in &row.bars {
            for (from, to) in axis.pieces(bar.from, bar.to) {
                let (from, to) = (column(from, wide), column(to - 1e-6, wide));
                (from..=to).for_each(|at| chart.put(at, bar.tone.letter()));
            }
        }
        lines.push(line(&row.name, &chart));
    }
    lines.extend(curve(request, &axis, wide));
    lines.push(hours(request, &axis, wide));
    lines
}

fn line(name: &str, chart: &Row) -> String {
    format!("{} {}", padded(&clipped(name, NAMES), NAMES), chart.line()).trim_end().to_owned()
}

fn column(place: f64, wide: usize) -> usize {
    // Cut down to a whole column, on the chart.
    (place.max(0.0) as usize).min(wide - 1)
}

/// The days above the chart.
fn days(request: &TimeRequest, axis: &TimeAxis, wide: usize) -> String {
    let mut row = Row::of(' ', wide);
    for (span, (from, to)) in request.spans.iter().zip(axis.places()) {
        let from = column(from, wide);
        row.write(from, &clipped(&span.label, (column(to, wide) - from).max(1)));
    }
    line("", &row)
}

/// The times below it: when each day's work begins and ends.
fn hours(request: &TimeRequest, axis: &TimeAxis, wide: usize) -> String {
    let mut row = Row::of(' ', wide);
    for (span, (from, to)) in request.spans.iter().zip(axis.places()) {
        let (from, to) = (column(from, wide), column(to - 1e-6, wide));
        let written = |minute: u32| format!("{:02}:{:02}", minute / 60 % 24, minute % 60);
        if to - from > 5 {
            row.write(from, &written(span.from));
        }
        if to - from > 12 {
            row.write(to - 4, &written(span.to));
        }
    }
    line("", &row)
}

/// The highest level of each column, in eighths.
fn curve(request: &TimeRequest, axis: &TimeAxis, wide: usize) -> Vec<String> {
    let most = request.levels.iter().map(|level| level.1).fold(0.0, f64::max);
    if most <= 0.0 {
        return Vec::new();
    }
    let mut heights = vec![0.0_f64; wide];
    let ends = request.levels.iter().skip(1).map(|level| level.0).chain([u32::MAX]);
    for ((from, level), to) in request.levels.iter().zip(ends) {
        for (from, to) in axis.pieces(*from, to) {
            for height in &mut heights[column(from, wide)..=column(to - 1e-6, wide)] {
                *height = height.max(level / most);
            }
        }
    }
    let mut lines = Vec::new();
    for at in (0..HIGH).rev() {
        let mut row = Row::of(' ', wide);
        for (column, height) in heights.iter().enumerate() {
            let eighths = (height * (HIGH * 8) as f64 - (at * 8) as f64).clamp(0.0, 8.0);
            // Never drawn as nothing where there is something.
            let least = if at == 0 && *height > 0.0 { 1 } else { 0 };
            row.put(column, EIGHTHS[(eighths.round() as usize).max(least)]);
        }
        let name = match at {
            _ if at == HIGH - 1 => format!("{} {most:.0}", request.level_words),
            0 => format!("{:>NAMES$}", 0),
            _ => String::new(),
        };
        lines.push(line(&name, &row));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(from: u32, to: u32, label: &str) -> TimeSpan {
        TimeSpan { from, to, label: label.to_owned() }
    }

    #[test]
    fn nights_are_left_out_and_nothing_is_wider_than_asked() {
        let spans = [span(480, 1020, "day 1"), span(1920, 2040, "day 2")];
        let bars = vec![
            TimeBar { from: 480, to: 600, tone: TimeTone::Work },
            TimeBar { from: 900, to: 2040, tone: TimeTone::Fire },
        ];
        let rows = [TimeRow { name: "a long name of a module in a riser".to_owned(), bars }];
        let request = TimeRequest {
            title: "t",
            spans: &spans,
            rows: &rows,
            levels: &[(900, 4.0), (1000, 1.0), (2040, 0.0)],
            level_words: "weight",
            width_mm: 170.0,
        };
        let lines = time_chart(&request, 80);
        assert!(lines.iter().all(|line| crate::width(line) <= 80), "{lines:#?}");
        assert!(lines[1].contains('░') && lines[1].contains('▓'), "{lines:#?}");
        assert!(lines[0].contains("day 1") && lines[0].contains("day 2"), "{lines:#?}");
        assert!(
            lines.last().is_some_and(|line| line.contains("08:00") && line.contains("17:00")),
            "{lines:#?}"
        );
        assert!(lines[2].contains("weight 4") && lines[2].contains('█'), "{lines:#?}");
    }
}
