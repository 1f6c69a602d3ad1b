//! Every way there is, one after the other, on small instances: the same optimum, or the same verdict that there is none.

mod common;

use std::collections::BTreeMap;

use allocate::{Limits, ModePer, Problem, Status, Unmet, ZoneUse, allocate};
use common::instances::{Shape, random};

/// A module while ways are tried.
#[derive(Clone)]
struct Open {
    offer: usize,
    mode: Option<usize>,
    enclosure: usize,
    existing: Option<usize>,
    /// Per input that is taken: the circuits' demands as sets of inputs that would do.
    wants: Vec<Vec<u16>>,
    aux: u32,
}

struct Brute<'a> {
    problem: &'a Problem,
    best: Option<(usize, u64)>,
}

impl Brute<'_> {
    fn run(problem: &Problem) -> Option<(usize, u64)> {
        let mut brute = Brute { problem, best: None };
        if !clashes(problem) {
            brute.modes(0, Vec::new());
        }
        brute.best
    }

    fn modes(&mut self, next: usize, open: Vec<Open>) {
        let Some(module) = self.problem.existing.get(next) else {
            self.circuits(0, open, 0, 0, &mut BTreeMap::new());
            return;
        };
        let offer = &self.problem.offers[module.offer];
        let modes: Vec<Option<usize>> = match (offer.mode_per, module.mode) {
            (ModePer::Input, _) => vec![None],
            (ModePer::Module, Some(mode)) => vec![Some(mode)],
            (ModePer::Module, None) => (0..offer.modes.len()).map(Some).collect(),
        };
        for mode in modes {
            let mut open = open.clone();
            let (offer, enclosure) = (module.offer, module.enclosure);
            open.push(Open { offer, mode, enclosure, existing: Some(next), wants: Vec::new(), aux: 0 });
            self.modes(next + 1, open);
        }
    }

    fn circuits(
        &mut self,
        next: usize,
        open: Vec<Open>,
        unmet: usize,
        cost: u64,
        commons: &mut BTreeMap<String, Option<usize>>,
    ) {
        if self.best.is_some_and(|best| (unmet, cost) >= best) {
            return;
        }
        let problem = self.problem;
        let Some(circuit) = problem.circuits.get(next) else {
            self.spares(open, unmet, cost);
            return;
        };
        let bound = circuit.commons.as_ref().and_then(|name| commons.get(name).copied());
        let news = (0..problem.enclosures.len()).flat_map(|enclosure| {
            problem.offers.iter().enumerate().flat_map(move |(offer, of)| {
                let modes: Vec<Option<usize>> = match of.mode_per {
                    ModePer::Input => vec![None],
                    ModePer::Module => (0..of.modes.len()).map(Some).collect(),
                };
                modes.into_iter().map(move |mode| (enclosure, offer, mode))
            })
        });
        let mut choices: Vec<(Vec<Open>, usize, u64)> =
            (0..open.len()).map(|index| (open.clone(), index, 0)).collect();
        for (enclosure, offer, mode) in news {
            let mut more = open.clone();
            more.push(Open { offer, mode, enclosure, existing: None, wants: Vec::new(), aux: 0 });
            choices.push((more, open.len(), problem.weights.fold(problem.offers[offer].effort)));
        }
        for (open, index, price) in choices {
            if bound.is_some_and(|module| module != Some(index)) {
                continue;
            }
            let module = &open[index];
            if circuit.pin.is_some_and(|pin| module.existing != Some(pin.existing)) {
                continue;
            }
            let longer = if circuit.ends_in.is_none_or(|end| end == module.enclosure) {
                0
            } else {
                let to = circuit.extensions.iter().filter(|e| e.enclosure == module.enclosure);
                match to.map(|e| problem.weights.fold(e.effort)).min() {
                    Some(cost) => cost,
                    None => continue,
                }
            };
            for fit in &circuit.fits {
                if fit.offer != module.offer || module.mode.is_some_and(|mode| mode != fit.mode) {
                    continue;
                }
                let mut open = open.clone();
                let module = &mut open[index];
                let offer = &problem.offers[fit.offer];
                let any: Vec<u16> = if circuit.smoke {
                    offer.modes[fit.mode].smoke_inputs.clone()
                } else {
                    (1..=offer.inputs).collect()
                };
                let any: Vec<u16> =
                    any.into_iter().filter(|input| !pinned(problem, module.existing, *input)).collect();
                for piece in 0..fit.inputs {
                    let pin = circuit.pin.filter(|_| piece == 0);
                    module.wants.push(match pin {
                        Some(pin)
                            if !circuit.smoke || offer.modes[fit.mode].smoke_inputs.contains(&pin.input) =>
                        {
                            vec![pin.input]
                        }
                        Some(_) => Vec::new(),
                        None => any.clone(),
                    });
                }
                module.aux += circuit.aux_ma;
                if module.aux > offer.aux_ma || !matched(&module.wants) {
                    continue;
                }
                if !room(problem, &open) {
                    continue;
                }
                let cost = cost + price + longer + problem.weights.fold(fit.effort);
                self.with_commons(circuit.commons.as_ref(), Some(index), commons, |brute, commons| {
                    brute.circuits(next + 1, open, unmet, cost, commons);
                });
            }
        }
        if problem.unmet == Unmet::Fewest && bound.is_none_or(|module| module.is_none()) {
            self.with_commons(circuit.commons.as_ref(), None, commons, |brute, commons| {
                brute.circuits(next + 1, open, unmet + 1, cost, commons);
            });
        }
    }

    fn with_commons(
        &mut self,
        name: Option<&String>,
        module: Option<usize>,
        commons: &mut BTreeMap<String, Option<usize>>,
        go: impl FnOnce(&mut Self, &mut BTreeMap<String, Option<usize>>),
    ) {
        let fresh = name.filter(|name| !commons.contains_key(*name));
        if let Some(name) = fresh {
            commons.insert(name.clone(), module);
        }
        go(self, commons);
        if let Some(name) = fresh {
            commons.remove(name);
        }
    }

    /// All landed: further modules, as long as free inputs are missing.
    fn spares(&mut self, open: Vec<Open>, unmet: usize, cost: u64) {
        let problem = self.problem;
        let Some(annexes) = annexes(problem, &open) else { return };
        if self.best.is_some_and(|best| (unmet, cost + annexes) >= best) || !panel(problem, &open) {
            return;
        }
        let free = |enclosure: Option<usize>| -> usize {
            let here = open.iter().filter(|m| enclosure.is_none_or(|e| e == m.enclosure));
            here.map(|m| {
                let inputs = problem.offers[m.offer].inputs;
                let kept = (1..=inputs)
                    .filter(|input| pinned(problem, m.existing, *input) && !m.wants.contains(&vec![*input]));
                usize::from(inputs) - m.wants.len() - kept.count()
            })
            .sum()
        };
        let short = problem.enclosures.iter().enumerate().any(|(e, of)| free(Some(e)) < of.spare as usize)
            || free(None) < problem.spare as usize;
        if !short {
            self.best = Some((unmet, cost + annexes));
            return;
        }
        for (enclosure, as_enclosure) in problem.enclosures.iter().enumerate() {
            // More where enough is free can only help the job as a whole.
            if free(Some(enclosure)) >= as_enclosure.spare as usize && free(None) >= problem.spare as usize {
                continue;
            }
            for (offer, of) in problem.offers.iter().enumerate() {
                let mut open = open.clone();
                open.push(Open {
                    offer,
                    mode: Some(0),
                    enclosure,
                    existing: None,
                    wants: Vec::new(),
                    aux: 0,
                });
                if room(problem, &open) {
                    self.spares(open, unmet, cost + problem.weights.fold(of.effort));
                }
            }
        }
    }
}

