//! How often the trade uses which wiring and which resistor: what an office may replace by what it has counted.

use quantity::{Interval, Minutes, Ohms, Ratio};

/// A way in which a pair of wires is found wired.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Wiring {
    /// Closed contacts in line, no resistor.
    NcBare,
    /// Closed contacts in line with the resistor.
    NcEol,
    /// Open contacts across, no resistor.
    NoBare,
    /// Open contacts across, the resistor at the end.
    NoEol,
    /// One resistor across each closed contact, one in line.
    NcTwoResistor,
    /// One resistor in line with each open contact, one across the end.
    NoTwoResistor,
    /// One across the alarm contact, one across the fault contact, one in line.
    ThreeResistor,
    /// One resistor across each of several closed contacts, nothing at the end.
    NcStepped,
    /// Two circuits on one pair, told apart by two resistors.
    NcDoubled,
    /// Two end resistors across one pair.
    TwoEnds,
    /// Two-wire smoke detectors across the pair, the resistor at the end.
    SmokeTwoWire,
    /// A pair that feeds something.
    SupplyPair,
    /// A polarised sounder or a circuit of them.
    Sounder,
    /// A data bus.
    DataPair,
    /// Nothing joins the cores.
    OpenPair,
    /// Something joins the cores for good.
    ShortedPair,
    /// Nothing of the above explains it.
    UnlikeAny,
}

impl Wiring {
    /// Every class, in the order of the format.
    pub const ALL: [Self; 17] = [
        Self::NcBare,
        Self::NcEol,
        Self::NoBare,
        Self::NoEol,
        Self::NcTwoResistor,
        Self::NoTwoResistor,
        Self::ThreeResistor,
        Self::NcStepped,
        Self::NcDoubled,
        Self::TwoEnds,
        Self::SmokeTwoWire,
        Self::SupplyPair,
        Self::Sounder,
        Self::DataPair,
        Self::OpenPair,
        Self::ShortedPair,
        Self::UnlikeAny,
    ];

    /// The word in habits files and in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::NcBare => "nc-bare",
            Self::NcEol => "nc-eol",
            Self::NoBare => "no-bare",
            Self::NoEol => "no-eol",
            Self::NcTwoResistor => "nc-two-resistor",
            Self::NoTwoResistor => "no-two-resistor",
            Self::ThreeResistor => "three-resistor",
            Self::NcStepped => "nc-stepped",
            Self::NcDoubled => "nc-doubled",
            Self::TwoEnds => "two-ends",
            Self::SmokeTwoWire => "smoke-two-wire",
            Self::SupplyPair => "supply-pair",
            Self::Sounder => "sounder",
            Self::DataPair => "data-pair",
            Self::OpenPair => "open-pair",
            Self::ShortedPair => "shorted-pair",
            Self::UnlikeAny => "unlike-any",
        }
    }

    /// Whether something on it can be tripped.
    #[must_use]
    pub fn has_contact(self) -> bool {
        !matches!(self, Self::SupplyPair | Self::Sounder | Self::DataPair | Self::UnlikeAny)
    }

    /// How many nominal resistor values tell one candidate of the class from another.
    #[must_use]
    pub fn resistors(self) -> usize {
        match self {
            Self::NcEol | Self::NoEol | Self::NcStepped | Self::SmokeTwoWire => 1,
            Self::NcTwoResistor | Self::NoTwoResistor | Self::NcDoubled | Self::TwoEnds => 2,
            Self::ThreeResistor => 3,
            _ => 0,
        }
    }
}

/// One file of habits.
#[derive(Clone, Debug)]
pub struct Habits {
    /// Its id; the one called `default` is used.
    pub id: String,
    /// Where the numbers come from.
    pub basis: String,
    /// Share of each class, summing to 1; a class that is not listed has none.
    pub wiring: Vec<(Wiring, f64)>,
    /// Share of each nominal value, rising, summing to 1.
    pub resistor: Vec<(Ohms, f64)>,
    /// What one building's circuits have in common.
    pub building: BuildingHabits,
    /// How values spread around what they are called.
    pub spread: Spread,
    /// What goes wrong while reading.
    pub reading: ReadingHabits,
    /// Where resistors sit.
    pub place: PlaceHabits,
    /// What readings cost.
    pub minutes: ReadingMinutes,
    /// Values that the van carries.
    pub van: Vec<Ohms>,
}

