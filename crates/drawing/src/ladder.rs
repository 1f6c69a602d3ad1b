//! A network as two legs: what is in line on the upper one, what is across as rungs.

use network::{Element, Network, Node, Part};
use quantity::UnitsShown;

use crate::canvas::Row;
use crate::part::{chain, closed_at_rest, element, label};
use crate::{clipped, width};

/// Columns of a name in the picture; a longer one is cut.
const LONGEST_LABEL: usize = 24;
/// Columns that a picture has at least.
const NARROWEST: usize = 32;
/// Columns that a floor, an end and a contact's symbol need around a name.
const AROUND_LABEL: usize = 15;
/// Brackets in brackets that are drawn; deeper ones are counted.
const DEEPEST: usize = 3;
/// Pieces of one bracket that are drawn.
const MOST_IN_BRACKET: usize = 12;
/// Times that the picture goes on below itself.
const MOST_FLOORS: usize = 6;
/// Pieces that can stand on so many floors, at the narrowest.
const MOST_PIECES: usize = 200;

/// A part of the picture: its rows hang from the upper leg, which is the first of them.
struct Block {
    rows: Vec<Row>,
    /// What stands on the lower leg.
    lower: Row,
    /// Whether the last row reaches the lower leg: a rung.
    reaches: bool,
    /// Elements that it stands for.
    parts: usize,
}

/// Draws a network in lines of at most so many columns (32 where fewer are asked for), from the terminals at
/// the left to the end at the right. What does not fit goes on below; what is too long for a picture is counted.
#[must_use]
pub fn ladder(network: &Network, units: UnitsShown, columns: usize) -> Vec<String> {
    let pen = Pen { network, units, columns: columns.max(NARROWEST) };
    let chain = chain(network, network.root(), MOST_PIECES);
    let mut blocks: Vec<Block> = Vec::new();
    for (piece, in_line) in &chain.pieces {
        blocks.push(if *in_line { pen.on_leg(*piece) } else { pen.rung(*piece, false) });
    }
    blocks.push(if network.operands(chain.end).is_some() {
        pen.counted(chain.end, true)
    } else {
        pen.rung(chain.end, true)
    });
    floors(&blocks, pen.columns)
}

/// Packs blocks on floors and draws each floor.
fn floors(blocks: &[Block], columns: usize) -> Vec<String> {
    // Each floor has two columns in front and two behind for where it comes from and goes on.
    let room = columns - 4;
    let mut lines = Vec::new();
    let mut from = 0;
    let mut floor = 0;
    while from < blocks.len() {
        if floor == MOST_FLOORS {
            let more: usize = blocks[from..].iter().map(|block| block.parts).sum();
            lines.push(format!("… and {more} more parts"));
            break;
        }
        let mut taken = 0;
        let mut to = from;
        while to < blocks.len() && (to == from || taken + blocks[to].lower.columns() <= room) {
            taken += blocks[to].lower.columns();
            to += 1;
        }
        if floor > 0 {
            lines.push(String::new());
        }
        lines.extend(draw(&blocks[from..to], from == 0, to == blocks.len()));
        from = to;
        floor += 1;
    }
    lines
}

fn draw(blocks: &[Block], first: bool, last: bool) -> Vec<String> {
    let height = 1 + blocks.iter().map(|block| block.rows.len()).max().unwrap_or(0).max(2);
    let start = if first { "o─" } else { "…─" };
    let mut rows: Vec<Row> = vec![Row::of(' ', 2); height];
    rows[0].write(0, start);
    rows[height - 1].write(0, start);
    for block in blocks {
        let columns = block.lower.columns();
        for (at, row) in rows.iter_mut().enumerate() {
            if at + 1 == height {
                row.append(&block.lower);
            } else if let Some(own) = block.rows.get(at) {
                row.append(own);
            } else {
                row.append(&block.stem(columns));
            }
        }
    }
    if !last {
        rows[0].append(&ending());
        rows[height - 1].append(&ending());
    }
    rows.iter().map(Row::line).collect()
}

fn ending() -> Row {
    let mut row = Row::of('─', 2);
    row.put(1, '…');
    row
}

impl Block {
    /// What fills the rows between a block's own and the lower leg.
    fn stem(&self, columns: usize) -> Row {
        let mut row = Row::of(' ', columns);
        if self.reaches {
            row.put(columns / 2, '│');
        }
        row
    }
}

struct Pen<'a> {
    network: &'a Network,
    units: UnitsShown,
    columns: usize,
}

