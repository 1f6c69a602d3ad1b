//! The problem as counts: what is interchangeable is one class, what can take it is a host.

use std::collections::{BTreeMap, BTreeSet};

use crate::order::natural;
use crate::problem::{Circuit, ModePer, Offer, Problem, ZoneUse};

/// Modules of one kind in one enclosure that nothing tells apart: new ones, or some that the job has.
#[derive(Debug, Clone)]
pub(crate) struct Pool {
    pub(crate) enclosure: usize,
    pub(crate) offer: usize,
    /// Modules of the job; empty: to be bought.
    pub(crate) existing: Vec<usize>,
    /// The ways in which one of them can be set.
    pub(crate) hosts: Vec<Host>,
    /// Inputs that pinned circuits have, on each of them.
    pub(crate) reserved: BTreeSet<u16>,
}

impl Pool {
    pub(crate) fn is_new(&self) -> bool {
        self.existing.is_empty()
    }
}

/// A pool's module in one of its modes.
#[derive(Debug, Clone)]
pub(crate) struct Host {
    /// The mode; none where each input has its own.
    pub(crate) mode: Option<usize>,
    /// Inputs that are not reserved.
    pub(crate) inputs: u32,
    /// Different sets of inputs that can take smoke, without those that are reserved.
    pub(crate) lists: Vec<BTreeSet<u16>>,
    /// Which of the sets each mode has; none: no smoke in that mode.
    pub(crate) list_of: BTreeMap<usize, usize>,
}

/// Circuits that land together: one, or all that share a core.
#[derive(Debug, Clone)]
pub(crate) struct Item {
    /// Indices of circuits, by tag.
    pub(crate) members: Vec<usize>,
    /// What it may land on, and how.
    pub(crate) ways: BTreeMap<(usize, usize), Vec<Choice>>,
    pub(crate) aux_ma: u32,
}

/// One way for an item to land on a host.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Choice {
    pub(crate) cost: u64,
    /// Inputs that it takes beside reserved ones.
    pub(crate) size: u32,
    /// Inputs that it takes, and zones.
    pub(crate) zones: u32,
    /// Of `size`, those that must be in each list of the host.
    pub(crate) smoke: Vec<u32>,
    /// For each member its fit and its extension.
    pub(crate) picks: Vec<Pick>,
}

/// How a circuit lands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Pick {
    pub(crate) fit: usize,
    pub(crate) extension: Option<usize>,
}

/// Items that nothing but their tags tells apart.
#[derive(Debug, Clone)]
pub(crate) struct Class {
    /// Indices of items, by tag.
    pub(crate) items: Vec<usize>,
}

/// The problem, counted.
#[derive(Debug, Clone)]
pub(crate) struct Counted {
    pub(crate) pools: Vec<Pool>,
    pub(crate) items: Vec<Item>,
    pub(crate) classes: Vec<Class>,
}

impl Counted {
    pub(crate) fn of(problem: &Problem) -> Self {
        let pools = pools(problem);
        let items: Vec<Item> =
            groups(problem).into_iter().map(|members| item(problem, &pools, members)).collect();
        let mut classes: Vec<Class> = Vec::new();
        for (index, item) in items.iter().enumerate() {
            let alike = classes.iter_mut().find(|class| alike(item, &items[class.items[0]]));
            match alike {
                Some(class) => class.items.push(index),
                None => classes.push(Class { items: vec![index] }),
            }
        }
        Self { pools, items, classes }
    }

    /// The item that stands for its class.
    pub(crate) fn first(&self, class: usize) -> &Item {
        &self.items[self.classes[class].items[0]]
    }

    /// Enclosures that circuits tie together: nothing else but the panel and the job's own wishes joins two of these.
    pub(crate) fn blocks(&self, enclosures: usize) -> Vec<Vec<usize>> {
        let mut block: Vec<usize> = (0..enclosures).collect();
        for item in &self.items {
            let touched: BTreeSet<usize> =
                item.ways.keys().map(|(pool, _)| block[self.pools[*pool].enclosure]).collect();
            if let Some(first) = touched.first().copied() {
                for of in &mut block {
                    if touched.contains(of) {
                        *of = first;
                    }
                }
            }
        }
        let names: BTreeSet<usize> = block.iter().copied().collect();
        names.into_iter().map(|name| (0..enclosures).filter(|e| block[*e] == name).collect()).collect()
    }
}

/// Whether two items can stand for each other wherever they land.
fn alike(one: &Item, other: &Item) -> bool {
    let same = |(a, b): (&Choice, &Choice)| {
        a.cost == b.cost && a.size == b.size && a.zones == b.zones && a.smoke == b.smoke
    };
    one.aux_ma == other.aux_ma
        && one.members.len() == other.members.len()
        && one.ways.len() == other.ways.len()
        && one.ways.iter().zip(&other.ways).all(|((host, choices), (with, others))| {
            host == with && choices.len() == others.len() && choices.iter().zip(others).all(same)
        })
}

