//! How each module type in each mode would read each circuit, and what it would take: the circuit engine's word.

use std::collections::BTreeMap;

use circuit::{
    Fit, Remedy, RemedyKind, Seat, Setting, Study, findings, may_use, reads_right, state_words, study,
};
use job::{Circuit, Finding};
use library::{Mode, ModuleProfile, PanelProfile};
use network::{Network, Part};
use quantity::{Metres, Written};

use crate::answer::{has_to_change, within_mode};
use crate::assess::{panel_profile, powered};
use crate::commons::{Shared, commons};

/// What the engine needs to be asked about any circuit of the job.
pub(crate) struct Table<'a> {
    pub(crate) setting: Setting<'a>,
    shared: BTreeMap<usize, Shared>,
    panel: Option<&'a PanelProfile>,
}

/// One way in which an input reads a circuit right.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    /// Inputs that it takes.
    pub(crate) inputs: u16,
    /// What has to be done to the circuit; none where nothing has.
    pub(crate) remedy: Option<Remedy>,
    /// What is to be put right all the same, which what is done to it is not the cure of; none where nothing is.
    pub(crate) remains: Option<String>,
}

impl<'a> Table<'a> {
    pub(crate) fn new(setting: Setting<'a>) -> Self {
        let shared = commons(&setting, &mut Vec::new());
        let panel = panel_profile(&setting);
        Self { setting, shared, panel }
    }

    /// What the modules report to.
    pub(crate) fn panel(&self) -> Option<&'a PanelProfile> {
        self.panel
    }

    /// Circuits that share a core with this one.
    pub(crate) fn sharers(&self, at: usize) -> &[usize] {
        self.shared.get(&at).map_or(&[], |shared| &shared.others)
    }

    /// Every way in which a mode reads a circuit right.
    ///
    /// # Errors
    /// Why there is none, in words that go after "because".
    pub(crate) fn ways(
        &self,
        at: usize,
        network: &Network,
        profile: &ModuleProfile,
        mode: usize,
    ) -> Result<Vec<Way>, String> {
        let circuit = &self.setting.job.circuits[at];
        let fit = self.fit(at, network, profile, mode)?;
        self.may(circuit, network, &profile.modes[mode], fit.input)?;
        let study = study(&self.setting, circuit, network, Some(&fit));
        let unknown_source = has_smoke(network) && fit.mode().smoke.is_none();
        let must = self.must(circuit, network, &fit, &study);
        let remains = |changed: &Network| {
            let mut texts: Vec<String> =
                must.iter().filter(|of| !is_cured(of)).map(|of| of.text.clone()).collect();
            texts.extend(self.fed(circuit, changed, &fit));
            texts.extend(unknown_source.then(source_open));
            texts
        };
        let as_it_is = remains(network);
        let untouched = || Way { inputs: 1, remedy: None, remains: together(&as_it_is) };
        if study.written_right && must.is_empty() && as_it_is.is_empty() {
            return Ok(vec![untouched()]);
        }
        let is_split = |remedy: &&Remedy| remedy.kind == RemedyKind::Split;
        let split = within_mode(&study).find(is_split);
        // What hides a fault is not offered where something else does not; where a person has said which input, it is.
        let rank = |remedy: &Remedy| (!remedy.hides.is_empty(), remedy.hard);
        let single = within_mode(&study).find(|remedy| !is_split(remedy)).filter(|single| {
            circuit.input.is_some() || split.is_none_or(|split| rank(single) <= rank(split))
        });
        let cures: Vec<(&Remedy, Vec<String>)> = single
            .into_iter()
            .chain(split)
            .map(|remedy| (remedy, remains(remedy.network.as_ref().unwrap_or(network))))
            .collect();
        // A circuit that reads right gets no resistor that heals nothing.
        let in_vain = cures.iter().all(|(_, left)| left.len() >= as_it_is.len());
        if study.written_right && !must.iter().any(is_cured) && in_vain {
            return Ok(vec![untouched()]);
        }
        match cures.as_slice() {
            [] if study.written_right => {
                let uncured = must.iter().filter(|of| is_cured(of)).map(|of| of.text.clone());
                let texts: Vec<String> = uncured.chain(as_it_is).collect();
                Ok(vec![Way { inputs: 1, remedy: None, remains: together(&texts) }])
            }
            [] => Err(wrong(network, &study)),
            cures => Ok(cures.iter().map(|(remedy, left)| way(remedy, together(left))).collect()),
        }
    }

    /// Whether a way still holds when so much cable is put before the circuit.
    pub(crate) fn holds_longer(
        &self,
        at: usize,
        network: &Network,
        profile: &ModuleProfile,
        mode: usize,
        way: &Way,
        more: Metres,
    ) -> bool {
        let circuit = &self.setting.job.circuits[at];
        let changed = match &way.remedy {
            None => Some(network),
            Some(remedy) => remedy.network.as_ref(),
        };
        let longer = changed.and_then(|network| longer(network, more));
        longer.is_some_and(|longer| {
            let fit = self.fit(at, &longer, profile, mode);
            fit.is_ok_and(|fit| reads_right(&self.setting, circuit, &longer, &fit))
        })
    }

    fn fit<'p>(
        &self,
        at: usize,
        network: &Network,
        profile: &'p ModuleProfile,
        mode: usize,
    ) -> Result<Fit<'p>, String> {
        let of = &profile.modes[mode];
        let input = match (has_smoke(network), of.smoke_inputs.first()) {
            (true, None) => return Err(format!("mode {} has no input for two-wire smoke detectors", of.id)),
            (true, Some(input)) => *input,
            (false, _) => 1,
        };
        let shares = self.shared.get(&at);
        Ok(Fit {
            profile,
            mode,
            input,
            free_inputs: usize::from(profile.inputs).saturating_sub(1),
            by_mode: &[],
            lift: shares.map(|shares| shares.lift(of)).unwrap_or_default(),
            shares: shares.is_some_and(|shares| !shares.others.is_empty()),
        })
    }

    /// Smoke listing and response.
    fn may(&self, circuit: &Circuit, network: &Network, mode: &Mode, input: u16) -> Result<(), String> {
        if may_use(&self.setting, circuit, network, mode, input) {
            return Ok(());
        }
        let response = mode.response.map_or(String::new(), |response| format!(" of {}", response.written()));
        Err(match has_smoke(network) {
            true => format!("mode {} takes the alarm of its two-wire detectors for no alarm", mode.id),
            false => format!("the response{response} of mode {} is too slow for its detectors", mode.id),
        })
    }

    /// What is to be put right on an input, the law and what feeds two-wire detectors apart.
    fn must(&self, circuit: &Circuit, network: &Network, fit: &Fit, study: &Study) -> Vec<Finding> {
        let seat = Seat { module: "", fit: *fit, panel: self.panel };
        let mut found = findings(&self.setting, circuit, Some(network), Some(&seat), Some(study));
        found.retain(has_to_change);
        found
    }

    /// What is to be put right of what feeds its two-wire detectors, once its network is this one.
    fn fed(&self, circuit: &Circuit, network: &Network, fit: &Fit) -> Vec<String> {
        if !has_smoke(network) {
            return Vec::new();
        }
        let mut found = Vec::new();
        let changed = Circuit { network: Some(network.clone()), ..circuit.clone() };
        let _ = powered(&self.setting, &changed, Some(fit.mode()), &mut found);
        found.into_iter().filter(has_to_change).map(|finding| finding.text).collect()
    }
}

