//! A monitoring station's own list of signals: headings found and mapped, times put right, codes read.
//!
//! Lists differ from station to station. Nothing is guessed where a guess could be wrong: a heading that means nothing
//! to us, an order of day and month that the dates do not settle, a code that cannot be read are each said.

mod code;
mod grid;
mod time;

use job::{DateOrder, HistoryMap};

pub use grid::{Grid, grid};

use crate::clock::Gmt;
use crate::expected::Signal;

/// The columns that a list can have, by what stands in them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Column {
    /// Date and time, or time alone.
    Time,
    /// The date.
    Date,
    /// The account.
    Account,
    /// The code.
    Code,
    /// Zone or user.
    Zone,
    /// Area.
    Area,
    /// The event in words.
    Event,
}

impl Column {
    /// Every one, in the order of the format.
    pub const ALL: [Self; 7] =
        [Self::Time, Self::Date, Self::Account, Self::Code, Self::Zone, Self::Area, Self::Event];

    /// The key in the job's `[history]`.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Date => "date",
            Self::Account => "account",
            Self::Code => "code",
            Self::Zone => "zone",
            Self::Area => "area",
            Self::Event => "event",
        }
    }

    /// Headings that usually stand over it, in lower case: common practice, no source.
    fn usual(self) -> &'static [&'static str] {
        match self {
            Self::Time => {
                &["time", "date/time", "date time", "timestamp", "received", "event time", "date & time"]
            }
            Self::Date => &["date", "event date"],
            Self::Account => &["account", "acct", "account no", "account number", "system no", "site no"],
            Self::Code => &["code", "event code", "signal code", "signal", "cid", "raw code"],
            Self::Zone => &["zone", "zone/user", "zone no", "point", "user/zone", "zone or user", "ccc"],
            Self::Area => &["area", "partition", "group", "area no"],
            Self::Event => &["event", "description", "event description", "meaning", "text", "details"],
        }
    }

    fn heading(self, map: &HistoryMap) -> &str {
        match self {
            Self::Time => &map.time,
            Self::Date => &map.date,
            Self::Account => &map.account,
            Self::Code => &map.code,
            Self::Zone => &map.zone,
            Self::Area => &map.area,
            Self::Event => &map.event,
        }
    }

    fn heading_mut(self, map: &mut HistoryMap) -> &mut String {
        match self {
            Self::Time => &mut map.time,
            Self::Date => &mut map.date,
            Self::Account => &mut map.account,
            Self::Code => &mut map.code,
            Self::Zone => &mut map.zone,
            Self::Area => &mut map.area,
            Self::Event => &mut map.event,
        }
    }
}

/// One line of a list.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// Its row in the list, from 1, headings counted.
    pub row: usize,
    /// When, in GMT.
    pub at: Gmt,
    /// The account, where the list has it.
    pub account: String,
    /// What it says, as far as matching needs it; none where no code could be read.
    pub signal: Option<Signal>,
    /// The event in the list's own words.
    pub event: String,
    /// The whole row, to show and to know again.
    pub text: String,
}

/// A list that was read.
#[derive(Clone, PartialEq, Debug)]
pub struct History {
    /// The headings that were used, each as the list writes it; to be remembered.
    pub map: HistoryMap,
    /// Its lines, in the list's order.
    pub lines: Vec<Line>,
    /// Rows that could not be read, each with why.
    pub unread: Vec<(usize, String)>,
}

/// Why a list cannot be read at all.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[non_exhaustive]
pub enum HistoryError {
    /// No row holds the headings.
    #[error("no row with the headings {wanted}")]
    NoHeadings {
        /// Those that were looked for.
        wanted: String,
    },
    /// A column that is needed has no heading that is known.
    #[error("no column for the {column} among the headings {found}")]
    NoColumn {
        /// Which.
        column: &'static str,
        /// What stands there.
        found: String,
    },
    /// The dates do not say which number is the day.
    #[error(
        "`{date}` can be read with the day or with the month first, and no other date of the list settles it"
    )]
    DateOrder {
        /// One of them.
        date: String,
    },
    /// Some dates can only have the day first, others only the month.
    #[error(
        "`{day}` has the day first and `{month}` the month: in one list, no other date can be trusted either"
    )]
    BothOrders {
        /// One with the day first.
        day: String,
        /// One with the month first.
        month: String,
    },
}

impl HistoryError {
    /// What would be accepted.
    #[must_use]
    pub fn accepted(&self) -> &'static str {
        match self {
            Self::NoHeadings { .. } => {
                "a list whose headings are those of the job's [history], or none there"
            }
            Self::NoColumn { .. } => "its heading, with --map time=HEADING or --map code=HEADING",
            Self::DateOrder { .. } => "--order day-first, --order month-first or --order year-first",
            Self::BothOrders { .. } => "a list with one order of day and month throughout",
        }
    }
}

