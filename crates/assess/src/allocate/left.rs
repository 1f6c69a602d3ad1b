//! Circuits that take no part: which, and why.

use network::{Network, Part};

/// A circuit that gets no input.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Left {
    /// Its place in the job's list.
    pub circuit: usize,
    /// Why.
    pub because: LeftBecause,
}

/// Why a circuit gets no input.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum LeftBecause {
    /// It ends on nothing and has no contact.
    Spare,
    /// What hangs on it is not known yet.
    NoNetwork,
    /// It has no series-parallel form.
    NotComputed,
    /// It is driven, not read.
    Sounder,
    /// It is on a module whose profile is not known, and stays there.
    ModuleUnknown,
    /// No module that is there or offered reads it right; why not.
    ReadsWrong(String),
    /// No module that is there or offered reads it right, and one that may not be bought does.
    Forbidden {
        /// All of it: why none, what would, what forbids it.
        why: String,
    },
}

impl LeftBecause {
    /// In words, after the circuit's tag.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::Spare => "is a spare pair",
            Self::NoNetwork => "is not known yet; what hangs on it has to be measured first",
            Self::NotComputed => "has no series-parallel form, so nothing can be said of any input",
            Self::Sounder => "is a sounder circuit: an output drives it, no input reads it",
            Self::ModuleUnknown => "stays on its module, of which nobody has said what it is",
            Self::ReadsWrong(why) | Self::Forbidden { why } => why,
        }
    }
}

/// Whether a pair ends on nothing and has no contact.
pub(crate) fn is_spare(network: &Network) -> bool {
    let parts = network.elements();
    network.contacts().is_empty()
        && parts.iter().all(|element| element.is_cable() || matches!(element.part, Part::Open | Part::Joined))
}
