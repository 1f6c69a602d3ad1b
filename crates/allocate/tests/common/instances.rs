//! Instances: small ones with everything in them, and the sizes that are promised.

use allocate::{
    Annex, Circuit, Effort, Enclosure, Existing, Extension, Fit, Mode, ModePer, Offer, Panel, Pin, Problem,
    Refusal, Unmet, Weights, ZoneUse,
};

use super::Seeded;

pub(crate) fn cents(cents: u64) -> Effort {
    Effort { cents, seconds: 0 }
}

pub(crate) fn minutes(minutes: u64) -> Effort {
    Effort { cents: 0, seconds: 60 * minutes }
}

/// How large, and how wild.
#[derive(Clone, Copy)]
pub(crate) struct Shape {
    pub(crate) circuits: usize,
    pub(crate) enclosures: usize,
    /// Inputs of the largest module.
    pub(crate) inputs: usize,
    pub(crate) existing: usize,
    /// Share of instances, in percent, in which each of the rarer wishes occurs.
    pub(crate) wishes: u64,
}

/// An instance with everything in it that a job can have.
pub(crate) fn random(seed: u64, shape: Shape) -> Problem {
    let mut dice = Seeded(seed);
    let mut problem = Problem { weights: Weights::default(), ..Problem::default() };
    let enclosures = 1 + dice.below(shape.enclosures);
    for index in 0..enclosures {
        let mut enclosure = Enclosure { id: format!("E{}", index + 1), ..Enclosure::default() };
        if dice.in_hundred(60) {
            enclosure.positions =
                Some(u32::try_from(1 + dice.below(2 + shape.circuits / shape.inputs)).unwrap());
            if dice.in_hundred(shape.wishes) {
                let effort = cents(500 * u64::try_from(dice.below(20)).unwrap());
                enclosure.annex =
                    Some(Annex { profile: "enclosure-small".into(), positions: 1, effort, most: 2 });
            }
        }
        if dice.in_hundred(shape.wishes) {
            enclosure.spare = u32::try_from(dice.below(3)).unwrap();
        }
        problem.enclosures.push(enclosure);
    }
    for index in 0..=dice.below(3) {
        problem.offers.push(offer(&mut dice, shape, index));
    }
    for index in 0..dice.below(shape.existing + 1) {
        let offer = dice.below(problem.offers.len());
        let mode = dice.in_hundred(50).then(|| dice.below(problem.offers[offer].modes.len()));
        let enclosure = dice.below(enclosures);
        problem.existing.push(Existing { id: format!("M{}", index + 1), enclosure, offer, mode });
    }
    let kinds: Vec<Circuit> = (0..1 + dice.below(5)).map(|_| kind(&mut dice, &problem, shape)).collect();
    let circuits = 1 + dice.below(shape.circuits);
    for index in 0..circuits {
        let mut circuit = kinds[dice.below(kinds.len())].clone();
        circuit.tag = format!("C{:02}", index + 1);
        circuit.area = dice.in_hundred(50).then(|| format!("area {}", dice.below(3)));
        circuit.ends_in = dice.in_hundred(90).then(|| dice.below(enclosures));
        if dice.in_hundred(shape.wishes / 2) && enclosures > 1 {
            let enclosure = dice.below(enclosures);
            circuit.extensions.push(Extension {
                enclosure,
                effort: cents(300 + 100 * u64::try_from(dice.below(9)).unwrap()),
            });
        }
        if dice.in_hundred(shape.wishes / 4) {
            circuit.commons = Some(format!("common {}", dice.below(2)));
        }
        problem.circuits.push(circuit);
    }
    pins(&mut dice, &mut problem, shape);
    if dice.in_hundred(shape.wishes) {
        problem.spare = u32::try_from(dice.below(5)).unwrap();
    }
    if dice.in_hundred(shape.wishes) {
        problem.panel.zones = Some(u32::try_from(circuits + dice.below(4)).unwrap());
    }
    if dice.in_hundred(shape.wishes) {
        let some = problem.existing.len() + 1 + circuits / shape.inputs + dice.below(3);
        problem.panel.modules = Some(u32::try_from(some).unwrap());
    }
    problem
}

fn offer(dice: &mut Seeded, shape: Shape, index: usize) -> Offer {
    let inputs = u16::try_from(2 + dice.below(shape.inputs - 1)).unwrap();
    let modes = (0..=dice.below(3))
        .map(|mode| {
            let smoke = if dice.in_hundred(50) { 1 + dice.below(2) } else { 0 };
            let mut smoke_inputs: Vec<u16> =
                (0..smoke).map(|_| u16::try_from(1 + dice.below(usize::from(inputs))).unwrap()).collect();
            smoke_inputs.sort_unstable();
            smoke_inputs.dedup();
            Mode { id: format!("mode-{mode}"), smoke_inputs }
        })
        .collect();
    Offer {
        profile: format!("input-{inputs}{}", ["a", "b", "c"][index]),
        inputs,
        mode_per: if dice.in_hundred(25) { ModePer::Input } else { ModePer::Module },
        modes,
        aux_ma: if dice.in_hundred(50) { 100 } else { 350 },
        positions: if dice.in_hundred(85) { 1 } else { 2 },
        effort: Effort {
            cents: 2_000 + 700 * u64::from(inputs),
            seconds: 60 * u64::try_from(dice.below(40)).unwrap(),
        },
        most: dice.in_hundred(shape.wishes / 2).then(|| u32::try_from(dice.below(3)).unwrap()),
        zones: if dice.in_hundred(15) { ZoneUse::AllInputs } else { ZoneUse::UsedInputs },
    }
}

