//! What was typed on a card, as a reading of the job: digits in the unit that is pressed, or a value with a unit of its own.

use document::Plain;
use job::{Circuit, Reading, Shown, When};

/// A unit that a meter shows a reading in.
pub(crate) struct Unit {
    /// The word of the form.
    pub(crate) word: &'static str,
    /// What stands on its key.
    pub(crate) label: &'static str,
    /// What it is called.
    pub(crate) name: &'static str,
    /// The key of the file that it belongs to.
    key: &'static str,
    /// What stands behind the digits in the file.
    behind: &'static str,
}

const fn unit(
    word: &'static str,
    label: &'static str,
    name: &'static str,
    key: &'static str,
    behind: &'static str,
) -> Unit {
    Unit { word, label, name, key, behind }
}

/// The units, the usual one first.
pub(crate) const UNITS: [Unit; 7] = [
    unit("kohm", "kΩ", "kilohms", "ohms", "k"),
    unit("ohm", "Ω", "ohms", "ohms", " ohm"),
    unit("Mohm", "MΩ", "megohms", "ohms", "M"),
    unit("Vac", "V AC", "volts AC", "volts_ac", " V"),
    unit("Vdc", "V DC", "volts DC", "volts_dc", " V"),
    unit("mVdc", "mV DC", "millivolts DC", "volts_dc", " mV"),
    unit("mA", "mA DC", "milliamperes DC", "amps", " mA"),
];
/// What a person writes for over range.
const OPEN_WORDS: [&str; 5] = ["open", "ol", "o.l", "o.l.", "over range"];

/// What a form says of a reading.
pub(crate) struct Asked<'a> {
    pub(crate) when: &'a str,
    pub(crate) device: &'a str,
    pub(crate) fed: bool,
    pub(crate) shown: &'a str,
    pub(crate) unit: &'a str,
}

impl<'a> Asked<'a> {
    pub(crate) fn of(fields: &'a [(String, String)]) -> Self {
        let of =
            |name: &str| fields.iter().find(|(key, _)| key == name).map_or("", |(_, value)| value.trim());
        let shown = match of("over") {
            word @ ("open" | "unstable") => word,
            _ => of("shown"),
        };
        Self { when: of("when"), device: of("device"), fed: of("fed") == "yes", shown, unit: of("unit") }
    }

    /// What was typed and the unit that was pressed, as they stood on the card.
    pub(crate) fn words(&self) -> String {
        let label =
            UNITS.iter().find(|unit| unit.word == self.unit).map_or(UNITS[0].label, |unit| unit.label);
        match is_digits(&signed(self.shown)) {
            true => format!("{} {label}", self.shown),
            false => self.shown.to_owned(),
        }
    }
}

/// With the sign that a file has.
fn signed(text: &str) -> String {
    text.replacen(['\u{2212}', '\u{2013}'], "-", 1)
}

fn is_digits(text: &str) -> bool {
    let text = text.strip_prefix('-').unwrap_or(text);
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.' || byte == b',')
}

/// A comma between digits is the point of whoever types with one; a display has no other.
fn pointed(text: &str) -> String {
    let comma = text.split_once(',').filter(|(before, after)| {
        before.ends_with(|sign: char| sign.is_ascii_digit())
            && after.starts_with(|sign: char| sign.is_ascii_digit())
            && !text.contains('.')
    });
    match comma {
        Some((before, after)) if !after.contains(',') => format!("{before}.{after}"),
        _ => text.to_owned(),
    }
}

/// Whether its one comma may part thousands as well as be a point: three digits behind it, and no point.
fn is_thousands(text: &str) -> bool {
    let Some((before, after)) = text.split_once(',') else { return false };
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    let is_one = !after.contains(',') && !text.contains('.');
    is_one && digits == 3 && before.ends_with(|sign: char| sign.is_ascii_digit())
}

