//! Words that several sheets and tables share.

use assess::{Assessment, CircuitResult};
use circuit::Study;
use job::{Circuit, Duty, Finding, Module, Severity};
use library::{Kind, ModuleProfile};
use network::Network;

/// The profile of a module, where it has one.
pub fn module_profile<'a>(assessment: &Assessment<'a>, module: &Module) -> Option<&'a ModuleProfile> {
    let id = module.profile.as_ref()?;
    match &assessment.library.profiles.get(id.as_str())?.kind {
        Kind::Module(profile) => Some(profile),
        _ => None,
    }
}

/// How many inputs a module has: those of its profile, or the highest that is used.
pub fn inputs(assessment: &Assessment, module: &Module) -> u16 {
    let used = assessment.job.circuits.iter().filter_map(|circuit| circuit.input.as_ref());
    let highest =
        used.filter(|input| input.module == module.id.value).map(|input| input.number).max().unwrap_or(0);
    module_profile(assessment, module).map_or(highest, |profile| profile.inputs.max(highest))
}

/// `M1.7`; empty without an input.
pub fn input(circuit: &Circuit) -> String {
    circuit.input.as_ref().map_or_else(String::new, |input| format!("{}.{}", input.module, input.number))
}

/// `M1.S1 drives it; no input reads it`, of a sounder circuit on an output; none of any other.
#[must_use]
pub fn driven(assessment: &Assessment, circuit: &Circuit) -> Option<String> {
    let output = assess::output_of(assessment.job, circuit).filter(|_| circuit.input.is_none())?;
    Some(format!("{} drives it; no input reads it", output.id.value))
}

/// `fixed-2k2`, with a word where it was chosen for the job.
pub fn mode_words(result: &CircuitResult) -> String {
    match result.mode {
        Some(mode) if result.mode_chosen => format!("{} (chosen)", mode.id),
        Some(mode) => mode.id.clone(),
        None => String::new(),
    }
}

/// The name of a band of the circuit's mode.
pub fn band_name(result: &CircuitResult, band: Option<usize>) -> String {
    let band = result.mode.zip(band).and_then(|(mode, band)| mode.bands.get(band));
    band.map_or_else(String::new, |band| band.name.clone())
}

/// What a band means to the circuit.
pub fn meaning_word(study: &Study, band: Option<usize>) -> &'static str {
    band.and_then(|band| study.means.get(band)).map_or("", |meaning| meaning.word())
}

/// `open: alarm`, or that no band surely holds the reading.
pub fn reads(result: &CircuitResult, study: &Study, band: Option<usize>) -> String {
    match band {
        Some(_) => format!("{}: {}", band_name(result, band), meaning_word(study, band)),
        None => "between two bands".to_owned(),
    }
}

/// Contacts that are not at rest, as the JSON lists them: `leaf1 + leaf2`; `rest`.
pub fn active_words(network: &Network, active: &[usize]) -> String {
    if active.is_empty() {
        return "rest".to_owned();
    }
    let mut labels: Vec<String> = active
        .iter()
        .filter_map(|&contact| network.contacts().get(contact))
        .map(network::Contact::label)
        .collect();
    labels.sort();
    labels.join(" + ")
}

/// The findings about one place, the heaviest first.
pub fn findings_of<'a>(assessment: &'a Assessment, place: &str) -> Vec<&'a Finding> {
    assessment.findings.iter().filter(|finding| finding.place == place).collect()
}

/// The heaviest severity about one place.
pub fn heaviest(assessment: &Assessment, place: &str) -> Option<Severity> {
    findings_of(assessment, place).first().map(|finding| finding.severity)
}

/// `stop`, `fix`, `check`, or `nothing found`.
pub fn verdict_word(assessment: &Assessment, place: &str) -> &'static str {
    heaviest(assessment, place)
        .filter(|severity| *severity > Severity::Note)
        .map_or("nothing found", Severity::word)
}

/// A duty as a title block says it.
pub fn duty_title(duty: Option<Duty>) -> &'static str {
    match duty {
        Some(Duty::Intrusion) => "Intrusion",
        Some(Duty::HoldUp) => "Hold-up",
        Some(Duty::Smoke) => "Smoke (fire)",
        Some(Duty::Heat) => "Heat (fire)",
        Some(Duty::ManualCall) => "Manual call (fire)",
        Some(Duty::Waterflow) => "Waterflow (fire)",
        Some(Duty::Valve) => "Valve (fire)",
        Some(Duty::Tamper) => "Tamper",
        Some(Duty::Technical) => "Technical",
        Some(Duty::Sounder) => "Sounder",
        None => "Duty not known",
    }
}

/// A sentence's first letter as a capital.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// `1 circuit`, `2 circuits`.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

/// `C01, C02 and 3 more`: at most so many are named.
pub fn listed<T: AsRef<str>>(names: &[T], most: usize) -> String {
    let named: Vec<&str> = names.iter().take(most).map(AsRef::as_ref).collect();
    match names.len().saturating_sub(most) {
        0 => named.join(", "),
        more => format!("{} and {more} more", named.join(", ")),
    }
}

/// `12.10 to 12.35`; one number where both look the same.
pub fn between((low, high): (f64, f64)) -> String {
    let (low, high) = (format!("{low:.2}"), format!("{high:.2}"));
    if low == high { low } else { format!("{low} to {high}") }
}
