//! Reading and printing quantities as a person writes them: `4k7`, `125 ft`, `5 C to 40 C`.

mod number;
mod print;
mod read;
mod spelling;
#[cfg(test)]
mod tests;

pub use print::UnitsShown;
pub use read::{
    Typed, WrittenError, parse, parse_interval, parse_prefix, parse_share, parse_span_prefix, parse_typed,
};

pub(crate) use read::{clipped, is_word_end, leading_blanks};
use spelling::Spelled;

/// A quantity that a person can write with its unit and that we print the same way.
///
/// Sealed: the spellings live in this crate, one table a quantity.
pub trait Written: Spelled {
    /// The shortest text that [`parse`] reads back to the very same value: `4.7k`, `470 ohm`, `38 m`.
    ///
    /// An infinite resistance is `open` and any other infinite value `no limit`; these do not read back.
    #[must_use]
    fn written(self) -> String {
        print::written(self.value(), Self::SPELLING, print::Blank::Kept)
    }

    /// [`written`](Written::written) without a blank, as the network notation has it: `38m`, `3.2ohm`, `47uF`.
    #[must_use]
    fn compact(self) -> String {
        print::written(self.value(), Self::SPELLING, print::Blank::LeftOut)
    }

    /// For people: so many significant figures, the prefix that keeps the number short, a thin space before
    /// the unit: `4.70 kΩ`. An infinite resistance is `open`.
    #[must_use]
    fn shown(self, digits: usize) -> String {
        print::shown(self.value(), Self::SPELLING, digits)
    }
}
