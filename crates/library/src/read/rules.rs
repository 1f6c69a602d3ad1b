//! Rule sets: their clauses with edition and source.

use document::{Document, Problem, Source, Table};

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
    Some(RuleSet { id: id?.value, title: title?.value, clauses, standby })
}

/// Every clause says where it was read: a number without a source is a bug.
fn clause(table: &Table<'_>) -> Option<Clause> {
    let text = |key| table.required(key).and_then(|value| value.text());
    let (clause, asks, source) = (text("clause"), text("asks"), text("source"));
    Some(Clause { clause: clause?.value, asks: asks?.value, source: source?.value })
}
