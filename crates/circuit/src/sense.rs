//! What an input makes of a resistance: the band, and what it means to this circuit.

use job::{Circuit, Duty};
use library::{Limits, Mode, Scale};
use network::{Bounds, Form, Meaning, Network, Part, Role};
use quantity::{Interval, Ohms};

/// One input's way of reading one circuit.
#[derive(Clone, Debug)]
pub struct Sense<'a> {
    /// The mode.
    pub mode: &'a Mode,
    /// What each band means to this circuit.
    pub means: Vec<Meaning>,
    /// What the circuit is there for.
    pub duty: Option<Duty>,
}

/// Which contacts are active, as far as a verdict asks for it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Raised {
    /// An alarm contact.
    pub alarm: bool,
    /// A tamper contact.
    pub tamper: bool,
    /// A fault contact.
    pub fault: bool,
}

impl Raised {
    /// One contact of this role.
    #[must_use]
    pub fn one(role: Role) -> Self {
        Self { alarm: role == Role::Alarm, tamper: role == Role::Tamper, fault: role == Role::Fault }
    }

    /// Both.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            alarm: self.alarm || other.alarm,
            tamper: self.tamper || other.tamper,
            fault: self.fault || other.fault,
        }
    }
}

impl<'a> Sense<'a> {
    /// How `circuit`, wired as `network`, is read in `mode`.
    #[must_use]
    pub fn new(circuit: &Circuit, network: &Network, mode: &'a Mode) -> Self {
        let by_contacts = by_contacts(network, mode.bands.len());
        let means = mode
            .bands
            .iter()
            .enumerate()
            .map(|(at, band)| {
                let said = circuit.means.get(&band.name).copied();
                said.or_else(|| by_contacts.map(|means| means[at])).unwrap_or(band.means)
            })
            .collect();
        Self { mode, means, duty: circuit.duty }
    }

    /// Whether the mode compares with what it has learned.
    #[must_use]
    pub fn learns(&self) -> bool {
        matches!(self.mode.scale, Scale::ShareOfLearned { .. })
    }

    /// What the mode may find at rest, where the manual says so.
    #[must_use]
    pub fn accepts(&self) -> Option<Interval<Ohms>> {
        self.mode.accepts
    }

    /// The band that all of a reading surely is.
    #[must_use]
    pub fn band(&self, reading: Bounds) -> Option<usize> {
        self.mode
            .limits
            .iter()
            .position(|limits| limits.sure_lo <= reading.lo && reading.hi <= limits.sure_hi)
    }

    /// The bands that a reading may be taken for.
    pub fn may_read(&self, reading: Bounds) -> impl Iterator<Item = usize> {
        let limits = self.mode.limits.iter().enumerate();
        limits
            .filter(move |(_, limits)| limits.may_lo <= reading.hi && reading.lo <= limits.may_hi)
            .map(|(at, _)| at)
    }

    /// Whether a reading may be taken for normal.
    #[must_use]
    pub fn may_be_normal(&self, reading: Bounds) -> bool {
        self.may_read(reading).any(|band| self.means[band] == Meaning::Normal)
    }

    /// The limits of the bands that may be taken for normal.
    pub fn normal_limits(&self) -> impl Iterator<Item = Limits> {
        let bands = self.mode.limits.iter().zip(&self.means);
        bands.filter(|(_, means)| **means == Meaning::Normal).map(|(limits, _)| *limits)
    }

    /// The limits of the bands that mean what they should with these contacts active.
    pub fn right_limits(&self, raised: Raised) -> impl Iterator<Item = Limits> {
        let bands = self.mode.limits.iter().zip(&self.means);
        bands.filter(move |(_, means)| self.is_right(**means, raised)).map(|(limits, _)| *limits)
    }

    /// Whether a band that means `means` is what it should be with these contacts active
    /// (`docs/format.md`, section 3, `ok`).
    #[must_use]
    pub fn is_right(&self, means: Meaning, raised: Raised) -> bool {
        let Raised { alarm, tamper, fault } = raised;
        if alarm {
            let wanted = if self.duty == Some(Duty::Valve) { Meaning::Supervisory } else { Meaning::Alarm };
            means == wanted || ((tamper || fault) && matches!(means, Meaning::Tamper | Meaning::Trouble))
        } else if tamper {
            matches!(means, Meaning::Tamper | Meaning::Trouble)
        } else if fault {
            means == Meaning::Trouble
        } else {
            means == Meaning::Normal
        }
    }

    /// The ohms as which a two-wire smoke detector in alarm is taken: none at all where a short is an alarm,
    /// else the middle of the band below rest that is one; nothing where no such band is. What it really
    /// draws is a matter of its volts and not computed here.
    #[must_use]
    pub fn smoke_alarm(&self) -> Option<f64> {
        let alarm = Raised::one(Role::Alarm);
        let rest = self.means.iter().position(|means| *means == Meaning::Normal)?;
        let bands = self.mode.limits.iter().zip(&self.means).take(rest);
        let mut right = bands.filter(|(_, means)| self.is_right(**means, alarm)).map(|(limits, _)| *limits);
        right.next().map(|limits| (limits.sure_lo * limits.sure_hi).sqrt())
    }

    /// Whether a reading is surely read as what it should be.
    #[must_use]
    pub fn reads_right(&self, reading: Bounds, raised: Raised) -> bool {
        self.band(reading).is_some_and(|band| self.is_right(self.means[band], raised))
    }
}

/// What the three bands of a plain mode mean, by the contacts that are there (rule 2 of the format); none
/// for a mode of another number of bands.
///
/// A two-wire smoke detector raises its alarm by drawing current, like a contact that closes.
fn by_contacts(network: &Network, bands: usize) -> Option<[Meaning; 3]> {
    if bands != 3 {
        return None;
    }
    let [mut closes, mut opens, mut tamper_closes, mut tamper_opens] = [false; 4];
    for element in network.elements() {
        match &element.part {
            Part::Contact { role: Role::Alarm, form, .. } => match form {
                Form::NormallyClosed => opens = true,
                Form::NormallyOpen => closes = true,
            },
            Part::Contact { role: Role::Tamper, form, .. } => match form {
                Form::NormallyClosed => tamper_opens = true,
                Form::NormallyOpen => tamper_closes = true,
            },
            Part::Smoke(_) => closes = true,
            _ => {}
        }
    }
    let (raised, low, high) = if closes || opens {
        (Meaning::Alarm, closes, opens)
    } else {
        (Meaning::Tamper, tamper_closes, tamper_opens)
    };
    let mean = |raises: bool| if raises { raised } else { Meaning::Trouble };
    Some([mean(low), Meaning::Normal, mean(high)])
}
