//! Numbers and names: which input of its module a circuit has, which zone number, what new modules are called.

use std::collections::{BTreeMap, BTreeSet};

use crate::allocation::{Allocation, Landed, Module, Room, Status, Stopped};
use crate::items::{Counted, standing_zones};
use crate::order::natural;
use crate::pack::{Put, Slot};
use crate::problem::{Effort, Problem};
use crate::search::{Layout, taken};

/// The answer that a layout means.
pub(crate) fn label(problem: &Problem, counted: &Counted, layout: &Layout) -> Allocation {
    let mut slots: Vec<&Slot> = layout.slots.iter().collect();
    // Modules of the job by id, new ones by enclosure and then by the first tag on them.
    slots.sort_by(|a, b| {
        let first = |slot: &Slot| slot.contents.iter().map(|put| put.item).min().unwrap_or(usize::MAX);
        let enclosure = |slot: &Slot| counted.pools[slot.pool].enclosure;
        match (a.existing, b.existing) {
            (Some(a), Some(b)) => natural(&problem.existing[a].id, &problem.existing[b].id),
            (Some(_), None) => std::cmp::Ordering::Less,
            (None, Some(_)) => std::cmp::Ordering::Greater,
            (None, None) => {
                (enclosure(a), first(a), a.pool, a.host).cmp(&(enclosure(b), first(b), b.pool, b.host))
            }
        }
    });
    let mut names = new_names(problem);
    let mut modules = Vec::new();
    let mut landed = Vec::new();
    for (index, slot) in slots.iter().enumerate() {
        let id = slot
            .existing
            .map_or_else(|| names.next().expect("names do not end"), |k| problem.existing[k].id.clone());
        let (on_it, spare) = inputs(problem, counted, slot, index);
        let aux: u32 = slot.contents.iter().map(|put| counted.items[put.item].aux_ma).sum();
        let pool = &counted.pools[slot.pool];
        modules.push(Module {
            id,
            existing: slot.existing,
            offer: pool.offer,
            mode: pool.hosts[slot.host].mode,
            enclosure: pool.enclosure,
            spare,
            aux_left_ma: problem.offers[pool.offer].aux_ma - aux,
        });
        landed.extend(on_it);
    }
    number_zones(problem, &mut landed);
    landed.sort_by(|a, b| by_tag(problem, a.circuit, b.circuit));
    let mut unmet: Vec<usize> =
        layout.unmet.iter().flat_map(|item| counted.items[*item].members.iter().copied()).collect();
    unmet.sort_by(|a, b| by_tag(problem, *a, *b));
    let effort = effort(problem, &modules, &landed, &layout.annexes);
    Allocation {
        status: Status::Optimal,
        cost: 0,
        bound: 0,
        effort,
        nodes: 0,
        stopped: Stopped::No,
        rooms: rooms(problem, &modules, &layout.annexes),
        zones_left: zones_left(problem, &modules, &landed),
        modules_left: modules_left(problem, &modules),
        modules,
        landed,
        unmet,
        conflict: None,
    }
}

fn by_tag(problem: &Problem, a: usize, b: usize) -> std::cmp::Ordering {
    natural(&problem.circuits[a].tag, &problem.circuits[b].tag)
}

/// `M` with the next number that no module of the job has.
fn new_names(problem: &Problem) -> impl Iterator<Item = String> + '_ {
    (1_u32..).map(|number| format!("M{number}")).filter(|name| problem.existing.iter().all(|m| m.id != *name))
}

