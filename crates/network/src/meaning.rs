//! The words for what a contact is for and for what a reading means.

/// How a contact stands in the quiet, installed, powered state.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub enum Form {
    /// Normally closed (`nc`): closed at rest, open when active.
    NormallyClosed,
    /// Normally open (`no`): open at rest, closed when active.
    NormallyOpen,
}

/// What a contact of a device reports.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub enum Role {
    /// The device's alarm. The default, and never printed.
    Alarm,
    /// Its cover or its wall is opened.
    Tamper,
    /// Its own supply or works have failed.
    Fault,
}

impl Role {
    /// The word in the notation.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Role::Alarm => "alarm",
            Role::Tamper => "tamper",
            Role::Fault => "fault",
        }
    }

    /// Reads the notation's word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        [Role::Alarm, Role::Tamper, Role::Fault].into_iter().find(|role| role.word() == word)
    }
}

/// What a band of an input means to the people behind it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub enum Meaning {
    /// All is quiet.
    Normal,
    /// The alarm that the circuit is there for.
    Alarm,
    /// Somebody works on the installation itself.
    Tamper,
    /// The wiring or the equipment has a fault.
    Trouble,
    /// Off-normal of something that others rely on (a sprinkler valve).
    Supervisory,
}

impl Meaning {
    /// Every meaning, in the order of the format.
    pub const ALL: [Self; 5] = [Self::Normal, Self::Alarm, Self::Tamper, Self::Trouble, Self::Supervisory];

    /// The word in job files and profiles.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Alarm => "alarm",
            Self::Tamper => "tamper",
            Self::Trouble => "trouble",
            Self::Supervisory => "supervisory",
        }
    }

    /// Reads the word of job files and profiles.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|meaning| meaning.word() == word)
    }
}