impl History {
    /// Reads a list with what the job remembers of it; headings that are not remembered are looked for among the
    /// usual ones.
    ///
    /// # Errors
    /// See [`HistoryError`].
    pub fn read(grid: &Grid, remembered: &HistoryMap) -> Result<Self, HistoryError> {
        let (head, mut map) = headings(grid, remembered)?;
        let headings = &grid[head];
        let place = |column: Column| {
            let heading = column.heading(&map);
            (!heading.is_empty()).then(|| headings.iter().position(|cell| same(cell, heading))).flatten()
        };
        let places = Column::ALL.map(place);
        let cell = |row: &[String], column: Column| -> String {
            let at = places[column as usize];
            at.and_then(|at| row.get(at)).map_or(String::new(), |cell| cell.trim().to_owned())
        };
        let rows: Vec<(usize, &Vec<String>)> = grid.iter().enumerate().skip(head + 1).collect();
        let typed = |row: &[String]| {
            let (date, time) = (cell(row, Column::Date), cell(row, Column::Time));
            if date.is_empty() { time } else { format!("{date} {time}") }
        };
        let when = |row: &[String]| {
            let date = cell(row, Column::Date);
            // A workbook's date comes with a midnight that means nothing.
            let day = date.split_whitespace().next().filter(|day| time::is_date(day));
            day.map_or_else(|| typed(row), |day| format!("{day} {}", cell(row, Column::Time)))
        };
        let settled = time::order(rows.iter().map(|(_, row)| when(row)));
        let order = match (map.order, settled) {
            // Who says the order settles what is open, not what contradicts itself.
            (Some(_), Err(both @ HistoryError::BothOrders { .. })) => return Err(both),
            (Some(order), _) => Some(order),
            (None, settled) => settled?,
        };
        map.order = order;
        let shift_s = map.shift.map_or(0, |shift| shift.0.round() as i64);
        let mut history = Self { map: map.clone(), lines: Vec::new(), unread: Vec::new() };
        for (at, row) in rows {
            let text = row.join(" | ");
            if row.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            let Some(time) = time::read(&when(row), order.unwrap_or(DateOrder::YearFirst)) else {
                history.unread.push((at + 1, format!("`{}` is no date and time", typed(row))));
                continue;
            };
            let event = cell(row, Column::Event);
            let signal = code::read(&cell(row, Column::Code), &cell(row, Column::Zone), &event);
            let account = cell(row, Column::Account).trim_start_matches('#').to_owned();
            history.lines.push(Line { row: at + 1, at: Gmt(time + shift_s), account, signal, event, text });
        }
        Ok(history)
    }
}

/// Headings match whatever their case and blanks.
fn same(cell: &str, heading: &str) -> bool {
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    plain(cell) == plain(heading)
}

/// Rows in which headings are looked for; above them stand titles and addresses.
const HEADING_ROWS: usize = 30;

/// The row of the headings, and the map with every heading that was found.
fn headings(grid: &Grid, remembered: &HistoryMap) -> Result<(usize, HistoryMap), HistoryError> {
    let wanted: Vec<&str> = Column::ALL
        .iter()
        .map(|column| column.heading(remembered))
        .filter(|heading| !heading.is_empty())
        .collect();
    let has = |row: &[String], heading: &str| row.iter().any(|cell| same(cell, heading));
    let rows = || grid.iter().enumerate().take(HEADING_ROWS);
    let usual = |row: &[String], column: Column| {
        let found = row.iter().find(|cell| column.usual().iter().any(|usual| same(cell, usual)));
        found.map(|cell| cell.trim().to_owned())
    };
    let row = if wanted.is_empty() {
        let known =
            |row: &[String]| Column::ALL.iter().filter(|column| usual(row, **column).is_some()).count();
        // The first of the rows that hold most headings.
        rows().rev().max_by_key(|(_, row)| known(row)).filter(|(_, row)| known(row) >= 2)
    } else {
        rows().find(|(_, row)| wanted.iter().all(|heading| has(row, heading)))
    };
    let Some((at, row)) = row else {
        let wanted = if wanted.is_empty() {
            "time and code, or words like them".to_owned()
        } else {
            wanted.join(", ")
        };
        return Err(HistoryError::NoHeadings { wanted });
    };
    let mut map = remembered.clone();
    for column in Column::ALL {
        if column.heading(&map).is_empty() {
            *column.heading_mut(&mut map) = usual(row, column).unwrap_or_default();
        }
    }
    for column in [Column::Time, Column::Code] {
        if column.heading(&map).is_empty() {
            let found = row.iter().map(|cell| format!("`{}`", cell.trim())).collect::<Vec<_>>().join(", ");
            return Err(HistoryError::NoColumn { column: column.key(), found });
        }
    }
    Ok((at, map))
}

