//! Dates and times as stations write them.

use job::DateOrder;

use super::HistoryError;
use crate::clock::Civil;

/// The order that the dates of a list settle: none where there is no date at all.
///
/// # Errors
/// A date that could be read two ways, where no other one settles it; two dates that settle it differently.
pub(super) fn order(times: impl Iterator<Item = String>) -> Result<Option<DateOrder>, HistoryError> {
    let (mut open, mut day, mut month, mut year_first) = (None, None, None, false);
    for time in times {
        let Some(date) = Date::of(&time) else { continue };
        let [first, second, _] = date.numbers;
        match (first, second) {
            _ if date.year_first => year_first = true,
            (13..=31, 1..=12) => {
                day.get_or_insert(time);
            }
            (1..=12, 13..=31) => {
                month.get_or_insert(time);
            }
            // With points between, the day stands first wherever such dates are written.
            (1..=12, 1..=12) if date.sign == '.' => {
                day.get_or_insert(time);
            }
            (1..=12, 1..=12) => {
                open.get_or_insert(time);
            }
            // No date in either order: it will not be read, and settles nothing.
            _ => {}
        }
    }
    match (day, month, open) {
        (Some(day), Some(month), _) => Err(HistoryError::BothOrders { day, month }),
        (Some(_), None, _) => Ok(Some(DateOrder::DayFirst)),
        (None, Some(_), _) => Ok(Some(DateOrder::MonthFirst)),
        (None, None, _) if year_first => Ok(Some(DateOrder::YearFirst)),
        (None, None, Some(date)) => Err(HistoryError::DateOrder { date }),
        (None, None, None) => Ok(None),
    }
}

/// Whether a text begins with three numbers as a date has them.
pub(super) fn is_date(text: &str) -> bool {
    Date::of(text).is_some()
}

/// Seconds since 1970 of a date and a time; none where it is none. An offset from GMT that is written behind the time
/// is taken off; without one, the time is in no zone.
pub(super) fn read(text: &str, order: DateOrder) -> Option<i64> {
    let date = Date::of(text)?;
    let [first, second, third] = date.numbers;
    let (year, month, day) = match (date.year_first, order) {
        (true, _) => (first, second, third),
        (false, DateOrder::DayFirst) => (third, second, first),
        (false, DateOrder::MonthFirst) => (third, first, second),
        (false, DateOrder::YearFirst) => return None,
    };
    let year = if year < 100 { year + 2000 } else { year };
    let (time, offset_s) = offset(date.rest)?;
    let [hour, minute, second] = clock(time)?;
    let local = Civil { year: i64::from(year), month, day, hour, minute, second }.seconds()?;
    Some(local - offset_s)
}

/// Three numbers with one sign between them, and what follows.
struct Date<'t> {
    numbers: [u32; 3],
    sign: char,
    year_first: bool,
    rest: &'t str,
}

impl<'t> Date<'t> {
    fn of(text: &'t str) -> Option<Self> {
        let text = text.trim();
        let end = text.find([' ', 'T', ',']).unwrap_or(text.len());
        let (date, rest) = text.split_at(end);
        let sign = date.chars().find(|sign| !sign.is_ascii_digit()).filter(|sign| "-/.".contains(*sign))?;
        let parts: Vec<&str> = date.split(sign).collect();
        let &[first, second, third] = &parts[..] else { return None };
        let number = |part: &str| {
            let digits = (1..=4).contains(&part.len()) && part.bytes().all(|digit| digit.is_ascii_digit());
            digits.then(|| part.parse().ok()).flatten()
        };
        Some(Self {
            numbers: [number(first)?, number(second)?, number(third)?],
            sign,
            year_first: first.len() == 4,
            rest: rest.trim_start_matches([' ', 'T', ',']),
        })
    }
}

/// A time without the offset behind it, and the offset in seconds: `+05:00`, `-0500`, `+05`, `Z`, or nothing. No zone
/// is more than 14 hours from GMT.
fn offset(text: &str) -> Option<(&str, i64)> {
    let text = text.trim();
    if let Some(time) = text.strip_suffix(['z', 'Z']) {
        return Some((time, 0));
    }
    let Some(at) = text.rfind(['+', '-']) else { return Some((text, 0)) };
    let (time, written) = text.split_at(at);
    let (sign, digits) = written.split_at(1);
    let (hours, minutes) = match (digits.split_once(':'), digits.len()) {
        (Some(parts), 5) => parts,
        (None, 4) => digits.split_at_checked(2)?,
        (None, 2) => (digits, "00"),
        _ => return None,
    };
    let (hours, minutes) = (number(hours)?, number(minutes)?);
    let offset_s = i64::from(hours) * 3600 + i64::from(minutes) * 60;
    let is_zone = minutes < 60 && offset_s <= 14 * 3600;
    is_zone.then_some((time, if sign == "-" { -offset_s } else { offset_s }))
}