/// Modules that are there, alike ones together, then what can be bought, enclosure by enclosure.
fn pools(problem: &Problem) -> Vec<Pool> {
    let mut existing: Vec<usize> = (0..problem.existing.len()).collect();
    existing.sort_by(|a, b| natural(&problem.existing[*a].id, &problem.existing[*b].id));
    let mut pools: Vec<Pool> = Vec::new();
    for index in existing {
        let module = &problem.existing[index];
        let offer = &problem.offers[module.offer];
        let reserved: BTreeSet<u16> = problem
            .circuits
            .iter()
            .filter(|c| c.pin.is_some_and(|pin| pin.existing == index))
            .flat_map(Circuit::kept)
            .collect();
        let same = |pool: &&mut Pool| {
            let like = &problem.existing[pool.existing[0]];
            let mode = if offer.mode_per == ModePer::Input { None } else { module.mode };
            let of_like = if offer.mode_per == ModePer::Input { None } else { like.mode };
            pool.reserved.is_empty()
                && reserved.is_empty()
                && (like.enclosure, like.offer, of_like) == (module.enclosure, module.offer, mode)
        };
        if let Some(pool) = pools.iter_mut().find(same) {
            pool.existing.push(index);
            continue;
        }
        let hosts = hosts(offer, module.mode, &reserved);
        pools.push(Pool {
            enclosure: module.enclosure,
            offer: module.offer,
            existing: vec![index],
            hosts,
            reserved,
        });
    }
    let mut offers: Vec<usize> =
        (0..problem.offers.len()).filter(|o| problem.offers[*o].most != Some(0)).collect();
    offers.sort_by(|a, b| natural(&problem.offers[*a].profile, &problem.offers[*b].profile));
    for enclosure in 0..problem.enclosures.len() {
        for &offer in &offers {
            let reserved = BTreeSet::new();
            let hosts = hosts(&problem.offers[offer], None, &reserved);
            pools.push(Pool { enclosure, offer, existing: Vec::new(), hosts, reserved });
        }
    }
    pools
}

fn hosts(offer: &Offer, fixed: Option<usize>, reserved: &BTreeSet<u16>) -> Vec<Host> {
    let modes: Vec<Vec<usize>> = match (offer.mode_per, fixed) {
        (ModePer::Input, _) => vec![(0..offer.modes.len()).collect()],
        (ModePer::Module, Some(mode)) => vec![vec![mode]],
        (ModePer::Module, None) => (0..offer.modes.len()).map(|mode| vec![mode]).collect(),
    };
    let host = |modes: Vec<usize>| {
        let mut lists: Vec<BTreeSet<u16>> = Vec::new();
        let mut list_of = BTreeMap::new();
        for &mode in &modes {
            let all: BTreeSet<u16> = offer.modes[mode]
                .smoke_inputs
                .iter()
                .copied()
                .filter(|i| (1..=offer.inputs).contains(i))
                .collect();
            if all.is_empty() {
                continue;
            }
            let list: BTreeSet<u16> = all.difference(reserved).copied().collect();
            let place = lists.iter().position(|other| *other == list).unwrap_or(lists.len());
            if place == lists.len() {
                lists.push(list);
            }
            list_of.insert(mode, place);
        }
        let inputs = (1..=offer.inputs).filter(|input| !reserved.contains(input)).count();
        Host {
            mode: (offer.mode_per == ModePer::Module).then(|| modes[0]),
            inputs: u32::try_from(inputs).expect("at most as many as a module has"),
            lists,
            list_of,
        }
    };
    modes.into_iter().map(host).collect()
}

/// Circuits that land together, in the order of their first tags.
fn groups(problem: &Problem) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..problem.circuits.len()).collect();
    order.sort_by(|a, b| natural(&problem.circuits[*a].tag, &problem.circuits[*b].tag));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut of: BTreeMap<&str, usize> = BTreeMap::new();
    for index in order {
        if let Some(name) = problem.circuits[index].commons.as_deref() {
            if let Some(group) = of.get(name) {
                groups[*group].push(index);
                continue;
            }
            of.insert(name, groups.len());
        }
        groups.push(vec![index]);
    }
    groups
}

