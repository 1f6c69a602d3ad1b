//! What is needed, why and for whom; what the van has; what a part costs.

use quantity::Ratio;

use crate::count::Count;
use crate::price::Price;

/// Where a line stands on the list; the order is that of the list.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Group {
    /// Modules, enclosures, supplies, batteries, transformers, keypads.
    Equipment,
    /// Resistors, by value.
    Resistors,
    /// Cable, by conductor.
    Cable,
    /// Terminals, crimps, tags, ties, labels, fuses.
    SmallParts,
    /// Detectors and contacts that are replaced.
    Devices,
    /// Ladder, meter and the like: not sold.
    Tools,
    /// Keys, times, escorts: to be arranged.
    Access,
}

impl Group {
    /// Every group, in the order of the list.
    pub const ALL: [Self; 7] = [
        Self::Equipment,
        Self::Resistors,
        Self::Cable,
        Self::SmallParts,
        Self::Devices,
        Self::Tools,
        Self::Access,
    ];

    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Equipment => "equipment",
            Self::Resistors => "resistors",
            Self::Cable => "cable",
            Self::SmallParts => "small-parts",
            Self::Devices => "devices",
            Self::Tools => "tools",
            Self::Access => "access",
        }
    }

    /// The heading over its lines.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Equipment => "Equipment",
            Self::Resistors => "Resistors",
            Self::Cable => "Cable",
            Self::SmallParts => "Small parts",
            Self::Devices => "Devices",
            Self::Tools => "Tools",
            Self::Access => "Keys and access, to arrange",
        }
    }

    /// Whether its lines have a price and a stock.
    #[must_use]
    pub fn is_sold(self) -> bool {
        !matches!(self, Self::Tools | Self::Access)
    }
}

/// What is counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unit {
    /// Pieces.
    Piece,
    /// Whole metres.
    Metre,
}

/// What a line is of; two needs of the same part and value stand on one line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Item {
    /// Where it stands.
    pub group: Group,
    /// A small part's word, a profile's id, or a tool's name: what the van's list calls it.
    pub part: String,
    /// Of which value or conductor; empty where there is but one.
    pub value: String,
    /// What people call it.
    pub what: String,
    /// What is counted.
    pub unit: Unit,
}

impl Item {
    fn is(&self, other: &Self) -> bool {
        (self.group, &self.part, &self.value) == (other.group, &other.part, &other.value)
    }

    pub(crate) fn is_one_of(&self, lines: &[crate::Line]) -> Option<usize> {
        lines.iter().position(|line| line.item.is(self))
    }
}

/// So many of an item, for one place and one reason.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Need {
    /// Of what.
    pub item: Item,
    /// How many.
    pub count: Count,
    /// A circuit's tag, an enclosure, a supply, a module, or `job`.
    pub place: String,
    /// In a few words, to be read behind the place.
    pub why: String,
}

/// What the van carries.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stock {
    /// As [`Item::part`].
    pub part: String,
    /// As [`Item::value`].
    pub value: String,
    /// How many; none: carried, and nobody has counted.
    pub count: Option<u32>,
}

/// How many more than needed are carried.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Spare {
    /// That share of what is needed at most, rounded up.
    pub share: Ratio,
    /// At least so many.
    pub least: u32,
}

impl Spare {
    /// Spares for so many at most; none where none may be needed.
    #[must_use]
    pub fn of(self, most: u32) -> u32 {
        if most == 0 {
            return 0;
        }
        // A share in hundredths of a percent is whole, so that 10 % of 30 is 3 and not 4.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 10,000")]
        let share = (self.share.0.clamp(0.0, 1.0) * 10_000.0).round() as u64;
        let share = (u64::from(most) * share).div_ceil(10_000);
        u32::try_from(share).unwrap_or(u32::MAX).max(self.least)
    }
}

/// What an item costs and how many spares go with it.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Terms {
    /// Of one; none where nobody has given it.
    pub price: Option<Price>,
    /// Spares.
    pub spare: Spare,
}
