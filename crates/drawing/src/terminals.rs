//! The terminal drawing: what lands where on a module, its outputs, and its supply.

use crate::svg::{Anchor, Area, Colour, Dash, Picture, Sheet, Stroke, Type, Weight};
use crate::symbol::terminal;
use crate::terminal_rows::InputRow;
use crate::text_width::broken;

/// From input to input.
const PITCH: f64 = 10.6;
/// The module's box, and the leads from it to the tag.
const BOX: f64 = 13.0;
const LEADS: f64 = 30.0;
const TAG: f64 = 15.0;
/// Inputs in one column before a second one is begun.
const ONE_COLUMN: usize = 8;
const MARGIN: f64 = 1.0;
/// Sheets narrower than this have one column, with each place under its leads.
const NARROW: f64 = 100.0;
/// There: the box, and what a line of the place adds to an input.
const NARROW_BOX: f64 = 11.0;
const LINE: f64 = 3.3;

const NUMBER: Type = Type::lettering(4.0);
const SMALL: Type = Type::text(2.2);
const TEXT: Type = Type::text(2.7);

/// What a terminal drawing is asked for.
#[derive(Clone, Copy, Debug)]
pub struct TerminalRequest<'a> {
    /// The module's id.
    pub module: &'a str,
    /// What it is, where it is and its mode: `Input module, 12 circuits; enclosure E1; mode fixed-2k2`.
    pub words: &'a str,
    /// Its inputs, as [`input_rows`](crate::input_rows) gives them; a long module may be drawn in pieces.
    pub inputs: &'a [InputRow],
    /// Its outputs, each with what it drives: `S1`, `sounder circuit C35`.
    pub outputs: &'a [(String, String)],
    /// The supply of its enclosure; none where there is none, or where another drawing shows it.
    pub supply: Option<SupplyEnd<'a>>,
    /// The width of the drawing.
    pub width_mm: f64,
}

/// The supply's end of a terminal drawing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SupplyEnd<'a> {
    /// Its id.
    pub id: &'a str,
    /// What feeds it: `transformer-18v-50va, AC, either way round`.
    pub feed: &'a str,
    /// The signs at its two terminals: `~` twice, plus and minus, `L` and `N`.
    pub feed_signs: [&'a str; 2],
    /// Its battery: `12 V, 7 Ah`, `24 V: 2 in series, 1 in parallel of 12 V, 7 Ah`; empty where there is none.
    pub battery: &'a str,
}

/// Draws a module's terminals.
#[must_use]
pub fn terminal_drawing(request: &TerminalRequest) -> Picture {
    if request.width_mm < NARROW {
        return narrow(request);
    }
    let mut sheet = Sheet::default();
    let columns = if request.inputs.len() > ONE_COLUMN { 2 } else { 1 };
    let per_column = request.inputs.len().div_ceil(columns).max(1);
    let column_width = (request.width_mm - 2.0 * MARGIN) / 2.0;
    let width = if columns == 1 { request.width_mm - 2.0 * MARGIN } else { column_width };
    for (at, rows) in request.inputs.chunks(per_column).enumerate() {
        let left = at as f64 * column_width;
        column(&mut sheet, request.module, rows, left, width - 3.0);
    }
    let mut y = per_column as f64 * PITCH + 6.0;
    y = outputs(&mut sheet, request, y);
    if let Some(supply) = &request.supply {
        supply_end(&mut sheet, supply, y);
    }
    finished(&sheet, request)
}

fn finished(sheet: &Sheet, request: &TerminalRequest) -> Picture {
    let area = sheet.area().unwrap_or(Area::new(0.0, 0.0, 1.0, 1.0)).grown(MARGIN);
    let view = Area { right_mm: area.right_mm.max(area.left_mm + request.width_mm), ..area };
    let title = format!("Terminals of module {}", request.module);
    sheet.picture(view, &title, &described(request), String::new())
}

