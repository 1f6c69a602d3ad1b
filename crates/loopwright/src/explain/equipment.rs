//! What the job and the library say of modules, inputs, supplies, outputs and the job as a whole.

use job::{Answer, ControlListing, Duty, Job, Load, Module, Output, RunConductor, Supply};
use library::{Kind, Library, Mode, ModuleProfile};
use quantity::Written;
use schemars::JsonSchema;
use serde::Serialize;

use super::{Explained, ShownUnits, Target};
use crate::report::answer::WHO_DECIDES;

/// A rule set of the job.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct RuleSetJson {
    /// Its id.
    pub(crate) id: String,
    /// What people call it.
    pub(crate) title: String,
    /// Its clauses.
    pub(crate) clauses: Vec<ClauseJson>,
}

/// One clause.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct ClauseJson {
    /// The clause with its edition.
    pub(crate) clause: String,
    /// What it asks.
    pub(crate) asks: String,
    /// Where that was read, or `from memory`.
    pub(crate) source: String,
}

/// The rule sets that a job names, for the job as a whole.
pub(crate) fn rules(explained: &Explained) -> Vec<RuleSetJson> {
    if explained.target != Target::Job {
        return Vec::new();
    }
    let named = explained.setting.job.site.rules.iter();
    named
        .filter_map(|id| explained.setting.library.rules.get(id.as_str()))
        .map(|set| RuleSetJson {
            id: set.id.clone(),
            title: set.title.clone(),
            clauses: set
                .clauses
                .iter()
                .map(|clause| ClauseJson {
                    clause: clause.clause.clone(),
                    asks: clause.asks.clone(),
                    source: clause.source.clone(),
                })
                .collect(),
        })
        .collect()
}

/// What is said of the target, in sentences.
pub(crate) fn says(explained: &Explained) -> Vec<String> {
    let job = explained.setting.job;
    let library = explained.setting.library;
    match &explained.target {
        Target::Job => of_job(job),
        Target::Circuit(_) | Target::Contact { .. } => of_circuit(explained),
        Target::Input { module, number } => {
            let mut says = of_input(job, library, &job.modules[*module], *number, explained);
            says.extend(of_circuit(explained));
            says
        }
        Target::Module(module) => of_module(job, library, &job.modules[*module]),
        Target::Supply { supply, point } => of_supply(job, &job.supplies[*supply], point),
        Target::Output(output) => of_output(&job.outputs[*output]),
    }
}

fn of_circuit(explained: &Explained) -> Vec<String> {
    let Some(result) = explained.circuit() else { return Vec::new() };
    let mut says = Vec::new();
    let circuit = result.circuit;
    if circuit.duty.is_some_and(Duty::is_fire) {
        says.push(format!("A fire circuit. {WHO_DECIDES}"));
    }
    if let Some(why) = result.why {
        says.push(format!("What the input reads is not computed: {why}."));
    }
    if let Some(other) = &circuit.other {
        says.push(format!("In place of a network: {other}."));
    }
    if !circuit.was.is_empty() {
        says.push(format!("On the old panel: {}.", circuit.was));
    }
    if let Target::Contact { name, element, .. } = &explained.target {
        let device = circuit.network.as_ref().and_then(|network| network.elements().get(*element)?.name());
        if let Some(device) = device.and_then(|device| explained.setting.device(&circuit.tag, device)) {
            let told = [("place", &device.place), ("access", &device.access), ("listing", &device.listing)];
            let told = told.iter().filter(|(_, text)| !text.is_empty());
            let told: Vec<String> = told.map(|(key, text)| format!("{key}: {text}")).collect();
            let profile = device.profile.as_ref().map_or("none", |profile| profile.as_str());
            let rest = if told.is_empty() { String::new() } else { format!("; {}", told.join("; ")) };
            says.push(format!("{name}: profile {profile}{rest}."));
        }
    }
    if let (Some(study), Some(mode)) = (&result.study, result.mode) {
        says.push(format!(
            "Conductors and joints out and back: at most {}; mode {} takes {}.",
            study.line.shown(3),
            mode.id,
            mode.line_max.shown(3)
        ));
    }
    says
}

fn profile<'a>(library: &'a Library, module: &Module) -> Option<&'a ModuleProfile> {
    match &library.profiles.get(module.profile.as_ref()?.as_str())?.kind {
        Kind::Module(profile) => Some(profile),
        _ => None,
    }
}

fn of_input(
    job: &Job,
    library: &Library,
    module: &Module,
    number: u16,
    explained: &Explained,
) -> Vec<String> {
    let id = &module.id.value;
    let mut says = Vec::new();
    match (explained.circuit(), profile(library, module)) {
        (Some(result), _) => {
            says.push(format!("Circuit {} is on input {id}.{number}.", result.circuit.tag.value))
        }
        (None, Some(profile)) if number > profile.inputs => {
            says.push(format!("Module {id} has {} inputs; there is no input {number}.", profile.inputs));
        }
        (None, _) => says.push(format!("Nothing is on input {id}.{number}.")),
    }
    says.extend(of_module(job, library, module));
    says
}

