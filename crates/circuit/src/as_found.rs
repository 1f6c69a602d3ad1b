//! Findings about readings as found: whether the pair is fit to be worked on, and whether the network fits.

use job::{Display, FOREIGN_VOLTS, Reading, Severity, Shown, When, is_foreign_current};
use network::{Network, Part};
use quantity::{Amperes, Ohms, Volts, Written};

use crate::findings::Writer;
use crate::measured::{Misread, answers_to, state_of};
use crate::study::Study;
use crate::words::{state_words, tripped_words};

/// Above these it is an electrician's (limits of extra-low voltage as in IEC 61140, from memory).
const ELECTRICIAN_AC: Volts = Volts(50.0);
const ELECTRICIAN_DC: Volts = Volts(120.0);
/// A leg with less than this to earth is an earth fault that modules see or suffer from; see `cases::EARTH`.
const EARTH_FAULT: Ohms = Ohms(50e3);
/// A leg with less than this to earth is damp (common practice, no source).
const DAMP: Ohms = Ohms(1e6);

impl Writer<'_> {
    /// Foreign volts and currents, legs to earth, restless readings.
    pub(crate) fn safety(&mut self) {
        let circuit = self.circuit;
        // What was found and cleared is not there any more.
        for (reading, shown) in circuit.newest_of_safety().filter(|(reading, _)| reading.when != When::Live) {
            match shown {
                Shown::Ohms(Display::Value { value, .. }) => self.earth(reading, *value),
                Shown::Amps(display) if is_foreign_current(reading, shown) => self.current(*display),
                _ => self.volts(shown, ""),
            }
        }
        // A board's own volts are right at its terminals.
        for (_, shown) in circuit.foreign_live() {
            self.volts(shown, " at its old terminals, which no working board explains");
        }
        for shown in circuit.found.iter().flat_map(|reading| &reading.shown) {
            if matches!(shown, Shown::Ohms(Display::Unstable)) {
                self.push(
                    Severity::Check,
                    "unstable-reading",
                    "A reading would not stand still.",
                    "Look for foreign volts, a capacitor or a bad joint; measure again after a minute.",
                );
            }
        }
    }

    fn volts(&mut self, shown: &Shown, place: &str) {
        let (display, electrician, kind) = match shown {
            Shown::VoltsAc(display) => (display, ELECTRICIAN_AC, "AC"),
            Shown::VoltsDc(display) => (display, ELECTRICIAN_DC, "DC"),
            _ => return,
        };
        let Display::Value { value, .. } = display else {
            // Induced volts drift; what drifts may be more than was seen.
            self.push(
                Severity::Stop,
                "foreign-volts",
                format!("Volts {kind} on this pair{place} that would not stand still, so no ohms reading of it can be trusted."),
                "Do not touch it. Read it again on the low-impedance range of a rated meter: what vanishes was induced. Until a reading stands \
                 still it is an electrician's.",
            );
            return;
        };
        if value.0.abs() > electrician.0 {
            let text = format!("{} {kind} on this pair{place}.", value.shown(3));
            self.push(
                Severity::Stop,
                "dangerous-volts",
                text,
                "Stop: this is an electrician's work. Do not touch it, do not measure ohms.",
            );
        } else if value.0.abs() >= FOREIGN_VOLTS.0 {
            let text = format!(
                "{} {kind} on this pair{place}, so no ohms reading of it can be trusted.",
                value.shown(3)
            );
            self.push(
                Severity::Stop,
                "foreign-volts",
                text,
                "Find where it comes from: another supply still live, or a pair laid beside mains. Measure it on \
                 the low-impedance range of a rated meter, or across 1 kohm that bears 15 W: what vanishes was induced.",
            );
        }
    }

    fn current(&mut self, amps: Display<Amperes>) {
        let seen = match amps {
            Display::Value { value, .. } => value.shown(3),
            _ => "A current that would not stand still".to_owned(),
        };
        self.push(
            Severity::Stop,
            "foreign-current",
            format!(
                "{seen} through this pair off its terminals: something feeds it, so no ohms reading of it can be trusted."
            ),
            "Find what feeds it and switch that off; then read volts and current again. With the supply of its own \
             detectors on, write `fed = true` at the reading.",
        );
    }

    fn earth(&mut self, reading: &Reading, ohms: Ohms) {
        let leg = match reading.when {
            When::Earth => "A leg",
            When::EarthA => "The first leg",
            When::EarthB => "The second leg",
            _ => return,
        };
        if ohms >= DAMP {
            return;
        }
        let severity = if ohms <= EARTH_FAULT { Severity::Fix } else { Severity::Check };
        let text = format!("{leg} has {} to earth: damp, or a core nicked on metal.", ohms.shown(3));
        self.push(
            severity,
            "leg-to-earth",
            text,
            "Lift the devices and halve the run until it is found; with electronics off, test the insulation at 250 V \
             DC at most.",
        );
    }

    /// Readings with a device's name that nothing in the network has: a slip of the pen, or something not written yet.
    pub(crate) fn unknown_devices(&mut self, network: &Network) {
        let circuit = self.circuit;
        if circuit.inferred {
            return;
        }
        let named = |name: &str| network.contacts().iter().any(|contact| answers_to(contact, name));
        let mut told: Vec<&str> = Vec::new();
        for reading in &circuit.found {
            let When::Device(name) = &reading.when else { continue };
            let device = name.split('.').next().unwrap_or(name);
            let is_smoke = network
                .elements()
                .iter()
                .any(|element| matches!(&element.part, Part::Smoke(smoke) if smoke == device));
            if named(name) || is_smoke || told.contains(&name.as_str()) {
                continue;
            }
            told.push(name);
            self.push(
                Severity::Check,
                "reading-device-unknown",
                format!("A reading was taken with `{name}` tripped, and nothing in its network is called so: it is compared with nothing."),
                "Correct the name in `found`, write the device into the network, or write `tripped` where nobody knows what it was.",
            );
        }
    }

    /// A trip that moved nothing: more than a difference.
    fn misread(&mut self, network: &Network, misread: &Misread) {
        let severity = if misread.grave { Severity::Stop } else { Severity::Fix };
        let seen = &misread.seen;
        let words = if misread.active.is_empty() {
            "when something was tripped".to_owned()
        } else {
            format!("with {}", tripped_words(network, &misread.active))
        };
        self.push(
            severity,
            "trip-not-seen",
            format!("As found {words}: {seen}, as at rest. The reading did not change, so no alarm would come of it."),
            "See that it was this circuit's device and trip it again. If it still does not move, look for a stuck or \
             bridged contact, a resistor before it, or a device of another circuit, and correct what is wrong or the \
             network.",
        );
    }

    /// Readings as found against what the network should show.
    pub(crate) fn as_found(&mut self, network: &Network, study: &Study) {
        let meter = &self.setting.job.meter;
        let circuit = self.circuit;
        for (index, reading) in circuit.found.iter().enumerate() {
            if let Some(misread) = study.misread.iter().find(|misread| misread.reading == index) {
                self.misread(network, misread);
                continue;
            }
            let Some(at) = state_of(reading, network.contacts(), &study.states) else { continue };
            let (state, row) = (&study.states[at], &study.meter[at]);
            if !reading.fed && row.needs_supply {
                // Nothing was tripped that could move: the reading says nothing about this state.
                continue;
            }
            let truth = if reading.fed { row.truth } else { row.unfed_truth.unwrap_or(row.truth) }.interval();
            for shown in &reading.shown {
                let (agrees, seen) = match shown {
                    Shown::Ohms(Display::Value { value, digit }) => {
                        (meter.could_show(truth, *value, *digit), value.written())
                    }
                    Shown::Ohms(Display::Open) => (meter.shows(truth).hi.is_none(), "over range".to_owned()),
                    _ => continue,
                };
                if !agrees {
                    let words = state_words(network, &state.active);
                    let expected = meter.shows(truth).shown();
                    let supply = match row.unfed_truth {
                        Some(_) if reading.fed => " with the supply on",
                        Some(_) => " with the supply off",
                        None => "",
                    };
                    self.push(
                        Severity::Check,
                        "reading-differs",
                        format!(
                            "As found {words}{supply}: {seen}; the network as written would show {expected}."
                        ),
                        "Measure again, or correct the network.",
                    );
                }
            }
        }
    }
}