/// One input under the other, each place under its leads, the supply as lines of words.
fn narrow(request: &TerminalRequest) -> Picture {
    let mut sheet = Sheet::default();
    let right = request.width_mm - 2.0 * MARGIN;
    sheet.text((0.0, -2.0), request.module, Type::lettering(3.4), Anchor::Start);
    let mut top = 0.0;
    for row in request.inputs {
        let mut lines = broken(&row.place, TEXT.face, TEXT.size, right - NARROW_BOX - 3.0);
        lines.extend(row.smoke.then(|| {
            if row.tag.is_empty() { "takes two-wire smoke detectors" } else { "smoke input" }.to_owned()
        }));
        if lines == [""] {
            lines.clear();
        }
        let bottom = top + PITCH + lines.len() as f64 * LINE + 0.6;
        sheet.rectangle(Area::new(0.0, top, NARROW_BOX, bottom), Some(Stroke::OUTLINE), None);
        input_terminals(&mut sheet, row, (0.0, NARROW_BOX, right - TAG), top, "not used");
        for (at, line) in lines.iter().enumerate() {
            let y = top + PITCH + 1.6 + at as f64 * LINE;
            sheet.text((NARROW_BOX + 2.6, y), line, TEXT, Anchor::Start);
        }
        top = bottom;
    }
    let mut y = outputs(&mut sheet, request, top + 6.0);
    if let Some(supply) = &request.supply {
        sheet.text((0.0, y + 3.0), supply.id, Type::lettering(3.4), Anchor::Start);
        y += 8.0;
        let [one, other] = supply.feed_signs;
        let battery = if supply.battery.is_empty() {
            "no battery".to_owned()
        } else {
            format!(
                "{}; red to +, black to \u{2212}; battery last, unless the manual says otherwise",
                supply.battery
            )
        };
        let says = [
            ("feed", format!("{one} {other}: {}", supply.feed)),
            ("output", "+ \u{2212}: DC, to the modules, + to +, \u{2212} to \u{2212}".to_owned()),
            ("battery", format!("+ \u{2212}: {battery}")),
        ];
        for (head, words) in says {
            sheet.text((0.0, y), head, Type::lettering(3.0), Anchor::Start);
            for line in broken(&words, TEXT.face, TEXT.size, right - 15.0) {
                sheet.text((15.0, y), &line, TEXT, Anchor::Start);
                y += LINE;
            }
            y += 1.2;
        }
    }
    finished(&sheet, request)
}

fn column(sheet: &mut Sheet, module: &str, rows: &[InputRow], left: f64, width: f64) {
    let name = Type::lettering(3.4);
    sheet.text((left, -2.0), module, name, Anchor::Start);
    let bottom = rows.len() as f64 * PITCH;
    sheet.rectangle(Area::new(left, 0.0, left + BOX, bottom), Some(Stroke::OUTLINE), None);
    for (at, row) in rows.iter().enumerate() {
        let top = at as f64 * PITCH;
        if at > 0 {
            sheet.line(&[(left, top), (left + BOX, top)], Stroke::CONSTRUCTION);
        }
        input(sheet, row, left, top, width);
    }
}

/// One input with what lands on it, the place at the right.
fn input(sheet: &mut Sheet, row: &InputRow, left: f64, top: f64, width: f64) {
    let flag = left + BOX + LEADS;
    let unused = if row.smoke { "not used; takes two-wire smoke detectors" } else { "not used" };
    input_terminals(sheet, row, (left, left + BOX, flag), top, unused);
    if row.tag.is_empty() {
        return;
    }
    let text_at = flag + TAG + 1.6;
    let room = left + width - text_at;
    let mut lines = lettered(&row.place, room, row.smoke);
    if row.smoke {
        lines.push("smoke input".to_owned());
    }
    let mut y = top + 5.3 + 0.9 - (lines.len() as f64 - 1.0) * 1.5;
    for line in &lines {
        sheet.text((text_at, y), line, TEXT, Anchor::Start);
        y += 3.1;
    }
}

