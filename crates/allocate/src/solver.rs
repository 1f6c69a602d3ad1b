//! A linear model in whole numbers, and whoever solves it.

use microlp::{ComparisonOp, Error, OptimizationDirection, SolveOptions, SolveOutcome};

/// Least cost of whole numbers under linear rows.
#[derive(Debug, Clone, Default)]
pub(crate) struct Model {
    /// Cost of one of each column.
    pub(crate) costs: Vec<i64>,
    /// The most of each column; the least is 0.
    pub(crate) most: Vec<i64>,
    /// The rows.
    pub(crate) rows: Vec<Row>,
}

/// One row: the sum of its terms against a number.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    /// Columns with their factors, each column once.
    pub(crate) terms: Vec<(usize, i64)>,
    /// How they compare.
    pub(crate) sense: Sense,
    /// With what.
    pub(crate) right: i64,
}

/// How a row compares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sense {
    AtMost,
    AtLeast,
    Exactly,
}

impl Model {
    pub(crate) fn column(&mut self, cost: i64, most: i64) -> usize {
        self.costs.push(cost);
        self.most.push(most);
        self.costs.len() - 1
    }

    /// Adds a row; an empty one that holds is left out, one that does not hold stays and rules everything out.
    pub(crate) fn row(&mut self, terms: Vec<(usize, i64)>, sense: Sense, right: i64) {
        let row = Row { terms, sense, right };
        if !row.terms.is_empty() || !row.holds(&[]) {
            self.rows.push(row);
        }
    }

    /// Cost of an assignment.
    pub(crate) fn cost(&self, values: &[i64]) -> i64 {
        self.costs.iter().zip(values).map(|(cost, value)| cost * value).sum()
    }

    /// Whether an assignment keeps every row and every end, in whole numbers: no tolerance of a solver comes past here.
    pub(crate) fn allows(&self, values: &[i64]) -> bool {
        values.len() == self.most.len()
            && values.iter().zip(&self.most).all(|(value, most)| (0..=*most).contains(value))
            && self.rows.iter().all(|row| row.holds(values))
    }
}

impl Row {
    fn holds(&self, values: &[i64]) -> bool {
        let sum: i64 = self.terms.iter().map(|(column, factor)| factor * values[*column]).sum();
        match self.sense {
            Sense::AtMost => sum <= self.right,
            Sense::AtLeast => sum >= self.right,
            Sense::Exactly => sum == self.right,
        }
    }
}

/// What a solver says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// An assignment, and the least that any can cost.
    Found { values: Vec<i64>, bound: i64 },
    /// Proven that there is none.
    Impossible,
    /// The search ended first.
    Nothing,
}

/// Nodes that may still be spent, and who may end the search.
pub(crate) struct Budget<'a> {
    left: u64,
    spent: u64,
    clock: bool,
    stop: &'a dyn Fn() -> bool,
}

impl<'a> Budget<'a> {
    pub(crate) fn new(nodes: u64, stop: &'a dyn Fn() -> bool) -> Self {
        Self { left: nodes, spent: 0, clock: false, stop }
    }

    pub(crate) fn spent(&self) -> u64 {
        self.spent
    }

    /// True once a clock ended the search.
    pub(crate) fn by_clock(&self) -> bool {
        self.clock
    }

    pub(crate) fn left(&self) -> u64 {
        self.left
    }

    /// True when no more work may begin.
    pub(crate) fn over(&mut self) -> bool {
        self.clock = self.clock || (self.stop)();
        self.clock || self.left == 0
    }

    pub(crate) fn spend(&mut self, nodes: u64) {
        self.left = self.left.saturating_sub(nodes);
        self.spent += nodes;
    }
}

/// Whoever solves a model. Deterministic: the same model, start and nodes give the same outcome.
pub(crate) trait Solver {
    /// Looks for the least cost, from `start` if one is given; spends what it uses of the budget.
    fn solve(&self, model: &Model, start: Option<&[i64]>, budget: &mut Budget) -> Outcome;
}

