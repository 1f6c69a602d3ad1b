//! Remedies: what to change so that the input reads the circuit right, each proven by the same engine.

use job::{Circuit, Duty};
use library::{Earth, Mode, ModuleProfile};
use network::{Element, Network, Part, Piece, Sketch};
use quantity::preferred::{Series, nearest};
use quantity::{Minutes, Ohms, Written};

use crate::Setting;
use crate::adapter::adapters;
use crate::common::Lift;
use crate::fault::{Class, Coverage, Fault, FaultKind};
use crate::judge::{judged, raisers};
use crate::masking::masking;
use crate::model::Model;
use crate::place::Leg;
use crate::rewire::{
    at_end, can_raise, has_smoke, home_runs, names, replaced, resistor_value, resistors, taken_out, with_end,
    without_end, without_end_resistors,
};
use crate::sense::Sense;
use crate::state::{State, states};
use crate::value::values;

/// Minutes of work, common practice from the trade's own rough table (from memory): a resistor found and
/// changed at a device 15 to 30, one put in at the panel 3 to 5, a pair landed 3 to 5, a mode set 2.
const AT_DEVICE: f64 = 20.0;
const AT_PANEL: f64 = 4.0;
const SET_MODE: f64 = 2.0;

/// Resistors that are tried elsewhere or taken out, from the terminals outwards: where there are more, the
/// wiring is no line with a resistor.
const MAX_MOVED: usize = 4;

/// What kind of change a remedy is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum RemedyKind {
    /// The module set to another mode.
    Mode,
    /// Another resistor at the end.
    Value,
    /// Resistors at the module's terminals.
    Adapter,
    /// The resistor moved to the end, or one taken out.
    Move,
    /// Home runs that meet in the box, each on an input of its own.
    Split,
}

impl RemedyKind {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Mode => "mode",
            Self::Value => "value",
            Self::Adapter => "adapter",
            Self::Move => "move",
            Self::Split => "split",
        }
    }
}

/// A change that was proven to make every state read right.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// What kind of change.
    pub kind: RemedyKind,
    /// What to do, in a sentence.
    pub text: String,
    /// Working time, access counted.
    pub minutes: Minutes,
    /// An adapter's resistor in line.
    pub series: Option<Ohms>,
    /// An adapter's resistor across.
    pub across: Option<Ohms>,
    /// Resistors that it takes, new ones: those of the circuit that are moved are not among them.
    pub resistors: Vec<Ohms>,
    /// Places away from the panel at which a resistor is put in, changed or taken out.
    pub at_devices: usize,
    /// The same at the module's terminals.
    pub at_panel: usize,
    /// Faults by class, once it is done.
    pub coverage: Coverage,
    /// Hard faults that still hide an alarm silently, once it is done.
    pub hard: usize,
    /// What the mode's own resistor at the end would show or leave safe and this hides dangerously.
    pub hides: Vec<Hidden>,
    /// The circuit as it shall be, where its own network changes.
    pub network: Option<Network>,
    /// The id of the mode to set, where it changes.
    pub mode_id: Option<String>,
}

/// A fault that a remedy hides.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hidden {
    /// What goes wrong.
    pub kind: FaultKind,
    /// Where, in words.
    pub place: String,
}

/// The input that a circuit is on.
#[derive(Clone, Copy)]
pub struct Fit<'a> {
    /// The module's profile.
    pub profile: &'a ModuleProfile,
    /// The mode in use, as a place in the profile's list.
    pub mode: usize,
    /// The input's number.
    pub input: u16,
    /// Inputs of the module that nothing is on.
    pub free_inputs: usize,
    /// What each mode would do to the circuits of the module; empty where each input has its own.
    pub by_mode: &'a [ModeCount],
    /// What other currents in a shared common add.
    pub lift: Lift,
    /// Whether it shares its common with others.
    pub shares: bool,
}

