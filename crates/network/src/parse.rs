//! From the notation's text to a sketch, in one pass and without recursion.

use quantity::{Farads, Gauge, Interval, Metres, Ohms, Ratio};

use crate::element::{Conductor, LengthUnit, Run};
use crate::sketch::{MAX_BRACKETS, MAX_ELEMENTS, Piece, Sign, Sketch};
use crate::{Element, Form, Part, Role};

/// What is wrong with a network's text, and where.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{text}")]
pub struct NotationError {
    /// The column in the text, from 1, in characters.
    pub column: usize,
    /// What is wrong.
    pub text: String,
    /// What would be accepted.
    pub accept: String,
}

/// Nothing smaller hangs on an alarm circuit, and nothing smaller prints as a person would write it.
const LEAST_RESISTOR: Ohms = Ohms(1e-3);
const LEAST_CAPACITOR: Farads = Farads(1e-12);
const LEAST_TOLERANCE: Ratio = Ratio(1e-5);

const ELEMENTS: &str = "wire:38m, core:15m, nc:name, no:name, 4.7k, smoke:name, sounder:name, joint:name, diode, 47uF, \
                        joined, open, or a bracket";

/// Reads the notation.
///
/// # Errors
/// The first thing that is wrong, with its column.
pub(crate) fn sketch(text: &str) -> Result<Sketch, NotationError> {
    Reader { text, at: 0, gauge: None, elements: 0, before: None }.whole()
}

/// A bracket that is open while its pieces are read.
struct Level {
    column: usize,
    sketch: Option<Sketch>,
    sign: Option<Sign>,
}

struct Reader<'a> {
    text: &'a str,
    /// Byte offset of what is read next.
    at: usize,
    /// The gauge nearest to the left.
    gauge: Option<Gauge>,
    elements: usize,
    /// The name just read, when a `-` stands directly behind it: `front-door` is one mistake, not two.
    before: Option<String>,
}

type Outcome<T> = Result<T, NotationError>;

impl<'a> Reader<'a> {
    fn whole(mut self) -> Outcome<Sketch> {
        let mut levels = vec![Level { column: 0, sketch: None, sign: None }];
        loop {
            self.blanks();
            let wanted = levels.last().is_none_or(|level| level.sketch.is_none() || level.sign.is_some());
            match (self.peek(), wanted) {
                (Some('('), true) => {
                    if levels.len() > MAX_BRACKETS {
                        return Err(self.wrong(
                            self.at,
                            format!("brackets stand more than {MAX_BRACKETS} deep"),
                            "a network with fewer brackets in one another",
                        ));
                    }
                    levels.push(Level { column: self.column(self.at), sketch: None, sign: None });
                    self.at += 1;
                }
                (Some(_), true) => {
                    let element = self.element()?;
                    place(&mut levels, Piece::Element(element));
                }
                (None, true) => return Err(self.element_wanted()),
                (Some(')'), false) => {
                    let closed = self.close(&mut levels)?;
                    place(&mut levels, closed);
                }
                (Some(sign @ ('-' | '|')), false) => {
                    self.at += 1;
                    if let Some(level) = levels.last_mut() {
                        level.sign = Some(if sign == '-' { Sign::InLine } else { Sign::Across });
                    }
                    if sign == '|' || self.peek().is_none_or(char::is_whitespace) {
                        self.before = None;
                    }
                }
                (Some(_), false) => {
                    return Err(self.wrong(
                        self.at,
                        "a sign is wanted here",
                        "`-` (in line) or `|` (across), or the end",
                    ));
                }
                (None, false) => return self.finish(levels),
            }
        }
    }

    fn close(&mut self, levels: &mut Vec<Level>) -> Outcome<Piece> {
        if levels.len() < 2 {
            return Err(self.wrong(self.at, "no bracket is open here", "the same without this bracket"));
        }
        self.at += 1;
        match levels.pop().and_then(|level| level.sketch) {
            Some(sketch) => Ok(Piece::Bracket(sketch)),
            None => Err(self.element_wanted()),
        }
    }

    fn finish(&self, mut levels: Vec<Level>) -> Outcome<Sketch> {
        if let [_, .., open] = levels.as_slice() {
            return Err(self.wrong(
                self.text.len(),
                format!("the bracket at {} is not closed", open.column),
                "a `)` where the piece ends",
            ));
        }
        levels.pop().and_then(|level| level.sketch).map(Sketch::bare).ok_or_else(|| self.element_wanted())
    }

    fn element_wanted(&self) -> NotationError {
        self.wrong(self.at, "an element is wanted here", ELEMENTS)
    }

    fn element(&mut self) -> Outcome<Element> {
        let start = self.at;
        self.elements += 1;
        if self.elements > MAX_ELEMENTS {
            let text = format!("more than {MAX_ELEMENTS} elements");
            return Err(self.wrong(start, text, "a circuit of fewer elements, or `other = \"a sentence\"`"));
        }
        let part = match self.peek() {
            Some(c) if c.is_ascii_digit() || c == '.' => self.value(start)?,
            Some(c) if c.is_alphabetic() => self.worded(start)?,
            _ => return Err(self.element_wanted()),
        };
        let mut element = Element::new(part);
        self.before = element.name().map(str::to_owned);
        let end = self.at;
        self.blanks();
        if self.peek() == Some('^') {
            self.at += 1;
            element.returns = true;
        } else {
            self.at = end;
        }
        Ok(element)
    }

