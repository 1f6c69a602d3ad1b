//! The work of a cut-over: what has to be done to which module and circuit, and how long it takes.

use std::collections::BTreeMap;

use circuit::{Remedy, RemedyKind};
use std::collections::BTreeSet;

use cutover::{Act, Chain, Line, Module as Awake, Presence, Problem, Task, Way, Window};
use job::{Circuit, CoreEnd, Display, Duty, Job, Module, Shown, When};
use library::{Kind, Library, ModuleProfile, Profile, Task as Labour};
use quantity::preferred::{Series, nearest};
use quantity::{Ohms, Written};

use super::clock::Clock;
use super::endless::stays_behind;
use super::law::Limit;
use super::words::feeds;
use super::{minutes, whole};
use crate::answer::{better_mode, chosen_remedies};
use crate::assess::Assessment;
use crate::kit::{LINK_BELOW, names as devices_of};

/// Most of a day's hours that one task may take before it is cut in parts that people can break off.
const LONG_PREPARATION: u32 = 120;

/// Everything that the engine gets, and what it stands for.
pub(crate) struct Work<'a> {
    pub(crate) problem: Problem,
    pub(crate) circuits: Vec<&'a Circuit>,
    pub(crate) left_out: Vec<&'a Circuit>,
    /// Circuits of `left_out` that share a core with lines of the problem: its lift takes it from them too.
    pub(crate) tied: Vec<(usize, Vec<usize>)>,
    /// The remedy of each circuit that moves.
    pub(crate) remedies: Vec<Option<RemedyOf>>,
    /// Modules of [`Problem::modules`].
    pub(crate) modules: Vec<(&'a Module, &'a Profile)>,
    pub(crate) dummies: Vec<Dummy>,
    pub(crate) way: Way,
    /// What each preparing and closing task is, in the engine's stages and chains.
    pub(crate) before: Vec<Vec<Vec<Piece>>>,
    pub(crate) after: Vec<Vec<Vec<Piece>>>,
}

/// What is to be changed on a circuit.
#[derive(Clone, Debug)]
pub(crate) struct RemedyOf {
    pub(crate) text: String,
    /// The mode that does better, where it is counted on only as long as the job does not say that mode; else empty.
    pub(crate) better: String,
    pub(crate) minutes: u32,
    /// At the new terminals, before anything is lifted.
    pub(crate) at_terminals: bool,
    /// Home runs that get an input each; 1 where nothing is split.
    pub(crate) runs: usize,
}

/// A preparing or closing piece of work.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Piece {
    /// An enclosure is mounted beside the old one.
    Enclosure(usize),
    /// A supply is mounted and connected, mains and battery off.
    Supply(usize),
    /// A module is fitted, cleared and set.
    Fit(usize),
    /// It is checked with resistors on its inputs.
    Bench(usize),
    /// Its zones are programmed.
    Programme(usize),
    /// Resistors are fitted at its terminals.
    Adapters(usize),
    /// Side by side: powered up, enrolled, outputs proven.
    Wake(usize),
    /// The account is put on test.
    OnTest,
    /// Learning is left.
    LeaveLearning(usize),
    /// Its cover is closed, the tamper proven.
    Close(usize),
    /// Side by side: the old panel comes out of service.
    PowerDown,
    /// The account is taken off test.
    OffTest,
}

/// A resistor on old terminals that keeps the old panel quiet.
#[derive(Clone, PartialEq, Debug)]
pub struct Dummy {
    /// The circuit's tag.
    pub tag: String,
    /// What the old panel called it; empty when nobody wrote it down.
    pub was: String,
    /// The resistor; none where no reading says which.
    pub value: Option<Ohms>,
    /// How it is known, or what to do.
    pub text: String,
}

