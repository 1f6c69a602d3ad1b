//! One circuit made ready for computing: its elements' values and how an input reads them.

use network::{Bounds, Choice, Network};

use crate::common::Lift;
use crate::sense::{Raised, Sense};
use crate::value::Value;

/// Corners of common values that a learning mode is tried at; above so many uncertain values the widest ones
/// are tried and the others counted as independent, which only widens the result.
const MAX_CORNER_VALUES: usize = 12;

/// Steps of evaluation that a learning mode may cost a circuit; fewer corners are tried above.
const MAX_CORNER_WORK: usize = 20_000_000;

/// Where the contacts stand when a circuit is read; at rest those that are not named.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub(crate) struct Condition<'a> {
    /// These are active.
    pub(crate) active: &'a [usize],
    /// These have lost their supply, active or not.
    pub(crate) unfed: &'a [usize],
}

impl<'a> Condition<'a> {
    /// Nothing is active.
    pub(crate) const REST: Self = Self { active: &[], unfed: &[] };

    /// These contacts are active.
    pub(crate) fn active(active: &'a [usize]) -> Self {
        Self { active, unfed: &[] }
    }
}

/// A circuit ready for computing.
#[derive(Clone, Debug)]
pub struct Model<'a> {
    /// What hangs on the pair.
    pub network: &'a Network,
    /// What its elements can be.
    pub values: Vec<Value>,
    /// How the input reads it; none without an input or a mode.
    pub sense: Option<Sense<'a>>,
    /// What other currents in a shared common add.
    pub lift: Lift,
    /// Values of what is common to two readings, for a mode that learns; one empty corner otherwise.
    corners: Vec<Corner>,
}

/// One choice of the values that a learning mode finds the same at both readings.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Corner {
    /// One value an element; none for a mode that does not learn.
    common: Option<Vec<Bounds>>,
    /// What a resistance is divided by: the learned value. 1 for a mode that does not learn.
    pub(crate) learned: Bounds,
}

/// What the terminals show.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Reading {
    /// In ohms.
    pub ohms: Bounds,
    /// On the mode's scale: ohms again, or shares of the learned value.
    pub scaled: Bounds,
}

impl<'a> Model<'a> {
    /// Makes a circuit ready for computing.
    #[must_use]
    pub fn new(network: &'a Network, values: Vec<Value>, sense: Option<Sense<'a>>, lift: Lift) -> Self {
        let learns = sense.as_ref().is_some_and(Sense::learns);
        let mut model = Self { network, values, sense, lift, corners: Vec::new() };
        model.corners = if learns { model.learned_corners() } else { vec![Corner::plain()] };
        model
    }

    pub(crate) fn corners(&self) -> &[Corner] {
        &self.corners
    }

    /// All choices of low and high of the uncertain common values (method 4).
    fn learned_corners(&self) -> Vec<Corner> {
        let mut varying: Vec<usize> = (0..self.values.len()).filter(|&at| self.values[at].varies()).collect();
        let most = self.corner_values();
        if varying.len() > most {
            let width = |at: &usize| self.values[*at].common.hi - self.values[*at].common.lo;
            varying.sort_by(|one, other| width(other).total_cmp(&width(one)));
            varying.truncate(most);
        }
        (0..1_usize << varying.len())
            .map(|pattern| {
                let mut common: Vec<Bounds> = self.values.iter().map(|value| value.common).collect();
                for (bit, &at) in varying.iter().enumerate() {
                    let end = if pattern >> bit & 1 == 1 { common[at].hi } else { common[at].lo };
                    common[at] = Bounds { lo: end, hi: end };
                }
                let mut totals = Vec::new();
                self.totals(Some(&common), Condition::REST, &mut totals);
                let learned = self.lift.applied(self.network.bounds(&totals));
                Corner { common: Some(common), learned }
            })
            .collect()
    }

    /// How many uncertain values are tried at both ends: fewer for a circuit of many contacts.
    fn corner_values(&self) -> usize {
        let contacts = self.network.contacts().len();
        let paired = if contacts <= crate::state::MAX_PAIRED_CONTACTS { contacts * contacts / 2 } else { 0 };
        let corner = (1 + contacts + paired) * self.network.steps().len();
        (2..=MAX_CORNER_VALUES).rev().find(|&values| corner << values <= MAX_CORNER_WORK).unwrap_or(2)
    }

