//! Every element of a circuit with what it can be, and where that comes from.

use assess::CircuitResult;
use circuit::{Setting, Value, values};
use job::Circuit;
use library::OnPowerLoss;
use network::{Bounds, Conductor, Element, Part};
use quantity::{Interval, Ohms, Ratio, Written};
use schemars::JsonSchema;
use serde::Serialize;

use super::{DefaultJson, Explained, ShownUnits, Target};

/// One element.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct ElementJson {
    /// As in the notation.
    pub(crate) element: String,
    /// At rest, in ohms; null is open.
    pub(crate) rest: RangeJson,
    /// With the contact active; null for what is no contact.
    pub(crate) active: Option<RangeJson>,
    /// With the device's supply gone; null where that changes nothing.
    pub(crate) unfed: Option<RangeJson>,
    /// Where the values come from.
    pub(crate) from: String,
}

/// Two ends in ohms; null is infinite.
#[derive(Serialize, JsonSchema, Debug, Clone, Copy)]
pub(crate) struct RangeJson {
    lo: Option<f64>,
    hi: Option<f64>,
}

impl RangeJson {
    pub(crate) fn new(bounds: Bounds) -> Self {
        let finite = |value: f64| value.is_finite().then_some(value);
        Self { lo: finite(bounds.lo), hi: finite(bounds.hi) }
    }

    /// For people, of shares: `70.0 to 130 %`.
    pub(crate) fn share(self) -> String {
        let end = |value: Option<f64>| Ratio(value.unwrap_or(f64::INFINITY));
        Interval::new(end(self.lo), end(self.hi)).shown()
    }

    /// For people.
    pub(crate) fn shown(self) -> String {
        let end = |value: Option<f64>| value.unwrap_or(f64::INFINITY);
        shown(Bounds { lo: end(self.lo), hi: end(self.hi) })
    }
}

/// Ohms between two ends, for people.
pub(crate) fn shown(bounds: Bounds) -> String {
    Interval::new(Ohms(bounds.lo), Ohms(bounds.hi)).shown()
}

/// Every element, in the order of the network.
pub(crate) fn elements(setting: &Setting, result: &CircuitResult) -> Vec<ElementJson> {
    let circuit = result.circuit;
    let Some(network) = &circuit.network else { return Vec::new() };
    let values = values(setting, circuit, network);
    let one = |(element, value): (&Element, &Value)| ElementJson {
        element: element.written(),
        rest: RangeJson::new(value.with(value.own)),
        active: value.active.map(|active| RangeJson::new(value.with(active))),
        unfed: value.unfed.map(|unfed| RangeJson::new(value.with(unfed))),
        from: from(setting, circuit, element),
    };
    network.elements().iter().zip(&values).map(one).collect()
}

/// Where an element's values come from.
fn from(setting: &Setting, circuit: &Circuit, element: &Element) -> String {
    let assume = &setting.job.assume;
    match &element.part {
        Part::Wire(conductor) => cable(setting, circuit, conductor, "out and back"),
        Part::Core(conductor) => cable(setting, circuit, conductor, "one conductor"),
        Part::Contact { name, role, .. } => contact(setting, circuit, name, *role),
        Part::Resistor { tolerance: Some(tolerance), .. } => format!("{} as written", tolerance.written()),
        Part::Resistor { tolerance: None, .. } => {
            format!("{}, assume.resistor_tolerance", assume.resistor_tolerance.written())
        }
        Part::Smoke(_) | Part::Sounder(_) => {
            format!("dry, unpowered: {} to open, assume.smoke_dry_min", assume.smoke_dry_min.shown(3))
        }
        Part::Joint(_) => format!("a splice: up to {}, assume.joint_max", assume.joint_max.shown(3)),
        Part::Diode => "conducts one way round only".to_owned(),
        Part::Capacitor(_) => "open to direct current once it is charged".to_owned(),
        Part::Joined => "the two cores joined".to_owned(),
        Part::Open => "nothing joins the two cores".to_owned(),
    }
}

