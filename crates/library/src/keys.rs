//! The keys of profiles and rule sets, one list a table. The schema in `schema/` holds the same lists; a
//! test compares them.

use document::Key;

/// The keys that every profile may have, and those of its kind.
macro_rules! profile_keys {
    ($($key:literal),*) => {
        &["id", "kind", "title", "basis", "draws", "price", "minutes", "steps", $($key),*]
    };
}

pub(crate) const MODULE: &[Key] = profile_keys!["inputs", "mode_per", "aux", "earth", "sends", "mode"];
pub(crate) const SUPPLY: &[Key] =
    profile_keys!["volts", "limit", "cut_off", "charge", "battery", "outputs", "input"];
pub(crate) const BATTERY: &[Key] = profile_keys!["volts", "capacity", "internal"];
pub(crate) const TRANSFORMER: &[Key] = profile_keys!["volts", "volt_amperes", "gives", "marked"];
pub(crate) const DETECTOR: &[Key] = profile_keys!["contact", "two_wire", "minimum", "test", "never"];
pub(crate) const SOUNDER: &[Key] = profile_keys!["contact", "minimum", "wants", "polarised"];
pub(crate) const KEYPAD: &[Key] = profile_keys![];
pub(crate) const PANEL: &[Key] = profile_keys!["zones", "modules", "name_length", "takes"];
pub(crate) const ENCLOSURE: &[Key] = profile_keys!["positions", "batteries"];
pub(crate) const RELAY: &[Key] = profile_keys![];
/// A profile whose kind is not known: anything that any kind may have.
pub(crate) const ANY_KIND: &[Key] = profile_keys![
    "inputs",
    "mode_per",
    "aux",
    "earth",
    "sends",
    "mode",
    "volts",
    "limit",
    "cut_off",
    "charge",
    "battery",
    "capacity",
    "internal",
    "volt_amperes",
    "contact",
    "two_wire",
    "minimum",
    "test",
    "never",
    "zones",
    "modules",
    "name_length",
    "takes",
    "positions",
    "batteries",
    "outputs",
    "input",
    "gives",
    "marked",
    "wants",
    "polarised"
];
pub(crate) const DRAWS: &[Key] = &["standby", "alarm"];
pub(crate) const AUX: &[Key] = &["volts", "limit", "switched"];
pub(crate) const STEP: &[Key] = &["do", "proof", "undoes"];
pub(crate) const MODE: &[Key] = &[
    "id",
    "eol",
    "accepts",
    "line_max",
    "response",
    "smoke_inputs",
    "edge_tolerance",
    "source",
    "pull_up",
    "learned",
    "smoke",
    "bands",
];
pub(crate) const BAND: &[Key] = &["name", "below", "means"];
pub(crate) const CONTACT: &[Key] = &["role", "form", "closed", "open_min", "on_power_loss", "pulse"];
pub(crate) const TWO_WIRE: &[Key] =
    &["volts", "standby", "alarm_volts", "alarm", "head_opens", "start", "reset_volts", "reset"];
pub(crate) const SMOKE_SOURCE: &[Key] = &[
    "volts",
    "series",
    "limit",
    "standby",
    "open_below",
    "alarm_above",
    "short_above",
    "most_heads",
    "reset_volts",
    "reset",
];
pub(crate) const SUPPLY_OUTPUT: &[Key] = &["id", "limit", "ohms", "switched", "gives"];
pub(crate) const MAINS_INPUT: &[Key] = &["current", "volts", "volt_amperes"];
pub(crate) const STANDBY: &[Key] = &[
    "id",
    "edition",
    "usual",
    "system",
    "hours",
    "alarm",
    "alarm_inside",
    "factors",
    "alarm_weight",
    "high_rate",
    "recharge",
    "end_volts",
    "ask_combined",
    "clause",
    "source",
];
pub(crate) const FACTOR: &[Key] = &["name", "times", "up_to"];
pub(crate) const RECHARGE: &[Key] = &["share", "within"];
pub(crate) const RULE_SET: &[Key] = &["id", "title", "standby", "impairment", "clause"];
pub(crate) const IMPAIRMENT: &[Key] = &["after", "asks", "words", "clause", "source"];
pub(crate) const CLAUSE: &[Key] = &["clause", "asks", "source"];

