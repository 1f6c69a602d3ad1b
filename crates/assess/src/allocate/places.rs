//! Where cables end and modules hang: enclosures that hang beside one another are one place.

use std::collections::BTreeMap;

use ::allocate as engine;
use job::{Enclosure, Job, Module};
use library::{Kind, Library, Profile, Task};

use super::costs::of_profile;

/// The places of a job, each the enclosure in which cables end with those that hang beside it.
pub(crate) struct Places<'a> {
    /// The enclosures of each place, the one in which cables end first; none for a job that names none.
    pub(crate) places: Vec<Vec<&'a Enclosure>>,
    by_id: BTreeMap<&'a str, usize>,
    /// Where a module hangs that says nothing, by its id: where the circuits end that are on it.
    silent: BTreeMap<&'a str, usize>,
}

impl<'a> Places<'a> {
    pub(crate) fn new(job: &'a Job) -> Self {
        let mut places: Vec<Vec<&Enclosure>> = Vec::new();
        let mut by_id = BTreeMap::new();
        for enclosure in job.enclosures.iter().filter(|enclosure| enclosure.beside.is_none()) {
            by_id.insert(enclosure.id.as_str(), places.len());
            places.push(vec![enclosure]);
        }
        for enclosure in &job.enclosures {
            let beside = enclosure.beside.as_ref().and_then(|beside| by_id.get(beside.as_str()).copied());
            if let Some(place) = beside {
                by_id.insert(enclosure.id.as_str(), place);
                places[place].push(enclosure);
            }
        }
        if places.is_empty() {
            places.push(Vec::new());
        }
        let mut silent = BTreeMap::new();
        for circuit in &job.circuits {
            if let (Some(input), Some(ends_in)) = (&circuit.input, &circuit.ends_in)
                && let Some(place) = by_id.get(ends_in.as_str())
            {
                silent.entry(input.value.module.as_str()).or_insert(*place);
            }
        }
        Self { places, by_id, silent }
    }

    /// The place of an enclosure.
    pub(crate) fn index(&self, id: &str) -> Option<usize> {
        self.by_id.get(id).copied()
    }

    /// Where a module hangs.
    pub(crate) fn of_module(&self, module: &Module) -> usize {
        let said = module.enclosure.as_ref().and_then(|id| self.index(id));
        said.or_else(|| self.silent.get(module.id.as_str()).copied()).unwrap_or(0)
    }

    /// What people call a place; empty in a job without enclosures.
    pub(crate) fn id(&self, place: usize) -> &'a str {
        self.places[place].first().map_or("", |enclosure| enclosure.id.as_str())
    }

    pub(crate) fn enclosures(
        &self,
        job: &Job,
        library: &Library,
        existing: &[engine::Existing],
    ) -> Vec<engine::Enclosure> {
        let one = |(at, place): (usize, &Vec<&Enclosure>)| {
            let there = existing.iter().filter(|module| module.enclosure == at).count();
            let all: Option<u32> =
                place.iter().map(|enclosure| positions(profile(library, enclosure)?)).sum();
            let all = all.filter(|_| !place.is_empty());
            let there = u32::try_from(there).unwrap_or(u32::MAX);
            engine::Enclosure {
                id: self.id(at).to_owned(),
                positions: all.map(|all| all.saturating_sub(there)),
                spare: place.iter().map(|enclosure| enclosure.spare).sum(),
                annex: all.and_then(|_| annex(job, library, place)),
            }
        };
        self.places.iter().enumerate().map(one).collect()
    }
}

pub(crate) fn profile<'l>(library: &'l Library, enclosure: &Enclosure) -> Option<&'l Profile> {
    library.profiles.get(enclosure.profile.as_ref()?.as_str())
}

pub(crate) fn positions(profile: &Profile) -> Option<u32> {
    match &profile.kind {
        Kind::Enclosure(enclosure) => enclosure.positions,
        _ => None,
    }
}

/// What may be hung beside a place: what the job names, else another of its own kind.
fn annex(job: &Job, library: &Library, place: &[&Enclosure]) -> Option<engine::Annex> {
    let hung = u32::try_from(place.len()).unwrap_or(u32::MAX) - 1;
    let most = job.allocate.annexes.saturating_sub(hung);
    let named = job.allocate.annex.as_ref().and_then(|id| library.profiles.get(id.as_str()));
    let profile = named.or_else(|| profile(library, place.first()?))?;
    let positions = positions(profile).filter(|positions| *positions > 0)?;
    let effort = of_profile(library, profile, Task::Enclosure);
    (most > 0).then(|| engine::Annex { profile: profile.id.clone(), positions, effort, most })
}
