//! What people ask of the allocation.

use document::{Located, Table};
use quantity::{Metres, Minutes, Ratio};

use super::equipment::MOST_SPARE;
use super::office::money;
use super::{count, reference};
use crate::allocating::{AllocateTerms, Extension};
use crate::keys;

/// More boxes than this hang beside no enclosure.
const MOST_ANNEXES: u32 = 100;
/// A week of work on one cable is a slip of the keyboard.
const MOST_MINUTES: f64 = 10_000.0;

pub(super) fn terms(root: &Table<'_>) -> AllocateTerms {
    let usual = AllocateTerms::default();
    let Some(table) = root.table("allocate", keys::ALLOCATE) else { return usual };
    let table = &table;
    let yes = |key, usual| table.yes_or_no(key).map_or(usual, |said| said.value);
    AllocateTerms {
        offer: table.has("offer").then(|| table.texts("offer")),
        new_modules: yes("new_modules", usual.new_modules),
        new_modules_at: table.key_span("new_modules"),
        spare_at: table.key_span("spare"),
        annexes_at: table.key_span("annexes"),
        spare: count(table, "spare", 0, MOST_SPARE).unwrap_or(usual.spare),
        hour: money(table, "hour"),
        money: share(table).unwrap_or(usual.money),
        annex: reference(table, "annex"),
        annexes: count(table, "annexes", 0, MOST_ANNEXES).unwrap_or(usual.annexes),
        keep_numbers: yes("keep_numbers", usual.keep_numbers),
        areas_together: yes("areas_together", usual.areas_together),
    }
}

/// From nothing to ten times as much, in whole percent.
fn share(table: &Table<'_>) -> Option<Ratio> {
    let share = table.quantity_within::<Ratio>("money", Ratio(0.0), Ratio(10.0))?;
    let percent = share.value.0 * 100.0;
    if (percent - percent.round()).abs() > 1e-9 {
        table.problems().report(share.span, "a share of a percent", "whole percent, as \"80 %\"");
        return None;
    }
    Some(share.value)
}

pub(super) fn extensions(root: &Table<'_>) -> Vec<Extension> {
    let extension = |table: &Table<'_>| {
        let id = |key| -> Option<Located<String>> {
            let id = reference(table, key);
            if id.is_none() && !table.has(key) {
                let _ = table.required(key);
            }
            id
        };
        let (from, to) = (id("from"), id("to"));
        let length = table.quantity_within::<Metres>("length", Metres(0.1), Metres(10_000.0));
        if length.is_none() && !table.has("length") {
            let _ = table.required("length");
        }
        let minutes = table.number("minutes", 0.0, MOST_MINUTES).map(|minutes| Minutes(minutes.value));
        Some(Extension { from: from?, to: to?, length: length?.value, minutes })
    };
    root.tables("extension", keys::EXTENSION).iter().filter_map(extension).collect()
}
