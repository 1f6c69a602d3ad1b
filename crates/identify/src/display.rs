//! What somebody wrote down of a meter's display: on a card, in a cell of a sheet. One reading of it for all of them.

/// What stands there, before anybody knows of which quantity it is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum WrittenDown {
    /// Over range.
    Open,
    /// A display that does not come to rest.
    Unstable,
    /// Digits, with a unit or without one, as a job file takes them: a point where a comma was one, a plain minus, plain
    /// blanks.
    Text(String),
}

/// Why what stands there is no display.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct NoDisplay {
    /// What is wrong, lower case, no full stop.
    pub text: String,
    /// What would be accepted.
    pub accept: String,
}

const OPEN: [&str; 7] = ["open", "ol", "o.l", "o.l.", "0l", "\u{221e}", "over range"];
const UNSTABLE: [&str; 4] = ["unstable", "restless", "~", "?"];

impl WrittenDown {
    /// Reads what was written; blanks around it are ignored.
    ///
    /// # Errors
    /// What no meter shows, and a comma that may be a point or may part thousands: `4,700`.
    pub fn of(text: &str) -> Result<Self, NoDisplay> {
        // What a spreadsheet sets between number and unit, so that a line is not broken there.
        let text = text.replace(['\u{a0}', '\u{2009}', '\u{202f}'], " ");
        let text = text.trim().replacen(['\u{2212}', '\u{2013}'], "-", 1);
        let is_one_of = |words: &[&str]| words.iter().any(|word| word.eq_ignore_ascii_case(&text));
        if is_one_of(&OPEN) {
            return Ok(Self::Open);
        }
        if is_one_of(&UNSTABLE) {
            return Ok(Self::Unstable);
        }
        if text.starts_with('>') {
            let accept = "`open` or `OL` where it was over range".to_owned();
            return Err(NoDisplay { text: format!("`{text}` is no display of a meter"), accept });
        }
        if is_thousands(&text) {
            let (with_point, without) = (text.replace(',', "."), text.replace(',', ""));
            let accept =
                format!("`{with_point}` where the comma is a point, `{without}` where it parts thousands");
            return Err(NoDisplay { text: format!("`{text}` can be read in two ways"), accept });
        }
        Ok(Self::Text(pointed(&text)))
    }
}

/// A comma between digits is the point of whoever types with one; a display has no other.
fn pointed(text: &str) -> String {
    let comma = text.split_once(',').filter(|(before, after)| {
        before.ends_with(|sign: char| sign.is_ascii_digit())
            && after.starts_with(|sign: char| sign.is_ascii_digit())
            && !text.contains('.')
    });
    match comma {
        Some((before, after)) if !after.contains(',') => format!("{before}.{after}"),
        _ => text.to_owned(),
    }
}

/// Whether its one comma may part thousands as well as be a point: three digits behind it, and no point.
fn is_thousands(text: &str) -> bool {
    let Some((before, after)) = text.split_once(',') else { return false };
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    let is_one = !after.contains(',') && !text.contains('.');
    // A nought in front parts nothing: `0,470` is less than one.
    let is_below_one = before.trim_start_matches(['-', '+']) == "0";
    is_one && digits == 3 && !is_below_one && before.ends_with(|sign: char| sign.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_write_is_read_in_one_way_or_not_at_all() {
        for (typed, plain) in [
            ("2.2k", "2.2k"),
            ("2k2", "2k2"),
            ("2,2 kΩ", "2.2 kΩ"),
            (" 2,2\u{a0}k ", "2.2 k"),
            ("\u{2212}0,02 V", "-0.02 V"),
            ("\u{2013}12 mV", "-12 mV"),
            ("4,70", "4.70"),
            ("4,7000", "4.7000"),
            ("0,470 k", "0.470 k"),
            ("-0,012 V", "-0.012 V"),
            // More than one of them is left to whoever reads numbers, who takes none.
            ("1,234.5", "1,234.5"),
            ("1,2,3", "1,2,3"),
            ("", ""),
        ] {
            assert_eq!(WrittenDown::of(typed), Ok(WrittenDown::Text(plain.to_owned())), "{typed}");
        }
        for open in ["OL", "o.L.", "Open", "0L", "\u{221e}", " over range "] {
            assert_eq!(WrittenDown::of(open), Ok(WrittenDown::Open), "{open}");
        }
        for unstable in ["~", "Unstable", "restless"] {
            assert_eq!(WrittenDown::of(unstable), Ok(WrittenDown::Unstable), "{unstable}");
        }
        for (typed, wrong) in [
            ("4,700", "two ways"),
            ("4,700 ohm", "two ways"),
            ("12,345k", "two ways"),
            ("> 40M", "no display"),
            (">5", "no display"),
        ] {
            assert!(WrittenDown::of(typed).unwrap_err().text.contains(wrong), "{typed}");
        }
    }
}
