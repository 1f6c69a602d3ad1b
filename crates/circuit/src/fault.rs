//! Faults: what can go wrong at every place, what the input then shows, and what it hides.
//!
//! A fault keeps the circuit in series-parallel form, so the reading is a rising function of the fault's size
//! and its silent and its dangerous sizes come from inverting it (method 2), never from trying sizes.

use network::{Bounds, Meaning};

use crate::place::{Leg, Place};

/// The kinds of fault of `docs/format.md`, section 3.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum FaultKind {
    /// A conductor is open.
    Open,
    /// The pair is shorted.
    Short,
    /// Leakage across the pair, 1 kohm to 1 Mohm.
    Leak,
    /// A bad joint in line, 1 ohm to 100 kohm.
    Joint,
    /// A core touches one of another circuit.
    Cross,
    /// A leg touches earth, 0 to 50 kohm; or both legs do.
    Earth,
    /// A resistor is open.
    ResistorOpen,
    /// A resistor is shorted.
    ResistorShort,
    /// A resistor has another value of the trade's catalogue.
    ResistorValue,
    /// A contact no longer moves from rest.
    StuckAtRest,
    /// A contact no longer returns to rest.
    StuckActive,
    /// A contact is bridged at its own terminals.
    Bridged,
    /// A tapped device's own lead is off.
    LeadOff,
    /// A detector's head is taken out.
    HeadRemoved,
    /// A polarised circuit is connected the wrong way round.
    Polarity,
    /// A supply point has lost its supply.
    SupplyLost,
}

impl FaultKind {
    /// The word in JSON and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Short => "short",
            Self::Leak => "leak",
            Self::Joint => "joint",
            Self::Cross => "cross",
            Self::Earth => "earth",
            Self::ResistorOpen => "resistor-open",
            Self::ResistorShort => "resistor-short",
            Self::ResistorValue => "resistor-value",
            Self::StuckAtRest => "stuck-at-rest",
            Self::StuckActive => "stuck-active",
            Self::Bridged => "bridged",
            Self::LeadOff => "lead-off",
            Self::HeadRemoved => "head-removed",
            Self::Polarity => "polarity",
            Self::SupplyLost => "supply-lost",
        }
    }

    /// Whether the fault is one that a resistor at the end is there to show: a cut, a short, a part that is
    /// missing or wrong. Damp, bad joints, earth and touching cores hide behind any resistor at some size or
    /// against some neighbour; a polarised circuit is proven by a true alarm.
    #[must_use]
    pub fn is_hard(self) -> bool {
        !matches!(self, Self::Leak | Self::Joint | Self::Earth | Self::Cross | Self::Polarity)
    }
}

/// What a fault does to people's protection.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Class {
    /// At rest the input surely does not read normal.
    Announced,
    /// It may read normal, and every alarm still gets through.
    SilentSafe,
    /// It may read normal, and some device can no longer raise its alarm.
    SilentDangerous,
    /// Only working the device shows it.
    TestOnly,
}

impl Class {
    /// The word in JSON and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Announced => "announced",
            Self::SilentSafe => "silent_safe",
            Self::SilentDangerous => "silent_dangerous",
            Self::TestOnly => "test_only",
        }
    }
}

/// What can raise an alarm.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Raiser {
    /// A contact, as a place in the network's list.
    Contact(usize),
    /// A polarised device on the pair, as a place among the elements: a two-wire smoke detector, taken as a
    /// contact that closes, or a sounder, whose sound is what can be lost.
    Smoke(usize),
}

/// One fault and what comes of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Fault {
    /// What goes wrong.
    pub kind: FaultKind,
    /// Where.
    pub place: Place,
    /// On which leg, where that matters.
    pub leg: Option<Leg>,
    /// The supply point that is lost, where the job names it.
    pub point: Option<String>,
    /// What the terminals show at rest, over the sizes of the class, in ohms.
    pub ohms: Bounds,
    /// The sizes that make the class, in ohms; none for a fault without a size.
    pub sizes: Option<Bounds>,
    /// The band that `ohms` surely is.
    pub band: Option<usize>,
    /// What the input reports, for an announced fault that is surely one thing.
    pub announced_as: Option<Meaning>,
    /// What comes of it.
    pub class: Class,
    /// Whose alarm is lost, for a silent and dangerous one.
    pub endangers: Option<Raiser>,
    /// Whether the input may then read normal; otherwise the alarm arrives as something else.
    pub reads_normal: bool,
}

/// How many faults of each class.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Coverage {
    /// Shown at rest.
    pub announced: usize,
    /// Not shown, alarms get through.
    pub silent_safe: usize,
    /// Not shown, an alarm is lost.
    pub silent_dangerous: usize,
    /// Found by working the device.
    pub test_only: usize,
}

impl Coverage {
    /// Counts faults.
    #[must_use]
    pub fn of(faults: &[Fault]) -> Self {
        let mut coverage = Self::default();
        for fault in faults {
            match fault.class {
                Class::Announced => coverage.announced += 1,
                Class::SilentSafe => coverage.silent_safe += 1,
                Class::SilentDangerous => coverage.silent_dangerous += 1,
                Class::TestOnly => coverage.test_only += 1,
            }
        }
        coverage
    }

    /// All of them.
    #[must_use]
    pub fn total(self) -> usize {
        self.announced + self.silent_safe + self.silent_dangerous + self.test_only
    }
}