impl Pen<'_> {
    /// A piece in line: on the upper leg, or on the lower one where it sits in the return.
    fn on_leg(&self, piece: Node) -> Block {
        let parts = self.parts(piece);
        let mut rows = self.in_line(piece, 0);
        if rows.first().map_or(0, Row::columns) > self.columns - 6 {
            rows = vec![leg(&self.count(piece))];
        }
        if rows.len() == 1 && self.network.operands(piece).is_some() {
            // A home run: out and back, so the bracket shows where it ends.
            let mut bracketed = self::one("(");
            bracketed.append(&rows[0]);
            bracketed.append(&self::one(")"));
            rows = vec![bracketed];
        }
        let columns = rows.first().map_or(0, Row::columns);
        let returns = element(self.network, piece).is_some_and(|element| element.returns);
        if returns && rows.len() == 1 {
            let lower = rows.swap_remove(0);
            return Block { rows: vec![Row::of('─', columns)], lower, reaches: false, parts };
        }
        Block { rows, lower: Row::of('─', columns), reaches: false, parts }
    }

    /// A piece across the pair, or what closes it at the end.
    fn rung(&self, piece: Node, end: bool) -> Block {
        let labels = self.rung_labels(piece);
        let closing = element(self.network, piece).map(|element| &element.part);
        if end && matches!(closing, Some(Part::Wire(_) | Part::Core(_))) {
            let mut block = self.on_leg(piece);
            block.rows[0].append(&one("┐"));
            block.lower.append(&one("┘"));
            let columns = block.lower.columns();
            let mut side = Row::of(' ', columns);
            side.put(columns - 1, '│');
            block.rows.push(side);
            return Block { reaches: true, ..block };
        }
        let widest = labels.iter().map(|label| width(label)).max().unwrap_or(0);
        // An odd number of columns, so that the rung stands in the middle.
        let columns = (widest + 2).max(5) | 1;
        let middle = columns / 2;
        let open = end && matches!(closing, Some(Part::Open));
        let leg_row = |joint: char| {
            let mut row = Row::of('─', columns);
            row.put(middle, joint);
            if end {
                for column in middle + 1..columns {
                    row.put(column, ' ');
                }
            }
            row
        };
        let mut rows = vec![leg_row(if open {
            'o'
        } else if end {
            '┐'
        } else {
            '┬'
        })];
        for text in &labels {
            let mut row = Row::of(' ', columns);
            row.write((columns - width(text)) / 2, text);
            rows.push(row);
        }
        let lower = leg_row(if open {
            'o'
        } else if end {
            '┘'
        } else {
            '┴'
        });
        Block { rows, lower, reaches: !open, parts: self.parts(piece) }
    }

    fn counted(&self, piece: Node, end: bool) -> Block {
        let mut block = Block {
            rows: vec![leg(&self.count(piece))],
            lower: Row::default(),
            reaches: false,
            parts: self.parts(piece),
        };
        block.lower = Row::of('─', block.rows[0].columns());
        if end {
            block.rows[0].append(&one("…"));
            block.lower.append(&one("…"));
        }
        block
    }

    /// What stands on a rung from the upper to the lower leg, a line each.
    fn rung_labels(&self, piece: Node) -> Vec<String> {
        if let Some(element) = element(self.network, piece) {
            let joined = matches!(element.part, Part::Joined);
            return vec![if joined { "│".to_owned() } else { self.symbol(element) }];
        }
        let chain = chain(self.network, piece, MOST_IN_BRACKET);
        let all_in_line = chain.pieces.iter().all(|(_, in_line)| *in_line);
        if !all_in_line || self.network.operands(chain.end).is_some() {
            return vec![self.count(piece)];
        }
        let nodes = chain.pieces.iter().map(|(node, _)| *node).chain([chain.end]);
        nodes
            .map(|node| match element(self.network, node) {
                Some(element) => self.symbol(element),
                None => self.count(node),
            })
            .collect()
    }

    /// A piece drawn along the leg: first its own row, then what hangs below it.
    fn in_line(&self, piece: Node, depth: usize) -> Vec<Row> {
        if let Some(element) = element(self.network, piece) {
            return vec![leg(&self.symbol(element))];
        }
        let chain = chain(self.network, piece, MOST_IN_BRACKET);
        if depth == DEEPEST || self.network.operands(chain.end).is_some() {
            return vec![leg(&self.count(piece))];
        }
        let mut rows = self.in_line(chain.end, depth + 1);
        for (piece, in_line) in chain.pieces.iter().rev() {
            let before = self.in_line(*piece, depth + 1);
            rows = if *in_line { beside(before, rows) } else { over(before, rows) };
        }
        rows
    }

    fn symbol(&self, element: &Element) -> String {
        let label = clipped(&label(element, self.units), LONGEST_LABEL.min(self.columns - AROUND_LABEL));
        match (&element.part, closed_at_rest(element)) {
            (_, Some(true)) => format!("o─{label}─o"),
            (_, Some(false)) => format!("o {label} o"),
            (Part::Resistor { .. } | Part::Capacitor(_), _) => format!("[{label}]"),
            (Part::Wire(_) | Part::Core(_) | Part::Joined | Part::Open, _) => label,
            _ => format!("({label})"),
        }
    }

    fn count(&self, piece: Node) -> String {
        format!("({} parts)", self.parts(piece))
    }

    fn parts(&self, piece: Node) -> usize {
        self.network.elements_of(piece).count()
    }
}

fn one(letter: &str) -> Row {
    let mut row = Row::of(' ', 1);
    row.write(0, letter);
    row
}

/// A text on a leg, with some of the leg at either side.
fn leg(text: &str) -> Row {
    let mut row = Row::of('─', width(text) + 4);
    row.write(2, text);
    row
}

