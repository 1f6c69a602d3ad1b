//! From counts to modules: whether what was counted can be laid out, and one layout.

use std::collections::{BTreeMap, BTreeSet};

use crate::items::{Choice, Counted, Host};
use crate::model::{Counts, Unit};
use crate::problem::Problem;

/// An item on a module, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Put {
    pub(crate) item: usize,
    pub(crate) choice: usize,
}

/// One module with what is on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Slot {
    pub(crate) pool: usize,
    pub(crate) host: usize,
    pub(crate) existing: Option<usize>,
    pub(crate) contents: Vec<Put>,
}

impl Slot {
    /// Whether these can be on it together.
    pub(crate) fn holds(
        &self,
        problem: &Problem,
        counted: &Counted,
        contents: impl Iterator<Item = Put>,
    ) -> bool {
        let pool = &counted.pools[self.pool];
        let mut load = Load::default();
        for put in contents {
            let item = &counted.items[put.item];
            load.add(&item.ways[&(self.pool, self.host)][put.choice], item.aux_ma);
        }
        load.fits(&pool.hosts[self.host], problem.offers[pool.offer].aux_ma)
    }
}

/// What a module carries.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Load {
    size: u32,
    smoke: Vec<u32>,
    aux_ma: u32,
}

impl Load {
    fn add(&mut self, choice: &Choice, aux_ma: u32) {
        self.size += choice.size;
        self.aux_ma += aux_ma;
        self.smoke.resize(choice.smoke.len(), 0);
        for (sum, one) in self.smoke.iter_mut().zip(&choice.smoke) {
            *sum += one;
        }
    }

    fn fits(&self, host: &Host, aux_ma: u32) -> bool {
        self.size <= host.inputs && self.aux_ma <= aux_ma && smoke_fits(host, &self.smoke)
    }
}

/// Whether so many smoke inputs of each list are there at once (Hall's condition over the lists that are asked for).
fn smoke_fits(host: &Host, smoke: &[u32]) -> bool {
    let asked: Vec<usize> = (0..smoke.len()).filter(|list| smoke[*list] > 0).collect();
    (1_u32..1 << asked.len().min(16)).all(|set| {
        let of = || asked.iter().enumerate().filter(|(bit, _)| set & (1 << bit) != 0).map(|(_, list)| *list);
        let room: BTreeSet<u16> = of().flat_map(|list| host.lists[list].iter().copied()).collect();
        of().map(|list| smoke[list]).sum::<u32>() as usize <= room.len()
    })
}

/// What could not be laid out: pools with the modules that a simple layout would take beyond those counted.
pub(crate) type Short = BTreeMap<(Unit, usize), usize>;

/// Lays out counts on modules, with the items that stay without, or says which pools are short although their sums are right.
pub(crate) fn lay_out(
    problem: &Problem,
    counted: &Counted,
    counts: &Counts,
) -> Result<(Vec<Slot>, Vec<usize>), Short> {
    let mut left: Vec<std::vec::IntoIter<usize>> =
        counted.classes.iter().map(|class| by_area(problem, counted, &class.items).into_iter()).collect();
    let mut puts: BTreeMap<(Unit, usize), Vec<Put>> = BTreeMap::new();
    for flow in &counts.flows {
        let items = left[flow.class].by_ref().take(flow.count);
        let here = puts.entry((flow.unit, flow.host)).or_default();
        here.extend(items.map(|item| Put { item, choice: flow.choice }));
    }
    let unmet =
        counts.unmet.iter().flat_map(|(class, count)| left[*class].by_ref().take(*count).collect::<Vec<_>>());
    let unmet: Vec<usize> = unmet.collect();
    let mut slots = Vec::new();
    let mut short = Short::new();
    let mut next: BTreeMap<usize, usize> = BTreeMap::new();
    for ((unit, host), count) in &counts.modules {
        let puts = puts.remove(&(*unit, *host)).unwrap_or_default();
        let bins = Bins::new(problem, counted, unit.pool, *host, puts);
        match bins.pack(*count) {
            Some(filled) => slots.extend(filled.into_iter().enumerate().map(|(at, contents)| {
                let first = next.entry(unit.pool).or_default();
                let existing = &counted.pools[unit.pool].existing;
                let which = unit.slot.unwrap_or(*first + at);
                Slot { pool: unit.pool, host: *host, existing: existing.get(which).copied(), contents }
            })),
            None => {
                short.insert((*unit, *host), bins.simple().saturating_sub(*count));
            }
        }
        *next.entry(unit.pool).or_default() += count;
    }
    if short.is_empty() { Ok((slots, unmet)) } else { Err(short) }
}

