//! Sentences: what a wiring is, what to do, what speaks for and against a candidate.

use library::Wiring;

use crate::next::Act;

/// What a wiring is, in a line.
#[must_use]
pub fn title(wiring: Wiring) -> &'static str {
    match wiring {
        Wiring::NcBare => "closed contacts in line, no resistor",
        Wiring::NcEol => "closed contacts in line with a resistor",
        Wiring::NoBare => "open contacts across the pair, no resistor",
        Wiring::NoEol => "open contacts across the pair, a resistor at the end",
        Wiring::NcTwoResistor => "closed contact with a resistor across it, another in line",
        Wiring::NoTwoResistor => "open contact with a resistor in line, another across the end",
        Wiring::ThreeResistor => "detector with three resistors: end, alarm, fault",
        Wiring::NcStepped => "closed contacts, each with a resistor across it, none at the end",
        Wiring::NcDoubled => "two circuits on one pair, told apart by two resistors",
        Wiring::TwoEnds => "two end resistors across one pair: one in the old panel, or a T-tap",
        Wiring::SmokeTwoWire => "two-wire smoke detectors, a resistor at the end",
        Wiring::SupplyPair => "a pair that feeds something",
        Wiring::Sounder => "a polarised sounder or a circuit of them",
        Wiring::DataPair => "a data bus",
        Wiring::OpenPair => "nothing joins the cores: spare, cut, or a head out",
        Wiring::ShortedPair => "the cores are joined: a short, a looped spare, or a stuck contact",
        Wiring::UnlikeAny => "unlike any wiring that is known here",
    }
}

/// The same in a few words, for the outcomes of a reading.
pub(crate) fn short(wiring: Wiring) -> &'static str {
    match wiring {
        Wiring::NcBare | Wiring::NcEol => "contacts in line",
        Wiring::NoBare | Wiring::NoEol => "contacts across",
        Wiring::NcTwoResistor => "two resistors, closed contact",
        Wiring::NoTwoResistor => "two resistors, open contact",
        Wiring::ThreeResistor => "three resistors",
        Wiring::NcStepped => "a resistor across each contact",
        Wiring::NcDoubled => "two circuits on one pair",
        Wiring::TwoEnds => "two end resistors",
        Wiring::SmokeTwoWire => "two-wire smoke, or the wrong door",
        Wiring::SupplyPair => "a supply",
        Wiring::Sounder => "a sounder",
        Wiring::DataPair => "a data bus",
        Wiring::OpenPair => "spare, cut, or a head out",
        Wiring::ShortedPair => "a short or a looped spare",
        Wiring::UnlikeAny => "none of these",
    }
}

/// What to do, in a sentence.
pub(crate) fn instruction(act: Act, fed: bool) -> &'static str {
    match (act, fed) {
        (Act::Rest, false) => "Lift the pair and read it at rest.",
        (Act::Rest, true) => "Feed the detectors, wait 3 minutes, read the pair at rest again.",
        (Act::Trip, false) => "Trip whatever hangs on it and read again.",
        (Act::Trip, true) => "Feed the detectors, wait 3 minutes, trip one and read again.",
        (Act::Reverse, _) => "Swap the leads and read again.",
        (Act::Join, _) => "Join the two cores at the far device and read again.",
        (Act::Open, _) => "Open the pair at the far device and read again.",
        (Act::Wait, _) => "Leave the leads on for a minute and read again.",
        (Act::Volts, _) => "Read volts on the pair, DC and AC.",
        (Act::Earth, _) => "Read each leg to earth.",
    }
}
