//! The one pure function in the middle: from a job and a library to everything that is shown of it.

use std::collections::BTreeMap;

use circuit::{Fit, Seat, Setting, Study, findings, reads_right, study};
use job::{Circuit, Finding, Job, Module, Severity};
use library::{Kind, Library, Mode, ModePer, ModuleProfile, PanelProfile};

use crate::commons::{Shared, commons, module_profile};
use crate::job_findings::job_findings;

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
    right_by_mode: Vec<usize>,
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
    for (result, findings) in done {
        all.extend(findings);
        circuits.push(result);
    }
    all.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let verdict = all.first().map(|finding| finding.severity).filter(|severity| *severity > Severity::Note);
    Assessment { job, library, verdict, findings: all, circuits }
}

fn panel_profile<'a>(setting: &Setting<'a>) -> Option<&'a PanelProfile> {
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
                right_by_mode: Vec::new(),
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
    let right_in = |mode: usize| {
        module.circuits.iter().filter(|&&at| reads(setting, at, profile, mode, shared) == Some(true)).count()
    };
    if named.is_some() && right_in(module.mode) == module.circuits.len() {
        return;
    }
    let right: Vec<usize> = (0..profile.modes.len()).map(right_in).collect();
    if named.is_none() {
        let best = right.iter().copied().max().unwrap_or(0);
        module.mode = right.iter().position(|&count| count == best).unwrap_or(0);
    }
    module.right_by_mode = right;
}

/// Whether a circuit reads right in a mode of its module; none without a network.
fn reads(
    setting: &Setting,
    at: usize,
    profile: &ModuleProfile,
    mode: usize,
    shared: &BTreeMap<usize, Shared>,
) -> Option<bool> {
    let circuit = &setting.job.circuits[at];
    let fit = fit(at, circuit, profile, mode, shared)?;
    Some(reads_right(setting, circuit, circuit.network.as_ref()?, &fit))
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
        right_by_mode: &[],
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
        fit.free_inputs = usize::from(profile.inputs).saturating_sub(module.circuits.len());
        fit.right_by_mode = &module.right_by_mode;
        Some(Seat { module: module.module.id.as_str(), fit, panel })
    });
    let study = network.map(|network| study(setting, circuit, network, seat.as_ref().map(|seat| &seat.fit)));
    let found = findings(setting, circuit, network, seat.as_ref(), study.as_ref());
    let why = match (network, &circuit.input, &seat) {
        (None, _, _) if circuit.other.is_some() => Some("no series-parallel form"),
        (None, _, _) => Some("no network"),
        (_, None, _) => Some("no input"),
        (_, _, None) => Some("no profile of the module"),
        _ => None,
    };
    let mode_chosen = chosen.is_some_and(|(_, chosen)| chosen);
    let mode = profile.zip(chosen).and_then(|(profile, (mode, _))| profile.modes.get(mode));
    (CircuitResult { circuit, mode, mode_chosen, study, why }, found)
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
            let mut modes = 0..profile.modes.len();
            let right = modes.find(|&mode| reads(setting, at, profile, mode, shared) == Some(true));
            (right.unwrap_or(module.mode), true)
        }
    }
}
