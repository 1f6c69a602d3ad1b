//! Candidates: what may be on a pair, ranked, and whether one of them is settled.

use library::Wiring;
use quantity::Ohms;

use crate::building::Building;
use crate::evidence::{Evidence, Hypothesis, NONE, Setting};

/// From here on a candidate is settled, once something was tripped (`docs/format.md`, section 4).
pub const SETTLED: f64 = 0.95;
/// Candidates are listed down to this sum.
pub const LISTED: f64 = 0.99;
/// A place or a condition is named from here on.
const SURE: f64 = 0.95;

/// Where the resistor of a candidate sits, as far as readings tell.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Place {
    /// Before the far device: in a splice or in the old panel's stub.
    Near,
    /// At the far device or beyond it.
    Far,
    /// One in the old panel, one in the field.
    PanelAndField,
    /// No reading tells.
    Unknown,
    /// There is none.
    None,
}

/// One candidate: a wiring with nominal values; place, count of devices and length are summed over.
#[derive(Clone, PartialEq, Debug)]
pub struct Candidate {
    /// The wiring.
    pub wiring: Wiring,
    /// Nominal values in the order of the format.
    pub resistors: Vec<Ohms>,
    /// How likely it is, by the readings of the whole building.
    pub probability: f64,
    /// Where its resistor sits.
    pub place: Place,
    /// How likely it hangs open for want of a supply, given that it is this.
    pub unfed: f64,
    pub(crate) values: [u8; 3],
}

/// What is known of one pair.
#[derive(Clone, PartialEq, Debug)]
pub struct Ranking {
    /// Every candidate that is worth anything, the likeliest first.
    pub all: Vec<Candidate>,
    /// Whether the first is settled.
    pub settled: bool,
}

impl Place {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Near => "near",
            Self::Far => "far",
            Self::PanelAndField => "panel-and-field",
            Self::Unknown => "unknown",
            Self::None => "none",
        }
    }
}

impl Ranking {
    /// Ranks what one circuit may be.
    pub(crate) fn new(setting: &Setting, building: &Building, circuit: usize, evidence: &Evidence) -> Self {
        let posterior = building.posterior(setting, circuit, evidence);
        let mut all: Vec<Candidate> = evidence
            .hypotheses
            .iter()
            .zip(posterior)
            .filter(|(_, probability)| *probability > 0.0)
            .map(|(hypothesis, probability)| candidate(setting, hypothesis, probability))
            .collect();
        all.sort_by(|one, other| other.probability.total_cmp(&one.probability));
        let settled = all.first().is_some_and(|first| {
            first.probability >= SETTLED
                && first.wiring != Wiring::UnlikeAny
                && (evidence.looks.has_trip() || (!first.wiring.has_contact() && evidence.looks.has_other()))
        });
        Self { all, settled }
    }

    /// The candidates that are listed: down to a sum of [`LISTED`].
    #[must_use]
    pub fn listed(&self) -> &[Candidate] {
        let mut sum = 0.0;
        for (at, candidate) in self.all.iter().enumerate() {
            sum += candidate.probability;
            if sum >= LISTED {
                return &self.all[..=at];
            }
        }
        &self.all
    }

    /// What the listed ones leave.
    #[must_use]
    pub fn other(&self) -> f64 {
        (1.0 - self.listed().iter().map(|candidate| candidate.probability).sum::<f64>()).max(0.0)
    }

    /// The first, when it is settled.
    #[must_use]
    pub fn settled(&self) -> Option<&Candidate> {
        self.all.first().filter(|_| self.settled)
    }
}

fn candidate(setting: &Setting, hypothesis: &Hypothesis, probability: f64) -> Candidate {
    let values = hypothesis.values.iter().filter(|value| **value != NONE);
    let resistors = values.map(|value| Ohms(setting.values[usize::from(*value)])).collect();
    Candidate {
        wiring: hypothesis.wiring,
        resistors,
        probability,
        place: place(hypothesis),
        unfed: hypothesis.unfed,
        values: hypothesis.values,
    }
}

fn place(hypothesis: &Hypothesis) -> Place {
    match (hypothesis.wiring, hypothesis.near) {
        (Wiring::TwoEnds, _) => Place::PanelAndField,
        (wiring, _) if wiring.resistors() == 0 => Place::None,
        (_, Some(near)) if near >= SURE => Place::Near,
        (_, Some(near)) if near <= 1.0 - SURE => Place::Far,
        _ => Place::Unknown,
    }
}
