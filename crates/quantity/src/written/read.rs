//! From text to quantities, with an error that says what would have been accepted.

use super::Written;
use super::number::{NoNumber, Number, digits};
use super::spelling::{SHARE, Scale, Spelling, Unit};
use crate::{Interval, Ratio};

/// Why a text is not the quantity that was wanted, in plain words.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{text}; accepted: {accept}")]
pub struct WrittenError {
    /// Byte offset in the text at which it is wrong.
    pub at: usize,
    /// What is wrong.
    pub text: String,
    /// What would be accepted, with an example.
    pub accept: String,
}

impl WrittenError {
    pub(crate) fn new(at: usize, text: impl Into<String>, accept: impl Into<String>) -> Self {
        Self { at, text: text.into(), accept: accept.into() }
    }

    pub(crate) fn moved(mut self, by: usize) -> Self {
        self.at += by;
        self
    }
}

/// A value together with the step of the last digit that was typed: `2.21k` has 10 ohm, `2.210k` 1 ohm.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Typed<Q> {
    /// The value.
    pub value: Q,
    /// The step of its last digit.
    pub digit: Q,
}

/// Reads one quantity; blanks around it are ignored.
///
/// ```
/// use quantity::{Metres, Ohms, Written, parse};
///
/// assert_eq!(parse("4k7"), Ok(Ohms(4700.0)));
/// assert_eq!(parse("125 ft"), Ok(Metres(38.1)));
/// assert_eq!(Ohms(4700.0).written(), "4.7k");
/// assert_eq!(parse::<Ohms>("470").unwrap_err().text, "the unit of `470` is missing");
/// ```
///
/// # Errors
/// [`WrittenError`] for anything but one number with its unit, inside the physical range.
pub fn parse<Q: Written>(text: &str) -> Result<Q, WrittenError> {
    Ok(Q::of(whole(text, Q::SPELLING)?.value))
}

/// Reads one quantity and keeps what its last digit is worth, as a reading of a meter needs it.
///
/// # Errors
/// As [`parse`].
pub fn parse_typed<Q: Written>(text: &str) -> Result<Typed<Q>, WrittenError> {
    let found = whole(text, Q::SPELLING)?;
    Ok(Typed { value: Q::of(found.value), digit: Q::of(found.number.last_digit(&found.unit)) })
}

/// Reads a share that may be more than all of it, as the edge of a learned band (`140 %`); [`parse`] takes a
/// [`Ratio`] for a tolerance and stops at 100 %.
///
/// # Errors
/// As [`parse`], above 10,000 %.
pub fn parse_share(text: &str) -> Result<Ratio, WrittenError> {
    Ok(Ratio(whole(text, &SHARE)?.value))
}

/// Reads a range (`a to b`, the unit may be left out at the first end), a value with a tolerance
/// (`5 V 2 %`), or a single value.
///
/// # Errors
/// As [`parse`]; and when the ends are reversed, or the quantity takes no tolerance in percent.
pub fn parse_interval<Q: Written>(text: &str) -> Result<Interval<Q>, WrittenError> {
    let (lo, hi) = match standalone_to(text) {
        Some(to) => range(text, to, to + "to".len(), Q::SPELLING)?,
        None => {
            let found = prefix(text, Q::SPELLING)?;
            let rest = &text[found.len..];
            let blank = leading_blanks(rest);
            if blank == rest.len() {
                return Ok(Interval::exact(Q::of(found.value)));
            }
            let tolerance = tolerance(rest, Q::SPELLING).map_err(|error| error.moved(found.len))?;
            return Ok(Interval::with_tolerance(Q::of(found.value), tolerance));
        }
    };
    Ok(Interval::new(Q::of(lo), Q::of(hi)))
}

/// Reads one quantity at the start of `text` and says how many bytes it took (leading blanks included): the
/// longest unit that fits, which must not run on into letters, digits or `_`.
///
/// # Errors
/// As [`parse`], except that anything may follow.
pub fn parse_prefix<Q: Written>(text: &str) -> Result<(Q, usize), WrittenError> {
    let found = prefix(text, Q::SPELLING)?;
    Ok((Q::of(found.value), found.len))
}

/// As [`parse_prefix`], for a value or for two with `..` between them, as the notation writes a length that
/// is known only as a range: `10..60m`, `10m..60m`.
///
/// # Errors
/// As [`parse_prefix`], and when the ends are reversed.
pub fn parse_span_prefix<Q: Written>(text: &str) -> Result<(Interval<Q>, usize), WrittenError> {
    let Some(dots) = dots_after_first(text, Q::SPELLING) else {
        let found = prefix(text, Q::SPELLING)?;
        return Ok((Interval::exact(Q::of(found.value)), found.len));
    };
    let after = dots + "..".len();
    let len = prefix(&text[after..], Q::SPELLING).map_err(|error| error.moved(after))?.len;
    let (lo, hi) = range(&text[..after + len], dots, after, Q::SPELLING)?;
    Ok((Interval::new(Q::of(lo), Q::of(hi)), after + len))
}