/// An input's number, its two terminals, and the cores and the tag that land on them; `across` is where its box begins and
/// ends and where the tag hangs.
fn input_terminals(sheet: &mut Sheet, row: &InputRow, across: (f64, f64, f64), top: f64, unused: &str) {
    let (live, back) = (top + 3.0, top + 7.6);
    let (left, edge, flag) = across;
    sheet.text((left + 3.6, top + 6.8), &row.number.to_string(), NUMBER, Anchor::Middle);
    for (y, letter) in [(live, "a"), (back, "b")] {
        sheet.text((edge - 2.6, y + 0.7), letter, SMALL.coloured(Colour::Pencil), Anchor::Middle);
    }
    if row.tag.is_empty() {
        for y in [live, back] {
            terminal(sheet, (edge, y));
        }
        sheet.text((edge + 3.0, top + 6.2), unused, SMALL.coloured(Colour::Pencil), Anchor::Start);
        return;
    }
    for (y, core, words) in [(live, &row.live, "live"), (back, &row.back, "return")] {
        sheet.line(&[(edge, y), (flag, y)], Stroke::OUTLINE);
        terminal(sheet, (edge, y));
        let core = if core.is_empty() { words } else { core };
        let kind = if core == words { SMALL.coloured(Colour::Pencil) } else { SMALL };
        let shown = shortened(core, kind, flag - edge - 5.0);
        sheet.text((edge + 2.6, y - 0.9), &shown, kind, Anchor::Start);
    }
    tag_flag(sheet, &row.tag, (flag, live - 1.2), back - live + 2.4);
}

/// The place in as many lines as an input has room for; the whole stands in the circuit schedule.
fn lettered(place: &str, room: f64, smoke: bool) -> Vec<String> {
    let most = if smoke { 2 } else { 3 };
    let mut lines = broken(place, TEXT.face, TEXT.size, room);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            *last = shortened(&format!("{last} and so on, see the schedule"), TEXT, room);
        }
    }
    lines
}

/// Cut at the end with a sign that says so; the full text stands elsewhere on the sheet.
fn shortened(text: &str, kind: Type, room: f64) -> String {
    if kind.width(text) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    for letter in text.chars() {
        if kind.width(&format!("{kept}{letter}\u{2026}")) > room {
            break;
        }
        kept.push(letter);
    }
    format!("{}\u{2026}", kept.trim_end())
}

/// The cable's tag as it hangs there: an outline with a point.
fn tag_flag(sheet: &mut Sheet, tag: &str, (x, y): (f64, f64), height: f64) {
    let middle = y + height / 2.0;
    let outline =
        [(x, y), (x + TAG - 2.0, y), (x + TAG, middle), (x + TAG - 2.0, y + height), (x, y + height)];
    sheet.shape(&outline, Some(Stroke::OUTLINE), None);
    let full = Type::lettering(4.0);
    let size = (full.size * (TAG - 3.5) / full.width(tag).max(TAG - 3.5)).max(1.0);
    sheet.text((x + 1.4, middle + size * 0.36), tag, Type::lettering(size), Anchor::Start);
}

fn outputs(sheet: &mut Sheet, request: &TerminalRequest, y: f64) -> f64 {
    let mut y = y;
    let cover = ("tamper".to_owned(), "switch on the enclosure's cover, opens the circuit".to_owned());
    // A module that is drawn in pieces has its cover on the first.
    let first = request.inputs.first().is_none_or(|row| row.number == 1);
    let all = request.outputs.iter().chain(std::iter::once(&cover).filter(|_| first));
    for (id, drives) in all {
        let kind = Type::lettering(3.0);
        let box_width = (kind.width(id) + 8.0).max(BOX);
        sheet.rectangle(Area::new(0.0, y, box_width, y + 8.0), Some(Stroke::OUTLINE), None);
        sheet.text((1.6, y + 5.0), id, kind, Anchor::Start);
        for at in [y + 2.2, y + 5.8] {
            sheet.line(&[(box_width, at), (box_width + 8.0, at)], Stroke::OUTLINE);
            terminal(sheet, (box_width, at));
        }
        if id == "tamper" {
            sheet.line(
                &[(box_width + 8.0, y + 2.2), (box_width + 8.0, y + 5.8)],
                Stroke::CONSTRUCTION.dashed(Dash::Dashed),
            );
        }
        let room = request.width_mm - box_width - 14.0;
        let text = broken(drives, TEXT.face, TEXT.size, room);
        for (at, line) in text.iter().take(3).enumerate() {
            sheet.text((box_width + 10.0, y + 4.8 + at as f64 * 3.1), line, TEXT, Anchor::Start);
        }
        y += 11.0 + text.len().clamp(1, 3) as f64 * 3.1 - 3.1;
    }
    y + 2.0
}