    /// Every element's bounds in a condition, into `into`.
    fn totals(&self, common: Option<&[Bounds]>, condition: Condition, into: &mut Vec<Bounds>) {
        into.clear();
        into.extend(self.values.iter().enumerate().map(|(at, value)| {
            let common = common.map_or(value.common, |common| common[at]);
            Value { common, ..*value }.with(value.own)
        }));
        let mut set = |contacts: &[usize], own: fn(&Value) -> Option<Bounds>| {
            for &contact in contacts {
                for &element in &self.network.contacts()[contact].elements {
                    let value = &self.values[element];
                    let common = common.map_or(value.common, |common| common[element]);
                    into[element] = Value { common, ..*value }.with(own(value).unwrap_or(value.own));
                }
            }
        };
        set(condition.active, |value| value.active);
        set(condition.unfed, |value| value.unfed);
    }

    /// Every element's bounds in a condition, at one corner.
    pub(crate) fn corner_totals(&self, corner: &Corner, condition: Condition, into: &mut Vec<Bounds>) {
        self.totals(corner.common.as_deref(), condition, into);
    }

    /// What the terminals show in a condition; `scratch` is reused between calls.
    pub(crate) fn read(&self, condition: Condition, scratch: &mut Vec<Bounds>) -> Reading {
        self.totals(None, condition, scratch);
        let ohms = self.lift.applied(self.network.bounds(scratch));
        if !self.sense.as_ref().is_some_and(Sense::learns) {
            return Reading { ohms, scaled: ohms };
        }
        let mut scaled: Option<Bounds> = None;
        for corner in &self.corners {
            self.totals(corner.common.as_deref(), condition, scratch);
            let at_corner = corner.share(self.lift.applied(self.network.bounds(scratch)));
            scaled = Some(scaled.map_or(at_corner, |so_far| so_far.hull(at_corner)));
        }
        Reading { ohms, scaled: scaled.unwrap_or(ohms) }
    }

    /// What the terminals show with these contacts active.
    #[must_use]
    pub fn reading(&self, active: &[usize]) -> Reading {
        self.read(Condition::active(active), &mut Vec::new())
    }

    /// What a meter finds on the pair off its terminals, with these contacts active and these unfed.
    #[must_use]
    pub fn field(&self, active: &[usize], unfed: &[usize]) -> Bounds {
        let mut totals = Vec::new();
        self.totals(None, Condition { active, unfed }, &mut totals);
        self.network.bounds(&totals)
    }

    /// Contacts of devices that need a supply to stand at rest.
    #[must_use]
    pub fn powered_contacts(&self) -> Vec<usize> {
        let contacts = self.network.contacts().iter().enumerate();
        contacts
            .filter(|(_, contact)| {
                contact.elements.iter().any(|&element| self.values[element].unfed.is_some())
            })
            .map(|(at, _)| at)
            .collect()
    }

    /// Which roles are active in a set of contacts.
    #[must_use]
    pub fn raised(&self, active: &[usize]) -> Raised {
        active.iter().fold(Raised::default(), |raised, &contact| {
            raised.and(Raised::one(self.network.contacts()[contact].role))
        })
    }

    /// What each element can be, at rest and active, for the search for masking.
    pub(crate) fn choices(&self) -> Vec<Choice> {
        let choice = |value: &Value| Choice {
            rest: value.with(value.own),
            active: value.active.map(|active| value.with(active)),
        };
        self.values.iter().map(choice).collect()
    }

    /// Whether a mode that learns finds, when it learns, a value that it accepts; true for others.
    #[must_use]
    pub fn can_learn(&self, rest: Reading) -> bool {
        let Some(sense) = &self.sense else { return true };
        if !sense.learns() {
            return true;
        }
        let fits = sense.accepts().is_none_or(|accepts| accepts.holds(rest.ohms.interval()));
        fits && rest.ohms.lo > 0.0 && rest.ohms.hi.is_finite()
    }
}

impl Corner {
    /// Everything at its own two ends, in ohms.
    pub(crate) fn plain() -> Self {
        Self { common: None, learned: Bounds { lo: 1.0, hi: 1.0 } }
    }

    /// A resistance as a share of the learned value.
    pub(crate) fn share(&self, ohms: Bounds) -> Bounds {
        Bounds { lo: share(ohms.lo, self.learned.hi), hi: share(ohms.hi, self.learned.lo) }
    }
}

fn share(ohms: f64, learned: f64) -> f64 {
    if ohms.is_infinite() {
        f64::INFINITY
    } else if learned > 0.0 {
        ohms / learned
    } else if ohms > 0.0 {
        f64::INFINITY
    } else {
        0.0
    }
}