/// What a number with its unit came to.
struct Found {
    number: Number,
    unit: Unit,
    /// A letter stood for the decimal point.
    pointed: bool,
    value: f64,
    len: usize,
}

/// One quantity and nothing else.
fn whole(text: &str, spelling: &Spelling) -> Result<Found, WrittenError> {
    let found = prefix(text, spelling)?;
    let end = found.len + leading_blanks(&text[found.len..]);
    if end < text.len() {
        let rest = text[end..].trim_end();
        return Err(WrittenError::new(
            end,
            format!("`{}` after {} is not understood", clipped(rest), spelling.what),
            spelling.accept,
        ));
    }
    Ok(found)
}

/// One quantity at the start.
fn prefix(text: &str, spelling: &Spelling) -> Result<Found, WrittenError> {
    let start = leading_blanks(text);
    let body = &text[start..];
    let number = number(body, spelling).map_err(|error| error.moved(start))?;
    let found = match pointed(body, &number, spelling).map_err(|error| error.moved(start))? {
        Some(found) => found,
        None => suffixed(body, number, spelling).map_err(|error| error.moved(start))?,
    };
    in_range(&found, body, spelling).map_err(|error| error.moved(start))?;
    Ok(Found { len: start + found.len, ..found })
}

fn number(body: &str, spelling: &Spelling) -> Result<Number, WrittenError> {
    Number::at_start(body).map_err(|why| match why {
        NoNumber::Comma => WrittenError::new(
            0,
            "a comma in the number: the decimal sign is a point, and thousands are written without a sign",
            spelling.accept,
        ),
        NoNumber::Absent if body.is_empty() => {
            WrittenError::new(0, format!("{} is wanted here", spelling.what), spelling.accept)
        }
        NoNumber::Absent => WrittenError::new(
            0,
            format!("`{}` does not start with a number; {} is wanted", clipped(word(body)), spelling.what),
            spelling.accept,
        ),
    })
}

/// `4k7`: a letter in place of the decimal point, with or without `ohm` behind it.
fn pointed(body: &str, number: &Number, spelling: &Spelling) -> Result<Option<Found>, WrittenError> {
    let rest = &body[number.len..];
    let Some(letter) = rest.chars().next().filter(|_| number.whole) else { return Ok(None) };
    let Some((_, power)) = spelling.points.iter().find(|(point, _)| *point == letter) else {
        return Ok(None);
    };
    let fraction = digits(&rest[letter.len_utf8()..]);
    let mut len = number.len + letter.len_utf8() + fraction.len();
    if fraction.is_empty() {
        return Ok(None);
    }
    if body[len..].trim_start().starts_with('%') {
        return Err(run_together(&body[..len]));
    }
    let blanks = leading_blanks(&body[len..]);
    if let Some(base) = unit_at(&body[len + blanks..], spelling)
        && base.is_decimal(0)
        && base.text != "R"
    {
        len += blanks + base.text.len();
    }
    if !is_word_end(&body[len..]) {
        return Ok(None);
    }
    let unit = Unit { text: "", scale: Scale::Decimal { times: 1, power: *power } };
    let mut number = number.clone();
    number.push_fraction(fraction);
    let value = number.value(&unit);
    Ok(Some(Found { number, unit, pointed: true, value, len }))
}

fn run_together(said: &str) -> WrittenError {
    WrittenError::new(
        0,
        format!("`{}` runs into its tolerance", clipped(said)),
        "a blank before the tolerance, such as `4.7k 1 %`",
    )
}

/// `4.7 kohm`: the unit behind the number, a blank between them or not.
fn suffixed(body: &str, number: Number, spelling: &Spelling) -> Result<Found, WrittenError> {
    let at = number.len + leading_blanks(&body[number.len..]);
    let rest = &body[at..];
    if let Some(unit) = unit_at(rest, spelling) {
        let value = number.value(unit);
        return Ok(Found { number, unit: *unit, pointed: false, value, len: at + unit.text.len() });
    }
    let said = word(rest);
    if said.is_empty() || said.starts_with(|c: char| c.is_ascii_digit()) {
        let text = format!("the unit of `{}` is missing", &body[..number.len]);
        return Err(WrittenError::new(0, text, spelling.accept));
    }
    if runs_into_tolerance(rest, spelling) {
        return Err(run_together(word(body)));
    }
    let alike = spelling.units.iter().find(|unit| unit.text.to_lowercase() == said.to_lowercase());
    let text = match alike {
        Some(unit) => format!("`{said}` is no unit here; capitals matter: `{}`", unit.text),
        None => format!("`{}` is no unit of {}", clipped(said), spelling.what),
    };
    let accept = match said.to_lowercase().as_str() {
        "m" | "mohm" | "m\u{3c9}" if !spelling.points.is_empty() => {
            "`M` or `Mohm` for a million ohm; a thousandth of an ohm as `0.001 ohm`"
        }
        _ => spelling.accept,
    };
    Err(WrittenError::new(at, text, accept))
}

