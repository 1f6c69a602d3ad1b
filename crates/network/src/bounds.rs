//! Evaluation: the resistance between the terminals, exact worst case of all tolerances.
//!
//! Resistance of a series-parallel network is continuous and never falls when an element's resistance
//! rises, so the image of all tolerances together is exactly what everything low and everything high give.
//! Conventions: nothing across anything is nothing, open across x is x, open in line is open.

use quantity::{Interval, Ohms};

use crate::sketch::MAX_BRACKETS;
use crate::{Network, Step};

/// Both ends of a resistance, as the inner loops carry them.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Bounds {
    /// Everything low.
    pub lo: f64,
    /// Everything high; infinite when it may be open.
    pub hi: f64,
}

impl Bounds {
    /// Joined: no resistance at all.
    pub const JOINED: Self = Self { lo: 0.0, hi: 0.0 };
    /// Open.
    pub const OPEN: Self = Self { lo: f64::INFINITY, hi: f64::INFINITY };

    /// Exactly this.
    #[must_use]
    pub fn exact(ohms: Ohms) -> Self {
        Self { lo: ohms.0, hi: ohms.0 }
    }

    /// Everything low and everything high of two pieces in line.
    #[must_use]
    pub fn in_line(self, rest: Self) -> Self {
        Self { lo: self.lo + rest.lo, hi: self.hi + rest.hi }
    }

    /// Everything low and everything high of two pieces across one another.
    #[must_use]
    pub fn across(self, rest: Self) -> Self {
        Self { lo: across(self.lo, rest.lo), hi: across(self.hi, rest.hi) }
    }

    /// The smallest bounds that hold both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self { lo: self.lo.min(other.lo), hi: self.hi.max(other.hi) }
    }

    /// As an interval of ohms.
    #[must_use]
    pub fn interval(self) -> Interval<Ohms> {
        Interval::new(Ohms(self.lo), Ohms(self.hi))
    }
}

impl From<Interval<Ohms>> for Bounds {
    fn from(interval: Interval<Ohms>) -> Self {
        Self { lo: interval.lo().0, hi: interval.hi().0 }
    }
}

/// Two resistances across one another.
#[must_use]
pub(crate) fn across(one: f64, other: f64) -> f64 {
    if one.is_infinite() {
        other
    } else if other.is_infinite() {
        one
    } else {
        let sum = one + other;
        if sum > 0.0 { one * other / sum } else { 0.0 }
    }
}

/// Deepest stack of the flat program: one open rest for each bracket, and the two being joined.
const STACK: usize = MAX_BRACKETS + 4;

impl Network {
    /// The resistance at the terminals, when element `i` has `values[i]`.
    ///
    /// `values` holds one entry an element; what lies beyond its end counts as joined.
    #[must_use]
    pub fn bounds(&self, values: &[Bounds]) -> Bounds {
        let mut stack = [Bounds::JOINED; STACK];
        let mut top = 0;
        for step in self.steps() {
            match *step {
                Step::Element(element) => {
                    stack[top] = values.get(element).copied().unwrap_or(Bounds::JOINED);
                    top += 1;
                }
                Step::InLine => {
                    top -= 1;
                    stack[top - 1] = stack[top].in_line(stack[top - 1]);
                }
                Step::Across => {
                    top -= 1;
                    stack[top - 1] = stack[top].across(stack[top - 1]);
                }
            }
        }
        stack[0]
    }

    /// The resistance of every subtree, one entry a step, into `into`.
    pub fn all_bounds(&self, values: &[Bounds], into: &mut Vec<Bounds>) {
        into.clear();
        for (at, step) in self.steps().iter().enumerate() {
            let bounds = match *step {
                Step::Element(element) => values.get(element).copied().unwrap_or(Bounds::JOINED),
                Step::InLine | Step::Across => {
                    let piece = at - 1;
                    let rest = piece - self.size(piece);
                    match step {
                        Step::InLine => into[piece].in_line(into[rest]),
                        _ => into[piece].across(into[rest]),
                    }
                }
            };
            into.push(bounds);
        }
    }

    /// Conductors and joints from the terminals to the farthest element: what the manual's line limit is
    /// compared with. `line[i]` is an element's part of it, 0 for what is not cable or joint.
    #[must_use]
    pub fn longest_line(&self, line: &[f64]) -> f64 {
        let mut stack = [0.0_f64; STACK];
        let mut top = 0;
        for step in self.steps() {
            match *step {
                Step::Element(element) => {
                    stack[top] = line.get(element).copied().unwrap_or(0.0);
                    top += 1;
                }
                Step::InLine => {
                    top -= 1;
                    stack[top - 1] += stack[top];
                }
                Step::Across => {
                    top -= 1;
                    stack[top - 1] = stack[top - 1].max(stack[top]);
                }
            }
        }
        stack[0]
    }
}
