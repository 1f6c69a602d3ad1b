//! The elements of a circuit: what stands between two signs of the notation.

use quantity::{Farads, Gauge, Interval, Metres, Ohms, Ratio, Written};

use crate::{Form, Role};

/// One element with its place in the pair.
#[derive(Clone, PartialEq, Debug)]
pub struct Element {
    /// What it is.
    pub part: Part,
    /// Whether it sits in the return leg (`^`).
    pub returns: bool,
}

/// What an element is.
#[derive(Clone, PartialEq, Debug)]
pub enum Part {
    /// `wire:38m`: a pair of that length, twice that of conductor.
    Wire(Conductor),
    /// `core:15m`: one conductor alone.
    Core(Conductor),
    /// `nc:leaf1`, `no:pir.tamper`: one contact of a device.
    Contact {
        /// The device's name, local to its circuit.
        name: String,
        /// What the contact reports.
        role: Role,
        /// How it stands at rest.
        form: Form,
    },
    /// `4.7k 1 %`
    Resistor {
        /// Its nominal value.
        nominal: Ohms,
        /// Its own tolerance, where written.
        tolerance: Option<Ratio>,
    },
    /// `smoke:D3`: a two-wire smoke detector across the pair.
    Smoke(String),
    /// `sounder:S1`: a polarised sounder.
    Sounder(String),
    /// `joint:J3`: a named splice.
    Joint(String),
    /// `diode`
    Diode,
    /// `47uF`: a capacitor at the end.
    Capacitor(Farads),
    /// `joined`: the two cores are joined here.
    Joined,
    /// `open`: nothing joins the two cores here.
    Open,
}

/// A length of cable or a measured one.
#[derive(Clone, PartialEq, Debug)]
pub struct Conductor {
    /// How long, or how many ohms.
    pub run: Run,
    /// The gauge written at this element.
    pub gauge: Option<Gauge>,
    /// The gauge that holds here: its own, or the nearest one to the left in the text.
    pub inherited: Option<Gauge>,
}

/// How a run of cable is known.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Run {
    /// By its length, one way; equal ends when it is known.
    Length {
        /// Shortest, in `unit`.
        from: f64,
        /// Longest, in `unit`.
        to: f64,
        /// The unit as typed.
        unit: LengthUnit,
    },
    /// By a measurement, out and back; no temperature is applied.
    Measured(Interval<Ohms>),
}

/// The unit of a length as typed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LengthUnit {
    /// Metres.
    Metres,
    /// Feet of 0.3048 m.
    Feet,
}

impl LengthUnit {
    fn word(self) -> &'static str {
        match self {
            Self::Metres => "m",
            Self::Feet => "ft",
        }
    }

    fn in_metres(self) -> f64 {
        match self {
            Self::Metres => 1.0,
            Self::Feet => 0.3048,
        }
    }
}

impl Run {
    /// The length one way, where it is known.
    #[must_use]
    pub fn length(&self) -> Option<Interval<Metres>> {
        match *self {
            Self::Length { from, to, unit } => {
                let metres = unit.in_metres();
                Some(Interval::new(Metres(from * metres), Metres(to * metres)))
            }
            Self::Measured(_) => None,
        }
    }

    fn write(&self, out: &mut String) {
        match *self {
            Self::Length { from, to, unit } => {
                out.push_str(&from.to_string());
                if to > from {
                    out.push_str("..");
                    out.push_str(&to.to_string());
                }
                out.push_str(unit.word());
            }
            Self::Measured(ohms) => {
                if ohms.hi() > ohms.lo() {
                    out.push_str(&format!("{}..{}ohm", ohms.lo().0, ohms.hi().0));
                } else {
                    out.push_str(&format!("{}ohm", ohms.lo().0));
                }
            }
        }
    }
}

impl Conductor {
    fn write(&self, keyword: &str, out: &mut String) {
        out.push_str(keyword);
        self.run.write(out);
        if let Some(gauge) = self.gauge {
            out.push('@');
            out.push_str(&gauge.compact());
        }
    }
}

impl Element {
    /// An element in the outgoing leg.
    #[must_use]
    pub fn new(part: Part) -> Self {
        Self { part, returns: false }
    }

    /// A resistor without a tolerance of its own.
    #[must_use]
    pub fn resistor(nominal: Ohms) -> Self {
        Self::new(Part::Resistor { nominal, tolerance: None })
    }

    /// The name that a person gave it, if it can have one.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        match &self.part {
            Part::Contact { name, .. } | Part::Smoke(name) | Part::Sounder(name) | Part::Joint(name) => {
                Some(name)
            }
            _ => None,
        }
    }

    /// Whether it is cable.
    #[must_use]
    pub fn is_cable(&self) -> bool {
        matches!(self.part, Part::Wire(_) | Part::Core(_))
    }

    /// The notation's text, in its one printed form.
    pub fn write(&self, out: &mut String) {
        match &self.part {
            Part::Wire(conductor) => conductor.write("wire:", out),
            Part::Core(conductor) => conductor.write("core:", out),
            Part::Contact { name, role, form } => {
                out.push_str(if *form == Form::NormallyClosed { "nc:" } else { "no:" });
                out.push_str(&label(name, *role));
            }
            Part::Resistor { nominal, tolerance } => {
                out.push_str(&nominal.written());
                if let Some(tolerance) = tolerance {
                    out.push(' ');
                    out.push_str(&tolerance.written());
                }
            }
            Part::Smoke(name) => out.push_str(&format!("smoke:{name}")),
            Part::Sounder(name) => out.push_str(&format!("sounder:{name}")),
            Part::Joint(name) => out.push_str(&format!("joint:{name}")),
            Part::Diode => out.push_str("diode"),
            Part::Capacitor(farads) => out.push_str(&farads.written().replace(' ', "")),
            Part::Joined => out.push_str("joined"),
            Part::Open => out.push_str("open"),
        }
        if self.returns {
            out.push('^');
        }
    }

    /// The notation's text as a string of its own.
    #[must_use]
    pub fn written(&self) -> String {
        let mut out = String::new();
        self.write(&mut out);
        out
    }
}

/// A contact as `active` lists it: the name, and the role unless it is the alarm.
#[must_use]
pub fn label(name: &str, role: Role) -> String {
    match role {
        Role::Alarm => name.to_owned(),
        other => format!("{name}.{}", other.word()),
    }
}
