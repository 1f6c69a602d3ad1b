//! The cut-over of a job: its tasks, their order, what is unprotected when, and the method statement.

mod chart;
mod clock;
mod endless;
mod law;
mod method;
mod notice;
mod order;
mod tasks;
mod words;

use std::collections::BTreeMap;

use cutover::{Act, NoPlan, Plan, Problem, Way, plan};
use job::{Circuit, CutoverWay, Finding, Job};
use library::Library;
use quantity::Ohms;

pub use chart::{ChartBar, ChartDay, ChartRow};
pub use clock::Clock;
pub use endless::{Endless, Gone, Why, output_of};
pub use law::{Limit, Rule};
pub use method::{Phase, Step};
pub use notice::{Field, Notice};
pub use order::OrderRow;
pub use tasks::Dummy;

use crate::assess::Assessment;

/// What is asked for besides the job.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct CutoverAsked {
    /// In place of the job's way.
    pub way: Option<CutoverWay>,
    /// How many placements the search may try.
    pub nodes: u64,
}

/// So many placements that a building of some dozen circuits is planned within a third of a second.
pub const CUTOVER_NODES: u64 = 300_000;

impl Default for CutoverAsked {
    fn default() -> Self {
        Self { way: None, nodes: CUTOVER_NODES }
    }
}

/// A cut-over, or why there is none.
#[derive(Debug)]
pub struct Cutover<'a> {
    /// The job.
    pub job: &'a Job,
    /// How circuits go over.
    pub way: Way,
    /// The work as the engine got it.
    pub problem: Problem,
    /// The circuits of [`Problem::lines`], in that order.
    pub circuits: Vec<&'a Circuit>,
    /// Circuits that have no input yet, and are not moved.
    pub left_out: Vec<&'a Circuit>,
    /// Everything in its order, or why it has none.
    pub plan: Result<Plan, NoPlan>,
    /// What is without protection and has no end in the plan; counted in its curve and outage, not in its exposure.
    pub endless: Vec<Endless>,
    /// From when to when the account is on test; off test whenever nobody is at work.
    pub on_test: Vec<(u32, u32)>,
    /// What a minute of the plan is called.
    pub clock: Clock,
    /// What each preparing task is called, by act.
    names: BTreeMap<Act, String>,
    /// The method statement: numbered, in the order of the work.
    pub steps: Vec<Step>,
    /// Dummy resistors on the old terminals, in the order of the circuits; empty in a swap.
    pub dummies: Vec<Dummy>,
    /// Every rule of the site on impairments, with its clause.
    pub rules: Vec<Rule>,
    /// The limit that bounds the plan; none where no rule names hours.
    pub limit: Option<Limit>,
    /// What must be settled before the first lift, and what the plan itself brings.
    pub findings: Vec<Finding>,
    /// Texts to station, owner and authority, and the fire-watch notice, as fields to fill in.
    pub notices: Vec<Notice>,
}

/// Plans the cut-over of an assessed job; modules and inputs stand in the job.
///
/// Deterministic: the search ends by a count and by no clock.
#[must_use]
pub fn cutover<'a>(assessment: &Assessment<'a>, asked: CutoverAsked) -> Cutover<'a> {
    let job = assessment.job;
    let way = match asked.way.unwrap_or(job.cutover.way) {
        CutoverWay::SideBySide => Way::SideBySide,
        CutoverWay::Swap => Way::Swap,
    };
    let clock = Clock::new(&job.cutover);
    let rules = law::rules(job, assessment.library);
    let limit = law::limit(job, &rules);
    let work = tasks::work(assessment, way, &clock, limit.as_ref(), asked.nodes);
    let mut plan = plan(&work.problem);
    let endless = plan.as_mut().map_or(Vec::new(), |plan| endless::count(assessment, &work, plan));
    let on_test = plan.as_ref().map_or(Vec::new(), |plan| endless::on_test(&work, plan));
    let names = tasks::names(job, &work);
    let steps = method::steps(assessment, &work, plan.as_ref().ok());
    let mut all = Cutover {
        job,
        way,
        circuits: work.circuits,
        left_out: work.left_out,
        problem: work.problem,
        plan,
        endless,
        on_test,
        clock,
        names,
        steps,
        dummies: work.dummies,
        rules,
        limit,
        findings: Vec::new(),
        notices: Vec::new(),
    };
    all.findings = law::findings(assessment, &all, &work.remedies);
    all.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    all.notices = notice::notices(&all);
    all
}

