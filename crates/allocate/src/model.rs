//! The linear model of some enclosures: how many modules of each kind, and how many of each class on them.

use std::collections::{BTreeMap, BTreeSet};

use crate::items::{Choice, Counted, Host, standing_zones};
use crate::problem::{Effort, Problem, Unmet};
use crate::solver::{Model, Sense};

/// What enclosures share, so that they cannot be filled one by one where it is short.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Shared {
    /// New modules against what the panel has room for.
    Modules,
    /// Zones against what the panel has.
    Zones,
    /// Free inputs wanted in the job; counted negative, so that less is always easier.
    Spare,
    /// New modules of one offer.
    Offer(usize),
}

/// A module, or several that need not be told apart, of a pool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Unit {
    pub(crate) pool: usize,
    /// Which of the pool's modules, where each is looked at by itself.
    pub(crate) slot: Option<usize>,
}

/// What a column stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Modules { unit: Unit, host: usize },
    Items { class: usize, unit: Unit, host: usize, choice: usize },
    Annexes { enclosure: usize },
    Unmet { class: usize },
}

/// Items of one class on one host in one way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Flow {
    pub(crate) class: usize,
    pub(crate) unit: Unit,
    pub(crate) host: usize,
    pub(crate) choice: usize,
    pub(crate) count: usize,
}

/// A solved block, in counts.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Counts {
    /// Modules by unit and host.
    pub(crate) modules: BTreeMap<(Unit, usize), usize>,
    pub(crate) flows: Vec<Flow>,
    pub(crate) annexes: BTreeMap<usize, u32>,
    /// Items without an input, by class.
    pub(crate) unmet: BTreeMap<usize, usize>,
    /// Cost by the model, with the weight of what is unmet.
    pub(crate) cost: i64,
}

/// Some enclosures, and what is asked of them.
#[derive(Debug, Clone)]
pub(crate) struct Block<'a> {
    pub(crate) problem: &'a Problem,
    pub(crate) counted: &'a Counted,
    pub(crate) enclosures: &'a [usize],
    /// Whether cables may be made longer.
    pub(crate) extend: bool,
    /// Pools whose modules are looked at one by one, with how many there can be.
    pub(crate) slots: BTreeMap<usize, usize>,
    /// The most of what is shared.
    pub(crate) limits: BTreeMap<Shared, i64>,
    /// What one hundredth counts.
    pub(crate) scale: i64,
    /// What a circuit without an input counts.
    pub(crate) unmet_cost: i64,
    /// Items of a class that must land although others need not.
    pub(crate) forced: &'a BTreeMap<usize, usize>,
}

/// What a new module or enclosure counts. Where one costs nothing each counts a little, far less than a hundredth, so that
/// none is hung for nothing.
pub(crate) fn price(problem: &Problem, effort: Effort, scale: i64) -> i64 {
    let price = to_i64(problem.weights.fold(effort)) * scale;
    if scale > 1 { price + 1 } else { price }
}

/// A block as a linear model, and what its columns stand for.
pub(crate) struct Written {
    pub(crate) model: Model,
    columns: Vec<Column>,
}

