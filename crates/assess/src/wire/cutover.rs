//! The serialisable twin of a cut-over: what `cutover --json` prints.

use cutover::Presence;
use schemars::JsonSchema;
use serde::Serialize;

use super::FindingJson;
use crate::cutover::Cutover;

/// What `cutover --json` prints. Minutes count from the midnight before the work begins.
#[derive(Serialize, JsonSchema, Debug)]
pub struct CutoverJson {
    /// The answer in a sentence.
    answer: String,
    /// `side by side` or `swap`.
    way: &'static str,
    crew: u16,
    /// `optimal`, `feasible`, or `infeasible` where there is no order.
    status: &'static str,
    /// Why there is no order.
    why: Option<String>,
    /// Circuit-minutes by weight.
    exposure: Option<u64>,
    /// No order has less.
    bound: Option<u64>,
    /// How much less there could be, as a share.
    gap: Option<f64>,
    /// `nodes` where the search ended because they were used up.
    stopped: Option<&'static str>,
    nodes: Option<u64>,
    first_lift_min: Option<u32>,
    end_min: Option<u32>,
    windows: Vec<WindowJson>,
    modules: Vec<ModuleJson>,
    circuits: Vec<MovedJson>,
    /// Tags of circuits that have no input, and are not moved.
    left_out: Vec<String>,
    /// By start.
    tasks: Vec<TaskJson>,
    curve: Vec<LevelJson>,
    /// When the account is on test: off test whenever nobody is at work.
    on_test: Vec<SpanJson>,
    /// What is without protection and has no end in the plan.
    no_end: Vec<SinceJson>,
    impairment: ImpairmentJson,
    steps: Vec<StepJson>,
    dummy_resistors: Vec<DummyJson>,
    findings: Vec<FindingJson>,
    notices: Vec<NoticeJson>,
}

/// Hours in which work may be done.
#[derive(Serialize, JsonSchema, Debug)]
pub struct WindowJson {
    from_min: u32,
    to_min: u32,
    /// `occupied` or `empty`.
    building: &'static str,
}

/// A module that circuits go to.
#[derive(Serialize, JsonSchema, Debug)]
pub struct ModuleJson {
    id: String,
    /// In a swap: power-up, enrolment and outputs, once all its circuits are landed.
    wake_min: u32,
}

/// A circuit that goes over.
#[derive(Serialize, JsonSchema, Debug)]
pub struct MovedJson {
    tag: String,
    input: String,
    module: String,
    duty: Option<&'static str>,
    fire: bool,
    /// What a minute without it weighs, while nobody is in and while people are.
    weight: u32,
    weight_occupied: u32,
    lift_min: u32,
    land_min: u32,
    prove_min: u32,
    /// Without protection from, to; null where there is no order.
    dead_from_min: Option<u32>,
    dead_to_min: Option<u32>,
}

/// One piece of work.
#[derive(Serialize, JsonSchema, Debug)]
pub struct TaskJson {
    /// From 1, in the order of the list.
    number: usize,
    /// `prepare`, `gate`, `lift`, `lifted`, `land`, `fire-landed`, `wake`, `prove`, `move`, `fire-proven`, `proven` or
    /// `finish`.
    act: &'static str,
    /// The circuit or module, or what is prepared.
    name: String,
    start_min: u32,
    end_min: u32,
    /// The same as date and time.
    start: String,
    end: String,
    /// Technicians, from 1.
    who: Vec<u16>,
    /// Numbers of tasks that must have ended.
    after: Vec<usize>,
}

/// What is unprotected from here on.
#[derive(Serialize, JsonSchema, Debug)]
pub struct LevelJson {
    at_min: u32,
    at: String,
    count: usize,
    weight: u64,
    /// Each with since when.
    unprotected: Vec<SinceJson>,
}

/// From one minute to another.
#[derive(Serialize, JsonSchema, Debug)]
pub struct SpanJson {
    from_min: u32,
    to_min: u32,
}

/// A circuit without protection.
#[derive(Serialize, JsonSchema, Debug)]
pub struct SinceJson {
    /// The circuit; `C01 run 2` where only that home run of it has no input.
    tag: String,
    since_min: u32,
}