/// `[building]`
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct BuildingHabits {
    /// Share of resistors that have the building's own value; the others are drawn by `[resistor]`.
    pub keeps: f64,
    /// Share of second resistors of a circuit that have the first one's value.
    pub pair_equal: f64,
    /// Share of buildings in which a later hand worked with a value of its own.
    pub later_hand: f64,
    /// Share of such a building that is the later hand's.
    pub later_share: f64,
}

/// `[spread]`
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Spread {
    /// A resistor lies evenly within this of its nominal value.
    pub resistor: Ratio,
    /// Cable, out and back, even between these.
    pub cable: Interval<Ohms>,
    /// Joints and contacts, mean of an exponential.
    pub joints: Ohms,
    /// Share of lines that are longer than `cable`.
    pub long: f64,
    /// Up to here, even by logarithm.
    pub long_to: Ohms,
    /// Share of open ends that damp makes readable.
    pub leak: f64,
}

/// `[reading]`: shares of readings, trips, instruments and circuits.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ReadingHabits {
    /// Nonsense: half open, half anywhere from 1 ohm to 1 Mohm evenly by logarithm.
    pub wrong: f64,
    /// A sound pair that does not stand still.
    pub restless: f64,
    /// Instruments three times worse than stated.
    pub worse: f64,
    /// Trips that moved a device of another circuit.
    pub missed: f64,
    /// Trips that moved more than one contact.
    pub together: f64,
    /// Trips that opened a tamper contact in line.
    pub tamper: f64,
    /// Trips of a three-resistor detector that moved its fault contact.
    pub fault: f64,
    /// Closed circuits that hang open for want of a supply.
    pub unfed: f64,
}

/// `[place]`
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlaceHabits {
    /// Share of resistors that sit before the far device.
    pub near: f64,
    /// Share of double ends whose second resistor sits on a T-tap.
    pub tapped: f64,
}

/// `[minutes]`
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ReadingMinutes {
    /// Another reading where the meter is.
    pub meter: Minutes,
    /// The same after a minute.
    pub wait: Minutes,
    /// A trip.
    pub trip: Minutes,
    /// Work at the far device's terminals.
    pub far: Minutes,
    /// Feeding powered detectors.
    pub feed: Minutes,
    /// Coming back another day.
    pub second_visit: Minutes,
}

impl Default for BuildingHabits {
    fn default() -> Self {
        Self { keeps: 0.85, pair_equal: 0.8, later_hand: 0.1, later_share: 0.3 }
    }
}

impl Default for Spread {
    fn default() -> Self {
        Self {
            resistor: Ratio(0.05),
            cable: Interval::new(Ohms(0.4), Ohms(9.5)),
            joints: Ohms(0.8),
            long: 0.03,
            long_to: Ohms(320.0),
            leak: 0.005,
        }
    }
}

impl Default for ReadingHabits {
    fn default() -> Self {
        Self {
            wrong: 0.005,
            restless: 0.004,
            worse: 0.02,
            missed: 0.01,
            together: 0.02,
            tamper: 0.01,
            fault: 0.1,
            unfed: 0.03,
        }
    }
}

impl Default for PlaceHabits {
    fn default() -> Self {
        Self { near: 0.3, tapped: 0.3 }
    }
}

impl Default for ReadingMinutes {
    fn default() -> Self {
        Self {
            meter: Minutes(1.0),
            wait: Minutes(2.0),
            trip: Minutes(4.0),
            far: Minutes(8.0),
            feed: Minutes(6.0),
            second_visit: Minutes(120.0),
        }
    }
}
