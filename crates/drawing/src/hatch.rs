//! Hatching at 45 degrees, once for every drawing.

use crate::svg::{Area, Sheet, Stroke};

/// Lines that rise to the right inside a box, so far from one another along its edges.
pub(crate) fn hatch(sheet: &mut Sheet, area: Area, every_mm: f64, stroke: Stroke) {
    let (wide, high) = (area.right_mm - area.left_mm, area.bottom_mm - area.top_mm);
    let mut along = every_mm;
    while along < wide + high {
        let start = if along <= high {
            (area.left_mm, area.top_mm + along)
        } else {
            (area.left_mm + along - high, area.bottom_mm)
        };
        let end = if along <= wide {
            (area.left_mm + along, area.top_mm)
        } else {
            (area.right_mm, area.top_mm + along - wide)
        };
        sheet.line(&[start, end], stroke);
        along += every_mm;
    }
}
