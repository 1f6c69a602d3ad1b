//! What is lettered at the parts of a circuit: names, values, lengths.

use network::{Element, Network, Part, Run, label};
use quantity::{Celsius, Gauge, Ohms, UnitsShown, Written};

use crate::chain::conductor;
use crate::symbol::Symbol;

/// A length that is known from its resistance is taken at this temperature: that of all cable tables.
const TABLE: Celsius = Celsius(20.0);

/// Exactly, by definition of the international foot.
const FOOT_M: f64 = 0.3048;

/// A circuit's parts and how they are to be shown.
#[derive(Clone, Copy)]
pub(crate) struct Parts<'a> {
    pub(crate) network: Option<&'a Network>,
    /// The circuit's conductor, where none is written at a run.
    pub(crate) gauge: Gauge,
    pub(crate) units: UnitsShown,
    /// Contacts that are drawn switched.
    pub(crate) active: &'a [usize],
}

/// How well a length is known.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Known {
    Length,
    /// As a range, or from its resistance.
    About,
    Not,
}

/// A run of cable as it is dimensioned.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Measure {
    pub(crate) known: Known,
    pub(crate) metres: f64,
    pub(crate) text: String,
    pub(crate) one_core: bool,
}

impl Parts<'_> {
    fn element(&self, at: usize) -> Option<&Element> {
        self.network?.elements().get(at)
    }

    pub(crate) fn symbol(&self, at: usize) -> Symbol {
        let contact = self.network.and_then(|network| network.contact_of(at));
        let active = contact.is_some_and(|contact| self.active.contains(&contact));
        self.element(at).map_or(Symbol::Lead, |element| Symbol::of(&element.part, active))
    }

    /// The name that a person gave it; empty where none.
    pub(crate) fn name(&self, at: usize) -> String {
        match self.element(at).map(|element| &element.part) {
            Some(Part::Contact { name, role, .. }) => label(name, *role),
            Some(Part::Smoke(name) | Part::Sounder(name) | Part::Joint(name)) => name.clone(),
            _ => String::new(),
        }
    }

    /// The value lettered beside it; empty where none.
    pub(crate) fn value(&self, at: usize) -> String {
        match self.element(at).map(|element| &element.part) {
            Some(Part::Resistor { nominal, tolerance }) => {
                let tolerance = tolerance.map(|share| format!(" {}", share.written())).unwrap_or_default();
                format!("{}{tolerance}", ohms_shown(*nominal))
            }
            Some(Part::Capacitor(farads)) => trimmed(&farads.shown(4)),
            _ => String::new(),
        }
    }

    pub(crate) fn measure(&self, element: Option<usize>) -> Measure {
        let Some((conductor, one_core)) = conductor(self.network, element) else {
            return Measure {
                known: Known::Not,
                metres: 0.0,
                text: "not measured".to_owned(),
                one_core: false,
            };
        };
        let suffix = if one_core { " of one core" } else { "" };
        if let Some(length) = conductor.run.length() {
            let (lo, hi) = (length.lo().0, length.hi().0);
            let known = if hi > lo { Known::About } else { Known::Length };
            let text = format!("{}{suffix}", self.length_text(lo, hi));
            return Measure { known, metres: f64::midpoint(lo, hi), text, one_core };
        }
        let Run::Measured(ohms) = conductor.run else {
            return Measure { known: Known::Not, metres: 0.0, text: String::new(), one_core };
        };
        let gauge = conductor.inherited.unwrap_or(self.gauge);
        let per_metre = gauge.per_metre(TABLE);
        let per_metre = f64::midpoint(per_metre.lo().0, per_metre.hi().0);
        let cores = if one_core { 1.0 } else { 2.0 };
        let metres = f64::midpoint(ohms.lo().0, ohms.hi().0) / (cores * per_metre);
        let text = format!("{}: about {}{suffix}", trimmed(&ohms.shown()), self.rounded(metres));
        Measure { known: Known::About, metres, text, one_core }
    }

    fn length_text(&self, lo: f64, hi: f64) -> String {
        let (unit, factor) = self.unit();
        let low = figures(lo / factor);
        if hi > lo {
            format!("{low} to {}\u{2009}{unit}", figures(hi / factor))
        } else {
            format!("{low}\u{2009}{unit}")
        }
    }

    fn rounded(&self, metres: f64) -> String {
        let (unit, factor) = self.unit();
        format!("{:.0}\u{2009}{unit}", metres / factor)
    }

    /// The unit of length that the job shows, and its metres.
    pub(crate) fn unit(&self) -> (&'static str, f64) {
        match self.units {
            UnitsShown::Metric => ("m", 1.0),
            UnitsShown::Us => ("ft", FOOT_M),
        }
    }
}

/// To a decimeter or a tenth of a foot, from ten on to a whole one; one that was typed with decimals keeps one.
fn figures(value: f64) -> String {
    let tenths = format!("{value:.1}");
    let typed = (value * 10.0 - (value * 10.0).round()).abs() < 1e-9;
    let text = if value >= 9.95 && !typed { format!("{value:.0}") } else { tenths };
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A resistor's value as it is lettered: `2.2 kΩ`.
pub(crate) fn ohms_shown(ohms: Ohms) -> String {
    trimmed(&ohms.shown(4))
}

/// Without the needless zeros of a number before its unit.
pub(crate) fn trimmed(shown: &str) -> String {
    let (number, unit) = match shown.split_once('\u{2009}') {
        Some((number, unit)) => (number, format!("\u{2009}{unit}")),
        None => (shown, String::new()),
    };
    if !number.contains('.') || !number.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.') {
        return shown.to_owned();
    }
    format!("{}{unit}", number.trim_end_matches('0').trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_carry_no_needless_zeros() {
        assert_eq!(ohms_shown(Ohms(2200.0)), "2.2\u{2009}kΩ");
        assert_eq!(ohms_shown(Ohms(470.0)), "470\u{2009}Ω");
        assert_eq!(ohms_shown(Ohms(10e3)), "10\u{2009}kΩ");
        assert_eq!(
            [figures(38.0), figures(124.67), figures(400.0), figures(6.56)],
            ["38", "125", "400", "6.6"]
        );
    }
}
