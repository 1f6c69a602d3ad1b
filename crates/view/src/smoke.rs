//! What a two-wire smoke circuit draws under power, for its circuit's sheet.

use quantity::{Amperes, Written};
use serde::Serialize;
use supply::{Between, SmokeLoop};

use crate::words::between;

/// Its currents beside one another.
#[derive(Serialize)]
pub struct SmokePower {
    /// What, and how much.
    pub currents: Vec<[String; 2]>,
    /// What the input tells apart.
    pub limits: String,
    /// Volts at the detectors, and how many there may be.
    pub heads: String,
}

/// What stands where nobody has said what a detector draws.
const NOT_KNOWN: &str = "not known";

/// The currents of a circuit.
pub fn smoke_power(circuit: &SmokeLoop) -> SmokePower {
    let amperes = |(low, high): Between| {
        let (low, high) = (Amperes(low).shown(3), Amperes(high).shown(3));
        if low == high { low } else { format!("{low} to {high}") }
    };
    let known = |text: String| if circuit.known { text } else { NOT_KNOWN.to_owned() };
    let source = &circuit.source;
    let short = source
        .short_above
        .map_or("a short counts as an alarm".to_owned(), |short| format!("short above {}", short.shown(3)));
    let at_rest = circuit.heads.iter().map(|head| head.standby_v);
    let volts = at_rest.reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)));
    let volts = volts
        .map_or(String::new(), |volts| format!("{}\u{2009}V at the detectors at rest. ", between(volts)));
    let listed = match circuit.most {
        0 => "none until somebody records the listing".to_owned(),
        most => format!("{most} with the listing that is recorded"),
    };
    SmokePower {
        currents: vec![
            ["open".to_owned(), known(amperes(circuit.open_a))],
            ["at rest".to_owned(), known(amperes(circuit.rest_a))],
            ["one in alarm".to_owned(), known(amperes(circuit.alarm_a))],
            ["shorted".to_owned(), amperes(circuit.short_a)],
            ["after a reset".to_owned(), known(format!("to {}", Amperes(circuit.start_a).shown(3)))],
        ],
        limits: format!(
            "open below {}, alarm above {}, {short}",
            source.open_below.shown(3),
            source.alarm_above.shown(3)
        ),
        heads: if circuit.known {
            format!(
                "{volts}Detectors at rest draw {} of {}; {} may hang here by current, {listed}. Whether detector and module are listed together is looked up, never computed.",
                Amperes(circuit.standby_a).shown(3),
                source.standby.shown(3),
                circuit.most_by_current
            )
        } else {
            format!(
                "What the detectors draw and where they clamp is not known, so neither are their volts and currents, nor how \
                 many may hang here; at rest the input gives them {}. Whether detector and module are listed together is \
                 looked up, never computed.",
                source.standby.shown(3)
            )
        },
    }
}
