//! Parts without cable between them, drawn lying in a leg or standing between the two.

use crate::chain::Block;
use crate::parts::Parts;
use crate::svg::{Anchor, Area, Sheet, Stroke, Type};
use crate::text_width::broken;

/// Lettering at parts.
pub(crate) const VALUE: Type = Type::lettering(3.0);
/// Names beside a standing part are broken at this width.
const BESIDE: f64 = 30.0;
/// From line to line of lettering.
pub(crate) const LINE: f64 = 3.7;

/// Parts drawn in a leg: the leg at height 0, from 0 to the length.
pub(crate) struct Lying {
    pub(crate) sheet: Sheet,
    pub(crate) length: f64,
    pub(crate) above: f64,
    pub(crate) below: f64,
    /// Names that want to stand above, each with its place along the leg.
    pub(crate) names: Vec<(f64, String)>,
    /// Where each element is.
    pub(crate) spots: Vec<(usize, Area)>,
}

/// Parts drawn between the legs: from 0 down to the height, the axis at 0.
pub(crate) struct Standing {
    pub(crate) sheet: Sheet,
    pub(crate) height: f64,
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) spots: Vec<(usize, Area)>,
}

/// Draws parts lying; `named_above` for those on the leg itself.
pub(crate) fn lying(block: &Block, parts: &Parts, named_above: bool) -> Lying {
    match block {
        Block::One(element) => lying_one(*element, parts, named_above),
        Block::Series(blocks) => {
            let all = blocks.iter().map(|block| lying(block, parts, named_above)).collect();
            in_a_row(all)
        }
        Block::Parallel(blocks) => {
            let branch = |(at, block)| lying(block, parts, named_above && at == 0);
            over_one_another(blocks.iter().enumerate().map(branch).collect())
        }
    }
}

fn lying_one(element: usize, parts: &Parts, named_above: bool) -> Lying {
    let symbol = parts.symbol(element);
    let size = symbol.size();
    let (name, value) = (parts.name(element), parts.value(element));
    let under = if named_above || name.is_empty() { value } else { name.clone() };
    let lines = if under.is_empty() { Vec::new() } else { broken(&under, VALUE.face, VALUE.size, BESIDE) };
    let text_width = lines.iter().map(|line| VALUE.width(line)).fold(0.0, f64::max);
    let length = size.length.max(if lines.is_empty() { 0.0 } else { text_width + 1.6 });
    let start = (length - size.length) / 2.0;
    let mut sheet = Sheet::default();
    sheet.line(&[(0.0, 0.0), (start, 0.0)], Stroke::OUTLINE);
    sheet.line(&[(start + size.length, 0.0), (length, 0.0)], Stroke::OUTLINE);
    symbol.draw(&mut sheet, (start, 0.0), false);
    let mut below = size.below;
    for line in &lines {
        sheet.text((length / 2.0, below + 3.2), line, VALUE, Anchor::Middle);
        below += LINE;
    }
    let body = Area::new(start, -size.above, start + size.length, below);
    let names = if named_above && !name.is_empty() { vec![(length / 2.0, name)] } else { Vec::new() };
    Lying { sheet, length, above: size.above, below, names, spots: vec![(element, body)] }
}

fn in_a_row(all: Vec<Lying>) -> Lying {
    let mut row = Lying {
        sheet: Sheet::default(),
        length: 0.0,
        above: 0.0,
        below: 0.0,
        names: Vec::new(),
        spots: Vec::new(),
    };
    for one in all {
        let x = row.length;
        row.sheet.absorb(one.sheet, x, 0.0);
        row.names.extend(one.names.into_iter().map(|(at, name)| (at + x, name)));
        row.spots.extend(one.spots.into_iter().map(|(element, area)| (element, area.moved(x, 0.0))));
        row.length += one.length;
        row.above = row.above.max(one.above);
        row.below = row.below.max(one.below);
    }
    row
}

/// From one end of a side-by-side piece to its nearest part.
const RAIL: f64 = 2.0;

