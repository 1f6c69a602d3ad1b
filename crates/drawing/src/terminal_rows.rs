//! What lands on a module's terminals, gathered from the job.

use std::ops::RangeInclusive;

use job::{Circuit, CoreEnd, Duty, Job};

/// One input with what lands on it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct InputRow {
    /// The input's number.
    pub number: u16,
    /// The circuit's tag; empty on an input that nothing is on.
    pub tag: String,
    /// Where the circuit goes.
    pub place: String,
    /// What it is there for; empty when not given.
    pub duty: String,
    /// The core on the live terminal, as `K3 red`; empty where the job does not know it.
    pub live: String,
    /// The core on the return terminal; a shared one says with whom.
    pub back: String,
    /// Whether the mode in use has its two-wire smoke listing here.
    pub smoke: bool,
}

/// The inputs of a module, in order, each with its circuit.
#[must_use]
pub fn input_rows(job: &Job, module: &str, inputs: RangeInclusive<u16>, smoke: &[u16]) -> Vec<InputRow> {
    let on = |number: u16| {
        job.circuits.iter().find(|circuit| {
            circuit.input.as_ref().is_some_and(|input| input.module == module && input.number == number)
        })
    };
    inputs
        .map(|number| {
            let empty = InputRow { number, smoke: smoke.contains(&number), ..InputRow::default() };
            match on(number) {
                Some(circuit) => filled(job, circuit, empty),
                None => empty,
            }
        })
        .collect()
}

fn filled(job: &Job, circuit: &Circuit, row: InputRow) -> InputRow {
    InputRow {
        tag: circuit.tag.value.clone(),
        place: circuit.place.clone(),
        duty: circuit.duty.map(Duty::word).unwrap_or_default().to_owned(),
        live: core(job, &circuit.tag, false),
        back: core(job, &circuit.tag, true),
        ..row
    }
}

/// `K3 black, with C09`: the core that serves one leg of a circuit; empty where the job has none.
fn core(job: &Job, tag: &str, return_leg: bool) -> String {
    for cable in &job.cables {
        for core in &cable.cores {
            let serves = |end: &CoreEnd| matches!(end, CoreEnd::Circuit { tag: of, returns } if of == tag && *returns == return_leg);
            if !core.to.iter().any(|end| serves(end)) {
                continue;
            }
            let others: Vec<&str> = core
                .to
                .iter()
                .filter_map(|end| match &end.value {
                    CoreEnd::Circuit { tag: of, .. } if of != tag => Some(of.as_str()),
                    _ => None,
                })
                .collect();
            let shared =
                if others.is_empty() { String::new() } else { format!(", with {}", others.join(", ")) };
            let colour = if core.colour.is_empty() { "core" } else { core.colour.as_str() };
            return format!("{} {colour}{shared}", cable.id.value);
        }
    }
    String::new()
}

/// A row of the schedule on an enclosure's door.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DoorRow {
    /// The enclosure's id; empty where the module is in none.
    pub enclosure: String,
    /// The module's id.
    pub module: String,
    /// The input: `M1.7`.
    pub input: String,
    /// The circuit's tag; empty on an input that nothing is on.
    pub tag: String,
    /// Where it goes.
    pub place: String,
    /// What it is there for; empty when not given.
    pub duty: String,
    /// The resistors of its network, from the terminals outwards: `2.2 kΩ`.
    pub resistor: String,
    /// The mode of the input.
    pub mode: String,
}

/// The door schedule of every module in an enclosure, by module and input. `inputs` says of each module how
/// many inputs it has and in which mode one is, as the job leaves that to profiles.
#[must_use]
pub fn door_schedule(
    job: &Job,
    enclosure: &str,
    inputs: &dyn Fn(&job::Module) -> u16,
    mode: &dyn Fn(&job::Module, u16) -> String,
) -> Vec<DoorRow> {
    let here = |module: &&job::Module| {
        module.enclosure.as_ref().map_or("", |place| place.value.as_str()) == enclosure
    };
    let mut rows = Vec::new();
    for module in job.modules.iter().filter(here) {
        for row in input_rows(job, &module.id, 1..=inputs(module), &[]) {
            let circuit = job.circuits.iter().find(|circuit| circuit.tag.value == row.tag);
            rows.push(DoorRow {
                enclosure: enclosure.to_owned(),
                module: module.id.value.clone(),
                input: format!("{}.{}", module.id.value, row.number),
                mode: mode(module, row.number),
                resistor: circuit.map(resistors).unwrap_or_default(),
                tag: row.tag,
                place: row.place,
                duty: row.duty,
            });
        }
    }
    rows
}

fn resistors(circuit: &Circuit) -> String {
    let Some(network) = &circuit.network else { return String::new() };
    let mut values: Vec<String> = Vec::new();
    for element in network.elements() {
        if let network::Part::Resistor { nominal, .. } = element.part {
            let shown = crate::parts::ohms_shown(nominal);
            if !values.contains(&shown) {
                values.push(shown);
            }
        }
    }
    values.join(", ")
}