/// The circuits of a module on its inputs, and what stays free: pinned ones first, then smoke where it may go, then the
/// others by tag, those inputs last that could take smoke.
fn inputs(problem: &Problem, counted: &Counted, slot: &Slot, module: usize) -> (Vec<Landed>, Vec<u16>) {
    let pool = &counted.pools[slot.pool];
    let offer = &problem.offers[pool.offer];
    let mut on_it: Vec<Landed> =
        slot.contents.iter().flat_map(|put| members(counted, slot, *put, module)).collect();
    on_it.sort_by(|a, b| by_tag(problem, a.circuit, b.circuit));
    for one in &mut on_it {
        let circuit = &problem.circuits[one.circuit];
        one.mode = circuit.fits[one.fit].mode;
        one.inputs.extend(circuit.kept().take(usize::from(circuit.fits[one.fit].inputs.max(1))));
    }
    let mut free: BTreeSet<u16> = (1..=offer.inputs).filter(|input| !pool.reserved.contains(input)).collect();
    // One piece for each input that smoke still wants, matched to inputs of its mode's list.
    let wanted = |one: &Landed| {
        usize::from(problem.circuits[one.circuit].fits[one.fit].inputs.max(1)) - one.inputs.len()
    };
    let mut pieces: Vec<(usize, Vec<u16>)> = Vec::new();
    for (index, one) in on_it.iter().enumerate().filter(|(_, one)| problem.circuits[one.circuit].smoke) {
        let list: BTreeSet<u16> = offer.modes[one.mode].smoke_inputs.iter().copied().collect();
        let open: Vec<u16> = list.intersection(&free).copied().collect();
        pieces.extend(std::iter::repeat_n((index, open), wanted(one)));
    }
    for (piece, input) in matched(&pieces) {
        on_it[pieces[piece].0].inputs.push(input);
        free.remove(&input);
    }
    let smoke: BTreeSet<u16> = match pool.hosts[slot.host].mode {
        Some(mode) => offer.modes[mode].smoke_inputs.iter().copied().collect(),
        None => offer.modes.iter().flat_map(|mode| mode.smoke_inputs.iter().copied()).collect(),
    };
    let mut order: Vec<u16> = free.iter().copied().collect();
    order.sort_by_key(|input| (smoke.contains(input), *input));
    let mut order = order.into_iter();
    for one in &mut on_it {
        let more = wanted(one);
        one.inputs.extend(order.by_ref().take(more));
    }
    let mut spare: Vec<u16> = order.collect();
    spare.sort_unstable();
    (on_it, spare)
}

fn members<'a>(
    counted: &'a Counted,
    slot: &'a Slot,
    put: Put,
    module: usize,
) -> impl Iterator<Item = Landed> + 'a {
    let item = &counted.items[put.item];
    let choice = &item.ways[&(slot.pool, slot.host)][put.choice];
    item.members.iter().zip(&choice.picks).map(move |(circuit, pick)| Landed {
        circuit: *circuit,
        module,
        inputs: Vec::new(),
        mode: 0,
        fit: pick.fit,
        extension: pick.extension,
        zones: Vec::new(),
    })
}

/// An input of its own for each piece (augmenting paths); the layout made sure that there is one.
fn matched(pieces: &[(usize, Vec<u16>)]) -> Vec<(usize, u16)> {
    fn find(
        piece: usize,
        pieces: &[(usize, Vec<u16>)],
        of: &mut BTreeMap<u16, usize>,
        seen: &mut BTreeSet<u16>,
    ) -> bool {
        for input in &pieces[piece].1 {
            if seen.insert(*input) {
                let other = of.get(input).copied();
                if other.is_none_or(|other| find(other, pieces, of, seen)) {
                    of.insert(*input, piece);
                    return true;
                }
            }
        }
        false
    }
    let mut of = BTreeMap::new();
    for piece in 0..pieces.len() {
        let found = find(piece, pieces, &mut of, &mut BTreeSet::new());
        assert!(found, "the layout left room for every smoke circuit");
    }
    let mut pairs: Vec<(usize, u16)> = of.into_iter().map(|(input, piece)| (piece, input)).collect();
    pairs.sort_unstable();
    pairs
}

