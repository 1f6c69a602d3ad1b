//! The serialisable twins of an allocation.

use std::ops::Range;

use job::InputRef;
use schemars::JsonSchema;
use serde::Serialize;

use super::FindingJson;
use crate::allocate::{AllocationPlan, DemandPlan, InputPlan, ModulePlan, PlacePlan, Status, Stopped};

/// What `allocate --json` prints.
#[derive(Serialize, JsonSchema, Debug)]
pub struct AllocationJson {
    /// `optimal`, `feasible`, `infeasible`; `unknown` when nothing was found and nothing ruled out.
    status: &'static str,
    /// What all of it costs beyond what the job has, in the office's currency, working time folded in; null when nothing
    /// was found.
    cost: Option<f64>,
    /// How far that may be above the least possible, as a share of it; null when nothing was found.
    gap: Option<f64>,
    /// Why the search ended before its end: `nodes` or `clock`; null when it did not.
    stopped: Option<&'static str>,
    /// The cost's parts to be bought, in the office's currency.
    money: f64,
    /// The cost's working time.
    minutes: f64,
    /// Steps of the search.
    nodes: u64,
    /// Those of the job, then new ones.
    modules: Vec<AllocatedModuleJson>,
    /// One for each input that is used, by circuit in the order of the job.
    inputs: Vec<AllocatedInputJson>,
    /// Circuits that get no input, in the order of the job.
    left: Vec<LeftJson>,
    /// Where cables end, with what is left there.
    enclosures: Vec<PlaceJson>,
    /// Null where the panel's number is not known.
    zones_left: Option<u32>,
    /// Null where the panel's number is not known.
    modules_left: Option<u32>,
    /// Demands that cannot stand together; empty where it can be done.
    conflict: Vec<DemandJson>,
    /// What the job forbids that might make room for them; empty where it forbids nothing.
    forbids: Vec<DemandJson>,
    /// Whether each of the demands is needed, so that with any one given up the others can stand; false where the search
    /// ended before that was clear; null where it can be done.
    irreducible: Option<bool>,
    /// All of the conflict in one or two sentences; null where it can be done.
    because: Option<String>,
    /// The answer in a sentence.
    answer: String,
    findings: Vec<FindingJson>,
    /// How many changes were put into the job file (--write).
    written: usize,
    /// The other allocation (--compare); null without.
    compared: Option<Box<AllocationJson>>,
}

/// A module.
#[derive(Serialize, JsonSchema, Debug)]
pub struct AllocatedModuleJson {
    id: String,
    profile: String,
    /// Null where each input has its own.
    mode: Option<String>,
    enclosure: Option<String>,
    /// Whether it is to be bought.
    new: bool,
    /// Inputs that stay free.
    spare: Vec<u16>,
    /// What its auxiliary output still gives.
    aux_left_ma: u32,
    /// What is on its tamper input: `wired` or `bridged`.
    tamper: &'static str,
    tamper_because: String,
}

/// An input with its circuit.
#[derive(Serialize, JsonSchema, Debug)]
pub struct AllocatedInputJson {
    /// `M1.7`
    input: String,
    tag: String,
    mode: String,
    /// Its number in the control equipment; null where the panel gives none.
    zone: Option<u32>,
    /// Whether the job said so before.
    pinned: bool,
    /// What has to be done to the circuit, told with its first input; null where nothing has.
    remedy: Option<AllocatedRemedyJson>,
    /// What is wrong all the same; null where nothing is.
    remains: Option<String>,
    /// Where its cable is made longer to; null where it is not.
    extended_to: Option<String>,
    extended_m: Option<f64>,
}

/// What has to be done to a circuit.
#[derive(Serialize, JsonSchema, Debug)]
pub struct AllocatedRemedyJson {
    /// `value`, `adapter`, `move` or `split`.
    kind: &'static str,
    text: String,
    minutes: f64,
}

/// A circuit without an input.
#[derive(Serialize, JsonSchema, Debug)]
pub struct LeftJson {
    tag: String,
    why: String,
}

/// Where cables end.
#[derive(Serialize, JsonSchema, Debug)]
pub struct PlaceJson {
    /// Empty in a job without enclosures.
    id: String,
    /// Enclosures to be hung beside it.
    annexes: Vec<AnnexJson>,
    /// Null where the number is not known.
    positions_left: Option<u32>,
    spare: u32,
    /// Null where the number is not known.
    battery_spaces: Option<u32>,
    /// Battery blocks of its supplies.
    batteries: u32,
}

/// An enclosure to be hung.
#[derive(Serialize, JsonSchema, Debug)]
pub struct AnnexJson {
    id: String,
    profile: String,
}

/// A demand that a person can give up.
#[derive(Serialize, JsonSchema, Debug)]
pub struct DemandJson {
    text: String,
    /// A circuit's tag, a module's or an enclosure's id, or `job`.
    #[serde(rename = "where")]
    place: String,
    /// Its line in the job file; null where the file says nothing of it.
    line: Option<usize>,
}

