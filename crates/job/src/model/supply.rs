//! Cables, supplies with their runs and loads, outputs, and a local word on standby.

use document::Located;
use quantity::{Amperes, Celsius, Gauge, Hours, Interval, Metres, Minutes, Ohms, Volts, Watts};

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
