//! The one ohm scale: logarithmic from 100 ohm to 100 kohm, with a box at each end.
//!
//! The scale is the same in every picture of a job, so that circuits can be compared by eye
//! (`look.md`, 'the band picture').

use quantity::Ohms;

/// Where the logarithmic scale begins; below is the box 'near 0'.
pub const SCALE_FROM: Ohms = Ohms(100.0);

/// Where it ends; above is the box 'open'.
pub const SCALE_TO: Ohms = Ohms(100e3);

/// The box 'open' is logarithmic too, up to here; beyond, all is its far end.
const BOX_TO: Ohms = Ohms(10e6);

/// A place on the scale, from left to right. The number says how far into its part, from 0 to 1.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub enum Spot {
    /// In the box 'near 0', linear from 0 to 100 ohm.
    NearZero(f64),
    /// On the scale, logarithmic.
    Scale(f64),
    /// In the box 'open'.
    Open(f64),
}

impl Spot {
    /// The leftmost place.
    pub const LEFT: Self = Self::NearZero(0.0);
    /// The rightmost place.
    pub const RIGHT: Self = Self::Open(1.0);

    /// Where a resistance lies.
    #[must_use]
    pub fn of(ohms: Ohms) -> Self {
        let (from, to) = (SCALE_FROM.0, SCALE_TO.0);
        if ohms.0 < from {
            Self::NearZero((ohms.0 / from).max(0.0))
        } else if ohms.0 <= to {
            Self::Scale((ohms.0 / from).log10() / (to / from).log10())
        } else if ohms.0 < BOX_TO.0 {
            Self::Open((ohms.0 / to).log10() / (BOX_TO.0 / to).log10())
        } else {
            Self::RIGHT
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn decades_are_thirds_of_the_scale() {
        for (ohms, third) in [(100.0, 0.0), (1e3, 1.0), (1e4, 2.0), (1e5, 3.0)] {
            let Spot::Scale(at) = Spot::of(Ohms(ohms)) else { panic!("{ohms} is on the scale") };
            assert!((at * 3.0 - third).abs() < 1e-12);
        }
        assert_eq!(Spot::of(Ohms(0.0)), Spot::LEFT);
        assert_eq!(Spot::of(Ohms::INFINITE), Spot::RIGHT);
    }

    proptest! {
        #[test]
        fn more_ohms_are_never_farther_left(one in 0.0..2e7_f64, more in 0.0..2e7_f64) {
            prop_assert!(Spot::of(Ohms(one)) <= Spot::of(Ohms(one + more)));
        }
    }
}
