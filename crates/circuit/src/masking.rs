//! Masking: whether any set of active contacts may be read as normal.

use network::{Bounds, Reach};

use crate::model::Model;
use crate::sense::Sense;

/// Contacts of a circuit in a learning mode that are tried set by set.
const MAX_TRIED_CONTACTS: usize = 10;
/// Sets that are tried one by one in search of examples; beyond, one example is found by narrowing.
const MAX_TRIED_SETS: usize = 5_000;
/// Examples that are listed.
const MAX_EXAMPLES: usize = 10;

/// What is known of masking.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Masking {
    /// Whether some non-empty set of active contacts may read a band that means normal.
    pub possible: bool,
    /// The smallest such sets that hold no other such set, smallest first; at most ten.
    pub examples: Vec<Vec<usize>>,
    /// Whether `possible` is exact; otherwise it may say yes where no set does, never no where one does.
    pub complete: bool,
}

/// Every resistance that sets of active contacts can give, on the mode's scale.
pub(crate) fn reached(model: &Model, fixed: &[Option<bool>]) -> Reach {
    let mut reach = model.network.reach(&model.choices(), fixed);
    for bounds in &mut reach.active {
        *bounds = model.lift.applied(*bounds);
    }
    reach
}

/// Searches for sets of active contacts that may be read as normal.
#[must_use]
pub fn masking(model: &Model) -> Masking {
    let none = Masking { possible: false, examples: Vec::new(), complete: true };
    let contacts = model.network.contacts().len();
    let Some(sense) = &model.sense else { return none };
    if contacts == 0 {
        return none;
    }
    if sense.learns() {
        return learned(model, sense, contacts);
    }
    let reach = reached(model, &[]);
    let possible = reach.active.iter().any(|&bounds| sense.may_be_normal(bounds));
    if !possible {
        return Masking { complete: true, ..none };
    }
    let mut examples = tried(model, sense, contacts);
    if examples.is_empty() {
        examples.extend(narrowed(model, sense, contacts));
    }
    // With an example in hand the answer is certain however it was found.
    let complete = reach.complete || !examples.is_empty();
    Masking { possible, examples, complete }
}

/// A learning mode compares two readings of the same resistors, so few contacts are tried set by set; for
/// many, the two readings are taken as independent, which can only find too much.
fn learned(model: &Model, sense: &Sense, contacts: usize) -> Masking {
    let examples = tried(model, sense, contacts);
    if !examples.is_empty() || contacts <= MAX_TRIED_CONTACTS {
        return Masking { possible: !examples.is_empty(), examples, complete: true };
    }
    let rest = model.reading(&[]).ohms;
    let share = |bounds: &Bounds| Bounds { lo: bounds.lo / rest.hi, hi: bounds.hi / rest.lo };
    let reach = reached(model, &[]);
    let possible = reach.active.iter().any(|bounds| sense.may_be_normal(share(bounds)));
    Masking { possible, examples, complete: !possible }
}

/// Sets in order of size, each that holds no smaller one.
fn tried(model: &Model, sense: &Sense, contacts: usize) -> Vec<Vec<usize>> {
    let mut found: Vec<Vec<usize>> = Vec::new();
    let mut budget = MAX_TRIED_SETS;
    for size in 1..=contacts {
        let mut set: Vec<usize> = (0..size).collect();
        loop {
            if budget == 0 {
                return found;
            }
            budget -= 1;
            let holds_smaller = found.iter().any(|small| small.iter().all(|contact| set.contains(contact)));
            if !holds_smaller && sense.may_be_normal(model.reading(&set).scaled) {
                found.push(set.clone());
                if found.len() == MAX_EXAMPLES {
                    return found;
                }
            }
            if !next(&mut set, contacts) {
                break;
            }
        }
    }
    found
}

/// The next set of the same size in the order of a list; false after the last.
fn next(set: &mut [usize], of: usize) -> bool {
    let size = set.len();
    let Some(at) = (0..size).rev().find(|&at| set[at] < of - size + at) else { return false };
    set[at] += 1;
    for behind in at + 1..size {
        set[behind] = set[behind - 1] + 1;
    }
    true
}

/// One set, found by holding contact after contact at rest as long as masking stays possible.
fn narrowed(model: &Model, sense: &Sense, contacts: usize) -> Option<Vec<usize>> {
    let possible = |fixed: &[Option<bool>]| {
        reached(model, fixed).active.iter().any(|&bounds| sense.may_be_normal(bounds))
    };
    let mut fixed = vec![None; contacts];
    for contact in 0..contacts {
        fixed[contact] = Some(false);
        if !possible(&fixed) {
            fixed[contact] = Some(true);
        }
    }
    let set: Vec<usize> = (0..contacts).filter(|&contact| fixed[contact] == Some(true)).collect();
    (!set.is_empty() && sense.may_be_normal(model.reading(&set).scaled)).then_some(set)
}
