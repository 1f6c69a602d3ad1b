//! The serialisable twins of what is shown: `docs/format.md`, section 4, once for command line, pages and
//! phone. Ohms, volts, amperes and hours are plain numbers; an infinite bound is null.

mod allocate;
pub mod cutover;
pub mod identify;
pub mod kit;

use circuit::{Fault, MeterRow, Remedy, State, Study};
use job::Severity;
use network::{Bounds, Network};
use quantity::MeterDisplay;
use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::{Assessment, CircuitResult};

mod smoke;
mod supplies;

pub use allocate::{
    AllocatedInputJson, AllocatedModuleJson, AllocatedRemedyJson, AllocationJson, AnnexJson, DemandJson,
    LeftJson, PlaceJson,
};
pub use smoke::{HeadJson, SmokeJson};
pub use supplies::*;

pub use cutover::CutoverJson;
pub use identify::IdentifyJson;
pub use kit::KitJson;

/// What `assess --json` prints.
#[derive(Serialize, JsonSchema, Debug)]
pub struct AssessmentJson {
    /// `nothing-found`, `check`, `fix` or `stop`.
    verdict: &'static str,
    findings: Vec<FindingJson>,
    /// In the order of the job.
    circuits: Vec<CircuitJson>,
    /// In the order of the job.
    supplies: Vec<SupplyJson>,
}

/// One finding.
#[derive(Serialize, JsonSchema, Debug)]
pub struct FindingJson {
    /// `stop`, `fix`, `check` or `note`.
    severity: &'static str,
    /// A circuit's tag, a module's id, or `job`.
    #[serde(rename = "where")]
    place: String,
    /// In kebab-case; never changed once shipped.
    code: &'static str,
    text: String,
    remedy: String,
}

/// One circuit.
#[derive(Serialize, JsonSchema, Debug)]
pub struct CircuitJson {
    tag: String,
    input: Option<String>,
    mode: Option<String>,
    /// Whether the network was inferred from readings.
    inferred: bool,
    /// Why nothing could be computed of the input's reading.
    why: Option<String>,
    states: Vec<StateJson>,
    faults: Vec<FaultJson>,
    coverage: CoverageJson,
    masking: MaskingJson,
    remedies: Vec<RemedyJson>,
    /// A two-wire smoke circuit under power; null for others, and where the mode's source is not known.
    smoke: Option<SmokeJson>,
}

/// Two ends in ohms; null is infinite.
#[derive(Serialize, JsonSchema, Debug, Clone, Copy)]
pub struct BoundsJson {
    lo: Option<f64>,
    hi: Option<f64>,
}

/// One state.
#[derive(Serialize, JsonSchema, Debug)]
pub struct StateJson {
    /// Contacts that are not at rest, sorted; empty is rest.
    active: Vec<String>,
    /// At the input's terminals.
    ohms: BoundsJson,
    band: Option<String>,
    means: Option<&'static str>,
    slack: SlackJson,
    ok: Option<bool>,
    /// What the job's meter shows, the pair off its terminals.
    meter: MeterJson,
}

/// Ohms to the band's sure edges; null where there is none.
#[derive(Serialize, JsonSchema, Debug)]
pub struct SlackJson {
    below: Option<f64>,
    above: Option<f64>,
}

/// What a meter shows; null is over range.
#[derive(Serialize, JsonSchema, Debug)]
pub struct MeterJson {
    /// With powered detectors fed.
    fed: BoundsJson,
    /// With their supply off; null where that changes nothing.
    unfed: Option<BoundsJson>,
    /// `fed` in words.
    shows: String,
}

/// One fault.
#[derive(Serialize, JsonSchema, Debug)]
pub struct FaultJson {
    fault: &'static str,
    #[serde(rename = "where")]
    place: String,
    /// `live`, `return` or `both` where the leg matters.
    leg: Option<&'static str>,
    /// At rest, over the sizes of the class.
    ohms: BoundsJson,
    sizes: Option<BoundsJson>,
    band: Option<String>,
    announced_as: Option<&'static str>,
    /// `announced`, `silent_safe`, `silent_dangerous` or `test_only`.
    class: &'static str,
    /// Whose alarm is lost.
    endangers: Option<String>,
}

