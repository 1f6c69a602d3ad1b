//! Profiles as plain data: what a manual says, in the words of `docs/format.md`, section 3.

use std::collections::BTreeMap;

use network::{Form, Meaning, Role};
use quantity::{AmpereHours, Amperes, Interval, Minutes, Ohms, Ratio, Seconds, Volts};

use crate::band::Mode;
use crate::power::{Current, MainsInput, Requirement, Signal, SupplyOutput};

/// Everything an office or a technician may replace: equipment and rule sets, by id.
#[derive(Clone, Debug, Default)]
pub struct Library {
    /// Profiles by id.
    pub profiles: BTreeMap<String, Profile>,
    /// Rule sets by id.
    pub rules: BTreeMap<String, RuleSet>,
    /// Habits by id; the one called `default` is used.
    pub habits: BTreeMap<String, crate::habits::Habits>,
    /// Labour tables by id; the one called `default` is used ([`Library::working_time`]).
    pub labour: BTreeMap<String, crate::labour::Labour>,
}

/// One profile: what the manual of one kind of equipment says.
#[derive(Clone, Debug)]
pub struct Profile {
    /// Its id, as job files name it.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// Where the numbers come from.
    pub basis: String,
    /// What it draws.
    pub draws: Draws,
    /// Price in the office's own currency; 0 when not given.
    pub price: f64,
    /// Minutes to fit one.
    pub minutes: Minutes,
    /// The manual's own steps, by phase.
    pub steps: BTreeMap<String, Vec<Step>>,
    /// What is particular to its kind.
    pub kind: Kind,
}

/// What a device draws; a constant current, or a constant power where the data sheet says watts.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Draws {
    /// In standby.
    pub standby: Draw,
    /// In alarm.
    pub alarm: Draw,
}

/// What a device takes from its supply.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Draw {
    /// A constant current.
    Current(Amperes),
    /// A constant power.
    Power(quantity::Watts),
    /// A resistance.
    Resistance(Ohms),
}

impl Default for Draw {
    fn default() -> Self {
        Self::Current(Amperes(0.0))
    }
}

/// One step of a manual.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// What to do.
    pub act: String,
    /// What must be seen.
    pub proof: String,
    /// What undoes it; empty when nothing needs to.
    pub undoes: String,
}

/// What is particular to a kind of equipment.
#[derive(Clone, Debug)]
pub enum Kind {
    /// Reads circuits.
    Module(ModuleProfile),
    /// Power supply.
    Supply(SupplyProfile),
    /// Battery.
    Battery(BatteryProfile),
    /// Transformer.
    Transformer(TransformerProfile),
    /// Detector, contact, call point.
    Detector(DetectorProfile),
    /// Sounder or strobe.
    Sounder(SounderProfile),
    /// Keypad.
    Keypad,
    /// What the modules report to.
    Panel(PanelProfile),
    /// Enclosure.
    Enclosure(EnclosureProfile),
    /// Relay.
    Relay,
}

/// Whether one mode holds for the whole module or for each input.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ModePer {
    /// One mode a module. The default.
    Module,
    /// Each input has its own.
    Input,
}

/// What earth is to a module's inputs.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Earth {
    /// No relation: one earth fault changes nothing. The default.
    Floating,
    /// The inputs' common is earthed.
    CommonEarthed,
    /// It has an earth-fault detector that sees less than this.
    DetectedBelow(Ohms),
}

/// A module's auxiliary output.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Aux {
    /// Its volts.
    pub volts: Interval<Volts>,
    /// The most it may give.
    pub limit: Amperes,
    /// Whether a reset breaks it for a moment (four-wire smoke detectors want that).
    pub switched: bool,
}

/// An input module.
#[derive(Clone, Debug)]
pub struct ModuleProfile {
    /// How many circuits it reads, 1 to 1000.
    pub inputs: u16,
    /// One mode for all inputs or one each.
    pub mode_per: ModePer,
    /// Its auxiliary output.
    pub aux: Option<Aux>,
    /// What earth is to its inputs.
    pub earth: Earth,
    /// Meanings that it can report.
    pub sends: Vec<Meaning>,
    /// Its modes, in the manual's order; at least one.
    pub modes: Vec<Mode>,
}

/// A power supply.
#[derive(Clone, Debug)]
pub struct SupplyProfile {
    /// Output volts on mains.
    pub volts: Interval<Volts>,
    /// The most it may give.
    pub limit: Amperes,
    /// Where it cuts the battery off; default 10.5 V per 12 V.
    pub cut_off: Volts,
    /// What its charger gives.
    pub charge: Option<Amperes>,
    /// Smallest and largest battery that its charger may charge.
    pub battery: Option<Interval<AmpereHours>>,
    /// Outputs with limits of their own; a job writes `P1.aux`.
    pub outputs: Vec<SupplyOutput>,
    /// What it wants from a transformer; none: it takes the mains itself, or nobody has typed it in.
    pub input: Option<MainsInput>,
}