pub(crate) const HABITS: &[Key] =
    &["id", "basis", "wiring", "resistor", "building", "spread", "reading", "place", "minutes", "van"];
pub(crate) const WIRING: &[Key] = &[
    "nc-bare",
    "nc-eol",
    "no-bare",
    "no-eol",
    "nc-two-resistor",
    "no-two-resistor",
    "three-resistor",
    "nc-stepped",
    "nc-doubled",
    "two-ends",
    "smoke-two-wire",
    "supply-pair",
    "sounder",
    "data-pair",
    "open-pair",
    "shorted-pair",
    "unlike-any",
];
pub(crate) const BUILDING: &[Key] = &["keeps", "pair_equal", "later_hand", "later_share"];
pub(crate) const SPREAD: &[Key] = &["resistor", "cable", "joints", "long", "long_to", "leak"];
pub(crate) const READING: &[Key] =
    &["wrong", "restless", "worse", "missed", "together", "tamper", "fault", "unfed"];
pub(crate) const PLACE: &[Key] = &["near", "tapped"];
pub(crate) const MINUTES: &[Key] = &["meter", "wait", "trip", "far", "feed", "second_visit"];
pub(crate) const VAN: &[Key] = &["carries"];

pub(crate) const LABOUR: &[Key] = &["id", "basis", "task", "part", "allowance", "weight"];
pub(crate) const DUTY_WEIGHT: &[Key] = &["empty", "occupied", "basis"];
pub(crate) const EFFORT: &[Key] = &["minutes", "per", "basis"];
pub(crate) const PART: &[Key] = &["price", "spare", "spare_least", "basis"];
pub(crate) const ALLOWANCE: &[Key] = &["dead", "extension", "repaired", "old_after", "due_after"];

/// Every table of profiles and rule sets with the keys that the reader accepts in it. A profile's own keys
/// are listed by its kind.
pub const TABLES: &[(&str, &[&str])] = &[
    ("module", MODULE),
    ("supply", SUPPLY),
    ("battery", BATTERY),
    ("transformer", TRANSFORMER),
    ("detector", DETECTOR),
    ("sounder", SOUNDER),
    ("keypad", KEYPAD),
    ("panel", PANEL),
    ("enclosure", ENCLOSURE),
    ("relay", RELAY),
    ("draws", DRAWS),
    ("aux", AUX),
    ("step", STEP),
    ("mode", MODE),
    ("band", BAND),
    ("contact", CONTACT),
    ("two_wire", TWO_WIRE),
    ("smoke_source", SMOKE_SOURCE),
    ("supply_output", SUPPLY_OUTPUT),
    ("mains_input", MAINS_INPUT),
    ("standby", STANDBY),
    ("factor", FACTOR),
    ("recharge", RECHARGE),
    ("impairment", IMPAIRMENT),
    ("rule_set", RULE_SET),
    ("clause", CLAUSE),
    ("habits", HABITS),
    ("wiring", WIRING),
    ("building", BUILDING),
    ("spread", SPREAD),
    ("reading", READING),
    ("place", PLACE),
    ("minutes", MINUTES),
    ("van", VAN),
    ("labour", LABOUR),
    ("task", crate::labour::TASK_KEYS),
    ("weight", crate::weight::DUTY_KEYS),
    ("duty_weight", DUTY_WEIGHT),
    ("effort", EFFORT),
    ("part", crate::small_parts::PART_KEYS),
    ("terms", PART),
    ("allowance", ALLOWANCE),
];
