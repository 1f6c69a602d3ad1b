//! The serialisable twins of a survey.

use ::identify::{
    Candidate, LeftOpen, Next, OldBoard, Pair, Survey, Task, before_leaving, for_and_against, plan, remarks,
    second_visit, title,
};
use schemars::JsonSchema;
use serde::Serialize;

use super::{BoundsJson, finite};

/// Candidates whose evidence is spelled out.
const SPELLED_OUT: usize = 3;

/// What `identify --json` prints.
#[derive(Serialize, JsonSchema, Debug)]
pub struct IdentifyJson {
    /// Every circuit with readings, in the order of the job.
    circuits: Vec<PairJson>,
    /// What the circuits have in common.
    building: BuildingJson,
    /// Old boards that were read while they worked.
    boards: Vec<BoardJson>,
    /// What is left to read, in the order in which to read it.
    plan: Vec<TaskJson>,
    /// What a second visit would be needed for.
    left: Vec<LeftJson>,
    /// What that visit would take, coming back included; 0 when nothing is left.
    second_visit_minutes: f64,
    /// Tags of circuits whose network was written into the job (--accept).
    accepted: Vec<String>,
}

/// One circuit.
#[derive(Serialize, JsonSchema, Debug)]
pub struct PairJson {
    tag: String,
    /// The first candidate has 0.95 or more, and something was tripped.
    settled: bool,
    /// The likeliest first, down to a sum of 0.99.
    candidates: Vec<CandidateJson>,
    /// What the listed ones leave.
    other: f64,
    /// Null when settled, or when no reading from here tells more.
    next: Option<NextJson>,
    /// Why its ohms are not used; null where they are.
    refused: Option<String>,
    /// Plain sentences: contradictions, what it looks like, a broken habit, shared cores.
    remarks: Vec<String>,
    /// The network that --accept would write; null when not settled.
    network: Option<String>,
}

/// One candidate.
#[derive(Serialize, JsonSchema, Debug)]
pub struct CandidateJson {
    /// A wiring class of `docs/format.md`, section 4.
    wiring: &'static str,
    /// Nominal values, in the order of the format.
    resistors_ohm: Vec<f64>,
    probability: f64,
    /// `near` (before the far device), `far`, `panel-and-field`, `unknown`, or `none` where there is no resistor.
    place: &'static str,
    /// Contacts that were told apart; null where no reading counts them.
    devices: Option<usize>,
    /// The wiring in words.
    title: &'static str,
    /// One sentence, of the first three candidates.
    #[serde(rename = "for")]
    speaks_for: Option<String>,
    /// One sentence, of the first three candidates; null when nothing speaks against it.
    against: Option<String>,
}

/// The reading to take next.
#[derive(Serialize, JsonSchema, Debug)]
pub struct NextJson {
    /// As in a reading; `volts` for volts at rest.
    when: &'static str,
    /// Whether powered detectors are fed first.
    fed: bool,
    /// About wiring and values.
    gain_bits: f64,
    minutes: f64,
    /// What to do, and what each outcome would mean.
    why: String,
}

/// What the circuits have in common.
#[derive(Serialize, JsonSchema, Debug)]
pub struct BuildingJson {
    /// The building's own resistor; null where none stands out.
    own_ohm: Option<f64>,
    own_probability: Option<f64>,
    /// How likely the instrument is three times worse than its data sheet says.
    instrument_worse: f64,
    /// Tags of circuits that carry another value than the building's own.
    breakers: Vec<String>,
}

/// An old board.
#[derive(Serialize, JsonSchema, Debug)]
pub struct BoardJson {
    enclosure: Option<String>,
    pull_up_ohm: BoundsJson,
    source_volts: BoundsJson,
    /// Field ohms by tag, where there is little doubt.
    field: Vec<FieldJson>,
}

/// Ohms behind a terminal.
#[derive(Serialize, JsonSchema, Debug)]
pub struct FieldJson {
    tag: String,
    ohms: BoundsJson,
}

/// One reading to take.
#[derive(Serialize, JsonSchema, Debug)]
pub struct TaskJson {
    /// `strip`, `walk` or `unsettled`.
    pass: &'static str,
    tag: String,
    place: String,
    when: &'static str,
    fed: bool,
    gain_bits: Option<f64>,
    minutes: f64,
    why: String,
}

/// One thing that is left.
#[derive(Serialize, JsonSchema, Debug)]
pub struct LeftJson {
    /// `not-reached`, `not-settled`, `not-carried`, `listing-not-seen` or `name-not-agreed`.
    left: &'static str,
    tag: String,
    text: String,
    minutes: f64,
}

