//! Ladders, keys and times, out of what the survey wrote down about reaching each device.

use ::kit::{Count, Group};
use library::Kind;

use super::collector::Collector;
use super::items::plain;

/// Words that say a lift is needed.
const LIFT: [&str; 5] = ["lift", "platform", "tower", "scaffold", "crane"];
/// Words that tie a device to a time of day: a day that misses it needs another.
const TIMED: [&str; 5] = ["before", "after", "only", "until", "between"];

/// Whether a device is reached by a lift, a tower or a platform.
pub(super) fn by_lift(access: &str) -> bool {
    words(access).any(|word| LIFT.contains(&word.as_str()))
}

/// Every phrase of every device's access, and of the site's.
pub(super) fn collect(collector: &mut Collector) {
    let job = collector.assessment.job;
    for device in &job.devices {
        for phrase in phrases(&device.access) {
            put(collector, phrase, &device.id.value, "to reach it");
        }
    }
    for phrase in phrases(&job.standing.access) {
        put(collector, phrase, "job", "named for the site");
    }
    testers(collector);
}

/// The parts of an access text: `key 4, ladder 3.4 m` are two.
pub(super) fn phrases(text: &str) -> impl Iterator<Item = &str> {
    text.split([',', ';']).map(str::trim).filter(|phrase| !phrase.is_empty())
}

fn words(text: &str) -> impl Iterator<Item = String> {
    text.split(|letter: char| !letter.is_alphanumeric())
        .map(str::to_lowercase)
        .filter(|word| !word.is_empty())
}

fn put(collector: &mut Collector, phrase: &str, place: &str, why: &str) {
    let has = |wanted: &[&str]| words(phrase).any(|word| wanted.contains(&word.as_str()));
    let item = if has(&["ladder", "ladders", "steps", "stepladder"]) || has(&LIFT) {
        plain(Group::Tools, phrase, "", "named in the survey")
    } else if has(&["key", "keys", "code", "card", "fob"]) {
        plain(Group::Access, phrase, "", "ask for it before the visit")
    } else {
        plain(Group::Access, phrase, "", "arrange it before the visit")
    };
    collector.need(item, Count::ONE, place, why, None);
    if has(&TIMED) {
        let reason = format!("{place}: {phrase}");
        if !collector.second.contains(&reason) {
            collector.second.push(reason);
        }
    }
}

/// What fire detectors are tested with.
fn testers(collector: &mut Collector) {
    let mut smoke = Vec::new();
    for result in &collector.assessment.circuits {
        let Some(network) = &result.circuit.network else { continue };
        let tag = &result.circuit.tag;
        let names = network.elements().iter().filter_map(network::Element::name);
        let two_wire =
            network.elements().iter().any(|element| matches!(element.part, network::Part::Smoke(_)));
        let is_smoke = |name: &str| {
            let profile = collector.setting.device(tag, name).and_then(|device| device.profile.as_ref());
            let kind = collector.profile(profile).map(|profile| &profile.kind);
            matches!(kind, Some(Kind::Detector(detector)) if detector.two_wire.is_some())
        };
        let by_duty = result.circuit.duty == Some(job::Duty::Smoke);
        if two_wire || by_duty || names.into_iter().any(is_smoke) {
            smoke.push(tag.value.clone());
        }
    }
    for tag in smoke {
        let item = plain(Group::Tools, "smoke tester", "", "smoke that the detector's manual takes");
        collector.need(item, Count::ONE, &tag, "proven by smoke entry", None);
    }
}
