//! Refusals come first: a pair that carries volts, or a leg of it that finds earth, is not fit for an ohms reading.

use quantity::{Ohms, Volts, Written};

use crate::look::{Looks, Spot};

/// Above this a pair is not fit for an ohms reading (common practice, no source).
const FOREIGN: f64 = 1.0;
/// Above these it is an electrician's (limits of extra-low voltage as in IEC 61140, from memory).
pub(crate) const ELECTRICIAN_AC: f64 = 50.0;
const ELECTRICIAN_DC: f64 = 120.0;
/// A leg with less than this to earth spoils ohms readings of the pair and what modules make of it.
const EARTH_FAULT: f64 = 50e3;

/// Why the ohms of a pair are not used.
#[derive(Clone, PartialEq, Debug)]
pub enum Refusal {
    /// More than extra-low voltage.
    Electrician {
        /// The volts.
        volts: Volts,
        /// Whether alternating.
        alternating: bool,
        /// Where they were read.
        spot: Spot,
    },
    /// Foreign volts.
    Foreign {
        /// The volts; infinite when over range.
        volts: Volts,
        /// Whether alternating.
        alternating: bool,
        /// Where they were read.
        spot: Spot,
    },
    /// Volts that do not stand still.
    Restless,
    /// A leg finds earth.
    Earth {
        /// The least ohms from a leg.
        ohms: Ohms,
    },
}

impl Refusal {
    /// Whether ohms readings say nothing then; all of them do.
    #[must_use]
    pub fn refuses_ohms(&self) -> bool {
        true
    }

    /// What is there.
    #[must_use]
    pub fn text(&self) -> String {
        let kind = |alternating: &bool| if *alternating { "AC" } else { "DC" };
        match self {
            Self::Electrician { volts, alternating, spot } => {
                format!("{} {} {}.", volts.shown(3), kind(alternating), spot.text())
            }
            Self::Foreign { volts, alternating, spot } => format!(
                "{} {} {}: {} say nothing and are not used.",
                volts.shown(3),
                kind(alternating),
                spot.text(),
                if *spot == Spot::Pair { "its ohms" } else { "the ohms of this pair" }
            ),
            Self::Restless => {
                "Volts on this pair do not stand still: its ohms say nothing and are not used.".to_owned()
            }
            Self::Earth { ohms } => format!(
                "A leg has {} to earth: the ohms of this pair say nothing and are not used.",
                ohms.shown(3)
            ),
        }
    }

    /// What to do.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::Electrician { .. } => {
                "Stop: this is an electrician's work. Do not touch it, do not measure ohms."
            }
            Self::Foreign { .. } => {
                "Volts AC and DC first, each leg to earth too, then loaded with 1 kohm that bears 15 W: what vanishes was induced. Find \
                 which supply still feeds it and switch that off, then read ohms."
            }
            Self::Restless => {
                "A bus that is still powered from elsewhere: find its equipment, switch it off, then read ohms."
            }
            Self::Earth { .. } => {
                "Each leg to earth with the door open and closed; lift devices and halve the run until it is found."
            }
        }
    }
}

/// The heaviest reason to refuse, if there is one.
pub(crate) fn of(looks: &Looks) -> Option<Refusal> {
    let (dc, ac) = (looks.volts_dc.unwrap_or(0.0), looks.volts_ac.unwrap_or(0.0));
    if ac > ELECTRICIAN_AC {
        return Some(Refusal::Electrician {
            volts: Volts(ac),
            alternating: true,
            spot: looks.spot_ac.clone(),
        });
    }
    if dc > ELECTRICIAN_DC {
        return Some(Refusal::Electrician {
            volts: Volts(dc),
            alternating: false,
            spot: looks.spot_dc.clone(),
        });
    }
    if dc > FOREIGN || ac > FOREIGN {
        let alternating = ac > dc;
        let spot = if alternating { &looks.spot_ac } else { &looks.spot_dc };
        return Some(Refusal::Foreign { volts: Volts(dc.max(ac)), alternating, spot: spot.clone() });
    }
    if looks.volts_restless {
        return Some(Refusal::Restless);
    }
    let earth = looks.earth.filter(|ohms| *ohms < EARTH_FAULT)?;
    Some(Refusal::Earth { ohms: Ohms(earth) })
}
