//! Every circuit: lifted, measured, landed, programmed, walked, with its remedy and what is not known of it.

use std::collections::BTreeMap;

use ::kit::{Count, Group};
use job::{Circuit, Duty, Severity};
use library::{SmallPart, Task};
use network::Part;

use super::causes::Cause;
use super::collector::{Collector, SITE};
use super::dummy::{Dummy, dummy};
use super::items::{of_profile, plain, small, unknown_device};
use super::remedies::{self, names, pair_parts};
use crate::Assessment;
use crate::answer::{Need, chosen_remedies, needs};
use crate::assess::CircuitResult;

/// Every circuit in the order of the job.
pub(super) fn collect(collector: &mut Collector) {
    let assessment = collector.assessment;
    let remedies = chosen_remedies(assessment);
    let mut no_input: Vec<&str> = Vec::new();
    let to_earth = to_earth(assessment);
    for ((result, need), remedy) in assessment.circuits.iter().zip(needs(assessment)).zip(remedies) {
        let circuit = result.circuit;
        let enclosure = collector.enclosure(circuit);
        let spare = need == Need::Spare;
        survey(collector, circuit, &enclosure);
        lifted(collector, result, &enclosure, spare);
        if spare {
            let tag = circuit.tag.as_str();
            collector.need(
                small(SmallPart::CableTag),
                Count::exact(2),
                tag,
                "a spare pair, tagged at both ends",
                None,
            );
            continue;
        }
        landed(collector, circuit, &enclosure);
        walked(collector, circuit, &enclosure);
        if let Some(remedy) = remedy {
            remedies::collect(collector, circuit, remedy, &enclosure);
        }
        open_ends(collector, result, need, remedy.is_some(), &enclosure);
        if let Some(severity) = to_earth.get(circuit.tag.as_str()) {
            earth_fault(collector, &circuit.tag, *severity, &enclosure);
        }
        if circuit.input.is_none() && circuit.duty != Some(Duty::Sounder) {
            no_input.push(&circuit.tag);
        }
    }
    hunted(collector);
    if !no_input.is_empty() {
        let text = format!(
            "{} no input yet, so what an input would want of them (modules, resistors at the end) is not on the list: {}.",
            if no_input.len() == 1 {
                "1 circuit has".to_owned()
            } else {
                format!("{} circuits have", no_input.len())
            },
            no_input.join(", ")
        );
        collector.find(
            Severity::Check,
            "job",
            "kit-no-inputs",
            text,
            "Give each an input, or let the inputs be allocated first.",
        );
    }
}

/// Pairs that nobody has read, or of which nobody knows what is on them.
fn survey(collector: &mut Collector, circuit: &Circuit, enclosure: &str) {
    let tag = circuit.tag.as_str();
    if circuit.found.is_empty() {
        collector.task(Task::Survey, enclosure, tag, Count::ONE, None);
    }
    if circuit.network.is_none() && circuit.other.is_none() {
        let task = if circuit.was.is_empty() { Task::IdentifyUnlabelled } else { Task::IdentifyLabelled };
        collector.task(task, enclosure, tag, Count::ONE, None);
        collector.second.push(format!("{tag}: nobody knows yet what is on the pair"));
    }
}

/// Off the old terminals.
fn lifted(collector: &mut Collector, result: &CircuitResult, enclosure: &str, spare: bool) {
    let tag = result.circuit.tag.as_str();
    collector.task(Task::LiftPair, enclosure, tag, Count::ONE, None);
    collector.task(Task::MeasurePair, enclosure, tag, Count::ONE, None);
    if spare || !collector.assessment.job.cutover.dummy_resistors {
        return;
    }
    let why = "on the old terminals while it is lifted; it goes on the unprotected list";
    match dummy(result) {
        Dummy::Nothing => {}
        Dummy::Link => {
            collector.need_ranked(-1.0, small(SmallPart::Link), Count::ONE, tag, why, None);
            collector.task(Task::DummyResistor, enclosure, tag, Count::ONE, None);
        }
        Dummy::Resistor(ohms) => {
            collector.resistor(ohms, Count::ONE, tag, why, None);
            collector.task(Task::DummyResistor, enclosure, tag, Count::ONE, None);
        }
        Dummy::Unknown => {
            let maybe = Count::between(0, 1);
            collector.task(Task::DummyResistor, enclosure, tag, maybe, Some(Cause::Dummy));
            collector.find(
                Severity::Note,
                tag,
                "kit-dummy-unknown",
                "No reading at rest says what keeps its old terminals quiet while it is lifted.".to_owned(),
                "Measure it at rest; or lift it last, with its old input isolated.",
            );
        }
    }
}

