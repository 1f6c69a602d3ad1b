//! The answer in the job's words: modules, inputs, what has to be done, what is left.

use ::allocate as engine;
use circuit::Remedy;
use engine::{Effort, Status, Stopped};
use job::{Finding, InputRef, Job, TamperInput};
use library::Library;
use quantity::Metres;

use super::conflict::{ConflictPlan, conflict};
use super::findings::findings;
use super::ground::{Ground, module_of};
use super::left::Left;
use super::next::{NextSeat, next};
use super::place::{PlacePlan, annexes, places};
use super::table::Table;

/// Which circuit on which input, and what that takes.
#[derive(Clone, Debug)]
pub struct AllocationPlan<'a> {
    /// The job that was divided.
    pub job: &'a Job,
    /// With which library.
    pub library: &'a Library,
    /// How good it is.
    pub status: Status,
    /// Why the search ended before its end.
    pub stopped: Stopped,
    /// What all of it costs beyond what the job has, in hundredths of the currency, working time folded in.
    pub cost: u64,
    /// How far the cost may be above the least possible, in parts of a million.
    pub gap_ppm: u64,
    /// The same as money and time: new modules, annexes, longer cables, remedies.
    pub effort: Effort,
    /// What the modules of the job would take if they had to be bought too: what makes two plans comparable.
    pub standing: Effort,
    /// What an hour counts.
    pub weights: engine::Weights,
    /// Nodes of the search.
    pub nodes: u64,
    /// Those of the job, then new ones.
    pub modules: Vec<ModulePlan>,
    /// Circuits that have an input, in the order of the job.
    pub inputs: Vec<InputPlan>,
    /// Circuits that have none, in the order of the job.
    pub left: Vec<Left>,
    /// Where cables end, with what is left there.
    pub places: Vec<PlacePlan>,
    /// Zones that the panel still has; none where their number is not known.
    pub zones_left: Option<u32>,
    /// Modules that the panel still has room for; none where that is not known.
    pub modules_left: Option<u32>,
    /// Why it cannot be done; none where it can.
    pub conflict: Option<ConflictPlan>,
    /// What a person must know or decide, the heaviest first.
    pub findings: Vec<Finding>,
}

/// A module of the plan.
#[derive(Clone, Debug)]
pub struct ModulePlan {
    /// Its id.
    pub id: String,
    /// Its place in the job's list; none: to be bought.
    pub existing: Option<usize>,
    /// Its profile.
    pub profile: String,
    /// Its mode; none where each input has its own.
    pub mode: Option<String>,
    /// The enclosure that it hangs in; none in a job without enclosures.
    pub enclosure: Option<String>,
    /// How many circuits it reads.
    pub inputs: u16,
    /// Inputs that stay free.
    pub spare: Vec<u16>,
    /// What its auxiliary output still gives, in mA.
    pub aux_left_ma: u32,
    /// What is on its tamper input.
    pub tamper: TamperInput,
    /// Why that.
    pub tamper_because: String,
}

/// A circuit with its input.
#[derive(Clone, Debug)]
pub struct InputPlan {
    /// Its place in the job's list.
    pub circuit: usize,
    /// Its inputs; more than one when its home runs are split.
    pub inputs: Vec<InputRef>,
    /// The mode that reads it.
    pub mode: String,
    /// Whether that mode is this input's own.
    pub mode_is_own: bool,
    /// Its zone numbers, one for each input.
    pub zones: Vec<u32>,
    /// What has to be done to the circuit.
    pub remedy: Option<Remedy>,
    /// What remains to be put right all the same.
    pub remains: Option<String>,
    /// Whether a person had put it there.
    pub pinned: bool,
    /// Why it stays where no mode reads it right; none for all others.
    pub wrong: Option<String>,
    /// How its cable is made longer.
    pub extension: Option<ExtensionPlan>,
    /// Where it would sit next best, all others staying.
    pub next: NextSeat,
}

/// A cable made longer.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtensionPlan {
    /// Where it ends.
    pub from: String,
    /// Where it will end.
    pub to: String,
    /// By so much.
    pub length: Metres,
    /// What that takes.
    pub effort: Effort,
}

impl AllocationPlan<'_> {
    /// Whether there is an answer to act on.
    #[must_use]
    pub fn found(&self) -> bool {
        matches!(self.status, Status::Optimal | Status::Feasible)
    }

    /// The answer in a sentence or two.
    #[must_use]
    pub fn answer(&self) -> String {
        super::findings::answer(self)
    }
}

