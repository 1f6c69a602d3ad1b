//! The discharge of a supply's battery, simulated: standby, then alarm, down to where the equipment cuts it off.

use library::BatteryProfile;
use quantity::Celsius;

use crate::cell::{
    AGED_RESISTANCE, AGED_SHARE, FULL_VOLTS, History, POLARISATION, Rate, SELF_DISCHARGE, rested_volts,
};
use crate::plan::{Case, End, Plan};
use crate::solve::Solver;
use crate::tree::Tree;

/// Steps of a standby and of an alarm. Twice as many move the volts of the last minute by 2 mV (measured in
/// `oracles/supply_battery.py`).
const STANDBY_STEPS: u32 = 96;
const ALARM_STEPS: u32 = 24;
/// Longer than this nobody waits.
pub const MOST_HOURS: f64 = 8784.0;

/// All blocks of a supply together.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Bank {
    /// Blocks in series in a string.
    pub in_series: u32,
    /// Strings in parallel.
    pub strings: u32,
    /// Volts of one block, nominal.
    pub block_volts: f64,
    /// Ampere-hours of one block at the 20 h rate.
    pub block_ah: f64,
    /// Internal resistance of one block, new and full.
    pub block_ohms: f64,
    /// Fuse and leads, in ohm.
    pub leads_ohms: f64,
}

impl Bank {
    /// The blocks of a profile.
    #[must_use]
    pub fn new(battery: &BatteryProfile, in_series: u32, strings: u32, leads_ohms: f64) -> Self {
        Self {
            in_series: in_series.max(1),
            strings: strings.max(1),
            block_volts: battery.volts.0,
            block_ah: battery.capacity.0,
            block_ohms: battery.internal.0,
            leads_ohms,
        }
    }

    /// Ampere-hours of all strings, new.
    #[must_use]
    pub fn capacity_ah(&self) -> f64 {
        self.block_ah * f64::from(self.strings)
    }

    /// Nominal volts of a string.
    #[must_use]
    pub fn volts(&self) -> f64 {
        self.block_volts * f64::from(self.in_series)
    }

    /// Strings of six cells in series.
    fn sixes(&self) -> f64 {
        self.volts() / 12.0
    }

    /// Rested volts, full.
    #[must_use]
    pub fn full_volts(&self) -> f64 {
        FULL_VOLTS * self.sixes()
    }

    /// What stands between rested volts and the supply's terminals, in ohm.
    #[must_use]
    pub fn ohms(&self, state: State) -> f64 {
        let six = POLARISATION / self.block_ah;
        let block = self.block_ohms + six * self.block_volts / 12.0;
        let times = if state.aged { AGED_RESISTANCE } else { 1.0 };
        times * block * f64::from(self.in_series) / f64::from(self.strings) + self.leads_ohms
    }
}

/// How old and how warm.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct State {
    /// At the end of its life: 80 % of its capacity and a risen resistance.
    pub aged: bool,
    /// Of the battery.
    pub temperature: Celsius,
}

/// At which end cables and regulators stand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ends {
    /// Cold and short, or hot and long.
    pub cables: End,
    /// Losing the least, or the most.
    pub regulators: End,
}

/// One point of a discharge curve.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sample {
    /// Since the mains went.
    pub hours: f64,
    /// At the supply's terminals.
    pub volts: f64,
    /// Out of the battery.
    pub amperes: f64,
    /// The share of the battery that is used, by the model.
    pub used: f64,
}

/// A discharge, from a full battery.
#[derive(Clone, PartialEq, Debug)]
pub struct Discharge {
    /// From the beginning to the end of the alarm, or to the cut-off.
    pub curve: Vec<Sample>,
    /// When the equipment cuts off or the load collapses; none: it lasts to the end.
    pub ends: Option<Ended>,
    /// Volts of every point of the plan in the last minute of the alarm; none where it does not last.
    pub last_volts: Option<Vec<f64>>,
    /// Rested volts behind the bank's resistance at that moment.
    pub last_rested: f64,
}

/// Why a discharge ends early.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ended {
    /// Since the mains went.
    pub hours: f64,
    /// Constant powers want more than the battery can deliver, before it reaches the cut-off.
    pub collapsed: bool,
}

/// What is drawn when.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Load {
    /// Hours of standby.
    pub standby_h: f64,
    /// Minutes of alarm behind them.
    pub alarm_min: f64,
    /// Which loads sound in it.
    pub alarm: Case,
    /// Where the equipment cuts off, in volt.
    pub cut_off: f64,
}

/// A battery on a supply's tree.
struct Run<'p> {
    trees: [Tree; 2],
    solver: Solver,
    plan: &'p Plan<'p>,
    rate: Rate,
    history: History,
    /// Ampere-hours that the model's one ampere-hour stands for.
    capacity: f64,
    sixes: f64,
    cut_off: f64,
    curve: Vec<Sample>,
}