/// Items of one class, those of one area beside each other.
fn by_area(problem: &Problem, counted: &Counted, items: &[usize]) -> Vec<usize> {
    let area = |item: usize| problem.circuits[counted.items[item].members[0]].area.as_deref();
    let mut sorted = items.to_vec();
    sorted.sort_by_key(|item| (area(*item).is_none(), area(*item)));
    sorted
}

/// Items that are to be on modules of one kind in one mode.
struct Bins<'a> {
    counted: &'a Counted,
    host: &'a Host,
    at: (usize, usize),
    aux_ma: u32,
    /// What cannot just be put anywhere where an input is free, the bulkiest first.
    lumps: Vec<Put>,
    plain: Vec<Put>,
}

/// Tries before a layout is left to the model that looks at each module by itself.
const TRIES: usize = 20_000;

impl<'a> Bins<'a> {
    fn new(problem: &Problem, counted: &'a Counted, pool: usize, host: usize, puts: Vec<Put>) -> Self {
        let of = &counted.pools[pool];
        let is_plain = |put: &Put| {
            let item = &counted.items[put.item];
            let choice = &item.ways[&(pool, host)][put.choice];
            choice.size <= 1 && item.aux_ma == 0 && choice.smoke.iter().all(|smoke| *smoke == 0)
        };
        let (plain, mut lumps): (Vec<Put>, Vec<Put>) = puts.into_iter().partition(is_plain);
        lumps.sort_by_key(|put| {
            let item = &counted.items[put.item];
            let choice = &item.ways[&(pool, host)][put.choice];
            std::cmp::Reverse((choice.size, choice.smoke.iter().sum::<u32>(), item.aux_ma))
        });
        let aux_ma = problem.offers[of.offer].aux_ma;
        Self { counted, host: &of.hosts[host], at: (pool, host), aux_ma, lumps, plain }
    }

    fn choice(&self, put: Put) -> (&Choice, u32) {
        let item = &self.counted.items[put.item];
        (&item.ways[&self.at][put.choice], item.aux_ma)
    }

    /// The contents of so many modules; none when they do not take it, or the tries did not suffice.
    fn pack(&self, count: usize) -> Option<Vec<Vec<Put>>> {
        let mut loads = vec![Load::default(); count];
        let mut where_to = Vec::with_capacity(self.lumps.len());
        let mut tries = TRIES;
        if !self.place(&mut loads, &mut where_to, &mut tries) {
            return None;
        }
        let mut contents = vec![Vec::new(); count];
        for (put, bin) in self.lumps.iter().zip(&where_to) {
            contents[*bin].push(*put);
        }
        let mut bin = 0;
        for put in &self.plain {
            let (choice, aux_ma) = self.choice(*put);
            loop {
                let mut load = loads.get(bin)?.clone();
                load.add(choice, aux_ma);
                if load.fits(self.host, self.aux_ma) {
                    loads[bin] = load;
                    contents[bin].push(*put);
                    break;
                }
                bin += 1;
            }
        }
        Some(contents)
    }

    /// Places the lumps from `where_to.len()` on; each goes only once among modules that carry the same.
    fn place(&self, loads: &mut [Load], where_to: &mut Vec<usize>, tries: &mut usize) -> bool {
        let mut next = vec![0_usize];
        let mut undo: Vec<Load> = Vec::new();
        // A stack of its own: with hundreds of lumps a call for each would go deep.
        while where_to.len() < self.lumps.len() {
            let depth = where_to.len();
            let (choice, aux_ma) = self.choice(self.lumps[depth]);
            let mut placed = false;
            while next[depth] < loads.len() {
                let bin = next[depth];
                next[depth] += 1;
                if *tries == 0 {
                    return false;
                }
                *tries -= 1;
                if loads[..bin].contains(&loads[bin]) {
                    continue;
                }
                let mut load = loads[bin].clone();
                load.add(choice, aux_ma);
                if load.fits(self.host, self.aux_ma) {
                    undo.push(std::mem::replace(&mut loads[bin], load));
                    where_to.push(bin);
                    next.push(0);
                    placed = true;
                    break;
                }
            }
            if !placed {
                next.pop();
                let (Some(bin), Some(load)) = (where_to.pop(), undo.pop()) else { return false };
                loads[bin] = load;
            }
        }
        true
    }

    /// Modules that putting each where it first fits takes.
    fn simple(&self) -> usize {
        let mut loads: Vec<Load> = Vec::new();
        for put in self.lumps.iter().chain(&self.plain) {
            let (choice, aux_ma) = self.choice(*put);
            let with = |load: &Load| {
                let mut load = load.clone();
                load.add(choice, aux_ma);
                load
            };
            let found = loads.iter().position(|load| with(load).fits(self.host, self.aux_ma));
            match found {
                Some(bin) => loads[bin] = with(&loads[bin]),
                None => loads.push(with(&Load::default())),
            }
        }
        loads.len()
    }
}