/// How many faults of each class.
#[derive(Serialize, JsonSchema, Debug, Clone, Copy)]
pub struct CoverageJson {
    total: usize,
    announced: usize,
    silent_safe: usize,
    silent_dangerous: usize,
    test_only: usize,
}

/// Whether some set of active contacts may read normal.
#[derive(Serialize, JsonSchema, Debug)]
pub struct MaskingJson {
    possible: bool,
    /// The smallest sets, at most ten.
    examples: Vec<Vec<String>>,
    complete: bool,
}

/// One remedy.
#[derive(Serialize, JsonSchema, Debug)]
pub struct RemedyJson {
    /// `mode`, `value`, `adapter`, `move` or `split`.
    kind: &'static str,
    text: String,
    minutes: f64,
    series_ohm: Option<f64>,
    across_ohm: Option<f64>,
    /// New resistors that it takes.
    resistors_ohm: Vec<f64>,
    coverage: CoverageJson,
    hides: Vec<HiddenJson>,
    /// The circuit as it shall be, where its network changes.
    network: Option<String>,
    /// The mode to set, where it changes.
    mode: Option<String>,
}

/// A fault that a remedy hides.
#[derive(Serialize, JsonSchema, Debug)]
pub struct HiddenJson {
    fault: &'static str,
    #[serde(rename = "where")]
    place: String,
}

/// What every command prints at exit 2.
#[derive(Serialize, JsonSchema, Debug)]
pub struct ErrorsJson {
    /// Everything that is wrong with the input.
    pub errors: Vec<ErrorJson>,
}

/// One thing that is wrong with the input.
#[derive(Serialize, JsonSchema, Debug)]
pub struct ErrorJson {
    /// The file as it was named.
    pub file: String,
    /// From 1.
    pub line: usize,
    /// From 1, in characters.
    pub column: usize,
    /// What is wrong.
    pub text: String,
    /// What would be accepted.
    pub accept: String,
}

impl AssessmentJson {
    /// The twin of an assessment; `all` lists announced faults too.
    #[must_use]
    pub fn new(assessment: &Assessment, all: bool) -> Self {
        let findings = assessment.findings.iter().map(FindingJson::new);
        Self {
            verdict: assessment.verdict.map_or("nothing-found", Severity::word),
            findings: findings.collect(),
            circuits: assessment.circuits.iter().map(|result| CircuitJson::new(result, all)).collect(),
            supplies: assessment.supplies.iter().map(SupplyJson::new).collect(),
        }
    }

    /// The JSON Schema of `assess --json`.
    #[must_use]
    pub fn schema() -> serde_json::Value {
        schemars::schema_for!(Self).to_value()
    }
}

impl ErrorsJson {
    /// The JSON Schema of what is printed at exit 2.
    #[must_use]
    pub fn schema() -> serde_json::Value {
        schemars::schema_for!(Self).to_value()
    }
}

impl FindingJson {
    /// The twin of a finding.
    #[must_use]
    pub fn new(finding: &job::Finding) -> Self {
        Self {
            severity: finding.severity.word(),
            place: finding.place.clone(),
            code: finding.code,
            text: finding.text.clone(),
            remedy: finding.remedy.clone(),
        }
    }
}

