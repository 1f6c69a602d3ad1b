//! What keeps an old terminal quiet when its pair is lifted.

use job::{Circuit, Display, Shown, When};
use quantity::Ohms;
use quantity::preferred::{Series, nearest};

use crate::CircuitResult;

/// Below this the old input reads a closed loop, and a wire link does (common practice, no source).
pub(crate) const LINK_BELOW: Ohms = Ohms(150.0);
/// Above this nothing is there that an old input could want.
const OPEN_ABOVE: Ohms = Ohms(1e6);

/// What goes on the old terminals of a circuit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Dummy {
    /// Nothing: the pair is open at rest.
    Nothing,
    /// A wire link.
    Link,
    /// A resistor of this preferred value.
    Resistor(Ohms),
    /// Nobody can say: no reading at rest, or one that does not stand still.
    Unknown,
}

/// What goes on the old terminals of a circuit: what was read at rest, else what its network shows at rest, as the
/// nearest value of E24.
#[must_use]
pub fn dummy(result: &CircuitResult) -> Dummy {
    if let Some(read) = read_at_rest(result.circuit) {
        return read;
    }
    let rest = result.study.as_ref().and_then(|study| study.states.first()).map(|state| state.ohms);
    match rest {
        Some(rest) if rest.hi.is_finite() => of(Ohms(f64::midpoint(rest.lo, rest.hi))),
        Some(_) => Dummy::Nothing,
        None => Dummy::Unknown,
    }
}

/// The last reading at rest counts: it is the latest that was written down.
fn read_at_rest(circuit: &Circuit) -> Option<Dummy> {
    let at_rest = circuit.found.iter().rev().filter(|reading| reading.when == When::Rest);
    at_rest.flat_map(|reading| &reading.shown).find_map(|shown| match shown {
        Shown::Ohms(Display::Value { value, .. }) => Some(of(*value)),
        Shown::Ohms(Display::Open) => Some(Dummy::Nothing),
        Shown::Ohms(Display::Unstable) => Some(Dummy::Unknown),
        _ => None,
    })
}

fn of(ohms: Ohms) -> Dummy {
    if ohms < LINK_BELOW {
        Dummy::Link
    } else if ohms > OPEN_ABOVE {
        Dummy::Nothing
    } else {
        Dummy::Resistor(nearest(Series::E24, ohms))
    }
}
