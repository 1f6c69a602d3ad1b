//! The tables that can be written, field by field, with an example or what holds where nothing is written.

use super::tables::{Field, Kind, List, Table};

pub(super) const fn field(key: &'static str, label: &'static str, kind: Kind, hint: &'static str) -> Field {
    Field { key, label, kind, hint }
}

const ENCLOSURE: Table = Table {
    name: "enclosure",
    one: "enclosure",
    many: "enclosures",
    id: Some(("id", "E")),
    fields: &[
        field("place", "Where it hangs", Kind::Words, "ground-floor riser"),
        field("profile", "What it is", Kind::Profile("enclosure"), ""),
        field("beside", "Hangs beside", Kind::Enclosure, ""),
        field("spare", "Free inputs wanted in it", Kind::Whole, "0"),
    ],
    lists: &[],
    about: "Where cables end and modules hang.",
};

const MODULE: Table = Table {
    name: "module",
    one: "module",
    many: "modules",
    id: Some(("id", "M")),
    fields: &[
        field("profile", "What it is", Kind::Profile("module"), ""),
        field("enclosure", "In which enclosure", Kind::Enclosure, ""),
        field("mode", "Mode", Kind::Mode, ""),
        field("link", "Reports by", Kind::One(&["radio", "bus", "direct"]), ""),
        field("fed_by", "Fed by", Kind::Point, "the first supply in its enclosure"),
        field("tamper", "Its tamper input", Kind::One(&["wired", "bridged"]), ""),
    ],
    lists: &[],
    about: "What reads the circuits. Without a mode every mode is tried and the best is reported.",
};

const SUPPLY: Table = Table {
    name: "supply",
    one: "supply",
    many: "supplies",
    id: Some(("id", "P")),
    fields: &[
        field("profile", "What it is", Kind::Profile("supply"), ""),
        field("enclosure", "In which enclosure", Kind::Enclosure, ""),
        field("battery", "Battery, one block", Kind::Profile("battery"), ""),
        field("strings", "Strings in parallel", Kind::Whole, "1"),
        field("in_series", "Blocks of a string", Kind::Whole, "as many as its volts want"),
        field("temperature", "Where its battery stands", Kind::Words, "10 C to 30 C"),
        field("fuse", "Fuse in the battery's lead", Kind::Words, "3 A"),
        field("leads", "Battery leads and fuse, out and back", Kind::Words, "0.05 ohm"),
        field("transformer", "Transformer or adapter", Kind::Profile("transformer"), ""),
        field("transformer_cable", "Cable from there", Kind::Words, "6 m of 18 AWG"),
        field("outlet", "Mains outlet", Kind::Words, "plant room, circuit 12, breaker locked, not switched"),
        field("rules", "Rule sets that count here", Kind::List, "all of the site"),
    ],
    lists: &[
        List {
            key: "runs",
            entry: "run",
            one: "run of cable",
            many: "runs of cable",
            fields: &[
                field("from", "From", Kind::Words, "P1"),
                field("to", "To", Kind::Words, "J1"),
                field("cable", "Cable", Kind::Words, "25 m of 18 AWG"),
                field("ohms", "Or measured, out and back", Kind::Words, "1.2 ohm"),
                field("cores", "Cores in parallel on each leg", Kind::Whole, "1"),
                field("joints", "Joints on the way", Kind::Whole, "0"),
            ],
        },
        List {
            key: "loads",
            entry: "load",
            one: "load",
            many: "loads",
            fields: &[
                field("at", "At", Kind::Point, ""),
                field("device", "What it is", Kind::Profile("load"), ""),
                field("name", "Or its name", Kind::Words, "old strobe"),
                field("count", "How many", Kind::Whole, "1"),
                field("standby", "Draws in standby", Kind::Words, "10 mA"),
                field("alarm", "Draws in alarm", Kind::Words, "2.4 W"),
                field("minimum", "Least volts", Kind::Words, "10.5 V"),
                field("alarm_in", "Alarms in which it sounds", Kind::List, "every one"),
                field("shed", "Dropped when the mains is gone", Kind::YesNo, ""),
            ],
        },
    ],
    about: "What feeds them, with battery, mains and what hangs on it.",
};

