//! Everything that any answer must keep, written down again without the engine: it shares no code with it.

use std::collections::{BTreeMap, BTreeSet};

use allocate::{Allocation, Effort, ModePer, Problem, Status, Unmet, ZoneUse};

/// Panics when an answer breaks anything.
pub(crate) fn holds(problem: &Problem, answer: &Allocation) {
    assert!(matches!(answer.status, Status::Optimal | Status::Feasible));
    let mut effort: Vec<Effort> = Vec::new();
    modules(problem, answer, &mut effort);
    circuits(problem, answer, &mut effort);
    commons(problem, answer);
    zones(problem, answer);
    let mut spare_of_job = 0;
    for (index, enclosure) in problem.enclosures.iter().enumerate() {
        let room = &answer.rooms[index];
        let annex = enclosure.annex.as_ref();
        assert!(room.annexes <= annex.map_or(0, |a| a.most));
        effort.extend((0..room.annexes).map(|_| annex.unwrap().effort));
        let here = || answer.modules.iter().filter(|m| m.enclosure == index);
        let new: u32 =
            here().filter(|m| m.existing.is_none()).map(|m| problem.offers[m.offer].positions).sum();
        if let Some(left) = enclosure.positions {
            let all = left + room.annexes * annex.map_or(0, |a| a.positions);
            assert_eq!(room.positions_left, Some(all.checked_sub(new).expect("positions are kept")));
        }
        let spare: usize = here().map(|m| m.spare.len()).sum();
        assert_eq!(room.spare as usize, spare);
        assert!(spare >= enclosure.spare as usize, "free inputs wanted in {}", enclosure.id);
        spare_of_job += spare;
    }
    assert!(spare_of_job >= problem.spare as usize, "free inputs wanted in the job");
    let cost: u64 = effort.iter().map(|e| problem.weights.fold(*e)).sum();
    assert_eq!(answer.cost, cost, "the cost is the sum of its parts");
    assert_eq!(answer.effort.cents, effort.iter().map(|e| e.cents).sum::<u64>());
    assert_eq!(answer.effort.seconds, effort.iter().map(|e| e.seconds).sum::<u64>());
    assert!(answer.bound <= answer.cost);
    if answer.status == Status::Optimal {
        assert_eq!(answer.bound, answer.cost);
    }
}

fn modules(problem: &Problem, answer: &Allocation, effort: &mut Vec<Effort>) {
    let existing: Vec<usize> = answer.modules.iter().filter_map(|m| m.existing).collect();
    let all: BTreeSet<usize> = (0..problem.existing.len()).collect();
    assert_eq!(existing.iter().copied().collect::<BTreeSet<_>>(), all, "every module of the job is there");
    assert_eq!(existing.len(), all.len(), "and once");
    let names: BTreeSet<&str> = answer.modules.iter().map(|m| m.id.as_str()).collect();
    assert_eq!(names.len(), answer.modules.len(), "no id twice");
    let mut new: BTreeMap<usize, u32> = BTreeMap::new();
    for module in &answer.modules {
        let offer = &problem.offers[module.offer];
        assert_eq!(module.mode.is_some(), offer.mode_per == ModePer::Module);
        match module.existing {
            Some(index) => {
                let of = &problem.existing[index];
                assert_eq!((&module.id, module.offer, module.enclosure), (&of.id, of.offer, of.enclosure));
                if offer.mode_per == ModePer::Module && of.mode.is_some() {
                    assert_eq!(module.mode, of.mode, "{} keeps its mode", of.id);
                }
            }
            None => {
                *new.entry(module.offer).or_default() += 1;
                effort.push(offer.effort);
            }
        }
    }
    for (offer, count) in new {
        assert!(problem.offers[offer].most.is_none_or(|most| count <= most));
    }
    if let Some(most) = problem.panel.modules {
        assert_eq!(answer.modules_left, Some(most - u32::try_from(answer.modules.len()).unwrap()));
    }
}

