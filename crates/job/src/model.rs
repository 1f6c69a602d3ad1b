//! The job as plain data: one struct per table of the job file, in the file's own words.
//!
//! What the file leaves out stands here as the default of `docs/format.md`, section 1, and is listed in
//! [`Job::defaults`]; what has no default is an `Option`.

use std::collections::BTreeMap;

use document::Located;
use network::{Meaning, Network};
use quantity::{
    Amperes, Celsius, Gauge, Hours, Interval, MeterError, Metres, Minutes, Ohms, Ratio, Volts, Watts,
};

use crate::allocating::{AllocateTerms, Extension};
use crate::office::{QuotationWords, Rates, VanStock};
use crate::station::{Area, HistoryMap, Programmed, Station, User};

/// One job: the site and everything that the survey found in it.
#[derive(Clone, Debug)]
pub struct Job {
    /// `[site]`
    pub site: Site,
    /// `[fire]`
    pub fire: Fire,
    /// `[standing]`
    pub standing: Standing,
    /// `[meter]`
    pub meter: MeterError,
    /// `name` of `[meter]`: what the instrument is called in evidence; empty when not given.
    pub meter_name: String,
    /// `[assume]`
    pub assume: Assume,
    /// `[panel]`
    pub panel: Option<Panel>,
    /// `[[enclosure]]`
    pub enclosures: Vec<Enclosure>,
    /// `[[module]]`
    pub modules: Vec<Module>,
    /// `[[device]]`
    pub devices: Vec<Device>,
    /// `[[circuit]]`, in the order of the file
    pub circuits: Vec<Circuit>,
    /// `[[cable]]`
    pub cables: Vec<Cable>,
    /// `[[supply]]`
    pub supplies: Vec<Supply>,
    /// `[[standby]]`
    pub standby: Vec<StandbyWord>,
    /// `[[output]]`
    pub outputs: Vec<Output>,
    /// `[station]`
    pub station: Option<Station>,
    /// `[[area]]`
    pub areas: Vec<Area>,
    /// `[[user]]`
    pub users: Vec<User>,
    /// `[history]`
    pub history: Option<HistoryMap>,
    /// `[rates]`
    pub rates: Option<Rates>,
    /// `[[van]]`
    pub van: Vec<VanStock>,
    /// `[quotation]`
    pub quotation: Option<QuotationWords>,
    /// `[allocate]`; its defaults where the file has none.
    pub allocate: AllocateTerms,
    /// `[[extension]]`
    pub extensions: Vec<Extension>,
    /// `[cutover]`
    pub cutover: crate::cutover::Cutover,
    /// Every default that was used because the file is silent, in the order of the format.
    pub defaults: Vec<DefaultUsed>,
}

/// A value that the file does not give and that was taken from the format instead.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DefaultUsed {
    /// Where it would stand, as `assume.contact_closed_max`.
    pub key: String,
    /// The value, as a person would have written it: `1 ohm`.
    pub value: String,
}

/// `[site]`: the building and the rules of the place.
#[derive(Clone, Debug)]
pub struct Site {
    /// What people call it; empty when not given.
    pub name: String,
    /// Ids of rule sets.
    pub rules: Vec<Located<String>>,
    /// Coldest and hottest that the cables get; default 0 to 40 C.
    pub cable_temperature: Interval<Celsius>,
    /// How lengths and gauges are shown.
    pub units: Units,
}

/// How lengths and gauges are shown; one switch a job.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Units {
    /// Feet and AWG.
    Us,
    /// Metres and mm2. The default.
    Metric,
}

/// A question that people have answered or not.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Answer {
    /// Yes.
    Yes,
    /// No.
    No,
    /// Nobody has said. The default.
    Unknown,
}

/// What the control equipment is listed for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ControlListing {
    /// Commercial fire alarm control.
    CommercialFire,
    /// Household fire alarm control.
    HouseholdFire,
    /// Not for fire.
    None,
    /// Nobody has looked. The default.
    Unknown,
}

/// `[fire]`: who may do this, and on what.
#[derive(Clone, Debug)]
pub struct Fire {
    /// Whether the building's fire alarm is a required one.
    pub required: Answer,
    /// What the new control equipment is listed for.
    pub control_listed_for: ControlListing,
    /// Who decided, on what paper, when; empty when nobody did. Clears the stop, nothing else does.
    pub decision: String,
}

/// `[standing]`: the gate before the first circuit is lifted; each a sentence, `not needed`, or empty.
#[derive(Clone, Debug, Default)]
pub struct Standing {
    /// The authority's word, in writing.
    pub authority_in_writing: String,
    /// The monitoring station has the account on test.
    pub station_on_test: String,
    /// The fire authority knows.
    pub fire_authority_told: String,
    /// The building's asbestos register was looked at.
    pub asbestos_register_seen: String,
    /// Keys, lifts, ladders, escorts.
    pub access: String,
}