/// How long fire circuits are out.
#[derive(Serialize, JsonSchema, Debug)]
pub struct ImpairmentJson {
    /// The limit within 24 h; null where no rule names hours.
    limit_min: Option<u32>,
    /// Where it stands.
    clause: Option<String>,
    /// The most within any 24 h.
    worst_24h_min: Option<u32>,
    worst_from_min: Option<u32>,
    over_min: Option<u32>,
    intervals: Vec<IntervalJson>,
    rules: Vec<RuleJson>,
}

/// One time in which fire circuits are out.
#[derive(Serialize, JsonSchema, Debug)]
pub struct IntervalJson {
    from_min: u32,
    to_min: u32,
    /// Minutes out within the 24 h from its beginning on.
    within_24h_min: u32,
}

/// A rule on impairments.
#[derive(Serialize, JsonSchema, Debug)]
pub struct RuleJson {
    rules: String,
    /// Null: at once.
    after_h: Option<f64>,
    /// `notify`, `evacuate`, `fire-watch`.
    asks: Vec<&'static str>,
    words: String,
    clause: String,
    source: String,
}

/// One numbered step of the method statement.
#[derive(Serialize, JsonSchema, Debug)]
pub struct StepJson {
    number: usize,
    /// The number of the task that it is part of.
    task: Option<usize>,
    /// `gate`, `prepare`, `circuit`, `finish`, or a phase of a profile's `[steps]`.
    phase: String,
    #[serde(rename = "where")]
    place: String,
    #[serde(rename = "do")]
    act: String,
    proof: String,
    undoes: String,
    caution: String,
}

/// A dummy resistor on old terminals.
#[derive(Serialize, JsonSchema, Debug)]
pub struct DummyJson {
    tag: String,
    was: String,
    /// Null where no reading says which.
    ohm: Option<f64>,
    text: String,
}

/// A text to somebody.
#[derive(Serialize, JsonSchema, Debug)]
pub struct NoticeJson {
    id: &'static str,
    title: &'static str,
    text: String,
    fields: Vec<FieldJson>,
    cautions: Vec<String>,
}

/// A line of it; empty where a person fills it in.
#[derive(Serialize, JsonSchema, Debug)]
pub struct FieldJson {
    label: String,
    value: String,
}

impl CutoverJson {
    /// The twin of a cut-over.
    #[must_use]
    pub fn new(cutover: &Cutover) -> Self {
        let plan = cutover.plan.as_ref().ok();
        Self {
            answer: cutover.answer(),
            way: cutover.way.word(),
            crew: cutover.problem.crew,
            status: plan.map_or("infeasible", |plan| plan.status.word()),
            why: cutover.plan.as_ref().err().map(ToString::to_string),
            exposure: plan.map(|plan| plan.exposure),
            bound: plan.map(|plan| plan.bound),
            gap: plan.map(cutover::Plan::gap),
            stopped: plan.filter(|plan| plan.stopped).map(|_| "nodes"),
            nodes: plan.map(|plan| plan.nodes),
            first_lift_min: plan.and_then(|plan| plan.first_lift),
            end_min: plan.map(|plan| plan.end),
            windows: cutover.problem.windows.iter().map(window).collect(),
            modules: cutover
                .problem
                .modules
                .iter()
                .map(|module| ModuleJson { id: module.tag.clone(), wake_min: module.wake })
                .collect(),
            circuits: circuits(cutover),
            left_out: cutover.left_out.iter().map(|circuit| circuit.tag.value.clone()).collect(),
            tasks: tasks(cutover),
            curve: curve(cutover),
            on_test: cutover
                .on_test
                .iter()
                .map(|(from, to)| SpanJson { from_min: *from, to_min: *to })
                .collect(),
            no_end: cutover
                .endless
                .iter()
                .map(|one| SinceJson { tag: one.what.clone(), since_min: one.since })
                .collect(),
            impairment: impairment(cutover),
            steps: cutover.steps.iter().map(step).collect(),
            dummy_resistors: cutover
                .dummies
                .iter()
                .map(|dummy| DummyJson {
                    tag: dummy.tag.clone(),
                    was: dummy.was.clone(),
                    ohm: dummy.value.map(|value| value.0),
                    text: dummy.text.clone(),
                })
                .collect(),
            findings: cutover.findings.iter().map(FindingJson::new).collect(),
            notices: cutover.notices.iter().map(notice).collect(),
        }
    }

    /// The JSON Schema of `cutover --json`.
    #[must_use]
    pub fn schema() -> serde_json::Value {
        schemars::schema_for!(Self).to_value()
    }
}

