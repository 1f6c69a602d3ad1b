//! Copper conductors: how they are written and what a metre of one has in resistance.
//!
//! All figures are for ONE conductor; a pair of length `l` has twice `l` of it. The factor two is applied
//! by whoever knows that it is a pair.

use crate::written::{clipped, is_word_end, leading_blanks};
use crate::{
    Celsius, Interval, OhmsPerMetre, SquareMillimetres, UnitsShown, Written, WrittenError, parse_prefix,
};

/// Conductivity of annealed copper at 20 °C in m/(ohm·mm²): 100 % IACS, IEC 60028 (`conductors.csv`).
const CONDUCTIVITY_M_PER_OHM_MM2: f64 = 58.0;

/// Temperature coefficient of its resistance at 20 °C, per kelvin: IEC 60028 (`conductors.csv`).
const COEFFICIENT_PER_K: f64 = 0.00393;

/// The temperature of all tables.
const TABLE_TEMPERATURE: Celsius = Celsius(20.0);

/// More length of a stranded conductor's wires, from their lay: ASTM B8, 2 % (from memory; `conductors.csv`).
const LAY: f64 = 1.02;

/// AWG numbers that we take: thicker is no field cable, thinner no gauge of the trade (our choice).
const AWG_TAKEN: std::ops::RangeInclusive<i8> = 4..=36;

/// Areas that we take, in mm² (our choice, as for AWG).
const AREA_TAKEN: std::ops::RangeInclusive<f64> = 0.05..=50.0;

/// Largest resistance at 20 °C in ohm/km by area in mm²; `conductors.csv`, plain copper.
type Maxima = [(f64, f64)];

/// IEC 60228, classes 1 and 2, plain.
const SOLID_MAX: &Maxima = &[(0.5, 36.0), (0.75, 24.5), (1.0, 18.1), (1.5, 12.1), (2.5, 7.41)];

/// IEC 60228, class 5, plain.
const STRANDED_MAX: &Maxima = &[(0.5, 39.0), (0.75, 26.0), (1.0, 19.5), (1.5, 13.3), (2.5, 7.98)];

/// DIN VDE 0295, fine strand, plain: below the range of IEC 60228. Taken for solid ones too, which it does
/// not list, as the safe side.
const FINE_MAX: &Maxima = &[(0.14, 134.0), (0.22, 96.0), (0.25, 76.0), (0.34, 53.0)];

/// Where the table of fine strands ends and IEC 60228 begins, in mm².
const FINE_BELOW_MM2: f64 = 0.5;

const ACCEPT: &str = "a gauge such as `22 AWG`, `18 AWG stranded` (4 to 36) or `0.5 mm2` (0.05 to 50 mm2)";

/// A copper conductor as cable is sold.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Gauge {
    /// By American wire gauge, ASTM B258.
    Awg {
        /// The number; higher is thinner.
        number: i8,
        /// Several wires twisted; solid otherwise.
        stranded: bool,
    },
    /// By nominal cross-section, IEC 60228.
    Area {
        /// Nominal cross-section.
        area: SquareMillimetres,
        /// Several wires twisted; solid otherwise.
        stranded: bool,
    },
}

impl Gauge {
    /// Reads `22 AWG`, `22AWG stranded`, `0.5 mm2`, `0.5mm² stranded`; solid unless `stranded` follows.
    ///
    /// # Errors
    /// [`WrittenError`] for anything else, and for a size outside 4 to 36 AWG or 0.05 to 50 mm².
    pub fn parse(text: &str) -> Result<Self, WrittenError> {
        let (gauge, len) = Self::parse_prefix(text)?;
        let end = len + leading_blanks(&text[len..]);
        if end < text.len() {
            let rest = clipped(text[end..].trim_end());
            return Err(WrittenError::new(end, format!("`{rest}` after a gauge is not understood"), ACCEPT));
        }
        Ok(gauge)
    }

