//! How each quantity is spelled: its units, its physical range, and the units that we print it in.
//!
//! The ranges keep a slip of the keyboard (`1e400`, `-5 ohm`) out of every sum. Their upper ends are ours,
//! far above anything in a building, so that no sum of a job can overflow.

use crate::Quantity;

/// What a unit makes of the number before it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Scale {
    /// `times * 10^power`: exact as a decimal.
    Decimal {
        /// Whole factor, 3048 for feet.
        times: u32,
        /// Power of ten.
        power: i32,
    },
    /// `times / over`, for minutes in hours.
    Ratio {
        /// Numerator.
        times: u32,
        /// Denominator.
        over: u32,
    },
    /// `(F - 32) * 5 / 9`: the definition of the Fahrenheit scale (NIST SP 811, appendix B.8; from memory).
    Fahrenheit,
}

/// One accepted spelling of a unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Unit {
    /// As typed.
    pub text: &'static str,
    /// Its size in the quantity's own unit.
    pub scale: Scale,
}

impl Unit {
    /// Whether it is ten to the `power` of the quantity's own unit.
    pub(crate) fn is_decimal(&self, power: i32) -> bool {
        self.scale == Scale::Decimal { times: 1, power }
    }
}

/// A unit that we print in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Printed {
    /// Power of ten in the quantity's own unit.
    pub power: i32,
    /// For machines and job files: reads back.
    pub typed: &'static str,
    /// No blank before `typed`, as in `4.7k`.
    pub tight: bool,
    /// For people.
    pub shown: &'static str,
}

/// How one quantity is spelled.
#[derive(Debug)]
pub struct Spelling {
    /// What is wanted, as `a resistance`.
    pub what: &'static str,
    /// What would be accepted, with examples.
    pub accept: &'static str,
    /// Every accepted unit.
    pub units: &'static [Unit],
    /// Letters that may stand for the decimal point, as in `4k7`, with their power of ten.
    pub points: &'static [(char, i32)],
    /// The least physical value and how a person says it.
    pub least: (f64, &'static str),
    /// The largest value that we take and how a person says it.
    pub most: (f64, &'static str),
    /// Whether a tolerance in percent may follow (`5 V 2 %`).
    pub tolerance: bool,
    /// Printed units in rising order.
    pub printed: &'static [Printed],
}

/// Ties a quantity to its spelling. Implemented here only.
pub trait Spelled: Quantity {
    /// How it is written.
    const SPELLING: &'static Spelling;
}

const fn unit(text: &'static str, power: i32) -> Unit {
    Unit { text, scale: Scale::Decimal { times: 1, power } }
}

const fn times(text: &'static str, times: u32, power: i32) -> Unit {
    Unit { text, scale: Scale::Decimal { times, power } }
}

const fn ratio(text: &'static str, times: u32, over: u32) -> Unit {
    Unit { text, scale: Scale::Ratio { times, over } }
}

const fn print(power: i32, typed: &'static str, shown: &'static str) -> Printed {
    Printed { power, typed, tight: false, shown }
}

const fn tight(power: i32, typed: &'static str, shown: &'static str) -> Printed {
    Printed { power, typed, tight: true, shown }
}

macro_rules! spelled {
    ($($name:ident: $what:literal, $accept:literal, $least:expr, $most:expr, tolerance $tolerance:literal,
       [$($unit:expr),* $(,)?], [$($printed:expr),* $(,)?];)*) => {$(
        impl Spelled for crate::$name {
            const SPELLING: &'static Spelling = &Spelling {
                what: $what,
                accept: $accept,
                units: &[$($unit),*],
                points: &[],
                least: $least,
                most: $most,
                tolerance: $tolerance,
                printed: &[$($printed),*],
            };
        }
        impl super::Written for crate::$name {}
    )*};
}

/// Nothing is less than none of it.
const NONE: (f64, &str) = (0.0, "0");

impl super::Written for crate::Ohms {}

/// The letters in place of the point are the code of IEC 60062 (from memory); `Ω` is U+03A9 or U+2126.
/// A bare `m` and `mohm` are left out: one slip of the shift key would be a factor of 1e9.
impl Spelled for crate::Ohms {
    const SPELLING: &'static Spelling = &Spelling {
        what: "a resistance",
        accept: "a number and its unit, such as `4.7k`, `4k7`, `470 ohm` or `1M`",
        units: &[
            unit("ohm", 0),
            unit("ohms", 0),
            unit("Ohm", 0),
            unit("Ohms", 0),
            unit("\u{3a9}", 0),
            unit("\u{2126}", 0),
            unit("R", 0),
            unit("k", 3),
            unit("K", 3),
            unit("kohm", 3),
            unit("kohms", 3),
            unit("Kohm", 3),
            unit("kOhm", 3),
            unit("k\u{3a9}", 3),
            unit("k\u{2126}", 3),
            unit("K\u{3a9}", 3),
            unit("K\u{2126}", 3),
            unit("M", 6),
            unit("Mohm", 6),
            unit("Mohms", 6),
            unit("MOhm", 6),
            unit("M\u{3a9}", 6),
            unit("M\u{2126}", 6),
            unit("G", 9),
            unit("Gohm", 9),
            unit("G\u{3a9}", 9),
            unit("G\u{2126}", 9),
        ],
        points: &[('R', 0), ('k', 3), ('K', 3), ('M', 6), ('G', 9)],
        least: NONE,
        most: (1e12, "1000 Gohm"),
        tolerance: true,
        printed: &[
            print(0, "ohm", "\u{3a9}"),
            tight(3, "k", "k\u{3a9}"),
            tight(6, "M", "M\u{3a9}"),
            tight(9, "G", "G\u{3a9}"),
        ],
    };
}