/// Numbers that must be come first, then those that were, then the lowest free ones, module by module.
fn number_zones(problem: &Problem, landed: &mut [Landed]) {
    let top = problem.panel.zones.unwrap_or(u32::MAX);
    let mut used = taken(&problem.panel.taken, top);
    let mut order: Vec<usize> = (0..landed.len()).collect();
    order.sort_by(|a, b| by_tag(problem, landed[*a].circuit, landed[*b].circuit));
    for &one in &order {
        if let Some(zone) = problem.circuits[landed[one].circuit].zone {
            used.insert(zone);
            landed[one].zones.push(zone);
        }
    }
    for &one in &order {
        let was = problem.circuits[landed[one].circuit].was.filter(|was| (1..=top).contains(was));
        if let Some(was) = was.filter(|was| landed[one].zones.is_empty() && !used.contains(was)) {
            used.insert(was);
            landed[one].zones.push(was);
        }
    }
    order.sort_by_key(|one| (landed[*one].module, landed[*one].inputs.clone()));
    let mut next = 1;
    for one in order {
        while landed[one].zones.len() < landed[one].inputs.len() {
            while used.contains(&next) {
                next += 1;
            }
            used.insert(next);
            landed[one].zones.push(next);
        }
    }
}

fn effort(
    problem: &Problem,
    modules: &[Module],
    landed: &[Landed],
    annexes: &BTreeMap<usize, u32>,
) -> Effort {
    let new = modules.iter().filter(|m| m.existing.is_none()).map(|m| problem.offers[m.offer].effort);
    let work = landed.iter().flat_map(|one| {
        let circuit = &problem.circuits[one.circuit];
        let longer = one.extension.map(|extension| circuit.extensions[extension].effort);
        longer.into_iter().chain([circuit.fits[one.fit].effort])
    });
    let hung = annexes.iter().flat_map(|(enclosure, count)| {
        let annex = problem.enclosures[*enclosure].annex.as_ref();
        std::iter::repeat_n(annex.map_or_else(Effort::default, |annex| annex.effort), *count as usize)
    });
    new.chain(work).chain(hung).fold(Effort::default(), |sum, one| Effort {
        cents: sum.cents + one.cents,
        seconds: sum.seconds + one.seconds,
    })
}

fn rooms(problem: &Problem, modules: &[Module], annexes: &BTreeMap<usize, u32>) -> Vec<Room> {
    let room = |(index, enclosure): (usize, &crate::problem::Enclosure)| {
        let here = || modules.iter().filter(move |m| m.enclosure == index);
        let hung = annexes.get(&index).copied().unwrap_or(0);
        let more = enclosure.annex.as_ref().map_or(0, |annex| annex.positions * hung);
        let taken: u32 =
            here().filter(|m| m.existing.is_none()).map(|m| problem.offers[m.offer].positions).sum();
        Room {
            positions_left: enclosure.positions.map(|left| left + more - taken),
            annexes: hung,
            spare: here().map(|m| u32::try_from(m.spare.len()).expect("at most a module's inputs")).sum(),
        }
    };
    problem.enclosures.iter().enumerate().map(room).collect()
}

fn zones_left(problem: &Problem, modules: &[Module], landed: &[Landed]) -> Option<u32> {
    let zones = problem.panel.zones?;
    let standing: u32 = modules.iter().map(|m| standing_zones(&problem.offers[m.offer])).sum();
    let by_input =
        landed.iter().filter(|one| standing_zones(&problem.offers[modules[one.module].offer]) == 0);
    let by_input: usize = by_input.map(|one| one.zones.len()).sum();
    let used = standing
        + u32::try_from(by_input).expect("fewer than 2^32")
        + count(&taken(&problem.panel.taken, zones));
    Some(zones.saturating_sub(used))
}

fn count(set: &BTreeSet<u32>) -> u32 {
    u32::try_from(set.len()).expect("fewer than 2^32")
}

fn modules_left(problem: &Problem, modules: &[Module]) -> Option<u32> {
    let used = u32::try_from(modules.len()).expect("fewer than 2^32");
    problem.panel.modules.map(|most| most.saturating_sub(used))
}
