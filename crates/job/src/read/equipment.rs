//! Enclosures, modules, devices and outputs.

use document::Table;
use quantity::Minutes;

use super::{count, id, reference, words};
use crate::keys;
use crate::model::{Connection, Device, Enclosure, Link, Module, Output, TamperInput};

/// More than a week to reach one device is a slip of the keyboard.
const MOST_MINUTES: f64 = 10_000.0;

/// More free inputs than this nobody wants.
pub(super) const MOST_SPARE: u32 = 10_000;

pub(super) fn enclosures(root: &Table<'_>) -> Vec<Enclosure> {
    let enclosure = |table: &Table<'_>| {
        let id = id(table, "id");
        let enclosure = Enclosure {
            place: words(table, "place"),
            profile: reference(table, "profile"),
            beside: reference(table, "beside"),
            spare_at: table.key_span("spare"),
            spare: count(table, "spare", 0, MOST_SPARE).unwrap_or(0),
            id: id?,
        };
        Some(enclosure)
    };
    root.tables("enclosure", keys::ENCLOSURE).iter().filter_map(enclosure).collect()
}

pub(super) fn modules(root: &Table<'_>) -> Vec<Module> {
    let links = [("radio", Link::Radio), ("bus", Link::Bus), ("direct", Link::Direct)];
    let module = |table: &Table<'_>| {
        let id = id(table, "id");
        let module = Module {
            enclosure: reference(table, "enclosure"),
            profile: reference(table, "profile"),
            mode: reference(table, "mode"),
            link: table.word("link", &links).map(|link| link.value),
            fed_by: reference(table, "fed_by"),
            tamper: table
                .word(
                    "tamper",
                    &[TamperInput::Wired, TamperInput::Bridged].map(|tamper| (tamper.word(), tamper)),
                )
                .map(|tamper| tamper.value),
            id: id?,
        };
        Some(module)
    };
    root.tables("module", keys::MODULE).iter().filter_map(module).collect()
}

pub(super) fn devices(root: &Table<'_>) -> Vec<Device> {
    let connections = [("in-out", Connection::InOut), ("tapped", Connection::Tapped)];
    let device = |table: &Table<'_>| {
        let id = id(table, "id");
        let made = table.whole("made", 1900, 2100);
        let device = Device {
            profile: reference(table, "profile"),
            place: words(table, "place"),
            access: words(table, "access"),
            minutes: table.number("minutes", 0.0, MOST_MINUTES).map(|minutes| Minutes(minutes.value)),
            made: made.and_then(|year| i32::try_from(year.value).ok()),
            fed_by: reference(table, "fed_by"),
            connection: table.word("connection", &connections).map(|connection| connection.value),
            listing: words(table, "listing"),
            id: id?,
        };
        Some(device)
    };
    root.tables("device", keys::DEVICE).iter().filter_map(device).collect()
}

pub(super) fn outputs(root: &Table<'_>) -> Vec<Output> {
    let output = |table: &Table<'_>| {
        let id = id(table, "id");
        let output = Output {
            drives: words(table, "drives"),
            contact: table.quantity("contact").map(|contact| contact.value),
            fed_from: reference(table, "fed_from"),
            driver: table
                .word("gives", &[("steady", false), ("driver", true)])
                .is_some_and(|gives| gives.value),
            id: id?,
        };
        Some(output)
    };
    root.tables("output", keys::OUTPUT).iter().filter_map(output).collect()
}
