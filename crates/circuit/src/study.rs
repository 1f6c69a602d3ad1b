//! One circuit studied: states, masking, faults, remedies, what the meter must show.

use job::{Circuit, ResistorPlace};
use network::{Bounds, Network};
use quantity::{MeterDisplay, Ohms};

use crate::Setting;
use crate::fault::{Coverage, Fault};
use crate::findings::place_disagrees;
use crate::judge::{judged, raisers};
use crate::masking::{Masking, masking};
use crate::measured::{Misread, misread};
use crate::model::{Condition, Model};
use crate::remedy::{Fit, Need, Remedy, hard, remedies};
use crate::rewire::moved_to_panel;
use crate::sense::Sense;
use crate::state::{State, states};
use crate::value::values;

/// All that the engine finds out about one circuit.
#[derive(Clone, Debug)]
pub struct Study {
    /// Rest, each contact alone, each pair.
    pub states: Vec<State>,
    /// What a meter shows in each state, in the same order.
    pub meter: Vec<MeterRow>,
    /// Whether some set of active contacts may read normal.
    pub masking: Masking,
    /// Every single fault.
    pub faults: Vec<Fault>,
    /// How many of each class.
    pub coverage: Coverage,
    /// The same with the resistor where it was seen, where that is not where the network has it.
    pub elsewhere: Option<Coverage>,
    /// What can be changed, best first; empty where nothing needs to be.
    pub remedies: Vec<Remedy>,
    /// Conductors and joints from the terminals to the farthest element, at most.
    pub line: Ohms,
    /// What each band means to this circuit, in the mode's order; empty without a mode.
    pub means: Vec<network::Meaning>,
    /// Whether every state reads what it should and no set of contacts masks, as the network is written.
    pub written_right: bool,
    /// The same, and nothing that was measured or seen says otherwise.
    pub reads_right: bool,
    /// Trips as found that moved nothing.
    pub misread: Vec<Misread>,
    /// Whether a mode that learns can learn what it finds; true for others.
    pub can_learn: bool,
    /// Faults that are there or not and that hide an alarm silently.
    pub hard: usize,
}

/// What the meter of the job shows of one state, the pair off its terminals.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct MeterRow {
    /// With powered detectors fed.
    pub fed: MeterDisplay,
    /// With their supply off; none where that changes nothing, or where an unfed device would have to move.
    pub unfed: Option<MeterDisplay>,
    /// What is truly there with their supply on.
    pub truth: Bounds,
    /// What is truly there with their supply off; none as `unfed`.
    pub unfed_truth: Option<Bounds>,
    /// Whether the state has a powered device move, which without its supply it cannot.
    pub needs_supply: bool,
}

/// Makes a circuit ready for computing, on an input or not.
#[must_use]
pub fn model<'a>(
    setting: &Setting,
    circuit: &Circuit,
    network: &'a Network,
    fit: Option<&Fit<'a>>,
) -> Model<'a> {
    let sense = fit.map(|fit| Sense::new(circuit, network, fit.mode()));
    let lift = fit.map(|fit| fit.lift).unwrap_or_default();
    Model::new(network, values(setting, circuit, network), sense, lift)
}

/// Studies a circuit, on an input or not.
#[must_use]
pub fn study(setting: &Setting, circuit: &Circuit, network: &Network, fit: Option<&Fit>) -> Study {
    let model = model(setting, circuit, network, fit);
    let states = states(&model);
    let masking = masking(&model);
    let rest = model.reading(&[]);
    let can_learn = model.can_learn(rest);
    let faults = match fit {
        Some(fit) if can_learn => {
            let raisers = raisers(&model);
            judged(setting, circuit, &model, fit.profile.earth, fit.shares, &raisers)
        }
        _ => Vec::new(),
    };
    let written_right =
        fit.is_some() && !masking.possible && states.iter().all(|state| state.ok == Some(true));
    let need = Need { hard: hard(&faults), reads_right: written_right };
    let remedies = match fit {
        Some(fit) if !written_right || need.hard > 0 => {
            remedies(setting, circuit, network, fit, &model, &states, &need)
        }
        _ => Vec::new(),
    };
    let line: Vec<f64> = model.values.iter().map(|value| value.line).collect();
    let meter = meter(setting, &model, &states);
    let misread = misread(setting, circuit, &model, &states, &meter);
    let agrees = place_disagrees(circuit, network).is_none();
    let elsewhere = if agrees { None } else { elsewhere(setting, circuit, network, fit) };
    Study {
        reads_right: written_right && agrees && misread.is_empty(),
        elsewhere,
        written_right,
        misread,
        meter,
        coverage: Coverage::of(&faults),
        line: Ohms(network.longest_line(&line)),
        means: model.sense.as_ref().map(|sense| sense.means.clone()).unwrap_or_default(),
        hard: need.hard,
        states,
        masking,
        faults,
        remedies,
        can_learn,
    }
}

/// How faults show with the end resistor in the panel, where it was seen there.
fn elsewhere(setting: &Setting, circuit: &Circuit, network: &Network, fit: Option<&Fit>) -> Option<Coverage> {
    let moved = moved_to_panel(network).filter(|_| circuit.resistor_at == Some(ResistorPlace::Panel))?;
    let model = model(setting, circuit, &moved, fit);
    let fit = fit.filter(|_| model.can_learn(model.reading(&[])))?;
    let raisers = raisers(&model);
    Some(Coverage::of(&judged(setting, circuit, &model, fit.profile.earth, fit.shares, &raisers)))
}

/// Whether every state reads what it should and nothing masks: the short answer, for choosing a mode.
#[must_use]
pub fn reads_right(setting: &Setting, circuit: &Circuit, network: &Network, fit: &Fit) -> bool {
    let model = model(setting, circuit, network, Some(fit));
    states(&model).iter().all(|state| state.ok == Some(true)) && !masking(&model).possible
}

fn meter(setting: &Setting, model: &Model, states: &[State]) -> Vec<MeterRow> {
    let powered = model.powered_contacts();
    let shows = |bounds: Bounds| setting.job.meter.shows(bounds.interval());
    let row = |state: &State| {
        let moves_unfed = state.active.iter().any(|contact| powered.contains(contact));
        let unfed = (!powered.is_empty() && !moves_unfed).then(|| model.field(&state.active, &powered));
        let truth = model.field(&state.active, &[]);
        MeterRow {
            fed: shows(truth),
            unfed: unfed.map(shows),
            truth,
            unfed_truth: unfed,
            needs_supply: moves_unfed,
        }
    };
    states.iter().map(row).collect()
}

/// The least that the terminals of a circuit can show in any state: what takes most current from a shared
/// common.
#[must_use]
pub fn least(setting: &Setting, circuit: &Circuit, network: &Network) -> Ohms {
    let values = values(setting, circuit, network);
    let low = |value: &crate::value::Value| {
        let own = value.active.map_or(value.own, |active| active.hull(value.own));
        value.with(own)
    };
    let totals: Vec<Bounds> = values.iter().map(low).collect();
    Ohms(network.bounds(&totals).lo)
}

/// One leg of a circuit's first run of cable, at most: how much of it others can share.
#[must_use]
pub fn first_leg(setting: &Setting, circuit: &Circuit, network: &Network) -> Ohms {
    crate::value::first_leg(network, &values(setting, circuit, network))
}

/// The reading of a state on the mode's scale and in ohms, for the working that `explain` shows.
#[must_use]
pub fn reading(model: &Model, active: &[usize]) -> crate::model::Reading {
    model.read(Condition::active(active), &mut Vec::new())
}