const DEVICE: Table = Table {
    name: "device",
    one: "device",
    many: "devices",
    id: Some(("id", "")),
    fields: &[
        field("profile", "What it is", Kind::Profile("device"), ""),
        field("place", "Where it is", Kind::Words, "kennel corridor"),
        field("access", "What it takes to reach it", Kind::Words, "key 4, ladder 3.4 m"),
        field("minutes", "Minutes to reach and work on it", Kind::Number, "12"),
        field("made", "Year of make", Kind::Whole, "2013"),
        field("fed_by", "Fed by", Kind::Point, ""),
        field("connection", "On the pair", Kind::One(&["in-out", "tapped"]), ""),
        field("listing", "Listed with its module", Kind::Words, "who saw it, on what paper"),
    ],
    lists: &[],
    about: "A device that a network names: leaf1, or C01/door where the name stands in several circuits.",
};

const CABLE: Table = Table {
    name: "cable",
    one: "cable",
    many: "cables",
    id: Some(("id", "K")),
    fields: &[field("ends_in", "Ends in", Kind::Enclosure, "")],
    lists: &[List {
        key: "cores",
        entry: "core",
        one: "core",
        many: "cores",
        fields: &[
            field("colour", "Colour", Kind::Words, "red"),
            field("was", "On which old terminal", Kind::Words, "Z7+"),
            field("to", "What it serves", Kind::List, "C07.a, or C07.b, C08.b for a shared one, or spare"),
            field("ohms", "Its ohms up to where circuits part", Kind::Words, "1.1 ohm"),
        ],
    }],
    about: "Which core is what: for cores that circuits share, and for colours on the terminal drawing.",
};

const OUTPUT: Table = Table {
    name: "output",
    one: "output",
    many: "outputs",
    id: Some(("id", "")),
    fields: &[
        field("drives", "What it drives", Kind::Words, "sounder circuit S1"),
        field("contact", "What its contact may switch", Kind::Words, "1 A"),
        field("fed_from", "Fed from", Kind::Point, ""),
        field("gives", "Gives a sounder", Kind::One(&["steady", "driver"]), ""),
    ],
    lists: &[],
    about: "A relay or a sounder circuit, as M1.S1 or P1.bell.",
};

const METER: Table = Table {
    name: "meter",
    one: "meter",
    many: "meter",
    id: None,
    fields: &[
        field("name", "What it is called in the record", Kind::Words, "meter 3"),
        field("ohms", "Accuracy on ohms, from its data sheet", Kind::Words, "1.5 % + 5 digits"),
        field("leads", "Its leads, joined", Kind::Words, "0.3 ohm"),
        field("counts", "Steps of its display", Kind::Whole, "6000"),
        field("over_range", "Over range from", Kind::Words, "40 Mohm"),
    ],
    lists: &[],
    about: "The instrument of the survey. What a reading can be follows from it.",
};

const PANEL: Table = Table {
    name: "panel",
    one: "panel",
    many: "panel",
    id: None,
    fields: &[
        field("profile", "What it is", Kind::Profile("panel"), ""),
        field(
            "path_out",
            "What feeds the way out without mains",
            Kind::Words,
            "router on its own battery, 4 h",
        ),
        field("power", "What feeds it, where it is no load here", Kind::Words, ""),
    ],
    lists: &[],
    about: "What the modules report to.",
};

const SITE: Table = Table {
    name: "site",
    one: "site",
    many: "site",
    id: None,
    fields: &[
        field("name", "What people call it", Kind::Words, ""),
        field("rules", "Rule sets", Kind::List, ""),
        field("cable_temperature", "Coldest and hottest that cables get", Kind::Words, "0 C to 40 C"),
        field("units", "Lengths and gauges in", Kind::One(&["us", "metric"]), ""),
    ],
    lists: &[],
    about: "",
};

const ASSUME: Table = Table {
    name: "assume",
    one: "assumptions",
    many: "assumptions",
    id: None,
    fields: &[
        field("contact_closed_max", "A closed contact, at most", Kind::Words, "1 ohm"),
        field("contact_open_min", "An open contact, at least", Kind::Words, "1 Mohm"),
        field("resistor_tolerance", "Resistors without a tolerance", Kind::Words, "5 %"),
        field("cable", "Conductor where none is written", Kind::Words, "22 AWG"),
        field("length_tolerance", "Lengths are this uncertain", Kind::Words, "0 %"),
        field("joint_max", "A splice, at most", Kind::Words, "0.5 ohm"),
        field("smoke_dry_min", "A two-wire detector without power, at least", Kind::Words, "100 kohm"),
    ],
    lists: &[],
    about: "What is taken for granted where nothing was measured.",
};

