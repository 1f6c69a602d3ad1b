//! Dates and times as stations write them.

use job::DateOrder;

use crate::clock::Civil;

/// The order that the dates of a list settle: none where there is no date at all.
///
/// # Errors
/// A date that could be read two ways, where no other one settles it.
pub(super) fn order(times: impl Iterator<Item = String>) -> Result<Option<DateOrder>, String> {
    let mut open = None;
    for time in times {
        let Some(date) = Date::of(&time) else { continue };
        let [first, second, _] = date.numbers;
        if date.year_first {
            return Ok(Some(DateOrder::YearFirst));
        }
        // With points between, the day stands first wherever such dates are written.
        if date.sign == '.' || first > 12 {
            return Ok(Some(DateOrder::DayFirst));
        }
        if second > 12 {
            return Ok(Some(DateOrder::MonthFirst));
        }
        open.get_or_insert(time);
    }
    open.map_or(Ok(None), Err)
}

/// Seconds since 1970 of a date and a time, in no zone; none where it is none.
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
    let [hour, minute, second] = clock(date.rest)?;
    Civil { year: i64::from(year), month, day, hour, minute, second }.seconds()
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

/// Hour, minute, second: 24 hours, or twelve with AM or PM. Parts of a second and a closing Z are passed over.
fn clock(text: &str) -> Option<[u32; 3]> {
    let lower = text.trim().to_ascii_lowercase();
    let lower = lower.strip_suffix('z').unwrap_or(&lower);
    let (time, half) = match (lower.strip_suffix("am"), lower.strip_suffix("pm")) {
        (Some(time), _) => (time, Some(0)),
        (_, Some(time)) => (time, Some(12)),
        _ => (lower, None),
    };
    let mut parts = time.trim().split(':');
    let mut number = |needed: bool| match parts.next() {
        Some(part) => part.split('.').next().and_then(|part| part.parse::<u32>().ok()),
        None if needed => None,
        None => Some(0),
    };
    let (hour, minute, second) = (number(true)?, number(true)?, number(false)?);
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
        assert!(of(&["03/04/2026", "05/06/2026"]).is_err());
        assert_eq!(of(&[]), Ok(None));
    }
}
