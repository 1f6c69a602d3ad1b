//! Adapters: one or two preferred-value resistors at the module's terminals, chosen by the room they leave.

use network::{Bounds, Element, Piece, Sign, Sketch};
use quantity::preferred::{Series, values};
use quantity::{Interval, Ohms, Ratio, Written};

use crate::masking::reached;
use crate::model::Model;
use crate::sense::Sense;
use crate::state::State;

/// Resistors that are tried.
const SMALLEST: Ohms = Ohms(100.0);
const LARGEST: Ohms = Ohms(100e3);
/// How many adapters of one shape are proven further.
const KEPT: usize = 2;

/// An adapter: across the pair, in line with it, or both.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Adapter {
    /// In line with the pair.
    pub series: Option<Ohms>,
    /// Across the pair.
    pub across: Option<Ohms>,
    /// With both: whether the resistor across stands at the terminals (otherwise at the pair).
    pub across_first: bool,
}

impl Adapter {
    /// The network with the adapter in front.
    #[must_use]
    pub(crate) fn before(self, field: &Sketch) -> Sketch {
        let series = self.series.map(|ohms| (ohms, Sign::InLine));
        let across = self.across.map(|ohms| (ohms, Sign::Across));
        // The last one put in front stands at the terminals.
        let order = if self.across_first { [series, across] } else { [across, series] };
        order.into_iter().flatten().fold(field.clone(), |sketch, (ohms, sign)| {
            sketch.behind(Piece::Element(Element::resistor(ohms)), sign)
        })
    }

    fn applied(self, field: Bounds, tolerance: Ratio) -> Bounds {
        let spread = |ohms: Ohms| Bounds::from(Interval::with_tolerance(ohms, tolerance));
        let in_line = |bounds: Bounds| self.series.map_or(bounds, |ohms| spread(ohms).in_line(bounds));
        let across = |bounds: Bounds| self.across.map_or(bounds, |ohms| spread(ohms).across(bounds));
        if self.across_first { across(in_line(field)) } else { in_line(across(field)) }
    }

    /// What to do, in a sentence.
    #[must_use]
    pub(crate) fn text(self) -> String {
        match (self.series, self.across) {
            (Some(series), Some(across)) => {
                let (first, second) =
                    if self.across_first { ("terminals", "pair") } else { ("pair", "terminals") };
                format!(
                    "Put {} across the {first} and {} in line at the {second}.",
                    across.written(),
                    series.written()
                )
            }
            (Some(series), None) => format!("Put {} in line at the module's terminals.", series.written()),
            (None, Some(across)) => format!("Put {} across the module's terminals.", across.written()),
            (None, None) => String::new(),
        }
    }
}

/// Adapters with which every state reads right and no set of contacts reads normal, those with the most room
/// first; two resistors only where one does not do.
pub(crate) fn adapters(model: &Model, sense: &Sense, states: &[State], tolerance: Ratio) -> Vec<Adapter> {
    let list: Vec<Ohms> = values(Series::E24, Interval::new(SMALLEST, LARGEST)).collect();
    let masks = reached(model, &[]).active;
    let room = |adapter: Adapter| room(model, sense, states, &masks, adapter, tolerance);
    let one = |series: Option<Ohms>, across: Option<Ohms>| Adapter { series, across, across_first: false };
    let mut found: Vec<Adapter> = Vec::new();
    found.extend(best(list.iter().map(|&ohms| one(None, Some(ohms))), &room));
    found.extend(best(list.iter().map(|&ohms| one(Some(ohms), None)), &room));
    if found.is_empty() {
        let pairs = list.iter().flat_map(|&series| {
            list.iter().flat_map(move |&across| {
                [false, true].map(|across_first| Adapter { across_first, ..one(Some(series), Some(across)) })
            })
        });
        found.extend(best(pairs, &room));
    }
    found
}

fn best(all: impl Iterator<Item = Adapter>, room: &impl Fn(Adapter) -> Option<f64>) -> Vec<Adapter> {
    let mut kept: Vec<(f64, Adapter)> = Vec::new();
    for adapter in all {
        if let Some(left) = room(adapter) {
            let at = kept.partition_point(|(other, _)| *other >= left);
            kept.insert(at, (left, adapter));
            kept.truncate(KEPT);
        }
    }
    kept.into_iter().map(|(_, adapter)| adapter).collect()
}

/// The least room to a band's edge over all states, as the logarithm of the share that a reading may still
/// move; none where a state reads wrong or a set of contacts may read normal.
fn room(
    model: &Model,
    sense: &Sense,
    states: &[State],
    masks: &[Bounds],
    adapter: Adapter,
    tolerance: Ratio,
) -> Option<f64> {
    let mut least = f64::INFINITY;
    for state in states {
        let reading = adapter.applied(state.ohms, tolerance);
        let band = sense.band(reading)?;
        if !sense.is_right(sense.means[band], model.raised(&state.active)) {
            return None;
        }
        let limits = sense.mode.limits[band];
        if limits.sure_lo > 0.0 {
            least = least.min(reading.lo / limits.sure_lo);
        }
        if limits.sure_hi.is_finite() {
            least = least.min(limits.sure_hi / reading.hi);
        }
    }
    let masked = masks.iter().any(|&bounds| sense.may_be_normal(adapter.applied(bounds, tolerance)));
    (!masked).then_some(least)
}
