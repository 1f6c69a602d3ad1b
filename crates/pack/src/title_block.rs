//! A title block's texts, in sizes and lines that surely fit their fields.

use drawing::{Face, broken, text_width};
use serde::Serialize;

use crate::typeset::Block;

/// One millimetre in points.
const MM: f64 = 72.0 / 25.4;

/// The field of the sheet's title, in millimetres; the columns at its right are 102 mm wide together.
const TITLE_WIDE: f64 = 69.0;
/// The place, the seat and the site stand under the title, in so many millimetres.
const LINES_HIGH: f64 = 17.8;
/// Between lines of one text, and above each further text, in parts of the type size.
const LEADING: f64 = 1.22;
const ABOVE: f64 = 0.5;
/// Type sizes in points.
const TITLE: f64 = 16.0;
const FIRST_LINE: f64 = 10.5;
const OTHER_LINES: f64 = 8.2;
const CELL: f64 = 8.0;
/// Fields of the three columns, in millimetres, and what two lines in one of them may take.
pub(crate) const COLUMNS: [f64; 3] = [42.5, 29.5, 19.5];
const CELL_HIGH: f64 = 5.0;
/// How much smaller letters become from one trial to the next, and the smallest share that is tried.
const SMALLER: f64 = 0.94;
const SMALLEST: f64 = 0.3;

/// A text at its place.
#[derive(Serialize, Clone, PartialEq, Debug)]
pub(crate) struct Line {
    text: String,
    /// Type size in points.
    size: f64,
    /// Millimetres under the field's upper edge.
    y: f64,
    /// Whether it is of less weight.
    quiet: bool,
}

/// What differs from sheet to sheet.
#[derive(Serialize, Clone, PartialEq, Debug)]
pub(crate) struct TitleBlock {
    sheet: String,
    title: Vec<Line>,
    lines: Vec<Line>,
    scale: Vec<Line>,
    extra_label: String,
    extra: Vec<Line>,
    held: String,
}

/// What is the same on every sheet.
#[derive(Serialize, Clone, PartialEq, Debug)]
pub(crate) struct CommonCells {
    drawn_from: Vec<Line>,
    numbers_from: Vec<Line>,
    checked_by: Vec<Line>,
}

impl CommonCells {
    /// Fits all of them; where nobody has checked it says `not yet`.
    pub(crate) fn new(drawn_from: &str, numbers_from: &str, checked: &str) -> Self {
        let checked = if checked.is_empty() { "not yet" } else { checked };
        Self {
            drawn_from: cell(drawn_from, COLUMNS[0]),
            numbers_from: cell(numbers_from, COLUMNS[0]),
            checked_by: cell(checked, COLUMNS[0]),
        }
    }
}

impl TitleBlock {
    /// Fits what a sheet says of itself.
    pub(crate) fn new(block: &Block, site: &str, number: usize, count: usize) -> Self {
        let site = site.to_owned();
        let lines: Vec<&String> = block.lines.iter().chain([&site]).filter(|line| !line.is_empty()).collect();
        Self {
            sheet: format!("{number} of {count}"),
            title: title(&block.title),
            lines: fitted(&lines),
            scale: cell(&block.scale, COLUMNS[1]),
            extra_label: block.extra_label.clone(),
            extra: cell(&block.extra, COLUMNS[2]),
            held: block.held.clone(),
        }
    }
}

/// In capitals of the lettering face, one line.
fn title(text: &str) -> Vec<Line> {
    let text = text.to_uppercase();
    let wide = text_width(&text, Face::Lettering, TITLE);
    let size = TITLE * (TITLE_WIDE * MM / wide).min(1.0);
    vec![Line { text, size, y: 0.0, quiet: false }]
}

/// The texts under the title, the first the largest; as large as they can be with everything on.
fn fitted(texts: &[&String]) -> Vec<Line> {
    let sizes = |at: usize, share: f64| if at == 0 { FIRST_LINE * share } else { OTHER_LINES * share };
    let set = |share: f64| {
        let mut lines = Vec::new();
        let mut y = 0.0;
        for (at, text) in texts.iter().enumerate() {
            let size = sizes(at, share);
            if at > 0 {
                y += ABOVE * size / MM;
            }
            for text in broken(text, Face::Text, size, TITLE_WIDE * MM) {
                lines.push(Line { text, size, y, quiet: at > 0 });
                y += LEADING * size / MM;
            }
        }
        (lines, y)
    };
    largest(set, LINES_HIGH)
}

/// A field of one line, or of two in smaller letters.
fn cell(text: &str, wide: f64) -> Vec<Line> {
    let one = text_width(text, Face::Text, CELL) <= wide * MM;
    let set = |share: f64| {
        let size = if one { CELL } else { CELL * 0.86 * share };
        let texts = broken(text, Face::Text, size, wide * MM);
        let mut y = if texts.len() > 1 { -0.6 } else { 0.0 };
        let mut lines = Vec::new();
        for text in texts {
            lines.push(Line { text, size, y, quiet: false });
            y += LEADING * size / MM;
        }
        (lines, y)
    };
    largest(set, CELL_HIGH)
}

/// The largest setting that is not higher than the field.
fn largest(set: impl Fn(f64) -> (Vec<Line>, f64), high: f64) -> Vec<Line> {
    let mut share = 1.0;
    loop {
        let (lines, height) = set(share);
        if height <= high || share < SMALLEST {
            return lines;
        }
        share *= SMALLER;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn low(lines: &[Line]) -> f64 {
        lines.iter().map(|line| line.y + line.size / MM).fold(0.0, f64::max)
    }

    #[test]
    fn a_short_text_keeps_its_size_and_a_long_one_takes_more_lines() {
        let short = fitted(&[&"Pharmacy, double door".to_owned(), &"Intrusion".to_owned()]);
        assert_eq!(short.len(), 2);
        assert!((short[0].size - FIRST_LINE).abs() < 1e-9);
        let long =
            "Główne drzwi wejściowe do poczekalni, skrzydło północno-wschodnie, przy schodach".to_owned();
        let lines = fitted(&[&long, &long, &long]);
        assert!(low(&lines) <= LINES_HIGH, "{lines:?}");
        let all: String = lines.iter().map(|line| line.text.replace(' ', "")).collect();
        assert_eq!(all, long.replace(' ', "").repeat(3));
    }

    #[test]
    fn a_cell_fits_whatever_it_says() {
        for text in ["1 m = 1.5 mm", "meter 0.9 % + 2 digits, leads 0.2 Ω", &"W".repeat(60)] {
            for wide in COLUMNS {
                let lines = cell(text, wide);
                assert!(low(&lines) <= CELL_HIGH, "{lines:?}");
                assert!(lines.iter().all(|line| text_width(&line.text, Face::Text, line.size) <= wide * MM));
            }
        }
    }
}
