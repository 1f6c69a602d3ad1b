//! The answer: what lands where, what it costs, how near to the best it is, or what stands in the way.

use crate::problem::Effort;

/// What [`allocate`](crate::allocate()) found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Allocation {
    /// How good it is.
    pub status: Status,
    /// What all of it costs, folded by the weights: new modules, annexes, extensions, remedies. 0 when nothing was found.
    pub cost: u64,
    /// No allocation costs less than this.
    pub bound: u64,
    /// The same in money and time, not folded.
    pub effort: Effort,
    /// Nodes of the search.
    pub nodes: u64,
    /// Why the search ended before its end.
    pub stopped: Stopped,
    /// All modules: those of the job in its order of ids, then new ones by enclosure.
    pub modules: Vec<Module>,
    /// Circuits that have an input, by tag.
    pub landed: Vec<Landed>,
    /// Circuits without (index), by tag; only where [`Unmet::Fewest`](crate::Unmet) was asked for.
    pub unmet: Vec<usize>,
    /// What is left in each enclosure, in the order of the problem.
    pub rooms: Vec<Room>,
    /// Zones that the panel still has; none where its number is not known.
    pub zones_left: Option<u32>,
    /// Modules that the panel still has room for; none where that is not known.
    pub modules_left: Option<u32>,
    /// Why nothing was found, when it is proven that nothing can be.
    pub conflict: Option<Conflict>,
}

impl Allocation {
    /// How far the cost may be above the least possible, in parts of a million of the cost. 0 when it is the least.
    #[must_use]
    pub fn gap_ppm(&self) -> u64 {
        let off = self.cost - self.bound.min(self.cost);
        (off * 1_000_000).checked_div(self.cost).unwrap_or(0)
    }
}

/// How good an answer is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Proven: nothing costs less.
    Optimal,
    /// The best found; [`Allocation::gap_ppm`] says how far off it may be.
    Feasible,
    /// Proven: it cannot be done; [`Allocation::conflict`] says why.
    Infeasible,
    /// The search was ended before anything was found or ruled out.
    Unknown,
}

/// Why a search ended before its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stopped {
    /// It did not.
    No,
    /// The count of nodes.
    Nodes,
    /// [`Limits::stop`](crate::Limits) said so.
    Clock,
}

/// A module in the answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Module {
    /// Its id in the job; for a new one the next free `M` number.
    pub id: String,
    /// Index into [`Problem::existing`](crate::Problem::existing); none: to be bought.
    pub existing: Option<usize>,
    /// Index into [`Problem::offers`](crate::Problem::offers).
    pub offer: usize,
    /// Its mode; none where each input has its own ([`Landed::mode`]).
    pub mode: Option<usize>,
    /// The enclosure that it hangs in.
    pub enclosure: usize,
    /// Inputs that stay free, in order.
    pub spare: Vec<u16>,
    /// What its auxiliary output still gives, in mA.
    pub aux_left_ma: u32,
}

/// A circuit in the answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Landed {
    /// Index into [`Problem::circuits`](crate::Problem::circuits).
    pub circuit: usize,
    /// Index into [`Allocation::modules`].
    pub module: usize,
    /// Its inputs; more than one when it is split.
    pub inputs: Vec<u16>,
    /// The mode that these inputs have.
    pub mode: usize,
    /// Index into [`Circuit::fits`](crate::Circuit::fits).
    pub fit: usize,
    /// Index into [`Circuit::extensions`](crate::Circuit::extensions) when its cable is made longer.
    pub extension: Option<usize>,
    /// Its zone numbers, one for each input.
    pub zones: Vec<u32>,
}

/// What is left in an enclosure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Room {
    /// Positions left, annexes counted; none where the number is not known.
    pub positions_left: Option<u32>,
    /// Annexes to be hung.
    pub annexes: u32,
    /// Free inputs.
    pub spare: u32,
}

/// Demands that cannot stand together. Drop any one of them and the others can, where [`Conflict::irreducible`] says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The demands, by kind and then by tag or id.
    pub demands: Vec<Demand>,
    /// Whether each of the demands is needed (proven); false only where the search was ended before that was clear.
    pub irreducible: bool,
    /// Whether no smaller set of demands is a conflict (proven), or only that each of these is needed.
    pub smallest: bool,
    /// All of it in one or two sentences: "3 smoke circuits end in E2, and 2 inputs there can take one".
    pub words: String,
}

/// One demand of the job, that a person can give up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Demand {
    /// Which.
    pub of: DemandOf,
    /// What it asks, in words: "C07 ends in E2 and wants an input".
    pub words: String,
}

/// Whose demand: enough to find its line in the job file. Indices are those of the problem.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum DemandOf {
    /// A circuit wants an input, where its cable ends (or may be extended to) and in a mode that reads it.
    Circuit(usize),
    /// A circuit keeps the input that the job gives it.
    Pin(usize),
    /// A circuit has this zone number.
    Zone(usize),
    /// Circuits that share a core are on one module.
    Commons(String),
    /// A module of the job keeps its mode.
    Mode(usize),
    /// An enclosure has only so many positions.
    Positions(usize),
    /// Free inputs are wanted in an enclosure.
    Spare(usize),
    /// Free inputs are wanted in the whole job.
    SpareOfJob,
    /// The panel has only so many zones.
    PanelZones,
    /// The panel has room for only so many modules.
    PanelModules,
    /// Only so many modules of an offer can be had.
    Most(usize),
}
