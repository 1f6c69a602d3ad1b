//! A received message as JSON: one object a line, in the words of the format.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::Serialize;
use signal::{Codes, Events, Heard, Payload, decoded};

/// What `receive --json` prints, one a line.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct SignalJson<'m> {
    /// `ack`, `nak`, `duh`, `ignored`, or `ok` for a receiver's own frame, which is never answered.
    outcome: &'static str,
    /// `tcp` or `udp`.
    transport: &'static str,
    /// The token, without its star; null where no header could be read.
    id: Option<Cow<'m, str>>,
    /// Whether it came encrypted.
    encrypted: Option<bool>,
    /// Four digits.
    seq: Option<Cow<'m, str>>,
    /// The receiver's number, null where none was sent.
    rcvr: Option<Cow<'m, str>>,
    /// The account's prefix.
    pref: Option<Cow<'m, str>>,
    /// The account.
    acct: Option<Cow<'m, str>>,
    /// The message's own time, `HH:MM:SS,MM-DD-YYYY`, GMT.
    timestamp: Option<String>,
    /// What stands in the brackets, without a pad.
    data: Option<Cow<'m, str>>,
    /// Extended fields.
    xdata: Vec<FieldJson<'m>>,
    /// A Contact ID event.
    cid: Option<ContactIdJson<'m>>,
    /// Two-letter events.
    events: Vec<EventJson<'m>>,
    /// A free text that came with them.
    ascii: Option<Cow<'m, str>>,
    /// It was sent before: acknowledged, and counted once.
    duplicate: bool,
    /// What it was tied to in the job; empty without a job, and for what is not new.
    ties: Vec<TieJson>,
    /// What it says, for people.
    words: Cow<'m, str>,
}

/// What a signal was tied to in the job.
#[derive(Serialize, JsonSchema, Clone, Default, Debug)]
pub(crate) struct TieJson {
    /// The circuit whose number it has; null: the system, a user, or nothing in the job.
    pub(crate) circuit: Option<String>,
    /// Where the circuit goes.
    pub(crate) place: String,
    /// What was expected; null when the signal is none that is expected.
    pub(crate) condition: Option<&'static str>,
    /// The expected signal's key, the same from run to run.
    pub(crate) expected: Option<String>,
    /// How often it has come now.
    pub(crate) came: Option<usize>,
    /// How often it must come: once for each device that brings it. The signal does not say which.
    pub(crate) of: Option<usize>,
}

impl TieJson {
    /// For people.
    pub(crate) fn says(&self) -> String {
        let place = if self.place.is_empty() { String::new() } else { format!(" {}", self.place) };
        match (&self.circuit, self.condition) {
            (Some(tag), Some(condition)) => {
                format!("{tag}{place}: {condition}, as expected{}", self.counted())
            }
            (Some(tag), None) => format!("{tag}{place}: its number, but not a code that is expected of it"),
            (None, Some(condition)) => format!("{condition}, as expected{}", self.counted()),
            (None, None) => "not expected by this job".to_owned(),
        }
    }

    fn counted(&self) -> String {
        match (self.came, self.of) {
            (Some(came), Some(of)) if of > 1 || came > 1 => format!(" ({came} of {of})"),
            _ => String::new(),
        }
    }
}

/// One extended field.
#[derive(Serialize, JsonSchema, Debug)]
struct FieldJson<'m> {
    /// Its letter.
    id: char,
    /// Its text.
    value: Cow<'m, str>,
}

/// A Contact ID event.
#[derive(Serialize, JsonSchema, Debug)]
struct ContactIdJson<'m> {
    /// The account in the data.
    acct: Option<Cow<'m, str>>,
    /// 1 new or opening, 3 restore or closing, 6 still there.
    q: u8,
    /// Three digits.
    code: Cow<'m, str>,
    /// Area, two digits.
    group: Cow<'m, str>,
    /// Zone or user, three digits.
    zone: Cow<'m, str>,
}

