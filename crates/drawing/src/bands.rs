//! The band picture: where bands, their uncertain edges and readings lie on the scale.

use network::{Bounds, Meaning};
use quantity::Ohms;

use crate::Spot;

/// A band of an input as it is handed in.
#[derive(Clone, PartialEq, Debug)]
pub struct Band {
    /// Its name.
    pub name: String,
    /// What it means to the circuit.
    pub means: Meaning,
    /// What surely reads as this band, in ohms.
    pub sure: Bounds,
}

/// What surely reads as one band.
#[derive(Clone, PartialEq, Debug)]
pub struct Strip {
    /// Its name.
    pub name: String,
    /// What it means to the circuit.
    pub means: Meaning,
    /// Where it begins.
    pub from: Spot,
    /// Where it ends.
    pub to: Spot,
}

/// Between two bands: what the instrument's tolerance takes away; nothing wide where the edge is sharp.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Edge {
    /// Where the band below surely ends.
    pub from: Spot,
    /// Where the band above surely begins.
    pub to: Spot,
}

/// What a predicted reading is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum BarKind {
    /// Something active, read as it should be.
    Right,
    /// Everything at rest.
    Rest,
    /// Something active, read as something else.
    Wrong,
}

/// A predicted reading, as wide as its range.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Bar {
    /// What it is.
    pub kind: BarKind,
    /// Its least.
    pub from: Spot,
    /// Its most.
    pub to: Spot,
}

/// A measured reading: a plumb line with its value.
#[derive(Clone, PartialEq, Debug)]
pub struct Plumb {
    /// Where it hangs.
    pub at: Spot,
    /// The value as shown.
    pub value: String,
    /// Whether nothing was tripped.
    pub rest: bool,
}

/// One circuit's bands and readings, laid out.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct BandPicture {
    /// The bands, from left to right.
    pub strips: Vec<Strip>,
    /// Between each two of them.
    pub edges: Vec<Edge>,
    /// Predicted readings; the heaviest last, so that it is drawn on top.
    pub bars: Vec<Bar>,
    /// Measured readings, from left to right.
    pub plumbs: Vec<Plumb>,
}

impl BandPicture {
    /// Lays bands out, in rising order.
    #[must_use]
    pub fn new(bands: &[Band]) -> Self {
        let strip = |band: &Band| Strip {
            name: band.name.clone(),
            means: band.means,
            from: Spot::of(Ohms(band.sure.lo)),
            to: Spot::of(Ohms(band.sure.hi)),
        };
        let strips: Vec<Strip> = bands.iter().map(strip).collect();
        let edges = strips.windows(2).map(|pair| Edge { from: pair[0].to, to: pair[1].from }).collect();
        Self { strips, edges, ..Self::default() }
    }

    /// Adds a predicted reading.
    pub fn predict(&mut self, kind: BarKind, ohms: Bounds) {
        self.bars.push(Bar { kind, from: Spot::of(Ohms(ohms.lo)), to: Spot::of(Ohms(ohms.hi)) });
        self.bars.sort_by_key(|bar| bar.kind);
    }

    /// Adds a measured reading.
    pub fn measure(&mut self, ohms: Ohms, value: String, rest: bool) {
        self.plumbs.push(Plumb { at: Spot::of(ohms), value, rest });
        self.plumbs.sort_by(|one, other| {
            one.at.partial_cmp(&other.at).unwrap_or(std::cmp::Ordering::Equal).then(other.rest.cmp(&one.rest))
        });
    }
}