    /// A resistor or a capacitor: a number, blanks, a unit, and behind the unit digits (`4k7`).
    fn value(&mut self, start: usize) -> Outcome<Part> {
        let number = self.run_of(|c| c.is_ascii_digit() || c == '.' || c == ',');
        if number.contains(',') {
            return Err(self.wrong(
                start,
                "a decimal comma",
                format!("a decimal point: {}", number.replace(',', ".")),
            ));
        }
        let blank = self.at;
        self.blanks();
        let unit = self.run_of(is_unit);
        if unit.is_empty() {
            self.at = blank;
            return Err(self.wrong(
                start,
                "the unit is missing",
                format!("`{number} ohm`, `{number}k` or `{number}uF`"),
            ));
        }
        let digits = self.run_of(|c| c.is_ascii_digit());
        if !digits.is_empty() && (self.peek() == Some('%') || number.contains('.')) {
            return Err(self.wrong(
                start,
                "a blank is wanted before the tolerance",
                format!("`{number}{unit} {digits} %`"),
            ));
        }
        let written = &self.text[start..self.at];
        if unit.ends_with('F') {
            let farads =
                quantity::parse::<Farads>(written).map_err(|e| self.wrong(start, e.text, e.accept))?;
            if farads < LEAST_CAPACITOR {
                return Err(self.wrong(start, "a capacitor too small to be one", "1 pF or more"));
            }
            return Ok(Part::Capacitor(farads));
        }
        let nominal = quantity::parse::<Ohms>(written).map_err(|e| self.wrong(start, e.text, e.accept))?;
        if nominal < LEAST_RESISTOR && nominal > Ohms::ZERO {
            return Err(self.wrong(start, "a resistor too small to be one", "0 ohm, or 0.001 ohm and more"));
        }
        Ok(Part::Resistor { nominal, tolerance: self.tolerance()? })
    }

    /// ` 1 %` or ` 1%` behind a resistor.
    fn tolerance(&mut self) -> Outcome<Option<Ratio>> {
        let end = self.at;
        self.blanks();
        let start = self.at;
        if start == end || !self.peek().is_some_and(|c| c.is_ascii_digit() || c == '.') {
            self.at = end;
            return Ok(None);
        }
        self.run_of(|c| c.is_ascii_digit() || c == '.');
        self.blanks();
        if self.peek() != Some('%') {
            self.at = end;
            return Ok(None);
        }
        self.at += 1;
        let written = &self.text[start..self.at];
        let tolerance = quantity::parse::<Ratio>(written).map_err(|e| self.wrong(start, e.text, e.accept))?;
        if tolerance < LEAST_TOLERANCE && tolerance > Ratio::ZERO {
            return Err(self.wrong(start, "a tolerance too small to be one", "0 %, or 0.001 % and more"));
        }
        Ok(Some(tolerance))
    }

    fn worded(&mut self, start: usize) -> Outcome<Part> {
        let word = self.run_of(|c| c.is_alphanumeric() || c == '_');
        match word {
            "diode" => return Ok(Part::Diode),
            "joined" => return Ok(Part::Joined),
            "open" => return Ok(Part::Open),
            _ => {}
        }
        let known = matches!(word, "wire" | "core" | "nc" | "no" | "smoke" | "sounder" | "joint");
        if !known || self.peek() != Some(':') {
            return Err(self.no_element(start, word, known));
        }
        self.at += 1;
        self.blanks();
        match word {
            "wire" => Ok(Part::Wire(self.conductor()?)),
            "core" => Ok(Part::Core(self.conductor()?)),
            "nc" => self.contact(Form::NormallyClosed),
            "no" => self.contact(Form::NormallyOpen),
            "smoke" => Ok(Part::Smoke(self.name()?)),
            "sounder" => Ok(Part::Sounder(self.name()?)),
            _ => Ok(Part::Joint(self.name()?)),
        }
    }

    fn no_element(&self, start: usize, word: &str, known: bool) -> NotationError {
        if known {
            return self.wrong(
                self.at,
                format!("a `:` is wanted behind `{word}`"),
                format!("`{word}:` and what follows"),
            );
        }
        match &self.before {
            Some(name) => self.wrong(
                start,
                format!("`{word}` is no element; a name holds no `-`"),
                format!("`{name}_{word}`"),
            ),
            None => self.wrong(start, format!("`{word}` is no element"), ELEMENTS),
        }
    }

    fn contact(&mut self, form: Form) -> Outcome<Part> {
        let name = self.name()?;
        let mut role = Role::Alarm;
        if self.peek() == Some('.') {
            self.at += 1;
            let start = self.at;
            let word = self.run_of(|c| c.is_alphanumeric() || c == '_');
            role = Role::from_word(word).ok_or_else(|| {
                self.wrong(start, format!("`{word}` is no role of a contact"), "alarm, tamper or fault")
            })?;
        }
        Ok(Part::Contact { name, role, form })
    }

