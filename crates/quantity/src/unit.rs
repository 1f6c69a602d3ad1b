//! The newtypes: one per physical quantity, in SI units (and the trade's hours, minutes and mm2).
//!
//! Only the products that mean something compile: `Amperes * Ohms` is `Volts`, no other.

use std::fmt::Debug;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// What all quantities share: a finite or infinite `f64` in the quantity's own unit.
pub trait Quantity: Copy + PartialOrd + PartialEq + Debug + Send + Sync + 'static {
    /// The value in the unit that the type is named for.
    fn value(self) -> f64;
    /// Wraps a value given in the unit that the type is named for.
    fn of(value: f64) -> Self;
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Default)]
        #[repr(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            /// No upper limit (an open circuit, for ohms).
            pub const INFINITE: Self = Self(f64::INFINITY);
            /// The smaller of the two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
            /// The larger of the two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
            /// Neither infinite nor undefined.
            #[must_use]
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }
        }

        impl Quantity for $name {
            fn value(self) -> f64 {
                self.0
            }
            fn of(value: f64) -> Self {
                Self(value)
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(values: I) -> Self {
                values.fold(Self(0.0), Add::add)
            }
        }
    )*};
}

quantities! {
    /// Resistance. Infinite is an open circuit.
    Ohms;
    /// Electric potential difference, direct or effective alternating as the context says.
    Volts;
    /// Electric current.
    Amperes;
    /// Power.
    Watts;
    /// Charge of a battery, at the rate that the context names.
    AmpereHours;
    /// Length of a cable, one way.
    Metres;
    /// Temperature in degrees Celsius; a difference of two is in kelvin.
    Celsius;
    /// Capacitance.
    Farads;
    /// A time of standby or recharge.
    Hours;
    /// Working time, or the alarm time of a supply rule.
    Minutes;
    /// A response time or a pulse.
    Seconds;
    /// Cross-section of a conductor.
    SquareMillimetres;
    /// Resistance of one conductor by its length.
    OhmsPerMetre;
    /// A pure number: a tolerance of 5 % is `Ratio(0.05)`.
    Ratio;
}

impl Mul<Ohms> for Amperes {
    type Output = Volts;
    fn mul(self, resistance: Ohms) -> Volts {
        Volts(self.0 * resistance.0)
    }
}

impl Mul<Volts> for Amperes {
    type Output = Watts;
    fn mul(self, volts: Volts) -> Watts {
        Watts(self.0 * volts.0)
    }
}

impl Div<Ohms> for Volts {
    type Output = Amperes;
    fn div(self, resistance: Ohms) -> Amperes {
        Amperes(self.0 / resistance.0)
    }
}

impl Mul<Hours> for Amperes {
    type Output = AmpereHours;
    fn mul(self, hours: Hours) -> AmpereHours {
        AmpereHours(self.0 * hours.0)
    }
}

impl Mul<Metres> for OhmsPerMetre {
    type Output = Ohms;
    fn mul(self, length: Metres) -> Ohms {
        Ohms(self.0 * length.0)
    }
}

impl Div<Amperes> for Volts {
    type Output = Ohms;
    fn div(self, current: Amperes) -> Ohms {
        Ohms(self.0 / current.0)
    }
}

impl Div<OhmsPerMetre> for Ohms {
    type Output = Metres;
    fn div(self, by_length: OhmsPerMetre) -> Metres {
        Metres(self.0 / by_length.0)
    }
}
