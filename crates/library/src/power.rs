//! What manuals and rules say of supplies: outputs, mains input, smoke circuits' sources, standby rules.

use quantity::{Amperes, Hours, Interval, Minutes, Ohms, Ratio, Seconds, Volts};

/// Direct or alternating.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Current {
    /// Alternating: polarity does not matter.
    Alternating,
    /// Direct.
    Direct,
}

impl Current {
    /// The word in profiles.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Alternating => "ac",
            Self::Direct => "dc",
        }
    }
}

/// What a supply wants from its transformer or adapter.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct MainsInput {
    /// AC or DC.
    pub current: Current,
    /// Its volts, where the manual says so.
    pub volts: Option<Interval<Volts>>,
    /// What the manual asks the transformer to have, in VA (W for DC).
    pub volt_amperes: Option<f64>,
}

/// One output of a supply, written `P1.aux` in a job.
#[derive(Clone, PartialEq, Debug)]
pub struct SupplyOutput {
    /// What stands behind the point in a job.
    pub id: String,
    /// The most that it may give.
    pub limit: Amperes,
    /// What it loses between the supply's terminals and its own (a fuse, a transistor); default 0.
    pub ohms: Ohms,
    /// Whether a reset breaks it for a moment (four-wire smoke detectors want that).
    pub switched: bool,
    /// What it gives a sounder.
    pub gives: Signal,
}

/// What makes a sounder sound.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Signal {
    /// Steady volts: the sounder holds its own driver. The default.
    Steady,
    /// An alternating tone for a bare speaker.
    Driver,
}

impl Signal {
    /// The word in profiles.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Steady => "steady",
            Self::Driver => "driver",
        }
    }
}

/// The source of a two-wire smoke circuit: volts behind a resistance, then a current limit. What it draws tells
/// the module open, rest, alarm and short apart.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SmokeSource {
    /// Open-circuit volts, from the least supply to the most.
    pub volts: Interval<Volts>,
    /// In line with them; default 0.
    pub series: Interval<Ohms>,
    /// The most that it gives, whatever hangs on it.
    pub limit: Interval<Amperes>,
    /// All detectors at rest together, at most.
    pub standby: Amperes,
    /// Less than this is an open circuit.
    pub open_below: Amperes,
    /// More than this is an alarm.
    pub alarm_above: Amperes,
    /// More than this is a short; none: a short looks like an alarm.
    pub short_above: Option<Amperes>,
    /// How many detectors the listing names, at most.
    pub most_heads: Option<u32>,
    /// What is left on the circuit while it resets.
    pub reset_volts: Option<Volts>,
    /// For how long.
    pub reset: Option<Seconds>,
}

/// Which alarm a rule is about: the loads that sound in it draw their alarm current.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum System {
    /// Fire.
    Fire,
    /// Intrusion and hold-up.
    Intrusion,
}

impl System {
    /// The word in rule sets.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Fire => "fire",
            Self::Intrusion => "intrusion",
        }
    }
}

/// One standby rule of a rule set (`[[standby]]` in `rules/*.toml`).
///
/// Ampere-hours asked for: `(I_s T_s + D w I_a T_a)` times every factor that holds, with `w` the weight of the
/// alarm and `D` one, or `high_rate` where the alarm current is above a twentieth of the capacity. Where the
/// alarm lies inside the hours, `T_s` is the hours less `T_a`.
#[derive(Clone, PartialEq, Debug)]
pub struct Requirement {
    /// Its id inside the rule set.
    pub id: String,
    /// The edition that it stands in.
    pub edition: String,
    /// Whether it holds where the job does not say which one does.
    pub usual: bool,
    /// Which alarm it is about.
    pub system: System,
    /// Hours without mains.
    pub hours: Hours,
    /// Minutes of alarm.
    pub alarm: Minutes,
    /// Whether these lie inside the hours; behind them otherwise.
    pub alarm_inside: bool,
    /// Margins.
    pub factors: Vec<Factor>,
    /// What an ampere-hour in alarm counts, for its rate; 1 where the rule says nothing.
    pub alarm_weight: f64,
    /// What it counts where the alarm current is above a twentieth of the capacity.
    pub high_rate: Option<f64>,
    /// How fast the battery must be full again.
    pub recharge: Vec<Recharge>,
    /// The volts for each 12 V down to which equipment must work, where the rule says so.
    pub end_volts: Option<Volts>,
    /// Whether fire and intrusion on one supply is something to ask about.
    pub ask_combined: bool,
    /// The clause.
    pub clause: String,
    /// Where that was read, or `from memory`.
    pub source: String,
}

impl Requirement {
    /// Whether some of it is from memory and must be looked up before use.
    #[must_use]
    pub fn remembered(&self) -> bool {
        self.source.contains("from memory")
    }
}

/// One margin.
#[derive(Clone, PartialEq, Debug)]
pub struct Factor {
    /// What it is for: `ageing`.
    pub name: String,
    /// What it multiplies by.
    pub times: f64,
    /// It holds for standby hours up to this only; none: always.
    pub up_to: Option<Hours>,
}

/// To which share within how long.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Recharge {
    /// Of the rated capacity.
    pub share: Ratio,
    /// From the moment that mains is back.
    pub within: Hours,
}
