//! What hangs on a module or in an enclosure, put on another one.

use document::Plain;
use job::{Change, InputRef, Job, Place, TableRef};

use super::form::Text;
use super::remove::{Hangs, on_enclosure, on_module};

/// What was on one module or in one enclosure put on another, with the same numbers.
pub(super) fn moved(job: &Job, text: &Text, of: &str, other: &str) -> Result<Vec<Change>, String> {
    let mut changes = Vec::new();
    let mut put = |table: TableRef, key: &str, to: Plain| {
        let at = Place::Key(table, key.to_owned());
        let from = text.value(&at).cloned();
        changes.push(Change { at, from, to: Some(to) });
    };
    if job.modules.iter().any(|module| module.id.value == of) {
        for circuit in &job.circuits {
            let table = || TableRef::named("circuit", &circuit.tag);
            let anew = |input: &InputRef| Plain::Text(format!("{other}.{}", input.number));
            if let Some(input) = circuit.input.as_ref().filter(|input| input.module == of) {
                let taken = |one: &&job::Circuit| {
                    one.input
                        .iter()
                        .chain(&one.also)
                        .any(|taken| taken.module == other && taken.number == input.number)
                };
                if let Some(taken) = job.circuits.iter().find(taken) {
                    return Err(format!(
                        "Nothing was changed: {} is on {other}.{} already, so {} cannot go there. Give one of the two another input first.",
                        taken.tag.value, input.number, circuit.tag.value
                    ));
                }
                put(table(), "input", anew(input));
                if !circuit.also.is_empty() {
                    put(table(), "also", Plain::List(circuit.also.iter().map(|also| anew(also)).collect()));
                }
            }
        }
        return Ok(with_the_rest(changes, on_module(job, text, of)));
    }
    let is = |id: Option<&document::Located<String>>| id.is_some_and(|id| id.value == of);
    let to = || Plain::Text(other.to_owned());
    for module in job.modules.iter().filter(|module| is(module.enclosure.as_ref())) {
        put(TableRef::named("module", &module.id), "enclosure", to());
    }
    for circuit in job.circuits.iter().filter(|circuit| is(circuit.ends_in.as_ref())) {
        put(TableRef::named("circuit", &circuit.tag), "ends_in", to());
    }
    for cable in job.cables.iter().filter(|cable| is(cable.ends_in.as_ref())) {
        put(TableRef::named("cable", &cable.id), "ends_in", to());
    }
    for supply in job.supplies.iter().filter(|supply| is(supply.enclosure.as_ref())) {
        put(TableRef::named("supply", &supply.id), "enclosure", to());
    }
    Ok(with_the_rest(changes, on_enclosure(job, text, of)))
}

/// What cannot be moved is freed.
fn with_the_rest(mut changes: Vec<Change>, hangs: Vec<Hangs>) -> Vec<Change> {
    for free in hangs.into_iter().flat_map(|one| one.free) {
        // The mode of an input stays with its circuit.
        let stays = matches!(&free.at, Place::Key(TableRef::Named(kind, _), key) if kind == "circuit" && key == "mode");
        if !stays && changes.iter().all(|change| change.at != free.at) {
            changes.push(free);
        }
    }
    changes
}