impl Block<'_> {
    /// Classes that belong here.
    fn classes(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.counted.classes.len()).filter(|class| {
            let ways = &self.counted.first(*class).ways;
            ways.keys().any(|(pool, _)| self.enclosures.contains(&self.counted.pools[*pool].enclosure))
        })
    }

    fn pools(&self) -> impl Iterator<Item = usize> + '_ {
        let inside = |pool: &usize| self.enclosures.contains(&self.counted.pools[*pool].enclosure);
        (0..self.counted.pools.len()).filter(inside)
    }

    fn units(&self, pool: usize) -> Vec<Unit> {
        match self.slots.get(&pool) {
            None => vec![Unit { pool, slot: None }],
            Some(count) => (0..*count).map(|slot| Unit { pool, slot: Some(slot) }).collect(),
        }
    }

    /// The most modules of a pool that could ever be of use.
    pub(crate) fn most(&self, pool: usize) -> i64 {
        let of = &self.counted.pools[pool];
        if !of.is_new() {
            return to_i64(of.existing.len());
        }
        let (enclosure, offer) = (&self.problem.enclosures[of.enclosure], &self.problem.offers[of.offer]);
        let mut wanted: i64 = i64::from(enclosure.spare) + i64::from(self.problem.spare);
        for class in &self.counted.classes {
            let ways = &self.counted.items[class.items[0]].ways;
            if ways.keys().any(|(p, _)| *p == pool) {
                wanted += to_i64(class.items.len());
            }
        }
        if let (Some(left), 1..) = (enclosure.positions, offer.positions) {
            let annexes = enclosure.annex.as_ref().map_or(0, |annex| annex.most * annex.positions);
            wanted = wanted.min(i64::from((left + annexes) / offer.positions));
        }
        wanted.min(offer.most.map_or(i64::MAX, i64::from))
    }

    /// Writes the model.
    pub(crate) fn write(&self) -> Written {
        let mut writer = Writer::default();
        for pool in self.pools() {
            self.write_modules(&mut writer, pool);
        }
        for class in self.classes() {
            self.write_class(&mut writer, class);
        }
        for pool in self.pools() {
            self.write_capacity(&mut writer, pool);
        }
        for &enclosure in self.enclosures {
            self.write_enclosure(&mut writer, enclosure);
        }
        for (shared, most) in &self.limits {
            let terms = writer.usage(self, *shared);
            writer.model.row(terms, Sense::AtMost, *most);
        }
        Written { model: writer.model, columns: writer.columns }
    }

    fn write_modules(&self, writer: &mut Writer, pool: usize) {
        let of = &self.counted.pools[pool];
        let cost = if of.is_new() {
            price(self.problem, self.problem.offers[of.offer].effort, self.scale)
        } else {
            0
        };
        let units = self.units(pool);
        let most = if self.slots.contains_key(&pool) { 1 } else { self.most(pool) };
        let mut before: Option<Vec<usize>> = None;
        for unit in units {
            let columns: Vec<usize> = (0..of.hosts.len())
                .map(|host| writer.column(Column::Modules { unit, host }, cost, most))
                .collect();
            if of.is_new() {
                // Of slots that nothing tells apart, the first are used first.
                if let Some(before) = before {
                    let terms =
                        before.iter().map(|c| (*c, 1)).chain(columns.iter().map(|c| (*c, -1))).collect();
                    writer.model.row(terms, Sense::AtLeast, 0);
                }
                writer.model.row(columns.iter().map(|c| (*c, 1)).collect(), Sense::AtMost, most);
            } else {
                writer.model.row(columns.iter().map(|c| (*c, 1)).collect(), Sense::Exactly, most);
            }
            before = Some(columns);
        }
    }

    fn write_class(&self, writer: &mut Writer, class: usize) {
        let item = self.counted.first(class);
        let count = to_i64(self.counted.classes[class].items.len());
        let mut terms = Vec::new();
        for ((pool, host), choices) in &item.ways {
            if !self.enclosures.contains(&self.counted.pools[*pool].enclosure) {
                continue;
            }
            for unit in self.units(*pool) {
                for (choice, way) in choices.iter().enumerate() {
                    if !self.extend && way.picks.iter().any(|pick| pick.extension.is_some()) {
                        continue;
                    }
                    let column = Column::Items { class, unit, host: *host, choice };
                    terms.push((writer.column(column, to_i64(way.cost) * self.scale, count), 1));
                }
            }
        }
        if self.problem.unmet == Unmet::Fewest {
            let weight = self.unmet_cost * to_i64(item.members.len());
            let most = count - self.forced.get(&class).copied().map_or(0, to_i64);
            terms.push((writer.column(Column::Unmet { class }, weight, most), 1));
        }
        writer.model.row(terms, Sense::Exactly, count);
    }

    /// Inputs, inputs that take smoke, and current, of each unit in each mode.
    fn write_capacity(&self, writer: &mut Writer, pool: usize) {
        let of = &self.counted.pools[pool];
        let aux = i64::from(self.problem.offers[of.offer].aux_ma);
        for unit in self.units(pool) {
            for (host, as_host) in of.hosts.iter().enumerate() {
                let Some(modules) = writer.find(Column::Modules { unit, host }) else { continue };
                let on: Vec<OnHost> = writer.items_on(unit, host);
                let with = |size: &dyn Fn(&Choice, u32) -> u32| -> Vec<(usize, i64)> {
                    on.iter()
                        .map(|(column, class, choice)| {
                            let item = self.counted.first(*class);
                            (*column, i64::from(size(&item.ways[&(pool, host)][*choice], item.aux_ma)))
                        })
                        .filter(|(_, size)| *size > 0)
                        .collect()
                };
                let mut hold = |mut terms: Vec<(usize, i64)>, each: i64| {
                    if !terms.is_empty() {
                        terms.push((modules, -each));
                        writer.model.row(terms, Sense::AtMost, 0);
                    }
                };
                hold(with(&|choice, _| choice.size), i64::from(as_host.inputs));
                for (lists, room) in hall(as_host) {
                    hold(with(&|choice, _| lists.iter().map(|list| choice.smoke[*list]).sum()), room);
                }
                if self.may_run_short(&on, (pool, host)) {
                    hold(with(&|_, item_aux| item_aux), aux);
                    // Modules do not share their current: what leaves no room for a second of its kind is counted as one.
                    for parts in 1..=PARTS {
                        hold(with(&|_, item_aux| share(item_aux, aux, parts)), i64::from(parts));
                    }
                }
                self.write_presence(writer, (unit, host), modules, &on);
            }
        }
    }

    /// Whether the thirstiest items that there are inputs for draw more than one module gives.
    fn may_run_short(&self, on: &[OnHost], (pool, host): (usize, usize)) -> bool {
        let of = &self.counted.pools[pool];
        let mut draws: Vec<u32> = Vec::new();
        for class in on.iter().map(|(_, class, _)| *class).collect::<BTreeSet<_>>() {
            draws.extend(std::iter::repeat_n(
                self.counted.first(class).aux_ma,
                self.counted.classes[class].items.len(),
            ));
        }
        draws.sort_unstable_by(|a, b| b.cmp(a));
        let inputs = of.hosts[host].inputs as usize + of.reserved.len();
        draws.iter().take(inputs).sum::<u32>() > self.problem.offers[of.offer].aux_ma
    }

    /// What takes no input beside a pinned one still needs its module to be in this mode. (The same row for every class would
    /// make the relaxation tighter, and was measured to make the search ten times as slow.)
    fn write_presence(
        &self,
        writer: &mut Writer,
        (unit, host): (Unit, usize),
        modules: usize,
        on: &[OnHost],
    ) {
        for (column, class, choice) in on {
            if self.counted.first(*class).ways[&(unit.pool, host)][*choice].size == 0 {
                let count = to_i64(self.counted.classes[*class].items.len());
                writer.model.row(vec![(*column, 1), (modules, -count)], Sense::AtMost, 0);
            }
        }
    }

    fn write_enclosure(&self, writer: &mut Writer, enclosure: usize) {
        let of = &self.problem.enclosures[enclosure];
        let annex = of.annex.as_ref().filter(|_| of.positions.is_some()).map(|annex| {
            let cost = price(self.problem, annex.effort, self.scale);
            (
                writer.column(Column::Annexes { enclosure }, cost, i64::from(annex.most)),
                i64::from(annex.positions),
            )
        });
        if let Some(left) = of.positions {
            let mut terms = writer.sum(|column| match column {
                Column::Modules { unit, .. } => {
                    let pool = &self.counted.pools[unit.pool];
                    let counts = pool.is_new() && pool.enclosure == enclosure;
                    if counts { i64::from(self.problem.offers[pool.offer].positions) } else { 0 }
                }
                _ => 0,
            });
            terms.extend(annex.map(|(column, positions)| (column, -positions)));
            writer.model.row(terms, Sense::AtMost, i64::from(left));
        }
        if of.spare > 0 {
            let terms = writer.sum(|column| self.spare(column, Some(enclosure)));
            writer.model.row(terms, Sense::AtLeast, i64::from(of.spare));
        }
    }

    /// What a column adds to the free inputs (of one enclosure, or of all here).
    fn spare(&self, column: Column, only: Option<usize>) -> i64 {
        match column {
            Column::Modules { unit, host } => {
                let pool = &self.counted.pools[unit.pool];
                let counts = only.is_none_or(|enclosure| enclosure == pool.enclosure);
                if counts { i64::from(pool.hosts[host].inputs) } else { 0 }
            }
            Column::Items { class, unit, host, choice } => {
                let pool = &self.counted.pools[unit.pool];
                let counts = only.is_none_or(|enclosure| enclosure == pool.enclosure);
                let size = self.counted.first(class).ways[&(unit.pool, host)][choice].size;
                if counts { -i64::from(size) } else { 0 }
            }
            Column::Annexes { .. } | Column::Unmet { .. } => 0,
        }
    }

    /// What a column takes of something shared.
    fn takes(&self, column: Column, shared: Shared) -> i64 {
        match (shared, column) {
            (Shared::Spare, _) => -self.spare(column, None),
            (Shared::Modules, Column::Modules { unit, .. }) => {
                i64::from(self.counted.pools[unit.pool].is_new())
            }
            (Shared::Offer(offer), Column::Modules { unit, .. }) => {
                let pool = &self.counted.pools[unit.pool];
                i64::from(pool.is_new() && pool.offer == offer)
            }
            (Shared::Zones, Column::Modules { unit, .. }) => {
                i64::from(standing_zones(&self.problem.offers[self.counted.pools[unit.pool].offer]))
            }
            (Shared::Zones, Column::Items { class, unit, host, choice }) => {
                let offer = &self.problem.offers[self.counted.pools[unit.pool].offer];
                if standing_zones(offer) > 0 {
                    return 0;
                }
                i64::from(self.counted.first(class).ways[&(unit.pool, host)][choice].zones)
            }
            _ => 0,
        }
    }
}

