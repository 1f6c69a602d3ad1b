//! The readings of a circuit, sorted by what they can tell: ohms of the pair, volts, legs to earth, other cores.

use job::{Circuit, Display, Reading, Shown, When};
use network::Role;
use quantity::{MeterError, Ohms, Volts};

use crate::sight::Sight;

/// What was done to the pair before it was read.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Asked {
    /// Nothing.
    Rest,
    /// A device was tripped.
    Trip {
        /// The contact that is meant.
        role: Role,
    },
    /// The leads were swapped.
    Reversed,
    /// The pair was joined at the far device.
    Joined,
    /// The pair was opened at the far device.
    Opened,
    /// Nothing, and some time went by.
    After,
}

/// One reading of the pair in ohms.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Look {
    pub(crate) asked: Asked,
    pub(crate) fed: bool,
    pub(crate) display: Display<Ohms>,
    /// Its place in the circuit's list of readings.
    pub(crate) at: usize,
}

/// All that the readings of one circuit say.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Looks {
    /// Ohms of the pair.
    pub(crate) ohms: Vec<Look>,
    /// The largest volts seen on the pair with it off its terminals, DC.
    pub(crate) volts_dc: Option<f64>,
    /// The same, AC.
    pub(crate) volts_ac: Option<f64>,
    /// Volts that would not stand still.
    pub(crate) volts_restless: bool,
    /// The least ohms from a leg to earth; infinite when open.
    pub(crate) earth: Option<f64>,
    /// Volts at the old terminals while the old equipment works, with what one digit is worth.
    pub(crate) live: Option<(f64, f64)>,
    /// Ohms to other cores, by name.
    pub(crate) cores: Vec<(String, f64)>,
}

impl Looks {
    /// Sorts the readings of a circuit.
    pub(crate) fn of(circuit: &Circuit) -> Self {
        let mut looks = Self::default();
        for (at, reading) in circuit.found.iter().enumerate() {
            for shown in &reading.shown {
                looks.add(at, reading, shown);
            }
        }
        looks
    }

    fn add(&mut self, at: usize, reading: &Reading, shown: &Shown) {
        match (shown, &reading.when) {
            (Shown::Ohms(display), when) => self.add_ohms(at, reading.fed, *display, when),
            (Shown::VoltsDc(Display::Value { value, digit }), When::Live) => {
                self.live = Some((value.0, digit.0.abs()));
            }
            (Shown::VoltsDc(display), _) => larger(&mut self.volts_dc, &mut self.volts_restless, *display),
            (Shown::VoltsAc(_), When::Live) | (Shown::Amps(_), _) => {}
            (Shown::VoltsAc(display), _) => larger(&mut self.volts_ac, &mut self.volts_restless, *display),
        }
    }

    fn add_ohms(&mut self, at: usize, fed: bool, display: Display<Ohms>, when: &When) {
        let ohms = match display {
            Display::Value { value, .. } => value.0,
            Display::Open => f64::INFINITY,
            Display::Unstable => f64::NAN,
        };
        let asked = match when {
            When::Rest => Asked::Rest,
            When::Tripped => Asked::Trip { role: Role::Alarm },
            When::Device(name) => Asked::Trip { role: role(name) },
            When::Reversed => Asked::Reversed,
            When::Joined => Asked::Joined,
            When::Opened => Asked::Opened,
            When::After(_) => Asked::After,
            When::Earth | When::EarthA | When::EarthB => {
                if !ohms.is_nan() {
                    self.earth = Some(self.earth.map_or(ohms, |least| least.min(ohms)));
                }
                return;
            }
            When::Core(name) => {
                if !ohms.is_nan() {
                    self.cores.push((name.clone(), ohms));
                }
                return;
            }
            When::Live => return,
        };
        self.ohms.push(Look { asked, fed, display, at });
    }

    /// Whether something was tripped and read.
    pub(crate) fn has_trip(&self) -> bool {
        self.trips() > 0
    }

    /// How often something was tripped and read.
    pub(crate) fn trips(&self) -> usize {
        self.ohms.iter().filter(|look| matches!(look.asked, Asked::Trip { .. })).count()
    }

    /// Whether ohms would not stand still and nobody has looked for volts yet.
    pub(crate) fn restless(&self) -> bool {
        self.volts_dc.is_none() && self.ohms.iter().any(|look| look.display == Display::Unstable)
    }

    /// Whether the pair was read in any condition but at rest.
    pub(crate) fn has_other(&self) -> bool {
        self.ohms.iter().any(|look| look.asked != Asked::Rest)
    }

    /// The sights of an instrument so many times worse than stated.
    pub(crate) fn sights(&self, meter: &MeterError, wrong: f64, scale: f64) -> Vec<Sight> {
        self.ohms.iter().map(|look| Sight::new(look.display, meter, wrong, scale)).collect()
    }
}

fn larger(largest: &mut Option<f64>, restless: &mut bool, display: Display<Volts>) {
    match display {
        Display::Value { value, .. } => {
            *largest = Some(largest.map_or(value.0.abs(), |volts: f64| volts.max(value.0.abs())));
        }
        Display::Unstable => *restless = true,
        Display::Open => *largest = Some(f64::INFINITY),
    }
}

/// The role behind the point of a device's name.
fn role(name: &str) -> Role {
    name.rsplit_once('.').and_then(|(_, role)| Role::from_word(role)).unwrap_or(Role::Alarm)
}
