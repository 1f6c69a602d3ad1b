//! Enclosures with what hangs in them, and what belongs to the job as a whole.

use std::collections::BTreeMap;

use ::kit::Count;
use job::{Job, Module, RunConductor, Severity, Supply};
use library::{Kind, Mode, ModePer, SmallPart, Task};
use quantity::Written;

use super::causes::Cause;
use super::collector::{Collector, SITE};
use super::items::{cable, of_profile, of_value, small};
use super::supplied::supplied;

/// The profile of a cover's switch.
pub(super) const COVER: &str = "cover-tamper";

/// Everything that is new and no circuit's own.
pub(super) fn collect(collector: &mut Collector) {
    let job = collector.assessment.job;
    whole(collector, job);
    for enclosure in &job.enclosures {
        let id = enclosure.id.as_str();
        if let Some(profile) = collector.profile(enclosure.profile.as_ref()) {
            collector.need(of_profile(profile), Count::ONE, id, "mounted", None);
            collector.fit(Task::Enclosure, id, id, Count::ONE, profile);
        } else {
            collector.task(Task::Enclosure, id, id, Count::ONE, None);
            unnamed(collector, id, "enclosure");
        }
        if let Some(switch) = collector.assessment.library.profiles.get(COVER) {
            let one = Count::between(0, 1);
            collector.need(
                of_profile(switch),
                one,
                id,
                "on its door, where it brings none",
                Some(Cause::EmptyInputs),
            );
        }
        collector.need(small(SmallPart::Label), Count::ONE, id, "the schedule inside its door", None);
        collector.task(Task::CoverAndTamper, id, id, Count::ONE, None);
    }
    for (at, module) in job.modules.iter().enumerate() {
        one_module(collector, at, module);
    }
    for (at, supply) in job.supplies.iter().enumerate() {
        one_supply(collector, at, supply);
    }
    for output in &job.outputs {
        let module = output.id.split('.').next().unwrap_or_default();
        let enclosure = home(job, module);
        collector.task(Task::ProveOutput, &enclosure, &output.id, Count::ONE, None);
    }
    commons(collector, job);
}

/// What is there once, however large the job.
fn whole(collector: &mut Collector, job: &Job) {
    if let Some(profile) = collector.profile(job.panel.as_ref().and_then(|panel| panel.profile.as_ref())) {
        collector.need(of_profile(profile), Count::ONE, "job", "the modules report to it", None);
    }
    if job.panel.is_some() || job.station.is_some() {
        collector.task(Task::Communicator, SITE, "job", Count::ONE, None);
    }
    if job.station.is_some() {
        collector.task(Task::StationCall, SITE, "job", Count::exact(2), None);
    }
    if !job.circuits.is_empty() {
        collector.task(Task::PowerDown, SITE, "job", Count::ONE, None);
        collector.task(Task::RemoveOld, SITE, "job", Count::ONE, None);
        collector.task(Task::HandOver, SITE, "job", Count::ONE, None);
    }
}

fn unnamed(collector: &mut Collector, id: &str, what: &str) {
    collector.find(
        Severity::Check,
        id,
        "kit-without-profile",
        format!("Nobody has named the profile of {what} {id}, so it is not on the list and has no price."),
        "Name its profile; your own stand in equipment/*.toml of a folder that --library names.",
    );
}

fn one_module(collector: &mut Collector, at: usize, module: &Module) {
    let id = module.id.as_str();
    let enclosure = module.enclosure.as_ref().map_or(SITE, |enclosure| enclosure.as_str()).to_owned();
    let Some(profile) = collector.profile(module.profile.as_ref()) else {
        collector.task(Task::Module, &enclosure, id, Count::ONE, None);
        unnamed(collector, id, "module");
        return;
    };
    let Kind::Module(kind) = &profile.kind else { return };
    let used = used(collector, id);
    let why = format!("reads {used} of its {} inputs", kind.inputs);
    collector.need(of_profile(profile), Count::ONE, id, &why, None);
    collector.fit(Task::Module, &enclosure, id, Count::ONE, profile);
    let empty = u32::from(kind.inputs).saturating_sub(used);
    let Some(eol) = common_mode(collector, at, module).and_then(|mode| mode.eol) else { return };
    let why = "on inputs that stay empty, where the manual wants it";
    collector.resistor(eol, Count::between(0, empty), id, why, Some(Cause::EmptyInputs));
}

/// Inputs of a module that are taken: one for each circuit on it, and those of home runs that are split.
fn used(collector: &Collector, module: &str) -> u32 {
    let on = |input: &job::InputRef| input.module == module;
    let circuits = &collector.assessment.job.circuits;
    let own = circuits.iter().filter(|circuit| circuit.input.as_ref().is_some_and(|input| on(&input.value)));
    let further = collector.further.iter().filter(|input| on(input)).count();
    u32::try_from(own.count() + further).unwrap_or(u32::MAX)
}