/// Puts the solver's answer into the job's words.
pub(crate) fn plan<'a>(
    table: &Table<'a>,
    ground: &Ground<'a>,
    answer: engine::Allocation,
) -> AllocationPlan<'a> {
    let (job, library) = (table.setting.job, table.setting.library);
    let annexes = annexes(job, ground, &answer);
    let modules = modules(table, ground, &answer, &annexes);
    let mut inputs: Vec<InputPlan> =
        answer.landed.iter().map(|landed| input(job, ground, (&answer, &modules), landed)).collect();
    inputs.sort_by_key(|input| input.circuit);
    let standing = ground.problem.existing.iter().map(|module| ground.problem.offers[module.offer].effort);
    let standing = standing.fold(Effort::default(), |sum, one| Effort {
        cents: sum.cents + one.cents,
        seconds: sum.seconds + one.seconds,
    });
    let mut plan = AllocationPlan {
        job,
        library,
        status: answer.status,
        stopped: answer.stopped,
        cost: answer.cost,
        gap_ppm: answer.gap_ppm(),
        effort: answer.effort,
        standing,
        weights: ground.problem.weights,
        nodes: answer.nodes,
        places: places(job, library, ground, &answer, annexes),
        modules,
        inputs,
        left: ground.left.clone(),
        zones_left: answer.zones_left,
        modules_left: answer.modules_left,
        conflict: answer.conflict.as_ref().map(|found| conflict(job, ground, found)),
        findings: Vec::new(),
    };
    plan.findings = findings(&plan, table, ground);
    plan
}

/// Existing modules stay where they hang; new ones fill the enclosures of their place in order, the first that has
/// room.
fn modules(
    table: &Table,
    ground: &Ground,
    answer: &engine::Allocation,
    annexes: &[Vec<super::place::Annexed>],
) -> Vec<ModulePlan> {
    let job = table.setting.job;
    let mut room = super::place::Room::new(job, table.setting.library, ground, annexes);
    let mut wired: Vec<String> = Vec::new();
    let mut modules = Vec::new();
    for module in &answer.modules {
        let existing = module.existing.map(|at| ground.modules[at]);
        let offer = &ground.problem.offers[module.offer];
        let enclosure = match existing {
            Some(at) => job.modules[at].enclosure.as_ref().map(|id| id.value.clone()),
            None => room.take(module.enclosure),
        };
        let said = existing.and_then(|at| job.modules[at].tamper);
        let (tamper, tamper_because) = tamper(said, enclosure.as_deref(), &mut wired, &module.id);
        modules.push(ModulePlan {
            id: module.id.clone(),
            existing,
            profile: offer.profile.clone(),
            mode: module.mode.map(|mode| offer.modes[mode].id.clone()),
            enclosure,
            inputs: offer.inputs,
            spare: module.spare.clone(),
            aux_left_ma: module.aux_left_ma,
            tamper,
            tamper_because,
        });
    }
    modules
}

/// One cover, one switch: the first module of an enclosure reads it, the others have theirs linked. Common practice, no
/// source.
fn tamper(
    said: Option<TamperInput>,
    enclosure: Option<&str>,
    wired: &mut Vec<String>,
    id: &str,
) -> (TamperInput, String) {
    let name = enclosure.unwrap_or_default();
    let first = wired.iter().find(|entry| entry.split('\n').next() == Some(name)).cloned();
    let reader = first.as_ref().and_then(|entry| entry.split('\n').nth(1)).unwrap_or_default();
    let cover = if name.is_empty() { "its cover".to_owned() } else { format!("the cover of {name}") };
    let (tamper, because) = match (said, &first) {
        (Some(said), _) => (said, "the job says so".to_owned()),
        (None, None) => (TamperInput::Wired, format!("the switch of {cover} is on it")),
        (None, Some(_)) => (TamperInput::Bridged, format!("the switch of {cover} is on {reader}")),
    };
    if tamper == TamperInput::Wired && first.is_none() {
        wired.push(format!("{name}\n{id}"));
    }
    (tamper, because)
}

fn input(
    job: &Job,
    ground: &Ground,
    (answer, modules): (&engine::Allocation, &[ModulePlan]),
    landed: &engine::Landed,
) -> InputPlan {
    let asked = &ground.problem.circuits[landed.circuit];
    let at = ground.circuits[landed.circuit];
    let module = &modules[landed.module];
    let fit = &asked.fits[landed.fit];
    let way = &ground.ways[landed.circuit][landed.fit];
    let offer = &ground.problem.offers[fit.offer];
    let extension = landed.extension.map(|extension| {
        let extension = &asked.extensions[extension];
        let from = asked.ends_in.map_or("", |place| ground.places.id(place));
        let to = ground.places.id(extension.enclosure);
        let way = job.extensions.iter().find(|way| {
            ground.places.index(&way.from) == asked.ends_in
                && ground.places.index(&way.to) == Some(extension.enclosure)
        });
        ExtensionPlan {
            from: from.to_owned(),
            to: to.to_owned(),
            length: way.map_or(Metres(0.0), |way| way.length),
            effort: extension.effort,
        }
    });
    InputPlan {
        circuit: at,
        inputs: landed
            .inputs
            .iter()
            .map(|number| InputRef { module: module.id.clone(), number: *number })
            .collect(),
        mode: offer.modes[landed.mode].id.clone(),
        mode_is_own: module_of(ground.offers[fit.offer])
            .is_some_and(|module| module.mode_per == library::ModePer::Input),
        zones: landed.zones.clone(),
        remedy: way.remedy.clone(),
        remains: way.remains.clone(),
        pinned: asked.pin.is_some(),
        wrong: ground.wrong.get(&landed.circuit).cloned(),
        extension,
        next: next(ground, answer, modules, landed),
    }
}
