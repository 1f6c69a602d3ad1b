//! The first sheet: the answer, the stops first, cautions, what the numbers stand on, who may hold it.

use assess::Assessment;
use job::{Answer, ControlListing, Severity, Units};
use library::Kind;
use serde::Serialize;

use crate::sheets::findings::{FindingRow, finding_rows};
use crate::words::capital;

/// Fixes that stand on the first sheet; the others are among the findings.
const FIXES_SHOWN: usize = 12;

/// The summary.
#[derive(Serialize)]
pub(crate) struct Summary {
    answer: String,
    severity: &'static str,
    verdict: String,
    counts: Vec<[String; 2]>,
    stops: Vec<FindingRow>,
    fixes: Vec<FindingRow>,
    fixes_left: usize,
    gate: Vec<Gate>,
    has_fire: bool,
    fire: Vec<[String; 2]>,
    basis: Vec<[String; 2]>,
    defaults: String,
}

/// One question before the first circuit is lifted.
#[derive(Serialize)]
struct Gate {
    question: &'static str,
    answer: String,
    open: bool,
}

/// What stands on the first sheets.
pub(crate) fn summary(assessment: &Assessment) -> Summary {
    let job = assessment.job;
    let rows = finding_rows(assessment);
    let (stops, others): (Vec<FindingRow>, Vec<FindingRow>) =
        rows.into_iter().partition(|row| row.is(Severity::Stop));
    let fixes: Vec<FindingRow> = others.into_iter().filter(|row| row.is(Severity::Fix)).collect();
    let fixes_left = fixes.len().saturating_sub(FIXES_SHOWN);
    Summary {
        answer: assess::answer(assessment),
        severity: assessment.verdict.map_or("nothing found", Severity::word),
        verdict: verdict(assessment.verdict).to_owned(),
        counts: counts(assessment),
        stops,
        fixes: fixes.into_iter().take(FIXES_SHOWN).collect(),
        fixes_left,
        gate: gate(assessment),
        has_fire: job.circuits.iter().any(|circuit| circuit.duty.is_some_and(job::Duty::is_fire)),
        fire: fire(assessment),
        basis: basis(assessment),
        defaults: defaults(assessment),
    }
}

fn verdict(severity: Option<Severity>) -> &'static str {
    match severity {
        Some(Severity::Stop) => "Nothing is lifted before the stops below are settled.",
        Some(Severity::Fix) => "Something has to be changed before everything works as it should.",
        Some(Severity::Check) => "Somebody has to look, ask or measure before this is settled.",
        Some(Severity::Note) | None => "Nothing found that needs fixing.",
    }
}

fn counts(assessment: &Assessment) -> Vec<[String; 2]> {
    let of = |severity: Severity| {
        assessment.findings.iter().filter(|finding| finding.severity == severity).count().to_string()
    };
    vec![
        ["stop".to_owned(), of(Severity::Stop)],
        ["fix".to_owned(), of(Severity::Fix)],
        ["check".to_owned(), of(Severity::Check)],
        ["note".to_owned(), of(Severity::Note)],
    ]
}

fn gate(assessment: &Assessment) -> Vec<Gate> {
    let standing = &assessment.job.standing;
    [
        ("The authority's word, in writing", &standing.authority_in_writing),
        ("Account on test at the station, fire and burglary, read back", &standing.station_on_test),
        ("Fire authority told", &standing.fire_authority_told),
        ("Asbestos register seen", &standing.asbestos_register_seen),
        ("Access: keys, ladders, hours", &standing.access),
    ]
    .into_iter()
    .map(|(question, answer)| Gate {
        question,
        open: answer.is_empty(),
        answer: if answer.is_empty() { "open".to_owned() } else { capital(answer) },
    })
    .collect()
}

fn fire(assessment: &Assessment) -> Vec<[String; 2]> {
    let fire = &assessment.job.fire;
    let required = match fire.required {
        Answer::Yes => "yes",
        Answer::No => "no",
        Answer::Unknown => "nobody has said",
    };
    let listed = match fire.control_listed_for {
        ControlListing::CommercialFire => "commercial fire",
        ControlListing::HouseholdFire => "household fire",
        ControlListing::None => "not for fire",
        ControlListing::Unknown => "nobody has looked",
    };
    let decision = if fire.decision.is_empty() { "none recorded" } else { fire.decision.as_str() };
    vec![
        ["Is this building's fire alarm a required one".to_owned(), required.to_owned()],
        ["New control equipment is listed for".to_owned(), listed.to_owned()],
        ["Decision".to_owned(), decision.to_owned()],
    ]
}

/// Where the numbers come from.
fn basis(assessment: &Assessment) -> Vec<[String; 2]> {
    let job = assessment.job;
    let mut lines: Vec<[String; 2]> = Vec::new();
    let mut line = |what: &str, value: String| lines.push([what.to_owned(), value]);
    line("Method", "exact worst case of all tolerances together, no sampling; supplies by their greatest solution at both ends, batteries by rule and by physics".to_owned());
    line(
        "Meter of the survey",
        format!("{}, leads {}", job.meter.accuracy_written(), shown(job.meter.leads)),
    );
    line("Cable temperature", job.site.cable_temperature.written().replace(" C", " °C"));
    line(
        "Taken for granted",
        format!(
            "closed contact 0 to {}, open contact {} and more, resistors ± {}, joint 0 to {}",
            shown(job.assume.contact_closed_max),
            shown(job.assume.contact_open_min),
            quantity::Written::written(job.assume.resistor_tolerance),
            shown(job.assume.joint_max)
        ),
    );
    line("Equipment", equipment(assessment));
    let rules: Vec<&str> = job
        .site
        .rules
        .iter()
        .map(|id| assessment.library.rules.get(id.as_str()).map_or(id.as_str(), |set| set.title.as_str()))
        .collect();
    let rules = if rules.is_empty() { "none named".to_owned() } else { rules.join("; ") };
    line("Rule sets named", format!("{rules}. The edition in force must be asked for, never assumed."));
    let units = match job.site.units {
        Units::Us => "feet and AWG",
        Units::Metric => "metres and mm²",
    };
    line("Units of length", units.to_owned());
    lines
}

fn shown(ohms: quantity::Ohms) -> String {
    quantity::Written::written(ohms)
}

/// Every module profile in use with its own word on where its numbers come from.
fn equipment(assessment: &Assessment) -> String {
    let mut words: Vec<String> = Vec::new();
    for module in &assessment.job.modules {
        let profile = module.profile.as_ref().and_then(|id| assessment.library.profiles.get(id.as_str()));
        if let Some(profile) = profile.filter(|profile| matches!(profile.kind, Kind::Module(_))) {
            let line = format!("{}: {}", profile.id, profile.basis);
            if !words.contains(&line) {
                words.push(line);
            }
        }
    }
    if words.is_empty() { "no module profile is named".to_owned() } else { words.join("; ") }
}

fn defaults(assessment: &Assessment) -> String {
    let used: Vec<String> =
        assessment.job.defaults.iter().map(|default| format!("{} {}", default.key, default.value)).collect();
    used.join(", ")
}
