//! The working behind one result: what `explain` shows, as plain data for JSON and as a page for people.

mod element;
mod equipment;
mod evidence;
mod page;
mod supply;
mod tables;
mod target;
mod working;

use assess::wire::AssessmentJson;
use assess::{Assessment, CircuitResult};
use circuit::{Place, Raiser, Setting};
use job::Severity;
use schemars::JsonSchema;
use serde::Serialize;

pub(crate) use page::page;
pub(crate) use target::{Target, resolve};

/// Columns of the ladder in JSON.
const LADDER_COLUMNS: usize = 78;

/// What `explain --json` prints.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct ExplainJson {
    /// As it was asked for.
    #[serde(rename = "where")]
    place: String,
    /// `circuit`, `contact`, `input`, `module`, `supply`, `output` or `job`.
    kind: &'static str,
    /// What the job and the library say of it, in sentences.
    says: Vec<String>,
    /// The network in a sentence.
    sentence: Option<String>,
    /// The network as two legs, a line each.
    ladder: Vec<String>,
    /// Defaults that were used because the job is silent, as far as they matter here.
    defaults: Vec<DefaultJson>,
    /// Every element of the network with what it can be.
    elements: Vec<element::ElementJson>,
    /// Every band of the mode.
    bands: Vec<tables::BandJson>,
    /// How the ohms of every state come about.
    workings: Vec<working::WorkingJson>,
    /// What the readings say: the first candidates, each with a sentence for and one against it.
    evidence: Vec<evidence::EvidenceJson>,
    /// Rule sets of the job with their clauses.
    rules: Vec<equipment::RuleSetJson>,
    /// Findings and circuits that this is about, with all their faults.
    assessment: AssessmentJson,
}

/// A default that was used.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct DefaultJson {
    /// Where it would stand in the job, as `assume.contact_closed_max`.
    pub(crate) key: String,
    /// As a person would have written it.
    pub(crate) value: String,
}

/// What is explained: an assessment narrowed down to what was asked for.
pub(crate) struct Explained<'a> {
    /// As it was asked for.
    pub(crate) place: String,
    /// What that is.
    pub(crate) target: Target,
    /// Only the findings and circuits that it is about.
    pub(crate) assessment: Assessment<'a>,
    /// The job's surroundings, for values and profiles.
    pub(crate) setting: Setting<'a>,
}

impl<'a> Explained<'a> {
    /// Narrows an assessment down.
    pub(crate) fn new(place: &str, target: Target, mut assessment: Assessment<'a>) -> Self {
        let job = assessment.job;
        let at = target.circuits(job);
        let mut kept = Vec::new();
        for (index, result) in std::mem::take(&mut assessment.circuits).into_iter().enumerate() {
            if at.contains(&index) {
                kept.push(result);
            }
        }
        if let Target::Contact { contact, element, .. } = &target {
            for result in &mut kept {
                narrow(result, *contact, *element);
            }
        }
        assessment.circuits = kept;
        assessment.supplies.retain(|study| match &target {
            Target::Supply { supply, .. } => study.plan.supply.id == job.supplies[*supply].id,
            Target::Output(output) => study.plan.point(&job.outputs[*output].id).is_some(),
            _ => false,
        });
        let places = target.places(job);
        assessment.findings.retain(|finding| places.contains(&finding.place));
        let heaviest = assessment.findings.iter().map(|finding| finding.severity).max();
        assessment.verdict = heaviest.filter(|severity| *severity > Severity::Note);
        let setting = Setting::new(job, assessment.library);
        Self { place: place.to_owned(), target, assessment, setting }
    }

    /// The one circuit that this is about.
    pub(crate) fn circuit(&self) -> Option<&CircuitResult<'a>> {
        match self.target {
            Target::Circuit(_) | Target::Contact { .. } | Target::Input { .. } => {
                self.assessment.circuits.first()
            }
            _ => None,
        }
    }

    /// The twin for JSON.
    pub(crate) fn json(&self) -> ExplainJson {
        let result = self.circuit();
        let network = result.and_then(|result| result.circuit.network.as_ref());
        let units = self.setting.job.site.units.shown();
        ExplainJson {
            place: self.place.clone(),
            kind: self.target.word(),
            says: equipment::says(self),
            sentence: network.map(|network| drawing::sentence(network, units)),
            ladder: network
                .map(|network| drawing::ladder(network, units, LADDER_COLUMNS))
                .unwrap_or_default(),
            defaults: element::defaults(self),
            elements: result.map(|result| element::elements(&self.setting, result)).unwrap_or_default(),
            bands: result.map(tables::bands).unwrap_or_default(),
            workings: result.map(|result| working::workings(&self.setting, result)).unwrap_or_default(),
            evidence: evidence::evidence(self),
            rules: equipment::rules(self),
            assessment: AssessmentJson::new(&self.assessment, true),
        }
    }
}

/// Only what one contact or detector does and what takes it away.
fn narrow(result: &mut CircuitResult, contact: Option<usize>, element: usize) {
    let Some(study) = &mut result.study else { return };
    let keep: Vec<bool> = study
        .states
        .iter()
        .map(|state| {
            state.active.is_empty() || contact.is_some_and(|contact| state.active.contains(&contact))
        })
        .collect();
    let mut kept = keep.iter();
    study.states.retain(|_| kept.next().copied().unwrap_or(false));
    let mut kept = keep.iter();
    study.meter.retain(|_| kept.next().copied().unwrap_or(false));
    study.faults.retain(|fault| {
        let endangered = match fault.endangers {
            Some(Raiser::Contact(lost)) => contact == Some(lost),
            Some(Raiser::Smoke(lost)) => lost == element,
            None => false,
        };
        let there = match fault.place {
            Place::Contact(at) => contact == Some(at),
            Place::Element(at) => at == element,
            _ => false,
        };
        endangered || there
    });
}

/// The units of a job as pictures and sentences take them.
pub(crate) trait ShownUnits {
    /// The same for printing.
    fn shown(self) -> quantity::UnitsShown;
}

impl ShownUnits for job::Units {
    fn shown(self) -> quantity::UnitsShown {
        match self {
            Self::Us => quantity::UnitsShown::Us,
            Self::Metric => quantity::UnitsShown::Metric,
        }
    }
}
