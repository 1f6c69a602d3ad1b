//! The one pure function in the middle: from a job and a library to everything that is shown of it.

use std::collections::BTreeMap;

use circuit::{Fit, ModeCount, Seat, Setting, Study, findings, may_use, reads_right, study};
use job::{Circuit, Feeding, Finding, Job, Module, Severity};
use library::{Kind, Library, Mode, ModePer, ModuleProfile, PanelProfile};

use crate::commons::{Shared, commons, module_profile};
use crate::job_findings::{devices_without_circuit, job_findings};

/// What is to be said of a job.
#[derive(Debug)]
pub struct Assessment<'a> {
    /// The job that was assessed.
    pub job: &'a Job,
    /// The library that it was assessed with.
    pub library: &'a Library,
    /// The heaviest finding; none when there is nothing but notes.
    pub verdict: Option<Severity>,
    /// The heaviest first, then in the order of the job.
    pub findings: Vec<Finding>,
    /// One for each circuit, in the order of the job.
    pub circuits: Vec<CircuitResult<'a>>,
    /// One for each supply, in the order of the job: the tree with volts at every point, budgets, rules with their
    /// working, the battery with its curves, the mains side.
    pub supplies: Vec<supply::Study<'a>>,
}

/// What is to be said of one circuit.
#[derive(Debug)]
pub struct CircuitResult<'a> {
    /// The circuit.
    pub circuit: &'a Circuit,
    /// The mode that its input reads it in; none without an input or a profile.
    pub mode: Option<&'a Mode>,
    /// Whether the job leaves the mode open and this is the best of all.
    pub mode_chosen: bool,
    /// What was found out; none without a network.
    pub study: Option<Study>,
    /// Why nothing could be said of the input's reading; none where it could.
    pub why: Option<&'static str>,
    /// A two-wire smoke circuit under power; none for others, and where the mode's source is not known.
    pub smoke: Option<supply::SmokeLoop>,
}

/// A module of the job with what is on it.
struct Placed<'a> {
    module: &'a Module,
    profile: Option<&'a ModuleProfile>,
    /// Circuits on it, as places in the job's list.
    circuits: Vec<usize>,
    /// The mode in use, as a place in the profile's list.
    mode: usize,
    mode_chosen: bool,
    by_mode: Vec<ModeCount>,
}

/// Assesses a job; `progress` is told how many of how many circuits are done.
///
/// Deterministic: the same job and library give the same result, whatever the number of threads.
#[must_use]
pub fn assess<'a>(
    job: &'a Job,
    library: &'a Library,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Assessment<'a> {
    let setting = Setting::new(job, library);
    let mut all = Vec::new();
    let shared = commons(&setting, &mut all);
    let panel = panel_profile(&setting);
    let placed = placed(&setting, &shared);
    let one = |at: usize| result(&setting, at, &placed, &shared, panel);
    let done = crate::threads::each(job.circuits.len(), &one, progress);
    let mut circuits = Vec::with_capacity(done.len());
    job_findings(&setting, &mut all);
    devices_without_circuit(job, &mut all);
    crate::identify::inferred_findings(job, &mut all);
    for (result, findings) in done {
        all.extend(findings);
        circuits.push(result);
    }
    let supplies = supplies(job, library, &mut all);
    all.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let verdict = all.first().map(|finding| finding.severity).filter(|severity| *severity > Severity::Note);
    Assessment { job, library, verdict, findings: all, circuits, supplies }
}

/// Every supply studied, with what is to be said of it.
fn supplies<'a>(job: &'a Job, library: &'a Library, all: &mut Vec<Finding>) -> Vec<supply::Study<'a>> {
    let feeding = Feeding::new(job);
    let one = |at: usize| supply::study(job, library, &feeding, at);
    let supplies: Vec<supply::Study> = (0..job.supplies.len()).map(one).collect();
    for study in &supplies {
        all.extend(supply::findings(job, library, study));
    }
    supplies
}

/// What is to be said of each supply, in the order of the job.
pub(crate) fn supply_findings(job: &Job, library: &Library) -> Vec<Vec<Finding>> {
    let feeding = Feeding::new(job);
    let one = |at: usize| supply::findings(job, library, &supply::study(job, library, &feeding, at));
    (0..job.supplies.len()).map(one).collect()
}

