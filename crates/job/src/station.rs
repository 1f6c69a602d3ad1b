//! What is programmed and what the monitoring station is told: areas, users, the station, its list's headers.

use document::Located;
use quantity::{Hours, Minutes, Seconds, Written, WrittenError};

/// `[station]`: the monitoring station, and what stands on its sheet. Never a code or a pass word.
#[derive(Clone, Debug, Default)]
pub struct Station {
    /// What it is called; empty when not given.
    pub name: String,
    /// How it is reached; empty when not given.
    pub telephone: String,
    /// The account of this job, 3 to 16 digits 0-9 A-F.
    pub account: Option<Located<String>>,
    /// The account's prefix; default `0`, which is none.
    pub prefix: Option<Located<String>>,
    /// The receiver's number, where the station wants one.
    pub receiver: Option<Located<String>>,
    /// In which codes events are reported.
    pub format: ReportFormat,
    /// Address of the premises; empty when not given.
    pub premises: String,
    /// Its time zone, as people call it; empty when not given.
    pub time_zone: String,
    /// Telephone of the premises; empty when not given.
    pub site_telephone: String,
    /// Whom the station calls for police, fire and medical, in words.
    pub authorities: Vec<String>,
    /// Number of the alarm permit; empty when not given.
    pub permit: String,
    /// Who is called, in this order.
    pub call_order: Vec<String>,
    /// How often a test report is due.
    pub test_report: Option<Hours>,
}

/// In which codes events are reported.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum ReportFormat {
    /// Contact ID (DC-05). The default.
    #[default]
    ContactId,
    /// The two-letter codes (DC-03).
    TwoLetter,
}

impl ReportFormat {
    /// The word in the job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::ContactId => "contact-id",
            Self::TwoLetter => "two-letter",
        }
    }
}

/// `[[area]]`: circuits that are set and unset together.
#[derive(Clone, Debug)]
pub struct Area {
    /// Its number, 1 to 99.
    pub number: Located<u32>,
    /// What it is called; empty when not given.
    pub name: String,
    /// Time to unset after coming in.
    pub entry: Option<Seconds>,
    /// Time to leave after setting.
    pub exit: Option<Seconds>,
    /// How long the sounders go on.
    pub sounder: Option<Seconds>,
    /// When an alarm counts as confirmed, in words; empty when not given.
    pub confirm: String,
    /// Circuits on the way in, by tag: the first begins the entry time, the others follow it.
    pub route: Vec<Located<String>>,
}

/// `[[user]]`: by number, never with a code.
#[derive(Clone, Debug)]
pub struct User {
    /// The number that is reported with an opening or closing.
    pub number: Located<u32>,
    /// Who that is; empty when not given.
    pub name: String,
    /// What the user may do, in words; empty when not given.
    pub may: String,
}

/// How a circuit is programmed.
#[derive(Clone, Debug, Default)]
pub struct Programmed {
    /// Its name in the control equipment; empty: its place.
    pub name: String,
    /// The number of its area.
    pub area: Option<Located<u32>>,
    /// When it raises an alarm.
    pub response: Option<Response>,
    /// The code that it reports: three digits (Contact ID) or two letters.
    pub report: Option<Located<String>>,
}

/// When an input raises an alarm.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Response {
    /// When set, after the entry time, which it begins.
    Entry,
    /// When set; at once, but within the entry time not.
    Route,
    /// When set, at once; part of the outer skin.
    Perimeter,
    /// When fully set, at once; inside.
    Interior,
    /// When set an alarm, when unset a trouble.
    Day,
    /// Always, with sounders.
    Always,
    /// Always, without a sound on the premises.
    Silent,
    /// Always, as fire.
    Fire,
    /// Always, as fire supervisory: not an alarm.
    Supervisory,
    /// Never: kept in the log alone.
    Log,
}

impl Response {
    /// Every one, in the order of the format.
    pub const ALL: [Self; 10] = [
        Self::Entry,
        Self::Route,
        Self::Perimeter,
        Self::Interior,
        Self::Day,
        Self::Always,
        Self::Silent,
        Self::Fire,
        Self::Supervisory,
        Self::Log,
    ];

    /// The word in the job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Entry => "entry",
            Self::Route => "route",
            Self::Perimeter => "perimeter",
            Self::Interior => "interior",
            Self::Day => "day",
            Self::Always => "always",
            Self::Silent => "silent",
            Self::Fire => "fire",
            Self::Supervisory => "supervisory",
            Self::Log => "log",
        }
    }
}

/// `[history]`: how the station's own list is read; mapped once and remembered.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct HistoryMap {
    /// Heading of the column with date and time, or time alone.
    pub time: String,
    /// Heading of the column with the date, where it has one of its own.
    pub date: String,
    /// Heading of the account.
    pub account: String,
    /// Heading of the code.
    pub code: String,
    /// Heading of zone or user.
    pub zone: String,
    /// Heading of the area.
    pub area: String,
    /// Heading of the event in words.
    pub event: String,
    /// The order in which its dates are written.
    pub order: Option<DateOrder>,
    /// Added to its times to get GMT: its zone, and what its clock is wrong by.
    pub shift: Option<Seconds>,
}

/// From one end of the world's zones to the other, -12 h to +14 h.
const MOST_SHIFT: Seconds = Seconds(93_600.0);

impl HistoryMap {
    /// Reads a shift: a time with its unit, with `-` in front where a clock is ahead of GMT.
    ///
    /// # Errors
    /// When it is no time, or more than 26 h: the zones of the world lie no further apart.
    pub fn parse_shift(text: &str) -> Result<Seconds, WrittenError> {
        let shift = match text.trim().strip_prefix('-') {
            Some(ahead) => quantity::parse::<Seconds>(ahead.trim_start()).map(|shift| Seconds(-shift.0)),
            None => quantity::parse::<Seconds>(text),
        }?;
        if shift.0.abs() <= MOST_SHIFT.0 {
            return Ok(shift);
        }
        Err(WrittenError {
            at: 0,
            text: format!("`{}` is more than any zone and clock are apart", text.trim()),
            accept: "-26 h to 26 h".to_owned(),
        })
    }

    /// A shift in the largest unit that says it whole.
    #[must_use]
    pub fn written_shift(shift: Seconds) -> String {
        let size_s = shift.0.abs();
        let whole = |unit_s: f64| size_s % unit_s < f64::EPSILON;
        let written = if whole(3600.0) {
            Hours(size_s / 3600.0).written()
        } else if whole(60.0) {
            Minutes(size_s / 60.0).written()
        } else {
            Seconds(size_s).written()
        };
        if shift.0 < 0.0 { format!("-{written}") } else { written }
    }
}

/// The order of a date's numbers.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DateOrder {
    /// 2026-03-14
    YearFirst,
    /// 03/14/2026
    MonthFirst,
    /// 14/03/2026
    DayFirst,
}

impl DateOrder {
    /// Every one, in the order of the format.
    pub const ALL: [Self; 3] = [Self::YearFirst, Self::MonthFirst, Self::DayFirst];

    /// The word in the job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::YearFirst => "year-first",
            Self::MonthFirst => "month-first",
            Self::DayFirst => "day-first",
        }
    }
}
