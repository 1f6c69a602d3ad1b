//! When nothing can be done: which demands cannot stand together.
//!
//! Circuits that nothing tells apart are counted, not tried one by one. A conflict is first made irreducible (from each
//! group as few as still conflict). Then the smallest is looked for by its dual: every set of demands that can be met and
//! not be added to says that a conflict must hold one of the others; the smallest choice that obeys all of these, once it
//! cannot be met itself, is the smallest conflict there is.

use std::collections::{BTreeMap, BTreeSet};

use crate::allocation::{Conflict, Demand, DemandOf};
use crate::demands::{all, clash, groups, only};
use crate::items::Counted;
use crate::model::to_i64;
use crate::problem::{Problem, Unmet};
use crate::search::{Found, Search};
use crate::solver::{Budget, Model, Outcome, Sense, Solver};
use crate::words;

/// As many demands as the smallest conflict is looked for among.
const FEW: usize = 60;
/// Rounds of that search, and its nodes: what stands in the way is told soon, the smallest or not.
const ROUNDS: usize = 200;
const NODES: u64 = 20_000;

/// Demands that cannot stand together, of a problem that has no answer.
pub(crate) fn find(problem: &Problem, solver: &dyn Solver, budget: &mut Budget) -> Conflict {
    let everything = all(problem);
    let mut asker = Asker { problem, solver, budget, known: BTreeMap::new(), sure: true };
    let narrow = asker.one_block(&everything);
    let around = groups(problem, &narrow);
    let counts = asker.irreducible(&around);
    let mut found = pick(&around, &counts);
    let irreducible = asker.sure;
    let mut smallest = irreducible && found.len() == 1;
    if irreducible && !smallest {
        let universe = if everything.len() <= FEW { groups(problem, &everything) } else { around };
        if let Some(counts) = asker.smallest(&universe, found.len()) {
            found = pick(&universe, &counts);
            smallest = asker.sure && everything.len() <= FEW;
        } else {
            smallest = false;
        }
    }
    let demands = words::sorted(problem, found);
    let words = words::sentence(problem, &demands, irreducible);
    let demands = demands.into_iter().map(|of| Demand { words: words::demand(problem, &of), of }).collect();
    Conflict { demands, irreducible, smallest, words }
}

/// The first so many of each group.
fn pick(groups: &[Vec<DemandOf>], counts: &[usize]) -> BTreeSet<DemandOf> {
    groups.iter().zip(counts).flat_map(|(group, count)| group[..*count].iter().cloned()).collect()
}

struct Asker<'a, 'b, 'c> {
    problem: &'a Problem,
    solver: &'a dyn Solver,
    budget: &'b mut Budget<'c>,
    known: BTreeMap<BTreeSet<DemandOf>, bool>,
    /// False once a question stayed open for want of nodes or time.
    sure: bool,
}