fn item(problem: &Problem, pools: &[Pool], members: Vec<usize>) -> Item {
    let aux_ma = members.iter().map(|m| problem.circuits[*m].aux_ma).sum();
    let mut ways = BTreeMap::new();
    for (at, pool) in pools.iter().enumerate() {
        let offer = &problem.offers[pool.offer];
        if aux_ma > offer.aux_ma {
            continue;
        }
        for (which, host) in pool.hosts.iter().enumerate() {
            let choices = choices(problem, pool, host, &members);
            if !choices.is_empty() {
                ways.insert((at, which), choices);
            }
        }
    }
    Item { members, ways, aux_ma }
}

/// Every way for the members to land on a host together, without those that another one beats in all respects.
fn choices(problem: &Problem, pool: &Pool, host: &Host, members: &[usize]) -> Vec<Choice> {
    let none = Choice { cost: 0, size: 0, zones: 0, smoke: vec![0; host.lists.len()], picks: Vec::new() };
    let mut all = vec![none];
    for &member in members {
        let alone = alone(problem, pool, host, &problem.circuits[member]);
        let mut next: Vec<Choice> = Vec::new();
        for so_far in &all {
            for (own, pick) in &alone {
                let mut picks = so_far.picks.clone();
                picks.push(*pick);
                next.push(Choice {
                    cost: so_far.cost + own.cost,
                    size: so_far.size + own.size,
                    zones: so_far.zones + own.zones,
                    smoke: so_far.smoke.iter().zip(&own.smoke).map(|(a, b)| a + b).collect(),
                    picks,
                });
            }
        }
        next.retain(|choice| choice.fits(host));
        all = unbeaten(next);
    }
    all
}

impl Choice {
    /// Whether an empty module has room for it.
    fn fits(&self, host: &Host) -> bool {
        self.size <= host.inputs
            && self.smoke.iter().zip(&host.lists).all(|(taken, list)| *taken as usize <= list.len())
    }

    fn beats(&self, other: &Self) -> bool {
        self.cost <= other.cost
            && self.size <= other.size
            && self.zones <= other.zones
            && self.smoke.iter().zip(&other.smoke).all(|(a, b)| a <= b)
    }
}

fn unbeaten(mut all: Vec<Choice>) -> Vec<Choice> {
    all.sort_by(|a, b| (a.cost, a.size, &a.smoke).cmp(&(b.cost, b.size, &b.smoke)));
    let mut kept: Vec<Choice> = Vec::new();
    for choice in all {
        if !kept.iter().any(|other| other.beats(&choice)) {
            kept.push(choice);
        }
    }
    kept
}

/// The ways of one circuit on a host; `picks` of the choices are empty.
fn alone(problem: &Problem, pool: &Pool, host: &Host, circuit: &Circuit) -> Vec<(Choice, Pick)> {
    let Some((extension, longer)) = reach(problem, circuit, pool.enclosure) else { return Vec::new() };
    if circuit.pin.is_some_and(|pin| !pool.existing.contains(&pin.existing)) {
        return Vec::new();
    }
    let offer = &problem.offers[pool.offer];
    let mut ways = Vec::new();
    for (index, fit) in circuit.fits.iter().enumerate() {
        if fit.offer != pool.offer || host.mode.is_some_and(|mode| mode != fit.mode) {
            continue;
        }
        let inputs = u32::from(fit.inputs.max(1));
        let size = inputs.saturating_sub(u32::try_from(circuit.kept().count()).unwrap_or(u32::MAX));
        let mut smoke = vec![0; host.lists.len()];
        if circuit.smoke {
            let Some(list) = host.list_of.get(&fit.mode) else { continue };
            let takes = |input: u16| offer.modes[fit.mode].smoke_inputs.contains(&input);
            if !circuit.kept().take(usize::from(fit.inputs.max(1))).all(takes) {
                continue;
            }
            smoke[*list] = size;
        }
        let cost = problem.weights.fold(fit.effort) + longer;
        ways.push((
            Choice { cost, size, zones: inputs, smoke, picks: Vec::new() },
            Pick { fit: index, extension },
        ));
    }
    ways
}

/// How a circuit's cable gets to an enclosure: the extension, if one is needed, with its cost.
fn reach(problem: &Problem, circuit: &Circuit, enclosure: usize) -> Option<(Option<usize>, u64)> {
    if circuit.ends_in.is_none_or(|end| end == enclosure) {
        return Some((None, 0));
    }
    let longer = circuit.extensions.iter().enumerate().filter(|(_, to)| to.enclosure == enclosure);
    longer
        .map(|(index, to)| (Some(index), problem.weights.fold(to.effort)))
        .min_by_key(|(index, cost)| (*cost, *index))
}

/// Zones that one module takes whatever lands on it.
pub(crate) fn standing_zones(offer: &Offer) -> u32 {
    match offer.zones {
        ZoneUse::UsedInputs => 0,
        ZoneUse::AllInputs => u32::from(offer.inputs),
    }
}