/// Cuts of a module's current: into halves, thirds and so on.
const PARTS: u32 = 8;

/// How many of `parts` parts of a module's current an item surely takes: a dual feasible function of bin packing, so the sum
/// over what one module carries is never more than `parts` (Fekete and Schepers, 2001, from memory).
fn share(draw: u32, gives: i64, parts: u32) -> u32 {
    let (whole, gives) = (i64::from(draw) * i64::from(parts + 1), gives.max(1));
    let floor = if whole % gives == 0 { (whole / gives - 1).max(0) } else { whole / gives };
    u32::try_from(floor).expect("no item draws more than a module gives")
}

/// For every set of lists the inputs that they have together: no more smoke can be on them (Hall's condition, which is
/// enough because all other circuits may have any input). Beyond six different lists only single ones and all.
fn hall(host: &Host) -> Vec<(Vec<usize>, i64)> {
    let lists = host.lists.len();
    let room = |of: &[usize]| {
        let together: BTreeSet<u16> = of.iter().flat_map(|list| host.lists[*list].iter().copied()).collect();
        to_i64(together.len())
    };
    let mut rows = Vec::new();
    if lists <= 6 {
        for set in 1_usize..(1 << lists) {
            let of: Vec<usize> = (0..lists).filter(|list| set & (1 << list) != 0).collect();
            let room = room(&of);
            rows.push((of, room));
        }
    } else {
        rows.extend((0..lists).map(|list| (vec![list], room(&[list]))));
        let all: Vec<usize> = (0..lists).collect();
        let room = room(&all);
        rows.push((all, room));
    }
    rows
}

