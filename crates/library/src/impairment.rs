//! How long a fire alarm may be out of service, and what is asked for then.

use quantity::Hours;

/// One rule on impairments (`[[impairment]]` in `rules/*.toml`), counted within any 24 h.
#[derive(Clone, PartialEq, Debug)]
pub struct Impairment {
    /// How long it may be out before the rule asks for something; none: at once, with no hours named.
    pub after: Option<Hours>,
    /// What it then asks for.
    pub asks: Vec<Asked>,
    /// The same in a sentence.
    pub words: String,
    /// The clause.
    pub clause: String,
    /// Where that was read, or `from memory`.
    pub source: String,
}

/// What is asked for while a fire alarm is out of service.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Asked {
    /// The authority is told.
    Notify,
    /// The building is evacuated.
    Evacuate,
    /// Or an approved fire watch is kept.
    FireWatch,
}

impl Asked {
    /// Every one, in the order of the format.
    pub const ALL: [Self; 3] = [Self::Notify, Self::Evacuate, Self::FireWatch];

    /// The word in rule sets.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Notify => "notify",
            Self::Evacuate => "evacuate",
            Self::FireWatch => "fire-watch",
        }
    }
}