/// What the engine's remedies are looked for against: what the input reads, and what hides from it.
const CURED: [&str; 7] = [
    "rest-not-normal",
    "alarm-not-read",
    "alarm-reads-normal",
    "cannot-learn",
    "masking",
    "silent-danger",
    "tamper-reads-alarm",
];

fn is_cured(finding: &Finding) -> bool {
    CURED.contains(&finding.code)
}

/// All of it as one text; none of nothing.
fn together(texts: &[String]) -> Option<String> {
    (!texts.is_empty()).then(|| texts.join(" "))
}

/// What keeps a mode from being the first choice for two-wire detectors.
fn source_open() -> String {
    "What this mode feeds two-wire smoke detectors with nobody has typed in.".to_owned()
}

/// Whether two-wire smoke detectors live on it.
pub(crate) fn has_smoke(network: &Network) -> bool {
    network.elements().iter().any(|element| matches!(element.part, Part::Smoke(_)))
}

/// A circuit with so much cable before it.
pub(crate) fn longer(network: &Network, more: Metres) -> Option<Network> {
    Network::parse(&format!("wire:{}m - {}", more.0, network.written())).ok()
}

fn way(remedy: &Remedy, remains: Option<String>) -> Way {
    // A split takes a resistor for each of its home runs, and an input too.
    let inputs = match remedy.kind {
        RemedyKind::Split => u16::try_from(remedy.resistors.len()).unwrap_or(u16::MAX),
        _ => 1,
    };
    Way { inputs, remedy: Some(remedy.clone()), remains }
}

/// The first state that does not read what it should.
fn wrong(network: &Network, study: &Study) -> String {
    let state = study.states.iter().find(|state| state.ok != Some(true));
    match state {
        Some(state) => format!(
            "{} it does not read what it should, and nothing was found that cures it",
            state_words(network, &state.active)
        ),
        None if study.masking.possible => {
            "a set of active contacts may read as at rest, and nothing was found that cures it".to_owned()
        }
        None => "nothing was found that makes it read right".to_owned(),
    }
}
