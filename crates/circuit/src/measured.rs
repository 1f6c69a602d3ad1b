//! Trips as found that moved nothing: the reading is that of rest.
//!
//! A network says what should be there; a reading says what is. A device that was tripped and left its pair as it was
//! raises no alarm, however well its network reads. Other differences may come of work that was done since and stay what
//! they are: something to look at.

use job::{Circuit, Display, Duty, Reading, Shown, When};
use network::{Bounds, Contact, Role};
use quantity::{Ohms, Written};

use crate::Setting;
use crate::model::Model;
use crate::state::State;
use crate::study::MeterRow;

/// A reading with something tripped that is that of rest.
#[derive(Clone, PartialEq, Debug)]
pub struct Misread {
    /// Its place in the circuit's list of readings.
    pub reading: usize,
    /// The contacts that were active; empty at rest, and where a trip moved nothing and nobody said what was tripped.
    pub active: Vec<usize>,
    /// What was shown.
    pub seen: String,
    /// Whether it is an alarm that is at stake, on a circuit that calls for help: fire or hold-up.
    pub grave: bool,
}

/// What is measured and studied of one circuit.
struct Measured<'a> {
    setting: &'a Setting<'a>,
    circuit: &'a Circuit,
    model: &'a Model<'a>,
    states: &'a [State],
    meter: &'a [MeterRow],
}

/// The trips that moved nothing; of every condition the one that was taken last counts.
pub(crate) fn misread(
    setting: &Setting,
    circuit: &Circuit,
    model: &Model,
    states: &[State],
    meter: &[MeterRow],
) -> Vec<Misread> {
    let measured = Measured { setting, circuit, model, states, meter };
    let is_newest = |at: usize| {
        let one = &circuit.found[at];
        let again = |later: &Reading| later.when == one.when && later.fed == one.fed && ohms(later).is_some();
        !circuit.found[at + 1..].iter().any(again)
    };
    (0..circuit.found.len()).filter(|at| is_newest(*at)).filter_map(|at| measured.one(at)).collect()
}

/// What a reading shows in ohms, infinite where over range, with what its last digit is worth.
fn ohms(reading: &Reading) -> Option<(Ohms, Ohms)> {
    reading.shown.iter().find_map(|shown| match shown {
        Shown::Ohms(Display::Value { value, digit }) => Some((*value, *digit)),
        Shown::Ohms(Display::Open) => Some((Ohms::INFINITE, Ohms(0.0))),
        _ => None,
    })
}

impl Measured<'_> {
    fn one(&self, at: usize) -> Option<Misread> {
        let reading = &self.circuit.found[at];
        let (value, digit) = ohms(reading)?;
        let could_show = |state: usize| {
            let row = &self.meter[state];
            let truth = if reading.fed { row.truth } else { row.unfed_truth.unwrap_or(row.truth) };
            self.setting.job.meter.could_show(truth.interval(), value, digit)
        };
        let Some(state) = state_of(reading, self.model.network.contacts(), self.states) else {
            return self.nameless(at, (value, digit), &could_show);
        };
        let row = &self.meter[state];
        // Without the supply that its detectors need, it is not what the input will read.
        if could_show(state) || (!reading.fed && (row.needs_supply || row.unfed_truth.is_some())) {
            return None;
        }
        let active = &self.states[state].active;
        let unmoved = !active.is_empty() && (could_show(0) || self.as_rest(value, digit));
        unmoved.then(|| self.misread(at, active.clone(), value))
    }

    /// Something was tripped, of several: only that nothing moved can be told.
    fn nameless(
        &self,
        at: usize,
        (value, digit): (Ohms, Ohms),
        could_show: &dyn Fn(usize) -> bool,
    ) -> Option<Misread> {
        let reading = &self.circuit.found[at];
        let contacts = self.model.network.contacts();
        let is_trip = reading.when == When::Tripped && !contacts.is_empty();
        let powered = !reading.fed && self.meter.iter().any(|row| row.needs_supply);
        let moved = (1..self.states.len()).any(could_show);
        let unmoved = is_trip && !powered && !moved && (could_show(0) || self.as_rest(value, digit));
        unmoved.then(|| self.misread(at, Vec::new(), value))
    }

    fn misread(&self, reading: usize, active: Vec<usize>, value: Ohms) -> Misread {
        let helps = self.circuit.duty.is_some_and(|duty| duty.is_fire() || duty == Duty::HoldUp);
        let alarm = self.model.raised(&active).alarm || active.is_empty();
        let seen = if value.is_finite() { value.written() } else { "over range".to_owned() };
        Misread { reading, active, seen, grave: helps && alarm }
    }

    /// Whether a value is that of the newest reading at rest, as far as the instrument tells.
    fn as_rest(&self, value: Ohms, digit: Ohms) -> bool {
        let behind = |(value, digit)| Bounds::from(self.setting.job.meter.behind(value, digit));
        let (one, rest) = (behind((value, digit)), self.rest().map(behind));
        rest.is_some_and(|rest| one.lo <= rest.hi && rest.lo <= one.hi)
    }

    fn rest(&self) -> Option<(Ohms, Ohms)> {
        let at_rest = self.circuit.found.iter().rev().filter(|reading| reading.when == When::Rest);
        at_rest.filter_map(ohms).next()
    }
}

/// The state that a reading was taken in, as far as it can be told; its place in the list.
pub(crate) fn state_of(reading: &Reading, contacts: &[Contact], states: &[State]) -> Option<usize> {
    let alone = |wanted: &dyn Fn(usize) -> bool| {
        states.iter().position(|state| matches!(state.active.as_slice(), [one] if wanted(*one)))
    };
    match &reading.when {
        When::Rest => states.iter().position(|state| state.active.is_empty()),
        When::Device(name) => alone(&|at| answers_to(&contacts[at], name)),
        // Whatever hangs on it was tripped: with one contact, it was that one.
        When::Tripped if contacts.len() == 1 => alone(&|_| true),
        _ => None,
    }
}

/// Whether a contact is meant by a name of a reading.
pub(crate) fn answers_to(contact: &Contact, name: &str) -> bool {
    contact.label() == name || (contact.name == name && contact.role == Role::Alarm)
}