fn in_range(found: &Found, body: &str, spelling: &Spelling) -> Result<(), WrittenError> {
    let said = clipped(body[..found.len].trim_end());
    let (least, least_said) = spelling.least;
    let (most, most_said) = spelling.most;
    let text = if found.value < least && found.number.is_negative() && spelling.least.1 == "0" {
        format!("`{said}` is negative; {} is not", spelling.what)
    } else if found.value < least {
        format!("`{said}` is below {least_said}, the least that {} can be", spelling.what)
    } else if found.value > most || found.value.is_nan() {
        format!("`{said}` is above {most_said}, the most that is taken for {}", spelling.what)
    } else {
        return Ok(());
    };
    Err(WrittenError::new(0, text, format!("{}, from {least_said} to {most_said}", spelling.accept)))
}

/// Both ends of a range whose sign stands from `sign` to `after`.
fn range(text: &str, sign: usize, after: usize, spelling: &Spelling) -> Result<(f64, f64), WrittenError> {
    let high = whole(&text[after..], spelling).map_err(|error| error.moved(after))?;
    let left = &text[..sign];
    let start = leading_blanks(left);
    let low = match Number::at_start(&left[start..]) {
        Ok(number) if left[start + number.len..].trim().is_empty() && !high.pointed => {
            let value = number.value(&high.unit);
            let len = number.len;
            let low = Found { number, unit: high.unit, pointed: false, value, len };
            in_range(&low, &left[start..], spelling).map_err(|error| error.moved(start))?;
            low
        }
        _ => whole(left, spelling)?,
    };
    if low.value > high.value {
        return Err(WrittenError::new(
            start,
            format!("the ends of `{}` are reversed", clipped(text.trim())),
            "the smaller end first, such as `10 m to 60 m`",
        ));
    }
    Ok((low.value, high.value))
}

/// What follows a value, taken as its tolerance; the sign `±` may stand before it.
fn tolerance(rest: &str, spelling: &Spelling) -> Result<Ratio, WrittenError> {
    let mut start = leading_blanks(rest);
    if let Some(after) = rest[start..].strip_prefix('\u{b1}') {
        start = rest.len() - after.len();
    }
    let body = &rest[start..];
    if matches!(Number::at_start(body), Err(NoNumber::Absent)) {
        let text = format!("`{}` after {} is not understood", clipped(body.trim_end()), spelling.what);
        let accept = format!("{}; a range as `a to b`", spelling.accept);
        return Err(WrittenError::new(start, text, accept));
    }
    if !spelling.tolerance {
        let text = format!("{} takes no tolerance in percent", spelling.what);
        return Err(WrittenError::new(start, text, format!("{}; a range as `a to b`", spelling.accept)));
    }
    parse::<Ratio>(body).map_err(|error| error.moved(start))
}

/// Where the word `to` stands between blanks.
fn standalone_to(text: &str) -> Option<usize> {
    text.match_indices("to").map(|(at, _)| at).find(|&at| {
        text[..at].ends_with(char::is_whitespace) && text[at + 2..].starts_with(char::is_whitespace)
    })
}

/// Where `..` stands behind a first number, its unit given or left out.
fn dots_after_first(text: &str, spelling: &Spelling) -> Option<usize> {
    let start = leading_blanks(text);
    let number = Number::at_start(&text[start..]).ok()?;
    let mut at = start + number.len;
    at += leading_blanks(&text[at..]);
    if text[at..].starts_with("..") {
        return Some(at);
    }
    at = prefix(text, spelling).ok()?.len;
    at += leading_blanks(&text[at..]);
    text[at..].starts_with("..").then_some(at)
}

/// The longest unit at the start of `rest` that does not run on.
fn unit_at<'a>(rest: &str, spelling: &'a Spelling) -> Option<&'a Unit> {
    spelling
        .units
        .iter()
        .filter(|unit| rest.strip_prefix(unit.text).is_some_and(is_word_end))
        .max_by_key(|unit| unit.text.len())
}

/// `k1%`: a known unit, digits without a blank, a percent sign.
fn runs_into_tolerance(rest: &str, spelling: &Spelling) -> bool {
    spelling.units.iter().filter_map(|unit| rest.strip_prefix(unit.text)).any(|tail| {
        Number::at_start(tail).is_ok_and(|number| tail[number.len..].trim_start().starts_with('%'))
    })
}

/// Whether a word may end before `rest`: nothing that belongs to a word follows.
pub(crate) fn is_word_end(rest: &str) -> bool {
    !rest.starts_with(|c: char| c.is_alphanumeric() || c == '_')
}

/// Bytes of white space at the start.
pub(crate) fn leading_blanks(text: &str) -> usize {
    text.len() - text.trim_start().len()
}

/// The word at the start: up to a blank or a sign of the notation.
fn word(text: &str) -> &str {
    let end = text.find(|c: char| c.is_whitespace() || "-|()@^,;".contains(c)).unwrap_or(text.len());
    &text[..end]
}

/// At most 24 characters of what was typed, so that an error stays one line.
pub(crate) fn clipped(text: &str) -> String {
    match text.char_indices().nth(24) {
        Some((end, _)) => format!("{}\u{2026}", &text[..end]),
        None => text.to_owned(),
    }
}
