//! What the job asks for, one by one, and the problem that is left when only some of it is asked.

use std::collections::{BTreeMap, BTreeSet};

use crate::allocation::DemandOf;
use crate::problem::{Circuit, Effort, ModePer, Pin, Problem, Unmet, Weights};

/// Everything that can be given up.
pub(crate) fn all(problem: &Problem) -> BTreeSet<DemandOf> {
    let mut demands = BTreeSet::new();
    let mut commons: BTreeMap<&str, usize> = BTreeMap::new();
    for (index, circuit) in problem.circuits.iter().enumerate() {
        demands.insert(DemandOf::Circuit(index));
        demands.extend(circuit.pin.map(|_| DemandOf::Pin(index)));
        demands.extend(circuit.zone.map(|_| DemandOf::Zone(index)));
        if let Some(name) = circuit.commons.as_deref() {
            *commons.entry(name).or_default() += 1;
        }
    }
    let shared = commons.into_iter().filter(|(_, members)| *members > 1);
    demands.extend(shared.map(|(name, _)| DemandOf::Commons(name.to_owned())));
    for (index, module) in problem.existing.iter().enumerate() {
        let own = problem.offers[module.offer].mode_per == ModePer::Input;
        demands.extend(module.mode.filter(|_| !own).map(|_| DemandOf::Mode(index)));
    }
    for (index, enclosure) in problem.enclosures.iter().enumerate() {
        demands.extend(enclosure.positions.map(|_| DemandOf::Positions(index)));
        demands.extend((enclosure.spare > 0).then_some(DemandOf::Spare(index)));
    }
    demands.extend((problem.spare > 0).then_some(DemandOf::SpareOfJob));
    demands.extend(problem.panel.zones.map(|_| DemandOf::PanelZones));
    demands.extend(problem.panel.modules.map(|_| DemandOf::PanelModules));
    for (index, offer) in problem.offers.iter().enumerate() {
        demands.extend(offer.most.filter(|most| *most > 0).map(|_| DemandOf::Most(index)));
    }
    demands
}

/// The problem with only these demands. Nothing costs anything but modules, since only whether it can be done is asked.
pub(crate) fn only(problem: &Problem, asked: &BTreeSet<DemandOf>) -> Problem {
    let keep = |demand: DemandOf| asked.contains(&demand);
    let mut left = problem.clone();
    left.unmet = Unmet::Never;
    left.weights = Weights { cents_per_hour: 0, money_percent: 100 };
    for (index, circuit) in left.circuits.iter_mut().enumerate() {
        if !keep(DemandOf::Pin(index)) {
            circuit.pin = None;
            circuit.also.clear();
        }
        if !keep(DemandOf::Zone(index)) {
            circuit.zone = None;
        }
        if circuit.commons.as_ref().is_some_and(|name| !keep(DemandOf::Commons(name.clone()))) {
            circuit.commons = None;
        }
        for fit in &mut circuit.fits {
            fit.effort = Effort::default();
        }
        for extension in &mut circuit.extensions {
            extension.effort = Effort::default();
        }
    }
    let mut index = 0;
    left.circuits.retain(|_| {
        index += 1;
        keep(DemandOf::Circuit(index - 1))
    });
    for (index, module) in left.existing.iter_mut().enumerate() {
        if !keep(DemandOf::Mode(index)) {
            module.mode = None;
        }
    }
    for (index, enclosure) in left.enclosures.iter_mut().enumerate() {
        if !keep(DemandOf::Positions(index)) {
            enclosure.positions = None;
        }
        if !keep(DemandOf::Spare(index)) {
            enclosure.spare = 0;
        }
        if let Some(annex) = &mut enclosure.annex {
            annex.effort = Effort::default();
        }
    }
    if !keep(DemandOf::SpareOfJob) {
        left.spare = 0;
    }
    if !keep(DemandOf::PanelZones) {
        left.panel.zones = None;
    }
    if !keep(DemandOf::PanelModules) {
        left.panel.modules = None;
    }
    for (index, offer) in left.offers.iter_mut().enumerate() {
        offer.effort = Effort { cents: 1, seconds: 0 };
        if offer.most.is_some_and(|most| most > 0) && !keep(DemandOf::Most(index)) {
            offer.most = None;
        }
    }
    left
}

/// What no division can heal: two circuits on one input, an input that the module does not have, one zone number twice,
/// or one that the panel does not have or that something else has.
pub(crate) fn clash(problem: &Problem) -> bool {
    let mut pins: BTreeSet<(usize, u16)> = BTreeSet::new();
    let mut zones: BTreeSet<u32> = problem.panel.taken.iter().copied().collect();
    let top = problem.panel.zones.unwrap_or(u32::MAX);
    problem.circuits.iter().any(|circuit| {
        let pin = circuit.pin.is_some_and(|Pin { existing, input }| {
            let inputs = problem.offers[problem.existing[existing].offer].inputs;
            let free = |input: u16| (1..=inputs).contains(&input) && pins.insert((existing, input));
            !std::iter::once(input).chain(circuit.also.iter().copied()).all(free)
        });
        let zone = circuit.zone.is_some_and(|zone| !(1..=top).contains(&zone) || !zones.insert(zone));
        pin || zone
    })
}

/// Demands of circuits that can stand for each other whatever else is asked; any other demand stands alone.
pub(crate) fn groups(problem: &Problem, demands: &BTreeSet<DemandOf>) -> Vec<Vec<DemandOf>> {
    let mut order: Vec<&DemandOf> = demands.iter().collect();
    order.sort_by(|a, b| match (a, b) {
        (DemandOf::Circuit(a), DemandOf::Circuit(b)) => {
            crate::order::natural(&problem.circuits[*a].tag, &problem.circuits[*b].tag)
        }
        _ => a.cmp(b),
    });
    let mut groups: Vec<Vec<DemandOf>> = Vec::new();
    for demand in order {
        let like = groups.iter_mut().find(|group| match (&group[0], demand) {
            (DemandOf::Circuit(one), DemandOf::Circuit(other)) => {
                alike(&problem.circuits[*one], &problem.circuits[*other])
            }
            _ => false,
        });
        match like {
            Some(group) => group.push(demand.clone()),
            None => groups.push(vec![demand.clone()]),
        }
    }
    groups
}

/// Whether nothing tells two circuits apart, whatever else is asked.
pub(crate) fn alike(one: &Circuit, other: &Circuit) -> bool {
    let free = |c: &Circuit| c.pin.is_none() && c.zone.is_none() && c.commons.is_none();
    let fits = |c: &Circuit| c.fits.iter().map(|f| (f.offer, f.mode, f.inputs)).collect::<BTreeSet<_>>();
    let reach = |c: &Circuit| c.extensions.iter().map(|e| e.enclosure).collect::<BTreeSet<_>>();
    free(one)
        && free(other)
        && (one.ends_in, one.aux_ma, one.smoke) == (other.ends_in, other.aux_ma, other.smoke)
        && reach(one) == reach(other)
        && fits(one) == fits(other)
}
