//! The job as plain data: one struct per table of the job file, in the file's own words.
//!
//! What the file leaves out stands here as the default of `docs/format.md`, section 1, and is listed in
//! [`Job::defaults`]; what has no default is an `Option`.

mod circuit;
mod equipment;
mod supply;

use document::Located;
use quantity::{Celsius, Gauge, Interval, MeterError, Ohms, Ratio};

use crate::allocating::{AllocateTerms, Extension};
use crate::office::{QuotationWords, Rates, VanStock};
use crate::station::{Area, HistoryMap, Station, User};
pub use circuit::*;
pub use equipment::*;
pub use supply::*;

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
