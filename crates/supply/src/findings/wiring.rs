//! Devices that nobody has counted as loads, sounders on the wrong kind of output.

use std::collections::BTreeMap;

use job::{Job, Severity};
use library::{Draw, Kind, Library, Signal};

use super::Say;
use crate::plan::{RowFrom, Way};
use crate::study::Study;

pub(super) fn put(say: &mut Say, job: &Job, library: &Library, study: &Study) {
    outputs(say, study);
    uncounted(say, job, library, study);
    sounders(say, job, library, study);
    four_wire(say, job, library, study);
    other_supply(say, job, study);
}

/// Outputs of the supply that its profile does not list, where it lists any.
fn outputs(say: &mut Say, study: &Study) {
    let listed = study.plan.profile.map_or(&[][..], |profile| &profile.outputs);
    let known = |name: &str| listed.iter().any(|output| name.ends_with(&format!(".{}", output.id)));
    let unlisted: Vec<&str> = study
        .plan
        .points
        .iter()
        .filter(|point| matches!(point.way, Way::Output) && !known(&point.name))
        .map(|point| point.name.as_str())
        .collect();
    if !unlisted.is_empty() && !listed.is_empty() {
        let names: Vec<&str> = listed.iter().map(|output| output.id.as_str()).collect();
        say.push(
            Severity::Check,
            "output-unlisted",
            format!(
                "The supply's profile lists no output {}, so no limit of it is known.",
                unlisted.join(", ")
            ),
            format!("It lists {}. Mend the name, or add the output to the profile.", names.join(", ")),
        );
    }
}

/// Devices that say who feeds them, beyond those that stand in `loads` at the same point.
fn uncounted(say: &mut Say, job: &Job, library: &Library, study: &Study) {
    let mut fed: BTreeMap<(&str, &str), i64> = BTreeMap::new();
    for device in &job.devices {
        let (Some(point), Some(profile)) = (&device.fed_by, &device.profile) else { continue };
        let draws = library.profiles.get(profile.as_str()).map(|profile| profile.draws);
        let nothing = |draw: Draw| matches!(draw, Draw::Current(amperes) if amperes.0 <= 0.0);
        if draws.is_some_and(|draws| nothing(draws.standby) && nothing(draws.alarm))
            || study.plan.point(point).is_none()
        {
            continue;
        }
        *fed.entry((point, profile)).or_default() += 1;
    }
    for row in study.plan.rows.iter().filter(|row| row.from == RowFrom::Load) {
        if let Some(profile) = &row.profile
            && let Some(count) = fed.get_mut(&(row.at_name.as_str(), profile.as_str()))
        {
            *count -= i64::from(row.count);
        }
    }
    let left: Vec<String> = fed
        .into_iter()
        .filter(|(_, count)| *count > 0)
        .map(|((point, profile), count)| format!("{count} x {profile} at {point}"))
        .collect();
    if !left.is_empty() {
        say.push(
            Severity::Check,
            "fed-not-counted",
            format!("Devices are fed here that no load counts: {}.", left.join("; ")),
            "Add them to the `loads` of the supply.",
        );
    }
}

fn sounders(say: &mut Say, job: &Job, library: &Library, study: &Study) {
    for row in &study.plan.rows {
        let profile = row.profile.as_ref().and_then(|id| library.profiles.get(id.as_str()));
        let Some(Kind::Sounder(sounder)) = profile.map(|profile| &profile.kind) else { continue };
        let (output, gives) = output_of(job, study, row.at);
        let name = if row.name.is_empty() { "a sounder" } else { row.name.as_str() };
        match (sounder.wants, gives) {
            (Signal::Driver, Signal::Steady) => say.push(
                Severity::Fix,
                "speaker-on-steady",
                format!("{name} is a bare speaker and wants a driver's tone; {output} gives steady volts."),
                "A driver between, or a sounder that holds its own. Steady volts burn a speaker's coil.",
            ),
            (Signal::Steady, Signal::Driver) => say.push(
                Severity::Fix,
                "sounder-on-driver",
                format!("{name} holds its own driver and wants steady volts; {output} gives a tone."),
                "Feed it from an output with steady volts.",
            ),
            _ => {}
        }
        if row.from != RowFrom::Sounder {
            continue;
        }
        if sounder.polarised == Some(false) {
            say.push(
                Severity::Fix,
                "sounder-not-polarised",
                format!("{name} has no diode: the circuit is watched in reversed polarity at rest, and it would load it or sound."),
                "A polarised sounder, or a diode in line with it, on supervised circuits.",
            );
        } else if sounder.polarised.is_none() {
            say.push(
                Severity::Check,
                "sounder-polarity-open",
                format!("Whether {name} has a diode nobody has said; at rest its circuit is watched in reversed polarity."),
                "Measure it both ways round: end resistor one way, a low load the other.",
            );
        }
        let draws = profile.map(|profile| profile.draws.standby);
        if draws.is_some_and(|draw| !matches!(draw, Draw::Current(amperes) if amperes.0 <= 0.0)) {
            say.push(
                Severity::Fix,
                "sounder-wants-supply",
                format!("{name} is self-contained and wants its supply at rest too; a sounder circuit gives it none."),
                "Its hold-off goes to the supply's terminals, its trigger to the output.",
            );
        }
    }
}

