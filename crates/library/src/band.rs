//! Modes and their bands: what an input surely reads, and what it may read.
//!
//! Whatever the manual's edges are in (ohms, volts, percent of the source, percent of the learned value),
//! each edge becomes one-sided limits in ohms (or in shares of the learned value), so that the engine
//! compares plain numbers. `docs/format.md`, section 3, `Bands` and `Edges`; method 5 of the methods page:
//! `V = Vs R / (R + Rp)` rises with R and with Vs and falls with Rp, so the worst case of each edge is
//! exact although all edges ride on one source.

use network::Meaning;
use quantity::{Interval, Ohms, Ratio, Seconds, Volts};

/// When a mode learns what it finds at rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Learns {
    /// When told to.
    OnCommand,
    /// At every power-up.
    AtPowerUp,
}

/// What the edges of a mode are in.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Scale {
    /// Ohms at the terminals.
    Ohms,
    /// Volts across the terminals, fed from `source` through `pull_up`.
    Volts {
        /// Open-circuit volts, all that it can be.
        source: Interval<Volts>,
        /// The module's own resistor in line.
        pull_up: Interval<Ohms>,
    },
    /// A share of the source's volts; the source itself cancels.
    ShareOfSource {
        /// The module's own resistor in line.
        pull_up: Interval<Ohms>,
    },
    /// A share of the value that was learned at rest.
    ShareOfLearned {
        /// When it learns.
        learns: Learns,
    },
}

/// A band as the manual gives it: from the edge of the band before to its own.
#[derive(Clone, PartialEq, Debug)]
pub struct Band {
    /// Its name in the manual's order, as `short`, `rest`, `open`.
    pub name: String,
    /// Its upper edge in the mode's scale (ohms, volts or a share); none for the last.
    pub below: Option<f64>,
    /// What it means where nothing closer to the circuit says otherwise.
    pub means: Meaning,
}

/// What one band surely holds and may hold, in ohms, or in shares of the learned value.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Limits {
    /// A reading within these (both included) is surely read as this band.
    pub sure_lo: f64,
    /// See `sure_lo`.
    pub sure_hi: f64,
    /// A reading within these may be read as this band.
    pub may_lo: f64,
    /// See `may_lo`.
    pub may_hi: f64,
}

/// A way of reading that a module can be set to.
#[derive(Clone, Debug)]
pub struct Mode {
    /// Its id.
    pub id: String,
    /// The resistor that it wants at the end.
    pub eol: Option<Ohms>,
    /// What it may find at rest, where the manual says so.
    pub accepts: Option<Interval<Ohms>>,
    /// Conductors and joints, out and back; default 100 ohm.
    pub line_max: Ohms,
    /// How long a change must last to be read.
    pub response: Option<Seconds>,
    /// Inputs whose two-wire smoke listing holds in this mode.
    pub smoke_inputs: Vec<u16>,
    /// How far an edge may lie from where the manual says; default 0 %.
    pub edge_tolerance: Ratio,
    /// The input's own resistor and source, where the manual gives them (needed by edges in volts).
    pub pull_up: Option<Interval<Ohms>>,
    /// See `pull_up`.
    pub source: Option<Interval<Volts>>,
    /// The source of its two-wire smoke circuits, where the manual gives it.
    pub smoke: Option<crate::SmokeSource>,
    /// What the edges are in.
    pub scale: Scale,
    /// In rising order.
    pub bands: Vec<Band>,
    /// One for each band.
    pub limits: Vec<Limits>,
}

/// A mode whose bands cannot be read by any instrument.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{text}")]
pub struct BandError {
    /// The band, from 0.
    pub band: usize,
    /// What is wrong with it.
    pub text: String,
    /// What would be accepted.
    pub accept: String,
}