pub(crate) fn panel_profile<'a>(setting: &Setting<'a>) -> Option<&'a PanelProfile> {
    let id = setting.job.panel.as_ref()?.profile.as_ref()?;
    match &setting.library.profiles.get(id.as_str())?.kind {
        Kind::Panel(panel) => Some(panel),
        _ => None,
    }
}

/// Every module by id, with its circuits and its mode.
fn placed<'a>(setting: &Setting<'a>, shared: &BTreeMap<usize, Shared>) -> BTreeMap<&'a str, Placed<'a>> {
    let mut placed: BTreeMap<&str, Placed> = BTreeMap::new();
    for module in &setting.job.modules {
        let profile = module_profile(setting, module);
        placed.insert(
            module.id.as_str(),
            Placed {
                module,
                profile,
                circuits: Vec::new(),
                mode: 0,
                mode_chosen: false,
                by_mode: Vec::new(),
            },
        );
    }
    for (at, circuit) in setting.job.circuits.iter().enumerate() {
        if let Some(input) = &circuit.input
            && let Some(module) = placed.get_mut(input.module.as_str())
        {
            module.circuits.push(at);
        }
    }
    for module in placed.values_mut() {
        choose_mode(setting, module, shared);
    }
    placed
}

/// The mode that the job names; otherwise the one in which most circuits read right, the first of equals.
fn choose_mode(setting: &Setting, module: &mut Placed, shared: &BTreeMap<usize, Shared>) {
    let Some(profile) = module.profile else { return };
    let named = module.module.mode.as_ref();
    let named = named.and_then(|id| profile.modes.iter().position(|mode| mode.id == id.value));
    module.mode = named.unwrap_or(0);
    module.mode_chosen = named.is_none();
    if profile.mode_per == ModePer::Input {
        return;
    }
    if profile.modes.len() == 1 {
        return;
    }
    let fits: Vec<Vec<bool>> = (0..profile.modes.len())
        .map(|mode| module.circuits.iter().map(|&at| fits(setting, at, profile, mode, shared)).collect())
        .collect();
    let right = |mode: usize| fits[mode].iter().filter(|fits| **fits).count();
    if named.is_none() {
        let best = (0..fits.len()).map(right).max().unwrap_or(0);
        module.mode = (0..fits.len()).position(|mode| right(mode) == best).unwrap_or(0);
    }
    let now = &fits[module.mode];
    let count = |then: &Vec<bool>| ModeCount {
        right: then.iter().filter(|fits| **fits).count(),
        keeps: now.iter().zip(then).all(|(now, then)| *then || !*now),
    };
    module.by_mode = fits.iter().map(count).collect();
}

/// Whether a circuit reads right in a mode of its module and may be on its input in it; false without a network.
fn fits(
    setting: &Setting,
    at: usize,
    profile: &ModuleProfile,
    mode: usize,
    shared: &BTreeMap<usize, Shared>,
) -> bool {
    let circuit = &setting.job.circuits[at];
    let Some((network, fit)) = circuit.network.as_ref().zip(fit(at, circuit, profile, mode, shared)) else {
        return false;
    };
    may_use(setting, circuit, network, &profile.modes[mode], fit.input)
        && reads_right(setting, circuit, network, &fit)
}

fn fit<'a>(
    at: usize,
    circuit: &Circuit,
    profile: &'a ModuleProfile,
    mode: usize,
    shared: &BTreeMap<usize, Shared>,
) -> Option<Fit<'a>> {
    let shares = shared.get(&at);
    Some(Fit {
        profile,
        mode,
        input: circuit.input.as_ref()?.number,
        free_inputs: 0,
        by_mode: &[],
        lift: shares.map(|shares| shares.lift(&profile.modes[mode])).unwrap_or_default(),
        shares: shares.is_some_and(|shares| !shares.others.is_empty()),
    })
}

