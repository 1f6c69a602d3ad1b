//! Where cables end, in the answer: enclosures to be hung, positions and battery spaces left.

use ::allocate as engine;
use job::Job;
use library::{Kind, Library, Profile};

use super::ground::Ground;
use super::places::{positions, profile};

/// Where cables end, with what hangs beside it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacePlan {
    /// The enclosure in which the cables end; empty in a job without enclosures.
    pub id: String,
    /// Enclosures to be hung beside it.
    pub annexes: Vec<Annexed>,
    /// Module positions left; none where their number is not known.
    pub positions_left: Option<u32>,
    /// Free inputs.
    pub spare: u32,
    /// Battery spaces of its enclosures; none where nobody has said.
    pub battery_spaces: Option<u32>,
    /// Battery blocks of its supplies.
    pub batteries: u32,
}

/// An enclosure to be hung beside another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Annexed {
    /// Its id.
    pub id: String,
    /// Its profile.
    pub profile: String,
    /// Module positions in it.
    pub positions: u32,
}

/// The enclosures to be hung, by place, with ids that the job does not have.
pub(crate) fn annexes(job: &Job, ground: &Ground, answer: &engine::Allocation) -> Vec<Vec<Annexed>> {
    let mut taken: Vec<String> = job.enclosures.iter().map(|enclosure| enclosure.id.value.clone()).collect();
    let mut all = Vec::new();
    for (place, enclosure) in ground.problem.enclosures.iter().enumerate() {
        let count = answer.rooms.get(place).map_or(0, |room| room.annexes);
        let mut here = Vec::new();
        for _ in 0..count {
            let Some(annex) = &enclosure.annex else { break };
            let ids = ('A'..='Z').map(|letter| format!("{}{letter}", enclosure.id));
            let ids = ids.chain((1..).map(|number| format!("{}-{number}", enclosure.id)));
            let Some(id) = { ids }.find(|id| !taken.contains(id)) else { break };
            taken.push(id.clone());
            here.push(Annexed { id, profile: annex.profile.clone(), positions: annex.positions });
        }
        all.push(here);
    }
    all
}

/// Positions that new modules can still take, enclosure by enclosure.
pub(crate) struct Room {
    /// By place: the enclosure's id and the positions left in it; none for a number that is not known.
    left: Vec<Vec<(String, Option<u32>)>>,
}

impl Room {
    pub(crate) fn new(job: &Job, library: &Library, ground: &Ground, annexes: &[Vec<Annexed>]) -> Self {
        let there = |id: &str| {
            let here = |module: &&job::Module| module.enclosure.as_ref().is_some_and(|of| of.value == id);
            u32::try_from(job.modules.iter().filter(here).count()).unwrap_or(u32::MAX)
        };
        let left = ground.places.places.iter().enumerate().map(|(place, enclosures)| {
            let own = enclosures.iter().map(|enclosure| {
                let positions = profile(library, enclosure).and_then(positions);
                let id = enclosure.id.value.clone();
                let left = positions.map(|positions| positions.saturating_sub(there(&id)));
                (id, left)
            });
            let hung = annexes[place].iter().map(|annex| (annex.id.clone(), Some(annex.positions)));
            own.chain(hung).collect()
        });
        Self { left: left.collect() }
    }

    /// The first enclosure of a place that has room; the first of all where none has.
    pub(crate) fn take(&mut self, place: usize) -> Option<String> {
        let enclosures = &mut self.left[place];
        let at = enclosures.iter().position(|(_, left)| *left != Some(0)).unwrap_or(0);
        let (id, left) = enclosures.get_mut(at)?;
        *left = left.map(|left| left.saturating_sub(1));
        Some(id.clone())
    }
}

pub(crate) fn places(
    job: &Job,
    library: &Library,
    ground: &Ground,
    answer: &engine::Allocation,
    annexes: Vec<Vec<Annexed>>,
) -> Vec<PlacePlan> {
    let mut places = Vec::new();
    for ((place, enclosures), annexes) in ground.places.places.iter().enumerate().zip(annexes) {
        let room = answer.rooms.get(place);
        let own: Option<u32> =
            enclosures.iter().map(|enclosure| spaces(profile(library, enclosure)?)).sum::<Option<u32>>();
        let hung =
            annexes.iter().map(|annex| library.profiles.get(&annex.profile).and_then(spaces).unwrap_or(0));
        let hung: u32 = hung.sum();
        let here = |id: &str| enclosures.iter().any(|enclosure| enclosure.id.value == id);
        let supplies = job.supplies.iter().filter(|supply| {
            supply.enclosure.as_ref().is_some_and(|id| here(id)) && supply.battery.is_some()
        });
        places.push(PlacePlan {
            id: ground.places.id(place).to_owned(),
            positions_left: room.and_then(|room| room.positions_left),
            spare: room.map_or(0, |room| room.spare),
            battery_spaces: own.filter(|_| !enclosures.is_empty()).map(|own| own + hung),
            batteries: supplies.map(|supply| supply.strings * supply::in_series(library, supply)).sum(),
            annexes,
        });
    }
    places
}

fn spaces(profile: &Profile) -> Option<u32> {
    match &profile.kind {
        Kind::Enclosure(enclosure) => enclosure.batteries,
        _ => None,
    }
}