/// What a hand wired everywhere in the same way: one row of the table.
fn kind(dice: &mut Seeded, problem: &Problem, shape: Shape) -> Circuit {
    let mut circuit = Circuit { smoke: dice.in_hundred(20), ..Circuit::default() };
    if dice.in_hundred(shape.wishes / 2) {
        circuit.aux_ma = [20, 40, 60][dice.below(3)];
    }
    for (offer, of) in problem.offers.iter().enumerate() {
        for mode in 0..of.modes.len() {
            let effort = minutes(5 * u64::try_from(dice.below(12)).unwrap());
            let as_is = Fit { offer, mode, inputs: 1, effort: Effort::default() };
            match dice.below(10) {
                0..4 => circuit.fits.push(as_is),
                4..7 => circuit.fits.push(Fit { effort, ..as_is }),
                7 => {
                    circuit.fits.push(Fit { effort, ..as_is });
                    circuit.fits.push(Fit { inputs: 2, effort: minutes(2), ..as_is });
                }
                _ => {
                    let reason = "its end resistor lies in no band".into();
                    circuit.refusals.push(Refusal { offer, mode, reason });
                }
            }
        }
    }
    circuit
}

fn pins(dice: &mut Seeded, problem: &mut Problem, shape: Shape) {
    let mut had: Vec<(usize, u16)> = Vec::new();
    for index in 0..problem.circuits.len() {
        if problem.existing.is_empty() || !dice.in_hundred(shape.wishes / 4) {
            continue;
        }
        let existing = dice.below(problem.existing.len());
        let inputs = problem.offers[problem.existing[existing].offer].inputs;
        let input = u16::try_from(1 + dice.below(usize::from(inputs))).unwrap();
        if !had.contains(&(existing, input)) {
            had.push((existing, input));
            problem.circuits[index].pin = Some(Pin { existing, input });
            problem.circuits[index].ends_in = Some(problem.existing[existing].enclosure);
        }
    }
    if dice.in_hundred(shape.wishes / 2) {
        let circuit = dice.below(problem.circuits.len());
        problem.circuits[circuit].zone = Some(u32::try_from(1 + dice.below(4)).unwrap());
    }
}

/// The modules of the large instances: classes with typical prices and minutes (from memory).
fn trade_offers() -> Vec<Offer> {
    let mode = |id: &str, smoke: &[u16]| Mode { id: id.into(), smoke_inputs: smoke.to_vec() };
    let offer = |profile: &str, inputs, mode_per, modes, price, minutes: u64| Offer {
        profile: profile.into(),
        inputs,
        mode_per,
        modes,
        aux_ma: 350,
        positions: 1,
        effort: Effort { cents: price, seconds: 60 * minutes },
        most: None,
        zones: ZoneUse::UsedInputs,
    };
    vec![
        offer(
            "input-8",
            8,
            ModePer::Input,
            vec![mode("learned", &[]), mode("fixed-4k7", &[7, 8])],
            14_500,
            25,
        ),
        offer(
            "input-12",
            12,
            ModePer::Module,
            vec![mode("fixed-2k2", &[12]), mode("learned", &[])],
            16_000,
            30,
        ),
        offer(
            "input-16",
            16,
            ModePer::Module,
            vec![mode("fixed-1k", &[]), mode("fixed-5k6", &[15, 16]), mode("two-resistor", &[])],
            21_000,
            35,
        ),
    ]
}

/// Rows of the table as a building's hands left them: the usual value, an odd one, two resistors, smoke.
fn trade_row(dice: &mut Seeded, offers: &[Offer], smoke: bool) -> Circuit {
    let habit = [0, 0, 0, 0, 1, 1, 2, 3][dice.below(8)];
    let mut circuit = Circuit { smoke, ..Circuit::default() };
    for (offer, of) in offers.iter().enumerate() {
        for (mode, as_mode) in of.modes.iter().enumerate() {
            if smoke && as_mode.smoke_inputs.is_empty() {
                let reason = "the mode takes no two-wire smoke".into();
                circuit.refusals.push(Refusal { offer, mode, reason });
                continue;
            }
            let right = match as_mode.id.as_str() {
                "fixed-2k2" => habit == 0,
                "learned" => habit < 2,
                "fixed-4k7" | "fixed-5k6" => habit == 1,
                "two-resistor" => habit == 2,
                _ => false,
            };
            let at_hand = dice.in_hundred(70);
            let effort = match (right || smoke, at_hand) {
                (true, _) => Effort::default(),
                (false, true) => Effort { cents: 40, seconds: 60 * 12 },
                (false, false) => Effort { cents: 40, seconds: 60 * 25 },
            };
            circuit.fits.push(Fit { offer, mode, inputs: 1, effort });
            if habit == 3 && !smoke {
                circuit.fits.push(Fit { offer, mode, inputs: 2, effort: minutes(4) });
            }
        }
    }
    circuit
}

