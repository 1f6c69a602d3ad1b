//! The keys of the job file, one list a table. The schema in `schema/` holds the same lists; a test
//! compares them.

use document::Key;

/// The document itself.
pub(crate) const JOB: &[Key] = &[
    "format",
    "site",
    "fire",
    "standing",
    "meter",
    "assume",
    "panel",
    "enclosure",
    "module",
    "device",
    "circuit",
    "cable",
    "supply",
    "standby",
    "output",
    "station",
    "area",
    "user",
    "history",
    "rates",
    "van",
    "quotation",
    "allocate",
    "extension",
    "cutover",
];
pub(crate) const SITE: &[Key] = &["name", "rules", "cable_temperature", "units"];
pub(crate) const FIRE: &[Key] = &["required", "control_listed_for", "decision"];
pub(crate) const STANDING: &[Key] =
    &["authority_in_writing", "station_on_test", "fire_authority_told", "asbestos_register_seen", "access"];
pub(crate) const METER: &[Key] = &["name", "ohms", "leads", "counts", "over_range"];
pub(crate) const ASSUME: &[Key] = &[
    "contact_closed_max",
    "contact_open_min",
    "resistor_tolerance",
    "cable",
    "length_tolerance",
    "joint_max",
    "smoke_dry_min",
];
pub(crate) const PANEL: &[Key] = &["profile", "path_out", "power"];
pub(crate) const ENCLOSURE: &[Key] = &["id", "place", "profile", "beside", "spare"];
pub(crate) const MODULE: &[Key] = &["id", "enclosure", "profile", "mode", "link", "fed_by", "tamper"];
pub(crate) const DEVICE: &[Key] =
    &["id", "profile", "place", "access", "minutes", "made", "fed_by", "connection", "listing"];
pub(crate) const CIRCUIT: &[Key] = &[
    "tag",
    "place",
    "duty",
    "was",
    "zone",
    "ends_in",
    "gauge",
    "network",
    "other",
    "resistor_at",
    "class",
    "found",
    "input",
    "also",
    "mode",
    "means",
    "name",
    "area",
    "response",
    "report",
];
pub(crate) const FOUND: &[Key] = &["when", "fed", "ohms", "volts_dc", "volts_ac", "amps"];
pub(crate) const CABLE: &[Key] = &["id", "ends_in", "cores"];
pub(crate) const CORE: &[Key] = &["colour", "was", "to", "ohms"];
pub(crate) const SUPPLY: &[Key] = &[
    "id",
    "enclosure",
    "profile",
    "battery",
    "strings",
    "in_series",
    "temperature",
    "fuse",
    "leads",
    "transformer",
    "transformer_cable",
    "outlet",
    "rules",
    "runs",
    "loads",
];
pub(crate) const STANDBY_WORD: &[Key] = &["rules", "supply", "take", "hours", "alarm", "factor", "reason"];
pub(crate) const RUN: &[Key] = &["from", "to", "cable", "ohms", "cores", "joints"];
pub(crate) const LOAD: &[Key] =
    &["at", "device", "name", "count", "standby", "alarm", "minimum", "alarm_in", "shed"];
pub(crate) const OUTPUT: &[Key] = &["id", "drives", "contact", "fed_from", "gives"];
pub(crate) const STATION: &[Key] = &[
    "name",
    "telephone",
    "account",
    "prefix",
    "receiver",
    "format",
    "premises",
    "time_zone",
    "site_telephone",
    "authorities",
    "permit",
    "call_order",
    "test_report",
];
pub(crate) const AREA: &[Key] = &["number", "name", "entry", "exit", "sounder", "confirm", "route"];
pub(crate) const USER: &[Key] = &["number", "name", "may"];
pub(crate) const HISTORY: &[Key] =
    &["time", "date", "account", "code", "zone", "area", "event", "order", "shift"];
pub(crate) const RATES: &[Key] =
    &["currency", "hour", "crew", "day", "travel", "second_visit", "margin", "tax", "valid_days"];
pub(crate) const VAN: &[Key] = &["part", "value", "count"];
pub(crate) const QUOTATION: &[Key] = &["customer", "from", "scope", "exclusions", "options"];
pub(crate) const ALLOCATE: &[Key] =
    &["offer", "new_modules", "spare", "hour", "money", "annex", "annexes", "keep_numbers", "areas_together"];
pub(crate) const EXTENSION: &[Key] = &["from", "to", "length", "minutes"];

pub(crate) const CUTOVER: &[Key] = &[
    "way",
    "crew",
    "start",
    "hours",
    "impairment",
    "impairment_reason",
    "weights",
    "dummy_resistors",
    "notes",
];
pub(crate) const CUTOVER_HOURS: &[Key] = &["days", "from", "to", "building"];
pub(crate) const CUTOVER_WEIGHTS: &[Key] = &[
    "intrusion",
    "hold-up",
    "smoke",
    "heat",
    "manual-call",
    "waterflow",
    "valve",
    "tamper",
    "technical",
    "sounder",
];

/// Every table of the job file with the keys that the reader accepts in it, in the order of the format.
pub const TABLES: &[(&str, &[&str])] = &[
    ("job", JOB),
    ("site", SITE),
    ("fire", FIRE),
    ("standing", STANDING),
    ("meter", METER),
    ("assume", ASSUME),
    ("panel", PANEL),
    ("enclosure", ENCLOSURE),
    ("module", MODULE),
    ("device", DEVICE),
    ("circuit", CIRCUIT),
    ("reading", FOUND),
    ("cable", CABLE),
    ("core", CORE),
    ("supply", SUPPLY),
    ("run", RUN),
    ("load", LOAD),
    ("standby", STANDBY_WORD),
    ("output", OUTPUT),
    ("station", STATION),
    ("area", AREA),
    ("user", USER),
    ("history", HISTORY),
    ("rates", RATES),
    ("van", VAN),
    ("quotation", QUOTATION),
    ("allocate", ALLOCATE),
    ("extension", EXTENSION),
    ("cutover", CUTOVER),
    ("cutover_hours", CUTOVER_HOURS),
    ("cutover_weights", CUTOVER_WEIGHTS),
];
