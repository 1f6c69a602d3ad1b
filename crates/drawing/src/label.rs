//! Names above a leg: lettered so that none overlaps another, with leader lines where they have to climb.

use crate::block::{LINE, VALUE};
use crate::svg::{Anchor, Area, Sheet, Stroke};
use crate::text_width::broken;

/// Names are broken into lines at the first of these widths at which all find room.
const WIDTHS: [f64; 5] = [42.0, 30.0, 22.0, 15.0, 10.0];
/// Clear space around a name.
const CLEAR: f64 = 0.7;
/// Half lines that a name may climb.
const MAX_LEVELS: usize = 24;

/// A name that wants to stand above a place.
#[derive(Clone, Debug)]
pub(crate) struct Wish {
    /// Along the leg.
    pub(crate) x: f64,
    /// The upper edge of what it names.
    pub(crate) top: f64,
    pub(crate) text: String,
}

/// A name with its place.
struct Name {
    lines: Vec<String>,
    area: Area,
    leader: Option<Area>,
}

/// Letters all names onto a sheet that already holds what they must keep clear of.
///
/// From right to left: a name may then always begin at its own place on a level above those to its right,
/// and no leader line crosses one.
pub(crate) fn letter(sheet: &mut Sheet, mut wishes: Vec<Wish>, left: f64, right: f64) {
    wishes.sort_by(|one, other| other.x.total_cmp(&one.x));
    let taken: Vec<Area> = sheet.boxes().collect();
    let all = WIDTHS.iter().find_map(|&width| placed(&wishes, &taken, left, right, width));
    let all = all.unwrap_or_else(|| stacked(&wishes, &taken));
    for name in all {
        let mut y = name.area.top_mm + CLEAR + 0.8 * VALUE.size;
        for line in &name.lines {
            sheet.text((name.area.left_mm + CLEAR, y), line, VALUE, Anchor::Start);
            y += LINE;
        }
        if let Some(Area { left_mm, top_mm, right_mm, bottom_mm }) = name.leader {
            let x = f64::midpoint(left_mm, right_mm);
            sheet.line(&[(x, bottom_mm), (x, top_mm)], Stroke::CONSTRUCTION);
        }
    }
}

/// Every name at its lowest free place; none where one finds no room.
fn placed(wishes: &[Wish], taken: &[Area], left: f64, right: f64, width: f64) -> Option<Vec<Name>> {
    let mut taken = taken.to_vec();
    let mut all = Vec::new();
    for wish in wishes {
        let lines = broken(&wish.text, VALUE.face, VALUE.size, width);
        let (area, leader) = lowest(wish, &lines, &taken, left, right)?;
        taken.push(area);
        taken.extend(leader);
        all.push(Name { lines, area, leader });
    }
    Some(all)
}

/// The last resort: each name above everything else, in full.
fn stacked(wishes: &[Wish], taken: &[Area]) -> Vec<Name> {
    let mut top = taken.iter().map(|area| area.top_mm).fold(0.0, f64::min);
    let mut all = Vec::new();
    for wish in wishes {
        let lines = broken(&wish.text, VALUE.face, VALUE.size, WIDTHS[0]);
        let (width, height) = extent(&lines);
        let bottom = top.min(wish.top);
        top = bottom - height;
        let start = wish.x - CLEAR;
        let leader = Area::new(wish.x - 0.1, bottom, wish.x + 0.1, wish.top - 0.3);
        all.push(Name { lines, area: Area::new(start, top, start + width, bottom), leader: Some(leader) });
    }
    all
}

fn extent(lines: &[String]) -> (f64, f64) {
    let width = lines.iter().map(|line| VALUE.width(line)).fold(0.0, f64::max) + 2.0 * CLEAR;
    // Lines of lettering are few, so counting them in f64 loses nothing.
    let height = (lines.len().max(1) - 1) as f64 * LINE + VALUE.size * 1.02 + 2.0 * CLEAR;
    (width, height)
}

/// The lowest place that is free, with the leader line that it needs.
fn lowest(
    wish: &Wish,
    lines: &[String],
    taken: &[Area],
    left: f64,
    right: f64,
) -> Option<(Area, Option<Area>)> {
    let (width, height) = extent(lines);
    let free = |wanted: Area| !taken.iter().any(|other| other.meets(wanted));
    for level in 0..MAX_LEVELS {
        let bottom = wish.top - level as f64 * LINE / 2.0;
        let leader = (level > 0).then(|| Area::new(wish.x - 0.1, bottom, wish.x + 0.1, wish.top - 0.3));
        let centred = (wish.x - width / 2.0).clamp(left, (right - width).max(left));
        for start in [centred, wish.x - CLEAR - 1.0, wish.x - width + CLEAR + 1.0] {
            let area = Area::new(start, bottom - height, start + width, bottom);
            let over = area.left_mm - 1.0 <= wish.x && wish.x <= area.right_mm + 1.0;
            let inside = area.left_mm >= left && area.right_mm <= right && over;
            if inside && free(area) && leader.is_none_or(free) {
                return Some((area, leader));
            }
        }
    }
    None
}
