//! The code tables, embedded as data: `codes/contact-id.csv` and `codes/two-letter.csv`.

use crate::contact_id::Qualifier;

/// What the number beside a code stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Numbers {
    /// A zone.
    Zone,
    /// A user.
    User,
    /// An area.
    Area,
    /// Something else, by its own name: `expander`, `door`, `line` ...
    Other(&'static str),
    /// Nothing.
    None,
}

/// One row of a table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Code {
    /// The code.
    pub code: String,
    /// Its group.
    pub group: String,
    /// Our own short words.
    pub meaning: String,
    /// What its number stands for.
    pub number: Numbers,
    /// Codes that usually end the condition; two-letter codes only.
    pub restores: Vec<[u8; 2]>,
}

/// Both tables. Read once, by whoever needs them.
#[derive(Clone, Debug)]
pub struct Codes {
    /// By number.
    contact_id: Vec<(u32, Code)>,
    /// By letters.
    two_letter: Vec<([u8; 2], Code)>,
}

const CONTACT_ID: &str = include_str!("../codes/contact-id.csv");
const TWO_LETTER: &str = include_str!("../codes/two-letter.csv");

impl Codes {
    /// The embedded tables.
    #[must_use]
    pub fn embedded() -> Self {
        let contact_id = rows(CONTACT_ID).filter_map(|code| Some((code.code.parse().ok()?, code)));
        let two_letter =
            rows(TWO_LETTER).filter_map(|code| Some((code.code.as_bytes().try_into().ok()?, code)));
        let mut codes = Self { contact_id: contact_id.collect(), two_letter: two_letter.collect() };
        codes.contact_id.sort_by_key(|(code, _)| *code);
        codes.two_letter.sort_by_key(|(code, _)| *code);
        codes
    }

    /// The row of a Contact ID code.
    #[must_use]
    pub fn contact_id(&self, code: u32) -> Option<&Code> {
        let at = self.contact_id.binary_search_by_key(&code, |(code, _)| *code).ok()?;
        self.contact_id.get(at).map(|(_, code)| code)
    }

    /// The row of a two-letter code.
    #[must_use]
    pub fn two_letter(&self, code: [u8; 2]) -> Option<&Code> {
        let at = self.two_letter.binary_search_by_key(&code, |(code, _)| *code).ok()?;
        self.two_letter.get(at).map(|(_, code)| code)
    }

    /// Every Contact ID code, rising.
    pub fn all_contact_id(&self) -> impl Iterator<Item = &Code> {
        self.contact_id.iter().map(|(_, code)| code)
    }

    /// Every two-letter code, rising.
    pub fn all_two_letter(&self) -> impl Iterator<Item = &Code> {
        self.two_letter.iter().map(|(_, code)| code)
    }
}

impl Code {
    /// What a Contact ID event of this code says: `perimeter zone in alarm`, `restored: ...`, `closed by a user`.
    #[must_use]
    pub fn says(&self, qualifier: Qualifier) -> String {
        // `firmware update begun (restore: done)`: the word for the end stands in brackets.
        let (meaning, end) = match self.meaning.split_once(" (restore: ") {
            Some((meaning, end)) => (meaning, Some(end.trim_end_matches(')'))),
            None => (self.meaning.as_str(), None),
        };
        let pair = [("opened/closed", "opened", "closed"), ("armed/disarmed", "disarmed", "armed")];
        let found = pair.iter().find_map(|(both, new, old)| Some((meaning.strip_prefix(both)?, new, old)));
        match (qualifier, found) {
            (Qualifier::New, Some((rest, new, _))) => format!("{new}{rest}"),
            (Qualifier::Restore, Some((rest, _, old))) => format!("{old}{rest}"),
            (Qualifier::New, None) => meaning.to_owned(),
            (Qualifier::Restore, None) => match end {
                Some(end) => format!("ended ({end}): {meaning}"),
                None => format!("restored: {meaning}"),
            },
            (Qualifier::Still, _) => format!("still there: {meaning}"),
        }
    }
}

fn rows(text: &'static str) -> impl Iterator<Item = Code> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headers: Vec<String> =
        reader.headers().map(|row| row.iter().map(str::to_owned).collect()).unwrap_or_default();
    let of = move |row: &csv::StringRecord, name: &str| {
        let at = headers.iter().position(|header| header == name);
        at.and_then(|at| row.get(at)).unwrap_or_default().to_owned()
    };
    reader.into_records().filter_map(Result::ok).map(move |row| Code {
        code: of(&row, "code"),
        group: of(&row, "group"),
        meaning: of(&row, "meaning"),
        number: numbers(&of(&row, "number_is")),
        restores: of(&row, "usual_restore")
            .split_whitespace()
            .filter_map(|code| code.as_bytes().try_into().ok())
            .collect(),
    })
}

fn numbers(word: &str) -> Numbers {
    const OTHERS: [&str; 9] =
        ["expander", "condition", "device", "door", "line", "network", "output", "receiver", "maker-defined"];
    match word {
        "zone" => Numbers::Zone,
        "user" => Numbers::User,
        "area" => Numbers::Area,
        other => {
            OTHERS.iter().find(|known| **known == other).map_or(Numbers::None, |known| Numbers::Other(known))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read() {
        let codes = Codes::embedded();
        assert_eq!(codes.contact_id.len(), CONTACT_ID.lines().count() - 1);
        assert_eq!(codes.two_letter.len(), TWO_LETTER.lines().count() - 1);
        for (text, column) in [(CONTACT_ID, 3), (TWO_LETTER, 3)] {
            for row in csv::Reader::from_reader(text.as_bytes()).records() {
                let word = row.expect("a row").get(column).expect("a column").to_owned();
                assert!(numbers(&word) != Numbers::None || ["none", ""].contains(&word.as_str()), "{word}");
            }
        }
        for code in codes.all_two_letter() {
            for restore in &code.restores {
                assert!(
                    codes.two_letter(*restore).is_some(),
                    "{} ends with one that is not listed",
                    code.code
                );
            }
        }
    }

    #[test]
    fn opening_is_new_and_closing_is_a_restore() {
        let codes = Codes::embedded();
        let said = |code, qualifier| codes.contact_id(code).expect("it is listed").says(qualifier);
        assert_eq!(said(401, Qualifier::New), "opened by a user");
        assert_eq!(said(401, Qualifier::Restore), "closed by a user");
        assert_eq!(said(407, Qualifier::Restore), "armed from a distance");
        assert_eq!(said(131, Qualifier::Restore), "restored: perimeter zone in alarm");
        assert_eq!(said(607, Qualifier::Restore), "ended (off): walk test on");
        assert_eq!(said(301, Qualifier::Still), "still there: mains lost");
        assert!(codes.contact_id(199).is_none());
    }
}
