//! The greatest solution of a tree: the one that a real system takes when it is switched on.
//!
//! With the volts of all points as `v`, `h(v) = G v - b + c + p / v` has to vanish. `h` is convex and its
//! Jacobian has no positive element off the diagonal, so Newton's iteration from above falls monotonically and
//! stays above every solution (Ortega and Rheinboldt, Iterative Solution of Nonlinear Equations, 13.3.4, from
//! memory). It follows that a pivot that is not positive, or a voltage that is not, proves that there is no
//! solution with positive volts: what the loads want is more than the cable can deliver. On a tree one step is
//! one sweep inwards and one outwards.

use crate::tree::{Draw, Tree};

/// Newton steps before a tree counts as one without a solution. A step at worst halves the distance (at the
/// very edge of collapse), and a number has 53 bits.
const MOST_STEPS: usize = 200;
/// Volts change by less than this share of the source's: solved.
const SOLVED: f64 = 1e-13;

/// No solution: constant power or current beyond what the cable can deliver.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Collapse {
    /// The point at which it shows.
    pub point: usize,
}

/// Room for solving trees of one size again and again without allocating.
#[derive(Clone, Debug, Default)]
pub struct Solver {
    /// What is drawn from each point as `a + g v`, its own run and all beyond it included.
    a: Vec<f64>,
    g: Vec<f64>,
    volts: Vec<f64>,
    amperes: Vec<f64>,
}

impl Solver {
    /// An empty solver.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Solves a tree fed by an ideal source of `volts` behind the resistance of point 0.
    ///
    /// # Errors
    /// [`Collapse`] exactly where no solution with positive volts exists.
    pub fn solve(&mut self, tree: &Tree, volts: f64) -> Result<(), Collapse> {
        self.volts.clear();
        self.volts.resize(tree.len(), volts);
        self.go_on(tree, volts)
    }

    /// As [`Solver::solve`], beginning at the last solution. It must not lie below the one that is looked for:
    /// since then the source may have fallen, loads and resistances may have grown, nothing else.
    ///
    /// # Errors
    /// As [`Solver::solve`].
    pub fn go_on(&mut self, tree: &Tree, volts: f64) -> Result<(), Collapse> {
        let points = tree.len();
        if self.volts.len() != points {
            self.volts.resize(points, volts);
        }
        self.a.resize(points, 0.0);
        self.g.resize(points, 0.0);
        self.amperes.resize(points, 0.0);
        let straight = tree.draw.iter().all(|draw| draw.watts <= 0.0);
        for _ in 0..MOST_STEPS {
            self.inwards(tree)?;
            let moved = self.outwards(tree, volts)?;
            if straight || moved <= SOLVED * volts {
                return Ok(());
            }
        }
        Err(Collapse { point: self.lowest() })
    }

    /// Sums up what is drawn beyond each run, constant powers by their tangent at the last volts.
    fn inwards(&mut self, tree: &Tree) -> Result<(), Collapse> {
        let points = tree.len();
        let (a, g) = (&mut self.a[..points], &mut self.g[..points]);
        let (volts, draw) = (&self.volts[..points], &tree.draw[..points]);
        for at in 0..points {
            let Draw { siemens, amperes, watts } = draw[at];
            if watts > 0.0 {
                let current = watts / volts[at];
                a[at] = amperes + 2.0 * current;
                g[at] = siemens - current / volts[at];
            } else {
                a[at] = amperes;
                g[at] = siemens;
            }
        }
        for at in (0..points).rev() {
            let pivot = 1.0 + tree.ohms[at] * g[at];
            if pivot <= 0.0 {
                return Err(Collapse { point: at });
            }
            if at > 0 {
                let parent = tree.parent[at] as usize;
                let share = 1.0 / pivot;
                a[parent] += (a[at] - g[at] * tree.lost[at]) * share;
                g[parent] += g[at] * share;
            }
        }
        Ok(())
    }

    /// Gives every point its volts, from the source outwards; returns the largest change.
    fn outwards(&mut self, tree: &Tree, source: f64) -> Result<f64, Collapse> {
        let points = tree.len();
        let (a, g) = (&self.a[..points], &self.g[..points]);
        let mut moved = 0.0_f64;
        for at in 0..points {
            let before = if at == 0 { source } else { self.volts[tree.parent[at] as usize] };
            let before = before - tree.lost[at];
            let ohms = tree.ohms[at];
            let volts = (before - ohms * a[at]) / (1.0 + ohms * g[at]);
            if volts <= 0.0 || volts.is_nan() {
                return Err(Collapse { point: at });
            }
            moved = moved.max((self.volts[at] - volts).abs());
            self.volts[at] = volts;
            self.amperes[at] = a[at] + g[at] * volts;
        }
        Ok(moved)
    }