#[derive(Default)]
struct Writer {
    model: Model,
    columns: Vec<Column>,
    modules: BTreeMap<(Unit, usize), usize>,
    items: BTreeMap<(Unit, usize), Vec<OnHost>>,
}

/// A column of items on a host, its class and its choice.
type OnHost = (usize, usize, usize);

impl Writer {
    fn column(&mut self, column: Column, cost: i64, most: i64) -> usize {
        let index = self.model.column(cost, most);
        self.columns.push(column);
        match column {
            Column::Modules { unit, host } => {
                self.modules.insert((unit, host), index);
            }
            Column::Items { class, unit, host, choice } => {
                self.items.entry((unit, host)).or_default().push((index, class, choice));
            }
            Column::Annexes { .. } | Column::Unmet { .. } => {}
        }
        index
    }

    fn find(&self, column: Column) -> Option<usize> {
        let Column::Modules { unit, host } = column else { return None };
        self.modules.get(&(unit, host)).copied()
    }

    fn items_on(&self, unit: Unit, host: usize) -> Vec<OnHost> {
        self.items.get(&(unit, host)).cloned().unwrap_or_default()
    }

    fn sum(&self, factor: impl Fn(Column) -> i64) -> Vec<(usize, i64)> {
        let terms = self.columns.iter().enumerate().map(|(index, column)| (index, factor(*column)));
        terms.filter(|(_, factor)| *factor != 0).collect()
    }

