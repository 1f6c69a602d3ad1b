//! Words of the method statement: what a circuit, an input, an alarm is called, and what can hurt.

use job::{Circuit, Duty};
use library::{Kind, Profile};
use network::Part;
use quantity::Written;

/// `, 2.2k each` where the module's mode wants a resistor.
pub(crate) fn end_resistor(profile: &Profile, mode: Option<&str>) -> String {
    let Kind::Module(module) = &profile.kind else { return String::new() };
    let found = match mode {
        Some(id) => module.modes.iter().find(|mode| mode.id == id),
        None => module.modes.first(),
    };
    found.and_then(|mode| mode.eol).map_or(String::new(), |eol| format!(", {} each", eol.written()))
}

/// A sentence inside another one.
pub(crate) fn lowered(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().collect::<String>() + letters.as_str())
}

pub(crate) fn input(circuit: &Circuit) -> String {
    circuit
        .input
        .as_ref()
        .map_or("its input".to_owned(), |input| format!("{}.{}", input.module, input.number))
}

pub(crate) fn old_terminal(circuit: &Circuit) -> String {
    if circuit.was.is_empty() { "its old terminals".to_owned() } else { circuit.was.clone() }
}

pub(crate) fn alarm(circuit: &Circuit) -> String {
    let what = match circuit.duty {
        Some(Duty::Smoke) => "a fire alarm, raised at a detector by its own means of test,",
        Some(Duty::Valve) => "a supervisory signal",
        Some(duty) if duty.is_fire() => "a fire alarm",
        Some(Duty::Tamper) => "a tamper",
        _ => "an alarm",
    };
    format!("{what} arrives from {}, and it restores; the label says the same", input(circuit))
}

/// What can hurt at this circuit.
pub(crate) fn caution(circuit: &Circuit) -> String {
    let has = |wanted: fn(&Part) -> bool| {
        circuit
            .network
            .as_ref()
            .is_some_and(|network| network.elements().iter().any(|element| wanted(&element.part)))
    };
    let mut cautions = Vec::new();
    let feeds = feeds(circuit);
    if let Some(feeds) = &feeds {
        cautions.push(feeds.as_str());
    }
    if circuit.duty.is_some_and(Duty::is_fire) {
        cautions.push("Fire: licensed people, under the local code and the authority's word.");
    }
    if has(|part| matches!(part, Part::Smoke(_))) {
        cautions.push("Two-wire smoke detectors: polarity before power, no resistor added at the terminals, only an input listed for them.");
    }
    if has(|part| matches!(part, Part::Sounder(_))) || circuit.duty == Some(Duty::Sounder) {
        cautions.push("Sounders: at rest the polarity is reversed, so the resting volts are no guide; a self-powered sounder sounds when its hold-off goes: people told, its battery lifted first.");
    }
    cautions.join(" ")
}

/// What feeds a pair by its newest readings, as a caution.
pub(crate) fn feeds(circuit: &Circuit) -> Option<String> {
    let (when, shown) = crate::clear::in_the_way(circuit)?;
    Some(format!(
        "{} was read on this pair, {}: it is not touched before that is gone, and read as gone.",
        crate::clear::volts_shown(shown),
        crate::clear::where_read(when)
    ))
}

/// What comes before a pair that something feeds is lifted.
pub(crate) fn first(circuit: &Circuit) -> &'static str {
    if crate::clear::in_the_way(circuit).is_some() { "only once nothing feeds it: " } else { "" }
}

/// Home runs of a split circuit that the job names no input for: `run 2`, `runs 2 to 3`; none where it names all.
pub(crate) fn open_runs(circuit: &Circuit, runs: usize) -> Option<String> {
    let first = circuit.also.len() + 2;
    match runs.checked_sub(first)? {
        0 => Some(format!("run {runs}")),
        _ => Some(format!("runs {first} to {runs}")),
    }
}
