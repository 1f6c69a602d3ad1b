//! Circuits, and what was read of them.

use std::collections::BTreeMap;

use document::Located;
use network::{Meaning, Network};
use quantity::{Amperes, Gauge, Ohms, Volts};

use crate::station::Programmed;

/// What a circuit is there for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Duty {
    /// Doors, windows, motion.
    Intrusion,
    /// Hold-up buttons.
    HoldUp,
    /// Smoke detectors.
    Smoke,
    /// Heat detectors.
    Heat,
    /// Call points (pull stations).
    ManualCall,
    /// Sprinkler flow.
    Waterflow,
    /// Sprinkler valve position.
    Valve,
    /// Covers and enclosures.
    Tamper,
    /// Floods, freezers, boilers.
    Technical,
    /// Sounders.
    Sounder,
}

impl Duty {
    /// Every duty, in the order of the format.
    pub const ALL: [Self; 10] = [
        Self::Intrusion,
        Self::HoldUp,
        Self::Smoke,
        Self::Heat,
        Self::ManualCall,
        Self::Waterflow,
        Self::Valve,
        Self::Tamper,
        Self::Technical,
        Self::Sounder,
    ];

    /// The word in the job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Intrusion => "intrusion",
            Self::HoldUp => "hold-up",
            Self::Smoke => "smoke",
            Self::Heat => "heat",
            Self::ManualCall => "manual-call",
            Self::Waterflow => "waterflow",
            Self::Valve => "valve",
            Self::Tamper => "tamper",
            Self::Technical => "technical",
            Self::Sounder => "sounder",
        }
    }

    /// Whether the circuit belongs to a fire alarm: smoke, heat, call points, sprinkler flow and valve.
    #[must_use]
    pub fn is_fire(self) -> bool {
        matches!(self, Self::Smoke | Self::Heat | Self::ManualCall | Self::Waterflow | Self::Valve)
    }
}

/// Where the end-of-line resistor was seen.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ResistorPlace {
    /// In the old panel.
    Panel,
    /// In a splice on the way.
    Splice,
    /// In a device.
    Device,
    /// At the end of the line.
    End,
    /// Nobody has seen it.
    Unknown,
}

/// The class of wiring that a circuit was built as.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum WiringClass {
    /// Out and back to the panel: the panel watches both ends.
    A,
    /// Out to an end-of-line device. The default.
    B,
}

/// `[[circuit]]`: one pair that ends on one input, with all that hangs on it.
#[derive(Clone, Debug)]
pub struct Circuit {
    /// The tag tied on the cable at the survey.
    pub tag: Located<String>,
    /// Where it goes; empty when not given.
    pub place: String,
    /// What it is there for.
    pub duty: Option<Duty>,
    /// What the old panel called it; empty when not given.
    pub was: String,
    /// The number that it must have.
    pub zone: Option<u32>,
    /// Where that stands in the text.
    pub zone_at: Option<std::ops::Range<usize>>,
    /// The enclosure in which its cable ends.
    pub ends_in: Option<Located<String>>,
    /// Its conductor, where the file gives one (else `assume.cable`).
    pub gauge: Option<Gauge>,
    /// What hangs on it, once known.
    pub network: Option<Network>,
    /// Whether `network` is not in the file but was inferred from readings.
    pub inferred: bool,
    /// A sentence in place of a network that has no series-parallel form.
    pub other: Option<String>,
    /// Where the resistor was seen.
    pub resistor_at: Option<ResistorPlace>,
    /// How it was wired.
    pub class: Option<WiringClass>,
    /// Readings as found.
    pub found: Vec<Reading>,
    /// The input that it is on.
    pub input: Option<Located<InputRef>>,
    /// Further inputs of the same module that are kept for its home runs until these are parted.
    pub also: Vec<Located<InputRef>>,
    /// Its own mode, on a module whose mode is per input.
    pub mode: Option<Located<String>>,
    /// What bands mean to this circuit, by band name.
    pub means: BTreeMap<String, Meaning>,
    /// The band names of `means` where they stand in the text.
    pub bands_named: Vec<Located<String>>,
    /// Its name, area, response and report code in the control equipment.
    pub programmed: Programmed,
}

/// `M1.7`: input 7 of module `M1`.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct InputRef {
    /// The module's id.
    pub module: String,
    /// The input's number, from 1.
    pub number: u16,
}

/// One reading: under what condition, and what the instrument showed.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The condition.
    pub when: When,
    /// Whether powered detectors had their supply.
    pub fed: bool,
    /// What was shown on each range that was used; at least one is given.
    pub shown: Vec<Shown>,
    /// The line of the job file, from 1.
    pub line: usize,
}

/// The condition of a reading (`docs/format.md`, section 1).
#[derive(Clone, PartialEq, Debug)]
pub enum When {
    /// Nothing tripped.
    Rest,
    /// Whatever hangs on it, not known yet what.
    Tripped,
    /// This device tripped.
    Device(String),
    /// Leads swapped.
    Reversed,
    /// The pair joined at the far device.
    Joined,
    /// The pair opened at the far device.
    Opened,
    /// Either leg to earth.
    Earth,
    /// First leg to earth.
    EarthA,
    /// Second leg to earth.
    EarthB,
    /// To another core.
    Core(String),
    /// After a time.
    After(quantity::Seconds),
    /// Volts at the old equipment's terminals while it works.
    Live,
}

/// What the instrument showed.
#[derive(Clone, PartialEq, Debug)]
pub enum Shown {
    /// Ohms.
    Ohms(Display<Ohms>),
    /// Volts, direct.
    VoltsDc(Display<Volts>),
    /// Volts, alternating.
    VoltsAc(Display<Volts>),
    /// Amperes.
    Amps(Display<Amperes>),
}

/// A display: a value with its last digit, over range, or restless.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Display<Q> {
    /// A value as shown, and what one step of its last digit is worth (`2.21k`: 10 ohm).
    Value {
        /// The value.
        value: Q,
        /// One step of the last digit as typed.
        digit: Q,
    },
    /// `open`: over range.
    Open,
    /// `unstable`
    Unstable,
}