/// Nodes between two questions whether to stop.
const STRIDE: u64 = 40;

/// The solver in use: branch and bound on a simplex, pure Rust.
pub(crate) struct Microlp;

impl Solver for Microlp {
    fn solve(&self, model: &Model, start: Option<&[i64]>, budget: &mut Budget) -> Outcome {
        if budget.over() {
            return Outcome::Nothing;
        }
        budget.spend(1);
        // What it cannot verify it does not answer; presolve is the part that can be left out.
        for presolve in [true, false] {
            if let Some(outcome) = attempt(model, start, presolve, budget) {
                return outcome;
            }
        }
        Outcome::Nothing
    }
}

/// One attempt; none when the solver gives up on its own numbers.
#[expect(clippy::cast_precision_loss, reason = "counts and costs are far below 2^52")]
fn attempt(model: &Model, start: Option<&[i64]>, presolve: bool, budget: &mut Budget) -> Option<Outcome> {
    if model.costs.is_empty() {
        let fits = model.allows(&[]);
        return Some(if fits {
            Outcome::Found { values: Vec::new(), bound: 0 }
        } else {
            Outcome::Impossible
        });
    }
    if model.rows.iter().any(|row| row.terms.is_empty()) {
        return Some(Outcome::Impossible);
    }
    let mut problem = microlp::Problem::new(OptimizationDirection::Minimize);
    let columns: Vec<microlp::Variable> = model
        .costs
        .iter()
        .zip(&model.most)
        .map(|(cost, most)| {
            problem.add_integer_var(*cost as f64, (0, i32::try_from(*most).unwrap_or(i32::MAX)))
        })
        .collect();
    for row in &model.rows {
        let terms: Vec<_> =
            row.terms.iter().map(|(column, factor)| (columns[*column], *factor as f64)).collect();
        let sense = match row.sense {
            Sense::AtMost => ComparisonOp::Le,
            Sense::AtLeast => ComparisonOp::Ge,
            Sense::Exactly => ComparisonOp::Eq,
        };
        problem.add_constraint(terms.as_slice(), sense, row.right as f64);
    }
    let mut options = SolveOptions::default();
    options.presolve = presolve;
    options.node_limit = Some(STRIDE.min(budget.left()));
    options.warm_start = start
        .map(|values| columns.iter().zip(values).map(|(column, value)| (*column, *value as f64)).collect());
    let mut asked = problem.solve_with(options);
    let mut counted = 0;
    loop {
        let outcome = match asked {
            Ok(outcome) => outcome,
            Err(Error::Infeasible) => return Some(Outcome::Impossible),
            Err(_) => return None,
        };
        let nodes = outcome.stats().nodes_solved;
        budget.spend(nodes - counted);
        counted = nodes;
        if outcome.is_optimal() || budget.over() {
            return read(model, &columns, &outcome);
        }
        let mut onwards = outcome.last_resume_options();
        onwards.node_limit = Some(STRIDE.min(budget.left()));
        asked = outcome.resume_with(onwards);
    }
}

/// The outcome in whole numbers, checked against the model; none when it does not stand up to it.
#[expect(clippy::cast_possible_truncation, reason = "rounded values of bounded columns")]
fn read(model: &Model, columns: &[microlp::Variable], outcome: &SolveOutcome) -> Option<Outcome> {
    let Some(solution) = outcome.solution() else { return Some(Outcome::Nothing) };
    let values: Vec<i64> = columns.iter().map(|column| solution.var_value(*column).round() as i64).collect();
    if !model.allows(&values) {
        return None;
    }
    let cost = model.cost(&values);
    let bound = if outcome.is_optimal() {
        cost
    } else {
        let least: i64 = model.costs.iter().zip(&model.most).map(|(cost, most)| cost.min(&0) * most).sum();
        let below = outcome
            .stats()
            .best_bound
            .map_or(least, |below| (below - 1e-6 * below.abs().max(1.0)).ceil() as i64);
        below.clamp(least, cost)
    };
    Some(Outcome::Found { values, bound })
}
