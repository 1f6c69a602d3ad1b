//! The band picture drawn with characters.

use crate::bands::{BandPicture, Bar, BarKind, Edge, Strip};
use crate::canvas::Row;
use crate::{Spot, clipped, width};

/// Columns of each box at the ends, its frame included.
const BOX: usize = 8;
/// The scale has three decades.
const DECADES: usize = 3;
/// Fewer columns a decade cannot be read.
const LEAST_DECADE: usize = 8;

/// One circuit's picture; each line at most as wide as asked for.
#[derive(Clone, PartialEq, Debug)]
pub struct StripLines {
    /// Measured readings, hanging from above; none where nothing was measured.
    pub above: Option<String>,
    /// The bands, with their names lettered inside.
    pub bands: String,
    /// Predicted readings and the decades' ticks.
    pub below: String,
}

/// Which column is what.
#[derive(Clone, Copy)]
struct Columns {
    decade: usize,
}

impl Columns {
    fn fitting(columns: usize) -> Self {
        Self { decade: (columns.saturating_sub(2 * BOX + 1) / DECADES).max(LEAST_DECADE) }
    }

    fn scale(self) -> usize {
        self.decade * DECADES
    }

    fn all(self) -> usize {
        2 * BOX + self.scale() + 1
    }

    /// The column of a place. The position is within 0 to 1, so the rounding below cannot lose anything.
    fn of(self, spot: Spot) -> usize {
        let inside = BOX - 2;
        match spot {
            Spot::NearZero(at) => 1 + cell(at, inside - 1),
            Spot::Scale(at) => BOX + cell(at, self.scale()),
            Spot::Open(at) => BOX + self.scale() + 2 + cell(at, inside - 1),
        }
    }

    /// Whether an edge is less than a column wide.
    fn narrow(self, edge: Edge) -> bool {
        match (edge.from, edge.to) {
            (Spot::Scale(from), Spot::Scale(to)) => (to - from) * f64::from(self.last_scale_column()) < 1.0,
            _ => false,
        }
    }

    fn last_scale_column(self) -> u16 {
        u16::try_from(self.scale()).unwrap_or(u16::MAX)
    }

    fn frames(self) -> [(usize, usize); 3] {
        let open = BOX + self.scale() + 1;
        [(0, BOX - 1), (BOX, open - 1), (open, open + BOX - 1)]
    }

    fn ticks(self) -> impl Iterator<Item = usize> {
        (0..=DECADES).map(move |decade| BOX + decade * self.decade)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "a share of 0 to 1 of at most some hundred columns"
)]
fn cell(share: f64, last: usize) -> usize {
    ((share.clamp(0.0, 1.0) * last as f64).round() as usize).min(last)
}

/// The least columns in which a picture can be drawn.
#[must_use]
pub fn least_width() -> usize {
    Columns { decade: LEAST_DECADE }.all()
}

/// The scale's own two lines: numbers, then the empty frame with its decades.
#[must_use]
pub fn axis(columns: usize) -> [String; 2] {
    let columns = Columns::fitting(columns);
    let mut numbers = Row::of(' ', columns.all());
    numbers.write(1, "near 0");
    for (at, number) in columns.ticks().zip(["100 Ω", "1 kΩ", "10 kΩ", "100 kΩ"]) {
        let from = if number == "100 Ω" { at } else { at.saturating_sub(width(number) / 2) };
        let from = if number == "100 kΩ" { at + 1 - width(number) } else { from };
        numbers.write(from, number);
    }
    numbers.write(columns.all() - BOX + 2, "open");
    let mut frame = framed(columns);
    for tick in columns.ticks().skip(1).take(DECADES - 1) {
        frame.put(tick, '┼');
    }
    [numbers.line(), frame.line()]
}

fn framed(columns: Columns) -> Row {
    let mut row = Row::of('─', columns.all());
    for (from, to) in columns.frames() {
        row.put(from, '├');
        row.put(to, '┤');
    }
    row
}

/// Draws a picture.
#[must_use]
pub fn strip(picture: &BandPicture, columns: usize) -> StripLines {
    let columns = Columns::fitting(columns);
    StripLines {
        above: above(picture, columns),
        bands: bands(picture, columns),
        below: below(picture, columns),
    }
}

fn bands(picture: &BandPicture, columns: Columns) -> String {
    let mut row = framed(columns);
    for edge in &picture.edges {
        draw_edge(&mut row, *edge, columns);
    }
    for strip in &picture.strips {
        letter(&mut row, strip, columns);
    }
    row.line()
}

/// A sharp edge is an upright stroke; one that the tolerance makes uncertain is hatched.
fn draw_edge(row: &mut Row, edge: Edge, columns: Columns) {
    let (from, mut to) = (columns.of(edge.from), columns.of(edge.to));
    if columns.narrow(edge) {
        // Less than a column: one stroke, so that the bands keep their room.
        to = from;
    }
    let mark = if edge.from == edge.to { '│' } else { '╱' };
    for column in from..=to {
        if !columns.frames().iter().any(|(left, right)| column == *left || column == *right) || from == to {
            row.put(column, mark);
        }
    }
}

