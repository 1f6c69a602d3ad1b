//! What makes a price and a time a range: each cause with its places, what it can add, and what narrows it.

use ::kit::{Bill, Price, Rates, Time};
use quantity::Money;

/// Why an amount is not known better.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Cause {
    /// What is on the pair.
    Unidentified,
    /// No remedy was found.
    Open,
    /// How a device is reached.
    Reach,
    /// Whether an untested device works.
    Untested,
    /// How old a detector is, or what its age means.
    Age,
    /// Whether a resistor that is moved can be used again.
    MovedResistor,
    /// How a dummy can be made.
    Dummy,
    /// How long a cable is.
    Length,
    /// What a splice or a leg to earth turns out to be.
    Joints,
    /// Whether inputs that stay empty want a resistor, and covers a switch.
    EmptyInputs,
    /// Prices that are given from what to what.
    Prices,
    /// The labour table's own ranges.
    Table,
    /// Days on site, each with its travel.
    Travel,
    /// What may force a second visit.
    SecondVisit,
}

impl Cause {
    /// Every cause, in the order in which equals are told.
    pub const ALL: [Self; 14] = [
        Self::Unidentified,
        Self::Open,
        Self::Reach,
        Self::Untested,
        Self::Age,
        Self::MovedResistor,
        Self::Dummy,
        Self::Length,
        Self::Joints,
        Self::EmptyInputs,
        Self::Prices,
        Self::Table,
        Self::Travel,
        Self::SecondVisit,
    ];

    /// The word in JSON; never changed once shipped.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Unidentified => "unidentified",
            Self::Open => "no-remedy",
            Self::Reach => "reach",
            Self::Untested => "untested",
            Self::Age => "age",
            Self::MovedResistor => "moved-resistor",
            Self::Dummy => "dummy",
            Self::Length => "length",
            Self::Joints => "joints",
            Self::EmptyInputs => "empty-inputs",
            Self::Prices => "prices",
            Self::Table => "labour-table",
            Self::Travel => "travel",
            Self::SecondVisit => "second-visit",
        }
    }

    /// What is not known.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Unidentified => "Pairs of which nobody knows yet what is on them",
            Self::Open => {
                "Circuits for which no remedy was found: whether their devices are replaced is open"
            }
            Self::Reach => "Devices of which nobody has written how they are reached",
            Self::Untested => "Devices that nobody has tripped: some may be dead",
            Self::Age => "Fire detectors whose age asks for replacement, now or soon",
            Self::MovedResistor => "Resistors that are moved: whether they can be used again",
            Self::Dummy => "Dummy resistors that no reading tells",
            Self::Length => "Cable whose length nobody has measured",
            Self::Joints => "Splices and legs to earth, until they have been opened",
            Self::EmptyInputs => {
                "Inputs that stay empty and covers: whether they want a resistor or a switch"
            }
            Self::Prices => "Prices that are given from what to what",
            Self::Table => "Working times are from what to what",
            Self::Travel => "Travel, for as many days on site as the work takes",
            Self::SecondVisit => "A second visit, if something forces it",
        }
    }

    /// What narrows it.
    #[must_use]
    pub fn narrowed_by(self) -> &'static str {
        match self {
            Self::Unidentified => "take the next readings that identify names",
            Self::Open => "choose an option for each",
            Self::Reach => "write access and minutes of each device into the job",
            Self::Untested => "trip each once and write the reading down",
            Self::Age => "read the date on each head and decide",
            Self::MovedResistor => "look at its leads when it is out",
            Self::Dummy => "measure the pair at rest",
            Self::Length => "measure the way",
            Self::Joints => "tap, flex and measure; lift the devices and halve the run",
            Self::EmptyInputs => "look it up in the manuals of module and enclosure",
            Self::Prices => "name the profile of each device, and type in its price",
            Self::Table => "type in your own times (labour/*.toml)",
            Self::Travel => "whatever narrows the working time",
            Self::SecondVisit => "settle before the visit what could force another",
        }
    }
}

