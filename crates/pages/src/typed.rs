//! What was typed on a card, as a reading of the job: digits in the unit that is pressed, or a value with a unit of its own.

use document::Plain;
use identify::WrittenDown;
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
        let shown = WrittenDown::of(self.shown);
        if matches!(shown, Ok(WrittenDown::Text(digits)) if is_digits(&digits)) {
            format!("{} {label}", self.shown)
        } else {
            self.shown.to_owned()
        }
    }
}

fn is_digits(text: &str) -> bool {
    let text = text.strip_prefix('-').unwrap_or(text);
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.' || byte == b',')
}

/// Key and value of the file.
fn value(asked: &Asked) -> Result<(&'static str, String), String> {
    let word = if asked.unit.is_empty() { UNITS[0].word } else { asked.unit };
    let Some(unit) = UNITS.iter().find(|unit| unit.word == word) else {
        let all: Vec<&str> = UNITS.iter().map(|unit| unit.word).collect();
        return Err(format!("{word} is no unit of a reading. Accepted: {}.", all.join(", ")));
    };
    let text = match WrittenDown::of(asked.shown) {
        Ok(WrittenDown::Open) => return Ok((unit.key, "open".to_owned())),
        Ok(WrittenDown::Unstable) => return Ok((unit.key, "unstable".to_owned())),
        Ok(WrittenDown::Text(text)) => text,
        Err(no) => return Err(format!("{}. Accepted: {}.", view::words::capital(&no.text), no.accept)),
    };
    if is_digits(&text) {
        return Ok((unit.key, format!("{text}{}", unit.behind)));
    }
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
        return Err(format!("{text}: AC or DC? Press V AC or V DC."));
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
