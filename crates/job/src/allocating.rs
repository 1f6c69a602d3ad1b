//! What people ask of the allocation: what may be bought, what counts, where cable can be made longer.

use std::ops::Range;

use document::Located;
use quantity::{Metres, Minutes, Money, Ratio};

/// `[allocate]`: what may be bought for it, and what counts how much.
#[derive(Clone, Debug, PartialEq)]
pub struct AllocateTerms {
    /// Module profiles that may be bought; none: every one that the library has.
    pub offer: Option<Vec<Located<String>>>,
    /// Whether modules may be added to those of the job; default yes.
    pub new_modules: bool,
    /// Where that stands in the text; none where the file is silent.
    pub new_modules_at: Option<Range<usize>>,
    /// Free inputs wanted in the whole job when all is landed; default 0.
    pub spare: u32,
    /// Where that stands in the text.
    pub spare_at: Option<Range<usize>>,
    /// What an hour of work counts beside money; none: `rates.hour`, else [`DEFAULT_HOUR`].
    pub hour: Option<Money>,
    /// How much money counts: 100 % as it is, the default; 0 % for working time alone.
    pub money: Ratio,
    /// The enclosure profile that may be hung beside one that is full; none: that enclosure's own.
    pub annex: Option<Located<String>>,
    /// How many may be hung beside each; default 1.
    pub annexes: u32,
    /// Where that stands in the text.
    pub annexes_at: Option<Range<usize>>,
    /// Whether a circuit keeps the zone number that it had, where nothing speaks against it; default yes.
    pub keep_numbers: bool,
    /// Whether circuits of one area are kept on few modules, where that costs nothing; default yes.
    pub areas_together: bool,
}

/// What an hour counts where nobody has said: 60 of whatever currency; common practice, no source.
pub const DEFAULT_HOUR: Money = Money::of_whole(60);

impl Default for AllocateTerms {
    fn default() -> Self {
        Self {
            offer: None,
            new_modules: true,
            new_modules_at: None,
            spare: 0,
            spare_at: None,
            hour: None,
            money: Ratio(1.0),
            annex: None,
            annexes: 1,
            annexes_at: None,
            keep_numbers: true,
            areas_together: true,
        }
    }
}

/// `[[extension]]`: the cables that end in one enclosure can be made longer to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Extension {
    /// Where they end.
    pub from: Located<String>,
    /// Where they could end.
    pub to: Located<String>,
    /// How long the way between the two is.
    pub length: Metres,
    /// Working time for each circuit; none: by the labour table, for so many metres of cable.
    pub minutes: Option<Minutes>,
}
