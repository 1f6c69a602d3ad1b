//! The search: enclosure by enclosure where nothing ties them together, and what they share divided exactly.

use std::collections::{BTreeMap, BTreeSet};

use crate::items::{Counted, Item};
use crate::model::{Block, Counts, Shared, Written, to_i64};
use crate::pack::{Short, Slot, lay_out};
use crate::problem::{Effort, Problem, Unmet};
use crate::solver::{Budget, Outcome, Sense, Solver};

/// What the search ends with.
pub(crate) enum Found {
    /// A layout; `bound` is what any costs at least, both with the weight of what is unmet.
    Layout(Layout),
    Impossible,
    Nothing {
        bound: i64,
    },
}

/// Blocks laid out.
#[derive(Debug, Clone, Default)]
pub(crate) struct Layout {
    pub(crate) slots: Vec<Slot>,
    pub(crate) annexes: BTreeMap<usize, u32>,
    /// Items without an input.
    pub(crate) unmet: Vec<usize>,
    pub(crate) cost: i64,
    pub(crate) bound: i64,
}

/// One block with its layout and what it takes of what is shared.
#[derive(Debug, Clone)]
struct Part {
    counts: Counts,
    slots: Vec<Slot>,
    unmet: Vec<usize>,
    usage: BTreeMap<Shared, i64>,
    bound: i64,
}

enum Solved {
    Part(Part),
    Impossible,
    Nothing,
}

/// Everything that the search needs, in one place.
pub(crate) struct Search<'a> {
    pub(crate) problem: &'a Problem,
    pub(crate) counted: &'a Counted,
    pub(crate) solver: &'a dyn Solver,
    /// What one hundredth counts in the model: more than one where a module may cost nothing, so that the fewest of them
    /// break the tie.
    pub(crate) scale: i64,
    /// What a circuit without an input counts: more than everything else together.
    pub(crate) unmet_cost: i64,
    /// Items of a class that must land although others need not.
    pub(crate) forced: BTreeMap<usize, usize>,
}

impl<'a> Search<'a> {
    pub(crate) fn new(problem: &'a Problem, counted: &'a Counted, solver: &'a dyn Solver) -> Self {
        let dearest =
            |item: &Item| to_i64(item.ways.values().flatten().map(|choice| choice.cost).max().unwrap_or(0));
        let fold = |effort: Effort| to_i64(problem.weights.fold(effort));
        let annexes = || problem.enclosures.iter().filter_map(|e| e.annex.as_ref());
        let offers = || problem.offers.iter().filter(|o| o.most != Some(0));
        // No answer has more new modules than circuits and free inputs that are wanted, nor more annexes than there is room for.
        let modules = to_i64(problem.circuits.len())
            + i64::from(problem.spare)
            + problem.enclosures.iter().map(|e| i64::from(e.spare)).sum::<i64>();
        let things = modules + annexes().map(|a| i64::from(a.most)).sum::<i64>();
        let free = offers().any(|o| fold(o.effort) == 0) || annexes().any(|a| fold(a.effort) == 0);
        let scale = if free { things + 1 } else { 1 };
        let everything = counted.items.iter().map(dearest).sum::<i64>()
            + modules * offers().map(|o| fold(o.effort)).max().unwrap_or(0)
            + annexes().map(|a| fold(a.effort) * i64::from(a.most)).sum::<i64>();
        Self {
            problem,
            counted,
            solver,
            scale,
            unmet_cost: (everything + 1) * scale + things,
            forced: BTreeMap::new(),
        }
    }

    /// A cost or a bound of the model in hundredths.
    pub(crate) fn unscaled(&self, cost: i64) -> u64 {
        u64::try_from(cost / self.scale).unwrap_or(0)
    }

