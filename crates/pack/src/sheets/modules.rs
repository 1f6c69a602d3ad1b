//! The terminal drawing of every module, with what its manual says.

use assess::Assessment;
use job::{Link, Module};
use library::{Kind, ModePer};
use serde::Serialize;

use crate::figures::{Figure, terminals};
use crate::words::{capital, counted, inputs};

/// One module's sheet.
#[derive(Serialize)]
pub(crate) struct ModuleSheet {
    module: String,
    title: String,
    place: String,
    answer: String,
    facts: Vec<[String; 2]>,
    figures: Vec<Figure>,
    steps: Vec<[String; 2]>,
}

/// A sheet for every module, in the order of the job.
pub(crate) fn module_sheets(assessment: &Assessment) -> Vec<ModuleSheet> {
    assessment.job.modules.iter().map(|module| sheet(assessment, module)).collect()
}

fn sheet(assessment: &Assessment, module: &Module) -> ModuleSheet {
    let profile = module.profile.as_ref().and_then(|id| assessment.library.profiles.get(id.as_str()));
    let on = assessment
        .job
        .circuits
        .iter()
        .filter(|circuit| circuit.input.as_ref().is_some_and(|input| input.module == module.id.value));
    let used = on.count();
    let all = usize::from(inputs(assessment, module));
    let enclosure = module.enclosure.as_ref();
    let place =
        enclosure.and_then(|id| assessment.job.enclosures.iter().find(|known| known.id.value == id.value));
    let place = match (enclosure, place) {
        (Some(id), Some(known)) if !known.place.is_empty() => {
            format!("Enclosure {}, {}", id.value, known.place)
        }
        (Some(id), _) => format!("Enclosure {}", id.value),
        (None, _) => "In no enclosure yet".to_owned(),
    };
    ModuleSheet {
        module: module.id.value.clone(),
        title: profile.map_or_else(|| "Profile not named".to_owned(), |profile| profile.title.clone()),
        answer: format!(
            "{} of {} of this module carry a circuit; {} spare.",
            used,
            counted(all, "input", "inputs"),
            all.saturating_sub(used)
        ),
        place,
        facts: facts(assessment, module, profile),
        figures: terminals(assessment, module),
        steps: profile.map(steps).unwrap_or_default(),
    }
}

fn facts(assessment: &Assessment, module: &Module, profile: Option<&library::Profile>) -> Vec<[String; 2]> {
    let mut facts = Vec::new();
    let mut fact = |name: &str, value: String| facts.push([name.to_owned(), value]);
    let per_input = profile.is_some_and(
        |profile| matches!(&profile.kind, Kind::Module(module) if module.mode_per == ModePer::Input),
    );
    let chosen = assessment.circuits.iter().find(|result| {
        let input = result.circuit.input.as_ref();
        input.is_some_and(|input| input.module == module.id.value) && result.mode.is_some()
    });
    match (&module.mode, chosen) {
        _ if per_input => fact("mode", "each input has its own; see the circuit's sheet".to_owned()),
        (Some(mode), _) => fact("mode", mode.value.clone()),
        (None, Some(result)) => {
            let mode = result.mode.map_or("", |mode| mode.id.as_str());
            fact(
                "mode",
                format!("{mode}, chosen because most circuits read right in it; the job leaves it open"),
            );
        }
        (None, None) => fact("mode", "not said".to_owned()),
    }
    let link = match module.link {
        Some(Link::Radio) => "by radio",
        Some(Link::Bus) => "on the data bus",
        Some(Link::Direct) => "part of the control equipment",
        None => "not said",
    };
    fact("reports", link.to_owned());
    if let Some(profile) = profile {
        fact("numbers from", profile.basis.clone());
    }
    facts
}

/// How the manual powers it up, and what must be seen; the other phases belong to the method statement.
fn steps(profile: &library::Profile) -> Vec<[String; 2]> {
    let power_up = profile.steps.get("power_up").map(Vec::as_slice).unwrap_or_default();
    power_up.iter().map(|step| [capital(&step.act), capital(&step.proof)]).collect()
}
