//! The serialisable twin of a two-wire smoke circuit under power.

use schemars::JsonSchema;
use serde::Serialize;
use supply::{Head, SmokeLoop};

use super::VoltsJson;

/// A two-wire smoke circuit under power; ampere, volt, ohm.
#[derive(Serialize, JsonSchema, Debug)]
pub struct SmokeJson {
    /// At rest.
    rest_a: VoltsJson,
    /// With the pair open somewhere.
    open_a: VoltsJson,
    /// With any one detector in alarm.
    alarm_a: VoltsJson,
    /// With the pair shorted.
    short_a: VoltsJson,
    /// All detectors at rest, at most.
    standby_a: f64,
    /// After a reset, at most.
    start_a: f64,
    /// To the farthest detector, out and back.
    line_ohms: VoltsJson,
    /// Whether the end resistor stands behind the last detector; null without one.
    end_is_last: Option<bool>,
    /// How many detectors the standby current allows.
    most_by_current: u32,
    /// The least of that and of the listing's number; 0 until a listing is recorded.
    most: u32,
    /// Whether the reset is deep and long enough; null where a manual is silent.
    resets: Option<bool>,
    heads: Vec<HeadJson>,
}

/// One detector.
#[derive(Serialize, JsonSchema, Debug)]
pub struct HeadJson {
    name: String,
    /// At rest.
    standby_v: VoltsJson,
    /// Through itself, when it alone is in alarm.
    alarm_a: VoltsJson,
    /// Through the circuit then.
    circuit_a: VoltsJson,
    /// The least volts at the others then.
    others_v: Option<f64>,
    /// Whether somebody has recorded the listing.
    listed: bool,
}

impl SmokeJson {
    /// The twin.
    #[must_use]
    pub fn new(circuit: &SmokeLoop) -> Self {
        Self {
            rest_a: VoltsJson::of(Some(circuit.rest_a)),
            open_a: VoltsJson::of(Some(circuit.open_a)),
            alarm_a: VoltsJson::of(Some(circuit.alarm_a)),
            short_a: VoltsJson::of(Some(circuit.short_a)),
            standby_a: circuit.standby_a,
            start_a: circuit.start_a,
            line_ohms: VoltsJson::of(Some((circuit.line.lo().0, circuit.line.hi().0))),
            end_is_last: circuit.end_is_last,
            most_by_current: circuit.most_by_current,
            most: circuit.most,
            resets: circuit.resets,
            heads: circuit.heads.iter().map(head).collect(),
        }
    }
}

fn head(head: &Head) -> HeadJson {
    HeadJson {
        name: head.name.clone(),
        standby_v: VoltsJson::of(Some(head.standby_v)),
        alarm_a: VoltsJson::of(Some(head.alarm_a)),
        circuit_a: VoltsJson::of(Some(head.circuit_a)),
        others_v: head.others_v,
        listed: head.listed,
    }
}