    fn usage(&self, block: &Block, shared: Shared) -> Vec<(usize, i64)> {
        self.sum(|column| block.takes(column, shared))
    }
}

impl Written {
    /// Makes the model ask for the most modules of a pool instead of the least cost.
    pub(crate) fn maximise(&mut self, pool: usize) {
        for (column, cost) in self.columns.iter().zip(&mut self.model.costs) {
            let counts = matches!(column, Column::Modules { unit, .. } if unit.pool == pool);
            *cost = if counts { -1 } else { 0 };
        }
    }

    /// What an assignment means.
    pub(crate) fn counts(&self, values: &[i64]) -> Counts {
        let mut counts = Counts { cost: self.model.cost(values), ..Counts::default() };
        for (column, value) in self.columns.iter().zip(values).filter(|(_, value)| **value > 0) {
            let count = usize::try_from(*value).expect("columns are not negative");
            match *column {
                Column::Modules { unit, host } => {
                    counts.modules.insert((unit, host), count);
                }
                Column::Items { class, unit, host, choice } => {
                    counts.flows.push(Flow { class, unit, host, choice, count });
                }
                Column::Annexes { enclosure } => {
                    counts
                        .annexes
                        .insert(enclosure, u32::try_from(count).expect("at most what there is room for"));
                }
                Column::Unmet { class } => {
                    counts.unmet.insert(class, count);
                }
            }
        }
        counts
    }

    /// The assignment that means these counts.
    pub(crate) fn values(&self, counts: &Counts) -> Vec<i64> {
        let of = |column: &Column| match *column {
            Column::Modules { unit, host } => counts.modules.get(&(unit, host)).copied().map_or(0, to_i64),
            Column::Items { class, unit, host, choice } => {
                let same =
                    |f: &&Flow| f.class == class && f.unit == unit && f.host == host && f.choice == choice;
                counts.flows.iter().find(same).map_or(0, |flow| to_i64(flow.count))
            }
            Column::Annexes { enclosure } => counts.annexes.get(&enclosure).copied().map_or(0, i64::from),
            Column::Unmet { class } => counts.unmet.get(&class).copied().map_or(0, to_i64),
        };
        self.columns.iter().map(of).collect()
    }

    /// What an assignment takes of something shared.
    pub(crate) fn usage(&self, block: &Block, shared: Shared, values: &[i64]) -> i64 {
        self.columns.iter().zip(values).map(|(column, value)| value * block.takes(*column, shared)).sum()
    }
}

/// Counts and costs as the solver has them.
pub(crate) fn to_i64(number: impl TryInto<i64>) -> i64 {
    number.try_into().unwrap_or_else(|_| panic!("counts and costs are far below 2^63"))
}