/// What a mode would do to the circuits of a module.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct ModeCount {
    /// How many of them fit it.
    pub right: usize,
    /// Whether every circuit that fits the mode in use fits this one too.
    pub keeps: bool,
}

impl<'a> Fit<'a> {
    /// The mode in use.
    #[must_use]
    pub fn mode(&self) -> &'a Mode {
        &self.profile.modes[self.mode]
    }

    fn earth(&self) -> Earth {
        self.profile.earth
    }
}

/// What is wrong with a circuit as it is.
pub(crate) struct Need {
    /// Faults that are there or not and that hide an alarm.
    pub(crate) hard: usize,
    /// Whether every state reads right and nothing masks.
    pub(crate) reads_right: bool,
}

/// Hard faults that hide an alarm silently.
pub(crate) fn hard(faults: &[Fault]) -> usize {
    faults.iter().filter(|fault| fault.class == Class::SilentDangerous && fault.kind.is_hard()).count()
}

/// All remedies that are proven, best first.
pub(crate) fn remedies(
    setting: &Setting,
    circuit: &Circuit,
    network: &Network,
    fit: &Fit,
    model: &Model,
    found: &[State],
    need: &Need,
) -> Vec<Remedy> {
    let search = Search { setting, circuit, network, fit, need };
    let mut all = Vec::new();
    search.modes(&mut all);
    search.values(&mut all);
    search.moves(&mut all);
    search.adapters(model, found, &mut all);
    search.splits(&mut all);
    all.sort_by(|one, other| {
        let rank = |remedy: &Remedy| (!remedy.hides.is_empty(), remedy.hard);
        let minutes = one.minutes.0.total_cmp(&other.minutes.0);
        rank(one).cmp(&rank(other)).then(minutes).then(one.resistors.len().cmp(&other.resistors.len()))
    });
    all
}

struct Search<'a> {
    setting: &'a Setting<'a>,
    circuit: &'a Circuit,
    network: &'a Network,
    fit: &'a Fit<'a>,
    need: &'a Need,
}