pub(crate) fn work<'a>(
    assessment: &Assessment<'a>,
    way: Way,
    clock: &Clock,
    limit: Option<&Limit>,
    nodes: u64,
) -> Work<'a> {
    let (job, library) = (assessment.job, assessment.library);
    let modules = used_modules(job, library);
    let mut work = Work {
        problem: Problem {
            way,
            crew: job.cutover.crew,
            windows: Vec::new(),
            before: Vec::new(),
            modules: Vec::new(),
            lines: Vec::new(),
            after: Vec::new(),
            fire_hours: None,
            limit: limit.map(|limit| limit.minutes),
            nodes,
        },
        circuits: Vec::new(),
        left_out: Vec::new(),
        tied: Vec::new(),
        remedies: Vec::new(),
        modules,
        dummies: Vec::new(),
        way,
        before: Vec::new(),
        after: Vec::new(),
    };
    lines(assessment, &mut work);
    shared_cores(job, &mut work);
    let at: Vec<(&Module, &Profile)> = work.modules.clone();
    work.problem.modules = at
        .iter()
        .map(|(module, profile)| Awake {
            tag: module.id.value.clone(),
            wake: wake(job, library, module, profile),
        })
        .collect();
    stages(job, library, &mut work);
    let sum = total(&work.problem);
    work.problem.windows = clock.windows(sum);
    work.problem.fire_hours = quiet_hours(&work.problem);
    work
}

/// Modules that circuits go to and that have a profile.
fn used_modules<'a>(job: &'a Job, library: &'a Library) -> Vec<(&'a Module, &'a Profile)> {
    let used = |module: &&Module| {
        let on =
            |circuit: &Circuit| circuit.input.as_ref().is_some_and(|input| input.module == module.id.value);
        job.circuits.iter().any(on)
    };
    let of = |module: &'a Module| {
        let profile = library.profiles.get(module.profile.as_ref()?.as_str())?;
        matches!(profile.kind, Kind::Module(_)).then_some((module, profile))
    };
    job.modules.iter().filter(used).filter_map(of).collect()
}

/// Every circuit that has an input of such a module.
fn lines<'a>(assessment: &Assessment<'a>, work: &mut Work<'a>) {
    let (job, library) = (assessment.job, assessment.library);
    for (result, remedy) in assessment.circuits.iter().zip(chosen_remedies(assessment)) {
        let circuit = result.circuit;
        let module = circuit
            .input
            .as_ref()
            .and_then(|input| work.modules.iter().position(|(module, _)| module.id.value == input.module));
        let Some(module) = module else {
            work.left_out.push(circuit);
            continue;
        };
        let better = result.study.as_ref().and_then(better_mode).map_or("", |mode| mode.text.as_str());
        let remedy = remedy.map(|remedy| remedy_of(remedy, better));
        work.problem.lines.push(line(job, library, circuit, module, remedy.as_ref(), work.way));
        work.circuits.push(circuit);
        work.remedies.push(remedy);
        if work.way == Way::SideBySide && job.cutover.dummy_resistors {
            work.dummies.push(dummy(circuit));
        }
    }
    if work.way == Way::Swap {
        power_down(library, work);
    }
}

/// In a swap nothing watches from the moment in which the old panel goes down: that time is part of the lifts that come
/// first, those of as many circuits as there are technicians, and so of every circuit's time without protection.
fn power_down(library: &Library, work: &mut Work) {
    let down = minutes(library, Labour::PowerDown, 1);
    let mut first: Vec<usize> = (0..work.problem.lines.len()).collect();
    first.sort_by_key(|line| work.problem.lines[*line].fire);
    for line in first.into_iter().take(usize::from(work.problem.crew)) {
        work.problem.lines[line].lift += down;
    }
}

/// Whether smoke is tried on it.
pub(crate) fn is_smoke(circuit: &Circuit) -> bool {
    let head = |network: &network::Network| {
        network.elements().iter().any(|element| matches!(element.part, network::Part::Smoke(_)))
    };
    circuit.duty == Some(Duty::Smoke) || circuit.network.as_ref().is_some_and(head)
}

/// Circuits whose cables share a core, as a common return: the first lift takes it from all, and for good from those that have
/// no input to go to.
fn shared_cores(job: &Job, work: &mut Work) {
    let mut core_of: Vec<Option<usize>> = vec![None; work.circuits.len()];
    for (at, core) in job.cables.iter().flat_map(|cable| &cable.cores).enumerate() {
        let mut sharers: Vec<usize> = core.to.iter().filter_map(|end| line_at(work, &end.value)).collect();
        sharers.sort_unstable();
        sharers.dedup();
        let left: BTreeSet<usize> = core.to.iter().filter_map(|end| left_at(work, &end.value)).collect();
        for left in left.into_iter().filter(|_| !sharers.is_empty()) {
            match work.tied.iter_mut().find(|(at, _)| *at == left) {
                Some((_, lines)) => lines.extend(&sharers),
                None => work.tied.push((left, sharers.clone())),
            }
        }
        if sharers.len() < 2 {
            continue;
        }
        // Who shares with one of these already belongs to them too.
        let old: Vec<usize> = sharers.iter().filter_map(|line| core_of[*line]).collect();
        for (line, core) in core_of.iter_mut().enumerate() {
            if sharers.contains(&line) || core.is_some_and(|core| old.contains(&core)) {
                *core = Some(at);
            }
        }
    }
    for (line, core) in work.problem.lines.iter_mut().zip(core_of) {
        line.core = core;
    }
}