fn result<'a>(
    setting: &Setting<'a>,
    at: usize,
    placed: &BTreeMap<&str, Placed<'a>>,
    shared: &BTreeMap<usize, Shared>,
    panel: Option<&PanelProfile>,
) -> (CircuitResult<'a>, Vec<Finding>) {
    let circuit = &setting.job.circuits[at];
    let network = circuit.network.as_ref();
    let module = circuit.input.as_ref().and_then(|input| placed.get(input.module.as_str()));
    let profile: Option<&'a ModuleProfile> = module.and_then(|module| module.profile);
    let chosen =
        module.zip(profile).map(|(module, profile)| mode_of(setting, at, circuit, module, profile, shared));
    let seat = module.zip(profile).zip(chosen).and_then(|((module, profile), (mode, _))| {
        let mut fit = fit(at, circuit, profile, mode, shared)?;
        // What is kept for the home runs of another circuit is not free.
        let others = setting.job.circuits.iter().enumerate().filter(|(other, _)| *other != at);
        let kept = others
            .flat_map(|(_, other)| &other.also)
            .filter(|also| also.module == module.module.id.value)
            .count();
        fit.free_inputs = usize::from(profile.inputs).saturating_sub(module.circuits.len() + kept);
        fit.by_mode = &module.by_mode;
        Some(Seat { module: module.module.id.as_str(), fit, panel })
    });
    let study = network.map(|network| study(setting, circuit, network, seat.as_ref().map(|seat| &seat.fit)));
    let mut found = findings(setting, circuit, network, seat.as_ref(), study.as_ref());
    let why = match (network, &circuit.input, &seat) {
        (None, _, _) if circuit.other.is_some() => Some("no series-parallel form"),
        (None, _, _) => Some("no network"),
        (_, None, _) => Some("no input"),
        (_, _, None) => Some("no profile of the module"),
        _ => None,
    };
    let mode_chosen = chosen.is_some_and(|(_, chosen)| chosen);
    let mode = profile.zip(chosen).and_then(|(profile, (mode, _))| profile.modes.get(mode));
    let smoke = powered(setting, circuit, mode, &mut found);
    (CircuitResult { circuit, mode, mode_chosen, study, why, smoke }, found)
}

/// A two-wire smoke circuit under power, where it is one and its source is known.
pub(crate) fn powered(
    setting: &Setting,
    circuit: &Circuit,
    mode: Option<&Mode>,
    found: &mut Vec<Finding>,
) -> Option<supply::SmokeLoop> {
    let network = circuit.network.as_ref()?;
    let mode = mode?;
    let is_smoke = |element: &network::Element| matches!(element.part, network::Part::Smoke(_));
    if !network.elements().iter().any(is_smoke) {
        return None;
    }
    let Some(source) = &mode.smoke else {
        found.push(Finding {
            severity: Severity::Check,
            place: circuit.tag.value.clone(),
            code: "smoke-source-open",
            text: format!(
                "What mode {} feeds its two-wire smoke detectors with nobody has typed in, so volts and currents at \
                 them are not computed.",
                mode.id
            ),
            remedy: "Copy volts, limits and thresholds from the manual into the mode's `smoke`.".to_owned(),
        });
        return None;
    };
    let smoke = supply::smoke_loop(setting.job, setting.library, circuit, network, source)?;
    found.extend(supply::smoke_findings(&circuit.tag, &smoke));
    Some(smoke)
}

/// The mode of one input, and whether the engine chose it.
fn mode_of(
    setting: &Setting,
    at: usize,
    circuit: &Circuit,
    module: &Placed,
    profile: &ModuleProfile,
    shared: &BTreeMap<usize, Shared>,
) -> (usize, bool) {
    if profile.mode_per == ModePer::Module {
        return (module.mode, module.mode_chosen);
    }
    let own = circuit.mode.as_ref().and_then(|id| profile.modes.iter().position(|mode| mode.id == id.value));
    match own {
        Some(mode) => (mode, false),
        None if !module.mode_chosen => (module.mode, false),
        None => {
            // Where no mode reads it right, the first that it may be used in at all.
            let input = circuit.input.as_ref().map_or(0, |input| input.number);
            let may = |mode: usize| {
                circuit
                    .network
                    .as_ref()
                    .is_some_and(|network| may_use(setting, circuit, network, &profile.modes[mode], input))
            };
            let right = (0..profile.modes.len()).find(|&mode| fits(setting, at, profile, mode, shared));
            let usable = (0..profile.modes.len()).find(|&mode| may(mode));
            (right.or(usable).unwrap_or(module.mode), true)
        }
    }
}
