//! Station, areas, users, and how a circuit is programmed.

use document::{Key, Located, Misread, Table, Value};
use quantity::Seconds;

use super::words;
use crate::keys;
use crate::station::{Area, DateOrder, HistoryMap, Programmed, ReportFormat, Response, Station, User};

/// Area numbers have two digits in Contact ID, users three.
const MOST_AREAS: i64 = 99;
/// See [`MOST_AREAS`].
const MOST_USERS: i64 = 999;
/// An entry, exit or sounder time above an hour is a slip of the keyboard.
const MOST_TIME: Seconds = Seconds(3600.0);

pub(super) fn station(root: &Table<'_>) -> Option<Station> {
    let table = root.table("station", keys::STATION)?;
    let table = &table;
    let formats = [ReportFormat::ContactId, ReportFormat::TwoLetter].map(|format| (format.word(), format));
    Some(Station {
        name: words(table, "name"),
        telephone: words(table, "telephone"),
        account: digits(table, "account", 3, 16),
        prefix: digits(table, "prefix", 1, 6),
        receiver: digits(table, "receiver", 1, 6),
        format: table.word("format", &formats).map(|format| format.value).unwrap_or_default(),
        premises: words(table, "premises"),
        time_zone: words(table, "time_zone"),
        site_telephone: words(table, "site_telephone"),
        authorities: texts(table, "authorities"),
        permit: words(table, "permit"),
        call_order: texts(table, "call_order"),
        test_report: table.quantity("test_report").map(|hours| hours.value),
    })
}

pub(super) fn areas(root: &Table<'_>) -> Vec<Area> {
    let area = |table: &Table<'_>| {
        let time = |key| table.quantity_within(key, Seconds(0.0), MOST_TIME).map(|time| time.value);
        let area = Area {
            name: words(table, "name"),
            entry: time("entry"),
            exit: time("exit"),
            sounder: time("sounder"),
            confirm: words(table, "confirm"),
            route: table.texts("route"),
            number: number(table.required("number"), MOST_AREAS)?,
        };
        Some(area)
    };
    root.tables("area", keys::AREA).iter().filter_map(area).collect()
}

pub(super) fn users(root: &Table<'_>) -> Vec<User> {
    let user = |table: &Table<'_>| {
        let user = User {
            name: words(table, "name"),
            may: words(table, "may"),
            number: number(table.required("number"), MOST_USERS)?,
        };
        Some(user)
    };
    root.tables("user", keys::USER).iter().filter_map(user).collect()
}

pub(super) fn programmed(table: &Table<'_>) -> Programmed {
    let responses = Response::ALL.map(|response| (response.word(), response));
    Programmed {
        name: words(table, "name"),
        area: number(table.value("area"), MOST_AREAS),
        response: table.word("response", &responses).map(|response| response.value),
        report: table.read("report", "131", report),
    }
}

pub(super) fn history(root: &Table<'_>) -> Option<HistoryMap> {
    let table = root.table("history", keys::HISTORY)?;
    let table = &table;
    let orders = DateOrder::ALL.map(|order| (order.word(), order));
    let shift = table.read("shift", "5 h", |text| HistoryMap::parse_shift(text).map_err(Into::into));
    Some(HistoryMap {
        time: words(table, "time"),
        date: words(table, "date"),
        account: words(table, "account"),
        code: words(table, "code"),
        zone: words(table, "zone"),
        area: words(table, "area"),
        event: words(table, "event"),
        order: table.word("order", &orders).map(|order| order.value),
        shift: shift.map(|shift| shift.value),
    })
}

fn texts(table: &Table<'_>, key: Key) -> Vec<String> {
    table.texts(key).into_iter().map(|text| text.value).collect()
}

fn number(value: Option<Value<'_>>, most: i64) -> Option<Located<u32>> {
    let number = value?.whole(1, most)?;
    Some(number.map(|number| u32::try_from(number).unwrap_or(u32::MAX)))
}

/// Digits 0-9 A-F, as messages have them.
fn digits(table: &Table<'_>, key: Key, least: usize, most: usize) -> Option<Located<String>> {
    table.read(key, "4401", |text| {
        let accept = || format!("{least} to {most} digits 0-9 A-F");
        if let Some((at, sign)) = text.char_indices().find(|(_, sign)| !matches!(sign, '0'..='9' | 'A'..='F'))
        {
            return Err(Misread::from(at, format!("`{sign}` is none of the digits of a message"), accept()));
        }
        if !(least..=most).contains(&text.len()) {
            return Err(Misread::whole(format!("{} digits", text.len()), accept()));
        }
        Ok(text.to_owned())
    })
}

fn report(text: &str) -> Result<String, Misread> {
    const ACCEPT: &str = "three digits of Contact ID, as `131`, or a two-letter code, as `BA`";
    let three = text.len() == 3 && text.bytes().all(|digit| digit.is_ascii_digit());
    let two = text.len() == 2 && text.bytes().all(|letter| letter.is_ascii_uppercase());
    if three || two {
        Ok(text.to_owned())
    } else {
        Err(Misread::whole(format!("`{text}` is no code"), ACCEPT))
    }
}