fn circuits(problem: &Problem, answer: &Allocation, effort: &mut Vec<Effort>) {
    let mut seen: BTreeSet<usize> = answer.unmet.iter().copied().collect();
    assert_eq!(seen.len(), answer.unmet.len());
    assert!(answer.unmet.is_empty() || problem.unmet == Unmet::Fewest);
    let mut used: BTreeSet<(usize, u16)> = BTreeSet::new();
    let mut aux: Vec<u32> = vec![0; answer.modules.len()];
    for one in &answer.landed {
        assert!(seen.insert(one.circuit), "no circuit twice");
        let circuit = &problem.circuits[one.circuit];
        let module = &answer.modules[one.module];
        let offer = &problem.offers[module.offer];
        let fit = &circuit.fits[one.fit];
        assert_eq!((fit.offer, fit.mode), (module.offer, one.mode), "a fit for that module");
        assert!(module.mode.is_none_or(|mode| mode == one.mode), "one mode per module");
        assert_eq!(one.inputs.len(), usize::from(fit.inputs));
        for input in &one.inputs {
            assert!((1..=offer.inputs).contains(input));
            assert!(used.insert((one.module, *input)), "no input twice");
            if circuit.smoke {
                assert!(
                    offer.modes[one.mode].smoke_inputs.contains(input),
                    "smoke only where its mode lists it"
                );
            }
        }
        aux[one.module] += circuit.aux_ma;
        if let Some(pin) = circuit.pin {
            assert_eq!((module.existing, one.inputs[0]), (Some(pin.existing), pin.input), "pins are kept");
        }
        effort.push(fit.effort);
        match (circuit.ends_in, one.extension) {
            (Some(end), None) => assert_eq!(end, module.enclosure),
            (None, extension) => assert!(extension.is_none()),
            (Some(_), Some(extension)) => {
                assert_eq!(circuit.extensions[extension].enclosure, module.enclosure);
                effort.push(circuit.extensions[extension].effort);
            }
        }
    }
    assert_eq!(seen.len(), problem.circuits.len(), "every circuit is somewhere");
    for (index, module) in answer.modules.iter().enumerate() {
        let offer = &problem.offers[module.offer];
        assert_eq!(
            module.aux_left_ma,
            offer.aux_ma.checked_sub(aux[index]).expect("the auxiliary budget is kept")
        );
        let pinned = |input: u16| {
            let pins = problem.circuits.iter().filter_map(|c| c.pin);
            pins.into_iter().any(|pin| module.existing == Some(pin.existing) && pin.input == input)
        };
        // The input of a pinned circuit is nobody else's, even where the circuit itself does not get it.
        let free: Vec<u16> =
            (1..=offer.inputs).filter(|input| !used.contains(&(index, *input)) && !pinned(*input)).collect();
        assert_eq!(module.spare, free);
    }
}

fn commons(problem: &Problem, answer: &Allocation) {
    let mut of: BTreeMap<&str, BTreeSet<Option<usize>>> = BTreeMap::new();
    for (index, circuit) in problem.circuits.iter().enumerate() {
        if let Some(name) = circuit.commons.as_deref() {
            let module = answer.landed.iter().find(|one| one.circuit == index).map(|one| one.module);
            of.entry(name).or_default().insert(module);
        }
    }
    assert!(of.values().all(|modules| modules.len() == 1), "what shares a core is on one module");
}

fn zones(problem: &Problem, answer: &Allocation) {
    let mut used: BTreeSet<u32> = problem.panel.taken.iter().copied().collect();
    let taken = used.len();
    let mut count = 0;
    for one in &answer.landed {
        assert_eq!(one.zones.len(), one.inputs.len());
        for zone in &one.zones {
            assert!(*zone >= 1 && problem.panel.zones.is_none_or(|top| *zone <= top));
            assert!(used.insert(*zone), "no zone number twice");
        }
        if let Some(zone) = problem.circuits[one.circuit].zone {
            assert_eq!(one.zones[0], zone, "zone numbers that must be are");
        }
        let by_input = problem.offers[answer.modules[one.module].offer].zones == ZoneUse::UsedInputs;
        count += if by_input { one.zones.len() } else { 0 };
    }
    let standing =
        answer.modules.iter().map(|m| &problem.offers[m.offer]).filter(|o| o.zones == ZoneUse::AllInputs);
    count += standing.map(|offer| usize::from(offer.inputs)).sum::<usize>();
    if let Some(top) = problem.panel.zones {
        assert!(count + taken <= top as usize, "the panel has room for the zones");
        assert_eq!(answer.zones_left, Some(top - u32::try_from(count + taken).unwrap()));
    }
}
