//! What the job keeps out and would read a circuit.

use super::ground::{Ground, may_have, module_of};
use super::table::Table;

/// What may not be bought and would read it: `input-12 reads it, and ...`.
pub(crate) fn forbidden(
    table: &Table,
    ground: &Ground,
    at: usize,
    network: &network::Network,
) -> Option<String> {
    let terms = &table.setting.job.allocate;
    let not_offered = table.setting.library.profiles.values().filter(|profile| {
        let offered = ground
            .offers
            .iter()
            .zip(&ground.problem.offers)
            .any(|(known, offer)| known.id == profile.id && offer.most.is_none());
        !offered
    });
    let circuit = &table.setting.job.circuits[at];
    let reads = not_offered.filter(|profile| {
        module_of(profile).is_some_and(|module| {
            (0..module.modes.len()).any(|mode| {
                may_have(circuit, module, mode)
                    && table.ways(at, network, module, mode).is_ok_and(|ways| !ways.is_empty())
            })
        })
    });
    let names: Vec<&str> = reads.map(|profile| profile.id.as_str()).collect();
    let first = names.first()?;
    let more = if names.len() > 1 { " and others would read it" } else { " would read it" };
    let forbids = if terms.new_modules {
        "`offer` leaves them out"
    } else {
        "`new_modules = false` forbids to buy a module"
    };
    Some(format!("{first}{more}, and {forbids}"))
}
