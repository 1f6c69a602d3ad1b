//! What WHERE names: a circuit, a contact, an input, a module, a supply, an output, or the job.

use job::Job;
use network::{Network, Part};

/// Names that are offered in place of an unknown one.
const MOST_OFFERED: usize = 4;

/// Something in a job; numbers are places in the job's lists.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Target {
    /// The job as a whole.
    Job,
    /// A circuit.
    Circuit(usize),
    /// A contact or a detector of a circuit.
    Contact {
        /// The circuit.
        circuit: usize,
        /// The contact in its network; none for what has none, as a two-wire smoke detector.
        contact: Option<usize>,
        /// Its first element.
        element: usize,
        /// Its name.
        name: String,
    },
    /// An input of a module.
    Input {
        /// The module.
        module: usize,
        /// From 1.
        number: u16,
    },
    /// A module.
    Module(usize),
    /// A supply or one of its points.
    Supply {
        /// The supply.
        supply: usize,
        /// The point; empty for the supply itself.
        point: String,
    },
    /// An output.
    Output(usize),
}

impl Target {
    /// The word in JSON.
    pub(crate) fn word(&self) -> &'static str {
        match self {
            Self::Job => "job",
            Self::Circuit(_) => "circuit",
            Self::Contact { .. } => "contact",
            Self::Input { .. } => "input",
            Self::Module(_) => "module",
            Self::Supply { .. } => "supply",
            Self::Output(_) => "output",
        }
    }

    /// The circuits that it is about, as places in the job's list.
    pub(crate) fn circuits(&self, job: &Job) -> Vec<usize> {
        let on = |module: usize, number: Option<u16>| {
            let id = job.modules.get(module).map(|module| module.id.as_str());
            let circuits = job.circuits.iter().enumerate();
            circuits
                .filter(|(_, circuit)| {
                    circuit.input.as_ref().is_some_and(|input| {
                        Some(input.module.as_str()) == id
                            && number.is_none_or(|number| input.number == number)
                    })
                })
                .map(|(at, _)| at)
                .collect()
        };
        match self {
            Self::Circuit(circuit) | Self::Contact { circuit, .. } => vec![*circuit],
            Self::Input { module, number } => on(*module, Some(*number)),
            Self::Module(module) => on(*module, None),
            Self::Job | Self::Supply { .. } | Self::Output(_) => Vec::new(),
        }
    }

    /// What its findings call their place.
    pub(crate) fn places(&self, job: &Job) -> Vec<String> {
        let tags = || self.circuits(job).into_iter().map(|at| job.circuits[at].tag.value.clone());
        match self {
            Self::Job => vec!["job".to_owned()],
            Self::Circuit(_) | Self::Contact { .. } | Self::Input { .. } => tags().collect(),
            Self::Module(module) => tags().chain([job.modules[*module].id.value.clone()]).collect(),
            Self::Supply { supply, .. } => vec![job.supplies[*supply].id.value.clone()],
            Self::Output(output) => vec![job.outputs[*output].id.value.clone()],
        }
    }
}

/// Finds what a name means; a circuit's tag counts before all else.
///
/// # Errors
/// The nearest names that there are.
pub(crate) fn resolve(job: &Job, wanted: &str) -> Result<Target, Vec<String>> {
    whole(job, wanted).or_else(|| part(job, wanted)).ok_or_else(|| offered(job, wanted))
}

fn whole(job: &Job, wanted: &str) -> Option<Target> {
    if let Some(at) = job.circuits.iter().position(|circuit| circuit.tag.value == wanted) {
        return Some(Target::Circuit(at));
    }
    if let Some(at) = job.modules.iter().position(|module| module.id.value == wanted) {
        return Some(Target::Module(at));
    }
    if let Some(supply) = job.supplies.iter().position(|supply| supply.id.value == wanted) {
        return Some(Target::Supply { supply, point: String::new() });
    }
    if let Some(at) = job.outputs.iter().position(|output| output.id.value == wanted) {
        return Some(Target::Output(at));
    }
    (wanted == "job").then_some(Target::Job)
}