fn beside(one: Vec<Row>, other: Vec<Row>) -> Vec<Row> {
    let columns = |rows: &[Row]| rows.first().map_or(0, Row::columns);
    let blank = [Row::of(' ', columns(&one)), Row::of(' ', columns(&other))];
    (0..one.len().max(other.len()))
        .map(|at| {
            let mut row = one.get(at).unwrap_or(&blank[0]).clone();
            row.append(other.get(at).unwrap_or(&blank[1]));
            row
        })
        .collect()
}

/// Two pieces across one another, the second below the first.
fn over(upper: Vec<Row>, lower: Vec<Row>) -> Vec<Row> {
    let columns = upper.iter().chain(&lower).map(Row::columns).max().unwrap_or(0);
    let framed = |row: &Row, left: &str, right: &str, fill: char| {
        let mut framed = one(left);
        let missing = columns - row.columns();
        framed.append(&Row::of(fill, missing / 2));
        framed.append(row);
        framed.append(&Row::of(fill, missing - missing / 2));
        framed.append(&one(right));
        framed
    };
    let mut rows = Vec::with_capacity(upper.len() + lower.len());
    for (at, row) in upper.iter().enumerate() {
        rows.push(if at == 0 { framed(row, "┬", "┬", '─') } else { framed(row, "│", "│", ' ') });
    }
    for (at, row) in lower.iter().enumerate() {
        rows.push(if at == 0 { framed(row, "└", "┘", '─') } else { framed(row, " ", " ", ' ') });
    }
    rows
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn drawn(notation: &str) -> String {
        let network = Network::parse(notation).unwrap();
        let lines = ladder(&network, UnitsShown::Metric, 78);
        assert!(lines.iter().all(|line| width(line) <= 78), "{lines:#?}");
        lines.join("\n").replace('\u{2009}', " ")
    }

    #[test]
    fn two_leaves_and_the_resistor_at_the_end() {
        let expected = "\
o───38 m────o─leaf1─o────2 m────o─leaf2─o───────┐
                                            [2.2 kΩ]
o───────────────────────────────────────────────┘";
        assert_eq!(drawn("wire:38m - nc:leaf1 - wire:2m - nc:leaf2 - 2.2k"), expected);
    }

    #[test]
    fn a_contact_with_its_resistor_hangs_below_the_leg() {
        let expected = "\
o───20 m────o─pir.tamper─o──┬──o─pir─o───┬─────┐
                            └──[4.7 kΩ]──┘ [4.7 kΩ]
o──────────────────────────────────────────────┘";
        assert_eq!(drawn("wire:20m - nc:pir.tamper - (nc:pir | 4.7k) - 4.7k"), expected);
        let expected = "\
o───20 m─────┬─────(J1)─────┬────────┐
           12 m           o y o  [4.7 kΩ]
           o x o            │        │
o────────────┴──────────────┴────────┘";
        assert_eq!(drawn("wire:20m - (wire:12m - no:x) | joint:J1 - no:y | 4.7k"), expected);
    }

    #[test]
    fn long_and_deep_ones_stay_within_the_lines() {
        let many = (0..300).map(|at| format!("nc:door_{at} - wire:3m - ")).collect::<String>() + "2.2k";
        let text = drawn(&many);
        assert!(text.ends_with("… and 565 more parts"), "{text}");
        let deep = "(".repeat(30) + "nc:a" + &" | 1k) - 2k".repeat(30);
        drawn(&deep);
        drawn(&format!("nc:{} - no:{} | 4.7k", "łąka".repeat(30), "車庫".repeat(30)));
    }

    fn notation() -> impl Strategy<Value = String> {
        let element = prop::sample::select(vec![
            "wire:38m",
            "core:4ft^",
            "nc:leaf",
            "no:a.tamper",
            "nc:łąka^",
            "no:車庫",
            "4.7k",
            "smoke:D1",
            "joint:J",
            "sounder:S",
            "diode",
            "47uF",
            "joined",
            "open",
            "wire:3..9m",
            "wire:2.5ohm",
        ]);
        element.prop_map(str::to_owned).prop_recursive(5, 40, 6, |inner| {
            prop::collection::vec((inner, any::<bool>()), 1..6).prop_map(|pieces| {
                let join = |mut text: String, (piece, in_line): &(String, bool)| {
                    if !text.is_empty() {
                        text.push_str(if *in_line { " - " } else { " | " });
                    }
                    text + &format!("({piece})")
                };
                pieces.iter().fold(String::new(), join)
            })
        })
    }

    proptest! {
        #[test]
        fn whatever_is_drawn_fits_and_its_legs_end_together(text in notation(), columns in NARROWEST..100) {
            let network = Network::parse(&text).unwrap();
            let lines = ladder(&network, UnitsShown::Us, columns);
            for line in &lines {
                prop_assert!(width(line) <= columns, "{}", lines.join("\n"));
            }
            prop_assert!(lines.len() >= 3);
            prop_assert!(crate::sentence(&network, UnitsShown::Us).ends_with('.'));
        }
    }
}
