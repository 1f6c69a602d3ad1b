//! What can be written of equipment: the tables of the job file with their fields, in a person's words.

use document::Plain;

/// What goes into a field, and how it is written into the job.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Kind {
    /// A text, or a quantity with its unit.
    Words,
    /// A longer text.
    Lines,
    /// A whole number.
    Whole,
    /// A number with at most two decimals.
    Number,
    /// `true` or `false`.
    YesNo,
    /// Texts with commas between them.
    List,
    /// One of these words.
    One(&'static [&'static str]),
    /// A profile of this kind.
    Profile(&'static str),
    /// An enclosure of the job.
    Enclosure,
    /// A mode of a module's profile.
    Mode,
    /// An input of a module that no other circuit has.
    Input,
    /// A point of a supply.
    Point,
    /// A circuit's network.
    Network,
}

/// One field.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Field {
    /// Its key in the job file.
    pub(crate) key: &'static str,
    pub(crate) label: &'static str,
    pub(crate) kind: Kind,
    /// An example, or what holds where nothing is written.
    pub(crate) hint: &'static str,
}

/// One table of the job file, or one of many.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Table {
    /// Its name in the job file.
    pub(crate) name: &'static str,
    /// What people call one.
    pub(crate) one: &'static str,
    pub(crate) many: &'static str,
    /// The key that names one of many, and what such names begin with; none for a table that stands once.
    pub(crate) id: Option<(&'static str, &'static str)>,
    pub(crate) fields: &'static [Field],
    /// Lists of small tables in it.
    pub(crate) lists: &'static [List],
    /// What to know before one is written.
    pub(crate) about: &'static str,
}

/// A list of small tables under one key.
#[derive(Clone, Copy, Debug)]
pub(crate) struct List {
    pub(crate) key: &'static str,
    pub(crate) one: &'static str,
    pub(crate) many: &'static str,
    pub(crate) fields: &'static [Field],
}

const fn field(key: &'static str, label: &'static str, kind: Kind, hint: &'static str) -> Field {
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
    ],
    lists: &[],
    about: "",
};

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
pub(crate) const CIRCUIT: Table = Table {
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
pub(crate) const EQUIPMENT: &[Table] = &[ENCLOSURE, MODULE, SUPPLY, METER, PANEL, CABLE, DEVICE, OUTPUT];
/// What holds for the job as a whole.
pub(crate) const TERMS: &[Table] = &[SITE, STANDING, ASSUME, RATES, QUOTATION, ALLOCATE];

/// The table of a name.
pub(crate) fn table(name: &str) -> Option<&'static Table> {
    EQUIPMENT.iter().chain(TERMS).chain(std::iter::once(&CIRCUIT)).find(|table| table.name == name)
}

impl Table {
    /// A field of it by its key.
    pub(crate) fn field(&self, key: &str) -> Option<&'static Field> {
        self.fields.iter().find(|field| field.key == key)
    }

    /// A list of it by its key.
    pub(crate) fn list(&self, key: &str) -> Option<&'static List> {
        self.lists.iter().find(|list| list.key == key)
    }
}

impl Kind {
    /// A value as the field shows it; empty for none.
    pub(crate) fn shown(self, value: Option<&Plain>) -> String {
        match value {
            None => String::new(),
            Some(Plain::Text(text)) => text.clone(),
            Some(Plain::Bool(yes)) => if *yes { "yes" } else { "no" }.to_owned(),
            Some(Plain::List(all)) if self == Self::List => {
                all.iter().map(|one| Self::Words.shown(Some(one))).collect::<Vec<_>>().join(", ")
            }
            Some(other) => other.literal(),
        }
    }

    /// What a field says as a value; none for nothing. What it cannot be is left as it was typed: the job's own reader then
    /// says what is wrong with it.
    pub(crate) fn value(self, typed: &str) -> Option<Plain> {
        let typed = typed.trim();
        let text = || Plain::Text(typed.to_owned());
        if typed.is_empty() {
            return None;
        }
        Some(match self {
            Self::Whole => typed.parse().map_or_else(|_| text(), Plain::Integer),
            Self::Number => match (typed.parse::<i64>(), typed.parse::<f64>()) {
                (Ok(whole), _) => Plain::Integer(whole),
                (_, Ok(number)) if number.is_finite() => Plain::Number(number),
                _ => text(),
            },
            Self::YesNo => match typed {
                "yes" => Plain::Bool(true),
                "no" => Plain::Bool(false),
                _ => text(),
            },
            Self::List => {
                let parts = typed.split(',').map(str::trim).filter(|part| !part.is_empty());
                Plain::List(parts.map(|part| Plain::Text(part.to_owned())).collect())
            }
            _ => text(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A key that the format does not have would be refused only when somebody types there.
    #[test]
    fn every_field_is_a_key_of_the_format() {
        let keys = |name: &str| job::TABLES.iter().find(|(table, _)| *table == name).map(|(_, keys)| *keys);
        for table in EQUIPMENT.iter().chain(TERMS).chain([&CIRCUIT]) {
            let known = keys(table.name).expect("a table of the format");
            for field in table.fields {
                assert!(known.contains(&field.key), "{}.{}", table.name, field.key);
            }
            if let Some((id, _)) = table.id {
                assert!(known.contains(&id));
            }
            for list in table.lists {
                assert!(known.contains(&list.key));
                let own = match list.key {
                    "runs" => "run",
                    "loads" => "load",
                    _ => "core",
                };
                for field in list.fields {
                    assert!(keys(own).expect("a table").contains(&field.key), "{own}.{}", field.key);
                }
                assert_eq!(list.fields.len(), keys(own).expect("a table").len(), "{own} is whole");
            }
        }
        // Equipment can be written wholly: no key of it needs a text editor.
        for table in EQUIPMENT {
            let written = table.fields.len() + table.lists.len() + usize::from(table.id.is_some());
            assert_eq!(written, keys(table.name).expect("a table").len(), "{}", table.name);
        }
    }

    #[test]
    fn what_is_shown_comes_back_as_the_same_value() {
        let all = [
            (Kind::Whole, Plain::Integer(3)),
            (Kind::Number, Plain::Number(82.5)),
            (Kind::Number, Plain::Integer(95)),
            (Kind::YesNo, Plain::Bool(false)),
            (Kind::List, Plain::List(vec![Plain::Text("a".to_owned()), Plain::Text("b c".to_owned())])),
            (Kind::Words, Plain::Text("4.7k".to_owned())),
        ];
        for (kind, value) in all {
            assert_eq!(kind.value(&kind.shown(Some(&value))), Some(value));
        }
        assert_eq!(Kind::Whole.value(" 3x "), Some(Plain::Text("3x".to_owned())));
        assert_eq!(Kind::Words.value("  "), None);
    }
}