/// `[assume]`: what is taken for granted where nothing was measured.
#[derive(Clone, Debug)]
pub struct Assume {
    /// A closed contact has 0 to this; default 1 ohm.
    pub contact_closed_max: Ohms,
    /// An open contact has this to no limit; default 1 Mohm.
    pub contact_open_min: Ohms,
    /// Resistors without a tolerance of their own; default 5 %.
    pub resistor_tolerance: Ratio,
    /// Conductor where a circuit gives none; default 22 AWG.
    pub cable: Gauge,
    /// Lengths are this uncertain; default 0 %.
    pub length_tolerance: Ratio,
    /// A named splice has 0 to this; default 0.5 ohm.
    pub joint_max: Ohms,
    /// An unpowered two-wire smoke detector has this to no limit; default 100 kohm.
    pub smoke_dry_min: Ohms,
}

/// `[panel]`: what the modules report to.
#[derive(Clone, Debug)]
pub struct Panel {
    /// Its profile.
    pub profile: Option<Located<String>>,
    /// What feeds the way out (router, modem, switch) without mains; empty when nobody has said.
    pub path_out: String,
    /// What feeds the control equipment itself, where it is no load of a supply here; empty when nobody has said.
    pub power: String,
}

/// `[[enclosure]]`
#[derive(Clone, Debug)]
pub struct Enclosure {
    /// Its id.
    pub id: Located<String>,
    /// Where it hangs; empty when not given.
    pub place: String,
    /// Its profile.
    pub profile: Option<Located<String>>,
    /// The enclosure that it hangs beside: cables that end there reach it, and for the allocation the two are one.
    pub beside: Option<Located<String>>,
    /// Free inputs wanted in it when all is landed; default 0.
    pub spare: u32,
    /// Where that stands in the text.
    pub spare_at: Option<std::ops::Range<usize>>,
}

/// How a module reports.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Link {
    /// By radio.
    Radio,
    /// On a data bus.
    Bus,
    /// It is part of the control equipment.
    Direct,
}

/// `[[module]]`: one piece of new equipment that reads circuits.
#[derive(Clone, Debug)]
pub struct Module {
    /// Its id; an input is `id.number`.
    pub id: Located<String>,
    /// The enclosure that it is in.
    pub enclosure: Option<Located<String>>,
    /// Its profile.
    pub profile: Option<Located<String>>,
    /// The mode it is set to; left out, the engine tries all.
    pub mode: Option<Located<String>>,
    /// How it reports.
    pub link: Option<Link>,
    /// The supply point that feeds it; left out, the first supply in its enclosure.
    pub fed_by: Option<Located<String>>,
    /// What is on its tamper input.
    pub tamper: Option<TamperInput>,
}

/// What is on a module's tamper input.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TamperInput {
    /// The switch of the enclosure's cover.
    Wired,
    /// A link at its terminals.
    Bridged,
}

impl TamperInput {
    /// The word in the job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Wired => "wired",
            Self::Bridged => "bridged",
        }
    }
}

/// How a device is connected to the pair.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Connection {
    /// Both sides land on it: a loose screw opens the circuit.
    InOut,
    /// It can come off unseen.
    Tapped,
}

/// `[[device]]`: a detector or switch, named in a network.
#[derive(Clone, Debug)]
pub struct Device {
    /// Its name, or `C01/door` where the name stands in several circuits.
    pub id: Located<String>,
    /// Its profile.
    pub profile: Option<Located<String>>,
    /// Where it is; empty when not given.
    pub place: String,
    /// What it takes to reach it; empty when not given.
    pub access: String,
    /// Time to reach and work on it.
    pub minutes: Option<Minutes>,
    /// Year of make.
    pub made: Option<i32>,
    /// Supply point of a powered device.
    pub fed_by: Option<Located<String>>,
    /// How it is connected.
    pub connection: Option<Connection>,
    /// The listing that names device and module together, as seen by somebody; empty when nobody did.
    pub listing: String,
}

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

/// `[[cable]]`: which core is what.
#[derive(Clone, Debug)]
pub struct Cable {
    /// Its id.
    pub id: Located<String>,
    /// The enclosure in which it ends.
    pub ends_in: Option<Located<String>>,
    /// Its cores.
    pub cores: Vec<Core>,
}

/// One core of a cable.
#[derive(Clone, Debug)]
pub struct Core {
    /// Colour of its insulation; empty when not given.
    pub colour: String,
    /// The old terminal; empty when not given.
    pub was: String,
    /// What it serves; more than one is a shared core.
    pub to: Vec<Located<CoreEnd>>,
    /// Its conductor's resistance up to where the circuits part, where it was measured or computed.
    pub ohms: Option<Interval<Ohms>>,
}

/// What a core serves.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum CoreEnd {
    /// One leg of a circuit: `C07.a` (live) or `C07.b` (return).
    Circuit {
        /// The circuit's tag.
        tag: String,
        /// Whether it is the return leg (`.b`).
        returns: bool,
    },
    /// A supply point's 0 V or positive, as `J1.0v` or `J1.plus`.
    Supply {
        /// The supply point.
        point: String,
        /// Whether it is the 0 V.
        zero_volts: bool,
    },
    /// A spare core.
    Spare,
}

