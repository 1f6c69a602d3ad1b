//! How the resistance at the terminals follows the resistance of one subtree, or of a fault put there.
//!
//! With everything else fixed it is `(p x + q) / (r x + s)` with no negative coefficient (method 2): it never
//! falls, and it is inverted instead of sampled. One walk from the terminals gives it for every subtree.

use crate::bounds::across;
use crate::{Bounds, Network, Node, Step};

/// `(p x + q) / (r x + s)`, never falling for `x >= 0`; `r x + s = 0` is an open circuit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Effect {
    p: f64,
    q: f64,
    r: f64,
    s: f64,
}

impl Effect {
    /// What stands at the terminals itself.
    pub const ITSELF: Self = Self { p: 1.0, q: 0.0, r: 0.0, s: 1.0 };

    /// No effect at all: always this resistance.
    #[must_use]
    pub fn always(resistance: f64) -> Self {
        if resistance.is_infinite() {
            Self { p: 0.0, q: 1.0, r: 0.0, s: 0.0 }
        } else {
            Self { p: 0.0, q: resistance, r: 0.0, s: 1.0 }
        }
    }

    /// The resistance at the terminals when the subtree has `x`, which may be infinite.
    #[must_use]
    pub fn at(self, x: f64) -> f64 {
        let (above, below) = if x.is_infinite() && (self.p > 0.0 || self.r > 0.0) {
            (self.p, self.r)
        } else if self.p <= 0.0 && self.r <= 0.0 {
            (self.q, self.s)
        } else {
            (self.p * x + self.q, self.r * x + self.s)
        };
        if below > 0.0 {
            above / below
        } else if above > 0.0 {
            f64::INFINITY
        } else {
            0.0
        }
    }

    /// The effect of `x` put in line with a subtree of resistance `z`.
    #[must_use]
    pub fn in_line_with(self, z: f64) -> Self {
        if z.is_infinite() {
            return Self::always(self.at(f64::INFINITY));
        }
        Self { p: self.p, q: self.q + self.p * z, r: self.r, s: self.s + self.r * z }.scaled()
    }

    /// The effect of `x` put across a subtree of resistance `z`.
    #[must_use]
    pub fn across_from(self, z: f64) -> Self {
        if z.is_infinite() {
            return self;
        }
        if z <= 0.0 {
            return Self::always(self.at(0.0));
        }
        Self { p: self.p * z + self.q, q: self.q * z, r: self.r * z + self.s, s: self.s * z }.scaled()
    }

    /// The effect of `factor * x`.
    #[must_use]
    pub fn of_multiple(self, factor: f64) -> Self {
        Self { p: self.p * factor, q: self.q, r: self.r * factor, s: self.s }
    }

    /// `factor` times the resistance at the terminals, and `more`.
    #[must_use]
    pub fn affine(self, factor: f64, more: f64) -> Self {
        Self { p: factor * self.p + more * self.r, q: factor * self.q + more * self.s, ..self }
    }

    /// The least `x >= 0` with which the terminals show at least `target`; none when no `x` does.
    #[must_use]
    pub fn least_for(self, target: f64) -> Option<f64> {
        if self.at(0.0) >= target {
            return Some(0.0);
        }
        if self.at(f64::INFINITY) < target {
            return None;
        }
        Some(self.solve(target))
    }

    /// The greatest `x >= 0` with which the terminals show at most `target`, infinite when every `x` does;
    /// none when no `x` does.
    #[must_use]
    pub fn greatest_for(self, target: f64) -> Option<f64> {
        if self.at(f64::INFINITY) <= target {
            return Some(f64::INFINITY);
        }
        if self.at(0.0) > target {
            return None;
        }
        Some(self.solve(target))
    }

    fn solve(self, target: f64) -> f64 {
        if target.is_infinite() {
            return f64::INFINITY;
        }
        let slope = self.p - target * self.r;
        let x = (target * self.s - self.q) / slope;
        if x.is_finite() { x.max(0.0) } else { f64::INFINITY }
    }

    /// Keeps the coefficients within range over thousands of pieces; only their ratios mean anything.
    fn scaled(self) -> Self {
        let most = self.p.max(self.q).max(self.r).max(self.s);
        if most > 1e100 || (most < 1e-100 && most > 0.0) {
            Self { p: self.p / most, q: self.q / most, r: self.r / most, s: self.s / most }
        } else {
            self
        }
    }
}

/// Which end of the tolerances is computed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum End {
    /// Everything low.
    Low,
    /// Everything high.
    High,
}

impl End {
    /// That end of some bounds.
    #[must_use]
    pub fn of(self, bounds: Bounds) -> f64 {
        match self {
            Self::Low => bounds.lo,
            Self::High => bounds.hi,
        }
    }
}

impl Network {
    /// For every subtree, how the terminals follow it; one entry a step, into `into`.
    ///
    /// `subtrees` are the resistances of all subtrees, from [`Network::all_bounds`].
    pub fn effects(&self, subtrees: &[Bounds], end: End, into: &mut Vec<Effect>) {
        into.clear();
        into.resize(self.steps().len(), Effect::ITSELF);
        for at in (0..self.steps().len()).rev() {
            let Some((piece, rest)) = self.operands(Node(at)) else { continue };
            let whole = into[at];
            let [of_piece, of_rest] = [end.of(subtrees[piece.0]), end.of(subtrees[rest.0])];
            if self.step(Node(at)) == Step::InLine {
                into[piece.0] = whole.in_line_with(of_rest);
                into[rest.0] = whole.in_line_with(of_piece);
            } else {
                into[piece.0] = whole.across_from(of_rest);
                into[rest.0] = whole.across_from(of_piece);
            }
        }
    }
}

/// Two resistances across one another; open across x is x.
#[must_use]
pub fn parallel(one: f64, other: f64) -> f64 {
    across(one, other)
}
