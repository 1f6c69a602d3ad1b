//! What a pack is asked for and what comes back.

use std::str::FromStr;

/// The paper that every sheet is laid out for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Paper {
    /// 210 mm by 297 mm.
    #[default]
    A4,
    /// 8.5 in by 11 in.
    Letter,
}

impl Paper {
    /// As the title block and the typesetter write it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }
}

impl FromStr for Paper {
    type Err = PackError;

    fn from_str(text: &str) -> Result<Self, PackError> {
        match text.to_ascii_lowercase().as_str() {
            "a4" => Ok(Self::A4),
            "letter" => Ok(Self::Letter),
            _ => Err(PackError::Paper(text.to_owned())),
        }
    }
}

/// How a pack is made; everything that is not in the job.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Options {
    /// The paper.
    pub paper: Paper,
    /// The date that every sheet carries, as `2026-11-25`.
    pub date: String,
    /// The job file's name, as the sheets name it.
    pub file_name: String,
    /// The state of the job file that the sheets were drawn from, as `change 41` or a short hash.
    pub revision: String,
    /// Who looked through the job, and which version: `A. Person, change 41`; empty where nobody has.
    pub checked: String,
}

/// One file of a pack.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct File {
    /// Its path inside the pack, with `/` between folders: `tables/circuits.csv`.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// All files of a pack, in the order in which a person would look at them.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Files {
    /// The files.
    pub files: Vec<File>,
    /// Sheets in `pack.pdf`.
    pub sheets: usize,
}

impl Files {
    /// The bytes of a file by its name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&[u8]> {
        self.files.iter().find(|file| file.name == name).map(|file| file.bytes.as_slice())
    }
}

/// Why a pack could not be made.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum PackError {
    /// A date that is none.
    #[error("`{0}` is no date; write it as 2026-11-25")]
    Date(String),
    /// A paper that we do not lay out for.
    #[error("`{0}` is no paper that we know; it is a4 or letter")]
    Paper(String),
    /// The typesetter refused; a fault of ours, whatever the job says.
    #[error("the typesetter refused, which is a fault of this program: {0}")]
    Typeset(String),
    /// The tables could not be written; a fault of ours too.
    #[error("the tables could not be written, which is a fault of this program: {0}")]
    Table(String),
}

/// A date of the calendar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Date {
    pub(crate) year: u16,
    pub(crate) month: u8,
    pub(crate) day: u8,
}

impl FromStr for Date {
    type Err = PackError;

    fn from_str(text: &str) -> Result<Self, PackError> {
        let wrong = || PackError::Date(text.to_owned());
        let digits = |from: usize, to: usize| {
            let part = text.get(from..to).filter(|part| part.bytes().all(|byte| byte.is_ascii_digit()));
            part.and_then(|part| part.parse::<u16>().ok()).ok_or_else(wrong)
        };
        if text.len() != 10 || text.as_bytes()[4] != b'-' || text.as_bytes()[7] != b'-' {
            return Err(wrong());
        }
        let (year, month, day) = (digits(0, 4)?, digits(5, 7)?, digits(8, 10)?);
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let last = match month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            _ => 0,
        };
        // A workbook cannot carry a date before 1900.
        if !(1900..=9999).contains(&year) || day == 0 || day > last {
            return Err(wrong());
        }
        let short = |number: u16| u8::try_from(number).map_err(|_| wrong());
        Ok(Self { year, month: short(month)?, day: short(day)? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_those_of_the_calendar() {
        for good in ["2026-11-25", "2024-02-29", "2000-02-29", "1900-01-01"] {
            assert!(good.parse::<Date>().is_ok(), "{good}");
        }
        for wrong in [
            "",
            "2026-1-25",
            "2026-13-01",
            "2026-02-29",
            "1900-02-29",
            "25-11-2026",
            "2026/11/25",
            "２026-1-1",
        ] {
            assert_eq!(wrong.parse::<Date>(), Err(PackError::Date(wrong.to_owned())));
        }
    }

    #[test]
    fn papers_are_known_in_any_case() {
        assert_eq!("a4".parse(), Ok(Paper::A4));
        assert_eq!("Letter".parse(), Ok(Paper::Letter));
        assert!("A3".parse::<Paper>().is_err());
    }
}