impl CircuitJson {
    fn new(result: &CircuitResult, all: bool) -> Self {
        let circuit = result.circuit;
        let mut json = Self {
            tag: circuit.tag.value.clone(),
            input: circuit.input.as_ref().map(|input| format!("{}.{}", input.module, input.number)),
            mode: result.mode.map(|mode| mode.id.clone()),
            inferred: circuit.inferred,
            why: result.why.map(str::to_owned),
            states: Vec::new(),
            faults: Vec::new(),
            coverage: coverage(circuit::Coverage::default()),
            masking: MaskingJson { possible: false, examples: Vec::new(), complete: true },
            remedies: Vec::new(),
            smoke: result.smoke.as_ref().map(SmokeJson::new),
        };
        let (Some(network), Some(study)) = (&circuit.network, &result.study) else { return json };
        let states = study.states.iter().zip(&study.meter);
        json.states = states.map(|(state, meter)| state_json(result, network, study, state, meter)).collect();
        json.faults = study
            .faults
            .iter()
            .filter(|fault| all || fault.class != circuit::Class::Announced)
            .map(|fault| fault_json(result, network, fault))
            .collect();
        json.coverage = coverage(study.coverage);
        let examples = study.masking.examples.iter().map(|set| labels(network, set)).collect();
        json.masking =
            MaskingJson { possible: study.masking.possible, examples, complete: study.masking.complete };
        json.remedies = study.remedies.iter().map(|remedy| remedy_json(result, remedy)).collect();
        json
    }
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

fn bounds(bounds: Bounds) -> BoundsJson {
    BoundsJson { lo: finite(bounds.lo), hi: finite(bounds.hi) }
}

fn display(shown: MeterDisplay) -> BoundsJson {
    BoundsJson { lo: shown.lo.map(|ohms| ohms.0), hi: shown.hi.map(|ohms| ohms.0) }
}

fn labels(network: &Network, set: &[usize]) -> Vec<String> {
    let mut labels: Vec<String> = set.iter().map(|&contact| network.contacts()[contact].label()).collect();
    labels.sort();
    labels
}

fn band(result: &CircuitResult, band: Option<usize>) -> Option<String> {
    Some(result.mode?.bands[band?].name.clone())
}

fn state_json(
    result: &CircuitResult,
    network: &Network,
    study: &Study,
    state: &State,
    meter: &MeterRow,
) -> StateJson {
    StateJson {
        active: labels(network, &state.active),
        ohms: bounds(state.ohms),
        band: band(result, state.band),
        means: state.band.map(|band| study.means[band].word()),
        slack: SlackJson { below: state.slack.below, above: state.slack.above },
        ok: state.ok,
        meter: MeterJson {
            fed: display(meter.fed),
            unfed: meter.unfed.map(display),
            shows: meter.fed.shown(),
        },
    }
}

fn fault_json(result: &CircuitResult, network: &Network, fault: &Fault) -> FaultJson {
    FaultJson {
        fault: fault.kind.word(),
        place: circuit::fault_place(network, fault),
        leg: fault.leg.map(circuit::Leg::word),
        ohms: bounds(fault.ohms),
        sizes: fault.sizes.map(bounds),
        band: band(result, fault.band),
        announced_as: fault.announced_as.map(network::Meaning::word),
        class: fault.class.word(),
        endangers: fault.endangers.map(|raiser| match raiser {
            circuit::Raiser::Contact(contact) => network.contacts()[contact].label(),
            circuit::Raiser::Smoke(element) => circuit::element_name(network, element),
        }),
    }
}

fn coverage(coverage: circuit::Coverage) -> CoverageJson {
    CoverageJson {
        total: coverage.total(),
        announced: coverage.announced,
        silent_safe: coverage.silent_safe,
        silent_dangerous: coverage.silent_dangerous,
        test_only: coverage.test_only,
    }
}

fn remedy_json(result: &CircuitResult, remedy: &Remedy) -> RemedyJson {
    let hides = remedy.hides.iter();
    RemedyJson {
        kind: remedy.kind.word(),
        text: remedy.text.clone(),
        minutes: remedy.minutes.0,
        series_ohm: remedy.series.map(|ohms| ohms.0),
        across_ohm: remedy.across.map(|ohms| ohms.0),
        resistors_ohm: remedy.resistors.iter().map(|ohms| ohms.0).collect(),
        coverage: coverage(remedy.coverage),
        hides: hides
            .map(|hidden| HiddenJson { fault: hidden.kind.word(), place: hidden.place.clone() })
            .collect(),
        network: remedy.network.as_ref().map(Network::written),
        mode: remedy.mode_id.clone().filter(|id| result.mode.is_none_or(|mode| mode.id != *id)),
    }
}