    /// Reads one gauge at the start of `text` and says how many bytes it took, `stranded` or `solid` behind
    /// a blank included.
    ///
    /// # Errors
    /// As [`Gauge::parse`], except that anything may follow.
    pub fn parse_prefix(text: &str) -> Result<(Self, usize), WrittenError> {
        let start = leading_blanks(text);
        let body = &text[start..];
        let (gauge, len) = match awg_number(body) {
            Some((number, len)) => (awg(body, number, len), len),
            None => area(body),
        };
        let gauge = gauge.map_err(|error| error.moved(start))?;
        let after = &body[len..];
        let blanks = leading_blanks(after);
        let construction = [("stranded", true), ("solid", false)]
            .into_iter()
            .find(|(name, _)| blanks > 0 && after[blanks..].strip_prefix(name).is_some_and(is_word_end));
        Ok(match construction {
            Some((name, stranded)) => (gauge.with_strands(stranded), start + len + blanks + name.len()),
            None => (gauge, start + len),
        })
    }

    /// The shortest text that [`Gauge::parse`] reads back: `22 AWG`, `0.5 mm2 stranded`.
    #[must_use]
    pub fn written(self) -> String {
        self.spelled(" ", "mm2")
    }

    /// [`written`](Gauge::written) as the network notation has it: `22AWG`, `0.5mm2 stranded`.
    #[must_use]
    pub fn compact(self) -> String {
        self.spelled("", "mm2")
    }

    /// For people: the gauge as it is sold, and its like in the job's units where those differ:
    /// `22 AWG (0.326 mm²)`, `0.5 mm² (near 20 AWG)`.
    #[must_use]
    pub fn shown_in(self, units: UnitsShown) -> String {
        let own = self.spelled("\u{2009}", "mm\u{b2}");
        match (self, units) {
            (Self::Awg { .. }, UnitsShown::Metric) => format!("{own} ({})", self.area().shown(3)),
            (Self::Area { area, .. }, UnitsShown::Us) => {
                format!("{own} (near {}\u{2009}AWG)", nearest_awg(area))
            }
            _ => own,
        }
    }

    /// Whether it is stranded.
    #[must_use]
    pub fn is_stranded(self) -> bool {
        match self {
            Self::Awg { stranded, .. } | Self::Area { stranded, .. } => stranded,
        }
    }

    /// Cross-section: nominal, for AWG from the diameter `d = 0.127 mm * 92^((36-n)/39)` of ASTM B258.
    #[must_use]
    pub fn area(self) -> SquareMillimetres {
        match self {
            Self::Awg { number, .. } => {
                let diameter_mm = 0.127 * libm::pow(92.0, (36.0 - f64::from(number)) / 39.0);
                SquareMillimetres(std::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm)
            }
            Self::Area { area, .. } => area,
        }
    }

    /// Resistance of one conductor by its length, all that it can be at the temperature `at`.
    ///
    /// By AWG it is exact from the geometry, stranded 2 % more: `R = 1 / (58 A)`. By mm² it lies between
    /// the geometry of the nominal area and the published maximum (IEC 60228, plain: classes 1 and 2 when
    /// solid, class 5 when stranded; DIN VDE 0295 below 0.5 mm²). A size that those tables do not list gets
    /// as its high end the geometry times the largest ratio of maximum to geometry among the listed sizes
    /// of its table: 1.0745 solid, 1.1571 stranded, 1.2250 below 0.5 mm².
    ///
    /// `R(T) = R20 (1 + 0.00393 (T - 20))`, never below zero.
    #[must_use]
    pub fn per_metre(self, at: Celsius) -> Interval<OhmsPerMetre> {
        let geometry = 1.0 / (CONDUCTIVITY_M_PER_OHM_MM2 * self.area().0);
        let factor = temperature_factor(at);
        match self {
            Self::Awg { stranded, .. } => {
                let lay = if stranded { LAY } else { 1.0 };
                Interval::exact(OhmsPerMetre(geometry * lay * factor))
            }
            Self::Area { area, stranded } => {
                let most = published_maximum(area, stranded, geometry);
                Interval::new(OhmsPerMetre(geometry * factor), OhmsPerMetre(most * factor))
            }
        }
    }