/// The mode of a module's empty inputs: the module's own; none where each input has one and the job names none.
fn common_mode<'a>(collector: &Collector<'a, '_>, at: usize, module: &Module) -> Option<&'a Mode> {
    let Kind::Module(kind) = &collector.profile(module.profile.as_ref())?.kind else { return None };
    let named = module.mode.as_ref().and_then(|id| kind.modes.iter().find(|mode| mode.id == id.value));
    if named.is_some() || kind.mode_per == ModePer::Input {
        return named;
    }
    // Left open: the one that the assessment reads its circuits in.
    let id = &collector.assessment.job.modules[at].id.value;
    let on = collector
        .assessment
        .circuits
        .iter()
        .find(|result| result.circuit.input.as_ref().is_some_and(|input| input.value.module == *id));
    on.and_then(|result| result.mode)
}

fn one_supply(collector: &mut Collector, at: usize, supply: &Supply) {
    let id = supply.id.as_str();
    let enclosure = supply.enclosure.as_ref().map_or(SITE, |enclosure| enclosure.as_str()).to_owned();
    collector.task(Task::PowerUp, &enclosure, id, Count::ONE, None);
    match collector.profile(supply.profile.as_ref()) {
        Some(profile) => {
            collector.need(of_profile(profile), Count::ONE, id, "feeds what hangs on it", None);
            collector.fit(Task::Supply, &enclosure, id, Count::ONE, profile);
        }
        None => {
            collector.task(Task::Supply, &enclosure, id, Count::ONE, None);
            unnamed(collector, id, "supply");
        }
    }
    let assessment = collector.assessment;
    let supplied = assessment
        .supplies
        .get(at)
        .map(|study| supplied(assessment.job, assessment.library, study, at))
        .unwrap_or_default();
    collector.findings.extend(supplied.findings);
    if let Some(profile) = supplied.battery.or(collector.profile(supply.battery.as_ref())) {
        let bank = collector.assessment.supplies.get(at).and_then(|study| study.battery.as_ref());
        let in_series = bank.map_or(supply.in_series.unwrap_or(1), |battery| battery.bank.in_series);
        let blocks = in_series.saturating_mul(supply.strings);
        let mut why = match (supply.strings, in_series) {
            (1, 1) => "its battery".to_owned(),
            (strings, series) => format!("its battery: {strings} x {series} in series"),
        };
        if supplied.battery.is_some() {
            why.push_str(", larger than the one that the job names, which is too small");
        } else if supplied.too_small {
            why.push_str(", too small: it stays an open point");
        }
        collector.need(of_profile(profile), Count::exact(blocks), id, &why, None);
        collector.fit(Task::Battery, &enclosure, id, Count::exact(supply.strings), profile);
    }
    if let Some(profile) = collector.profile(supply.transformer.as_ref()) {
        collector.need(of_profile(profile), Count::ONE, id, "feeds it from the mains", None);
        collector.fit(Task::Transformer, &enclosure, id, Count::ONE, profile);
    }
    if let Some(RunConductor::Cable { length, gauge }) = supply.transformer_cable {
        let metres = super::runs::whole_metres(length);
        let cause = (metres.lo() < metres.hi()).then_some(Cause::Length);
        collector.need(cable(gauge), metres, id, "from its transformer", cause);
    }
    if let Some(fuse) = supply.fuse {
        let item = of_value(SmallPart::Fuse, fuse.written());
        collector.need(item, Count::ONE, id, "in its battery lead", None);
    }
    collector.need(small(SmallPart::Label), Count::ONE, id, "its fuse and its outlet", None);
    let mut keypads: BTreeMap<&str, u32> = BTreeMap::new();
    for load in &supply.loads {
        let profile = collector.profile(load.device.as_ref());
        if let Some(profile) = profile.filter(|profile| matches!(profile.kind, Kind::Keypad)) {
            *keypads.entry(profile.id.as_str()).or_default() += load.count;
        }
    }
    for (keypad, count) in keypads {
        let Some(profile) = collector.assessment.library.profiles.get(keypad) else { continue };
        let why = "an old one does not work on the new equipment";
        collector.need(of_profile(profile), Count::exact(count), id, why, None);
        collector.fit(Task::Keypad, &enclosure, id, Count::exact(count), profile);
    }
}

/// The enclosure of a module or a supply.
fn home(job: &Job, id: &str) -> String {
    let module = job.modules.iter().find(|module| module.id.value == id);
    let supply = job.supplies.iter().find(|supply| supply.id.value == id);
    let enclosure = module
        .and_then(|module| module.enclosure.as_ref())
        .or(supply.and_then(|supply| supply.enclosure.as_ref()));
    enclosure.map_or_else(|| SITE.to_owned(), |enclosure| enclosure.value.clone())
}

/// A core that serves several circuits ends on a block with a way for itself and one for each of them.
fn commons(collector: &mut Collector, job: &Job) {
    for cable in &job.cables {
        for core in &cable.cores {
            let circuits =
                core.to.iter().filter(|end| matches!(end.value, job::CoreEnd::Circuit { .. })).count();
            if circuits < 2 {
                continue;
            }
            let ways = u32::try_from(circuits + 1).unwrap_or(u32::MAX);
            let why = format!("{} core that {circuits} circuits share", core.colour);
            collector.need(small(SmallPart::Terminal), Count::exact(ways), &cable.id, why.trim_start(), None);
        }
    }
}
