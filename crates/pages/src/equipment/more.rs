//! Tables that have no name of their own, and a table inside another: local words on standby, cables that can be made
//! longer, what the van holds, weights of the cut-over.

use super::fields::field;
use super::tables::{Field, Kind, List, Table};

/// The document's own lists.
pub(crate) const NAMELESS: Table = Table {
    name: "job",
    one: "job",
    many: "jobs",
    id: None,
    fields: &[],
    lists: &[STANDBY, EXTENSION, VAN],
    about: "",
};

/// A local word on standby.
pub(super) const STANDBY: List = List {
    key: "standby",
    entry: "standby",
    one: "word on standby",
    many: "words on standby",
    fields: &[
        field("rules", "Of which rule set", Kind::Rules, ""),
        field("supply", "For which supplies", Kind::List, "all; or P1, P2"),
        field("take", "Which of its rules hold", Kind::List, "those that usually do"),
        field("hours", "Hours without mains, in place of the rule's", Kind::Words, "24 h"),
        field("alarm", "Alarm at their end, in place of the rule's", Kind::Words, "5 min"),
        field("factor", "Margin, in place of the rule's", Kind::Number, "1.25"),
        field(
            "reason",
            "Who said so, on what paper, when",
            Kind::Words,
            "edition read at the fire authority",
        ),
    ],
};

/// Cables that can be made longer.
pub(super) const EXTENSION: List = List {
    key: "extension",
    entry: "extension",
    one: "longer way",
    many: "longer ways",
    fields: &[
        field("from", "Cables that end in", Kind::Enclosure, ""),
        field("to", "Can be made longer to", Kind::Enclosure, ""),
        field("length", "By so much", Kind::Words, "25 m, or 82 ft"),
        field("minutes", "Minutes for each circuit", Kind::Number, "by the labour table"),
    ],
};

/// What the van holds.
pub(super) const VAN: List = List {
    key: "van",
    entry: "van",
    one: "part in the van",
    many: "parts in the van",
    fields: &[
        field("part", "Part", Kind::Part, "resistor, or a profile"),
        field("value", "Its value", Kind::Words, "2.2k, 5 A, 22 AWG"),
        field("count", "Pieces, or metres", Kind::Whole, "25"),
    ],
};

const fn weight(key: &'static str, label: &'static str) -> Field {
    field(key, label, Kind::Weight, "")
}

/// What a minute without a circuit weighs, duty by duty.
pub(crate) const WEIGHTS: Table = Table {
    name: "cutover.weights",
    one: "weights",
    many: "weights",
    id: None,
    fields: &[
        weight("intrusion", "Intrusion"),
        weight("hold-up", "Hold-up"),
        weight("smoke", "Smoke detection"),
        weight("heat", "Heat detection"),
        weight("manual-call", "Manual call point"),
        weight("waterflow", "Waterflow"),
        weight("valve", "Valve"),
        weight("tamper", "Tamper"),
        weight("technical", "Technical"),
        weight("sounder", "Sounder"),
    ],
    lists: &[],
    about: "",
};
