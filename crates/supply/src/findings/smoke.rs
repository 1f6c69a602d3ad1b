//! Two-wire smoke circuits under power.

use job::{Finding, Severity};
use quantity::{Amperes, Volts, Written};

use super::Say;
use crate::smoke::SmokeLoop;

/// Everything that is to be said of one two-wire smoke circuit under power.
#[must_use]
pub fn smoke_findings(tag: &str, circuit: &SmokeLoop) -> Vec<Finding> {
    let mut say = Say { place: tag.to_owned(), findings: Vec::new() };
    unknown(&mut say, circuit);
    volts(&mut say, circuit);
    currents(&mut say, circuit);
    heads(&mut say, circuit);
    after_reset(&mut say, circuit);
    say.findings
}

fn milliamperes((low, high): (f64, f64)) -> String {
    format!("{} to {}", Amperes(low).shown(3), Amperes(high).shown(3))
}

fn unknown(say: &mut Say, circuit: &SmokeLoop) {
    let heads = circuit.heads.iter().filter(|head| head.profile.is_none());
    let names: Vec<&str> = heads.map(|head| head.name.as_str()).collect();
    if !names.is_empty() {
        say.push(
            Severity::Check,
            "smoke-head-open",
            format!("What {} draw and where they clamp nobody has said.", names.join(", ")),
            "Give each a [[device]] with a profile that has [two_wire].",
        );
    }
    if circuit.end_is_last == Some(false) {
        say.push(
            Severity::Fix,
            "smoke-end-not-last",
            "The end resistor does not stand behind the last detector: what lies beyond it is not watched."
                .to_owned(),
            "Move it to the last detector; no branches.",
        );
    }
}

fn volts(say: &mut Say, circuit: &SmokeLoop) {
    for head in &circuit.heads {
        let Some(profile) = &head.profile else { continue };
        let needs = profile.volts;
        if head.standby_v.0 < needs.lo().0 || head.standby_v.1 > needs.hi().0 {
            say.push(
                Severity::Fix,
                "smoke-volts",
                format!(
                    "At rest {} has {} to {}; it works from {} to {}.",
                    head.name,
                    Volts(head.standby_v.0).shown(3),
                    Volts(head.standby_v.1).shown(3),
                    needs.lo().shown(3),
                    needs.hi().shown(3)
                ),
                "Another module, fewer detectors, or a shorter or thicker pair.",
            );
        }
    }
}

fn currents(say: &mut Say, circuit: &SmokeLoop) {
    let source = &circuit.source;
    if circuit.standby_a > source.standby.0 {
        say.push(
            Severity::Fix,
            "smoke-standby",
            format!(
                "At rest the detectors draw up to {}; the input allows {}, which is {} of them.",
                Amperes(circuit.standby_a).shown(3),
                source.standby.shown(3),
                circuit.most_by_current
            ),
            "Split the circuit over two inputs that are made for it.",
        );
    }
    let mut wrong = Vec::new();
    if circuit.open_a.1 >= source.open_below.0 {
        wrong.push("an open pair may draw as much as one at rest".to_owned());
    }
    if circuit.rest_a.0 <= source.open_below.0 {
        wrong.push(format!(
            "at rest it may draw as little as an open pair ({})",
            milliamperes(circuit.rest_a)
        ));
    }
    if circuit.rest_a.1 >= source.alarm_above.0 {
        wrong.push(format!("at rest it may draw as much as an alarm ({})", milliamperes(circuit.rest_a)));
    }
    let weak: Vec<&str> = circuit
        .heads
        .iter()
        .filter(|head| head.profile.is_some() && head.circuit_a.0 <= source.alarm_above.0)
        .map(|head| head.name.as_str())
        .collect();
    if !weak.is_empty() {
        wrong.push(format!(
            "an alarm of {} may draw no more than {} and be missed",
            weak.join(", "),
            Amperes(circuit.alarm_a.0).shown(3)
        ));
    }
    if let Some(short) = source.short_above
        && (circuit.alarm_a.1 >= short.0 || circuit.short_a.0 <= short.0)
    {
        wrong.push("a short and an alarm may draw the same".to_owned());
    }
    if !wrong.is_empty() {
        say.push(
            Severity::Fix,
            "smoke-currents",
            format!("The currents do not tell the states apart: {}.", wrong.join("; ")),
            "The end resistor of the mode, another mode or module, or other detectors. Never an adapter.",
        );
    } else if source.short_above.is_none() {
        say.push(
            Severity::Note,
            "smoke-short-alarms",
            "A short of the pair draws as an alarm does: it arrives as one.".to_owned(),
            "Tell the owner and the station: a nicked cable calls the fire service.",
        );
    }
}

