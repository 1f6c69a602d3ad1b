//! States: what the input reads with every contact at rest, with each alone active, with each pair.

use network::Bounds;

use crate::model::{Condition, Model};

/// Above so many contacts pairs are not listed; the search for masking covers them.
pub const MAX_PAIRED_CONTACTS: usize = 200;

/// One state of a circuit.
#[derive(Clone, PartialEq, Debug)]
pub struct State {
    /// The active contacts, as places in the network's list; empty at rest, at most two.
    pub active: Vec<usize>,
    /// Ohms at the input's terminals.
    pub ohms: Bounds,
    /// The same on the mode's scale.
    pub scaled: Bounds,
    /// The band that it surely is.
    pub band: Option<usize>,
    /// Whether the band means what it should; none where nothing could be computed.
    pub ok: Option<bool>,
    /// Ohms to the band's sure edge below and above; none where there is no such edge.
    pub slack: Slack,
}

/// How far a reading can still move before it leaves its band.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Slack {
    /// Ohms to the edge below.
    pub below: Option<f64>,
    /// Ohms to the edge above.
    pub above: Option<f64>,
}

/// Rest, each contact alone, each pair.
#[must_use]
pub(crate) fn states(model: &Model) -> Vec<State> {
    let contacts = model.network.contacts().len();
    let mut scratch = Vec::new();
    let learnable = model.can_learn(model.read(Condition::REST, &mut scratch));
    let mut sets = vec![Vec::new()];
    sets.extend((0..contacts).map(|contact| vec![contact]));
    if contacts <= MAX_PAIRED_CONTACTS {
        sets.extend((0..contacts).flat_map(|one| (one + 1..contacts).map(move |other| vec![one, other])));
    }
    sets.into_iter().map(|active| state(model, active, learnable, &mut scratch)).collect()
}

fn state(model: &Model, active: Vec<usize>, learnable: bool, scratch: &mut Vec<Bounds>) -> State {
    let reading = model.read(Condition::active(&active), scratch);
    let mut state = State {
        active,
        ohms: reading.ohms,
        scaled: reading.scaled,
        band: None,
        ok: None,
        slack: Slack::default(),
    };
    if let Some(sense) = &model.sense {
        state.band = if learnable { sense.band(reading.scaled) } else { None };
        let raised = model.raised(&state.active);
        state.ok = Some(state.band.is_some_and(|band| sense.is_right(sense.means[band], raised)));
        if let Some(band) = state.band {
            let limits = sense.mode.limits[band];
            state.slack = slack(model, reading.scaled, limits.sure_lo, limits.sure_hi);
        }
    }
    state
}

/// In ohms; on a scale of shares, the share times the learned value at its least.
fn slack(model: &Model, scaled: Bounds, lo: f64, hi: f64) -> Slack {
    let learned = model.corners().iter().map(|corner| corner.learned.lo).fold(f64::INFINITY, f64::min);
    let room = |more: f64| if more.is_finite() { Some((more * learned).max(0.0)) } else { None };
    Slack {
        below: if lo > 0.0 { room(scaled.lo - lo) } else { None },
        above: if hi.is_finite() { room(hi - scaled.hi) } else { None },
    }
}