const STANDING: Table = Table {
    name: "standing",
    one: "gate",
    many: "gate",
    id: None,
    fields: &[
        field("authority_in_writing", "The authority's word, in writing", Kind::Words, "or: not needed"),
        field("station_on_test", "Account on test at the station", Kind::Words, "or: not needed"),
        field("fire_authority_told", "Fire authority told", Kind::Words, "or: not needed"),
        field("asbestos_register_seen", "Asbestos register seen", Kind::Words, "or: not needed"),
        field("access", "Access", Kind::Words, "keys, lifts, escorts"),
    ],
    lists: &[],
    about: "What has to be said before the first circuit is lifted; each a sentence.",
};

const RATES: Table = Table {
    name: "rates",
    one: "rates",
    many: "rates",
    id: None,
    fields: &[
        field("currency", "Currency, as it stands behind an amount", Kind::Words, "dollars"),
        field("hour", "An hour of one technician", Kind::Number, "95"),
        field("crew", "Technicians", Kind::Whole, "1"),
        field("day", "Working time of a day on site", Kind::Words, "8 h"),
        field("travel", "Travel, for each day of the crew", Kind::Number, "60"),
        field("second_visit", "Coming back another day, all in", Kind::Number, "240"),
        field("margin", "Put on the price of parts", Kind::Words, "0 %"),
        field("tax", "What is said of tax", Kind::Words, ""),
        field("valid_days", "Days for which the price holds", Kind::Whole, "30"),
    ],
    lists: &[],
    about: "What the office charges. Without an hour, working time has no price.",
};

const QUOTATION: Table = Table {
    name: "quotation",
    one: "quotation",
    many: "quotation",
    id: None,
    fields: &[
        field("customer", "For", Kind::Words, "the practice manager"),
        field("from", "From", Kind::Words, "the alarm company"),
        field("scope", "Also in it, a line each", Kind::Texts, "Old control equipment taken away."),
        field("exclusions", "Also not in it, a line each", Kind::Texts, "Painting."),
        field("options", "Also offered, a line each", Kind::Texts, "A yearly service visit."),
    ],
    lists: &[],
    about: "What stands on it behind what the program says by itself.",
};

const CUTOVER: Table = Table {
    name: "cutover",
    one: "cut-over",
    many: "cut-over",
    id: None,
    fields: &[
        field("way", "Way", Kind::One(&["side by side", "swap"]), ""),
        field("crew", "Technicians", Kind::Whole, "1"),
        field("start", "Begins", Kind::Words, "2026-12-01 08:00"),
        field("impairment", "Longest without fire alarm in 24 h, in place of the rules'", Kind::Words, "4 h"),
        field("impairment_reason", "Who said so, on what paper, when", Kind::Words, ""),
        field("dummy_resistors", "Dummy resistors keep the old panel quiet", Kind::YesNo, ""),
        field("notes", "Notes", Kind::Lines, ""),
    ],
    lists: &[List {
        key: "hours",
        entry: "cutover_hours",
        one: "stretch of hours",
        many: "hours of work",
        fields: &[
            field("days", "Days", Kind::List, "mon, tue; left out: every day"),
            field("from", "From", Kind::Words, "08:00"),
            field("to", "To", Kind::Words, "17:00"),
            field("building", "Whether the building is occupied", Kind::One(&["occupied", "empty"]), ""),
        ],
    }],
    about: "How circuits go from old to new, by whom and when.",
};

const STATION: Table = Table {
    name: "station",
    one: "monitoring station",
    many: "monitoring station",
    id: None,
    fields: &[
        field("name", "Name", Kind::Words, ""),
        field("telephone", "Telephone", Kind::Words, ""),
        field("account", "Account", Kind::Words, "4401"),
        field("prefix", "Account prefix", Kind::Words, "0, which is none"),
        field("receiver", "Receiver number", Kind::Words, "1"),
        field("format", "Events are reported in", Kind::One(&["contact-id", "two-letter"]), ""),
        field("premises", "Premises", Kind::Words, ""),
        field("time_zone", "Time zone", Kind::Words, ""),
        field("site_telephone", "Telephone of the site", Kind::Words, ""),
        field("authorities", "Authorities, a line each", Kind::Texts, "police 555 0101"),
        field("permit", "Permit", Kind::Words, ""),
        field(
            "call_order",
            "Who is called, in this order, a line each",
            Kind::Texts,
            "practice manager 555 0118",
        ),
        field("test_report", "Test report every", Kind::Words, "24 h"),
    ],
    lists: &[],
    about: "What the station is told. Never a code or a pass word.",
};