impl AllocationJson {
    /// The twin of a plan; `line` gives the line of a place in the job's text.
    #[must_use]
    pub fn new(plan: &AllocationPlan, line: &dyn Fn(&Range<usize>) -> usize) -> Self {
        let found = plan.found();
        let conflict = plan.conflict.iter().flat_map(|conflict| &conflict.demands);
        Self {
            status: match plan.status {
                Status::Optimal => "optimal",
                Status::Feasible => "feasible",
                Status::Infeasible => "infeasible",
                Status::Unknown => "unknown",
            },
            cost: found.then(|| hundredths(plan.cost)),
            gap: found.then(|| number(plan.gap_ppm) / 1e6),
            stopped: match plan.stopped {
                Stopped::No => None,
                Stopped::Nodes => Some("nodes"),
                Stopped::Clock => Some("clock"),
            },
            money: hundredths(plan.effort.cents),
            minutes: number(plan.effort.seconds) / 60.0,
            nodes: plan.nodes,
            modules: plan.modules.iter().map(module).collect(),
            inputs: plan.inputs.iter().flat_map(|input| inputs(plan, input)).collect(),
            left: plan
                .left
                .iter()
                .map(|left| LeftJson {
                    tag: plan.job.circuits[left.circuit].tag.value.clone(),
                    why: left.because.words().to_owned(),
                })
                .collect(),
            enclosures: plan.places.iter().map(place).collect(),
            zones_left: plan.zones_left,
            modules_left: plan.modules_left,
            conflict: conflict.map(|of| demand(of, line)).collect(),
            forbids: plan
                .conflict
                .iter()
                .flat_map(|conflict| &conflict.forbids)
                .map(|of| demand(of, line))
                .collect(),
            irreducible: plan.conflict.as_ref().map(|conflict| conflict.irreducible),
            because: plan.conflict.as_ref().map(|conflict| conflict.words.clone()),
            answer: plan.answer(),
            findings: plan.findings.iter().map(FindingJson::new).collect(),
            written: 0,
            compared: None,
        }
    }

    /// With how many changes were put into the job file.
    #[must_use]
    pub fn written(self, written: usize) -> Self {
        Self { written, ..self }
    }

    /// With another allocation beside it.
    #[must_use]
    pub fn beside(self, other: Self) -> Self {
        Self { compared: Some(Box::new(other)), ..self }
    }

    /// The JSON Schema of `allocate --json`.
    #[must_use]
    pub fn schema() -> serde_json::Value {
        schemars::schema_for!(Self).to_value()
    }
}

fn demand(demand: &DemandPlan, line: &dyn Fn(&Range<usize>) -> usize) -> DemandJson {
    DemandJson {
        text: demand.words.clone(),
        place: demand.place.clone(),
        line: demand.span.as_ref().map(line),
    }
}

fn number(whole: u64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
    let number = whole as f64;
    number
}

fn hundredths(whole: u64) -> f64 {
    number(whole) / 100.0
}

fn module(module: &ModulePlan) -> AllocatedModuleJson {
    AllocatedModuleJson {
        id: module.id.clone(),
        profile: module.profile.clone(),
        mode: module.mode.clone(),
        enclosure: module.enclosure.clone(),
        new: module.existing.is_none(),
        spare: module.spare.clone(),
        aux_left_ma: module.aux_left_ma,
        tamper: module.tamper.word(),
        tamper_because: module.tamper_because.clone(),
    }
}

fn inputs(plan: &AllocationPlan, input: &InputPlan) -> Vec<AllocatedInputJson> {
    let one = |(at, place): (usize, &InputRef)| AllocatedInputJson {
        input: format!("{}.{}", place.module, place.number),
        tag: plan.job.circuits[input.circuit].tag.value.clone(),
        mode: input.mode.clone(),
        zone: input.zones.get(at).copied(),
        pinned: input.pinned,
        remedy: input.remedy.as_ref().filter(|_| at == 0).map(|remedy| AllocatedRemedyJson {
            kind: remedy.kind.word(),
            text: remedy.text.clone(),
            minutes: remedy.minutes.0,
        }),
        remains: input.wrong.clone().or_else(|| input.remains.clone()),
        extended_to: input.extension.as_ref().map(|extension| extension.to.clone()),
        extended_m: input.extension.as_ref().map(|extension| extension.length.0),
    };
    input.inputs.iter().enumerate().map(one).collect()
}

fn place(place: &PlacePlan) -> PlaceJson {
    let annex =
        |annex: &crate::allocate::Annexed| AnnexJson { id: annex.id.clone(), profile: annex.profile.clone() };
    PlaceJson {
        id: place.id.clone(),
        annexes: place.annexes.iter().map(annex).collect(),
        positions_left: place.positions_left,
        spare: place.spare,
        battery_spaces: place.battery_spaces,
        batteries: place.batteries,
    }
}