/// A job of `circuits` circuits that end in `enclosures` enclosures, evenly, with a panel that is large enough.
pub(crate) fn building(seed: u64, circuits: usize, enclosures: usize) -> Problem {
    let mut dice = Seeded(seed);
    let offers = trade_offers();
    let mut problem = Problem { weights: Weights::default(), ..Problem::default() };
    for index in 0..enclosures {
        let positions = Some(u32::try_from(2 + circuits / enclosures / 8).unwrap());
        let enclosure = Enclosure { id: format!("E{}", index + 1), positions, spare: 1, annex: None };
        problem.enclosures.push(enclosure);
    }
    for index in 0..circuits {
        let smoke = dice.in_hundred(6);
        let mut circuit = trade_row(&mut dice, &offers, smoke);
        circuit.tag = format!("C{:03}", index + 1);
        let end = index * enclosures / circuits;
        circuit.ends_in = Some(end);
        circuit.area = Some(format!("area {}", index / 9));
        if !smoke && dice.in_hundred(25) {
            circuit.aux_ma = [15, 25, 40][dice.below(3)];
        }
        if index % 23 < 2 && !smoke {
            circuit.commons = Some(format!("K{}", index / 23));
            circuit.ends_in = Some((index / 23 * 23) * enclosures / circuits);
        }
        problem.circuits.push(circuit);
    }
    problem.offers = offers;
    problem.panel = Panel { zones: None, modules: None, taken: Vec::new() };
    problem
}

/// A building where some cables can be made longer to the next enclosure.
pub(crate) fn with_extensions(mut problem: Problem, seed: u64, share: u64) -> Problem {
    let mut dice = Seeded(seed);
    let enclosures = problem.enclosures.len();
    for circuit in &mut problem.circuits {
        if let Some(end) = circuit.ends_in.filter(|end| end + 1 < enclosures && dice.in_hundred(share)) {
            circuit
                .extensions
                .push(Extension { enclosure: end + 1, effort: Effort { cents: 1_800, seconds: 60 * 40 } });
        }
    }
    problem
}

/// The campus: 480 circuits in 9 enclosures, and a panel that has no module to spare.
pub(crate) fn campus() -> Problem {
    let mut problem = building(480, 480, 9);
    problem.panel = Panel { zones: Some(520), modules: Some(48), taken: vec![1, 2] };
    problem.spare = 24;
    problem.unmet = Unmet::Never;
    problem
}

/// Thirty-six circuits, one of them smoke, nine with odd resistors; two modules of the job, each with one mode for all.
pub(crate) fn thirty_six() -> Problem {
    let modes = vec![
        Mode { id: "fixed-2k2".into(), smoke_inputs: vec![18] },
        Mode { id: "learned".into(), smoke_inputs: Vec::new() },
    ];
    let offer = Offer {
        profile: "input-18".into(),
        inputs: 18,
        mode_per: ModePer::Module,
        modes,
        aux_ma: 350,
        positions: 1,
        effort: cents(18_000),
        most: Some(0),
        zones: ZoneUse::UsedInputs,
    };
    let existing = |id: &str| Existing { id: id.into(), enclosure: 0, offer: 0, mode: None };
    let mut circuits = Vec::new();
    for index in 1..=36 {
        let (smoke, odd) = (index == 36, index % 4 == 0 && index < 36 || index == 35);
        let as_is = Fit { offer: 0, mode: 0, inputs: 1, effort: Effort::default() };
        let changed = Fit { effort: Effort { cents: 30, seconds: 60 * 18 }, ..as_is };
        let fits = match (smoke, odd) {
            (true, _) => vec![as_is],
            (false, true) => vec![changed, Fit { mode: 1, ..as_is }],
            // What is right with the mode's own value is right learned, too.
            (false, false) => vec![as_is, Fit { mode: 1, ..as_is }],
        };
        let refusals = if smoke {
            vec![Refusal { offer: 0, mode: 1, reason: "it takes no two-wire smoke in learned".into() }]
        } else {
            Vec::new()
        };
        let tag = format!("C{index:02}");
        circuits.push(Circuit { tag, ends_in: Some(0), smoke, fits, refusals, ..Circuit::default() });
    }
    Problem {
        circuits,
        enclosures: vec![Enclosure { id: "E1".into(), positions: Some(0), spare: 0, annex: None }],
        offers: vec![offer],
        existing: vec![existing("M1"), existing("M2")],
        ..Problem::default()
    }
}