/// Whether some circuit has this input for itself, landed or not.
fn pinned(problem: &Problem, existing: Option<usize>, input: u16) -> bool {
    let mut pins = problem.circuits.iter().filter_map(|circuit| circuit.pin);
    existing.is_some_and(|existing| pins.any(|pin| (pin.existing, pin.input) == (existing, input)))
}

/// Whether every piece finds an input of its own.
fn matched(wants: &[Vec<u16>]) -> bool {
    fn find(piece: usize, wants: &[Vec<u16>], of: &mut BTreeMap<u16, usize>, seen: &mut Vec<u16>) -> bool {
        for input in &wants[piece] {
            if !seen.contains(input) {
                seen.push(*input);
                let other = of.get(input).copied();
                if other.is_none_or(|other| find(other, wants, of, seen)) {
                    of.insert(*input, piece);
                    return true;
                }
            }
        }
        false
    }
    let mut of = BTreeMap::new();
    (0..wants.len()).all(|piece| find(piece, wants, &mut of, &mut Vec::new()))
}

/// Positions, offers and the panel's modules, as far as they can be told before all is landed.
fn room(problem: &Problem, open: &[Open]) -> bool {
    let offers = problem.offers.iter().enumerate().all(|(offer, of)| {
        let new = open.iter().filter(|m| m.existing.is_none() && m.offer == offer).count();
        of.most.is_none_or(|most| new <= most as usize)
    });
    let modules = problem.panel.modules.is_none_or(|most| open.len() <= most as usize);
    offers && modules && annexes(problem, open).is_some()
}

