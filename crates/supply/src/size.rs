//! Conductors: the smallest that does for each run, and which run to change first.

use job::{Job, RunConductor};
use quantity::{Gauge, SquareMillimetres};

use crate::plan::{Case, End, Plan, Way};
use crate::rows::cable_ohms;
use crate::solve::Solver;

/// Supplies with more runs than this get their remedies for the runs that lead to failing loads only, and at most for
/// so many.
const MOST_RUNS: usize = 200;

/// Solid AWG sizes that are sold as alarm and power cable, thinnest first.
const AWG: [i8; 8] = [24, 22, 20, 18, 16, 14, 12, 10];
/// The same by mm2.
const AREAS: [f64; 8] = [0.22, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0];

/// A condition in which every load must have its volts: a source at its least, its resistance, and a case.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Demand {
    /// Volts without load.
    pub volts: f64,
    /// Behind so many ohms.
    pub ohms: f64,
    /// Which loads sound.
    pub case: Case,
    /// Whether the mains is gone.
    pub on_battery: bool,
}

/// What one run could be.
#[derive(Clone, PartialEq, Debug)]
pub struct RunChoice {
    /// The run, as the point that it leads to.
    pub point: usize,
    /// The smallest conductor with which, all else as it is, every load has its volts; none: no size does.
    pub smallest: Option<Gauge>,
    /// Whether doubling its cores does.
    pub doubled_does: bool,
    /// By how many volts the worst load is short with its cores doubled; negative when none is.
    pub short_doubled_v: f64,
}

/// Changes of conductors for one supply.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Sizing {
    /// One for each run that was looked at.
    pub runs: Vec<RunChoice>,
    /// Which run to change first, as a place in `runs`: where doubling helps the worst load most. None where nothing
    /// fails, or where no run helps.
    pub first: Option<usize>,
    /// The smallest conductor for all runs on the way to failing loads at once, where one run alone does not do.
    pub together: Option<Gauge>,
    /// Runs on the way to failing loads, as points.
    pub on_the_way: Vec<usize>,
    /// By how many volts the worst load is short as it is; negative when none is, infinite in a collapse.
    pub short_v: f64,
}

/// Trees, loaded and ready, for every demand and both ends of the cables.
struct Bench {
    solver: Solver,
    trees: Vec<(f64, crate::Tree, Demand)>,
}

impl Bench {
    fn new(plan: &Plan, demands: &[Demand]) -> Self {
        let mut trees = Vec::new();
        for demand in demands {
            for cables in [End::Low, End::High] {
                let mut tree = plan.tree(cables, End::High, demand.ohms);
                plan.load(&mut tree, demand.case, demand.on_battery);
                trees.push((demand.volts, tree, *demand));
            }
        }
        Self { solver: Solver::new(), trees }
    }

    /// By how many volts the worst load is short, and which rows are; infinite in a collapse.
    fn short(&mut self, plan: &Plan, mut failing: Option<&mut Vec<usize>>) -> f64 {
        let mut worst = f64::NEG_INFINITY;
        for (volts, tree, demand) in &self.trees {
            if let Err(collapse) = self.solver.solve(tree, *volts) {
                worst = f64::INFINITY;
                if let Some(failing) = failing.as_deref_mut() {
                    failing.push(collapse.point);
                }
                continue;
            }
            for row in &plan.rows {
                let Some(minimum) = row.minimum else { continue };
                if row.shed && demand.on_battery {
                    continue;
                }
                let short = minimum.0 - self.solver.volts()[row.at];
                worst = worst.max(short);
                if short > 0.0
                    && let Some(failing) = failing.as_deref_mut()
                {
                    failing.push(row.at);
                }
            }
        }
        worst
    }

    /// The same with runs changed: points, and their resistance at the low and the high end.
    fn short_with(&mut self, plan: &Plan, changes: &[(usize, [f64; 2])]) -> f64 {
        let mut before = Vec::with_capacity(self.trees.len() * changes.len());
        for (at, (_, tree, _)) in self.trees.iter_mut().enumerate() {
            for (point, ends) in changes {
                before.push(tree.ohms(*point));
                tree.set_ohms(*point, ends[at % 2]);
            }
        }
        let short = self.short(plan, None);
        let mut before = before.into_iter();
        for (_, tree, _) in &mut self.trees {
            for (point, _) in changes {
                tree.set_ohms(*point, before.next().unwrap_or(0.0));
            }
        }
        short
    }
}