spelled! {
    Volts: "a voltage", "a number and its unit, such as `12 V` or `500 mV`",
        (-1e6, "-1000 kV"), (1e6, "1000 kV"), tolerance true,
        [unit("V", 0), unit("mV", -3), unit("kV", 3)],
        [print(0, "V", "V")];
    Amperes: "a current", "a number and its unit, such as `350 mA`, `2 A` or `50 uA`",
        NONE, (1e6, "1000000 A"), tolerance true,
        [unit("A", 0), unit("mA", -3), unit("uA", -6), unit("\u{b5}A", -6), unit("\u{3bc}A", -6), unit("nA", -9)],
        [print(-6, "uA", "\u{b5}A"), print(-3, "mA", "mA"), print(0, "A", "A")];
    Watts: "a power", "a number and its unit, such as `2.4 W` or `300 mW`",
        NONE, (1e9, "1000000 kW"), tolerance true,
        [unit("W", 0), unit("mW", -3), unit("kW", 3)],
        [print(-3, "mW", "mW"), print(0, "W", "W")];
    AmpereHours: "a battery capacity", "a number and its unit, such as `7 Ah` or `800 mAh`",
        NONE, (1e6, "1000000 Ah"), tolerance true,
        [unit("Ah", 0), unit("mAh", -3)],
        [print(0, "Ah", "Ah")];
    Metres: "a length", "a number and its unit, such as `38 m`, `40 cm` or `125 ft`",
        NONE, (1e6, "1000 km"), tolerance true,
        // 1 ft = 0.3048 m and 1 in = 0.0254 m, exactly: NIST SP 811 (from memory).
        [unit("m", 0), unit("cm", -2), unit("mm", -3), unit("km", 3), times("ft", 3048, -4),
         times("feet", 3048, -4), times("foot", 3048, -4), times("in", 254, -4)],
        [print(0, "m", "m")];
    Celsius: "a temperature", "a number and its unit, such as `-10 C`, `40 \u{b0}C` or `50 F`",
        // Absolute zero, by definition of the Celsius scale: SI brochure, 2.3.1 (from memory).
        (-273.15, "-273.15 C"), (10_000.0, "10000 C"), tolerance false,
        [unit("C", 0), unit("\u{b0}C", 0), unit("\u{2103}", 0), Unit { text: "F", scale: Scale::Fahrenheit },
         Unit { text: "\u{b0}F", scale: Scale::Fahrenheit }, Unit { text: "\u{2109}", scale: Scale::Fahrenheit }],
        [print(0, "C", "\u{b0}C")];
    Farads: "a capacitance", "a number and its unit, such as `47uF` or `100 nF`",
        NONE, (1e6, "1000000 F"), tolerance true,
        [unit("F", 0), unit("mF", -3), unit("uF", -6), unit("\u{b5}F", -6), unit("\u{3bc}F", -6),
         unit("nF", -9), unit("pF", -12)],
        [print(-12, "pF", "pF"), print(-9, "nF", "nF"), print(-6, "uF", "\u{b5}F")];
    Hours: "a time in hours", "a number and its unit, such as `24 h` or `90 min`",
        NONE, (1e6, "1000000 h"), tolerance true,
        [unit("h", 0), unit("hour", 0), unit("hours", 0), ratio("min", 1, 60), ratio("s", 1, 3600)],
        [print(0, "h", "h")];
    Minutes: "a time in minutes", "a number and its unit, such as `5 min` or `1 h`",
        NONE, (6e7, "1000000 h"), tolerance true,
        [unit("min", 0), unit("minutes", 0), times("h", 60, 0), ratio("s", 1, 60)],
        [print(0, "min", "min")];
    Seconds: "a time in seconds", "a number and its unit, such as `500 ms`, `2 s` or `5 min`",
        NONE, (3.6e9, "1000000 h"), tolerance true,
        [unit("s", 0), unit("ms", -3), unit("us", -6), unit("\u{b5}s", -6), unit("\u{3bc}s", -6),
         times("min", 60, 0), times("h", 3600, 0)],
        [print(-3, "ms", "ms"), print(0, "s", "s")];
    SquareMillimetres: "a cross-section", "a number and its unit, such as `0.5 mm2`",
        NONE, (1e6, "1000000 mm2"), tolerance true,
        [unit("mm2", 0), unit("mm\u{b2}", 0), unit("mm^2", 0)],
        [print(0, "mm2", "mm\u{b2}")];
    OhmsPerMetre: "a resistance by length", "a number and its unit, such as `52.9 ohm/km` or `16.1 ohm/kft`",
        NONE, (1e6, "1000000 ohm/m"), tolerance true,
        [unit("ohm/km", -3), unit("\u{3a9}/km", -3), unit("\u{2126}/km", -3), unit("ohm/m", 0),
         unit("\u{3a9}/m", 0), unit("\u{2126}/m", 0), ratio("ohm/kft", 10, 3048), ratio("\u{3a9}/kft", 10, 3048)],
        [print(-3, "ohm/km", "\u{3a9}/km")];
    Ratio: "a share in percent", "a number from 0 to 100 and a percent sign, such as `5 %`",
        NONE, (1.0, "100 %"), tolerance false,
        [unit("%", -2)],
        [print(-2, "%", "%")];
}

/// A share of a learned value, which may be more than all of it.
pub(crate) const SHARE: Spelling = Spelling {
    what: "a share in percent",
    accept: "a number from 0 to 10000 and a percent sign, such as `140 %`",
    most: (100.0, "10000 %"),
    ..*<crate::Ratio as Spelled>::SPELLING
};
