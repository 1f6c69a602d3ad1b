//! What each element of a circuit can be, in ohms.

use job::Circuit;
use library::OnPowerLoss;
use network::{Bounds, Conductor, Form, Network, Part};
use quantity::{Interval, Ohms};

use crate::Setting;

/// What one element can be: `common * factor + own`, each between two ends.
///
/// A mode that learns compares two readings of the same circuit: what is common to both (a resistor's true
/// value, a cable's true length) cancels, what may differ between them (temperature, contacts) does not.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Value {
    /// The same at every reading: a resistor, a cable at 20 C.
    pub common: Bounds,
    /// What temperature makes of `common`.
    pub factor: Bounds,
    /// What may differ between readings, at rest.
    pub own: Bounds,
    /// The same with the contact active; none for what is no contact.
    pub active: Option<Bounds>,
    /// The same with the device's supply gone; none where that changes nothing.
    pub unfed: Option<Bounds>,
    /// Its part of conductors and joints out and back, at most.
    pub line: f64,
}

impl Value {
    fn own(own: Bounds) -> Self {
        let factor = Bounds { lo: 1.0, hi: 1.0 };
        Self { common: Bounds::JOINED, factor, own, active: None, unfed: None, line: 0.0 }
    }

    fn common(common: Bounds) -> Self {
        Self { common, ..Self::own(Bounds::JOINED) }
    }

    /// Everything low and everything high, with `own` in one of its conditions.
    #[must_use]
    pub fn with(self, own: Bounds) -> Bounds {
        Bounds { lo: self.common.lo * self.factor.lo + own.lo, hi: self.common.hi * self.factor.hi + own.hi }
    }

    /// The same with what is common fixed at one value.
    #[must_use]
    pub fn with_common(self, common: f64, own: Bounds) -> Bounds {
        Bounds { lo: common * self.factor.lo + own.lo, hi: common * self.factor.hi + own.hi }
    }

    /// Whether `common` is uncertain.
    #[must_use]
    pub fn varies(self) -> bool {
        self.common.lo < self.common.hi
    }
}

/// What every element of a circuit can be, in the order of its network.
#[must_use]
pub fn values(setting: &Setting, circuit: &Circuit, network: &Network) -> Vec<Value> {
    network.elements().iter().map(|element| value(setting, circuit, &element.part)).collect()
}

fn value(setting: &Setting, circuit: &Circuit, part: &Part) -> Value {
    let assume = &setting.job.assume;
    match part {
        Part::Wire(conductor) => cable(setting, circuit, conductor, 2.0),
        Part::Core(conductor) => cable(setting, circuit, conductor, 1.0),
        Part::Contact { name, role, form } => {
            let profile = setting.contact(&circuit.tag, name, *role);
            let closed = profile.and_then(|contact| contact.closed);
            let closed = closed.map_or(Bounds { lo: 0.0, hi: assume.contact_closed_max.0 }, Bounds::from);
            let open_min = profile.and_then(|contact| contact.open_min).unwrap_or(assume.contact_open_min);
            let open = Bounds { lo: open_min.0, hi: f64::INFINITY };
            let (rest, active) = if *form == Form::NormallyClosed { (closed, open) } else { (open, closed) };
            let unfed = profile.and_then(|contact| contact.on_power_loss).map(|loss| match loss {
                OnPowerLoss::Opens => open,
                OnPowerLoss::Closes => closed,
                OnPowerLoss::Stays => rest,
            });
            Value { active: Some(active), unfed, ..Value::own(rest) }
        }
        Part::Resistor { nominal, tolerance } => {
            let tolerance = tolerance.unwrap_or(assume.resistor_tolerance);
            Value::common(Interval::with_tolerance(*nominal, tolerance).into())
        }
        Part::Smoke(_) | Part::Sounder(_) => {
            // A polarised sounder is watched the way round in which its diode blocks, like a dry detector.
            Value::own(Bounds { lo: assume.smoke_dry_min.0, hi: f64::INFINITY })
        }
        Part::Joint(_) => {
            let most = assume.joint_max.0;
            Value { line: most, ..Value::own(Bounds { lo: 0.0, hi: most }) }
        }
        // Conducts one way and not the other, and at a voltage rather than with a resistance.
        Part::Diode => Value::own(Bounds { lo: 0.0, hi: f64::INFINITY }),
        Part::Capacitor(_) | Part::Open => Value::own(Bounds::OPEN),
        Part::Joined => Value::own(Bounds::JOINED),
    }
}

/// A run of cable; `legs` is how many conductors of that length lie in line.
fn cable(setting: &Setting, circuit: &Circuit, conductor: &Conductor, legs: f64) -> Value {
    let Some(length) = conductor.run.length() else {
        return match conductor.run {
            network::Run::Measured(ohms) => Value { line: ohms.hi().0, ..Value::common(Bounds::from(ohms)) },
            network::Run::Length { .. } => Value::own(Bounds::JOINED),
        };
    };
    let gauge = conductor.inherited.or(circuit.gauge).unwrap_or(setting.job.assume.cable);
    let spread = setting.job.assume.length_tolerance.0;
    let cold = setting.job.site.cable_temperature.lo();
    let hot = setting.job.site.cable_temperature.hi();
    let [at_20, at_cold, at_hot] = [quantity::Celsius(20.0), cold, hot].map(|t| gauge.per_metre(t));
    let factor = Bounds { lo: at_cold.lo() / at_20.lo(), hi: at_hot.hi() / at_20.hi() };
    let common = Bounds {
        lo: legs * length.lo().0 * (1.0 - spread) * at_20.lo().0,
        hi: legs * length.hi().0 * (1.0 + spread) * at_20.hi().0,
    };
    Value { factor, line: common.hi * factor.hi, ..Value::common(common) }
}

/// The resistance of one leg of a circuit's first run of cable, at most: how long a core that it shares with
/// others can be.
#[must_use]
pub(crate) fn first_leg(network: &Network, values: &[Value]) -> Ohms {
    let first = network.elements().iter().position(network::Element::is_cable);
    Ohms(first.map_or(0.0, |element| values[element].line / 2.0))
}