/// What the annexes cost that the modules need; none when there is no room.
fn annexes(problem: &Problem, open: &[Open]) -> Option<u64> {
    let mut cost = 0;
    for (index, enclosure) in problem.enclosures.iter().enumerate() {
        let new = open.iter().filter(|m| m.existing.is_none() && m.enclosure == index);
        let taken: u32 = new.map(|m| problem.offers[m.offer].positions).sum();
        let Some(left) = enclosure.positions else { continue };
        if taken > left {
            let annex = enclosure.annex.as_ref()?;
            let hung = (taken - left).div_ceil(annex.positions);
            if hung > annex.most {
                return None;
            }
            cost += u64::from(hung) * problem.weights.fold(annex.effort);
        }
    }
    Some(cost)
}

fn panel(problem: &Problem, open: &[Open]) -> bool {
    let zones: usize = open
        .iter()
        .map(|m| match problem.offers[m.offer].zones {
            ZoneUse::UsedInputs => m.wants.len(),
            ZoneUse::AllInputs => usize::from(problem.offers[m.offer].inputs),
        })
        .sum();
    problem.panel.zones.is_none_or(|most| zones <= most as usize)
        && problem.panel.modules.is_none_or(|most| open.len() <= most as usize)
}

fn clashes(problem: &Problem) -> bool {
    let zones: Vec<u32> = problem.circuits.iter().filter_map(|c| c.zone).collect();
    let twice = zones.iter().enumerate().any(|(index, zone)| zones[..index].contains(zone));
    twice || zones.iter().any(|zone| problem.panel.zones.is_some_and(|top| *zone > top))
}

#[test]
fn small_instances_have_the_same_optimum() {
    let shape = Shape { circuits: 6, enclosures: 2, inputs: 4, existing: 2, wishes: 40 };
    let (mut solved, mut impossible) = (0, 0);
    for seed in 0..2_000 {
        let mut problem = random(seed, shape);
        if seed % 4 == 3 {
            problem.unmet = Unmet::Fewest;
        }
        let answer = allocate(&problem, &Limits::default());
        match Brute::run(&problem) {
            Some((unmet, cost)) => {
                solved += 1;
                assert_eq!(answer.status, Status::Optimal, "seed {seed}: {answer:#?}\n{problem:#?}");
                common::check::holds(&problem, &answer);
                assert_eq!(
                    (answer.unmet.len(), answer.cost),
                    (unmet, cost),
                    "seed {seed}\n{problem:#?}\n{answer:#?}"
                );
            }
            None => {
                impossible += 1;
                assert_eq!(answer.status, Status::Infeasible, "seed {seed}\n{problem:#?}");
            }
        }
    }
    assert!(solved > 700 && impossible > 250, "{solved} solved, {impossible} impossible");
}