/// Devices fed here whose circuit is read by a module on another supply: whether the two 0 V are joined is a question.
fn other_supply(say: &mut Say, job: &Job, study: &Study) {
    let feeding = job::Feeding::new(job);
    let here = feeding.supply(&study.plan.supply.id);
    let mut apart = Vec::new();
    for circuit in &job.circuits {
        let (Some(network), Some(input)) = (&circuit.network, &circuit.input) else { continue };
        let module = feeding.supply(&input.module);
        if module.is_none() || module == here {
            continue;
        }
        for contact in network.contacts() {
            let device = crate::rows::device(job, &circuit.tag, &contact.name);
            let point = device.and_then(|device| device.fed_by.as_ref());
            if point.is_some_and(|point| feeding.supply(point) == here) {
                apart.push(format!("{}.{}", circuit.tag.value, contact.name));
            }
        }
    }
    apart.dedup();
    if !apart.is_empty() {
        say.push(
            Severity::Check,
            "fed-by-another",
            format!("Fed here, and read by a module on another supply: {}.", apart.join(", ")),
            "Relay contacts need no common 0 V, transistor outputs do: join the two 0 V where the manuals ask for it, and nowhere else.",
        );
    }
}

/// Four-wire smoke detectors latch until their supply is broken: it has to be one that a reset breaks.
fn four_wire(say: &mut Say, job: &Job, library: &Library, study: &Study) {
    let mut fixed = Vec::new();
    for circuit in job.circuits.iter().filter(|circuit| circuit.duty.is_some_and(job::Duty::is_fire)) {
        let Some(network) = &circuit.network else { continue };
        for contact in network.contacts().iter().filter(|contact| contact.role == network::Role::Alarm) {
            let Some(device) = crate::rows::device(job, &circuit.tag, &contact.name) else { continue };
            let profile = device.profile.as_ref().and_then(|id| library.profiles.get(id.as_str()));
            let Some(Kind::Detector(detector)) = profile.map(|profile| &profile.kind) else { continue };
            let latches = detector.contacts.iter().any(|of| {
                of.role == network::Role::Alarm && of.on_power_loss == Some(library::OnPowerLoss::Stays)
            });
            let Some(mut at) = device.fed_by.as_ref().and_then(|point| study.plan.point(point)) else {
                continue;
            };
            while at != 0 && !study.plan.points[at].switched {
                at = study.plan.points[at].parent;
            }
            if latches && !study.plan.points[at].switched {
                fixed.push(format!("{}.{}", circuit.tag.value, contact.name));
            }
        }
    }
    if !fixed.is_empty() {
        say.push(
            Severity::Check,
            "four-wire-not-switched",
            format!("Four-wire smoke detectors hang on points that no reset breaks: {}.", fixed.join(", ")),
            "Feed them from an output that the reset switches (`switched` in the profile), their supervision relay behind the last.",
        );
    }
}

/// The output that a point hangs on, and what it gives a sounder.
fn output_of(job: &Job, study: &Study, at: usize) -> (String, Signal) {
    let mut at = at;
    loop {
        let point = &study.plan.points[at];
        if matches!(point.way, Way::Output | Way::Relay | Way::Aux) {
            let told = job.outputs.iter().find(|output| output.id.value == point.name);
            let id = point.name.rsplit_once('.').map_or("", |(_, id)| id);
            let outputs = study.plan.profile.map_or(&[][..], |profile| &profile.outputs);
            let known = outputs.iter().find(|known| known.id == id);
            let driver = told.is_some_and(|output| output.driver)
                || known.is_some_and(|known| known.gives == Signal::Driver);
            return (point.name.clone(), if driver { Signal::Driver } else { Signal::Steady });
        }
        if at == 0 {
            return (point.name.clone(), Signal::Steady);
        }
        at = point.parent;
    }
}
