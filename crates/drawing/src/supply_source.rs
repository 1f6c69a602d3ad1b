//! The source of a supply's drawing: its box, its battery, what feeds it.

use crate::supply_picture::{LINE, SupplyRequest, TEXT, TREE};
use crate::svg::{Anchor, Area, Colour, Sheet, Stroke, Type, Weight};
use crate::symbol::terminal;
use crate::text_width::broken;

/// The source's box.
const WIDE: f64 = 33.0;
/// How far under the box its battery and its transformer stand.
const BELOW: f64 = 7.0;

/// Draws it with its output at the height of the first point.
pub(crate) fn source(sheet: &mut Sheet, request: &SupplyRequest, top: f64) {
    let out = top + 2.6;
    sheet.line(&[(WIDE, out), (TREE, out)], Stroke::OUTLINE);
    let lines: Vec<String> = request.words.iter().flat_map(|words| fitted(words, WIDE - 4.0)).collect();
    let bottom = top + 8.5 + lines.len() as f64 * LINE;
    sheet.rectangle(Area::new(0.0, top - 1.0, WIDE, bottom), Some(Stroke::OUTLINE), None);
    terminal(sheet, (WIDE, out));
    let name = Type::lettering(4.4);
    let size = (name.size * (WIDE - 4.0) / name.width(request.id).max(WIDE - 4.0)).max(1.0);
    sheet.text((2.0, top + 4.6), request.id, Type::lettering(size), Anchor::Start);
    let mut y = top + 9.4;
    for line in &lines {
        sheet.text((2.0, y), line, TEXT, Anchor::Start);
        y += LINE;
    }
    let middle = bottom + BELOW;
    if !request.battery.is_empty() {
        battery(sheet, bottom, middle);
    }
    feed(sheet, request, bottom, middle);
    let mut y = middle + 9.4;
    let battery = if request.battery.is_empty() { &["none".to_owned()][..] } else { request.battery };
    let unsaid = ["nobody has said".to_owned()];
    let feed = if request.feed.is_empty() { &unsaid[..] } else { request.feed };
    for (head, words) in [("battery", battery), ("fed from", feed)] {
        sheet.text((0.0, y), head, TEXT.coloured(Colour::Pencil), Anchor::Start);
        y += LINE;
        for line in words.iter().flat_map(|words| fitted(words, WIDE + 3.0)) {
            sheet.text((0.0, y), &line, TEXT, Anchor::Start);
            y += LINE;
        }
        y += 1.2;
    }
}

fn fitted(words: &str, room: f64) -> Vec<String> {
    broken(words, TEXT.face, TEXT.size, room)
}

/// A battery of two cells (IEC 60617, S01341): the long line is the positive plate.
fn battery(sheet: &mut Sheet, top: f64, y: f64) {
    sheet.line(&[(3.0, top), (3.0, y), (6.0, y)], Stroke::OUTLINE);
    sheet.line(&[(13.0, top), (13.0, y), (10.0, y)], Stroke::OUTLINE);
    for (x, half, weight) in [
        (6.0, 2.8, Weight::Outline),
        (7.3, 1.4, Weight::Emphasis),
        (8.7, 2.8, Weight::Outline),
        (10.0, 1.4, Weight::Emphasis),
    ] {
        sheet.line(&[(x, y - half), (x, y + half)], Stroke::ink(weight));
    }
    let sign = Type::lettering(2.6);
    sheet.text((1.4, top + 3.0), "+", sign, Anchor::Middle);
    sheet.text((14.8, top + 3.0), "\u{2212}", sign, Anchor::Middle);
    for x in [3.0, 13.0] {
        terminal(sheet, (x, top));
    }
}

/// A transformer (IEC 60617, S00840: two windings), or plain leads from an adapter.
fn feed(sheet: &mut Sheet, request: &SupplyRequest, top: f64, y: f64) {
    if request.feed.is_empty() {
        return;
    }
    let x = 26.0;
    if request.transformer {
        sheet.line(&[(x, top), (x, y - 3.9)], Stroke::OUTLINE);
        sheet.circle((x, y - 1.4), 2.5, Some(Stroke::OUTLINE), None);
        sheet.circle((x, y + 1.8), 2.5, Some(Stroke::OUTLINE), None);
        sheet.line(&[(x, y + 4.3), (x, y + 6.4)], Stroke::OUTLINE);
    } else {
        sheet.line(&[(x, top), (x, y + 6.4)], Stroke::OUTLINE);
    }
    terminal(sheet, (x, top));
}
