//! The one ohm scale on a sheet: its parts, its axis, strips of hatching and upright lines across it.

use network::Bounds;
use quantity::Ohms;

use crate::hatch::hatch;
use crate::parts::ohms_shown;
use crate::scale::{SCALE_FROM, SCALE_TO, Spot};
use crate::svg::{Anchor, Area, Sheet, Stroke, Type};

/// The boxes at both ends.
const BOX: f64 = 14.0;
const BETWEEN: f64 = 4.0;

/// A sheet with the ohm scale across its width.
pub(crate) struct Drawing {
    pub(crate) sheet: Sheet,
    pub(crate) width: f64,
}

impl Drawing {
    pub(crate) fn part(&self, part: usize) -> (f64, f64) {
        let scale = (BOX + BETWEEN, self.width - BOX - BETWEEN);
        [(0.0, BOX), scale, (self.width - BOX, self.width)][part.min(2)]
    }

    pub(crate) fn x(&self, ohms: f64) -> f64 {
        let (part, share) = match Spot::of(Ohms(ohms)) {
            Spot::NearZero(share) => (0, share),
            Spot::Scale(share) => (1, share),
            Spot::Open(share) => (2, share),
        };
        let (from, to) = self.part(part);
        from + (to - from) * share
    }

    /// Over range hangs in the middle of its box.
    pub(crate) fn measured_x(&self, ohms: Ohms) -> f64 {
        if ohms.is_finite() { self.x(ohms.0) } else { self.width - BOX / 2.0 }
    }

    /// The pieces of a range, one for each part of the scale that it touches.
    pub(crate) fn pieces(&self, ohms: Bounds) -> Vec<(f64, f64)> {
        let (lo, hi) = (self.x(ohms.lo), self.x(ohms.hi));
        let parts = (0..3).map(|part| self.part(part));
        parts
            .filter(|(from, to)| lo <= *to && hi >= *from)
            .map(|(from, to)| (lo.max(from), hi.min(to)))
            .collect()
    }

    /// Hatching at 45 degrees: what the tolerance of the edge takes away.
    pub(crate) fn hatch(&mut self, area: Area) {
        hatch(&mut self.sheet, area, 1.1, Stroke::CONSTRUCTION);
    }

    /// An upright line, broken where it would run through lettering.
    pub(crate) fn upright(&mut self, x: f64, (from, to): (f64, f64), stroke: Stroke, lettered: &[Area]) {
        let across = |area: &&Area| area.left_mm - 0.3 < x && x < area.right_mm + 0.3;
        let mut gaps: Vec<(f64, f64)> =
            lettered.iter().filter(across).map(|area| (area.top_mm - 0.2, area.bottom_mm + 0.2)).collect();
        gaps.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut y = from;
        for (top, bottom) in gaps {
            if top > y && top < to {
                self.sheet.line(&[(x, y), (x, top)], stroke);
            }
            y = y.max(bottom);
        }
        if y < to {
            self.sheet.line(&[(x, y), (x, to)], stroke);
        }
    }

    pub(crate) fn axis(&mut self, y: f64) {
        let figures = Type::figures(2.6);
        for (part, name) in [(0, "0"), (2, "open")] {
            let (from, to) = self.part(part);
            self.sheet.line(&[(from, y), (to, y)], Stroke::DIMENSION);
            self.sheet.text((f64::midpoint(from, to), y + 6.0), name, figures, Anchor::Middle);
        }
        let (from, to) = self.part(1);
        self.sheet.line(&[(from, y), (to, y)], Stroke::DIMENSION);
        let mut decade = SCALE_FROM.0;
        while decade < SCALE_TO.0 * 1.01 {
            let x = self.x(decade);
            self.sheet.line(&[(x, y), (x, y + 2.4)], Stroke::DIMENSION);
            let words = ohms_shown(Ohms(decade));
            self.sheet.text((x, y + 6.0), &words, figures, Anchor::Middle);
            for step in 2..10 {
                let x = self.x(decade * f64::from(step));
                if decade * f64::from(step) < SCALE_TO.0 {
                    self.sheet.line(&[(x, y), (x, y + 1.2)], Stroke::CONSTRUCTION);
                }
            }
            decade *= 10.0;
        }
    }
}
