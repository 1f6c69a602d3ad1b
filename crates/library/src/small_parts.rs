//! Small parts and what nobody can know before a visit: prices, spares, allowances; data of a labour file.

use quantity::{Interval, Metres, Money, Ratio};

macro_rules! parts {
    ($($(#[doc = $doc:literal])* $name:ident = $word:literal, $title:literal;)*) => {
        /// A part that has no profile of its own.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum SmallPart { $($(#[doc = $doc])* $name,)* }

        impl SmallPart {
            /// Every one, in the order of the embedded file.
            pub const ALL: &[Self] = &[$(Self::$name),*];

            /// The word in labour files, in `[[van]]` and in JSON.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$name => $word),* }
            }

            /// What people call it.
            #[must_use]
            pub fn title(self) -> &'static str {
                match self { $(Self::$name => $title),* }
            }
        }

        /// The keys of `[part]`.
        pub(crate) const PART_KEYS: &[document::Key] = &[$($word),*];
    };
}

parts! {
    /// An end-of-line, adapter or dummy resistor.
    Resistor = "resistor", "resistor";
    /// A wire link in place of a dummy resistor.
    Link = "link", "wire link";
    /// An end sleeve of a core.
    Ferrule = "ferrule", "end sleeve";
    /// A gel-filled crimp.
    GelJoint = "gel-joint", "gel-filled crimp";
    /// One way of a terminal block.
    Terminal = "terminal", "terminal block, one way";
    /// A cable tag.
    CableTag = "cable-tag", "cable tag";
    /// A cable tie.
    CableTie = "cable-tie", "cable tie";
    /// A label.
    Label = "label", "label";
    /// A fuse.
    Fuse = "fuse", "fuse";
    /// A metre of signal cable.
    CableSignal = "cable-signal", "signal cable";
    /// A metre of supply cable.
    CablePower = "cable-power", "supply cable";
}

/// What one small part costs and how many more of it are carried.
#[derive(Clone, PartialEq, Debug)]
pub struct PartTerms {
    /// Of one, or of a metre of cable, in the office's own currency.
    pub price: Money,
    /// Carried beyond what is needed.
    pub spare: Ratio,
    /// At least so many.
    pub spare_least: u32,
    /// Where the numbers come from.
    pub basis: String,
}

/// `[allowance]`: what nobody can know before the visit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Allowance {
    /// Share of devices that nobody has tripped and that turn out dead.
    pub dead: Interval<Ratio>,
    /// Cable to an enclosure other than that in which a circuit ends.
    pub extension: Interval<Metres>,
    /// Share of circuits in which a splice has to be hunted.
    pub repaired: Interval<Ratio>,
    /// Years after which a fire detector may be due for replacement.
    pub old_after: u32,
    /// Years after which it is.
    pub due_after: u32,
}
