//! Rule sets: their clauses with edition and source.

use document::{Document, Misread, Problem, Source, Table};
use quantity::Hours;

use crate::impairment::{Asked, Impairment};
use crate::keys;
use crate::model::{Clause, RuleSet};

/// Reads a rule set.
pub(super) fn read(source: &Source) -> Result<RuleSet, Vec<Problem>> {
    let document = Document::parse(source);
    let rules = rule_set(&document.root("", keys::RULE_SET));
    match rules {
        Some(rules) if document.problems().is_empty() => Ok(rules),
        _ => Err(document.into_problems()),
    }
}

fn rule_set(table: &Table<'_>) -> Option<RuleSet> {
    let id = super::id(table);
    let title = table.required("title").and_then(|value| value.text());
    let clauses = table.tables("clause", keys::CLAUSE).iter().filter_map(clause).collect();
    let standby = super::power::standby(table);
    let impairments = table.tables("impairment", keys::IMPAIRMENT).iter().filter_map(impairment).collect();
    Some(RuleSet { id: id?.value, title: title?.value, clauses, standby, impairments })
}

/// `after` is a time, or `at once` where the rule names no hours.
fn impairment(table: &Table<'_>) -> Option<Impairment> {
    let text = |key| table.required(key).and_then(|value| value.text());
    let after = table.required("after").and_then(|value| value.read("4 h", after));
    let asks = Asked::ALL.map(|asked| (asked.word(), asked));
    let asks = table.required("asks").and_then(|value| value.list()).map(|list| {
        let asked = list.iter().filter_map(|value| value.word(&asks));
        asked.map(|asked| asked.value).collect()
    });
    let (words, clause, source) = (text("words"), text("clause"), text("source"));
    Some(Impairment {
        after: after?.value,
        asks: asks?,
        words: words?.value,
        clause: clause?.value,
        source: source?.value,
    })
}

fn after(text: &str) -> Result<Option<Hours>, Misread> {
    const ACCEPT: &str = "`at once`, or more than 0 h and no more than 24 h, as `4 h`";
    if text == "at once" {
        return Ok(None);
    }
    let hours =
        quantity::parse::<Hours>(text).map_err(|error| Misread::from(error.at, error.text, ACCEPT))?;
    if hours.0 > 0.0 && hours.0 <= 24.0 {
        Ok(Some(hours))
    } else {
        Err(Misread::whole(format!("`{text}` is no time within 24 h"), ACCEPT))
    }
}

/// Every clause says where it was read: a number without a source is a bug.
fn clause(table: &Table<'_>) -> Option<Clause> {
    let text = |key| table.required(key).and_then(|value| value.text());
    let (clause, asks, source) = (text("clause"), text("asks"), text("source"));
    Some(Clause { clause: clause?.value, asks: asks?.value, source: source?.value })
}
