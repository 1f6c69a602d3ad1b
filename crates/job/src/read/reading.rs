//! Readings: under what condition, and what the instrument showed.

use document::{Key, Misread, Table, Value};
use network::Role;
use quantity::{Seconds, Written};

use crate::keys;
use crate::model::{Display, Reading, Shown, When};

const CONDITIONS: &str = "rest, tripped, a device's name, reversed, joined, opened, earth, earth-a, earth-b, \
                          `core NAME`, `after 60 s` or live";

/// What is a condition in another case or form, and no device's name, with the word of the format.
const WORDS: [(&str, &str); 15] = [
    ("rest", "rest"),
    ("resting", "rest"),
    ("tripped", "tripped"),
    ("trip", "tripped"),
    ("reversed", "reversed"),
    ("reverse", "reversed"),
    ("joined", "joined"),
    ("join", "joined"),
    ("opened", "opened"),
    ("earth", "earth"),
    ("earth_a", "earth-a"),
    ("earth_b", "earth-b"),
    ("live", "live"),
    ("core", "core NAME"),
    ("after", "after 60 s"),
];

/// The keys that hold what was shown.
const VALUES: [Key; 4] = ["ohms", "volts_dc", "volts_ac", "amps"];

/// One entry of `found`.
pub(super) fn reading(value: &Value<'_>) -> Option<Reading> {
    let table = value.table(keys::FOUND)?;
    let when = table.required("when").and_then(|when| when.read("rest", condition));
    let fed = table.yes_or_no("fed").is_some_and(|fed| fed.value);
    if !VALUES.iter().any(|key| table.has(key)) {
        table.problems().report_missing(
            table.span(),
            "a reading shows nothing",
            "one of `ohms`, `volts_dc`, `volts_ac` or `amps`",
        );
    }
    let shown = [
        display(&table, "ohms", true).map(Shown::Ohms),
        display(&table, "volts_dc", false).map(Shown::VoltsDc),
        display(&table, "volts_ac", false).map(Shown::VoltsAc),
        display(&table, "amps", false).map(Shown::Amps),
    ];
    let line = table.source().place(table.span().start).line;
    Some(Reading { when: when?.value, fed, shown: shown.into_iter().flatten().collect(), line })
}

/// A value as shown, `unstable`, or `open` where the range has it: only ohms do, volts and amperes of an open pair are 0.
fn display<Q: Written>(table: &Table<'_>, key: Key, has_open: bool) -> Option<Display<Q>> {
    let read = |text: &str| match text {
        "unstable" => Ok(Display::Unstable),
        "open" if has_open => Ok(Display::Open),
        "open" => Err(Misread::whole(
            "only ohms are open; volts and amperes are what the meter shows",
            "a value, as `0 V` or `13.7 V`, on the highest range where it was over range (until then the pair is not touched); `unstable`",
        )),
        _ => match quantity::parse_typed::<Q>(text) {
            Ok(typed) => Ok(Display::Value { value: typed.value, digit: typed.digit }),
            Err(error) => {
                let also = if has_open { "; `open` when over range, `unstable`" } else { "; `unstable`" };
                Err(Misread::from(error.at, error.text, format!("{}{also}", error.accept)))
            }
        },
    };
    table.read(key, "4.71 kohm", read).map(|shown| shown.value)
}

/// The condition of a reading. What is no word of the format is a device's name.
fn condition(text: &str) -> Result<When, Misread> {
    Ok(match text {
        "rest" => When::Rest,
        "tripped" => When::Tripped,
        "reversed" => When::Reversed,
        "joined" => When::Joined,
        "opened" => When::Opened,
        "earth" => When::Earth,
        "earth-a" => When::EarthA,
        "earth-b" => When::EarthB,
        "live" => When::Live,
        _ => return condition_with_argument(text),
    })
}

fn condition_with_argument(text: &str) -> Result<When, Misread> {
    if let Some(core) = text.strip_prefix("core ") {
        let name = core.trim();
        if name.is_empty() {
            return Err(Misread::from(
                text.len(),
                "the core has no name",
                "the name of a core, as `core green`",
            ));
        }
        return Ok(When::Core(name.to_owned()));
    }
    if let Some(time) = text.strip_prefix("after ") {
        let time = quantity::parse::<Seconds>(time).map_err(|error| {
            let at = "after ".len() + error.at;
            Misread::from(at, error.text, error.accept)
        })?;
        return Ok(When::After(time));
    }
    device(text).map(When::Device)
}

/// Whether a device can be called so, in a reading and in a network: a letter, then letters, digits or `_`, and no word of
/// the format.
#[must_use]
pub fn is_device_name(text: &str) -> bool {
    !text.contains('.') && matches!(condition(text), Ok(When::Device(_)))
}

/// A device's name as the notation has it, with the role of the contact where it is not the alarm.
fn device(text: &str) -> Result<String, Misread> {
    let (name, role) = text.split_once('.').map_or((text, None), |(name, role)| (name, Some(role)));
    let letters = |(at, letter): (usize, char)| {
        let fits = if at == 0 { letter.is_alphabetic() } else { letter.is_alphanumeric() || letter == '_' };
        !fits
    };
    if name.is_empty() {
        return Err(Misread::whole("the condition is empty", CONDITIONS));
    }
    if let Some(word) = WORDS.iter().find(|(near, _)| near.eq_ignore_ascii_case(name)).map(|(_, word)| word) {
        let wrong = format!("`{name}` is no device's name but a condition, which is written `{word}`");
        return Err(Misread::whole(wrong, CONDITIONS));
    }
    if let Some((at, letter)) = name.char_indices().find(|place| letters(*place)) {
        let hint =
            document::nearest(text, ["rest", "tripped", "reversed", "joined", "opened", "earth", "live"]);
        let hint = hint.map_or(String::new(), |word| format!(", did you mean `{word}`?"));
        let wrong = format!("`{letter}` does not belong in a condition or a device's name{hint}");
        return Err(Misread::from(at, wrong, CONDITIONS));
    }
    match role.map(Role::from_word) {
        None | Some(Some(Role::Alarm)) => Ok(name.to_owned()),
        Some(Some(role)) => Ok(format!("{name}.{}", role.word())),
        Some(None) => {
            Err(Misread::from(name.len() + 1, "this is no role of a contact", "alarm, tamper or fault"))
        }
    }
}