    /// [`per_metre`](Gauge::per_metre) over all of a range of temperatures: least when cold, most when hot.
    #[must_use]
    pub fn per_metre_over(self, at: Interval<Celsius>) -> Interval<OhmsPerMetre> {
        self.per_metre(at.lo()).hull(self.per_metre(at.hi()))
    }

    fn with_strands(self, stranded: bool) -> Self {
        match self {
            Self::Awg { number, .. } => Self::Awg { number, stranded },
            Self::Area { area, .. } => Self::Area { area, stranded },
        }
    }

    fn spelled(self, blank: &str, square: &str) -> String {
        let size = match self {
            Self::Awg { number, .. } => format!("{number}{blank}AWG"),
            Self::Area { area, .. } => area.compact().replace("mm2", &format!("{blank}{square}")),
        };
        if self.is_stranded() { format!("{size} stranded") } else { size }
    }
}

/// The digits of `22 AWG` or `22awg` and the bytes up to the end of the unit.
fn awg_number(body: &str) -> Option<(&str, usize)> {
    let end = body.bytes().take_while(u8::is_ascii_digit).count();
    let unit = end + leading_blanks(&body[end..]);
    let known =
        ["AWG", "awg", "Awg"].iter().any(|name| body[unit..].strip_prefix(name).is_some_and(is_word_end));
    (end > 0 && known).then(|| (&body[..end], unit + "AWG".len()))
}

fn awg(body: &str, number: &str, len: usize) -> Result<Gauge, WrittenError> {
    match number.parse::<i8>() {
        Ok(number) if AWG_TAKEN.contains(&number) => Ok(Gauge::Awg { number, stranded: false }),
        _ => Err(WrittenError::new(
            0,
            format!("`{}` is no gauge of field cable: 4 to 36 AWG are taken", clipped(&body[..len])),
            ACCEPT,
        )),
    }
}

fn area(body: &str) -> (Result<Gauge, WrittenError>, usize) {
    match parse_prefix::<SquareMillimetres>(body) {
        Ok((area, len)) if AREA_TAKEN.contains(&area.0) => (Ok(Gauge::Area { area, stranded: false }), len),
        Ok((_, len)) => {
            let said = clipped(&body[..len]);
            let text = format!("`{said}` is no size of field cable: 0.05 to 50 mm2 are taken");
            (Err(WrittenError::new(0, text, ACCEPT)), len)
        }
        Err(error) => (Err(WrittenError { accept: ACCEPT.to_owned(), ..error }), 0),
    }
}

/// `1 + 0.00393 (T - 20)`: Industrial Power Engineering and Applications Handbook p. 970 (`conductors.csv`).
fn temperature_factor(at: Celsius) -> f64 {
    (1.0 + COEFFICIENT_PER_K * (at - TABLE_TEMPERATURE).0).max(0.0)
}

/// In ohm/m at 20 °C; see [`Gauge::per_metre`].
fn published_maximum(area: SquareMillimetres, stranded: bool, geometry: f64) -> f64 {
    let table = match (area.0 < FINE_BELOW_MM2, stranded) {
        (true, _) => FINE_MAX,
        (false, false) => SOLID_MAX,
        (false, true) => STRANDED_MAX,
    };
    let listed = table.iter().find(|(listed_mm2, _)| (listed_mm2 - area.0).abs() <= 1e-9 * area.0);
    match listed {
        Some((_, ohm_per_km)) => ohm_per_km / 1000.0,
        None => geometry * largest_ratio(table),
    }
}

/// The largest of published maximum over geometry in a table.
fn largest_ratio(table: &Maxima) -> f64 {
    table
        .iter()
        .map(|(area_mm2, ohm_per_km)| ohm_per_km / 1000.0 * CONDUCTIVITY_M_PER_OHM_MM2 * area_mm2)
        .fold(1.0, f64::max)
}

/// The AWG number whose area is nearest by ratio.
fn nearest_awg(area: SquareMillimetres) -> i8 {
    let distance = |number: i8| {
        let other = Gauge::Awg { number, stranded: false }.area();
        (area / other).max(other / area)
    };
    AWG_TAKEN.min_by(|one, other| distance(*one).total_cmp(&distance(*other))).unwrap_or(22)
}