/// Lines that what feeds a supply may take beside its battery's.
const MOST_FEED_LINES: usize = 5;

/// The supply's terminals: what feeds it, what it gives, its battery.
fn supply_end(sheet: &mut Sheet, supply: &SupplyEnd, y: f64) {
    let kind = Type::lettering(3.0);
    sheet.text((0.0, y + 3.0), supply.id, Type::lettering(3.4), Anchor::Start);
    let top = y + 5.0;
    sheet.rectangle(Area::new(0.0, top, 96.0, top + 13.0), Some(Stroke::OUTLINE), None);
    let groups = [
        (8.0, "feed", supply.feed_signs),
        (44.0, "output", ["+", "\u{2212}"]),
        (78.0, "battery", ["+", "\u{2212}"]),
    ];
    for (x, name, signs) in groups {
        sheet.text((x + 4.0, top + 4.6), name, kind, Anchor::Middle);
        for (at, sign) in signs.into_iter().enumerate() {
            let x = x + at as f64 * 8.0;
            sheet.text((x, top + 9.6), sign, kind, Anchor::Middle);
            sheet.line(&[(x, top + 13.0), (x, top + 18.0)], Stroke::OUTLINE);
            terminal(sheet, (x, top + 13.0));
        }
    }
    let below = top + 22.0;
    for (at, line) in broken(supply.feed, TEXT.face, TEXT.size, 34.0).iter().take(MOST_FEED_LINES).enumerate()
    {
        sheet.text((0.0, below + at as f64 * 3.1), line, TEXT, Anchor::Start);
    }
    for (at, line) in ["DC, to the modules:", "+ to +, \u{2212} to \u{2212}"].into_iter().enumerate() {
        sheet.text((36.0, below + at as f64 * 3.1), line, TEXT, Anchor::Start);
    }
    battery(sheet, supply, top + 18.0);
}

/// A battery (IEC 60617, S01341): the long line is the positive plate.
fn battery(sheet: &mut Sheet, supply: &SupplyEnd, y: f64) {
    if supply.battery.is_empty() {
        sheet.text((72.0, y + 4.0), "no battery", TEXT, Anchor::Start);
        return;
    }
    let middle = y + 4.0;
    sheet.line(&[(78.0, y), (78.0, middle), (80.0, middle)], Stroke::OUTLINE);
    sheet.line(&[(86.0, y), (86.0, middle), (84.0, middle)], Stroke::OUTLINE);
    for (x, half, weight) in [
        (80.0, 2.8, Weight::Outline),
        (81.3, 1.4, Weight::Emphasis),
        (82.7, 2.8, Weight::Outline),
        (84.0, 1.4, Weight::Emphasis),
    ] {
        sheet.line(&[(x, middle - half), (x, middle + half)], Stroke::ink(weight));
    }
    let words =
        [supply.battery, "red to +, black to \u{2212}", "battery last, unless the manual says otherwise"];
    let mut at = y + 10.0;
    for text in words {
        for line in broken(text, TEXT.face, TEXT.size, 60.0) {
            sheet.text((72.0, at), &line, TEXT, Anchor::Start);
            at += 3.1;
        }
    }
}

fn described(request: &TerminalRequest) -> String {
    let used: Vec<String> = request
        .inputs
        .iter()
        .filter(|row| !row.tag.is_empty())
        .map(|row| format!("input {}: {} {}", row.number, row.tag, row.place))
        .collect();
    let unused = request.inputs.len() - used.len();
    let list = if used.is_empty() { "nothing landed".to_owned() } else { used.join("; ") };
    let what = if request.words.is_empty() { String::new() } else { format!(", {}", request.words) };
    format!("Module {}{what}: {list}. {unused} not used.", request.module)
}