/// The name of a band and what it means, inside the widest of its parts, as far as it fits.
fn letter(row: &mut Row, strip: &Strip, columns: Columns) {
    let room = |(left, right): (usize, usize)| {
        let mut from = columns.of(strip.from).max(left);
        let mut to = columns.of(strip.to).min(right) + 1;
        while from < to && !row.shows(from, '─') {
            from += 1;
        }
        while from < to && !row.shows(to - 1, '─') {
            to -= 1;
        }
        (to.saturating_sub(from), from)
    };
    let Some((room, from)) = columns.frames().map(room).into_iter().max_by_key(|(room, _)| *room) else {
        return;
    };
    let whole = format!(" {}: {} ", strip.name, strip.means.word());
    let name = format!(" {} ", strip.name);
    let text = if width(&whole) <= room {
        whole
    } else if width(&name) <= room {
        name
    } else if width(&strip.name) <= room {
        strip.name.clone()
    } else if room >= 3 {
        clipped(&strip.name, room)
    } else {
        return;
    };
    row.write(from + (room - width(&text)) / 2, &text);
}

fn below(picture: &BandPicture, columns: Columns) -> String {
    let mut row = Row::of(' ', columns.all());
    for tick in columns.ticks() {
        row.put(tick, '╵');
    }
    for Bar { kind, from, to } in &picture.bars {
        let mark = match kind {
            BarKind::Rest => '█',
            BarKind::Right => 'o',
            BarKind::Wrong => 'x',
        };
        for column in columns.of(*from)..=columns.of(*to) {
            row.put(column, mark);
        }
    }
    row.line()
}

/// Plumbs with their values where there is room; of several in one place the first is drawn.
fn above(picture: &BandPicture, columns: Columns) -> Option<String> {
    if picture.plumbs.is_empty() {
        return None;
    }
    let mut row = Row::of(' ', columns.all());
    let places: Vec<usize> = picture.plumbs.iter().map(|plumb| columns.of(plumb.at)).collect();
    for (plumb, &place) in picture.plumbs.iter().zip(&places) {
        if row.shows(place, ' ') {
            row.put(place, if plumb.rest { '▼' } else { '▽' });
        }
    }
    for (at, plumb) in picture.plumbs.iter().enumerate() {
        let place = places[at];
        if places[..at].contains(&place) {
            continue;
        }
        let next = places[at + 1..].iter().copied().find(|other| *other > place).unwrap_or(columns.all() + 1);
        let text = format!(" {}", plumb.value);
        if place + 1 + width(&text) < next && place + 1 + width(&text) <= columns.all() {
            row.write(place + 1, &text);
        } else if let Some(from) = place.checked_sub(width(&text) + 1)
            && (from..place).all(|column| row.shows(column, ' '))
        {
            row.write(from + 1, &format!("{} ", plumb.value));
        }
    }
    Some(row.line())
}

#[cfg(test)]
mod tests {
    use network::{Bounds, Meaning};
    use quantity::Ohms;

    use super::*;
    use crate::Band;

    fn picture() -> BandPicture {
        let band = |name: &str, means, lo, hi| Band { name: name.to_owned(), means, sure: Bounds { lo, hi } };
        let mut picture = BandPicture::new(&[
            band("short", Meaning::Trouble, 0.0, 1164.0),
            band("rest", Meaning::Normal, 1236.0, 3298.0),
            band("open", Meaning::Alarm, 3502.0, f64::INFINITY),
        ]);
        picture.predict(BarKind::Rest, Bounds { lo: 2090.0, hi: 2310.0 });
        picture.predict(BarKind::Right, Bounds { lo: 1e6, hi: f64::INFINITY });
        picture.measure(Ohms(2210.0), "2.21k".to_owned(), true);
        picture.measure(Ohms::INFINITE, "open".to_owned(), false);
        picture
    }

    #[test]
    fn one_resistor_and_a_door() {
        let lines = strip(&picture(), 78);
        let [numbers, frame] = axis(78);
        let expected = [
            " near 0 100 Ω             1 kΩ                10 kΩ            100 kΩ  open",
            "├──────┤├───────────────────┼───────────────────┼───────────────────┤├──────┤",
            "                                   ▼ 2.21k                            open ▽",
            "├──────┤├── short: trouble ──╱─ rest ─╱──────── open: alarm ────────┤├──────┤",
            "        ╵                   ╵     ██            ╵                   ╵    ooo",
        ];
        assert_eq!([numbers, frame, lines.above.unwrap(), lines.bands, lines.below], expected);
    }

    #[test]
    fn narrow_or_wide_every_line_fits() {
        for columns in [least_width(), 60, 78, 98] {
            let lines = strip(&picture(), columns);
            for line in [lines.above.unwrap(), lines.bands, lines.below].iter().chain(&axis(columns)) {
                assert!(width(line) <= columns, "{columns}: {line}");
            }
        }
    }
}