/// A two-letter event.
#[derive(Serialize, JsonSchema, Debug)]
struct EventJson<'m> {
    /// `N` new, `O` sent late.
    func: char,
    /// Modifiers by name.
    mods: Pairs<'m>,
    /// Two letters.
    code: Cow<'m, str>,
    /// The number behind it.
    addr: Option<Cow<'m, str>>,
    /// The value behind `*`.
    value: Option<Cow<'m, str>>,
    /// The text between `^`.
    text: Option<Cow<'m, str>>,
}

/// Names and values, as a JSON object in the order in which they came.
#[derive(Debug)]
struct Pairs<'m>(Vec<(Cow<'m, str>, Cow<'m, str>)>);

impl Serialize for Pairs<'_> {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.iter().map(|(name, value)| (name, value)))
    }
}

impl JsonSchema for Pairs<'_> {
    fn schema_name() -> Cow<'static, str> {
        "Modifiers".into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        <std::collections::BTreeMap<String, String>>::json_schema(generator)
    }
}

impl<'m> SignalJson<'m> {
    /// The twin of what was heard; `timestamp` is the only part that is made anew.
    pub(crate) fn new(
        heard: &'m Heard<'m>,
        transport: &'static str,
        words: &'m str,
        ties: Vec<TieJson>,
    ) -> Self {
        let frame = heard.frame.as_ref();
        let body = heard.body.as_ref();
        let field = |field: signal::ExtendedField<'m>| FieldJson {
            id: char::from(field.letter),
            value: decoded(field.value),
        };
        let mut json = Self {
            outcome: heard.outcome.word(),
            transport,
            id: frame.map(|frame| decoded(frame.id)),
            encrypted: frame.map(|frame| frame.encrypted),
            seq: frame.map(|frame| decoded(frame.sequence)),
            rcvr: frame.and_then(|frame| frame.receiver).map(decoded),
            pref: frame.map(|frame| decoded(frame.prefix)),
            acct: frame.map(|frame| decoded(frame.account)),
            timestamp: body.and_then(|body| body.stamp).map(|stamp| {
                let octets = stamp.octets();
                decoded(&octets[1..]).into_owned()
            }),
            data: body.map(|body| decoded(body.data)),
            xdata: body.map_or(Vec::new(), |body| body.fields().map(field).collect()),
            cid: None,
            events: Vec::new(),
            ascii: None,
            duplicate: heard.duplicate,
            ties,
            words: Cow::Borrowed(words),
        };
        match &heard.payload {
            Payload::ContactId(event) => {
                json.cid = Some(ContactIdJson {
                    acct: event.account.map(decoded),
                    q: event.qualifier.digit(),
                    code: decoded(&event.code),
                    group: decoded(&event.area),
                    zone: decoded(&event.number),
                });
            }
            Payload::TwoLetter(data) => {
                let events = Events::read(data);
                json.ascii = events.ascii().map(decoded);
                json.events = events.map(event).collect();
            }
            _ => {}
        }
        json
    }

    /// What it was tied to.
    pub(crate) fn ties(&self) -> &[TieJson] {
        &self.ties
    }

    /// The account; empty where none could be read.
    pub(crate) fn account(&self) -> &str {
        self.acct.as_deref().unwrap_or_default()
    }

    /// What it says.
    pub(crate) fn words(&self) -> &str {
        &self.words
    }
}

fn event<'m>(event: signal::Event<'m>) -> EventJson<'m> {
    let text = |octets: &[u8]| Cow::Owned(decoded(octets).into_owned());
    EventJson {
        func: char::from(event.block),
        mods: Pairs(event.modifiers.iter().map(|one| (text(&one.name), decoded(one.value))).collect()),
        code: text(&event.code),
        addr: event.number.map(decoded),
        value: event.value.map(decoded),
        text: event.text.map(decoded),
    }
}

/// The words of a message.
pub(super) fn words(out: &mut String, heard: &Heard<'_>, codes: &Codes) {
    out.clear();
    signal::words::put(out, heard, codes);
}
