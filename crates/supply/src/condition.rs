//! One condition solved: every point's volts between two ends, every run's current, what is drawn in all.

use quantity::{Interval, Volts};

use crate::plan::{Case, End, Plan};
use crate::solve::{Balance, Solver, bearable_share};

/// What stands behind the supply's terminals.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Source {
    /// Volts without load, least to most.
    pub volts: Interval<Volts>,
    /// Its own resistance where volts are least.
    pub ohms_when_low: f64,
    /// Its own resistance where volts are most.
    pub ohms_when_high: f64,
    /// Whether the mains is gone: loads that are shed draw nothing.
    pub on_battery: bool,
}

impl Source {
    /// Volts that the equipment itself holds, whatever is drawn.
    #[must_use]
    pub fn held(volts: Interval<Volts>) -> Self {
        Self { volts, ohms_when_low: 0.0, ohms_when_high: 0.0, on_battery: false }
    }
}

/// A condition solved.
#[derive(Clone, PartialEq, Debug)]
pub struct Solved {
    /// Volts of every point of the plan, least and most.
    pub volts: Vec<(f64, f64)>,
    /// The most through the run into each point, in ampere.
    pub amperes: Vec<f64>,
    /// The most that is lost in the run into each point, in volt.
    pub drop: Vec<f64>,
    /// The most power that the run into each point turns into heat, in watt.
    pub heat_w: Vec<f64>,
    /// All that the source gives, least and most, in ampere.
    pub total_a: (f64, f64),
    /// Where the power goes with everything at its low end.
    pub balance: Balance,
}

/// There is no solution at one end at least.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Collapsed {
    /// The point at which it shows.
    pub point: usize,
    /// The share of all loads that the cable could still carry.
    pub share: f64,
}

/// Solves a plan in a case. Volts are least and most over both temperature ends, with the source at the like end:
/// all volts rise with the source's, and what other temperatures between would add is under a microvolt
/// (measured against a dense grid in `oracles/supply_network.py`).
///
/// # Errors
/// [`Collapsed`] exactly where loads want more than the cable can deliver.
pub fn solve(plan: &Plan, source: &Source, case: Case) -> Result<Solved, Collapsed> {
    let points = plan.points.len();
    let mut solved = Solved {
        volts: vec![(f64::INFINITY, 0.0); points],
        amperes: vec![0.0; points],
        drop: vec![0.0; points],
        heat_w: vec![0.0; points],
        total_a: (f64::INFINITY, 0.0),
        balance: Balance::default(),
    };
    let mut solver = Solver::new();
    let low = (End::High, source.volts.lo().0, source.ohms_when_low);
    let high = (End::Low, source.volts.hi().0, source.ohms_when_high);
    for (regulators, volts, ohms) in [low, high] {
        for cables in [End::Low, End::High] {
            let mut tree = plan.tree(cables, regulators, ohms);
            plan.load(&mut tree, case, source.on_battery);
            if let Err(collapse) = solver.solve(&tree, volts) {
                return Err(Collapsed { point: collapse.point, share: bearable_share(&tree, volts) });
            }
            let (at, through) = (solver.volts(), solver.amperes());
            for point in 0..points {
                let (least, most) = &mut solved.volts[point];
                *least = least.min(at[point]);
                *most = most.max(at[point]);
                let current = through[point];
                let drop = current * tree.ohms(point);
                solved.amperes[point] = solved.amperes[point].max(current);
                solved.drop[point] = solved.drop[point].max(drop);
                solved.heat_w[point] = solved.heat_w[point].max(drop * current);
            }
            solved.total_a = (solved.total_a.0.min(through[0]), solved.total_a.1.max(through[0]));
            if regulators == End::High && cables == End::High {
                solved.balance = solver.balance(&tree);
            }
        }
    }
    Ok(solved)
}
