//! A received message in plain words, for people.

use std::fmt::Write;

use crate::codes::{Codes, Numbers};
use crate::contact_id::{ContactId, decimal};
use crate::receiver::{Heard, Payload};
use crate::text::shown;
use crate::two_letter::{Event, Events};

/// What a message says, without its account: `perimeter zone in alarm, area 1, zone 15`.
#[must_use]
pub fn of(heard: &Heard<'_>, codes: &Codes) -> String {
    let mut out = String::with_capacity(96);
    put(&mut out, heard, codes);
    out
}

/// The same, added to a text.
pub fn put(out: &mut String, heard: &Heard<'_>, codes: &Codes) {
    let said = out.len();
    // Writing to a string cannot fail.
    if let Some(why) = &heard.why {
        let _ = write!(out, "{why}");
    }
    match &heard.payload {
        Payload::ContactId(event) => separated(out, said, |out| contact_id(out, event, codes)),
        Payload::TwoLetter(data) => {
            let events = Events::read(data);
            for event in events {
                separated(out, said, |out| two_letter(out, &event, codes));
            }
            if let Some(text) = events.ascii() {
                separated(out, said, |out| {
                    let _ = write!(out, "text: {}", shown(text));
                });
            }
        }
        Payload::Supervision => separated(out, said, |out| out.push_str("supervision, nothing to report")),
        Payload::Reply => separated(out, said, |out| reply(out, heard)),
        Payload::None => {}
    }
    if heard.duplicate {
        separated(out, said, |out| out.push_str("sent again, counted once"));
    }
    notes(out, said, heard);
}

/// Puts a semicolon before everything but the first; `said` is where the message's words begin.
fn separated(out: &mut String, said: usize, add: impl FnOnce(&mut String)) {
    if out.len() > said {
        out.push_str("; ");
    }
    add(out);
}

/// What a receiver's frame says that came where one listens for senders.
fn reply(out: &mut String, heard: &Heard<'_>) {
    let id = heard.frame.map_or(&b""[..], |frame| frame.id);
    out.push_str(match id {
        b"ACK" => "a receiver's acknowledgement",
        b"NAK" => "a receiver's refusal: the sender's clock is wrong",
        b"DUH" => "a receiver's word that it could not process a message",
        _ => "a receiver's answer with data",
    });
    out.push_str("; not answered");
}

/// What a technician should hear of the sender's spelling and clock.
fn notes(out: &mut String, said: usize, heard: &Heard<'_>) {
    let Some(frame) = heard.frame else { return };
    if let Some(other) = heard.other_account() {
        separated(out, said, |out| {
            let (header, data) = (shown(frame.account), shown(other));
            let _ = write!(
                out,
                "note: the header's account {header} and the data's {data} differ; tied to nothing"
            );
        });
    }
    if frame.lower_case {
        separated(out, said, |out| out.push_str("note: the sender writes hex digits in lower case"));
    }
    if frame.binary_crc {
        separated(out, said, |out| {
            out.push_str("note: the sender's checksum came as two octets, not four digits")
        });
    }
    if let (Some(off), None) = (heard.clock_off_s, &heard.why)
        && off.abs() >= 10
        && frame.encrypted
    {
        separated(out, said, |out| {
            let _ = write!(out, "note: the sender's clock is {} s {}", off.abs(), side(off));
        });
    }
}

/// `ahead` or `behind`.
pub(crate) fn side(off_s: i64) -> &'static str {
    if off_s > 0 { "ahead" } else { "behind" }
}

/// A Contact ID event.
pub(crate) fn contact_id(out: &mut String, event: &ContactId<'_>, codes: &Codes) {
    let row = event.code_number().and_then(|code| codes.contact_id(code));
    match row {
        Some(row) => out.push_str(&row.says(event.qualifier)),
        None => {
            let _ = write!(out, "{}event {}, not in our table", before(event), shown(&event.code));
        }
    }
    if event.area != *b"00" {
        let _ = write!(out, ", area {}", plain(&event.area));
    }
    if event.number != *b"000" {
        let kind = match row.map(|row| row.number) {
            Some(Numbers::User) => "user",
            Some(Numbers::Zone) => "zone",
            _ => "number",
        };
        let _ = write!(out, ", {kind} {}", plain(&event.number));
    }
}

fn before(event: &ContactId<'_>) -> &'static str {
    match event.qualifier {
        crate::Qualifier::New => "",
        crate::Qualifier::Restore => "restored: ",
        crate::Qualifier::Still => "still there: ",
    }
}

/// A two-letter event.
fn two_letter(out: &mut String, event: &Event<'_>, codes: &Codes) {
    let row = codes.two_letter(event.code);
    if event.block == b'O' {
        out.push_str("sent late: ");
    }
    match row {
        Some(row) => out.push_str(&row.meaning),
        None => {
            let _ = write!(out, "event {}, not in our table", shown(&event.code));
        }
    }
    let named = [(*b"ri", "area"), (*b"pi", "module"), (*b"id", "user"), (*b"ti", "at"), (*b"da", "on")];
    for (name, word) in named {
        if let Some(value) = event.modifiers.get(name).filter(|value| !value.is_empty() && *value != b"0") {
            let _ = write!(out, ", {word} {}", shown(value));
        }
    }
    if let Some(number) = event.number.filter(|number| number.iter().any(|digit| *digit != b'0')) {
        let kind = match row.map(|row| row.number) {
            Some(Numbers::Zone) => "zone",
            Some(Numbers::User) => "user",
            Some(Numbers::Area) => "area",
            Some(Numbers::Other(name)) => name,
            _ => "number",
        };
        let _ = write!(out, ", {kind} {}", plain(number));
    }
    if let Some(value) = event.value {
        let _ = write!(out, ", value {}", shown(value));
    }
    if let Some(text) = event.text {
        let _ = write!(out, ", `{}`", shown(text));
    }
}

/// `015` as 15; what is no decimal number as it came.
fn plain(digits: &[u8]) -> String {
    decimal(digits).map_or_else(|| shown(digits).into_owned(), |number| number.to_string())
}