impl Cause {
    /// How the customer comes to know: no tools, no resistors.
    #[must_use]
    pub fn known_by(self) -> &'static str {
        match self {
            Self::Unidentified => "a second look at those pairs",
            Self::Open => "your choice among the options",
            Self::Reach => "a look at the way to each",
            Self::Untested => "trying each one before the work",
            Self::Age => "the date on each, and your decision",
            Self::Length => "measuring the way",
            Self::Joints => "opening and measuring them",
            Self::EmptyInputs => "the manuals of the new equipment",
            Self::Prices => "the choice of each device",
            Self::SecondVisit => "what is settled before the work",
            Self::MovedResistor | Self::Dummy | Self::Table | Self::Travel => "the work itself",
        }
    }
}

/// What one cause can add to the least.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Spread {
    /// The cause.
    pub cause: Cause,
    /// Where, each place once.
    pub places: Vec<String>,
    /// Parts, at most, without margin.
    pub parts: Money,
    /// Working time, at most, in seconds.
    pub seconds: u64,
    /// All of it, at most, with margin and labour. The least and these of all causes make up the most, to the hundredth.
    pub adds: Money,
}

/// Adds to what a cause can add.
pub(super) fn widen(spread: &mut Vec<Spread>, cause: Cause, place: &str, parts: Money, seconds: u64) {
    if parts == Money::ZERO && seconds == 0 {
        return;
    }
    let at = match spread.iter().position(|one| one.cause == cause) {
        Some(at) => at,
        None => {
            spread.push(Spread {
                cause,
                places: Vec::new(),
                parts: Money::ZERO,
                seconds: 0,
                adds: Money::ZERO,
            });
            spread.len() - 1
        }
    };
    let one = &mut spread[at];
    if !one.places.iter().any(|known| known == place) {
        one.places.push(place.to_owned());
    }
    one.parts = one.parts.plus(parts);
    one.seconds = one.seconds.saturating_add(seconds);
}

/// What is left of parts and time is their tables' own; travel and a second visit are theirs. Then each in money, the
/// widest first.
pub(super) fn finish(spread: &mut Vec<Spread>, rates: &Rates, bill: &Bill) {
    let told: u64 = spread.iter().map(|one| one.seconds).sum();
    let left = (bill.time.hi() - bill.time.lo()).saturating_sub(told);
    widen(spread, Cause::Table, "job", Money::ZERO, left);
    let told = spread.iter().fold(0, |sum, one| sum + one.parts.hundredths());
    let left = width(bill.parts).hundredths() - told;
    widen(spread, Cause::Prices, "job", Money::of_hundredths(left.max(0)), 0);
    spread.sort_by_key(|one| one.cause);
    in_money(spread, rates, bill);
    for (cause, price) in [(Cause::Travel, bill.travel), (Cause::SecondVisit, bill.second_visit)] {
        let adds = width(price);
        if adds > Money::ZERO {
            let places = vec!["job".to_owned()];
            spread.push(Spread { cause, places, parts: Money::ZERO, seconds: 0, adds });
        }
    }
    spread.sort_by_key(|one| (std::cmp::Reverse((one.adds, one.seconds)), one.cause));
}

/// Each cause on top of the least and of those before it, so that rounding is counted once and the sum is the most.
fn in_money(spread: &mut [Spread], rates: &Rates, bill: &Bill) {
    let least = Bill::of_option(bill.parts, bill.time, rates).lo();
    let (mut parts, mut seconds, mut before) = (bill.parts.lo(), bill.time.lo(), least);
    for one in spread {
        parts = parts.plus(one.parts);
        seconds = seconds.saturating_add(one.seconds);
        let then = Bill::of_option(Price::exact(parts), Time::seconds(seconds, seconds), rates).hi();
        one.adds = Money::of_hundredths(then.hundredths() - before.hundredths());
        before = then;
    }
}

fn width(price: Price) -> Money {
    Money::of_hundredths(price.hi().hundredths() - price.lo().hundredths())
}