/// A battery.
#[derive(Clone, Debug)]
pub struct BatteryProfile {
    /// Nominal volts.
    pub volts: Volts,
    /// Capacity at the 20 h rate.
    pub capacity: AmpereHours,
    /// Internal resistance when new and full; default 0.3 ohm*Ah / capacity.
    pub internal: Ohms,
}

/// A transformer.
#[derive(Clone, Debug)]
pub struct TransformerProfile {
    /// Secondary volts.
    pub volts: Option<Volts>,
    /// Apparent power in VA (W for DC).
    pub volt_amperes: Option<f64>,
    /// AC, the default, or DC.
    pub gives: Current,
    /// Which lead of a DC adapter is marked, and how; empty when not given.
    pub marked: String,
}

/// What a powered device's contact does when its supply is gone.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OnPowerLoss {
    /// The contact opens, whatever it was.
    Opens,
    /// The contact closes.
    Closes,
    /// The contact stays as at rest, and no longer moves.
    Stays,
}

/// One contact of a detector.
#[derive(Clone, PartialEq, Debug)]
pub struct ContactProfile {
    /// What it reports.
    pub role: Role,
    /// How it stands at rest.
    pub form: Form,
    /// Its resistance when closed (a motion relay carries its own series resistor); none: the job's.
    pub closed: Option<Interval<Ohms>>,
    /// The least resistance when open; none: the job's.
    pub open_min: Option<Ohms>,
    /// What it does when the supply is gone; none for a contact that needs no supply.
    pub on_power_loss: Option<OnPowerLoss>,
    /// The shortest time for which it moves (shock, glass).
    pub pulse: Option<Seconds>,
}

/// A two-wire smoke or heat detector that lives on the pair.
#[derive(Clone, PartialEq, Debug)]
pub struct TwoWire {
    /// Its working volts.
    pub volts: Interval<Volts>,
    /// What it draws in standby.
    pub standby: Interval<Amperes>,
    /// Its clamp in alarm.
    pub alarm_volts: Interval<Volts>,
    /// What it draws in alarm.
    pub alarm: Interval<Amperes>,
    /// Whether taking the head off opens the circuit.
    pub head_opens: Option<bool>,
    /// What it draws for a moment when its supply comes back; none: its standby current.
    pub start: Option<Amperes>,
    /// It resets surely below this.
    pub reset_volts: Option<Volts>,
    /// When held there for so long.
    pub reset: Option<Seconds>,
}

/// A detector, a contact or a call point.
#[derive(Clone, Debug)]
pub struct DetectorProfile {
    /// Its contacts; empty for a two-wire detector.
    pub contacts: Vec<ContactProfile>,
    /// Set for a two-wire detector.
    pub two_wire: Option<TwoWire>,
    /// The least volts it needs; none for an unpowered contact.
    pub minimum: Option<Volts>,
    /// How it is tested.
    pub test: String,
    /// What never to do to it.
    pub never: String,
}

/// A sounder.
#[derive(Clone, Debug)]
pub struct SounderProfile {
    /// Its contacts (a cover tamper); mostly none.
    pub contacts: Vec<ContactProfile>,
    /// The least volts it needs.
    pub minimum: Option<Volts>,
    /// Steady volts, the default, or a driver's tone (a bare speaker).
    pub wants: Signal,
    /// Whether a diode blocks it in reversed polarity, as a supervised sounder circuit has it at rest; none: not
    /// said.
    pub polarised: Option<bool>,
}

/// What the modules report to.
#[derive(Clone, Debug)]
pub struct PanelProfile {
    /// How many zones it has room for.
    pub zones: Option<u32>,
    /// How many modules.
    pub modules: Option<u32>,
    /// Letters of a zone's name.
    pub name_length: Option<u32>,
    /// Meanings that it passes on; a meaning that gets lost is a finding.
    pub takes: Vec<Meaning>,
}

/// An enclosure.
#[derive(Clone, Debug)]
pub struct EnclosureProfile {
    /// Module positions.
    pub positions: Option<u32>,
    /// Battery spaces.
    pub batteries: Option<u32>,
}

/// A rule set: standby hours and factors of one body of rules.
#[derive(Clone, Debug)]
pub struct RuleSet {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// Where each number stands: clause, edition, and 'from memory' where it is.
    pub clauses: Vec<Clause>,
    /// Hours, minutes and margins in numbers, in the order of the file; empty for a set of text alone.
    pub standby: Vec<Requirement>,
    /// How long a fire alarm may be out of service, in the order of the file.
    pub impairments: Vec<crate::impairment::Impairment>,
}

/// One clause of a rule set.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Clause {
    /// The clause with its edition.
    pub clause: String,
    /// What it asks, in words.
    pub asks: String,
    /// Where that was read, or `from memory`.
    pub source: String,
}

/// A tolerance as a share; `t` of the format's band rule.
pub type EdgeTolerance = Ratio;