/// The circuit at a core's end, where it moves.
fn line_at(work: &Work, end: &CoreEnd) -> Option<usize> {
    at_end(&work.circuits, end)
}

/// The circuit at a core's end, where it is left out.
fn left_at(work: &Work, end: &CoreEnd) -> Option<usize> {
    at_end(&work.left_out, end)
}

fn at_end(circuits: &[&Circuit], end: &CoreEnd) -> Option<usize> {
    match end {
        CoreEnd::Circuit { tag, .. } => circuits.iter().position(|circuit| circuit.tag.value == *tag),
        _ => None,
    }
}

fn remedy_of(remedy: &Remedy, better: &str) -> RemedyOf {
    RemedyOf {
        text: remedy.text.clone(),
        better: better.to_owned(),
        minutes: whole(remedy.minutes.0),
        at_terminals: remedy.kind == RemedyKind::Adapter,
        runs: if remedy.kind == RemedyKind::Split { remedy.resistors.len().max(2) } else { 1 },
    }
}

fn line(
    job: &Job,
    library: &Library,
    circuit: &Circuit,
    module: usize,
    remedy: Option<&RemedyOf>,
    way: Way,
) -> Line {
    let duty = circuit.duty.unwrap_or(Duty::Intrusion);
    let fire = duty.is_fire();
    let weight = library.working_time().weight(duty.word());
    let own = job.cutover.weights.get(&duty).copied();
    let one = |task| minutes(library, task, 1);
    let mut lift = one(Labour::LiftPair);
    if way == Way::SideBySide && job.cutover.dummy_resistors {
        lift += one(Labour::DummyResistor);
    }
    // A resistor at a device is changed while the circuit is off both panels: the old one would not know it either.
    let change = remedy.filter(|remedy| !remedy.at_terminals).map_or(0, |remedy| remedy.minutes);
    let proof = if fire { Labour::WalkTestFire } else { Labour::WalkTest };
    // Every device is tripped, and read at the station; a circuit that nobody has drawn has at least one.
    let devices = circuit.network.as_ref().map_or(0, |network| devices_of(network).len());
    let devices = u32::try_from(devices.max(1)).unwrap_or(u32::MAX);
    Line {
        tag: circuit.tag.value.clone(),
        module,
        fire,
        weight: own.or(weight.map(|weight| weight.empty)).unwrap_or(1),
        weight_occupied: own.or(weight.map(|weight| weight.occupied)).unwrap_or(1),
        lift,
        land: one(Labour::MeasurePair) + one(Labour::LandPair) + change,
        prove: one(Labour::EnrolInput) + minutes(library, proof, devices),
        crew: 1,
        core: None,
    }
}

/// Power-up, the module itself, every output of it and the smoke reset.
fn wake(job: &Job, library: &Library, module: &Module, profile: &Profile) -> u32 {
    let own = |id: &str| id.strip_prefix(module.id.as_str()).is_some_and(|rest| rest.starts_with('.'));
    let outputs = job.outputs.iter().filter(|output| own(&output.id)).count();
    let resets = usize::from(matches!(&profile.kind, Kind::Module(module) if has_reset(module)));
    let outputs = u32::try_from((outputs + resets).max(1)).unwrap_or(u32::MAX);
    minutes(library, Labour::PowerUp, 1)
        + minutes(library, Labour::EnrolInput, 1)
        + minutes(library, Labour::ProveOutput, outputs)
}

fn has_reset(module: &ModuleProfile) -> bool {
    module.aux.is_some_and(|aux| aux.switched) || module.modes.iter().any(|mode| mode.smoke.is_some())
}