impl Cutover<'_> {
    /// Fire circuits that move.
    pub fn fire(&self) -> impl Iterator<Item = &Circuit> {
        self.circuits
            .iter()
            .zip(&self.problem.lines)
            .filter(|(_, line)| line.fire)
            .map(|(circuit, _)| *circuit)
    }

    /// The answer in a sentence, the same on every face.
    #[must_use]
    pub fn answer(&self) -> String {
        let plan = match &self.plan {
            Err(error) => return format!("No order was found: {error}."),
            Ok(_) if self.circuits.is_empty() => {
                return "Nothing moves yet: no circuit has an input of a module with a profile.".to_owned();
            }
            Ok(plan) => plan,
        };
        let crew = self.problem.crew;
        let people = if crew == 1 { "one technician".to_owned() } else { format!("{crew} technicians") };
        let dead: u64 = plan.dead.iter().map(|(from, to)| u64::from(to - from)).sum();
        let longest = plan.dead.iter().map(|(from, to)| to - from).max().unwrap_or(0);
        let gap = match plan.status {
            cutover::Status::Optimal => "no order has less".to_owned(),
            cutover::Status::Feasible => format!("at most {:.1} % could be saved", 100.0 * plan.gap()),
        };
        let mut answer = format!(
            "{} {} {} in {} of work by {people}, {} to {}; {dead} circuit-minutes without protection, \
             {} weighted ({gap}), none longer than {}.",
            self.circuits.len(),
            if self.circuits.len() == 1 { "circuit goes over" } else { "circuits go over" },
            match self.way {
                Way::SideBySide => "side by side",
                Way::Swap => "in a swap",
            },
            clock::length(busy(plan)),
            self.clock.written(plan.tasks.first().map_or(0, |task| task.start)),
            self.clock.written(plan.end),
            plan.exposure,
            clock::length(longest),
        );
        answer.push_str(&self.fire_sentence(plan));
        answer.push_str(&self.endless_sentence());
        answer
    }

    fn endless_sentence(&self) -> String {
        let of = |why: Why| -> Vec<&str> {
            let some = self.endless.iter().filter(|one| one.why == why);
            some.map(|one| one.tag.as_str()).collect()
        };
        let cut = self.endless.iter().filter(|one| matches!(one.why, Why::Core(_)));
        let cut: Vec<&str> = cut.map(|one| one.tag.as_str()).collect();
        let mut sentence = String::new();
        let say = |tags: &[&str], one: &str, many: &str| match tags {
            [] => String::new(),
            [tag] => format!(" {tag} {one}."),
            [rest @ .., last] => format!(" {} and {last} {many}.", rest.join(", ")),
        };
        sentence += &say(
            &of(Why::NoInput),
            "does not come back: it has no input, and is not in these circuit-minutes",
            "do not come back: they have no input, and are not in these circuit-minutes",
        );
        sentence += &say(
            &of(Why::InPart),
            "comes back in part: not every home run of it has an input",
            "come back in part: not every home run of them has an input",
        );
        sentence += &say(
            &cut,
            "loses a core that goes over with another circuit, has no input, and is not in these circuit-minutes",
            "lose a core that goes over with another circuit, have no input, and are not in these circuit-minutes",
        );
        let stay = self.stay();
        if !stay.is_empty() && !self.circuits.is_empty() {
            let tags: Vec<&str> = stay.iter().map(|circuit| circuit.tag.as_str()).collect();
            sentence += &say(
                &tags,
                "stays on the old panel, which stays in service",
                "stay on the old panel, which stays in service",
            );
        }
        sentence
    }

    fn fire_sentence(&self, plan: &Plan) -> String {
        if !self.fire_goes_out() {
            return String::new();
        }
        let out = clock::length(plan.outage.worst);
        match &self.limit {
            None => {
                format!(" The fire alarm is out for {out} within 24 h; no rule here names a limit in hours.")
            }
            Some(limit) => {
                let allowed = clock::length(limit.minutes);
                let verdict = if plan.outage.worst > limit.minutes { "beyond" } else { "within" };
                format!(
                    " The fire alarm is out for {out} within 24 h, {verdict} the {allowed} of {}.",
                    limit.clause
                )
            }
        }
    }

    /// What a task is called.
    #[must_use]
    pub fn name(&self, act: Act) -> String {
        let tag = |line: usize| self.problem.lines[line].tag.as_str();
        match act {
            Act::Prepare(..) | Act::Finish(..) => self.names.get(&act).cloned().unwrap_or_default(),
            Act::Gate => "gate before the first lift".to_owned(),
            Act::Lift(line) if self.opens(line) => format!("old panel powered down, {} lifted", tag(line)),
            Act::Lift(line) => format!("{} lifted", tag(line)),
            Act::Lifted => "all lifted".to_owned(),
            Act::Land(line) => format!("{} landed", tag(line)),
            Act::FireLanded => "fire circuits landed".to_owned(),
            Act::Wake(module) => format!("{} powered up, enrolled", self.problem.modules[module].tag),
            Act::Prove(line) => format!("{} proven", tag(line)),
            Act::Move(line) => format!("{} moved and proven", tag(line)),
            Act::FireProven => "fire circuits proven".to_owned(),
            Act::Proven => "all proven".to_owned(),
        }
    }

    /// Whether this is among the lifts in which the old panel is powered down: those that begin with the first.
    fn opens(&self, line: usize) -> bool {
        let Ok(plan) = &self.plan else { return false };
        let lifts = plan.tasks.iter().filter(|task| Some(task.start) == plan.first_lift);
        lifts.into_iter().any(|task| task.act == Act::Lift(line))
    }

    /// Where a task is done: the input and the place of its circuit; empty for others.
    #[must_use]
    pub fn place(&self, act: Act) -> String {
        let (Act::Move(line) | Act::Land(line) | Act::Prove(line)) = act else { return String::new() };
        let circuit = self.circuits[line];
        let input = circuit.input.as_ref().map(|input| format!("{}.{} ", input.module, input.number));
        format!("{}{}", input.unwrap_or_default(), circuit.place).trim_end().to_owned()
    }

    /// What a circuit was read as at rest, as far as the job says.
    #[must_use]
    pub fn rest_reading(circuit: &Circuit) -> Option<Ohms> {
        tasks::rest_reading(circuit)
    }
}

/// Minutes in which somebody works.
fn busy(plan: &Plan) -> u32 {
    let mut spans: Vec<(u32, u32)> =
        plan.tasks.iter().filter(|task| task.end > task.start).map(|task| (task.start, task.end)).collect();
    spans.sort_unstable();
    let (mut sum, mut until) = (0, 0);
    for (from, to) in spans {
        sum += to.saturating_sub(from.max(until));
        until = until.max(to);
    }
    sum
}

/// The library's working time in whole minutes, its upper end: a plan that is kept.
pub(crate) fn minutes(library: &Library, task: library::Task, count: u32) -> u32 {
    whole(library.working_time().minutes(task, count).hi().0)
}

/// Whole minutes, rounded up, at least 1.
pub(crate) fn whole(minutes: f64) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "rounded up, clamped")]
    let whole = (minutes - 1e-9).ceil().clamp(1.0, 100_000.0) as u32;
    whole
}
