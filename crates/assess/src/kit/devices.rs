//! Devices that may have to be replaced: those that nobody has tripped, and fire detectors by their age.

use std::collections::BTreeSet;

use ::kit::Count;
use job::{Circuit, Duty, Severity, When};
use library::{Kind, Task};
use network::{Network, Role};
use quantity::{Interval, Ratio};

use super::causes::Cause;
use super::collector::{Collector, SITE};
use super::items::{of_profile, unknown_device};
use super::remedies::names;

/// Untested ones, then old ones.
pub(super) fn collect(collector: &mut Collector) {
    untested(collector);
    aged(collector);
}

/// A share of so many: down at the low end, up at the high end.
pub(super) fn share_of(all: usize, share: Interval<Ratio>) -> Count {
    let all = u64::try_from(all).unwrap_or(u64::MAX);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 10,000")]
    let parts = |ratio: Ratio| (ratio.0.clamp(0.0, 1.0) * 10_000.0).round() as u64;
    let count = |count: u64| u32::try_from(count).unwrap_or(u32::MAX);
    let lo = all.saturating_mul(parts(share.lo())) / 10_000;
    let hi = all.saturating_mul(parts(share.hi())).div_ceil(10_000);
    Count::between(count(lo), count(hi))
}

/// Devices of a circuit that no reading shows to have been tripped.
pub(super) fn never_tripped(circuit: &Circuit, network: &Network) -> Vec<String> {
    let contacts = network.contacts();
    let alone = contacts.iter().filter(|contact| contact.role == Role::Alarm).count() == 1;
    let tripped = |name: &String| {
        circuit.found.iter().any(|reading| match &reading.when {
            When::Device(of) => {
                of == name || of.strip_prefix(name.as_str()).is_some_and(|rest| rest.starts_with('.'))
            }
            When::Tripped => alone,
            _ => false,
        })
    };
    let mut names = names(network);
    names.retain(|name| !tripped(name));
    names
}

fn untested(collector: &mut Collector) {
    let mut all = 0;
    let mut tags = Vec::new();
    for result in &collector.assessment.circuits {
        let Some(network) = &result.circuit.network else { continue };
        let untested = never_tripped(result.circuit, network).len();
        if untested > 0 {
            tags.push(result.circuit.tag.value.clone());
            all += untested;
        }
    }
    let dead = share_of(all, collector.labour.allowance.dead);
    if dead.hi() == 0 {
        return;
    }
    let item = unknown_device("what turns out dead");
    let part = Some((item.part.clone(), item.value.clone()));
    let why = format!("of {all} that nobody has tripped");
    collector.need(item, dead, "job", &why, Some(Cause::Untested));
    collector.work_of(Task::Device, SITE, "job", dead, Some(Cause::Untested), part);
    collector.find(
        Severity::Note,
        "job",
        "kit-untested",
        format!(
            "{} not been tripped at the survey, on {}; the price holds {} of them as dead.",
            if all == 1 { "1 device has".to_owned() } else { format!("{all} devices have") },
            if tags.len() == 1 { "1 circuit".to_owned() } else { format!("{} circuits", tags.len()) },
            dead.written()
        ),
        "Trip each once before the price is given; what is dead then is the old system's.",
    );
}

/// Fire detectors whose year of make is known.
fn aged(collector: &mut Collector) {
    let Some(year) = collector.year else { return };
    let allowance = collector.labour.allowance;
    let mut no_year = Vec::new();
    let mut seen = BTreeSet::new();
    for result in &collector.assessment.circuits {
        let circuit = result.circuit;
        let Some(network) = &circuit.network else { continue };
        if !matches!(circuit.duty, Some(Duty::Smoke | Duty::Heat)) {
            continue;
        }
        let enclosure = collector.enclosure(circuit);
        for name in names(network) {
            let device = collector.setting.device(&circuit.tag, &name);
            let Some(made) = device.and_then(|device| device.made) else {
                no_year.push(format!("{}/{name}", circuit.tag.value));
                continue;
            };
            let Some(device) = device.filter(|device| seen.insert(device.id.as_str())) else { continue };
            let age = u32::try_from(year.saturating_sub(made)).unwrap_or(0);
            if age < allowance.old_after {
                continue;
            }
            let count = Count::between(u32::from(age >= allowance.due_after), 1);
            let cause = (count.lo() == 0).then_some(Cause::Age);
            let profile = collector.profile(device.profile.as_ref());
            let profile = profile.filter(|profile| matches!(profile.kind, Kind::Detector(_)));
            let item = profile.map_or_else(|| unknown_device(&name), of_profile);
            let why = format!("made {made}, {age} years old");
            let part = Some((item.part.clone(), item.value.clone()));
            let place = device.id.value.clone();
            collector.need(item, count, &place, &why, cause);
            collector.work_of(Task::Device, &enclosure, &place, count, cause, part);
            collector.reach(circuit, &name, &enclosure, count, cause);
        }
    }
    if !no_year.is_empty() {
        collector.find(
            Severity::Note,
            "job",
            "kit-age-unknown",
            format!("Nobody has written when these fire detectors were made: {}.", no_year.join(", ")),
            "Read the date inside each head and write it as made of its device.",
        );
    }
}
