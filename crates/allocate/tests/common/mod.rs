//! Made-up instances by seed, and an answer looked at from outside.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "each test, bench and example takes what it needs; small numbers fit"
)]
#![allow(clippy::allow_attributes, reason = "what is dead differs by test")]

pub(crate) mod check;
pub(crate) mod instances;

/// A seeded source of numbers (SplitMix64), so that an instance is the same everywhere.
pub(crate) struct Seeded(pub(crate) u64);

impl Seeded {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 to one less than `end`.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(end).unwrap()).unwrap()
    }

    pub(crate) fn in_hundred(&mut self, share: u64) -> bool {
        self.next() % 100 < share
    }
}