    fn lowest(&self) -> usize {
        let by_volts = |one: &usize, other: &usize| self.volts[*one].total_cmp(&self.volts[*other]);
        (0..self.volts.len()).min_by(by_volts).unwrap_or(0)
    }

    /// Volts of every point.
    #[must_use]
    pub fn volts(&self) -> &[f64] {
        &self.volts
    }

    /// The current through the run into every point; that of point 0 is all that the source gives.
    #[must_use]
    pub fn amperes(&self) -> &[f64] {
        &self.amperes
    }

    /// Where the source's power goes: what the loads take and what is lost in runs and in the source itself,
    /// in watt; the sum is the source's volts times its current.
    #[must_use]
    pub fn balance(&self, tree: &Tree) -> Balance {
        let mut balance = Balance::default();
        for at in 0..tree.len() {
            let current = self.amperes[at];
            balance.loads_w += tree.draw[at].at(self.volts[at]) * self.volts[at];
            balance.lost_w += current * (current * tree.ohms[at] + tree.lost[at]);
        }
        balance
    }
}

/// Where the source's power goes, in watt.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Balance {
    /// Into the loads.
    pub loads_w: f64,
    /// Into runs, regulators and the source's own resistance.
    pub lost_w: f64,
}

/// The largest share of all constant powers and currents at which a tree still has a solution, below one where
/// it collapses; found by halving to 1e-6.
#[must_use]
pub fn bearable_share(tree: &Tree, volts: f64) -> f64 {
    let mut solver = Solver::new();
    let mut part = tree.clone();
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..20 {
        let share = 0.5 * (low + high);
        for (to, from) in part.draw.iter_mut().zip(&tree.draw) {
            to.amperes = from.amperes * share;
            to.watts = from.watts * share;
        }
        if solver.solve(&part, volts).is_ok() { low = share } else { high = share }
    }
    low
}

#[cfg(test)]
mod tests {
    use super::*;

    fn watts(watts: f64) -> Draw {
        Draw { watts, ..Draw::default() }
    }

    /// By hand: 12 V, 4 ohm, P: v = 6 + sqrt(36 - 4 P), so 9 W is the most.
    #[test]
    fn one_constant_power_has_its_root_and_its_end() {
        let mut solver = Solver::new();
        for (power, volts) in [(0.0, 12.0), (5.0, 10.0), (8.0, 8.0), (8.75, 7.0)] {
            let mut tree = Tree::new(0.0);
            let end = tree.point(0, 4.0);
            tree.load(end, watts(power));
            solver.solve(&tree, 12.0).expect("it can be delivered");
            assert!((solver.volts()[end] - volts).abs() < 1e-9, "{power} W: {}", solver.volts()[end]);
        }
        // At the edge the root is double, and half of the digits go: 9 W less one part in a million.
        for (power, stands) in [(9.0 - 9e-6, true), (9.0 + 1e-9, false), (40.0, false)] {
            let mut tree = Tree::new(0.0);
            let end = tree.point(0, 4.0);
            tree.load(end, watts(power));
            assert_eq!(solver.solve(&tree, 12.0).is_ok(), stands, "{power}");
        }
        let mut tree = Tree::new(0.0);
        let end = tree.point(0, 4.0);
        tree.load(end, watts(18.0));
        assert!((bearable_share(&tree, 12.0) - 0.5).abs() < 2e-6);
    }

    /// By hand: 12 V less 0.7 V, 1 ohm, 2 A and 11.3 ohm: v = (11.3 - 2) / (1 + 1/11.3).
    #[test]
    fn lost_volts_currents_and_resistances() {
        let mut tree = Tree::new(0.0);
        let end = tree.point_with_drop(0, 1.0, 0.7);
        tree.load(end, Draw { siemens: 1.0 / 11.3, amperes: 2.0, watts: 0.0 });
        let mut solver = Solver::new();
        solver.solve(&tree, 12.0).expect("solved");
        assert!((solver.volts()[end] - 9.3 / (1.0 + 1.0 / 11.3)).abs() < 1e-12);
        let balance = solver.balance(&tree);
        assert!((balance.loads_w + balance.lost_w - 12.0 * solver.amperes()[0]).abs() < 1e-9);
    }

    #[test]
    fn a_constant_current_beyond_the_cable_collapses_too() {
        let mut tree = Tree::new(0.0);
        let end = tree.point(0, 10.0);
        tree.load(end, Draw { amperes: 1.3, ..Draw::default() });
        assert_eq!(Solver::new().solve(&tree, 12.0), Err(Collapse { point: end }));
    }
}
