//! Candidates: what may be on a pair, ranked, and whether one of them is settled.

use library::Wiring;
use quantity::Ohms;

use crate::building::Building;
use crate::evidence::{ANY, Evidence, Hypothesis, NONE, Setting};

/// From here on a candidate is settled, once something was tripped (`docs/format.md`, section 4).
pub const SETTLED: f64 = 0.95;
/// Candidates are listed down to this sum.
pub const LISTED: f64 = 0.99;
/// What stands for many values is listed one by one from here on.
const SPELLED_OUT: f64 = 1e-7;
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
    /// How likely its resistor sits before the far device, given that it is this; none where no reading tells.
    pub(crate) near: Option<f64>,
    /// How likely it has a T-tap, given that it is this.
    pub(crate) tapped: f64,
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
    #[must_use]
    pub fn new(setting: &Setting, building: &Building, circuit: usize, evidence: &Evidence) -> Self {
        let posterior = building.posterior(setting, circuit, evidence);
        let mut all: Vec<Candidate> = evidence
            .hypotheses
            .iter()
            .zip(posterior)
            .filter(|(_, probability)| *probability > 0.0)
            .flat_map(|(hypothesis, probability)| {
                let each = spelled_out(setting, evidence, hypothesis, probability);
                each.into_iter()
                    .map(|(values, probability)| candidate(setting, hypothesis, values, probability))
            })
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

/// A hypothesis that stands for many values, as so many with one each.
fn spelled_out(
    setting: &Setting,
    evidence: &Evidence,
    hypothesis: &Hypothesis,
    probability: f64,
) -> Vec<([u8; 3], f64)> {
    let mut each = vec![(hypothesis.values, 1.0)];
    let first = usize::from(hypothesis.values[0]);
    for slot in 1..3 {
        if hypothesis.values[slot] != ANY {
            continue;
        }
        // Named by any hypothesis of the same wiring and first value: those are not among "any".
        let named = |value: usize| {
            evidence.hypotheses.iter().any(|other| {
                other.wiring == hypothesis.wiring
                    && other.values[0] == hypothesis.values[0]
                    && usize::from(other.values[slot]) == value
            })
        };
        let free: Vec<usize> = if probability < SPELLED_OUT {
            // Too little to be listed: the likeliest stands for all.
            (0..setting.values.len()).filter(|value| *value == first).collect()
        } else {
            (0..setting.values.len()).filter(|value| !named(*value)).collect()
        };
        let sum: f64 = free.iter().map(|value| setting.beside(first, *value)).sum();
        each = each
            .into_iter()
            .flat_map(|(values, share)| {
                free.iter().map(move |value| {
                    let mut values = values;
                    values[slot] = u8::try_from(*value).unwrap_or(NONE);
                    (values, share * setting.beside(first, *value) / sum)
                })
            })
            .collect();
    }
    each.into_iter().map(|(values, share)| (values, share * probability)).collect()
}

fn candidate(setting: &Setting, hypothesis: &Hypothesis, values: [u8; 3], probability: f64) -> Candidate {
    let named = values.iter().filter(|value| **value != NONE);
    let resistors = named.map(|value| Ohms(setting.values[usize::from(*value)])).collect();
    Candidate {
        wiring: hypothesis.wiring,
        resistors,
        probability,
        place: place(hypothesis),
        unfed: hypothesis.unfed,
        near: hypothesis.near,
        tapped: hypothesis.tapped,
        values,
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
