//! What lies in line with everything: cable out and back, joints and contacts, the test leads.

use library::Spread;
use quantity::MeterError;

use crate::rule::{GAUSS_2, GAUSS_4};
use crate::sight::Kernel;

/// The leads lie between half and one and a half times the stated value (`docs/format.md`, section 1).
const LEADS: (f64, f64) = (0.5, 1.5);
/// So many means of the joints are looked at; beyond lies 1e-11 of them.
const JOINTS_TAIL: f64 = 25.0;
/// A spread of nothing is taken as this wide, in ohm.
const SLIVER: f64 = 1e-6;

/// The law of the line: cable even between two ends, plus joints exponential, plus leads even; a share of lines is
/// longer, even by logarithm.
#[derive(Clone, Debug)]
pub(crate) struct LineLaw {
    cable: (f64, f64),
    joints: f64,
    leads: (f64, f64),
    long: f64,
    long_to: f64,
    /// Corners of the density, rising; the first and the last are its ends.
    corners: Vec<f64>,
    /// A few places with weights that sum to 1, for what is wide against the line.
    broad: Vec<(f64, f64)>,
}

impl LineLaw {
    pub(crate) fn new(spread: &Spread, meter: &MeterError) -> Self {
        let leads =
            (meter.leads.0 * LEADS.0, (meter.leads.0 * LEADS.1).max(meter.leads.0 * LEADS.0 + SLIVER));
        let cable = (spread.cable.lo().0, spread.cable.hi().0.max(spread.cable.lo().0 + SLIVER));
        let joints = spread.joints.0.max(SLIVER);
        let far = cable.1 + leads.1;
        let long_to = spread.long_to.0.max(far * 1.01);
        let mut law =
            Self { cable, joints, leads, long: spread.long, long_to, corners: Vec::new(), broad: Vec::new() };
        let (lo, near) = (cable.0 + leads.0, cable.0 + leads.1);
        let tail = far + JOINTS_TAIL * joints;
        let mut corners = vec![lo, near, (near + far) / 2.0, cable.1 + leads.0, far];
        for at in [far + joints, far + 4.0 * joints, tail, far * 2.0, far * 5.0, far * 13.0, long_to] {
            corners.push(at);
        }
        corners.retain(|at| *at <= tail.max(long_to) && *at >= lo);
        if spread.long <= 0.0 {
            corners.retain(|at| *at <= tail);
        }
        corners.sort_by(f64::total_cmp);
        corners.dedup_by(|one, other| (*one - *other).abs() < SLIVER * 0.5);
        law.corners = corners;
        law.broad = law.broad_places();
        law
    }

    /// Density per ohm.
    pub(crate) fn density(&self, s: f64) -> f64 {
        let (lo, hi) = self.leads;
        let usual = (self.cable_and_joints(s - lo) - self.cable_and_joints(s - hi)) / (hi - lo);
        let far = self.cable.1 + self.leads.1;
        let long =
            if s >= far && s <= self.long_to { 1.0 / (s * libm::log(self.long_to / far)) } else { 0.0 };
        (1.0 - self.long) * usual.max(0.0) + self.long * long
    }

    /// Distribution of cable and joints alone.
    fn cable_and_joints(&self, x: f64) -> f64 {
        let (lo, hi) = self.cable;
        if x <= lo {
            return 0.0;
        }
        let mean = self.joints;
        let grown = |past: f64| mean * (1.0 - libm::exp(-past / mean));
        if x <= hi {
            (x - lo - grown(x - lo)) / (hi - lo)
        } else {
            (hi - lo - grown(x - lo) + grown(x - hi)) / (hi - lo)
        }
    }

    /// Ends of the density.
    pub(crate) fn ends(&self) -> (f64, f64) {
        (self.corners.first().copied().unwrap_or(0.0), self.corners.last().copied().unwrap_or(0.0))
    }

    /// The mean of the leads, for what is measured without a line.
    pub(crate) fn leads_mean(&self) -> f64 {
        (self.leads.0 + self.leads.1) / 2.0
    }

    /// Places with weights (density included) that integrate what has its corners where `kernels` have them.
    pub(crate) fn places(&self, kernels: &[Kernel]) -> Vec<(f64, f64)> {
        if kernels.is_empty() {
            return self.broad.clone();
        }
        let (lo, hi) = self.ends();
        let mut corners = self.corners.clone();
        for kernel in kernels {
            corners.extend(kernel.corners().into_iter().filter(|at| *at > lo && *at < hi));
        }
        corners.sort_by(f64::total_cmp);
        let mut places = Vec::new();
        for pair in corners.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let middle = (from + to) / 2.0;
            let narrow = kernels.iter().any(|kernel| kernel.at(middle) > 0.0);
            let rule: &[(f64, f64)] = if narrow { &GAUSS_4 } else { &GAUSS_2 };
            self.put(from, to, rule, &mut places);
        }
        places
    }

    fn put(&self, from: f64, to: f64, rule: &[(f64, f64)], places: &mut Vec<(f64, f64)>) {
        if to - from < 1e-12 {
            return;
        }
        for (at, weight) in rule {
            let s = from + (to - from) * at;
            let weight = weight * (to - from) * self.density(s);
            if weight > 0.0 {
                places.push((s, weight));
            }
        }
    }

    /// Fewer places: where the line is one of several things in line, its own shape hardly shows.
    fn broad_places(&self) -> Vec<(f64, f64)> {
        let mut fine = Vec::new();
        for pair in self.corners.windows(2) {
            self.put(pair[0], pair[1], &GAUSS_4, &mut fine);
        }
        let sum: f64 = fine.iter().map(|(_, weight)| weight).sum();
        // Neighbours are put together until a place holds a third of all or, among long lines, a factor of 2.5 in ohms.
        let mut broad: Vec<(f64, f64)> = Vec::new();
        let mut held = (0.0, 0.0);
        let mut first = 0.0;
        for (s, weight) in fine {
            let weight = weight / sum;
            if held.1 > 0.0 && (held.1 + weight > 0.34 || (first > self.cable.1 && s > first * 2.5)) {
                broad.push((held.0 / held.1, held.1));
                held = (0.0, 0.0);
            }
            if held.1 <= 0.0 {
                first = s;
            }
            held = (held.0 + s * weight, held.1 + weight);
        }
        if held.1 > 0.0 {
            broad.push((held.0 / held.1, held.1));
        }
        broad
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law() -> LineLaw {
        LineLaw::new(&Spread::default(), &MeterError::default())
    }

    #[test]
    fn all_of_the_line_is_somewhere() {
        let law = law();
        let (lo, hi) = law.ends();
        let steps = 400_000;
        let step = (hi - lo) / f64::from(steps);
        let sum: f64 = (0..steps).map(|at| law.density(lo + (f64::from(at) + 0.5) * step) * step).sum();
        assert!((sum - 1.0).abs() < 1e-5, "{sum}");
        let broad: f64 = law.broad.iter().map(|(_, weight)| weight).sum();
        assert!((broad - 1.0).abs() < 1e-12);
        assert!(law.broad.len() <= 8, "{:?}", law.broad);
    }

    /// Without long runs the mean is that of its parts: (0.4 + 9.5) / 2 + 0.8 + 0.3.
    #[test]
    fn the_mean_is_the_sum_of_the_means() {
        let law = LineLaw::new(&Spread { long: 0.0, ..Spread::default() }, &MeterError::default());
        let mean: f64 = law.broad.iter().map(|(s, weight)| s * weight).sum();
        assert!((mean - 6.05).abs() < 1e-3, "{mean}");
    }
}