const HISTORY: Table = Table {
    name: "history",
    one: "list of the station",
    many: "list of the station",
    id: None,
    fields: &[
        field("time", "Heading of the times", Kind::Words, "Time"),
        field("date", "Heading of the dates", Kind::Words, "Date"),
        field("account", "Heading of the accounts", Kind::Words, "Acct"),
        field("code", "Heading of the codes", Kind::Words, "Signal"),
        field("zone", "Heading of zones and users", Kind::Words, "Point"),
        field("area", "Heading of areas", Kind::Words, "left out: it has none"),
        field("event", "Heading of the events in words", Kind::Words, "Description"),
        field("order", "Its dates are", Kind::One(&["year-first", "month-first", "day-first"]), ""),
        field("shift", "Added to its times to get GMT", Kind::Words, "5 h"),
    ],
    lists: &[],
    about: "How the monitoring station heads its list of signals, so that the list can be read as evidence. Left out: the usual headings.",
};

const AREA: Table = Table {
    name: "area",
    one: "area",
    many: "areas",
    id: Some(("number", NUMBERED)),
    fields: &[
        field("name", "Name", Kind::Words, "Practice"),
        field("entry", "Entry time", Kind::Words, "30 s"),
        field("exit", "Exit time", Kind::Words, "45 s"),
        field("sounder", "Sounders run for", Kind::Words, "10 min"),
        field("confirm", "Confirmed when", Kind::Words, "two different circuits within 30 min"),
        field("route", "The way in, circuit by circuit", Kind::List, "C01, C03"),
    ],
    lists: &[],
    about: "What is set and unset together.",
};

const USER: Table = Table {
    name: "user",
    one: "user",
    many: "users",
    id: Some(("number", NUMBERED)),
    fields: &[
        field("name", "Name", Kind::Words, "head nurse"),
        field("may", "May", Kind::Words, "set and unset"),
    ],
    lists: &[],
    about: "Who may do what. Never a code or a pass word.",
};

/// What names of one kind begin with, where they are numbers.
pub(super) const NUMBERED: &str = "#";

const ALLOCATE: Table = Table {
    name: "allocate",
    one: "division of inputs",
    many: "division of inputs",
    id: None,
    fields: &[
        field("offer", "Modules that may be bought", Kind::List, "every one of the library"),
        field("new_modules", "Buy modules at all", Kind::YesNo, ""),
        field("spare", "Free inputs wanted in the whole job", Kind::Whole, "0"),
        field("hour", "What an hour counts beside money", Kind::Number, "that of the rates, else 60"),
        field("money", "How much money counts", Kind::Words, "100 %"),
        field("annex", "What may be hung beside a full enclosure", Kind::Profile("enclosure"), ""),
        field("annexes", "How many beside each", Kind::Whole, "1"),
        field("keep_numbers", "Keep the old zone numbers", Kind::YesNo, ""),
        field("areas_together", "Keep areas together", Kind::YesNo, ""),
    ],
    lists: &[],
    about: "What is asked when circuits are divided over the inputs.",
};

/// A circuit, beside what its own page asks one by one.
pub(super) const CIRCUIT: Table = Table {
    name: "circuit",
    one: "circuit",
    many: "circuits",
    id: Some(("tag", "C")),
    fields: &[
        field(
            "network",
            "What hangs on it, outwards from the terminals",
            Kind::Network,
            "wire:38m - nc:leaf1 - 2.2k",
        ),
        field("input", "Input", Kind::Input, ""),
        field("also", "Further inputs, kept for its home runs", Kind::List, "M1.8"),
        field("mode", "Its own mode, where each input has one", Kind::Mode, ""),
        field("gauge", "Conductor of its cable", Kind::Words, "22 AWG"),
        field("class", "Wired", Kind::One(&["A", "B"]), ""),
        field("zone", "Zone number that it must have", Kind::Whole, ""),
        field("area", "Area", Kind::Whole, ""),
        field(
            "response",
            "Response",
            Kind::One(&[
                "entry",
                "route",
                "perimeter",
                "interior",
                "day",
                "always",
                "silent",
                "fire",
                "supervisory",
                "log",
            ]),
            "",
        ),
        field("report", "Code that it reports", Kind::Words, "134"),
        field(
            "other",
            "In place of a network that cannot be written",
            Kind::Lines,
            "a class A return, crossed at the riser",
        ),
    ],
    lists: &[],
    about: "",
};

/// Equipment, in the order of the page.
pub(super) const EQUIPMENT: &[Table] = &[ENCLOSURE, MODULE, SUPPLY, METER, PANEL, CABLE, DEVICE, OUTPUT];
/// What holds for the job as a whole.
pub(super) const TERMS: &[Table] =
    &[SITE, STANDING, ASSUME, STATION, HISTORY, AREA, USER, CUTOVER, RATES, QUOTATION, ALLOCATE];