    fn name(&mut self) -> Outcome<String> {
        let start = self.at;
        if !self.peek().is_some_and(char::is_alphabetic) {
            return Err(self.wrong(start, "a name is wanted here", "a letter, then letters, digits and `_`"));
        }
        Ok(self.run_of(|c| c.is_alphanumeric() || c == '_').to_owned())
    }

    fn conductor(&mut self) -> Outcome<Conductor> {
        let run = self.run()?;
        let end = self.at;
        self.blanks();
        if self.peek() != Some('@') {
            self.at = end;
            return Ok(Conductor { run, gauge: None, inherited: self.gauge });
        }
        if matches!(run, Run::Measured(_)) {
            let text = "a measured pair has no gauge";
            return Err(self.wrong(self.at, text, "the ohms alone, or a length with its gauge"));
        }
        self.at += 1;
        self.blanks();
        let start = self.at;
        let (gauge, used) = Gauge::parse_prefix(&self.text[start..])
            .map_err(|e| self.wrong(start + e.at, e.text, e.accept))?;
        self.at += used;
        self.gauge = Some(gauge);
        Ok(Conductor { run, gauge: Some(gauge), inherited: Some(gauge) })
    }

    /// `38m`, `125 ft`, `10..60m`, `3.2ohm`
    fn run(&mut self) -> Outcome<Run> {
        let start = self.at;
        let numbers = self.run_of(|c| c.is_ascii_digit() || c == '.' || c == ',');
        let accept = "a length (`38m`, `125ft`, `10..60m`) or measured ohms (`3.2ohm`)";
        if numbers.contains(',') {
            return Err(self.wrong(start, "a decimal comma", "a decimal point"));
        }
        if numbers.is_empty() {
            return Err(self.wrong(start, "a length is wanted here", accept));
        }
        self.blanks();
        let unit = self.run_of(is_unit);
        let rest = self.run_of(|c| c.is_ascii_digit());
        if unit.is_empty() || !rest.is_empty() {
            let text =
                if rest.is_empty() { "the unit is missing" } else { "a length or ohms is wanted here" };
            return Err(self.wrong(start, text, accept));
        }
        let (from, to) = numbers.split_once("..").unwrap_or((numbers, numbers));
        let wrong = |e: quantity::WrittenError| self.wrong(start, e.text, e.accept);
        let [from_text, to_text] = [format!("{from} {unit}"), format!("{to} {unit}")];
        let run = if unit.ends_with("ohm") || unit.ends_with(['Ω', '\u{2126}', 'R', 'k', 'M']) {
            let [lo, hi] = [
                quantity::parse::<Ohms>(&from_text).map_err(wrong)?,
                quantity::parse::<Ohms>(&to_text).map_err(wrong)?,
            ];
            if lo > hi {
                return Err(self.wrong(start, "the range runs backwards", accept));
            }
            Run::Measured(Interval::new(lo, hi))
        } else {
            let [lo, hi] = [
                quantity::parse::<Metres>(&from_text).map_err(wrong)?,
                quantity::parse::<Metres>(&to_text).map_err(wrong)?,
            ];
            if lo > hi {
                return Err(self.wrong(start, "the range runs backwards", accept));
            }
            length(from, to, unit, lo, hi)
        };
        Ok(run)
    }

    fn finished(&self) -> bool {
        self.at >= self.text.len()
    }

    fn peek(&self) -> Option<char> {
        if self.finished() { None } else { self.text[self.at..].chars().next() }
    }

    fn blanks(&mut self) {
        self.run_of(char::is_whitespace);
    }

    fn run_of(&mut self, belongs: impl Fn(char) -> bool) -> &'a str {
        let rest = &self.text[self.at..];
        let end = rest.find(|c| !belongs(c)).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    fn column(&self, at: usize) -> usize {
        self.text.get(..at).unwrap_or(self.text).chars().count() + 1
    }

    fn wrong(&self, at: usize, text: impl Into<String>, accept: impl Into<String>) -> NotationError {
        NotationError { column: self.column(at), text: text.into(), accept: accept.into() }
    }
}

/// Feet stay feet, so that the text prints as it was typed; other units of length become metres.
fn length(from: &str, to: &str, unit: &str, lo: Metres, hi: Metres) -> Run {
    match (unit, from.parse(), to.parse()) {
        ("ft", Ok(from), Ok(to)) => Run::Length { from, to, unit: LengthUnit::Feet },
        _ => Run::Length { from: lo.0, to: hi.0, unit: LengthUnit::Metres },
    }
}

fn is_unit(c: char) -> bool {
    c.is_alphabetic() || matches!(c, 'Ω' | '\u{2126}' | 'µ' | 'μ')
}

fn place(levels: &mut [Level], piece: Piece) {
    let Some(level) = levels.last_mut() else { return };
    match (&mut level.sketch, level.sign.take()) {
        (Some(sketch), Some(sign)) => sketch.push(sign, piece),
        (slot, _) => *slot = Some(Sketch::one(piece)),
    }
}
