//! One circuit in one condition, ready to be asked what any single fault does to it.

use network::{Bounds, Effect, End, Node};

use crate::cases::Past;
use crate::model::{Condition, Corner, Model};

/// A circuit in one condition at one corner: every subtree's resistance, and how the terminals follow it.
#[derive(Default)]
pub(crate) struct Scene {
    nodes: Vec<Bounds>,
    low: Vec<Effect>,
    high: Vec<Effect>,
    totals: Vec<Bounds>,
}

/// What a fault does to a piece of the circuit; `x` is the fault's size in ohms.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Act {
    /// `x` comes in line with the piece.
    InLine(Node),
    /// `x` comes across the piece.
    Across(Node),
    /// The piece becomes `x`.
    Becomes(Node),
    /// The piece's live end touches that of a like circuit at rest: both inputs feed both circuits, so each
    /// sees twice what the two are across one another.
    Shared(Node),
}

impl Scene {
    /// Computes the circuit in a condition at a corner, reusing what was allocated before.
    pub(crate) fn set(&mut self, model: &Model, corner: &Corner, condition: Condition) {
        self.set_with(model, corner, condition, None);
    }

    /// The same with one element of other bounds.
    pub(crate) fn set_with(
        &mut self,
        model: &Model,
        corner: &Corner,
        condition: Condition,
        changed: Option<(usize, Bounds)>,
    ) {
        let network = model.network;
        model.corner_totals(corner, condition, &mut self.totals);
        if let Some((element, bounds)) = changed {
            self.totals[element] = bounds;
        }
        network.all_bounds(&self.totals, &mut self.nodes);
        network.effects(&self.nodes, End::Low, &mut self.low);
        network.effects(&self.nodes, End::High, &mut self.high);
        let scale = corner.share(Bounds { lo: 1.0, hi: 1.0 });
        for effect in &mut self.low {
            *effect = effect.affine(scale.lo, 0.0);
        }
        for effect in &mut self.high {
            *effect = model.lift.applied_to(*effect).affine(scale.hi, 0.0);
        }
    }

    /// A subtree's resistance.
    pub(crate) fn node(&self, node: Node) -> Bounds {
        self.nodes[node.index()]
    }

    /// How the reading follows the size of a fault, at the low and at the high end of the tolerances.
    ///
    /// `at_rest` is the same circuit's piece at rest, for [`Act::Shared`].
    pub(crate) fn follows(&self, act: Act, at_rest: Option<&Self>) -> (Effect, Effect) {
        let ends = [(&self.low, End::Low), (&self.high, End::High)];
        let [low, high] = ends.map(|(effects, end)| match act {
            Act::InLine(node) => effects[node.index()].in_line_with(end.of(self.node(node))),
            Act::Across(node) => effects[node.index()].across_from(end.of(self.node(node))),
            Act::Becomes(node) => effects[node.index()],
            Act::Shared(node) => {
                let other = at_rest.unwrap_or(self).node(node);
                let both = network::parallel(end.of(self.node(node)), end.of(other));
                Effect::always(effects[node.index()].at(2.0 * both))
            }
        });
        (low, high)
    }

    /// How the reading follows `x` from one leg at a place to the input's own return terminal.
    pub(crate) fn follows_to_return(&self, past: &Past, on_return: bool) -> (Effect, Effect) {
        let at = past.whole.index();
        let [low, high] = [(&self.low, End::Low), (&self.high, End::High)].map(|(effects, end)| {
            let sum = |nodes: &[Node]| nodes.iter().map(|&node| end.of(self.node(node))).sum::<f64>();
            let [before, beyond, after] =
                [sum(&past.before), end.of(self.node(past.beyond)), sum(&past.after)];
            if on_return {
                effects[at].in_line_with(before + beyond).across_from(after)
            } else {
                effects[at].in_line_with(before).across_from(beyond + after)
            }
        });
        (low, high)
    }

    /// The reading as it is.
    pub(crate) fn reading(&self, root: Node) -> Bounds {
        let at = root.index();
        let node = self.nodes[at];
        Bounds { lo: self.low[at].at(node.lo), hi: self.high[at].at(node.hi) }
    }
}
