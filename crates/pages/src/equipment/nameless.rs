//! What hangs on a thing in tables that have no name: words on standby for a supply, longer ways from an enclosure.

use document::Plain;
use job::{Change, Place, TableRef};

use super::form::Text;
use super::remove::Hangs;

/// Entries of a list of the document that name one thing, the last first: so that numbers of those before stay.
fn entries(
    text: &Text,
    list: &str,
    without: impl Fn(&Plain) -> Option<(String, Option<Plain>)>,
) -> Vec<Hangs> {
    let document = TableRef::document();
    let all = text.entries(&document, list).into_iter().enumerate().rev();
    let hangs = all.filter_map(|(at, entry)| {
        let (words, to) = without(entry)?;
        let at = Place::Entry(document.clone(), list.to_owned(), at);
        Some(Hangs { words, link: None, free: vec![Change { at, from: Some(entry.clone()), to }] })
    });
    hangs.collect()
}

/// Longer ways from or to an enclosure.
pub(super) fn longer_ways(text: &Text, of: &str) -> Vec<Hangs> {
    entries(text, "extension", |entry| {
        let end = |key: &str| match entry.get(key) {
            Some(Plain::Text(id)) => id.as_str(),
            _ => "",
        };
        let (from, to) = (end("from"), end("to"));
        (from == of || to == of).then(|| (format!("The longer way from {from} to {to} goes with it."), None))
    })
}

/// A word on standby for one supply goes with it; from one for several only its name goes.
pub(super) fn words_on_standby(text: &Text, of: &str) -> Vec<Hangs> {
    let is_it = |one: &Plain| matches!(one, Plain::Text(id) if id == of);
    entries(text, "standby", |entry| {
        let left: Vec<Plain> = match entry.get("supply")? {
            Plain::List(all) if all.iter().any(is_it) => {
                all.iter().filter(|one| !is_it(one)).cloned().collect()
            }
            one if is_it(one) => Vec::new(),
            _ => return None,
        };
        let rules = match entry.get("rules") {
            Some(Plain::Text(rules)) => rules.as_str(),
            _ => "",
        };
        let (Plain::Table(keys), false) = (entry, left.is_empty()) else {
            return Some((format!("The word on standby of {rules} for it goes with it."), None));
        };
        let mut keys = keys.clone();
        for (_, value) in keys.iter_mut().filter(|(key, _)| key == "supply") {
            *value = Plain::List(left.clone());
        }
        Some((format!("A word on standby of {rules} names it."), Some(Plain::Table(keys))))
    })
}