fn heads(say: &mut Say, circuit: &SmokeLoop) {
    for head in &circuit.heads {
        let Some(profile) = &head.profile else { continue };
        let takes = profile.alarm;
        if head.alarm_a.1 > takes.hi().0 {
            say.push(
                Severity::Fix,
                "smoke-head-overload",
                format!(
                    "In alarm up to {} flow through {}, which takes {}.",
                    Amperes(head.alarm_a.1).shown(3),
                    head.name,
                    takes.hi().shown(3)
                ),
                "A module whose smoke input limits the current to what the detectors take.",
            );
        }
        if head.alarm_a.0 > 0.0 && head.alarm_a.0 < takes.lo().0 {
            say.push(
                Severity::Fix,
                "smoke-head-starved",
                format!(
                    "In alarm {} may get no more than {}; it wants {} to stay in alarm.",
                    head.name,
                    Amperes(head.alarm_a.0).shown(3),
                    takes.lo().shown(3)
                ),
                "A module whose smoke input gives more.",
            );
        }
    }
    let count = u32::try_from(circuit.heads.len()).unwrap_or(u32::MAX);
    let listed = circuit.heads.iter().all(|head| head.listed);
    if listed && count > circuit.most {
        say.push(
            Severity::Fix,
            "smoke-too-many",
            format!("{count} detectors; listing and standby current allow {}.", circuit.most),
            "Split the circuit over two inputs that are made for it.",
        );
    }
    let starved = circuit.heads.iter().filter(|head| {
        let least = circuit
            .heads
            .iter()
            .filter(|other| other.name != head.name)
            .filter_map(|other| Some(other.profile.as_ref()?.volts.lo().0))
            .fold(f64::INFINITY, f64::min);
        head.others_v.is_some_and(|volts| volts < least)
    });
    if starved.count() > 0 {
        say.push(
            Severity::Note,
            "smoke-one-at-a-time",
            "While one detector is in alarm its clamp leaves the others less than they work with: only one at a time is sure to show its lamp or work a relay base.".to_owned(),
            "Nothing that must follow an alarm may hang on a second detector of the same pair.",
        );
    }
}

fn after_reset(say: &mut Say, circuit: &SmokeLoop) {
    if circuit.start_a >= circuit.source.alarm_above.0 {
        say.push(
            Severity::Fix,
            "smoke-inrush",
            format!(
                "After a reset up to {} flow, as much as an alarm: it would alarm again.",
                Amperes(circuit.start_a).shown(3)
            ),
            "A module that waits after its reset, or fewer detectors.",
        );
    }
    match circuit.resets {
        Some(false) => say.push(
            Severity::Fix,
            "smoke-reset",
            "The module's reset is not deep or not long enough for its detectors: they would stay in alarm."
                .to_owned(),
            "A longer reset where the module can be set to one.",
        ),
        None => say.push(
            Severity::Check,
            "smoke-reset-open",
            "Whether the module's reset is deep and long enough for the detectors the profiles do not say."
                .to_owned(),
            "Look both up, and prove a reset after a true alarm.",
        ),
        Some(true) => {}
    }
}
