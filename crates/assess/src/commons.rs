//! Circuits that share a core: who shares with whom, and what that adds to a reading.

use std::collections::BTreeMap;

use circuit::{Lift, Setting, first_leg, least};
use job::{Circuit, Core, CoreEnd, Finding, Job, Severity};
use library::{Kind, Mode};
use quantity::{Amperes, Ohms, Volts, Written};

/// Typical of the trade where a profile gives neither (pull-ups of 1 to 10 kohm, sources of 3.3, 5 or 12 V;
/// from memory): the values with which a shared common weighs most.
const LEAST_PULL_UP: Ohms = Ohms(1e3);
const MOST_PULL_UP: Ohms = Ohms(10e3);
const LEAST_SOURCE: Volts = Volts(3.3);

/// What one circuit shares.
#[derive(Clone, Debug, Default)]
pub(crate) struct Shared {
    /// The other circuits, as places in the job's list.
    pub(crate) others: Vec<usize>,
    /// The common's resistance, at most.
    resistance: f64,
    /// What the others draw through it, as the sum of `1 / (pull-up + R_j)` with their own least `R_j`.
    least_of_others: Vec<f64>,
    /// What detectors draw through it.
    current: f64,
}

impl Shared {
    /// What it adds to a reading in a mode.
    pub(crate) fn lift(&self, mode: &Mode) -> Lift {
        let least = mode.pull_up.map_or(LEAST_PULL_UP, |pull_up| pull_up.lo()).0;
        let most = mode.pull_up.map_or(MOST_PULL_UP, |pull_up| pull_up.hi()).0;
        let source = mode.source.map_or(LEAST_SOURCE, |source| source.lo()).0;
        // rc / (Rp + R_j) falls with Rp and rc Rp / (Rp + R_j) rises with it.
        let others = |pull_up: f64| -> f64 {
            self.resistance * self.least_of_others.iter().map(|other| 1.0 / (pull_up + other)).sum::<f64>()
        };
        let volts = (self.resistance * self.current / source).min(0.99);
        let lifted = volts / (1.0 - volts);
        Lift { share: others(least) + lifted, more: (others(most) + lifted) * most }
    }
}

/// What each circuit of the job shares; nothing for most.
pub(crate) fn commons(setting: &Setting, findings: &mut Vec<Finding>) -> BTreeMap<usize, Shared> {
    let job = setting.job;
    let by_tag: BTreeMap<&str, usize> =
        job.circuits.iter().enumerate().map(|(at, circuit)| (circuit.tag.as_str(), at)).collect();
    let mut shared = BTreeMap::new();
    for core in job.cables.iter().flat_map(|cable| &cable.cores) {
        let sharers: Vec<usize> = core
            .to
            .iter()
            .filter_map(|end| match &end.value {
                CoreEnd::Circuit { tag, .. } => by_tag.get(tag.as_str()).copied(),
                _ => None,
            })
            .collect();
        let current = supply_current(setting, core);
        if sharers.len() < 2 && (sharers.is_empty() || current.0 <= 0.0) {
            continue;
        }
        let resistance = core.ohms.map(|ohms| ohms.hi()).or_else(|| shared_leg(setting, &sharers));
        for &sharer in &sharers {
            let others: Vec<usize> = sharers.iter().copied().filter(|&other| other != sharer).collect();
            let entry: &mut Shared = shared.entry(sharer).or_default();
            entry.resistance = entry.resistance.max(resistance.map_or(0.0, |ohms| ohms.0));
            entry.current += current.0;
            entry.least_of_others.extend(others.iter().filter_map(|&other| {
                let circuit = &job.circuits[other];
                Some(least(setting, circuit, circuit.network.as_ref()?).0)
            }));
            entry.others.extend(others);
        }
        judge(job, core, &sharers, current, findings);
    }
    shared
}

/// The shared stretch cannot be longer than the shortest first run of those who share it.
fn shared_leg(setting: &Setting, sharers: &[usize]) -> Option<Ohms> {
    let legs = sharers.iter().filter_map(|&at| {
        let circuit = &setting.job.circuits[at];
        Some(first_leg(setting, circuit, circuit.network.as_ref()?))
    });
    legs.reduce(Ohms::min)
}

fn supply_current(setting: &Setting, core: &Core) -> Amperes {
    let points = core.to.iter().filter_map(|end| match &end.value {
        CoreEnd::Supply { point, zero_volts: true } => Some(point.as_str()),
        _ => None,
    });
    points.map(|point| point_current(setting, point)).sum()
}

/// What the loads at a supply point draw in alarm.
fn point_current(setting: &Setting, point: &str) -> Amperes {
    let loads = setting.job.supplies.iter().flat_map(|supply| &supply.loads);
    loads
        .filter(|load| load.at.as_str() == point)
        .map(|load| {
            let profile = load.device.as_ref().and_then(|id| setting.library.profiles.get(id.as_str()));
            let typed = load.alarm.or(load.standby).map(|draw| match draw {
                job::Draw::Current(amperes) => amperes,
                job::Draw::Power(watts) => Amperes(watts.0 / 10.5),
                job::Draw::Resistance(ohms) => Amperes(14.0 / ohms.0.max(1e-3)),
            });
            let one = typed.or_else(|| {
                profile.map(|profile| match profile.draws.alarm {
                    library::Draw::Current(amperes) => amperes,
                    library::Draw::Power(watts) => Amperes(watts.0 / 10.5),
                    library::Draw::Resistance(ohms) => Amperes(14.0 / ohms.0.max(1e-3)),
                })
            });
            one.unwrap_or(Amperes(0.0)) * f64::from(load.count)
        })
        .sum()
}

fn judge(job: &Job, core: &Core, sharers: &[usize], current: Amperes, findings: &mut Vec<Finding>) {
    let circuits: Vec<&Circuit> = sharers.iter().map(|&at| &job.circuits[at]).collect();
    let tags: Vec<&str> = circuits.iter().map(|circuit| circuit.tag.as_str()).collect();
    let mut modules: Vec<&str> =
        circuits.iter().filter_map(|circuit| Some(circuit.input.as_ref()?.module.as_str())).collect();
    modules.sort_unstable();
    modules.dedup();
    let name = if core.colour.is_empty() { "A core".to_owned() } else { format!("The {} core", core.colour) };
    let place = tags.first().copied().unwrap_or("job").to_owned();
    if modules.len() > 1 {
        findings.push(Finding {
            severity: Severity::Fix,
            place: place.clone(),
            code: "common-split",
            text: format!(
                "{name} is shared by {}, which are on modules {}.",
                tags.join(", "),
                modules.join(" and ")
            ),
            remedy: "Put circuits that share a core on one module, or on modules whose 0 V is one."
                .to_owned(),
        });
    }
    if current.0 > 0.0 {
        findings.push(Finding {
            severity: Severity::Check,
            place,
            code: "common-lifted",
            text: format!(
                "{name} of {} is also the 0 V of detectors, which draw {} through it; that is counted in.",
                tags.join(", "),
                current.shown(3)
            ),
            remedy: "Give the detectors a 0 V of their own where a core is spare.".to_owned(),
        });
    }
}

/// The profile of a module, where the library has it.
pub(crate) fn module_profile<'a>(
    setting: &Setting<'a>,
    module: &job::Module,
) -> Option<&'a library::ModuleProfile> {
    match &setting.library.profiles.get(module.profile.as_ref()?.as_str())?.kind {
        Kind::Module(profile) => Some(profile),
        _ => None,
    }
}