fn over_one_another(all: Vec<Lying>) -> Lying {
    let inside = all.iter().map(|one| one.length).fold(0.0, f64::max);
    let length = inside + 2.0 * RAIL;
    let mut stack = Lying {
        sheet: Sheet::default(),
        length,
        above: all.first().map_or(0.0, |one| one.above),
        below: 0.0,
        names: Vec::new(),
        spots: Vec::new(),
    };
    let mut y = 0.0;
    for (at, one) in all.into_iter().enumerate() {
        if at > 0 {
            let up = y;
            y = stack.below + 2.4 + one.above;
            stack.sheet.line(&[(RAIL / 2.0, up), (RAIL / 2.0, y)], Stroke::OUTLINE);
            stack.sheet.line(&[(length - RAIL / 2.0, up), (length - RAIL / 2.0, y)], Stroke::OUTLINE);
        }
        let x = (length - one.length) / 2.0;
        let from = if at == 0 { 0.0 } else { RAIL / 2.0 };
        stack.sheet.line(&[(from, y), (x, y)], Stroke::OUTLINE);
        stack.sheet.line(&[(x + one.length, y), (length - from, y)], Stroke::OUTLINE);
        stack.sheet.absorb(one.sheet, x, y);
        stack.names.extend(one.names.into_iter().map(|(at, name)| (at + x, name)));
        stack.spots.extend(one.spots.into_iter().map(|(element, area)| (element, area.moved(x, y))));
        stack.below = y + one.below;
    }
    stack.sheet.dot((RAIL / 2.0, 0.0));
    stack.sheet.dot((length - RAIL / 2.0, 0.0));
    stack
}

/// Draws parts standing; a lone part's name is left out where it stands above the leg.
pub(crate) fn standing(block: &Block, parts: &Parts, name_beside: bool) -> Standing {
    match block {
        Block::One(element) => standing_one(*element, parts, name_beside),
        Block::Series(blocks) => {
            let all = blocks.iter().map(|block| standing(block, parts, name_beside)).collect();
            one_under_another(all)
        }
        Block::Parallel(blocks) => {
            let all = blocks.iter().map(|block| standing(block, parts, name_beside)).collect();
            side_by_side(all)
        }
    }
}

fn standing_one(element: usize, parts: &Parts, name_beside: bool) -> Standing {
    let symbol = parts.symbol(element);
    let size = symbol.size();
    let mut lines = Vec::new();
    for text in [if name_beside { parts.name(element) } else { String::new() }, parts.value(element)] {
        if !text.is_empty() {
            lines.extend(broken(&text, VALUE.face, VALUE.size, BESIDE));
        }
    }
    // Lines of lettering are few, so counting them in f64 loses nothing.
    let needed = lines.len() as f64 * LINE;
    let height = size.length.max(needed + 1.0);
    let start = (height - size.length) / 2.0;
    let mut sheet = Sheet::default();
    sheet.line(&[(0.0, 0.0), (0.0, start)], Stroke::OUTLINE);
    sheet.line(&[(0.0, start + size.length), (0.0, height)], Stroke::OUTLINE);
    symbol.draw(&mut sheet, (0.0, start), true);
    let text_at = size.below + 1.4;
    let mut width: f64 = 0.0;
    let mut y = (height - needed) / 2.0 + 2.9;
    for line in &lines {
        sheet.text((text_at, y), line, VALUE, Anchor::Start);
        width = width.max(VALUE.width(line));
        y += LINE;
    }
    let right = if lines.is_empty() { size.below } else { text_at + width };
    let body = Area::new(-size.above, start, right, start + size.length);
    Standing { sheet, height, left: size.above, right, spots: vec![(element, body)] }
}

fn one_under_another(all: Vec<Standing>) -> Standing {
    let mut pile =
        Standing { sheet: Sheet::default(), height: 0.0, left: 0.0, right: 0.0, spots: Vec::new() };
    for one in all {
        let y = pile.height;
        pile.sheet.absorb(one.sheet, 0.0, y);
        pile.spots.extend(one.spots.into_iter().map(|(element, area)| (element, area.moved(0.0, y))));
        pile.height += one.height;
        pile.left = pile.left.max(one.left);
        pile.right = pile.right.max(one.right);
    }
    pile
}

fn side_by_side(all: Vec<Standing>) -> Standing {
    let inside = all.iter().map(|one| one.height).fold(0.0, f64::max);
    let height = inside + 2.0 * RAIL;
    let mut row = Standing { sheet: Sheet::default(), height, left: 0.0, right: 0.0, spots: Vec::new() };
    let mut x = 0.0;
    for (at, one) in all.into_iter().enumerate() {
        if at == 0 {
            row.left = one.left;
        } else {
            let from = x;
            x = row.right + 1.6 + one.left;
            for y in [RAIL / 2.0, height - RAIL / 2.0] {
                row.sheet.line(&[(from, y), (x, y)], Stroke::OUTLINE);
                if at == 1 {
                    row.sheet.dot((from, y));
                }
            }
        }
        let y = (height - one.height) / 2.0;
        let from = if at == 0 { 0.0 } else { RAIL / 2.0 };
        row.sheet.line(&[(x, from), (x, y)], Stroke::OUTLINE);
        row.sheet.line(&[(x, y + one.height), (x, height - from)], Stroke::OUTLINE);
        row.spots.extend(one.spots.into_iter().map(|(element, area)| (element, area.moved(x, y))));
        row.sheet.absorb(one.sheet, x, y);
        row.right = x + one.right;
    }
    row
}