/// Looks for conductors with which every load has its volts under every demand.
#[must_use]
pub fn sizing(job: &Job, plan: &Plan, demands: &[Demand]) -> Sizing {
    let mut bench = Bench::new(plan, demands);
    let mut failing = Vec::new();
    let mut sizing = Sizing { short_v: bench.short(plan, Some(&mut failing)), ..Sizing::default() };
    sizing.on_the_way = on_the_way(plan, &failing);
    let all: Vec<usize> =
        (1..plan.points.len()).filter(|&at| matches!(plan.points[at].way, Way::Run(_))).collect();
    let looked_at = if all.len() <= MOST_RUNS { all } else { sizing.on_the_way.clone() };
    for point in looked_at.into_iter().take(MOST_RUNS) {
        let doubled = doubled(plan, point);
        let short_doubled_v = bench.short_with(plan, &[(point, doubled)]);
        let smallest = sizes(plan, point)
            .into_iter()
            .find(|&gauge| bench.short_with(plan, &[(point, with_gauge(job, plan, point, gauge))]) <= 0.0);
        let doubled_does = short_doubled_v <= 0.0;
        sizing.runs.push(RunChoice { point, smallest, doubled_does, short_doubled_v });
    }
    if sizing.short_v > 0.0 {
        let on_the_way = sizing.on_the_way.clone();
        let helps = |choice: &RunChoice| {
            on_the_way.contains(&choice.point)
                && (choice.short_doubled_v < sizing.short_v || choice.smallest.is_some())
        };
        let candidates = (0..sizing.runs.len()).filter(|&at| helps(&sizing.runs[at]));
        let shortest = |one: &usize, other: &usize| {
            sizing.runs[*one].short_doubled_v.total_cmp(&sizing.runs[*other].short_doubled_v)
        };
        sizing.first = candidates.min_by(shortest);
        if !sizing.runs.iter().any(|choice| choice.smallest.is_some() || choice.doubled_does) {
            sizing.together = together(job, plan, &mut bench, &sizing.on_the_way);
        }
    }
    sizing
}

/// The smallest conductor for all runs on the way at once.
fn together(job: &Job, plan: &Plan, bench: &mut Bench, on_the_way: &[usize]) -> Option<Gauge> {
    let first = *on_the_way.first()?;
    sizes(plan, first).into_iter().find(|&gauge| {
        let changes: Vec<(usize, [f64; 2])> = on_the_way
            .iter()
            .map(|&point| {
                let new = with_gauge(job, plan, point, gauge);
                let old = plan.points[point].ohms;
                // Nobody takes a thicker cable out.
                (point, [new[0].min(old.lo().0), new[1].min(old.hi().0)])
            })
            .collect();
        bench.short_with(plan, &changes) <= 0.0
    })
}

/// The runs between the supply and points that fail.
fn on_the_way(plan: &Plan, failing: &[usize]) -> Vec<usize> {
    let mut marked = vec![false; plan.points.len()];
    for &at in failing {
        let mut at = at;
        while at != 0 && !marked[at] {
            marked[at] = true;
            at = plan.points[at].parent;
        }
    }
    (1..plan.points.len()).filter(|&at| marked[at] && matches!(plan.points[at].way, Way::Run(_))).collect()
}

/// Half of the copper's resistance; joints stay as many as they are.
fn doubled(plan: &Plan, point: usize) -> [f64; 2] {
    let ohms = plan.points[point].ohms;
    [ohms.lo().0 / 2.0, ohms.hi().0 / 2.0]
}

/// Sizes of the run's own kind, thinnest first; none for a run that was measured and whose length nobody knows.
fn sizes(plan: &Plan, point: usize) -> Vec<Gauge> {
    let Way::Run(run) = &plan.points[point].way else { return Vec::new() };
    match run.conductor {
        RunConductor::Cable { gauge: Gauge::Awg { stranded, .. }, .. } => {
            AWG.map(|number| Gauge::Awg { number, stranded }).to_vec()
        }
        RunConductor::Cable { gauge: Gauge::Area { stranded, .. }, .. } => {
            AREAS.map(|area| Gauge::Area { area: SquareMillimetres(area), stranded }).to_vec()
        }
        RunConductor::Measured(_) => Vec::new(),
    }
}

/// A run's resistance with another conductor and the same cores and joints.
fn with_gauge(job: &Job, plan: &Plan, point: usize, gauge: Gauge) -> [f64; 2] {
    let old = plan.points[point].ohms;
    let Way::Run(run) = &plan.points[point].way else { return [old.lo().0, old.hi().0] };
    let RunConductor::Cable { length, .. } = run.conductor else { return [old.lo().0, old.hi().0] };
    let ohms = cable_ohms(job, length, gauge, 2.0);
    let cores = f64::from(run.cores.max(1));
    let joints = f64::from(run.joints) * job.assume.joint_max.0;
    [ohms.lo().0 / cores, ohms.hi().0 / cores + joints]
}
