//! What each module of the library would read of a job's circuits, mode by mode: the word of the engine that `allocate` asks.

use circuit::Setting;
use job::{Duty, Job};
use library::{Library, ModePer};
use quantity::Minutes;

use super::costs::of_remedy;
use super::ground::module_of;
use super::table::{Table, Way};

/// One mode of one module type, with what it reads.
#[derive(Clone, Debug)]
pub struct ModeCompared {
    /// The module's profile.
    pub profile: String,
    /// What people call it.
    pub title: String,
    /// The mode.
    pub mode: String,
    /// How many circuits such a module reads.
    pub inputs: u16,
    /// Whether each input has its own mode.
    pub mode_is_own: bool,
    /// Modules of the job that are set to it.
    pub set_on: Vec<String>,
    /// Whether such a module may be bought, as the job has it.
    pub offered: bool,
    /// Circuits that could be on an input, in the order of the job.
    pub circuits: Vec<CircuitCompared>,
}

/// What a mode reads of one circuit.
#[derive(Clone, Debug)]
pub struct CircuitCompared {
    /// Its place in the job's list.
    pub circuit: usize,
    /// How.
    pub reads: Reads,
}

/// How a mode reads a circuit.
#[derive(Clone, PartialEq, Debug)]
pub enum Reads {
    /// Right, as the circuit is.
    AsItIs {
        /// What is to be put right all the same; none where nothing is.
        remains: Option<String>,
    },
    /// Right, once this is done to the circuit.
    Once {
        /// What.
        text: String,
        /// How long that takes.
        minutes: Minutes,
        /// Inputs that it takes.
        inputs: u16,
        /// What is to be put right all the same; none where nothing is.
        remains: Option<String>,
    },
    /// Not right, whatever is done to it.
    No {
        /// Why, in words that go after "because".
        why: String,
    },
}

impl ModeCompared {
    /// How many circuits it reads right as they are, how many once something is done, how many not.
    #[must_use]
    pub fn counts(&self) -> [usize; 3] {
        let mut counts = [0; 3];
        for one in &self.circuits {
            counts[match one.reads {
                Reads::AsItIs { .. } => 0,
                Reads::Once { .. } => 1,
                Reads::No { .. } => 2,
            }] += 1;
        }
        counts
    }
}

/// Every mode of every module type of the library, those of the job's own modules first.
#[must_use]
pub fn compare_modes(job: &Job, library: &Library) -> Vec<ModeCompared> {
    let table = Table::new(Setting::new(job, library));
    let can = |at: &usize| {
        let circuit = &job.circuits[*at];
        let network = circuit.network.as_ref().filter(|_| circuit.other.is_none());
        circuit.duty != Some(Duty::Sounder) && network.is_some_and(|network| !super::left::is_spare(network))
    };
    let circuits: Vec<usize> = (0..job.circuits.len()).filter(can).collect();
    let named =
        |id: &str| job.allocate.offer.as_ref().is_none_or(|offer| offer.iter().any(|of| of.value == id));
    let mut all = Vec::new();
    for profile in library.profiles.values() {
        let Some(module) = module_of(profile) else { continue };
        let own =
            job.modules.iter().filter(|of| of.profile.as_ref().is_some_and(|id| id.value == profile.id));
        for (at, mode) in module.modes.iter().enumerate() {
            let one = |place: usize| {
                let circuit = circuits[place];
                let network = job.circuits[circuit].network.as_ref();
                let reads = match network.map(|network| table.ways(circuit, network, module, at)) {
                    Some(Ok(ways)) => least(library, &ways),
                    Some(Err(why)) => Reads::No { why },
                    None => Reads::No { why: "its network is not known".to_owned() },
                };
                CircuitCompared { circuit, reads }
            };
            let set = |of: &&job::Module| of.mode.as_ref().is_some_and(|id| id.value == mode.id);
            all.push(ModeCompared {
                profile: profile.id.clone(),
                title: profile.title.clone(),
                mode: mode.id.clone(),
                inputs: module.inputs,
                mode_is_own: module.mode_per == ModePer::Input,
                set_on: own.clone().filter(set).map(|of| of.id.value.clone()).collect(),
                offered: job.allocate.new_modules && named(&profile.id),
                circuits: crate::threads::each(circuits.len(), &one, &|_, _| ()),
            });
        }
    }
    all.sort_by_key(|one| one.set_on.is_empty());
    all
}

/// The way that takes least: nothing, else the cheapest by money and then by time.
fn least(library: &Library, ways: &[Way]) -> Reads {
    let cost = |way: &&Way| {
        way.remedy.as_ref().map_or((0, 0), |remedy| {
            let effort = of_remedy(library, remedy);
            (effort.seconds, effort.cents)
        })
    };
    let Some(way) = ways.iter().min_by_key(cost) else {
        return Reads::No { why: "no way was found".to_owned() };
    };
    match &way.remedy {
        None => Reads::AsItIs { remains: way.remains.clone() },
        Some(remedy) => Reads::Once {
            text: remedy.text.clone(),
            minutes: remedy.minutes,
            inputs: way.inputs,
            remains: way.remains.clone(),
        },
    }
}
