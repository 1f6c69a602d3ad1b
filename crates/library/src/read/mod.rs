//! From a text to a profile or a rule set: every key, every default, every error.

mod habits;
mod kind;
mod labour;
mod mode;
mod power;
mod rules;

use std::collections::BTreeMap;

use document::{Document, Key, Located, Misread, Problem, Source, Table, Value};
use quantity::{Amperes, Minutes, Ohms, Watts};

use crate::keys;
use crate::labour::Labour;
use crate::model::{Draw, Draws, Kind, Library, Profile, Step};

/// The kinds of equipment, with the keys of each.
const KINDS: [(&str, &[Key]); 10] = [
    ("module", keys::MODULE),
    ("supply", keys::SUPPLY),
    ("battery", keys::BATTERY),
    ("transformer", keys::TRANSFORMER),
    ("detector", keys::DETECTOR),
    ("sounder", keys::SOUNDER),
    ("keypad", keys::KEYPAD),
    ("panel", keys::PANEL),
    ("enclosure", keys::ENCLOSURE),
    ("relay", keys::RELAY),
];

impl Library {
    /// Adds a profile or a rule set from a file's text; what has the same id is replaced.
    ///
    /// A text with a `kind` is a profile, one with clauses or standby rules a rule set. Where the folder tells what a file
    /// is, [`Library::add_equipment`] and [`Library::add_rules`] give better errors.
    ///
    /// # Errors
    /// Everything that is wrong with the text; the library is then unchanged.
    pub fn add(&mut self, source: &Source) -> Result<(), Vec<Problem>> {
        let document = Document::parse(source);
        if ["clause", "standby", "impairment"].iter().any(|key| document.peek(key)) && !document.peek("kind")
        {
            self.add_rules(source)
        } else {
            self.add_equipment(source)
        }
    }

    /// Adds a profile; one with the same id is replaced.
    ///
    /// # Errors
    /// Everything that is wrong with the text; the library is then unchanged.
    pub fn add_equipment(&mut self, source: &Source) -> Result<(), Vec<Problem>> {
        let profile = Profile::read(source)?;
        self.profiles.insert(profile.id.clone(), profile);
        Ok(())
    }

    /// Adds a rule set; one with the same id is replaced.
    ///
    /// # Errors
    /// Everything that is wrong with the text; the library is then unchanged.
    pub fn add_rules(&mut self, source: &Source) -> Result<(), Vec<Problem>> {
        let rules = rules::read(source)?;
        self.rules.insert(rules.id.clone(), rules);
        Ok(())
    }

    /// Adds habits; those with the same id are replaced.
    ///
    /// # Errors
    /// Everything that is wrong with the text; the library is then unchanged.
    pub fn add_habits(&mut self, source: &Source) -> Result<(), Vec<Problem>> {
        let habits = habits::read(source)?;
        self.habits.insert(habits.id.clone(), habits);
        Ok(())
    }

    /// Adds a labour table; one with the same id is replaced. A task that the text leaves out stays as built in.
    ///
    /// # Errors
    /// Everything that is wrong with the text; the library is then unchanged.
    pub fn add_labour(&mut self, source: &Source) -> Result<(), Vec<Problem>> {
        let labour = labour::read(source, Some(Labour::embedded()))?;
        self.labour.insert(labour.id.clone(), labour);
        Ok(())
    }

    /// The labour table that counts: the one called `default`, else the one built in.
    #[must_use]
    pub fn working_time(&self) -> &Labour {
        self.labour.get("default").unwrap_or_else(|| Labour::embedded())
    }
}

impl Labour {
    /// Reads a labour table that leaves no task out.
    ///
    /// # Errors
    /// Everything that is wrong with the text, in its order.
    pub fn read(source: &Source) -> Result<Self, Vec<Problem>> {
        labour::read(source, None)
    }
}

impl Profile {
    /// Reads a profile (`docs/format.md`, section 3).
    ///
    /// # Errors
    /// Everything that is wrong with the text, in its order.
    pub fn read(source: &Source) -> Result<Self, Vec<Problem>> {
        let document = Document::parse(source);
        let profile = profile(&document);
        match profile {
            Some(profile) if document.problems().is_empty() => Ok(profile),
            _ => Err(document.into_problems()),
        }
    }
}