/// What each band surely holds and may hold.
///
/// An edge `e` with tolerance `t` lies anywhere from `e (1 - t)` to `e (1 + t)`: a band surely begins above
/// the upper of the two and may begin above the lower, and the other way round at its end.
///
/// # Errors
/// Bands that do not rise, an edge that the source's volts never reach, a band whose edges' tolerances meet.
/// Where source and pull-up leave nothing that surely reads as a band, the band stays and nothing ever does.
pub fn limits(scale: &Scale, tolerance: Ratio, bands: &[Band]) -> Result<Vec<Limits>, BandError> {
    let mut all = Vec::with_capacity(bands.len());
    let mut below: Option<f64> = None;
    for (at, band) in bands.iter().enumerate() {
        let wrong = |text: String, accept: &str| BandError { band: at, text, accept: accept.to_owned() };
        let last = at + 1 == bands.len();
        if band.below.is_none() != last {
            let text = format!("band `{}` has {} upper edge", band.name, if last { "an" } else { "no" });
            return Err(wrong(text, "`below` in every band but the last"));
        }
        if let (Some(edge), Some(before)) = (band.below, below)
            && edge <= before
        {
            let text = format!("band `{}` does not end above the band before it", band.name);
            return Err(wrong(text, "bands in rising order"));
        }
        if band.below.is_some_and(|edge| !edge.is_finite() || edge <= 0.0) {
            return Err(wrong(format!("band `{}` ends at nothing", band.name), "an edge above 0"));
        }
        if band.below.is_some_and(|edge| edge >= scale.most()) {
            let text = format!("band `{}` ends at or above the least volts of the source", band.name);
            return Err(wrong(text, "an edge below the source's least volts"));
        }
        let [from, to] = [below.unwrap_or(0.0), band.below.unwrap_or(f64::INFINITY)];
        if from * (1.0 + tolerance.0) > to * (1.0 - tolerance.0) {
            let text = format!("nothing surely reads as band `{}`: the tolerances meet inside it", band.name);
            return Err(wrong(text, "edges farther apart, or a smaller `edge_tolerance`"));
        }
        let mut limits = Limits {
            sure_lo: below.map_or(0.0, |edge| scale.surely_above(edge * (1.0 + tolerance.0))),
            sure_hi: band.below.map_or(f64::INFINITY, |edge| scale.surely_below(edge * (1.0 - tolerance.0))),
            may_lo: below.map_or(0.0, |edge| scale.maybe_above(edge * (1.0 - tolerance.0))),
            may_hi: band.below.map_or(f64::INFINITY, |edge| scale.maybe_below(edge * (1.0 + tolerance.0))),
        };
        if from * (1.0 + tolerance.0) > scale.most() {
            // Even an open circuit may stay below this edge: nothing is surely above it.
            limits.sure_hi = f64::NEG_INFINITY;
        }
        all.push(limits);
        below = band.below;
    }
    Ok(all)
}

impl Scale {
    /// Edges must stay below this.
    fn most(&self) -> f64 {
        match self {
            Self::Ohms | Self::ShareOfLearned { .. } => f64::INFINITY,
            Self::Volts { source, .. } => source.lo().0,
            Self::ShareOfSource { .. } => 1.0,
        }
    }

    /// The least ohms that surely read at or above `edge`: the weakest source, the largest pull-up.
    fn surely_above(&self, edge: f64) -> f64 {
        self.ohms_at(edge, |source| source.lo().0, |pull_up| pull_up.hi().0)
    }

    /// The most ohms that surely read at or below `edge`: the strongest source, the smallest pull-up.
    fn surely_below(&self, edge: f64) -> f64 {
        self.ohms_at(edge, |source| source.hi().0, |pull_up| pull_up.lo().0)
    }

    /// The least ohms that may read at or above `edge`.
    fn maybe_above(&self, edge: f64) -> f64 {
        self.surely_below(edge)
    }

    /// The most ohms that may read at or below `edge`.
    fn maybe_below(&self, edge: f64) -> f64 {
        self.surely_above(edge)
    }

    /// `V = Vs R / (R + Rp)` solved for R; infinite where even an open circuit stays below the edge.
    fn ohms_at(
        &self,
        edge: f64,
        source_end: fn(Interval<Volts>) -> f64,
        pull_up_end: fn(Interval<Ohms>) -> f64,
    ) -> f64 {
        let (share, pull_up) = match *self {
            Self::Ohms | Self::ShareOfLearned { .. } => return edge,
            Self::Volts { source, pull_up } => (edge / source_end(source), pull_up_end(pull_up)),
            Self::ShareOfSource { pull_up } => (edge, pull_up_end(pull_up)),
        };
        if share >= 1.0 { f64::INFINITY } else { pull_up * share / (1.0 - share) }
    }
}