impl IdentifyJson {
    /// The twin of a survey; `accepted` are the tags of circuits whose network was written.
    #[must_use]
    pub fn new(survey: &Survey, accepted: Vec<String>) -> Self {
        let left = before_leaving(survey);
        Self {
            circuits: survey.pairs.iter().map(|pair| pair_json(survey, pair)).collect(),
            building: building_json(survey),
            boards: survey.boards.iter().map(|board| board_json(survey, board)).collect(),
            plan: plan(survey).iter().map(|task| task_json(survey, task)).collect(),
            second_visit_minutes: second_visit(survey, &left).0,
            left: left.iter().map(|open| left_json(survey, open)).collect(),
            accepted,
        }
    }

    /// The JSON Schema of `identify --json`.
    #[must_use]
    pub fn schema() -> serde_json::Value {
        schemars::schema_for!(Self).to_value()
    }
}

fn tag(survey: &Survey, circuit: usize) -> String {
    survey.job.circuits[circuit].tag.value.clone()
}

fn pair_json(survey: &Survey, pair: &Pair) -> PairJson {
    let setting = &survey.setting;
    let listed = pair.ranking.listed();
    let candidates = listed.iter().enumerate().map(|(at, candidate)| {
        let spelled = (at < SPELLED_OUT).then(|| for_and_against(setting, &pair.evidence, candidate));
        candidate_json(survey, pair, candidate, spelled)
    });
    PairJson {
        tag: tag(survey, pair.circuit),
        settled: pair.ranking.settled,
        candidates: candidates.collect(),
        other: pair.ranking.other(),
        next: pair.next.as_ref().map(next_json),
        refused: pair.evidence.refusal().map(::identify::Refusal::text),
        remarks: remarks(survey, pair),
        network: ::identify::network_of(setting, survey.job, pair).map(|network| network.written()),
    }
}

fn candidate_json(
    survey: &Survey,
    pair: &Pair,
    candidate: &Candidate,
    spelled: Option<(String, String)>,
) -> CandidateJson {
    let (speaks_for, against) = spelled.map_or((None, None), |(speaks_for, against)| {
        (Some(speaks_for), Some(against).filter(|against| !against.is_empty()))
    });
    CandidateJson {
        wiring: candidate.wiring.word(),
        resistors_ohm: candidate.resistors.iter().map(|ohms| ohms.0).collect(),
        probability: candidate.probability,
        place: candidate.place.word(),
        devices: ::identify::devices(survey.job, pair, candidate),
        title: title(candidate.wiring),
        speaks_for,
        against,
    }
}

fn next_json(next: &Next) -> NextJson {
    NextJson {
        when: next.reading.act.word(),
        fed: next.reading.fed,
        gain_bits: next.reading.gain_bits,
        minutes: next.reading.minutes.0,
        why: next.why.clone(),
    }
}

fn building_json(survey: &Survey) -> BuildingJson {
    BuildingJson {
        own_ohm: survey.own.map(|(ohms, _)| ohms.0),
        own_probability: survey.own.map(|(_, probability)| probability),
        instrument_worse: survey.building.worse(),
        breakers: survey.breakers.iter().map(|breaker| tag(survey, breaker.circuit)).collect(),
    }
}

fn board_json(survey: &Survey, board: &OldBoard) -> BoardJson {
    let field = board.field.iter().map(|(circuit, ohms)| FieldJson {
        tag: tag(survey, *circuit),
        ohms: BoundsJson { lo: finite(ohms.lo().0), hi: finite(ohms.hi().0) },
    });
    BoardJson {
        enclosure: board.enclosure.clone(),
        pull_up_ohm: BoundsJson { lo: finite(board.pull_up.lo().0), hi: finite(board.pull_up.hi().0) },
        source_volts: BoundsJson { lo: finite(board.source.lo().0), hi: finite(board.source.hi().0) },
        field: field.collect(),
    }
}

fn task_json(survey: &Survey, task: &Task) -> TaskJson {
    TaskJson {
        pass: task.pass.word(),
        tag: tag(survey, task.circuit),
        place: task.place.clone(),
        when: task.act.word(),
        fed: task.fed,
        gain_bits: task.gain_bits,
        minutes: task.minutes.0,
        why: task.why.clone(),
    }
}

fn left_json(survey: &Survey, open: &LeftOpen) -> LeftJson {
    LeftJson {
        left: open.left.word(),
        tag: tag(survey, open.circuit),
        text: open.text.clone(),
        minutes: open.minutes.0,
    }
}