impl<'p> Run<'p> {
    fn new(plan: &'p Plan<'p>, bank: &Bank, state: State, ends: Ends, load: &Load) -> Self {
        let ohms = bank.ohms(state);
        let one = |case| {
            let mut tree = plan.tree(ends.cables, ends.regulators, ohms);
            plan.load(&mut tree, case, true);
            tree
        };
        Self {
            trees: [one(Case::Standby), one(load.alarm)],
            solver: Solver::new(),
            plan,
            rate: Rate::at(state.temperature),
            history: History::default(),
            capacity: bank.capacity_ah() * if state.aged { AGED_SHARE } else { 1.0 },
            sixes: bank.sixes(),
            cut_off: load.cut_off,
            curve: Vec::new(),
        }
    }

    /// Solves the tree at a time; what flows then counts from there on.
    fn step(&mut self, hours: f64, alarm: bool) -> Result<(), Ended> {
        let used = self.history.used(&self.rate, hours);
        let rested = rested_volts(used) * self.sixes;
        let tree = &self.trees[usize::from(alarm)];
        let solved = if rested > 0.0 { self.solver.solve(tree, rested).is_ok() } else { false };
        if !solved {
            return Err(Ended { hours, collapsed: true });
        }
        let (volts, amperes) = (self.solver.volts()[0], self.solver.amperes()[0]);
        let before = self.curve.last().copied();
        self.curve.push(Sample { hours, volts, amperes, used });
        if volts < self.cut_off {
            // Between two steps volts fall as good as straight.
            let crossed = before.filter(|before| before.volts > self.cut_off && before.hours < hours);
            let hours = crossed.map_or(hours, |before| {
                let part = (before.volts - self.cut_off) / (before.volts - volts);
                before.hours + part * (hours - before.hours)
            });
            return Err(Ended { hours, collapsed: false });
        }
        self.history.draw(hours, amperes / self.capacity + SELF_DISCHARGE);
        Ok(())
    }

    fn through(&mut self, from: f64, to: f64, steps: u32, alarm: bool) -> Result<(), Ended> {
        for step in 1..=steps {
            self.step(from + (to - from) * f64::from(step) / f64::from(steps), alarm)?;
        }
        Ok(())
    }

    fn whole(&mut self, load: &Load) -> Result<(), Ended> {
        let end = load.standby_h + load.alarm_min / 60.0;
        self.step(0.0, load.standby_h <= 0.0)?;
        if load.standby_h > 0.0 {
            self.through(0.0, load.standby_h, STANDBY_STEPS, false)?;
        }
        if load.alarm_min > 0.0 {
            self.step(load.standby_h, true)?;
            self.through(load.standby_h, end, ALARM_STEPS, true)?;
        }
        Ok(())
    }
}

/// Discharges a full battery: the standby, then the alarm.
#[must_use]
pub fn discharge(plan: &Plan, bank: &Bank, state: State, ends: Ends, load: &Load) -> Discharge {
    let mut run = Run::new(plan, bank, state, ends, load);
    let ends = run.whole(load).err();
    let points = run.plan.points.len();
    let last_volts = ends.is_none().then(|| run.solver.volts()[..points].to_vec());
    let used = run.curve.last().map_or(0.0, |sample| sample.used);
    let last_rested = rested_volts(used) * run.sixes;
    Discharge { curve: run.curve, ends, last_volts, last_rested }
}

/// Hours of standby alone until the equipment cuts off; at most [`MOST_HOURS`].
#[must_use]
pub fn hours_to_cut_off(plan: &Plan, bank: &Bank, state: State, ends: Ends, cut_off: f64) -> f64 {
    let load = Load { standby_h: MOST_HOURS, alarm_min: 0.0, alarm: Case::Standby, cut_off };
    let mut run = Run::new(plan, bank, state, ends, &load);
    if let Err(ended) = run.step(0.0, false) {
        return ended.hours;
    }
    // About how long the first current lasts, for steps of the right length.
    let first = run.curve.first().map_or(0.0, |sample| sample.amperes) / run.capacity + SELF_DISCHARGE;
    let (mut low, mut high) = (1e-4, MOST_HOURS);
    for _ in 0..60 {
        let middle = f64::sqrt(low * high);
        if first * run.rate.phi(middle) < 1.0 { low = middle } else { high = middle }
    }
    let mut from = 0.0;
    while from < MOST_HOURS {
        let to = (from + low).min(MOST_HOURS);
        if let Err(ended) = run.through(from, to, STANDBY_STEPS, false) {
            return ended.hours;
        }
        from = to;
    }
    MOST_HOURS
}