#[cfg(test)]
mod tests {
    use quantity::Seconds;

    use super::*;
    use crate::SignalCode;
    use crate::contact_id::Qualifier;

    const COMMAS: &str = "Mill Lane Monitoring,,,,\nDate,Time,Acct,Signal,Point,Description\n\
        03/14/2026,04:26:53 AM,4401,E131,002,\"PERIMETER, ALARM\"\n\
        03/14/2026,04:27:10 AM,4401,R131,002,RESTORE\n\
        03/14/2026,04:28:00 AM,4401,????,,\n\
        yesterday,noon,4401,E131,002,\n";

    fn read(text: &str, map: &HistoryMap) -> Result<History, HistoryError> {
        History::read(&grid(text), map)
    }

    #[test]
    fn a_list_with_usual_headings_is_read() {
        let shift = HistoryMap { shift: Some(Seconds(5.0 * 3600.0)), ..HistoryMap::default() };
        let history = read(COMMAS, &shift).expect("it is read");
        assert_eq!((history.map.code.as_str(), history.map.zone.as_str()), ("Signal", "Point"));
        assert_eq!(history.map.order, Some(DateOrder::MonthFirst));
        let said: Vec<String> =
            history.lines.iter().map(|line| format!("{} {:?}", line.at, line.signal)).collect();
        let signal = |qualifier| Signal { code: SignalCode::ContactId(131, qualifier), number: Some(2) };
        assert_eq!(said[0], format!("2026-03-14T09:26:53Z {:?}", Some(signal(Qualifier::New))));
        assert_eq!(said[1], format!("2026-03-14T09:27:10Z {:?}", Some(signal(Qualifier::Restore))));
        assert_eq!(history.lines[2].signal, None);
        assert_eq!(history.unread, [(6, "`yesterday noon` is no date and time".to_owned())]);
    }

    #[test]
    fn pasted_text_in_columns_is_read() {
        let text = "Date/Time            Code   Zone/User   Event\n\
                    2026-03-14 09:26:53  BA     2           alarm\n\
                    2026-03-14 09:26:58  BR2                restored\n";
        let history = read(text, &HistoryMap::default()).expect("it is read");
        let codes: Vec<_> = history.lines.iter().map(|line| line.signal).collect();
        let signal = |code| Some(Signal { code: SignalCode::Letters(code), number: Some(2) });
        assert_eq!(codes, [signal(*b"BA"), signal(*b"BR")]);
    }

    #[test]
    fn what_could_be_read_two_ways_is_not() {
        let text = "time\tcode\n03/04/2026 10:00\t1131 01 002\n";
        assert!(matches!(read(text, &HistoryMap::default()), Err(HistoryError::DateOrder { .. })));
        let settled = HistoryMap { order: Some(DateOrder::DayFirst), ..HistoryMap::default() };
        let history = read(text, &settled).expect("it is read");
        assert_eq!(history.lines[0].at.to_string(), "2026-04-03T10:00:00Z");
        let map = HistoryMap { code: "Nonsense".to_owned(), ..HistoryMap::default() };
        assert!(matches!(read(text, &map), Err(HistoryError::NoHeadings { .. })));
        assert!(matches!(
            read("when\tsignal\tzone\n", &HistoryMap::default()),
            Err(HistoryError::NoColumn { .. })
        ));
        assert!(read("", &HistoryMap::default()).is_err());
    }

    #[test]
    fn a_list_that_contradicts_itself_is_refused_whatever_was_said() {
        let text = "time,account,code\n1/2/2026 10:00,4401,E131 002\n13/2/2026 10:00,9999,E131 002\n\
                    12/13/2026 10:00,4401,E131 002\n";
        for order in [None, Some(DateOrder::DayFirst), Some(DateOrder::MonthFirst)] {
            let map = HistoryMap { order, ..HistoryMap::default() };
            assert!(matches!(read(text, &map), Err(HistoryError::BothOrders { .. })), "{order:?}");
        }
    }

    #[test]
    fn what_cannot_be_read_is_quoted_whole() {
        let text = "date,time,code\n14 Mar 2026,10:11,E131\n2026-03-14 00:00:00,soon,E131\n\
                    2026-03-14 00:00:00,10:11,E131\n";
        let history = read(text, &HistoryMap::default()).expect("it is read");
        let whys: Vec<&str> = history.unread.iter().map(|(_, why)| why.as_str()).collect();
        assert_eq!(
            whys,
            ["`14 Mar 2026 10:11` is no date and time", "`2026-03-14 00:00:00 soon` is no date and time"]
        );
        assert_eq!(history.lines[0].at.to_string(), "2026-03-14T10:11:00Z");
    }
}
