//! The checker's red pencil: numbered triangles, clouds and lightning marks.

use network::Network;

use crate::circuit_picture::{CheckMark, CircuitRequest, MarkPlace, MarkSign};
use crate::lane::{Places, Spot};
use crate::svg::{Area, Sheet, Stroke};
use crate::symbol::{cloud, lightning, triangle};

/// Half the room that a triangle wants.
const HALF: (f64, f64) = (3.5, 3.1);
/// How far a triangle is moved at each try.
const TRY: f64 = 2.0;
const MAX_TRIES: i32 = 60;

/// Where a mark belongs.
#[derive(Clone, Copy)]
enum At {
    Part(Area),
    Pair(Spot),
}

/// Puts all marks on a finished drawing.
pub(crate) fn checked(sheet: &mut Sheet, request: &CircuitRequest, places: &Places, module: Area) {
    let Some(network) = request.network else { return };
    let terminals = Spot { x: module.right_mm + 2.4, live: 0.0, back: module.bottom_mm + module.top_mm };
    // Marks of the whole circuit stand in the module's box, as many as it holds.
    let mut in_box = module.top_mm + 1.0;
    let mut signed: Vec<(Area, MarkSign)> = Vec::new();
    for mark in request.marks {
        let at = match mark.place {
            MarkPlace::Terminals => Some(At::Pair(terminals)),
            _ => at(network, mark, places),
        };
        let at = at.unwrap_or(At::Part(module));
        if matches!(mark.place, MarkPlace::Whole) && module.bottom_mm - in_box > 2.0 * HALF.1 {
            let at = (f64::midpoint(module.left_mm, module.right_mm), in_box + HALF.1);
            triangle(sheet, at, &mark.number.to_string());
            in_box += 2.0 * HALF.1;
            continue;
        }
        let sign = if matches!(mark.place, MarkPlace::Whole) { MarkSign::Triangle } else { mark.sign };
        let area = signed_at(sheet, sign, at, &mut signed);
        number(sheet, mark.number, area);
    }
}

fn at(network: &Network, mark: &CheckMark, places: &Places) -> Option<At> {
    let part = |wanted: usize| {
        let found = places.parts.iter().find(|(element, _)| *element == wanted);
        found.map(|(_, area)| At::Part(*area))
    };
    let ahead = |wanted: usize| {
        let found = places.ahead.iter().find(|(element, _)| *element == wanted);
        found.map(|(_, spot)| At::Pair(*spot))
    };
    match mark.place {
        MarkPlace::Terminals | MarkPlace::Whole => None,
        MarkPlace::Ahead(node) => {
            let first = network.elements_of(node).min()?;
            ahead(first).or_else(|| part(first))
        }
        MarkPlace::Element(element) => part(element).or_else(|| ahead(element)),
        MarkPlace::Contact(contact) => part(*network.contacts().get(contact)?.elements.first()?),
    }
}

/// Draws the sign and returns the box that the triangle belongs to.
fn signed_at(sheet: &mut Sheet, sign: MarkSign, at: At, signed: &mut Vec<(Area, MarkSign)>) -> Area {
    let (area, spot) = match at {
        At::Part(area) => {
            let spot = Spot {
                x: f64::midpoint(area.left_mm, area.right_mm),
                live: area.top_mm - 2.0,
                back: area.bottom_mm + 2.0,
            };
            (area, spot)
        }
        At::Pair(spot) => (Area::new(spot.x - 2.0, spot.live - 1.5, spot.x + 2.0, spot.live + 1.5), spot),
    };
    // Lightning belongs on the pair; a part gets a cloud.
    let sign = match at {
        At::Part(_) if sign != MarkSign::Triangle => MarkSign::Cloud,
        _ => sign,
    };
    let (area, draw): (Area, bool) = match sign {
        MarkSign::Cloud => (area.grown(0.9), true),
        MarkSign::Across => (Area::new(spot.x - 2.0, spot.live, spot.x + 2.0, spot.back), true),
        MarkSign::Through => (Area::new(spot.x - 2.0, spot.live - 3.5, spot.x + 2.0, spot.live + 3.5), true),
        MarkSign::Triangle => (area, false),
    };
    // The same sign twice at one place is drawn once, with both numbers beside it.
    if !draw || signed.contains(&(area, sign)) {
        return area;
    }
    signed.push((area, sign));
    match sign {
        MarkSign::Cloud => cloud(sheet, area),
        MarkSign::Across => lightning(sheet, (spot.x + 1.0, area.top_mm), (spot.x - 1.0, area.bottom_mm)),
        MarkSign::Through => lightning(sheet, (spot.x + 1.0, area.top_mm), (spot.x - 1.0, area.bottom_mm)),
        MarkSign::Triangle => {}
    }
    area
}

/// The triangle, as near to its place as there is clear paper; a leader line where that is not beside it.
fn number(sheet: &mut Sheet, number: usize, area: Area) {
    let taken: Vec<Area> = sheet.boxes().collect();
    let centre = (f64::midpoint(area.left_mm, area.right_mm), f64::midpoint(area.top_mm, area.bottom_mm));
    let mut best: Option<(f64, (f64, f64))> = None;
    for column in -MAX_TRIES..=MAX_TRIES {
        for line in -MAX_TRIES..=MAX_TRIES {
            let at = (centre.0 + f64::from(column) * TRY, centre.1 + f64::from(line) * TRY);
            let wanted = Area::new(at.0 - HALF.0, at.1 - HALF.1, at.0 + HALF.0, at.1 + HALF.1);
            let distance = distance(area, wanted);
            if best.is_some_and(|(least, _)| least <= distance) || at.0 < 0.0 {
                continue;
            }
            if !taken.iter().any(|other| other.meets(wanted)) {
                best = Some((distance, at));
            }
        }
    }
    let at = best.map_or(centre, |(_, at)| at);
    if best.is_some_and(|(distance, _)| distance > 4.0) {
        let edge = (at.0.clamp(area.left_mm, area.right_mm), at.1.clamp(area.top_mm, area.bottom_mm));
        sheet.line(&[at, edge], Stroke { weight: crate::svg::Weight::Construction, ..Stroke::RED });
    }
    triangle(sheet, at, &number.to_string());
}

/// From box to box; a little more to the left and below, so that triangles stand above right where they can.
fn distance(from: Area, to: Area) -> f64 {
    let across = (to.left_mm - from.right_mm).max(from.left_mm - to.right_mm).max(0.0);
    let down = (to.top_mm - from.bottom_mm).max(from.top_mm - to.bottom_mm).max(0.0);
    let left = f64::midpoint(to.left_mm, to.right_mm) < f64::midpoint(from.left_mm, from.right_mm);
    let under = to.top_mm > from.bottom_mm;
    across.hypot(down) + if left { 0.6 } else { 0.0 } + if under { 0.4 } else { 0.0 }
}
