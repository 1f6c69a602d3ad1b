//! Names above a leg: lettered so that none overlaps another, with leader lines where they have to climb.

use crate::block::{LINE, VALUE};
use crate::svg::{Anchor, Area, Sheet, Stroke};
use crate::text_width::broken;

/// A name is broken into lines at this width.
const WIDEST: f64 = 42.0;
/// Clear space around a name.
const CLEAR: f64 = 0.7;
/// More levels than any sheet has room for.
const MAX_LEVELS: usize = 400;

/// A name that wants to stand above a place.
#[derive(Clone, Debug)]
pub(crate) struct Wish {
    /// Along the leg.
    pub(crate) x: f64,
    /// The upper edge of what it names.
    pub(crate) top: f64,
    pub(crate) text: String,
}

/// Letters all names onto a sheet that already holds what they must keep clear of.
///
/// From right to left: a name may then always begin at its own place on a level above those to its right,
/// and no leader line crosses one.
pub(crate) fn letter(sheet: &mut Sheet, mut wishes: Vec<Wish>, left: f64, right: f64) {
    wishes.sort_by(|one, other| other.x.total_cmp(&one.x));
    let mut taken: Vec<Area> = sheet.boxes().collect();
    for wish in wishes {
        let lines = broken(&wish.text, VALUE.face, VALUE.size, WIDEST);
        let (area, leader) = place(&wish, &lines, &taken, left, right);
        let mut y = area.top_mm + CLEAR + 0.8 * VALUE.size;
        for line in &lines {
            sheet.text((area.left_mm + CLEAR, y), line, VALUE, Anchor::Start);
            y += LINE;
        }
        taken.push(area);
        if let Some(leader) = leader {
            let x = wish.x;
            sheet.line(&[(x, leader.bottom_mm), (x, leader.top_mm)], Stroke::CONSTRUCTION);
            taken.push(leader);
        }
    }
}

/// The lowest place that is free, with the leader line that it needs.
fn place(wish: &Wish, lines: &[String], taken: &[Area], left: f64, right: f64) -> (Area, Option<Area>) {
    let width = lines.iter().map(|line| VALUE.width(line)).fold(0.0, f64::max) + 2.0 * CLEAR;
    // Lines of lettering are few, so counting them in f64 loses nothing.
    let height = (lines.len().max(1) - 1) as f64 * LINE + VALUE.size * 1.02 + 2.0 * CLEAR;
    let bottom = wish.top;
    let mut last = None;
    for level in 0..MAX_LEVELS {
        let rise = level as f64 * LINE / 2.0;
        let leader = (level > 0)
            .then(|| Area::new(wish.x - 0.1, bottom - rise, wish.x + 0.1, wish.top - 0.3));
        for start in [wish.x - width / 2.0, wish.x - CLEAR - 1.0, wish.x - width + CLEAR + 1.0] {
            let area = Area::new(start, bottom - rise - height, start + width, bottom - rise);
            let free = |wanted: Area| !taken.iter().any(|other| other.meets(wanted));
            let inside = area.left_mm >= left && area.right_mm <= right;
            let clear = free(area) && leader.is_none_or(|leader| free(leader));
            if clear && (inside || level > MAX_LEVELS / 2) {
                return (area, leader);
            }
            last = Some((area, leader));
        }
    }
    last.unwrap_or((Area::new(wish.x, bottom - height, wish.x + width, bottom), None))
}