/// What is done before the first lift and after the last proof.
fn stages(job: &Job, library: &Library, work: &mut Work) {
    let mut enclosures: Vec<Vec<Piece>> = Vec::new();
    for (at, enclosure) in job.enclosures.iter().enumerate() {
        let mut chain = vec![Piece::Enclosure(at)];
        let here = |it: &Option<document::Located<String>>| {
            it.as_ref().is_some_and(|it| it.value == enclosure.id.value)
        };
        let supplies = job.supplies.iter().enumerate().filter(|(_, supply)| here(&supply.enclosure));
        chain.extend(supplies.map(|(at, _)| Piece::Supply(at)));
        enclosures.push(chain);
    }
    let elsewhere = |supply: &job::Supply| {
        supply.enclosure.as_ref().is_none_or(|id| !job.enclosures.iter().any(|it| it.id.value == id.value))
    };
    let loose = job.supplies.iter().enumerate().filter(|(_, supply)| elsewhere(supply));
    enclosures.extend(loose.map(|(at, _)| vec![Piece::Supply(at)]));
    let modules: Vec<Vec<Piece>> = (0..work.modules.len())
        .map(|at| {
            let mut chain = vec![Piece::Fit(at), Piece::Bench(at), Piece::Programme(at)];
            if adapters(work, at) > 0 {
                chain.push(Piece::Adapters(at));
            }
            chain
        })
        .collect();
    let each = |piece: fn(usize) -> Piece| (0..work.modules.len()).map(|at| vec![piece(at)]).collect();
    // People are told and the account is on test before outputs and smoke resets are operated.
    work.before = vec![enclosures, modules, vec![vec![Piece::OnTest]]];
    work.after = vec![each(Piece::LeaveLearning), each(Piece::Close)];
    if work.way == Way::SideBySide {
        work.before.push(each(Piece::Wake));
        if !work.left_out.iter().any(|circuit| stays_behind(job, circuit)) {
            work.after.push(vec![vec![Piece::PowerDown]]);
        }
    }
    work.after.push(vec![vec![Piece::OffTest]]);
    if work.problem.lines.is_empty() {
        work.after.clear();
    }
    work.problem.before = chains(job, library, work, &work.before);
    work.problem.after = chains(job, library, work, &work.after);
}

/// How many circuits of a module get resistors at its terminals.
fn adapters(work: &Work, module: usize) -> usize {
    let lines = work.problem.lines.iter().zip(&work.remedies);
    let at_terminals = |remedy: &Option<RemedyOf>| remedy.as_ref().is_some_and(|remedy| remedy.at_terminals);
    lines.filter(|(line, remedy)| line.module == module && at_terminals(remedy)).count()
}

fn chains(job: &Job, library: &Library, work: &Work, stages: &[Vec<Vec<Piece>>]) -> Vec<Vec<Chain>> {
    let task =
        |piece: &Piece| Task { tag: title(job, work, *piece), minutes: takes(job, library, work, *piece) };
    let chain = |pieces: &Vec<Piece>| Chain { tasks: pieces.iter().map(task).collect() };
    stages.iter().map(|chains| chains.iter().map(chain).collect()).collect()
}

/// What a piece of work is called.
pub(crate) fn title(job: &Job, work: &Work, piece: Piece) -> String {
    let module = |at: usize| work.modules[at].0.id.value.as_str();
    match piece {
        Piece::Enclosure(at) => format!("{} mounted", job.enclosures[at].id.value),
        Piece::Supply(at) => format!("{} mounted", job.supplies[at].id.value),
        Piece::Fit(at) => format!("{} fitted and set", module(at)),
        Piece::Bench(at) => format!("{} bench check", module(at)),
        Piece::Programme(at) => format!("{} programmed", module(at)),
        Piece::Adapters(at) => format!("{} resistors at terminals", module(at)),
        Piece::Wake(at) => format!("{} powered up, enrolled", module(at)),
        Piece::OnTest => "account on test".to_owned(),
        Piece::LeaveLearning(at) => format!("{} learning left", module(at)),
        Piece::Close(at) => format!("{} cover and tamper", module(at)),
        Piece::PowerDown => "old panel powered down".to_owned(),
        Piece::OffTest => "account off test".to_owned(),
    }
}