impl Search<'_> {
    /// The faults of a changed circuit, if every state of it reads right and nothing masks.
    fn proof(&self, network: &Network, mode: &Mode) -> Option<Vec<Fault>> {
        if !may_use(self.setting, self.circuit, network, mode, self.fit.input) {
            return None;
        }
        let sense = Sense::new(self.circuit, network, mode);
        let values = values(self.setting, self.circuit, network);
        let model = Model::new(network, values, Some(sense), self.fit.lift);
        let all_right = states(&model).iter().all(|state| state.ok == Some(true));
        if !all_right || masking(&model).possible {
            return None;
        }
        let raisers = raisers(&model);
        let faults = judged(self.setting, self.circuit, &model, self.fit.earth(), self.fit.shares, &raisers);
        let better = !self.need.reads_right || hard(&faults) < self.need.hard;
        better.then_some(faults)
    }

    fn remedy(
        &self,
        kind: RemedyKind,
        text: String,
        minutes: f64,
        faults: &[Fault],
        changed: &Network,
    ) -> Remedy {
        Remedy {
            kind,
            text,
            minutes: Minutes(minutes),
            series: None,
            across: None,
            resistors: Vec::new(),
            at_devices: 0,
            at_panel: 0,
            coverage: Coverage::of(faults),
            hard: hard(faults),
            hides: self.hidden(self.fit.mode(), faults, changed, kind == RemedyKind::Adapter),
            network: Some(changed.clone()),
            mode_id: None,
        }
    }

    /// What the mode's own resistor at the end would show or leave safe and these faults hide dangerously.
    fn hidden(&self, mode: &Mode, faults: &[Fault], changed: &Network, adapter: bool) -> Vec<Hidden> {
        let dangerous: Vec<&Fault> =
            faults.iter().filter(|fault| fault.class == Class::SilentDangerous).collect();
        if dangerous.is_empty() {
            return Vec::new();
        }
        let Some(eol) = own_resistor(mode) else { return Vec::new() };
        let stripped = without_end_resistors(self.network.sketch());
        let Some(ideal) = Network::from_sketch(with_end(stripped, Element::resistor(eol))) else {
            return Vec::new();
        };
        let sense = Sense::new(self.circuit, &ideal, mode);
        let model =
            Model::new(&ideal, values(self.setting, self.circuit, &ideal), Some(sense), self.fit.lift);
        let reads_right = states(&model).iter().all(|state| state.ok == Some(true));
        if !reads_right {
            // Without a circuit that would show its faults there is nothing to compare with.
            return Vec::new();
        }
        let raisers = raisers(&model);
        let best = judged(self.setting, self.circuit, &model, self.fit.earth(), self.fit.shares, &raisers);
        let good: std::collections::BTreeSet<(FaultKind, Option<Leg>, String)> = best
            .iter()
            .filter(|fault| matches!(fault.class, Class::Announced | Class::SilentSafe))
            .map(|fault| (fault.kind, fault.leg, fault.place.words(&ideal)))
            .collect();
        let mut hidden = Vec::new();
        for fault in dangerous {
            let place = fault.place.words(changed);
            // Behind an adapter the field begins, where it would begin at the terminals without one.
            let behind_adapter =
                adapter && (place.starts_with("after the ") || place.starts_with("between the "));
            let like = if behind_adapter { "at the terminals" } else { &place };
            if good.contains(&(fault.kind, fault.leg, like.to_owned())) {
                hidden.push(Hidden { kind: fault.kind, place });
            }
        }
        hidden.dedup();
        hidden
    }

    fn modes(&self, all: &mut Vec<Remedy>) {
        for (at, mode) in self.fit.profile.modes.iter().enumerate() {
            let by_mode = self.fit.by_mode;
            if at == self.fit.mode || by_mode.get(at).is_some_and(|mode| !mode.keeps) {
                continue;
            }
            let Some(faults) = self.proof(self.network, mode) else { continue };
            let text = match by_mode.get(at).zip(by_mode.get(self.fit.mode)) {
                Some((then, now)) => format!(
                    "Set the module to mode {}: {} of its circuits then read right, {} do now, and none is lost.",
                    mode.id, then.right, now.right
                ),
                None => format!("Set this input to mode {}.", mode.id),
            };
            all.push(Remedy {
                hides: self.hidden(mode, &faults, self.network, false),
                network: None,
                mode_id: Some(mode.id.clone()),
                ..self.remedy(RemedyKind::Mode, text, SET_MODE, &faults, self.network)
            });
        }
    }

    /// The mode's own resistor in the place of the one at the end, of all, or where there is none.
    fn values(&self, all: &mut Vec<Remedy>) {
        let Some(eol) = own_resistor(self.fit.mode()) else { return };
        if !can_raise(self.network) {
            return;
        }
        let resistors = resistors(self.network);
        let written = eol.written();
        let end = self.end_minutes();
        let mut push = |sketch: Sketch, text: String, parts: usize| {
            let Some(changed) = Network::from_sketch(sketch) else { return };
            let Some(faults) = self.proof(&changed, self.fit.mode()) else { return };
            let work = AT_DEVICE * parts as f64 + end;
            let remedy = self.remedy(RemedyKind::Value, text, work, &faults, &changed);
            all.push(Remedy { resistors: vec![eol; parts], at_devices: parts, ..remedy });
        };
        match resistors.as_slice() {
            [] => {
                let sketch = without_end(self.network.sketch().clone());
                let text = match taken_out(self.network.sketch(), &[&sketch]) {
                    Some(old) => format!("Take out {old} and put {written} at the end of the line."),
                    None => format!("Put {written} at the end of the line."),
                };
                push(with_end(sketch, Element::resistor(eol)), text, 1);
            }
            [.., last] => {
                if resistor_value(self.network, *last) != Some(eol) {
                    let seat = if at_end(self.network) { "at the end" } else { "where it is" };
                    let text = format!("Change the resistor {seat} to {written}.");
                    push(replaced(self.network, &[*last], eol), text, 1);
                }
                if resistors.len() > 1 {
                    let text = format!("Change all {} resistors to {written}.", resistors.len());
                    push(replaced(self.network, &resistors, eol), text, resistors.len());
                }
            }
        }
    }

    /// A resistor that stands before the end moved to the end, or taken out.
    fn moves(&self, all: &mut Vec<Remedy>) {
        let sketch = self.network.sketch();
        let last = sketch.len() - 1;
        let alone = sketch.pieces().enumerate().filter_map(|(at, (piece, _))| match piece {
            Piece::Element(element) => Some((at, element)),
            Piece::Bracket(_) => None,
        });
        let resistors_alone = alone.filter(|(_, element)| matches!(element.part, Part::Resistor { .. }));
        for (at, element) in resistors_alone.take(MAX_MOVED) {
            let Part::Resistor { nominal, .. } = element.part else { continue };
            let Some(rest) = sketch.clone().without(at) else { continue };
            let seat = if at == 0 { "at the terminals" } else { "on the way" };
            let value = nominal.written();
            if resistors(self.network).len() > 1 && at < last {
                let text = format!("Take out the {value} {seat}.");
                let minutes = if at == 0 { AT_PANEL } else { AT_DEVICE };
                self.push_move(rest.clone(), text, minutes, None, all);
            }
            if at == last {
                continue;
            }
            let minutes = AT_DEVICE + self.end_minutes();
            let rest = without_end(rest);
            let moved = with_end(rest.clone(), Element { part: element.part.clone(), returns: false });
            let old = taken_out(sketch, &[&rest]);
            let moves = format!("ove the {value} from where it is ({seat}) to the end of the line.");
            let text = match &old {
                Some(old) => format!("Take out {old} and m{moves}"),
                None => format!("M{moves}"),
            };
            self.push_move(moved, text, minutes, None, all);
            if let Some(eol) = own_resistor(self.fit.mode()).filter(|&eol| eol != nominal) {
                let old = old.map_or(String::new(), |old| format!(" and {old}"));
                let eol_value = eol.written();
                let text =
                    format!("Take out the {value} {seat}{old} and put {eol_value} at the end of the line.");
                self.push_move(with_end(rest, Element::resistor(eol)), text, minutes, Some(eol), all);
            }
        }
    }

    fn push_move(
        &self,
        sketch: Sketch,
        text: String,
        minutes: f64,
        new: Option<Ohms>,
        all: &mut Vec<Remedy>,
    ) {
        let Some(changed) = Network::from_sketch(sketch) else { return };
        if let Some(faults) = self.proof(&changed, self.fit.mode()) {
            let remedy = self.remedy(RemedyKind::Move, text, minutes, &faults, &changed);
            let at_panel = usize::from(minutes < AT_DEVICE);
            let resistors = new.into_iter().collect();
            all.push(Remedy { resistors, at_devices: 1 - at_panel, at_panel, ..remedy });
        }
    }

    /// Never for two-wire smoke detectors: an adapter changes their current and their listing.
    fn adapters(&self, model: &Model, found: &[State], all: &mut Vec<Remedy>) {
        let Some(sense) = model.sense.as_ref().filter(|sense| !sense.learns()) else { return };
        let polarised = has_smoke(self.network) || self.circuit.duty == Some(Duty::Sounder);
        if self.need.reads_right || polarised || self.network.contacts().is_empty() {
            return;
        }
        let tolerance = self.setting.job.assume.resistor_tolerance;
        for adapter in adapters(model, sense, found, tolerance) {
            let Some(changed) = Network::from_sketch(adapter.before(self.network.sketch())) else { continue };
            let Some(faults) = self.proof(&changed, self.fit.mode()) else { continue };
            let remedy = self.remedy(RemedyKind::Adapter, adapter.text(), AT_PANEL, &faults, &changed);
            let resistors = adapter.series.into_iter().chain(adapter.across).collect();
            all.push(Remedy {
                series: adapter.series,
                across: adapter.across,
                resistors,
                at_panel: 1,
                ..remedy
            });
        }
    }

    /// Home runs that are joined in the box, each on an input of its own with the mode's resistor at its end.
    fn splits(&self, all: &mut Vec<Remedy>) {
        let Some(eol) = own_resistor(self.fit.mode()) else { return };
        let Some(runs) = home_runs(self.network.sketch()) else { return };
        if runs.len() - 1 > self.fit.free_inputs {
            return;
        }
        let mut faults = Vec::new();
        let mut hides = Vec::new();
        let mut minutes = 0.0;
        for run in &runs {
            let ended = with_end(run.clone(), Element::resistor(eol));
            let Some(network) = Network::from_sketch(ended) else { return };
            let Some(own) = self.proof(&network, self.fit.mode()) else { return };
            hides.extend(self.hidden(self.fit.mode(), &own, &network, false));
            faults.extend(own);
            minutes +=
                AT_DEVICE + AT_PANEL + names(run).iter().map(|name| self.access(name)).fold(0.0, f64::max);
        }
        let old = taken_out(self.network.sketch(), &runs.iter().collect::<Vec<_>>());
        let old = old.map_or(String::new(), |old| format!(" and {old}"));
        let text = format!(
            "Split the {} home runs over {} inputs, take out their old resistors{old}, and put {} at the end of each.",
            runs.len(),
            runs.len(),
            eol.written()
        );
        let remedy = self.remedy(RemedyKind::Split, text, minutes, &faults, self.network);
        let count = runs.len();
        let resistors = vec![eol; count];
        all.push(Remedy { hides, network: None, resistors, at_devices: count, at_panel: count, ..remedy });
    }

    /// Minutes to reach the far end: the last device of the text.
    fn end_minutes(&self) -> f64 {
        let last = self.network.elements().iter().rev().find_map(Element::name);
        last.map_or(0.0, |name| self.access(name))
    }

    fn access(&self, name: &str) -> f64 {
        self.setting.access_minutes(&self.circuit.tag, name)
    }
}