    /// Limits that hold for all enclosures together.
    fn limits(&self) -> BTreeMap<Shared, i64> {
        let mut limits = BTreeMap::new();
        let panel = &self.problem.panel;
        if let Some(modules) = panel.modules {
            limits.insert(Shared::Modules, i64::from(modules) - to_i64(self.problem.existing.len()));
        }
        if let Some(zones) = panel.zones {
            limits.insert(Shared::Zones, i64::from(zones) - to_i64(taken(&panel.taken, zones).len()));
        }
        if self.problem.spare > 0 {
            limits.insert(Shared::Spare, -i64::from(self.problem.spare));
        }
        for (offer, of) in self.problem.offers.iter().enumerate() {
            if let Some(most @ 1..) = of.most {
                limits.insert(Shared::Offer(offer), i64::from(most));
            }
        }
        limits
    }

    /// The whole problem.
    pub(crate) fn run(&self, budget: &mut Budget) -> Found {
        let nowhere = self.counted.items.iter().any(|item| item.ways.is_empty());
        if nowhere && self.problem.unmet == Unmet::Never {
            return Found::Impossible;
        }
        let blocks = self.counted.blocks(self.problem.enclosures.len());
        let limits = self.limits();
        let alone = blocks.len() == 1;
        let mut parts = Vec::new();
        let mut nothing = false;
        for enclosures in &blocks {
            // A block may take all that there is; what it must leave free counts only where it is the only one.
            let own = limits.iter().filter(|(shared, _)| alone || **shared != Shared::Spare);
            let block = self.block(enclosures, own.map(|(shared, most)| (*shared, *most)).collect());
            match self.solve(block, &limits, budget) {
                Solved::Part(part) => parts.push(part),
                Solved::Impossible => return Found::Impossible,
                Solved::Nothing => nothing = true,
            }
        }
        let stranded = self.stranded();
        let forced = |class: usize| self.forced.get(&class).is_some_and(|count| *count > 0);
        let classes = self.counted.classes.iter().enumerate().filter(|(class, _)| forced(*class));
        if classes.into_iter().any(|(_, class)| stranded.contains(&class.items[0])) {
            return Found::Impossible;
        }
        let bound = parts.iter().map(|part| part.bound).sum::<i64>();
        if nothing {
            return Found::Nothing { bound };
        }
        let mut found = self.share(&blocks, &limits, parts, bound, budget);
        if let Found::Layout(layout) = &mut found {
            let members: usize = stranded.iter().map(|item| self.counted.items[*item].members.len()).sum();
            layout.cost += self.unmet_cost * to_i64(members);
            layout.bound += self.unmet_cost * to_i64(members);
            layout.unmet.extend(stranded);
        }
        found
    }

    /// Items that nothing takes.
    fn stranded(&self) -> Vec<usize> {
        (0..self.counted.items.len()).filter(|item| self.counted.items[*item].ways.is_empty()).collect()
    }

    fn block<'b>(&'b self, enclosures: &'b [usize], limits: BTreeMap<Shared, i64>) -> Block<'b> {
        Block {
            problem: self.problem,
            counted: self.counted,
            enclosures,
            extend: true,
            slots: BTreeMap::new(),
            limits,
            scale: self.scale,
            unmet_cost: self.unmet_cost,
            forced: &self.forced,
        }
    }

    /// The best of one block. Counts come first; a pool whose counts cannot be laid out (what shares a core, is split or
    /// draws current does not add up like single inputs) is then looked at module by module.
    fn solve(&self, mut block: Block, shared: &BTreeMap<Shared, i64>, budget: &mut Budget) -> Solved {
        let mut bound = 0;
        let mut start = self.without_extensions(&block, budget);
        let mut known: Option<Part> = None;
        loop {
            let written = block.write();
            let first = start.take().map(|counts| written.values(&counts));
            let (values, least) = match self.solver.solve(&written.model, first.as_deref(), budget) {
                Outcome::Found { values, bound } => (values, bound),
                Outcome::Impossible => return Solved::Impossible,
                Outcome::Nothing => break,
            };
            bound = bound.max(least);
            let counts = written.counts(&values);
            let short = match self.part(&block, &written, counts.clone(), shared) {
                Ok(part) => {
                    known = Some(known.filter(|known| known.counts.cost <= part.counts.cost).unwrap_or(part));
                    break;
                }
                Err(short) => short,
            };
            // With as many more as a simple layout takes there is an answer, and what it costs caps what else is looked at.
            let mut roomier = counts;
            for (at, more) in &short {
                *roomier.modules.entry(*at).or_default() += more;
            }
            let values = written.values(&roomier);
            if written.model.allows(&values) {
                roomier.cost = written.model.cost(&values);
                let part = self.part(&block, &written, roomier, shared).ok();
                known = known.into_iter().chain(part).min_by_key(|part| part.counts.cost);
            }
            let most = known.as_ref().map(|part| part.counts.cost);
            if most == Some(bound) {
                break;
            }
            for pool in short.keys().map(|(unit, _)| unit.pool).collect::<BTreeSet<_>>() {
                let count = self.affordable(&block, pool, most, budget);
                block.slots.insert(pool, usize::try_from(count).expect("counts are not negative"));
            }
        }
        match known {
            Some(part) => Solved::Part(Part { bound: bound.min(part.counts.cost), ..part }),
            None => Solved::Nothing,
        }
    }

