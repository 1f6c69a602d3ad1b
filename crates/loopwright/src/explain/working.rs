//! How the ohms of a state come about: the sum that a technician could do again by hand.

use assess::CircuitResult;
use circuit::{Setting, Value, state_words, values};
use network::{Bounds, Network, Node, Step};
use quantity::{Ohms, Written};
use schemars::JsonSchema;
use serde::Serialize;

/// Terms of a sum that are written out.
const MOST_TERMS: usize = 24;
/// Figures of each term.
const FIGURES: usize = 4;

/// One state's working.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct WorkingJson {
    /// The state in words.
    pub(crate) state: String,
    /// How many contacts are active.
    pub(crate) active: usize,
    /// Everything low: `+` is in line, `∥` across.
    pub(crate) low: String,
    /// Everything high.
    pub(crate) high: String,
}

/// The working of every state, in their order.
pub(crate) fn workings(setting: &Setting, result: &CircuitResult) -> Vec<WorkingJson> {
    let circuit = result.circuit;
    let (Some(network), Some(study)) = (&circuit.network, &result.study) else { return Vec::new() };
    let values = values(setting, circuit, network);
    let states = study.states.iter();
    states
        .map(|state| {
            let totals = totals(network, &values, &state.active);
            let field = network.bounds(&totals);
            let line = |end: fn(Bounds) -> f64| {
                let terms = terms(network, network.root(), &totals, end);
                let shared = if differs(end(field), end(state.ohms)) { " + shared common" } else { "" };
                format!("{terms}{shared} = {}", ohms(end(state.ohms)))
            };
            WorkingJson {
                state: state_words(network, &state.active),
                active: state.active.len(),
                low: line(|bounds| bounds.lo),
                high: line(|bounds| bounds.hi),
            }
        })
        .collect()
}

fn differs(field: f64, input: f64) -> bool {
    input.is_finite() && (input - field).abs() > 1e-9 * input.abs()
}

fn totals(network: &Network, values: &[Value], active: &[usize]) -> Vec<Bounds> {
    let own = |element: usize, value: &Value| match network.contact_of(element) {
        Some(contact) if active.contains(&contact) => value.active.unwrap_or(value.own),
        _ => value.own,
    };
    values.iter().enumerate().map(|(element, value)| value.with(own(element, value))).collect()
}

/// A sum with `+` for in line and `∥` for across; brackets wherever the two meet.
fn terms(network: &Network, node: Node, totals: &[Bounds], end: fn(Bounds) -> f64) -> String {
    if network.elements_of(node).take(MOST_TERMS + 1).count() > MOST_TERMS {
        return format!("({} parts)", network.elements_of(node).count());
    }
    // So few terms cannot nest deeply.
    write(network, node, totals, end, None)
}

fn write(
    network: &Network,
    node: Node,
    totals: &[Bounds],
    end: fn(Bounds) -> f64,
    inside: Option<Step>,
) -> String {
    let step = network.step(node);
    let (Some((piece, rest)), false) = (network.operands(node), matches!(step, Step::Element(_))) else {
        return match step {
            Step::Element(element) => totals.get(element).map_or(String::new(), |bounds| ohms(end(*bounds))),
            _ => String::new(),
        };
    };
    let sign = if step == Step::InLine { "+" } else { "∥" };
    let piece = write(network, piece, totals, end, Some(step));
    let rest = write(network, rest, totals, end, Some(step));
    let sum = format!("{piece} {sign} {rest}");
    if inside.is_some_and(|inside| inside != step) { format!("({sum})") } else { sum }
}

fn ohms(value: f64) -> String {
    Ohms(value).shown(FIGURES)
}