/// Whether a circuit may be read in a mode on an input at all, whatever its resistances: the two-wire smoke
/// listing, and a response that is fast enough for its detectors.
#[must_use]
pub fn may_use(setting: &Setting, circuit: &Circuit, network: &Network, mode: &Mode, input: u16) -> bool {
    let smoke =
        !has_smoke(network) || (mode.smoke_inputs.contains(&input) && smoke_reads(circuit, network, mode));
    smoke && crate::findings::too_slow(setting, circuit, network, mode).is_none()
}

/// Whether a band of the mode takes the alarm of the circuit's two-wire detectors for one.
fn smoke_reads(circuit: &Circuit, network: &Network, mode: &Mode) -> bool {
    Sense::new(circuit, network, mode).smoke_alarm().is_some()
}

/// The resistor that a mode wants at the end: its own, or the preferred value in the middle of what it
/// surely reads as normal.
fn own_resistor(mode: &Mode) -> Option<Ohms> {
    if mode.eol.is_some() {
        return mode.eol;
    }
    if matches!(mode.scale, library::Scale::ShareOfLearned { .. }) {
        let accepts = mode.accepts?;
        let middle = Ohms((accepts.lo().0 * accepts.hi().0).sqrt());
        return middle.is_finite().then(|| nearest(Series::E12, middle));
    }
    let normal = mode.bands.iter().position(|band| band.means == network::Meaning::Normal)?;
    let limits = mode.limits[normal];
    let middle = Ohms((limits.sure_lo * limits.sure_hi).sqrt());
    (limits.sure_lo > 0.0 && middle.is_finite()).then(|| nearest(Series::E12, middle))
}