/// `C07.leaf1`, `M1.7`, `P1.J2`: a name may hold points itself, so every one is tried.
fn part(job: &Job, wanted: &str) -> Option<Target> {
    wanted.match_indices('.').find_map(|(at, _)| {
        let (owner, rest) = (&wanted[..at], &wanted[at + 1..]);
        match whole(job, owner)? {
            Target::Circuit(circuit) => contact(job, circuit, rest),
            Target::Module(module) => {
                let number = rest.parse().ok().filter(|number| *number > 0)?;
                Some(Target::Input { module, number })
            }
            Target::Supply { supply, .. } => {
                let known = points(job, supply).any(|point| point == rest);
                known.then(|| Target::Supply { supply, point: rest.to_owned() })
            }
            _ => None,
        }
    })
}

fn contact(job: &Job, circuit: usize, wanted: &str) -> Option<Target> {
    let network = job.circuits[circuit].network.as_ref()?;
    let plain = wanted.strip_suffix(".alarm").unwrap_or(wanted);
    let contact = network.contacts().iter().position(|contact| contact.label() == plain);
    let element = match contact {
        Some(contact) => *network.contacts()[contact].elements.first()?,
        None => network.elements().iter().position(|element| element.name() == Some(plain))?,
    };
    // The device of a tamper contact alone is found by its name too.
    let contact = contact.or_else(|| network.contact_of(element));
    Some(Target::Contact { circuit, contact, element, name: wanted.to_owned() })
}

fn points(job: &Job, supply: usize) -> impl Iterator<Item = &str> {
    let supply = &job.supplies[supply];
    let runs = supply.runs.iter().flat_map(|run| [run.from.as_str(), run.to.as_str()]);
    runs.chain(supply.loads.iter().map(|load| load.at.as_str()))
}

/// Names of a network's contacts and detectors.
fn names(network: &Network) -> Vec<String> {
    let contacts = network.contacts().iter().map(network::Contact::label);
    let detectors = network.elements().iter().filter_map(|element| match &element.part {
        Part::Smoke(name) | Part::Sounder(name) => Some(name.clone()),
        _ => None,
    });
    contacts.chain(detectors).collect()
}

/// The nearest names, or else some that exist.
fn offered(job: &Job, wanted: &str) -> Vec<String> {
    let mut known: Vec<String> = job.circuits.iter().map(|circuit| circuit.tag.value.clone()).collect();
    for circuit in &job.circuits {
        if wanted.starts_with(circuit.tag.as_str()) {
            let names = circuit.network.iter().flat_map(names);
            known.extend(names.map(|name| format!("{}.{name}", circuit.tag.value)));
        }
    }
    known.extend(job.modules.iter().map(|module| module.id.value.clone()));
    for (at, supply) in job.supplies.iter().enumerate() {
        known.push(supply.id.value.clone());
        known.extend(points(job, at).map(|point| format!("{}.{point}", supply.id.value)));
    }
    known.extend(job.outputs.iter().map(|output| output.id.value.clone()));
    known.push("job".to_owned());
    let mut near: Vec<String> = Vec::new();
    while near.len() < MOST_OFFERED {
        let left = known.iter().filter(|name| !near.contains(name)).map(String::as_str);
        match document::nearest(wanted, left) {
            Some(name) => near.push(name.to_owned()),
            None => break,
        }
    }
    let inside: Vec<String> =
        known.iter().filter(|name| name.starts_with(wanted) && !near.contains(name)).cloned().collect();
    near.extend(inside);
    if near.is_empty() {
        near = known.first().into_iter().chain(known.last()).cloned().collect();
        near.dedup();
    }
    near.truncate(MOST_OFFERED);
    near
}