    /// Counts as a part, laid out, or what they are short of.
    fn part(
        &self,
        block: &Block,
        written: &Written,
        counts: Counts,
        shared: &BTreeMap<Shared, i64>,
    ) -> Result<Part, Short> {
        let (slots, unmet) = lay_out(self.problem, self.counted, &counts)?;
        let values = written.values(&counts);
        let usage = shared.keys().map(|s| (*s, written.usage(block, *s, &values))).collect();
        Ok(Part { counts, slots, unmet, usage, bound: 0 })
    }

    /// How many modules of a pool an answer of this cost can have at most, by the counts.
    fn affordable(&self, block: &Block, pool: usize, cost: Option<i64>, budget: &mut Budget) -> i64 {
        let most = block.most(pool);
        let Some(cost) = cost.filter(|_| self.counted.pools[pool].is_new()) else { return most };
        let mut written = block.write();
        let paid =
            written.model.costs.iter().enumerate().filter(|(_, cost)| **cost > 0).map(|(c, cost)| (c, *cost));
        let paid: Vec<(usize, i64)> = paid.collect();
        written.model.row(paid, Sense::AtMost, cost);
        written.maximise(pool);
        match self.solver.solve(&written.model, None, budget) {
            Outcome::Found { bound, .. } => (-bound).min(most),
            Outcome::Impossible | Outcome::Nothing => most,
        }
    }

    /// Where cables may be made longer: the best without that, to begin with.
    fn without_extensions(&self, block: &Block, budget: &mut Budget) -> Option<Counts> {
        if block.enclosures.len() < 2 {
            return None;
        }
        let mut together = Counts::default();
        for enclosure in block.enclosures.chunks(1) {
            let mut one = block.clone();
            one.enclosures = enclosure;
            one.extend = false;
            let written = one.write();
            let Outcome::Found { values, .. } = self.solver.solve(&written.model, None, budget) else {
                return None;
            };
            let counts = written.counts(&values);
            together.modules.extend(counts.modules);
            together.flows.extend(counts.flows);
            together.annexes.extend(counts.annexes);
            together.unmet.extend(counts.unmet);
        }
        Some(together)
    }

    /// Divides what is shared: nothing to do while the best of each block leaves enough for the others.
    fn share(
        &self,
        blocks: &[Vec<usize>],
        limits: &BTreeMap<Shared, i64>,
        parts: Vec<Part>,
        bound: i64,
        budget: &mut Budget,
    ) -> Found {
        let mut scarce: Vec<Shared> = Vec::new();
        let best = parts.clone();
        let mut chosen = parts;
        let mut proven = true;
        loop {
            let over = limits.iter().find(|(shared, most)| {
                !scarce.contains(shared) && chosen.iter().map(|part| part.usage[shared]).sum::<i64>() > **most
            });
            let Some((shared, _)) = over else {
                return Found::Layout(together(chosen, bound, proven && !scarce.is_empty()));
            };
            scarce.push(*shared);
            let mut frontiers = Vec::new();
            for (enclosures, part) in blocks.iter().zip(&best) {
                let own = limits.iter().filter(|(shared, _)| **shared != Shared::Spare);
                let block = self.block(enclosures, own.map(|(shared, most)| (*shared, *most)).collect());
                // The best by itself is known, so that a budget that ends here still leaves something to divide.
                let mut frontier = Frontier { parts: vec![part.clone()], proven: true };
                self.explore(&block, &scarce, limits, &mut frontier, budget);
                proven = proven && frontier.proven;
                frontiers.push(frontier.parts);
            }
            match divide(&frontiers, &scarce, limits) {
                Some(best) => chosen = best,
                None if proven => return Found::Impossible,
                None => return Found::Nothing { bound },
            }
        }
    }

