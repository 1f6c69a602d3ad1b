//! What can be written of equipment: what a table, a field and a list of it are, and how a value comes in and goes out.
//! `fields` and `more` have all of them.

use document::Plain;

use super::fields::{CIRCUIT, EQUIPMENT, TERMS};
use super::more::{NAMELESS, WEIGHTS};

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
    /// Texts, a line each.
    Texts,
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
    /// A rule set of the library.
    Rules,
    /// A small part, or a profile.
    Part,
    /// What a minute without a circuit of the duty that is the field's key weighs.
    Weight,
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
    /// What the format calls the table of one entry.
    pub(crate) entry: &'static str,
    pub(crate) one: &'static str,
    pub(crate) many: &'static str,
    pub(crate) fields: &'static [Field],
}

/// The table of a name.
pub(crate) fn table(name: &str) -> Option<&'static Table> {
    let others = [&CIRCUIT, &WEIGHTS, &NAMELESS];
    EQUIPMENT.iter().chain(TERMS).chain(others).find(|table| table.name == name)
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
            Some(Plain::List(all)) if self == Self::Texts => {
                all.iter().map(|one| Self::Words.shown(Some(one))).collect::<Vec<_>>().join("\n")
            }
            Some(other) => other.literal(),
        }
    }

    /// Whether a field of this kind shows two texts alike: line ends count only where it has lines.
    pub(crate) fn same(self, one: &str, other: &str) -> bool {
        let flat = |text: &str| {
            text.trim().chars().filter(|letter| !matches!(letter, '\n' | '\r')).collect::<String>()
        };
        let lined = |text: &str| text.trim().replace("\r\n", "\n");
        match self {
            Self::Lines | Self::Network | Self::Texts => lined(one) == lined(other),
            _ => flat(one) == flat(other),
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
            Self::Whole | Self::Weight => typed.parse().map_or_else(|_| text(), Plain::Integer),
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
            Self::Texts => {
                let parts = typed.lines().map(str::trim).filter(|part| !part.is_empty());
                Plain::List(parts.map(|part| Plain::Text(part.to_owned())).collect())
            }
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
        for table in EQUIPMENT.iter().chain(TERMS).chain([&CIRCUIT, &WEIGHTS, &NAMELESS]) {
            let known = keys(&table.name.replace('.', "_")).expect("a table of the format");
            for field in table.fields {
                assert!(known.contains(&field.key), "{}.{}", table.name, field.key);
            }
            if let Some((id, _)) = table.id {
                assert!(known.contains(&id));
            }
            for list in table.lists {
                assert!(known.contains(&list.key));
                let own = list.entry;
                for field in list.fields {
                    assert!(keys(own).expect("a table").contains(&field.key), "{own}.{}", field.key);
                }
                assert_eq!(list.fields.len(), keys(own).expect("a table").len(), "{own} is whole");
            }
        }
        // All of it can be written wholly: no key of it needs a text editor.
        for table in EQUIPMENT.iter().chain(TERMS) {
            let inside = usize::from(WEIGHTS.name.split('.').next() == Some(table.name));
            let written = table.fields.len() + table.lists.len() + usize::from(table.id.is_some()) + inside;
            assert_eq!(written, keys(table.name).expect("a table").len(), "{}", table.name);
        }
        assert_eq!(WEIGHTS.fields.len(), keys("cutover_weights").expect("a table").len());
    }

    /// What is new in the format gets its form: every table is one of the equipment's, or has its own on the page named here.
    #[test]
    fn every_table_of_the_format_has_a_form() {
        let elsewhere = [
            ("job", "the document itself"),
            ("fire", "circuits"),
            ("circuit", "a circuit's own page"),
            ("reading", "a circuit's card"),
            ("run", "in a supply"),
            ("load", "in a supply"),
            ("core", "in a cable"),
            ("cutover_hours", "in the cut-over"),
            ("cutover_weights", "cut-over"),
        ];
        for (name, _) in job::TABLES {
            let own = EQUIPMENT.iter().chain(TERMS).any(|table| table.name == *name);
            let listed = NAMELESS.list(name).is_some();
            let other = elsewhere.iter().any(|(table, _)| table == name);
            assert!(own || listed || other, "{name} can be written as text alone");
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
            (Kind::Texts, Plain::List(vec![Plain::Text("a, b".to_owned()), Plain::Text("c".to_owned())])),
        ];
        for (kind, value) in all {
            assert_eq!(kind.value(&kind.shown(Some(&value))), Some(value));
        }
        assert_eq!(Kind::Whole.value(" 3x "), Some(Plain::Text("3x".to_owned())));
        assert_eq!(Kind::Words.value("  "), None);
    }
}