fn profile(document: &Document<'_>) -> Option<Profile> {
    let known = document.peek_text("kind").and_then(|kind| KINDS.into_iter().find(|(word, _)| *word == kind));
    let table = document.root("", known.map_or(keys::ANY_KIND, |(_, keys)| keys));
    let id = id(&table);
    let _ = table.required("kind").and_then(|value| value.word(&KINDS));
    let title = table.required("title").and_then(|value| value.text());
    let basis = table.required("basis").and_then(|value| value.text());
    let draws = draws(&table);
    let price = table.number("price", 0.0, 1e9).map_or(0.0, |price| price.value);
    let minutes = Minutes(table.number("minutes", 0.0, 10_000.0).map_or(0.0, |minutes| minutes.value));
    let steps = steps(&table);
    let kind = known.and_then(|(kind, _)| of_kind(kind, &table));
    Some(Profile {
        id: id?.value,
        title: title?.value,
        basis: basis?.value,
        draws,
        price,
        minutes,
        steps,
        kind: kind?,
    })
}

/// What is particular to a kind of equipment.
fn of_kind(kind: &str, table: &Table<'_>) -> Option<Kind> {
    match kind {
        "module" => kind::module(table).map(Kind::Module),
        "supply" => kind::supply(table).map(Kind::Supply),
        "battery" => kind::battery(table).map(Kind::Battery),
        "transformer" => Some(Kind::Transformer(kind::transformer(table))),
        "detector" => Some(Kind::Detector(kind::detector(table))),
        "sounder" => Some(Kind::Sounder(kind::sounder(table))),
        "keypad" => Some(Kind::Keypad),
        "panel" => Some(Kind::Panel(kind::panel(table))),
        "enclosure" => Some(Kind::Enclosure(kind::enclosure(table))),
        "relay" => Some(Kind::Relay),
        _ => None,
    }
}

/// The id of a profile, a mode or a rule set.
fn id(table: &Table<'_>) -> Option<Located<String>> {
    table.required("id")?.read("input-12", |text| {
        let fits = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.');
        const ACCEPT: &str = "letters, digits, `-`, `_` and `.`, as `input-12`";
        match text.char_indices().find(|(_, letter)| !fits(*letter)) {
            Some((at, letter)) => {
                Err(Misread::from(at, format!("`{letter}` does not belong in an id"), ACCEPT))
            }
            None if text.is_empty() => Err(Misread::whole("the id is empty", ACCEPT)),
            None => Ok(text.to_owned()),
        }
    })
}

/// What it draws; a `standby` alone holds in alarm too.
fn draws(table: &Table<'_>) -> Draws {
    let Some(draws) = table.table("draws", keys::DRAWS) else { return Draws::default() };
    let standby = draws.read("standby", "90 mA", draw).map(|draw| draw.value).unwrap_or_default();
    let alarm = draws.read("alarm", "120 mA", draw).map_or(standby, |draw| draw.value);
    Draws { standby, alarm }
}

/// Amperes, watts or ohms, as the unit says.
fn draw(text: &str) -> Result<Draw, Misread> {
    let watts = quantity::parse::<Watts>(text);
    let ohms = quantity::parse::<Ohms>(text);
    match (quantity::parse::<Amperes>(text), watts, ohms) {
        (Ok(current), _, _) => Ok(Draw::Current(current)),
        (_, Ok(power), _) => Ok(Draw::Power(power)),
        (_, _, Ok(resistance)) => Ok(Draw::Resistance(resistance)),
        (Err(error), _, _) => Err(Misread::from(
            error.at,
            error.text,
            "amperes, watts or ohms, as `350 mA`, `2.4 W` or `47 ohm`",
        )),
    }
}

/// The manual's own steps, by phase.
fn steps(table: &Table<'_>) -> BTreeMap<String, Vec<Step>> {
    let phases = table.value("steps").and_then(|value| value.entries()).unwrap_or_default();
    let read = |(phase, value): (Located<String>, Value<'_>)| {
        let steps = value.list().unwrap_or_default().iter().filter_map(step).collect();
        (phase.value, steps)
    };
    phases.into_iter().map(read).collect()
}

fn step(value: &Value<'_>) -> Option<Step> {
    let table = value.table(keys::STEP)?;
    let act = table.required("do").and_then(|value| value.text());
    let words = |key| table.text(key).map_or(String::new(), |text| text.value);
    let (proof, undoes) = (words("proof"), words("undoes"));
    Some(Step { act: act?.value, proof, undoes })
}