/// Battery leads and fuse where nobody has measured them: a metre of 18 AWG out and back and a blade fuse (from
/// memory).
pub const DEFAULT_LEADS: Ohms = Ohms(0.05);

/// `[[supply]]`: a power supply with its battery, its runs and its loads.
#[derive(Clone, Debug)]
pub struct Supply {
    /// Its id.
    pub id: Located<String>,
    /// The enclosure that it is in.
    pub enclosure: Option<Located<String>>,
    /// Its profile.
    pub profile: Option<Located<String>>,
    /// Its battery's profile: one block.
    pub battery: Option<Located<String>>,
    /// Strings in parallel; default 1.
    pub strings: u32,
    /// Blocks in series in a string; left out, as many as the supply's volts want.
    pub in_series: Option<u32>,
    /// Coldest and hottest that its battery gets; left out, those of the cables.
    pub temperature: Option<Interval<Celsius>>,
    /// Rating of the battery's fuse.
    pub fuse: Option<Amperes>,
    /// Battery leads and fuse, out and back; left out, [`DEFAULT_LEADS`].
    pub leads: Option<Ohms>,
    /// Its transformer's or adapter's profile.
    pub transformer: Option<Located<String>>,
    /// The cable from there.
    pub transformer_cable: Option<RunConductor>,
    /// What the outlet is: circuit, breaker, not switched; empty when not given.
    pub outlet: String,
    /// Which of the site's rule sets count here; left out, all of them.
    pub rules: Option<Vec<Located<String>>>,
    /// Lengths of supply cable.
    pub runs: Vec<Run>,
    /// What draws current.
    pub loads: Vec<Load>,
}

/// A length of supply cable.
#[derive(Clone, Debug)]
pub struct Run {
    /// The point nearer to the supply.
    pub from: Located<String>,
    /// The point farther from it.
    pub to: Located<String>,
    /// What it is made of.
    pub conductor: RunConductor,
    /// Cores in parallel on each leg; default 1, 2 is a doubled core.
    pub cores: u32,
    /// Splices on the way, each 0 to `assume.joint_max`; default 0.
    pub joints: u32,
}

/// What a run is made of.
#[derive(Clone, Debug)]
pub enum RunConductor {
    /// A pair of a length and a gauge (`25 m of 18 AWG`).
    Cable {
        /// One way.
        length: Interval<Metres>,
        /// Of each core.
        gauge: Gauge,
    },
    /// Measured out and back; no temperature is applied.
    Measured(Interval<Ohms>),
}

/// What a load draws.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Draw {
    /// A constant current.
    Current(Amperes),
    /// A constant power.
    Power(Watts),
    /// A resistance.
    Resistance(Ohms),
}

/// An entry of `loads`.
#[derive(Clone, Debug)]
pub struct Load {
    /// The supply point.
    pub at: Located<String>,
    /// A profile, or none when typed in.
    pub device: Option<Located<String>>,
    /// A name; empty when not given.
    pub name: String,
    /// How many; default 1.
    pub count: u32,
    /// What it draws in standby, where typed in.
    pub standby: Option<Draw>,
    /// What it draws in alarm, where typed in.
    pub alarm: Option<Draw>,
    /// The least volts it needs, where typed in.
    pub minimum: Option<Volts>,
    /// In which alarms it draws its alarm current; empty: in every one.
    pub alarm_in: Vec<String>,
    /// Whether it is dropped when the mains is gone.
    pub shed: bool,
}

/// `[[output]]`: what a relay or a sounder circuit drives.
#[derive(Clone, Debug)]
pub struct Output {
    /// Its id, as `M1.S1` or `P1.bell`.
    pub id: Located<String>,
    /// What it drives; empty when not given.
    pub drives: String,
    /// What its contact may switch.
    pub contact: Option<Amperes>,
    /// The supply that feeds it.
    pub fed_from: Option<Located<String>>,
    /// Whether it gives a sounder a driver's tone (`gives = "driver"`); steady volts otherwise.
    pub driver: bool,
}

/// `[[standby]]`: a local word on a rule set's standby, with its reason.
#[derive(Clone, Debug)]
pub struct StandbyWord {
    /// The rule set that it is about.
    pub rules: Located<String>,
    /// The supplies that it is about; empty: all.
    pub supplies: Vec<Located<String>>,
    /// Which of its standby rules hold, by id; empty: those that usually do.
    pub take: Vec<Located<String>>,
    /// In place of the rule's hours.
    pub hours: Option<Hours>,
    /// In place of its minutes of alarm.
    pub alarm: Option<Minutes>,
    /// In place of all its margins.
    pub factor: Option<f64>,
    /// Who said so, on what paper, when; required.
    pub reason: String,
}