/// On the new ones.
fn landed(collector: &mut Collector, circuit: &Circuit, enclosure: &str) {
    let tag = circuit.tag.as_str();
    collector.task(Task::LandPair, enclosure, tag, Count::ONE, None);
    pair_parts(collector, tag, Count::ONE);
    if circuit.duty != Some(Duty::Sounder) {
        collector.task(Task::ProgrammeZone, enclosure, tag, Count::ONE, None);
        collector.task(Task::EnrolInput, enclosure, tag, Count::ONE, None);
    }
    let Some(network) = &circuit.network else { return };
    if network.elements().iter().any(|element| matches!(element.part, Part::Smoke(_))) {
        collector.task(Task::SmokeLoop, enclosure, tag, Count::ONE, None);
    }
    let joints = network.elements().iter().filter(|element| matches!(element.part, Part::Joint(_))).count();
    let joints = Count::between(0, u32::try_from(joints).unwrap_or(u32::MAX));
    let why = "a splice that is opened and made anew";
    collector.need(small(SmallPart::GelJoint), joints.times(2), tag, why, Some(Cause::Joints));
    collector.task(Task::SpliceFound, enclosure, tag, joints, Some(Cause::Joints));
}

/// Device by device.
fn walked(collector: &mut Collector, circuit: &Circuit, enclosure: &str) {
    let tag = circuit.tag.as_str();
    let fire = circuit.duty.is_some_and(Duty::is_fire);
    let task = if fire { Task::WalkTestFire } else { Task::WalkTest };
    let devices = circuit.network.as_ref().map_or_else(Vec::new, names);
    if devices.is_empty() {
        let (count, cause) = (Count::between(0, 1), Some(Cause::Unidentified));
        collector.task(task, enclosure, tag, count, cause);
        return;
    }
    let count = u32::try_from(devices.len()).unwrap_or(u32::MAX);
    collector.task(task, enclosure, tag, Count::exact(count), None);
    collector.need(small(SmallPart::Label), Count::exact(count), tag, "its devices", None);
    if fire {
        // A fire detector is tested where it hangs; a door is opened from the floor.
        for name in &devices {
            collector.reach(circuit, name, enclosure, Count::ONE, None);
        }
    }
}

/// What the survey leaves open: an unknown pair, a circuit without a remedy, a leg to earth.
fn open_ends(
    collector: &mut Collector,
    result: &CircuitResult,
    need: Need,
    has_remedy: bool,
    enclosure: &str,
) {
    let circuit = result.circuit;
    let tag = circuit.tag.as_str();
    if circuit.network.is_none() && circuit.other.is_none() {
        let maybe = Count::between(0, 1);
        if let Some(eol) = result.mode.and_then(|mode| mode.eol) {
            let why = "at the end, if it turns out to want one";
            collector.resistor(eol, maybe, tag, why, Some(Cause::Unidentified));
        }
        let reach = collector.hardest(circuit, &[]);
        collector.resistor_work(reach, enclosure, tag, maybe, Some(Cause::Unidentified));
    }
    let driven = crate::output_of(collector.assessment.job, circuit).is_some();
    if matches!(need, Need::NotAsItIs | Need::Rewiring) && !has_remedy && !driven {
        replaced(collector, circuit, enclosure);
    }
}

/// Circuits with a leg to earth, and how much that weighs.
fn to_earth<'b>(assessment: &'b Assessment<'_>) -> BTreeMap<&'b str, Severity> {
    let mut legs = BTreeMap::new();
    for finding in assessment.findings.iter().filter(|finding| finding.code == "leg-to-earth") {
        let known = legs.entry(finding.place.as_str()).or_insert(finding.severity);
        *known = finding.severity.max(*known);
    }
    legs
}

/// A leg to earth is hunted; one that is damp perhaps.
fn earth_fault(collector: &mut Collector, tag: &str, severity: Severity, enclosure: &str) {
    let sure = u32::from(severity >= Severity::Fix);
    let cause = (sure == 0).then_some(Cause::Joints);
    collector.task(Task::EarthFault, enclosure, tag, Count::between(sure, 1), cause);
    let tester = plain(Group::Tools, "insulation tester", "", "250 V DC at most");
    collector.need(tester, Count::ONE, tag, "a leg to earth; electronics off its pair", None);
}

/// Nothing that was found does: its devices may have to be replaced, so that one visit is enough.
fn replaced(collector: &mut Collector, circuit: &Circuit, enclosure: &str) {
    let tag = circuit.tag.as_str();
    collector.second.push(format!("{tag}: no remedy was found; choose an option"));
    let devices = circuit.network.as_ref().map_or_else(Vec::new, names);
    for name in &devices {
        let profile = collector.setting.device(tag, name).and_then(|device| device.profile.as_ref());
        let item = match collector.profile(profile) {
            Some(profile) => of_profile(profile),
            None => unknown_device(name),
        };
        let why = "if it is replaced: no remedy was found";
        let maybe = Count::between(0, 1);
        let part = Some((item.part.clone(), item.value.clone()));
        collector.need(item, maybe, tag, why, Some(Cause::Open));
        collector.work_of(Task::Device, enclosure, tag, maybe, Some(Cause::Open), part);
        collector.reach(circuit, name, enclosure, maybe, Some(Cause::Open));
    }
}

/// Splices that nobody knows of, by the office's allowance.
fn hunted(collector: &mut Collector) {
    let all = collector.assessment.circuits.len();
    let share = collector.labour.allowance.repaired;
    let hunted = super::devices::share_of(all, share);
    collector.task(Task::SpliceHunted, SITE, "job", hunted, Some(Cause::Joints));
    let gel = small(SmallPart::GelJoint);
    collector.need(gel, hunted.times(2), "job", "splices that nobody knows of yet", Some(Cause::Joints));
}