fn takes(job: &Job, library: &Library, work: &Work, piece: Piece) -> u32 {
    let one = |task| minutes(library, task, 1);
    let many = |task, count: usize| minutes(library, task, u32::try_from(count.max(1)).unwrap_or(u32::MAX));
    let on = |module: usize| work.problem.lines.iter().filter(|line| line.module == module).count();
    match piece {
        Piece::Enclosure(_) => one(Labour::Enclosure),
        Piece::Supply(at) => {
            let supply = &job.supplies[at];
            let transformer = if supply.transformer.is_some() { one(Labour::Transformer) } else { 0 };
            let battery = if supply.battery.is_some() { one(Labour::Battery) } else { 0 };
            one(Labour::Supply) + transformer + battery
        }
        Piece::Fit(_) => one(Labour::Module),
        Piece::Bench(at) => many(Labour::MeasurePair, on(at)).min(LONG_PREPARATION),
        Piece::Programme(at) => many(Labour::ProgrammeZone, on(at)).min(LONG_PREPARATION),
        Piece::Adapters(at) => many(Labour::ResistorAtPanel, adapters(work, at)),
        Piece::Wake(at) => work.problem.modules[at].wake,
        Piece::OnTest | Piece::OffTest => one(Labour::StationCall),
        Piece::PowerDown => one(Labour::PowerDown),
        Piece::LeaveLearning(_) => one(Labour::EnrolInput),
        Piece::Close(_) => one(Labour::CoverAndTamper),
    }
}

/// All work in minutes, as if one technician did it.
fn total(problem: &Problem) -> u64 {
    let chains = problem.before.iter().chain(&problem.after).flatten().flat_map(|chain| &chain.tasks);
    let fixed: u64 = chains.map(|task| u64::from(task.minutes)).sum();
    let lines: u64 = problem.lines.iter().map(|line| u64::from(line.moves())).sum();
    let wakes: u64 = problem.modules.iter().map(|module| u64::from(module.wake)).sum();
    fixed + lines + wakes
}

/// Fire tests are noisy: hours without people, where there are any that hold the longest of them.
fn quiet_hours(problem: &Problem) -> Option<Presence> {
    let longest = problem.lines.iter().filter(|line| line.fire).map(|line| problem.moves_with(line)).max()?;
    let quiet = |window: &&Window| window.presence == Presence::Empty && window.minutes() >= longest;
    problem.windows.iter().find(quiet).map(|window| window.presence)
}

/// What ohms a circuit read at rest last, where they were a value.
pub(crate) fn rest_reading(circuit: &Circuit) -> Option<Ohms> {
    let rest = circuit.found.iter().filter(|reading| reading.when == When::Rest);
    let mut ohms = rest.flat_map(|reading| &reading.shown).filter(|shown| matches!(shown, Shown::Ohms(_)));
    match ohms.next_back()? {
        Shown::Ohms(Display::Value { value, .. }) => Some(*value),
        _ => None,
    }
}

/// The resistor for the old terminals, from the reading at rest.
fn dummy(circuit: &Circuit) -> Dummy {
    let duty_first = matches!(circuit.duty, Some(Duty::Smoke));
    let read = rest_reading(circuit).filter(|_| feeds(circuit).is_none());
    let (value, text) = match read {
        Some(read) if read.0 < LINK_BELOW.0 => {
            (Some(Ohms(0.0)), format!("a wire link: {} at rest", read.written()))
        }
        Some(read) => {
            let value = nearest(Series::E24, read);
            (Some(value), format!("{}: {} at rest", value.written(), read.written()))
        }
        None if feeds(circuit).is_some() => {
            (None, "something feeds this pair: measure once it is gone, then choose".to_owned())
        }
        None => (None, "no reading at rest: measure before lifting, then choose".to_owned()),
    };
    let text = if duty_first {
        format!(
            "{text}; a two-wire smoke circuit of the old panel wants its own end-of-line resistor, at its rating"
        )
    } else {
        text
    };
    Dummy { tag: circuit.tag.value.clone(), was: circuit.was.clone(), value, text }
}

/// What each preparing and closing task is called.
pub(crate) fn names(job: &Job, work: &Work) -> BTreeMap<Act, String> {
    let mut names = BTreeMap::new();
    let mut put = |stages: &[Vec<Vec<Piece>>], act: fn(usize, usize, usize) -> Act| {
        for (stage, chains) in stages.iter().enumerate() {
            for (chain, pieces) in chains.iter().enumerate() {
                for (at, piece) in pieces.iter().enumerate() {
                    names.insert(act(stage, chain, at), title(job, work, *piece));
                }
            }
        }
    };
    put(&work.before, Act::Prepare);
    put(&work.after, Act::Finish);
    names
}
