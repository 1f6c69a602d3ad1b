//! Physical quantities as a technician writes them: units, intervals, tolerances, preferred values,
//! copper conductors, and what a meter shows of a true value.
//!
//! # Where to start
//! [`Ohms`] and its sisters are plain newtypes over `f64` in SI units; [`Interval`] is a value that is
//! only known to lie between two ends. [`parse`] and [`parse_interval`] read them as a person writes, and
//! [`Written`] prints them. [`Gauge`] is a conductor, [`MeterError`] an instrument, [`preferred`] the
//! resistors that can be bought.
//!
//! # What this crate leaves out
//! It knows nothing of circuits, jobs or equipment, reads no files and no clock.

mod conductor;
mod interval;
mod meter;
mod money;
pub mod preferred;
mod unit;
mod written;

pub use conductor::Gauge;
pub use interval::Interval;
pub use meter::{MeterDisplay, MeterError};
pub use money::Money;
pub use unit::{
    AmpereHours, Amperes, Celsius, Farads, Hours, Metres, Minutes, Ohms, OhmsPerMetre, Quantity, Ratio,
    Seconds, SquareMillimetres, Volts, Watts,
};
pub use written::{
    Typed, UnitsShown, Written, WrittenError, parse, parse_interval, parse_prefix, parse_share,
    parse_span_prefix, parse_typed,
};
