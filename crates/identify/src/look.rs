//! The readings of a circuit, sorted by what they can tell: ohms of the pair, volts, legs to earth, other cores.

use job::{BOARD_VOLTS, Circuit, Display, Reading, Shown, When};
use network::Role;
use quantity::{MeterError, Ohms, Volts};

use crate::sight::Sight;

/// Where volts were read.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum Spot {
    /// Between the two legs, off their terminals.
    #[default]
    Pair,
    /// At the old terminals while the old equipment works.
    Terminals,
    /// From one of the legs to earth.
    Leg,
    /// From the first leg to earth.
    LegA,
    /// From the second leg to earth.
    LegB,
    /// To another core, by name.
    Core(String),
}

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
    /// The largest volts DC that no working board explains, of each condition the reading that came last; likewise below.
    pub(crate) volts_dc: Option<f64>,
    /// Where they were.
    pub(crate) spot_dc: Spot,
    /// The largest volts AC, at the terminals of a working board too.
    pub(crate) volts_ac: Option<f64>,
    /// Where they were.
    pub(crate) spot_ac: Spot,
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
                let is_volts = matches!(shown, Shown::VoltsDc(_) | Shown::VoltsAc(_));
                if !is_volts && !reading.is_to_earth() {
                    looks.add(at, reading, shown);
                }
            }
        }
        // Foreign volts that were found and switched off are there no more: the reading that came last counts.
        for (reading, shown) in circuit.newest_of_safety() {
            looks.add(0, reading, shown);
        }
        looks
    }

    fn add(&mut self, at: usize, reading: &Reading, shown: &Shown) {
        match (shown, &reading.when) {
            (Shown::Ohms(display), when) => self.add_ohms(at, reading.fed, *display, when),
            (Shown::VoltsDc(Display::Value { value, digit }), When::Live)
                if value.0.abs() <= BOARD_VOLTS.0 =>
            {
                self.live = Some((value.0, digit.0.abs()));
            }
            (Shown::Amps(_), _) => {}
            // What its board does not explain is foreign there too.
            (Shown::VoltsDc(display), when) => {
                let largest = (&mut self.volts_dc, &mut self.spot_dc);
                larger(largest, &mut self.volts_restless, *display, when);
            }
            (Shown::VoltsAc(display), when) => {
                let largest = (&mut self.volts_ac, &mut self.spot_ac);
                larger(largest, &mut self.volts_restless, *display, when);
            }
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

fn larger(
    (largest, spot): (&mut Option<f64>, &mut Spot),
    restless: &mut bool,
    display: Display<Volts>,
    when: &When,
) {
    let volts = match display {
        Display::Value { value, .. } => value.0.abs(),
        Display::Open => f64::INFINITY,
        Display::Unstable => {
            *restless = true;
            return;
        }
    };
    if largest.is_none_or(|most| volts > most) {
        *largest = Some(volts);
        *spot = Spot::of(when);
    }
}

impl Spot {
    fn of(when: &When) -> Self {
        match when {
            When::Live => Self::Terminals,
            When::Earth => Self::Leg,
            When::EarthA => Self::LegA,
            When::EarthB => Self::LegB,
            When::Core(name) => Self::Core(name.clone()),
            _ => Self::Pair,
        }
    }

    /// As it stands behind the volts.
    pub(crate) fn text(&self) -> String {
        match self {
            Self::Pair => "on this pair".to_owned(),
            Self::Terminals => "at the terminals of this pair".to_owned(),
            Self::Leg => "from a leg to earth".to_owned(),
            Self::LegA => "from leg a to earth".to_owned(),
            Self::LegB => "from leg b to earth".to_owned(),
            Self::Core(name) => format!("to core {name}"),
        }
    }
}

/// The role behind the point of a device's name.
fn role(name: &str) -> Role {
    name.rsplit_once('.').and_then(|(_, role)| Role::from_word(role)).unwrap_or(Role::Alarm)
}