/// Digits and nothing else, as a number.
fn number(text: &str) -> Option<u32> {
    text.bytes().all(|digit| digit.is_ascii_digit()).then(|| text.parse().ok()).flatten()
}

/// Hour, minute, second: 24 hours, or twelve with AM or PM. Parts of a second are passed over.
fn clock(text: &str) -> Option<[u32; 3]> {
    let lower = text.trim().to_ascii_lowercase();
    let (time, half) = match (lower.strip_suffix("am"), lower.strip_suffix("pm")) {
        (Some(time), _) => (time, Some(0)),
        (_, Some(time)) => (time, Some(12)),
        _ => (lower.as_str(), None),
    };
    let parts: Vec<&str> = time.trim().split(':').collect();
    let (hour, minute, second) = match parts[..] {
        [hour, minute] => (hour, minute, "0"),
        [hour, minute, second] => (hour, minute, second),
        _ => return None,
    };
    let (second, parts_of_one) = second.split_once('.').unwrap_or((second, "0"));
    if !parts_of_one.bytes().all(|digit| digit.is_ascii_digit()) {
        return None;
    }
    let (hour, minute, second) = (number(hour)?, number(minute)?, number(second)?);
    let hour = match half {
        Some(half) if (1..=12).contains(&hour) => hour % 12 + half,
        Some(_) => return None,
        None => hour,
    };
    Some([hour, minute, second])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Gmt;

    #[test]
    fn times_of_many_spellings() {
        for (text, order, wanted) in [
            ("2026-03-14 09:26:53", DateOrder::YearFirst, "2026-03-14T09:26:53Z"),
            ("2026-03-14T09:26:53.25Z", DateOrder::DayFirst, "2026-03-14T09:26:53Z"),
            ("14.03.2026 9:26", DateOrder::DayFirst, "2026-03-14T09:26:00Z"),
            ("3/14/26 9:26:53 PM", DateOrder::MonthFirst, "2026-03-14T21:26:53Z"),
            ("3/14/2026, 12:05am", DateOrder::MonthFirst, "2026-03-14T00:05:00Z"),
            ("2026-03-14T09:26:53+05:00", DateOrder::YearFirst, "2026-03-14T04:26:53Z"),
            ("2026-03-14 09:26:53.250-0530", DateOrder::YearFirst, "2026-03-14T14:56:53Z"),
            ("3/14/2026 9:26 PM -05", DateOrder::MonthFirst, "2026-03-15T02:26:00Z"),
        ] {
            assert_eq!(read(text, order).map(|s| Gmt(s).to_string()).as_deref(), Some(wanted), "{text}");
        }
        for text in [
            "",
            "14.03.2026",
            "14.03.2026 25:00",
            "2026-02-30 10:00",
            "13:00 2026-03-14",
            "3/14/2026 13:00 PM",
            "14.03.2026 10:00:00+15:00",
            "14.03.2026 10:00:00+05:60",
            "14.03.2026 10:00:00.5+5",
            "14.03.2026 10:+05:00",
            "14.03.2026 10:00:00:00",
        ] {
            assert_eq!(read(text, DateOrder::DayFirst), None, "{text}");
        }
    }

    #[test]
    fn the_order_is_settled_by_any_date_that_can_be_read_one_way_only() {
        let of = |dates: &[&str]| order(dates.iter().map(|date| format!("{date} 10:00")));
        assert_eq!(of(&["03/04/2026", "03/14/2026"]), Ok(Some(DateOrder::MonthFirst)));
        assert_eq!(of(&["03/04/2026", "14/03/2026"]), Ok(Some(DateOrder::DayFirst)));
        assert_eq!(of(&["03.04.2026"]), Ok(Some(DateOrder::DayFirst)));
        assert_eq!(of(&["2026-03-04", "03/14/2026"]), Ok(Some(DateOrder::MonthFirst)));
        assert_eq!(of(&["03/04/2026", "2026-03-14"]), Ok(Some(DateOrder::YearFirst)));
        let open = |date: &str| Err(HistoryError::DateOrder { date: format!("{date} 10:00") });
        assert_eq!(of(&["03/04/2026", "05/06/2026"]), open("03/04/2026"));
        assert_eq!(of(&["03/04/2026", "45/06/2026", "14/14/2026"]), open("03/04/2026"));
        assert_eq!(of(&[]), Ok(None));
    }

    #[test]
    fn dates_that_settle_both_orders_settle_none() {
        let of = |dates: &[&str]| order(dates.iter().map(|date| format!("{date} 10:00")));
        let both = |day: &str, month: &str| {
            Err(HistoryError::BothOrders { day: format!("{day} 10:00"), month: format!("{month} 10:00") })
        };
        assert_eq!(of(&["1/2/2026", "13/2/2026", "12/13/2026"]), both("13/2/2026", "12/13/2026"));
        assert_eq!(of(&["03/14/2026", "14/03/2026"]), both("14/03/2026", "03/14/2026"));
        assert_eq!(of(&["03.04.2026", "03/14/2026"]), both("03.04.2026", "03/14/2026"));
    }
}