fn cable(setting: &Setting, circuit: &Circuit, conductor: &Conductor, legs: &str) -> String {
    let units = setting.job.site.units.shown();
    let Some(length) = conductor.run.length() else {
        return "measured out and back, no temperature".to_owned();
    };
    let (gauge, source) = match (conductor.inherited, circuit.gauge) {
        (Some(gauge), _) => (gauge, "as written"),
        (None, Some(gauge)) => (gauge, "the circuit's"),
        (None, None) => (setting.job.assume.cable, "assume.cable"),
    };
    let spread = setting.job.assume.length_tolerance;
    let spread = if spread.0 > 0.0 { format!(" give or take {}", spread.written()) } else { String::new() };
    format!(
        "{}{spread} {legs}, {} ({source}), {}",
        length.shown_in(units),
        gauge.shown_in(units),
        setting.job.site.cable_temperature.shown()
    )
}

fn contact(setting: &Setting, circuit: &Circuit, name: &str, role: network::Role) -> String {
    let assume = &setting.job.assume;
    let profile = setting.contact(&circuit.tag, name, role);
    let id = setting.device(&circuit.tag, name).and_then(|device| device.profile.as_ref());
    let id = id.map_or("", |id| id.as_str());
    let closed = match profile.and_then(|contact| contact.closed) {
        Some(closed) => format!("closed {}, profile {id}", closed.shown()),
        None => format!("closed up to {}, assume.contact_closed_max", assume.contact_closed_max.shown(3)),
    };
    let open = match profile.and_then(|contact| contact.open_min) {
        Some(open) => format!("open above {}, profile {id}", open.shown(3)),
        None => format!("open above {}, assume.contact_open_min", assume.contact_open_min.shown(3)),
    };
    let loss = profile.and_then(|contact| contact.on_power_loss).map(|loss| match loss {
        OnPowerLoss::Opens => "; opens when its supply is lost",
        OnPowerLoss::Closes => "; closes when its supply is lost",
        OnPowerLoss::Stays => "; stays at rest when its supply is lost",
    });
    format!("{closed}; {open}{}", loss.unwrap_or(""))
}

/// Defaults that were used and that matter for what is explained.
pub(crate) fn defaults(explained: &Explained) -> Vec<DefaultJson> {
    let matters = |key: &str| match explained.target {
        Target::Job => true,
        Target::Circuit(_) | Target::Contact { .. } | Target::Input { .. } => {
            explained.circuit().is_some_and(|result| matters_to(result, key))
        }
        _ => false,
    };
    let used = explained.setting.job.defaults.iter().filter(|used| matters(&used.key));
    used.map(|used| DefaultJson { key: used.key.clone(), value: used.value.clone() }).collect()
}

fn matters_to(result: &CircuitResult, key: &str) -> bool {
    let Some(network) = &result.circuit.network else { return false };
    let has = |wanted: &dyn Fn(&Part) -> bool| network.elements().iter().any(|element| wanted(&element.part));
    let by_length = |part: &Part| match part {
        Part::Wire(conductor) | Part::Core(conductor) => conductor.run.length().is_some(),
        _ => false,
    };
    match key {
        "assume.contact_closed_max" | "assume.contact_open_min" => {
            has(&|part| matches!(part, Part::Contact { .. }))
        }
        "assume.resistor_tolerance" => has(&|part| matches!(part, Part::Resistor { tolerance: None, .. })),
        "assume.joint_max" => has(&|part| matches!(part, Part::Joint(_))),
        "assume.smoke_dry_min" => has(&|part| matches!(part, Part::Smoke(_) | Part::Sounder(_))),
        "assume.length_tolerance" | "site.cable_temperature" => has(&by_length),
        "assume.cable" => {
            result.circuit.gauge.is_none()
                && has(&|part| match part {
                    Part::Wire(conductor) | Part::Core(conductor) => {
                        conductor.inherited.is_none() && conductor.run.length().is_some()
                    }
                    _ => false,
                })
        }
        _ => key.starts_with("meter."),
    }
}