fn window(window: &cutover::Window) -> WindowJson {
    let building = match window.presence {
        Presence::Occupied => "occupied",
        Presence::Empty => "empty",
    };
    WindowJson { from_min: window.from, to_min: window.to, building }
}

fn circuits(cutover: &Cutover) -> Vec<MovedJson> {
    let plan = cutover.plan.as_ref().ok();
    let one = |(at, (circuit, line)): (usize, (&&job::Circuit, &cutover::Line))| {
        let dead = plan.map(|plan| plan.dead[at]);
        MovedJson {
            tag: line.tag.clone(),
            input: circuit
                .input
                .as_ref()
                .map(|input| format!("{}.{}", input.module, input.number))
                .unwrap_or_default(),
            module: cutover.problem.modules[line.module].tag.clone(),
            duty: circuit.duty.map(job::Duty::word),
            fire: line.fire,
            weight: line.weight,
            weight_occupied: line.weight_occupied,
            lift_min: line.lift,
            land_min: line.land,
            prove_min: line.prove,
            dead_from_min: dead.map(|(from, _)| from),
            dead_to_min: dead.map(|(_, to)| to),
        }
    };
    cutover.circuits.iter().zip(&cutover.problem.lines).enumerate().map(one).collect()
}

fn tasks(cutover: &Cutover) -> Vec<TaskJson> {
    let Ok(plan) = &cutover.plan else { return Vec::new() };
    let one = |(at, task): (usize, &cutover::Planned)| TaskJson {
        number: at + 1,
        act: task.act.word(),
        name: cutover.name(task.act),
        start_min: task.start,
        end_min: task.end,
        start: cutover.clock.written(task.start),
        end: cutover.clock.written(task.end),
        who: task.who.clone(),
        after: task.after.iter().map(|before| before + 1).collect(),
    };
    plan.tasks.iter().enumerate().map(one).collect()
}

fn curve(cutover: &Cutover) -> Vec<LevelJson> {
    let Ok(plan) = &cutover.plan else { return Vec::new() };
    let one = |level: &cutover::Level| LevelJson {
        at_min: level.at,
        at: cutover.clock.written(level.at),
        count: level.count,
        weight: level.weight,
        unprotected: cutover
            .gone_at(level.at)
            .into_iter()
            .map(|one| SinceJson { tag: one.what, since_min: one.since })
            .collect(),
    };
    plan.curve.iter().map(one).collect()
}

fn impairment(cutover: &Cutover) -> ImpairmentJson {
    let plan = cutover.plan.as_ref().ok();
    let rule = |rule: &crate::cutover::Rule| RuleJson {
        rules: rule.rules.clone(),
        after_h: rule.after.map(|hours| hours.0),
        asks: rule.asks.iter().map(|asked| asked.word()).collect(),
        words: rule.words.clone(),
        clause: rule.clause.clone(),
        source: rule.source.clone(),
    };
    let intervals = plan.map_or(Vec::new(), |plan| {
        let one = |out: &cutover::Out| IntervalJson {
            from_min: out.from,
            to_min: out.to,
            within_24h_min: plan.outage.within_day_from(out.from),
        };
        plan.outage.intervals.iter().map(one).collect()
    });
    ImpairmentJson {
        limit_min: cutover.limit.as_ref().map(|limit| limit.minutes),
        clause: cutover.limit.as_ref().map(|limit| limit.clause.clone()),
        worst_24h_min: plan.map(|plan| plan.outage.worst),
        worst_from_min: plan.and_then(|plan| plan.outage.worst_from),
        over_min: plan.map(|plan| plan.over_limit),
        intervals,
        rules: cutover.rules.iter().map(rule).collect(),
    }
}

fn step(step: &crate::cutover::Step) -> StepJson {
    StepJson {
        number: step.number,
        task: step.task.map(|task| task + 1),
        phase: step.phase.word().to_owned(),
        place: step.place.clone(),
        act: step.act.clone(),
        proof: step.proof.clone(),
        undoes: step.undoes.clone(),
        caution: step.caution.clone(),
    }
}

fn notice(notice: &crate::cutover::Notice) -> NoticeJson {
    let field =
        |field: &crate::cutover::Field| FieldJson { label: field.label.clone(), value: field.value.clone() };
    NoticeJson {
        id: notice.id,
        title: notice.title,
        text: notice.text.clone(),
        fields: notice.fields.iter().map(field).collect(),
        cautions: notice.cautions.clone(),
    }
}