/// Key and value of the file.
fn value(asked: &Asked) -> Result<(&'static str, String), String> {
    let word = if asked.unit.is_empty() { UNITS[0].word } else { asked.unit };
    let Some(unit) = UNITS.iter().find(|unit| unit.word == word) else {
        let all: Vec<&str> = UNITS.iter().map(|unit| unit.word).collect();
        return Err(format!("{word} is no unit of a reading. Accepted: {}.", all.join(", ")));
    };
    let shown = signed(asked.shown);
    let lower = shown.to_lowercase();
    if OPEN_WORDS.contains(&lower.as_str()) {
        return Ok((unit.key, "open".to_owned()));
    }
    if lower == "unstable" {
        return Ok((unit.key, lower));
    }
    if shown.starts_with('>') {
        return Err(format!("{shown} is no display of a meter. Accepted: open, where it shows over range."));
    }
    if is_thousands(&shown) {
        let (with_point, without) = (shown.replace(',', "."), shown.replace(',', ""));
        return Err(format!(
            "{shown} can be read in two ways. Write {with_point} where the comma is a point, {without} where it parts thousands."
        ));
    }
    if is_digits(&shown) {
        return Ok((unit.key, format!("{}{}", pointed(&shown), unit.behind)));
    }
    let text = pointed(&shown);
    let is_of = |key: &str| match key {
        "ohms" => quantity::parse_typed::<quantity::Ohms>(&text).is_ok(),
        "amps" => quantity::parse_typed::<quantity::Amperes>(&text).is_ok(),
        _ => quantity::parse_typed::<quantity::Volts>(&text).is_ok(),
    };
    // Its own unit says more than the one that happens to be pressed; of volts it does not say which kind.
    if is_of(unit.key) {
        return Ok((unit.key, text));
    }
    if is_of("ohms") {
        return Ok(("ohms", text));
    }
    if is_of("amps") {
        return Ok(("amps", text));
    }
    if is_of("volts_dc") {
        return Err(format!("{shown}: AC or DC? Press V AC or V DC."));
    }
    Ok((unit.key, text))
}

/// The reading as a job would read it, and as it stands in the file; none while nothing is typed.
pub(crate) fn reading(asked: &Asked, circuit: &Circuit) -> Result<Option<(Reading, Plain)>, String> {
    if asked.shown.is_empty() {
        return Ok(None);
    }
    let (key, typed) = value(asked)?;
    let when = match (asked.when, asked.device) {
        ("tripped", device) if !device.is_empty() => device.to_owned(),
        ("", _) => "rest".to_owned(),
        (when, _) => when.to_owned(),
    };
    let mut entry = vec![("when".to_owned(), Plain::Text(when)), (key.to_owned(), Plain::Text(typed))];
    if asked.fed {
        entry.push(("fed".to_owned(), Plain::Bool(true)));
    }
    let plain = Plain::Table(entry);
    let text = format!(
        "format = 1\n[[circuit]]\ntag = {}\nfound = [{}]\n",
        Plain::Text(circuit.tag.value.clone()).literal(),
        plain.literal()
    );
    match job::Job::read(&document::Source::new("", text)) {
        Ok(mut job) => {
            let reading = job.circuits.pop().and_then(|mut circuit| circuit.found.pop());
            Ok(reading.map(|reading| (reading, plain)))
        }
        Err(problems) => {
            let problem = problems.first();
            let says = problem.map_or("This cannot be read.".to_owned(), |problem| {
                format!(
                    "{}. Accepted: {}.",
                    view::words::capital(&problem.text),
                    problem.accept.trim_end_matches('.')
                )
            });
            Err(says)
        }
    }
}

/// The keys of a reading as JSON, what was typed, and how well the meter reads.
pub(crate) fn data(plain: &Plain, typed: &str, accuracy: &str) -> String {
    fn json(plain: &Plain) -> serde_json::Value {
        match plain {
            Plain::Table(entries) => entries.iter().map(|(key, value)| (key.clone(), json(value))).collect(),
            Plain::Bool(value) => (*value).into(),
            Plain::Text(text) => text.clone().into(),
            other => other.literal().into(),
        }
    }
    let mut data = json(plain);
    data["accuracy"] = accuracy.into();
    if !typed.is_empty() {
        data["typed"] = typed.into();
    }
    data.to_string()
}

/// A condition as the file has it.
pub(crate) fn when_word(when: &When) -> String {
    match when {
        When::Rest => "rest".to_owned(),
        When::Tripped => "tripped".to_owned(),
        When::Device(name) => name.clone(),
        When::Reversed => "reversed".to_owned(),
        When::Joined => "joined".to_owned(),
        When::Opened => "opened".to_owned(),
        When::Earth => "earth".to_owned(),
        When::EarthA => "earth-a".to_owned(),
        When::EarthB => "earth-b".to_owned(),
        When::Core(core) => format!("core {core}"),
        When::After(time) => format!("after {}", quantity::Written::written(*time)),
        When::Live => "live".to_owned(),
    }
}

/// A reading as an entry of `found`.
pub(crate) fn written(reading: &Reading) -> Plain {
    let mut entry = vec![("when".to_owned(), Plain::Text(when_word(&reading.when)))];
    for shown in &reading.shown {
        let key = match shown {
            Shown::Ohms(_) => "ohms",
            Shown::VoltsDc(_) => "volts_dc",
            Shown::VoltsAc(_) => "volts_ac",
            Shown::Amps(_) => "amps",
        };
        entry.push((key.to_owned(), Plain::Text(identify::as_typed(shown))));
    }
    if reading.fed {
        entry.push(("fed".to_owned(), Plain::Bool(true)));
    }
    Plain::Table(entry)
}
