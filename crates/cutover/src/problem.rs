//! The work as plain data.

use crate::calendar::{Presence, Window};

/// How circuits go from old to new.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// The new equipment works beside the old; each circuit is dead only while it moves.
    SideBySide,
    /// The old equipment comes out first: every circuit is dead from the first lift.
    Swap,
}

impl Way {
    /// The word in job files and JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::SideBySide => "side by side",
            Self::Swap => "swap",
        }
    }
}

/// Everything that is to be put in order. Times are whole minutes from the job's start.
#[derive(Clone, Debug)]
pub struct Problem {
    /// How circuits go over.
    pub way: Way,
    /// Technicians, at least 1.
    pub crew: u16,
    /// When work may be done, in rising order, none over another.
    pub windows: Vec<Window>,
    /// Done before any circuit is lifted: stage after stage, in each every chain by one technician.
    pub before: Vec<Vec<Chain>>,
    /// New modules that circuits go to.
    pub modules: Vec<Module>,
    /// Circuits that move; in the order in which equals are taken.
    pub lines: Vec<Line>,
    /// Done when everything is proven: stage after stage, in each every chain by one technician.
    pub after: Vec<Vec<Chain>>,
    /// Side by side, fire circuits move only in hours of this kind; none: in any.
    pub fire_hours: Option<Presence>,
    /// The most minutes that fire circuits may be out within 24 h; none: no limit in hours.
    pub limit: Option<u32>,
    /// How many placements the search may try; in a swap of up to twelve circuits, as many again for each smaller crew.
    pub nodes: u64,
}

/// One piece of work that is not broken off.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Task {
    /// What a person calls it.
    pub tag: String,
    /// How long it takes, at least 1.
    pub minutes: u32,
}

/// Pieces of work that one technician does one after the other.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Chain {
    /// In this order.
    pub tasks: Vec<Task>,
}

/// One new module.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Module {
    /// Its name.
    pub tag: String,
    /// In a swap: power-up, enrolment of the module and its outputs, once all its circuits are landed. Side by side this
    /// is among the preparations, and not counted here.
    pub wake: u32,
}

/// One circuit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// Its tag.
    pub tag: String,
    /// The module that it goes to, as a place in [`Problem::modules`].
    pub module: usize,
    /// Whether it belongs to the fire alarm.
    pub fire: bool,
    /// What a minute without it weighs while nobody is in the building.
    pub weight: u32,
    /// What a minute without it weighs while people are in.
    pub weight_occupied: u32,
    /// Minutes to lift it.
    pub lift: u32,
    /// Minutes to measure it, to change what has to be changed, and to land it.
    pub land: u32,
    /// Minutes to enrol it and read its identity back; for smoke, the true alarm too.
    pub prove: u32,
    /// Technicians that the proof takes (side by side: the whole move).
    pub crew: u16,
    /// The same number on circuits that share a core, as their common return. The first lift among them takes it from
    /// all: side by side they move one right after the other, and every one is dead from that lift to its own proof.
    pub core: Option<usize>,
}

impl Problem {
    /// Minutes of all moves on a circuit's core, its own among them.
    #[must_use]
    pub fn moves_with(&self, line: &Line) -> u32 {
        match line.core {
            None => line.moves(),
            Some(core) => self.lines.iter().filter(|one| one.core == Some(core)).map(Line::moves).sum(),
        }
    }
}

impl Line {
    /// Side by side: the whole move.
    #[must_use]
    pub fn moves(&self) -> u32 {
        self.lift + self.land + self.prove
    }

    /// What a minute without it weighs.
    pub(crate) fn rate(&self, presence: Option<Presence>) -> u64 {
        u64::from(match presence {
            Some(Presence::Occupied) => self.weight_occupied,
            _ => self.weight,
        })
    }
}

/// Why there is no plan.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[non_exhaustive]
pub enum NoPlan {
    /// No hours at all.
    #[error("there are no hours in which work may be done")]
    NoHours,
    /// Longer than any hours in which it may be done.
    #[error("{tag} takes {minutes} min, and the longest hours for it have {longest} min")]
    TooLong {
        /// The piece of work.
        tag: String,
        /// How long it takes.
        minutes: u32,
        /// The longest stretch that there is for it.
        longest: u32,
    },
    /// More technicians than there are.
    #[error("{tag} takes {wanted} technicians, and there are {crew}")]
    CrewTooSmall {
        /// The piece of work.
        tag: String,
        /// How many it takes.
        wanted: u16,
        /// How many there are.
        crew: u16,
    },
    /// The hours end before the work does.
    #[error("the hours end before the work does: {tag} has no place left")]
    HoursRunOut {
        /// The piece of work.
        tag: String,
    },
    /// The data contradict themselves.
    #[error("{what}")]
    Wrong {
        /// What is wrong with them.
        what: String,
    },
}
