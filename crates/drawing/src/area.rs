//! Boxes on a sheet: what meets what.

/// A rectangle in millimetres, `y` downwards.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Area {
    /// Left edge.
    pub left_mm: f64,
    /// Upper edge.
    pub top_mm: f64,
    /// Right edge.
    pub right_mm: f64,
    /// Lower edge.
    pub bottom_mm: f64,
}

impl Area {
    pub(crate) fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self { left_mm: left, top_mm: top, right_mm: right, bottom_mm: bottom }
    }

    pub(crate) fn grown(self, by: f64) -> Self {
        Self::new(self.left_mm - by, self.top_mm - by, self.right_mm + by, self.bottom_mm + by)
    }

    pub(crate) fn moved(self, dx: f64, dy: f64) -> Self {
        Self::new(self.left_mm + dx, self.top_mm + dy, self.right_mm + dx, self.bottom_mm + dy)
    }

    pub(crate) fn hull(self, other: Self) -> Self {
        Self::new(
            self.left_mm.min(other.left_mm),
            self.top_mm.min(other.top_mm),
            self.right_mm.max(other.right_mm),
            self.bottom_mm.max(other.bottom_mm),
        )
    }

    /// Whether two boxes share more than their edges.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        const TOUCH: f64 = 1e-6;
        self.left_mm + TOUCH < other.right_mm
            && other.left_mm + TOUCH < self.right_mm
            && self.top_mm + TOUCH < other.bottom_mm
            && other.top_mm + TOUCH < self.bottom_mm
    }
}