impl Asker<'_, '_, '_> {
    /// Whether these demands can be met together. One that stays open counts as met: the conflict then is too large
    /// rather than none.
    fn met(&mut self, asked: &BTreeSet<DemandOf>) -> bool {
        if let Some(known) = self.known.get(asked) {
            return *known;
        }
        if self.budget.over() {
            self.sure = false;
            return true;
        }
        let left = only(self.problem, asked);
        let met = if clash(&left) {
            false
        } else {
            let counted = Counted::of(&left);
            match Search::new(&left, &counted, self.solver).run(self.budget) {
                Found::Layout(_) => true,
                Found::Impossible => false,
                Found::Nothing { .. } => {
                    self.sure = false;
                    true
                }
            }
        };
        self.known.insert(asked.clone(), met);
        met
    }

    /// The demands of one block of enclosures, if these conflict by themselves; else all.
    fn one_block(&mut self, everything: &BTreeSet<DemandOf>) -> BTreeSet<DemandOf> {
        let counted = Counted::of(self.problem);
        for item in counted.items.iter().filter(|item| item.ways.is_empty()) {
            let narrow = self.with_circuits(everything, &item.members.iter().copied().collect());
            if !self.met(&narrow) {
                return narrow;
            }
        }
        for block in counted.blocks(self.problem.enclosures.len()) {
            let here = counted.items.iter().filter(|item| {
                item.ways.keys().any(|(pool, _)| block.contains(&counted.pools[*pool].enclosure))
            });
            let circuits: BTreeSet<usize> = here.flat_map(|item| item.members.iter().copied()).collect();
            let narrow = self.with_circuits(everything, &circuits);
            let spare = |demand: &DemandOf| match demand {
                DemandOf::Spare(enclosure) => !block.contains(enclosure),
                DemandOf::SpareOfJob => true,
                _ => false,
            };
            let narrow = narrow.into_iter().filter(|demand| !spare(demand)).collect();
            if !self.met(&narrow) {
                return narrow;
            }
        }
        everything.clone()
    }

    fn with_circuits(
        &self,
        everything: &BTreeSet<DemandOf>,
        circuits: &BTreeSet<usize>,
    ) -> BTreeSet<DemandOf> {
        let keep = |demand: &&DemandOf| match demand {
            DemandOf::Circuit(index) | DemandOf::Pin(index) | DemandOf::Zone(index) => {
                circuits.contains(index)
            }
            DemandOf::Commons(name) => {
                circuits.iter().any(|index| self.problem.circuits[*index].commons.as_ref() == Some(name))
            }
            _ => true,
        };
        everything.iter().filter(keep).cloned().collect()
    }

    /// As few of each group as still conflict with the others, what is not a circuit first.
    fn irreducible(&mut self, groups: &[Vec<DemandOf>]) -> Vec<usize> {
        let mut counts: Vec<usize> = groups.iter().map(Vec::len).collect();
        let mut order: Vec<usize> = (0..groups.len()).collect();
        order.sort_by_key(|index| matches!(groups[*index][0], DemandOf::Circuit(_)));
        for group in order {
            // Fewer than `low` can be met, `high` cannot.
            let (mut low, mut high) = (0, counts[group]);
            while low < high {
                let middle = low.midpoint(high);
                counts[group] = middle;
                if self.met(&pick(groups, &counts)) { low = middle + 1 } else { high = middle }
            }
            counts[group] = high;
        }
        counts
    }

    /// A smallest conflict, smaller than or as small as `found`; none when the rounds or the budget did not suffice.
    fn smallest(&mut self, groups: &[Vec<DemandOf>], found: usize) -> Option<Vec<usize>> {
        let mut met_sets: Vec<Vec<usize>> = Vec::new();
        let begun = self.budget.spent();
        for _ in 0..ROUNDS {
            if self.budget.spent() - begun > NODES {
                return None;
            }
            let counts = hit(groups, &met_sets, self.solver, self.budget)?;
            if counts.iter().sum::<usize>() > found {
                return None;
            }
            if !self.met(&pick(groups, &counts)) {
                return Some(counts);
            }
            if !self.sure {
                return None;
            }
            let wide = self.widest(groups, &counts).unwrap_or(counts);
            met_sets.push(self.grown(groups, wide));
        }
        None
    }

    /// With the other demands as they are, these circuits and as many more as can land: the more there are, the more the set
    /// says. None where that is not clear at once.
    fn widest(&mut self, groups: &[Vec<DemandOf>], counts: &[usize]) -> Option<Vec<usize>> {
        let circuit =
            |demand: &DemandOf| if let DemandOf::Circuit(index) = demand { Some(*index) } else { None };
        let asked = pick(groups, counts);
        let must: BTreeSet<usize> = asked.iter().filter_map(circuit).collect();
        let all: BTreeSet<usize> = groups.iter().flatten().filter_map(circuit).collect();
        let mut left =
            only(self.problem, &asked.into_iter().chain(all.iter().map(|c| DemandOf::Circuit(*c))).collect());
        left.unmet = Unmet::Fewest;
        if clash(&left) {
            return None;
        }
        let counted = Counted::of(&left);
        let names: Vec<usize> = all.into_iter().collect();
        let forced =
            |item: &usize| counted.items[*item].members.iter().any(|member| must.contains(&names[*member]));
        let mut search = Search::new(&left, &counted, self.solver);
        for (class, of) in counted.classes.iter().enumerate() {
            search.forced.insert(class, of.items.iter().filter(|item| forced(item)).count());
        }
        let Found::Layout(layout) = search.run(self.budget) else { return None };
        let mut landed = BTreeSet::new();
        for class in &counted.classes {
            let without = layout.unmet.iter().filter(|item| class.items.contains(item)).count();
            let (first, others): (Vec<usize>, Vec<usize>) = class.items.iter().partition(|item| forced(item));
            let land = first.into_iter().chain(others).take(class.items.len() - without);
            landed.extend(
                land.flat_map(|item| counted.items[item].members.iter().map(|member| names[*member])),
            );
        }
        let count = |(group, count): (&Vec<DemandOf>, &usize)| match circuit(&group[0]) {
            Some(_) => group.iter().filter_map(circuit).filter(|index| landed.contains(index)).count(),
            None => *count,
        };
        Some(groups.iter().zip(counts).map(count).collect())
    }

    /// As many of each group as can still be met with the others.
    fn grown(&mut self, groups: &[Vec<DemandOf>], mut counts: Vec<usize>) -> Vec<usize> {
        for group in 0..groups.len() {
            let (mut low, mut high) = (counts[group], groups[group].len());
            while low < high {
                let middle = (low + high).div_ceil(2);
                counts[group] = middle;
                if self.met(&pick(groups, &counts)) { low = middle } else { high = middle - 1 }
            }
            counts[group] = low;
        }
        counts
    }
}

/// The fewest demands with, against each set that can be met, more of some group than that set has.
fn hit(
    groups: &[Vec<DemandOf>],
    met_sets: &[Vec<usize>],
    solver: &dyn Solver,
    budget: &mut Budget,
) -> Option<Vec<usize>> {
    let mut model = Model::default();
    let levels: Vec<Vec<usize>> =
        groups.iter().map(|group| group.iter().map(|_| model.column(1, 1)).collect()).collect();
    for pair in levels.iter().flat_map(|levels| levels.windows(2)) {
        model.row(vec![(pair[0], 1), (pair[1], -1)], Sense::AtLeast, 0);
    }
    for met in met_sets {
        let terms =
            levels.iter().zip(met).filter_map(|(levels, met)| levels.get(*met).map(|level| (*level, 1)));
        model.row(terms.collect(), Sense::AtLeast, 1);
    }
    let Outcome::Found { values, bound } = solver.solve(&model, None, budget) else { return None };
    if model.cost(&values) != bound {
        return None;
    }
    let chosen = |levels: &Vec<usize>| levels.iter().filter(|level| values[**level] > 0).count();
    let counts: Vec<usize> = levels.iter().map(chosen).collect();
    debug_assert_eq!(to_i64(counts.iter().sum::<usize>()), bound);
    Some(counts)
}