    /// The parts that a block can be, from the cheapest down to the least of everything scarce.
    fn explore(
        &self,
        block: &Block,
        scarce: &[Shared],
        limits: &BTreeMap<Shared, i64>,
        into: &mut Frontier,
        budget: &mut Budget,
    ) -> Vec<BTreeMap<Shared, i64>> {
        let Some((first, others)) = scarce.split_first() else {
            return match self.solve(block.clone(), limits, budget) {
                Solved::Part(part) => {
                    into.proven = into.proven && part.bound == part.counts.cost;
                    let usage = part.usage.clone();
                    into.parts.push(part);
                    vec![usage]
                }
                Solved::Impossible => Vec::new(),
                Solved::Nothing => {
                    into.proven = false;
                    Vec::new()
                }
            };
        };
        let mut all = Vec::new();
        let mut block = block.clone();
        loop {
            let found = self.explore(&block, others, limits, into, budget);
            let Some(most) = found.iter().map(|usage| usage[first]).max() else { return all };
            all.extend(found);
            // No block needs to leave more free than the whole job wants.
            if *first == Shared::Spare && most <= limits[first] {
                return all;
            }
            block.limits.insert(*first, most - 1);
        }
    }
}

/// What a block can be.
struct Frontier {
    parts: Vec<Part>,
    /// Whether each is the cheapest of its kind for certain.
    proven: bool,
}

/// One part of each block, the cheapest that keeps every limit together: block by block, keeping only what nothing beats.
fn divide(frontiers: &[Vec<Part>], scarce: &[Shared], limits: &BTreeMap<Shared, i64>) -> Option<Vec<Part>> {
    let mut sums: Vec<(i64, Vec<i64>, Vec<usize>)> = vec![(0, vec![0; scarce.len()], Vec::new())];
    for frontier in frontiers {
        let mut next: Vec<(i64, Vec<i64>, Vec<usize>)> = Vec::new();
        for (cost, usage, picks) in &sums {
            for (index, part) in frontier.iter().enumerate() {
                let usage = usage.iter().zip(scarce).map(|(sum, shared)| sum + part.usage[shared]).collect();
                let picks = picks.iter().copied().chain([index]).collect();
                next.push((cost + part.counts.cost, usage, picks));
            }
        }
        next.sort();
        sums.clear();
        for one in next {
            let beaten =
                |other: &(i64, Vec<i64>, Vec<usize>)| other.1.iter().zip(&one.1).all(|(a, b)| a <= b);
            if !sums.iter().any(beaten) {
                sums.push(one);
            }
        }
    }
    let keeps = |usage: &[i64]| usage.iter().zip(scarce).all(|(sum, shared)| *sum <= limits[shared]);
    let (_, _, picks) = sums.into_iter().find(|(_, usage, _)| keeps(usage))?;
    Some(frontiers.iter().zip(picks).map(|(frontier, pick)| frontier[pick].clone()).collect())
}

/// Parts as one layout. Where something scarce was divided exactly, the sum itself is the least.
fn together(parts: Vec<Part>, bound: i64, exact: bool) -> Layout {
    let mut layout = Layout { bound, ..Layout::default() };
    for part in parts {
        layout.cost += part.counts.cost;
        layout.annexes.extend(part.counts.annexes);
        layout.unmet.extend(part.unmet);
        layout.slots.extend(part.slots);
    }
    if exact {
        layout.bound = layout.cost;
    }
    layout
}

/// Zone numbers that something else has, each once.
pub(crate) fn taken(taken: &[u32], zones: u32) -> BTreeSet<u32> {
    taken.iter().copied().filter(|zone| (1..=zones).contains(zone)).collect()
}
