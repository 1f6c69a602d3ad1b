//! Enclosures, modules and devices.

use document::Located;
use quantity::Minutes;

/// `[[enclosure]]`
#[derive(Clone, Debug)]
pub struct Enclosure {
    /// Its id.
    pub id: Located<String>,
    /// Where it hangs; empty when not given.
    pub place: String,
    /// Its profile.
    pub profile: Option<Located<String>>,
    /// The enclosure that it hangs beside: cables that end there reach it, and for the allocation the two are one.
    pub beside: Option<Located<String>>,
    /// Free inputs wanted in it when all is landed; default 0.
    pub spare: u32,
    /// Where that stands in the text.
    pub spare_at: Option<std::ops::Range<usize>>,
}

/// How a module reports.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Link {
    /// By radio.
    Radio,
    /// On a data bus.
    Bus,
    /// It is part of the control equipment.
    Direct,
}

/// `[[module]]`: one piece of new equipment that reads circuits.
#[derive(Clone, Debug)]
pub struct Module {
    /// Its id; an input is `id.number`.
    pub id: Located<String>,
    /// The enclosure that it is in.
    pub enclosure: Option<Located<String>>,
    /// Its profile.
    pub profile: Option<Located<String>>,
    /// The mode it is set to; left out, the engine tries all.
    pub mode: Option<Located<String>>,
    /// How it reports.
    pub link: Option<Link>,
    /// The supply point that feeds it; left out, the first supply in its enclosure.
    pub fed_by: Option<Located<String>>,
    /// What is on its tamper input.
    pub tamper: Option<TamperInput>,
}

/// What is on a module's tamper input.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TamperInput {
    /// The switch of the enclosure's cover.
    Wired,
    /// A link at its terminals.
    Bridged,
}

impl TamperInput {
    /// The word in the job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Wired => "wired",
            Self::Bridged => "bridged",
        }
    }
}

/// How a device is connected to the pair.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Connection {
    /// Both sides land on it: a loose screw opens the circuit.
    InOut,
    /// It can come off unseen.
    Tapped,
}

/// `[[device]]`: a detector or switch, named in a network.
#[derive(Clone, Debug)]
pub struct Device {
    /// Its name, or `C01/door` where the name stands in several circuits.
    pub id: Located<String>,
    /// Its profile.
    pub profile: Option<Located<String>>,
    /// Where it is; empty when not given.
    pub place: String,
    /// What it takes to reach it; empty when not given.
    pub access: String,
    /// Time to reach and work on it.
    pub minutes: Option<Minutes>,
    /// Year of make.
    pub made: Option<i32>,
    /// Supply point of a powered device.
    pub fed_by: Option<Located<String>>,
    /// How it is connected.
    pub connection: Option<Connection>,
    /// The listing that names device and module together, as seen by somebody; empty when nobody did.
    pub listing: String,
}
