//! A pair on the sheet: two legs, what stands in and between them, and the pairs that leave it.
//!
//! A lane is laid out with its live leg at height 0 and true places along the sheet, then moved down to
//! where it belongs. A home run takes over the live leg, comes back below, and the live leg goes on from
//! there; a branch hangs below the whole lane. A lane that is too long goes on in a new row.

use crate::block::{lying, standing};
use crate::chain::{Block, End, Item};
use crate::parts::Parts;
use crate::row::Turns;
use crate::run::Scale;
use crate::svg::{Area, Sheet};

/// The legs are at least so far apart.
pub(crate) const GAP: f64 = 13.0;
/// In a pair of several rows they are nearer.
pub(crate) const NARROW_GAP: f64 = 9.0;
/// Plain leg on both sides of a part.
pub(crate) const LEAD: f64 = 1.2;
/// What a branch takes along the leg.
pub(crate) const TAP: f64 = 7.0;
/// From where a home run leaves to its first part.
pub(crate) const HOME: f64 = 4.0;
/// What the mark of a row's end takes.
pub(crate) const TURN: f64 = 5.0;

/// Where things are, for the checker's marks.
#[derive(Clone, Debug, Default)]
pub(crate) struct Places {
    /// Elements, with the box of their symbol and value.
    pub(crate) parts: Vec<(usize, Area)>,
    /// Ahead of an element: a place on the pair.
    pub(crate) ahead: Vec<(usize, Spot)>,
}

/// A place on a pair, between its legs.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Spot {
    pub(crate) x: f64,
    pub(crate) live: f64,
    pub(crate) back: f64,
}

impl Places {
    pub(crate) fn absorb(&mut self, other: Self, dy: f64) {
        self.parts.extend(other.parts.into_iter().map(|(at, area)| (at, area.moved(0.0, dy))));
        let moved = |spot: Spot| Spot { live: spot.live + dy, back: spot.back + dy, ..spot };
        self.ahead.extend(other.ahead.into_iter().map(|(at, spot)| (at, moved(spot))));
    }
}

/// A lane laid out.
pub(crate) struct Lane {
    pub(crate) sheet: Sheet,
    /// Where the return leg comes in, at the left.
    pub(crate) back: f64,
    pub(crate) places: Places,
}

/// What lanes are laid out with.
#[derive(Clone, Copy)]
pub(crate) struct Layout<'a> {
    pub(crate) parts: Parts<'a>,
    pub(crate) scale: Scale,
    /// Nothing lies farther right, if it can be helped.
    pub(crate) right: f64,
    /// Names stand no farther left.
    pub(crate) left: f64,
    /// Elements with a cloud around them, whose names stand clear of it.
    pub(crate) clouded: &'a [usize],
    /// The legs are at least so far apart.
    pub(crate) gap: f64,
}

impl Layout<'_> {
    /// How far right the items would reach in one row.
    pub(crate) fn reach(&self, items: &[Item], from: f64) -> f64 {
        let mut x = from;
        let mut right = from;
        for item in items {
            let advance = self.length(item);
            if let Item::Home(inner) = item {
                right = right.max(self.reach(inner, x + HOME));
            } else if let Item::Tap(inner) = item {
                right = right.max(self.reach(inner, x + TAP));
            }
            x += advance;
        }
        right.max(x)
    }

    pub(crate) fn length(&self, item: &Item) -> f64 {
        match item {
            Item::Run { element } => self.scale.drawn(&self.parts, *element).length,
            Item::Along { block, returns } => lying(block, &self.parts, !returns).length + 2.0 * LEAD,
            Item::Rung(block) => {
                let standing = standing(block, &self.parts, !is_lone(block));
                standing.left + standing.right + 2.0 * LEAD
            }
            Item::Tap(_) => TAP,
            Item::Home(_) => 0.0,
            Item::End(End::Part(block)) => {
                let standing = standing(block, &self.parts, !is_lone(block));
                LEAD + standing.left + standing.right
            }
            Item::End(_) => 2.0 * LEAD,
        }
    }

    /// Lays items out from `from` on, in as many rows as they need.
    pub(crate) fn lane(&self, items: &[Item], from: f64, depth: usize) -> Lane {
        let rows = self.rows(items, from);
        let gap = if rows.len() > 1 { NARROW_GAP } else { self.gap };
        let layout = Self { left: from - LEAD, gap, ..*self };
        let mut whole: Option<Lane> = None;
        for (at, range) in rows.iter().enumerate() {
            let turns = Turns {
                enter: (at > 0).then(|| turn_name(depth, at)),
                leave: (at + 1 < rows.len()).then(|| turn_name(depth, at + 1)),
            };
            let row = layout.row(&items[range.clone()], from, depth, &turns);
            match &mut whole {
                None => whole = Some(row),
                Some(lane) => {
                    let bottom = lane.sheet.area().map_or(0.0, |area| area.bottom_mm);
                    let top = row.sheet.area().map_or(0.0, |area| area.top_mm);
                    let dy = bottom + 3.5 - top;
                    lane.sheet.absorb(row.sheet, 0.0, dy);
                    lane.places.absorb(row.places, dy);
                }
            }
        }
        whole.unwrap_or(Lane { sheet: Sheet::default(), back: GAP, places: Places::default() })
    }

    fn rows(&self, items: &[Item], from: f64) -> Vec<std::ops::Range<usize>> {
        if self.reach(items, from) <= self.right {
            return std::iter::once(0..items.len()).collect();
        }
        let mut rows = Vec::new();
        let mut start = 0;
        let mut x = from;
        for (at, item) in items.iter().enumerate() {
            let length = self.length(item);
            // The end stays with what is in front of it.
            let ends = matches!(items.get(at + 1), Some(Item::End(_)));
            let tail = if ends { self.length(&items[at + 1]) } else { TURN };
            if at > start && x + length + tail > self.right && !matches!(item, Item::End(_) | Item::Home(_)) {
                rows.push(start..at);
                start = at;
                x = from + TURN;
            }
            x += length;
        }
        rows.push(start..items.len());
        rows
    }
}

/// A part that alone stands between the legs has its name above them.
pub(crate) fn is_lone(block: &Block) -> bool {
    matches!(block, Block::One(_))
}

/// What the two sides of a row's end are marked with: `A`, `B`, and `A2` on a pair that leaves another.
fn turn_name(depth: usize, turn: usize) -> String {
    let letter = (b'A'..=b'Z').nth((turn - 1) % 26).map_or('A', char::from);
    let round = (turn - 1) / 26;
    match (depth, round) {
        (0, 0) => letter.to_string(),
        _ => format!("{letter}{}", depth * 10 + round),
    }
}