fn of_module(job: &Job, library: &Library, module: &Module) -> Vec<String> {
    let id = &module.id.value;
    let Some(named) = &module.profile else { return vec![format!("Module {id} has no profile.")] };
    let Some(profile) = profile(library, module) else {
        return vec![format!("Module {id} is of profile {}.", named.value)];
    };
    let used = job.circuits.iter().filter_map(|circuit| circuit.input.as_ref());
    let used = used.filter(|input| input.module == *id).count();
    let title = library.profiles.get(named.as_str()).map_or("", |profile| profile.title.as_str());
    let basis = library.profiles.get(named.as_str()).map_or("", |profile| profile.basis.as_str());
    let mut says = vec![
        format!("Module {id}: {title} (profile {}; {basis}).", named.value),
        format!("{used} of its {} inputs are used.", profile.inputs),
    ];
    match &module.mode {
        Some(mode) => says.push(format!("The job sets it to mode {}.", mode.value)),
        None => says.push(
            "The job leaves its mode open: the one in which most circuits read right is taken.".to_owned(),
        ),
    }
    says.extend(profile.modes.iter().map(of_mode));
    says
}

fn of_mode(mode: &Mode) -> String {
    let bands: Vec<String> =
        mode.bands.iter().map(|band| format!("{} ({})", band.name, band.means.word())).collect();
    let eol = mode.eol.map_or("no resistor named".to_owned(), |eol| format!("wants {}", eol.written()));
    format!("Mode {}: {eol}; bands {}.", mode.id, bands.join(", "))
}

fn of_supply(job: &Job, supply: &Supply, point: &str) -> Vec<String> {
    let id = &supply.id.value;
    let units = job.site.units.shown();
    let named = |part: &Option<document::Located<String>>| {
        part.as_ref().map_or("none", |part| part.as_str()).to_owned()
    };
    let mut says =
        vec![format!("Supply {id}: profile {}, battery {}.", named(&supply.profile), named(&supply.battery))];
    let at = |end: &str| point.is_empty() || end == point;
    if point.is_empty() {
        says.extend(taken_for_granted(supply));
    }
    for run in supply.runs.iter().filter(|run| at(&run.from) || at(&run.to)) {
        let made = match &run.conductor {
            RunConductor::Cable { length, gauge } => {
                format!("{} of {}", length.shown_in(units), gauge.shown_in(units))
            }
            RunConductor::Measured(ohms) => format!("{}, measured out and back", ohms.shown()),
        };
        says.push(format!("From {} to {}: {made}.", run.from.value, run.to.value));
    }
    says.extend(supply.loads.iter().filter(|load| at(&load.at)).map(of_load));
    says
}

/// What the job leaves out of a supply and what was taken instead.
fn taken_for_granted(supply: &Supply) -> Vec<String> {
    let mut says = Vec::new();
    if supply.battery.is_some() {
        if supply.temperature.is_none() {
            says.push("Its battery is taken to be as cold and as warm as the cables.".to_owned());
        }
        if supply.leads.is_none() {
            says.push(format!("Battery leads and fuse are taken as {}.", job::DEFAULT_LEADS.shown(2)));
        }
        if supply.in_series.is_none() {
            says.push("As many blocks in series are taken as its volts want.".to_owned());
        }
    }
    if supply.rules.is_none() {
        says.push("All rule sets of the site are taken to hold for it.".to_owned());
    }
    says
}

fn of_load(load: &Load) -> String {
    let what = match (&load.device, load.name.as_str()) {
        (Some(device), "") => device.value.clone(),
        (Some(device), name) => format!("{name} ({})", device.value),
        (None, "") => "a load".to_owned(),
        (None, name) => name.to_owned(),
    };
    format!("At {}: {} × {what}.", load.at.value, load.count)
}

fn of_output(output: &Output) -> Vec<String> {
    let drives = if output.drives.is_empty() { "nothing named" } else { output.drives.as_str() };
    let fed = output.fed_from.as_ref().map_or(String::new(), |supply| format!(", fed from {}", supply.value));
    vec![format!("Output {} drives {drives}{fed}.", output.id.value)]
}

fn of_job(job: &Job) -> Vec<String> {
    let required = match job.fire.required {
        Answer::Yes => "yes",
        Answer::No => "no",
        Answer::Unknown => "nobody has said",
    };
    let listed = match job.fire.control_listed_for {
        ControlListing::CommercialFire => "commercial fire",
        ControlListing::HouseholdFire => "household fire",
        ControlListing::None => "not fire",
        ControlListing::Unknown => "nobody has looked",
    };
    let said = |text: &str| if text.is_empty() { "nothing yet".to_owned() } else { text.to_owned() };
    let standing = &job.standing;
    vec![
        crate::commands::read(job),
        format!(
            "Is the building's fire alarm a required one: {required}. The control equipment is listed for: {listed}."
        ),
        format!("Recorded decision: {}.", said(&job.fire.decision)),
        format!("The authority in writing: {}.", said(&standing.authority_in_writing)),
        format!("The station on test: {}.", said(&standing.station_on_test)),
        format!("The fire authority told: {}.", said(&standing.fire_authority_told)),
        format!("The asbestos register seen: {}.", said(&standing.asbestos_register_seen)),
        format!("Access: {}.", said(&standing.access)),
        format!("Meter: {}, leads {}.", job.meter.accuracy_written(), job.meter.leads.written()),
    ]
}
