//! Circuits that share a core: one conductor carries the sum of their currents.
//!
//! With equal pull-ups `Rp` and one source, a common core of `rc` that also carries the currents of the
//! circuits `j` shows circuit `i` as `R_i + rc (1 + sum_j (Rp + R_i) / (Rp + R_j))` (worked by hand from the
//! node at the core's far end; checked against a network solver in the tests). Its own `rc` is part of its
//! cable; the rest grows with `R_i` and falls with `R_j`, so it adds nothing at the low end (all others open)
//! and most at the high end (all others at their least).
//!
//! A current that comes from elsewhere, such as that of detectors whose 0 V is the same core, lifts the
//! common by `rc I` volts: with `v = rc I / source`, circuit `i` shows `R_i + v / (1 - v) (Rp + R_i)`.
//!
//! Both are a share of the reading and some ohms more. The share is largest with the least pull-up, the ohms
//! with the largest, so each is taken at its own worst.

use network::{Bounds, Effect};

/// What other currents in a shared common add to a reading, at most.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Lift {
    /// The share `k`; 0 for a circuit that shares nothing.
    pub share: f64,
    /// Ohms on top, whatever the reading.
    pub more: f64,
}

impl Lift {
    /// What the terminals show: at the high end `R + share R + more`.
    #[must_use]
    pub fn applied(self, ohms: Bounds) -> Bounds {
        if self.share > 0.0 {
            Bounds { lo: ohms.lo, hi: ohms.hi * (1.0 + self.share) + self.more }
        } else {
            ohms
        }
    }

    /// The same of how the terminals follow a part.
    pub(crate) fn applied_to(self, high: Effect) -> Effect {
        if self.share > 0.0 { high.affine(1.0 + self.share, self.more) } else { high }
    }
}
