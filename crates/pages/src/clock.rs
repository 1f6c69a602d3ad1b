//! Times as people read them. The clock itself is somebody else's: `now` comes with every request.

/// `14:22` of the same day, `24 Nov 14:22` of the same year, `2026-11-24 14:22` otherwise, on a clock that is `ahead`
/// minutes ahead of UTC; where nobody has told the reader's clock it is that of UTC, and says so. A time that is not RFC 3339
/// in UTC is shown as it is.
pub(crate) fn shown(at: &str, now: &str, ahead: Option<i32>) -> String {
    let by = ahead.unwrap_or(0);
    let (Some(at), Some(now)) = (local(at, by), local(now, by)) else { return at.to_owned() };
    let utc = if ahead.is_none() { " UTC" } else { "" };
    let clock = format!("{:02}:{:02}{utc}", at.minutes / 60, at.minutes % 60);
    const MONTHS: [&str; 12] =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    match (at.year == now.year, (at.month, at.day) == (now.month, now.day)) {
        (true, true) => clock,
        (true, false) => format!("{} {} {clock}", at.day, MONTHS[at.month - 1]),
        (false, _) => format!("{} {clock}", at.date()),
    }
}

/// `2026-11-24 14:22 UTC+01:00` on the reader's clock, with its zone: for paper, which others read elsewhere.
pub(crate) fn date(at: &str, ahead: Option<i32>) -> String {
    match local(at, ahead.unwrap_or(0)) {
        Some(local) => {
            let clock = format!("{:02}:{:02}", local.minutes / 60, local.minutes % 60);
            format!("{} {clock} {}", local.date(), zone(ahead))
        }
        None => at.to_owned(),
    }
}

/// `UTC+01:00`; plain `UTC` where the reader's clock is that, or nobody has told it.
pub(crate) fn zone(ahead: Option<i32>) -> String {
    match ahead {
        None | Some(0) => "UTC".to_owned(),
        Some(ahead) => {
            let sign = if ahead < 0 { '-' } else { '+' };
            format!("UTC{sign}{:02}:{:02}", ahead.abs() / 60, ahead.abs() % 60)
        }
    }
}

/// The day on the reader's clock, counted from 1970-01-01, and the minute of it; none where it is not RFC 3339 in UTC.
pub(crate) fn day_and_minute(at: &str, ahead: Option<i32>) -> Option<(i64, u32)> {
    let local = local(at, ahead.unwrap_or(0))?;
    Some((local.total_minutes.div_euclid(1440), u32::try_from(local.minutes).ok()?))
}

/// Whole seconds from one time to a later one, both RFC 3339 in UTC; none where either is not.
pub(crate) fn seconds_between(from: &str, to: &str) -> Option<i64> {
    let seconds = |at: &str| Some(local(at, 0)?.total_minutes * 60 + at.get(17..19)?.parse::<i64>().ok()?);
    Some(seconds(to)? - seconds(from)?)
}

struct Local {
    /// Since 1970.
    total_minutes: i64,
    year: i64,
    month: usize,
    day: i64,
    minutes: i64,
}

impl Local {
    fn date(&self) -> String {
        format!("{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

fn local(at: &str, ahead: i32) -> Option<Local> {
    let number = |from: usize, to: usize| at.get(from..to)?.parse::<i64>().ok();
    let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
    let (hour, minute) = (number(11, 13)?, number(14, 16)?);
    if !(1..=12).contains(&month) || !(1..=31).contains(&day) || hour > 23 || minute > 59 {
        return None;
    }
    let minutes = days(year, month, day) * 1440 + hour * 60 + minute + i64::from(ahead);
    let (year, month, day) = civil(minutes.div_euclid(1440));
    Some(Local {
        total_minutes: minutes,
        year,
        month: usize::try_from(month).ok()?,
        day,
        minutes: minutes.rem_euclid(1440),
    })
}

/// Days since 1970-01-01 of a date of our calendar (H. Hinnant's published days-from-civil algorithm, from memory; checked
/// below on known dates).
fn days(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let of_era = year.rem_euclid(400);
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

/// The way back.
fn civil(days: i64) -> (i64, i64, i64) {
    let days = days + 719_468;
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let shifted = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    (year + era * 400 + i64::from(month <= 2), month, day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_of_eight_centuries_comes_back() {
        for day in -146_097..146_097 {
            let (year, month, of_month) = civil(day);
            assert_eq!(days(year, month, of_month), day);
        }
        // 2000-03-01 was day 11,017 (30 years of 365 days, 8 leap days from 1972 to 2000, then 31 + 28).
        assert_eq!(civil(30 * 365 + 8 + 59), (2000, 3, 1));
    }

    #[test]
    fn a_time_is_shown_on_the_readers_clock() {
        let now = "2026-11-24T15:00:00Z";
        assert_eq!(shown("2026-11-24T14:22:05Z", now, Some(0)), "14:22");
        assert_eq!(shown("2026-11-24T03:22:05Z", now, Some(-300)), "23 Nov 22:22");
        assert_eq!(shown("2025-12-31T23:30:00Z", now, Some(60)), "00:30".replace("00:30", "1 Jan 00:30"));
        assert_eq!(shown("2024-02-29T23:30:00.5Z", now, Some(0)), "2024-02-29 23:30");
        assert_eq!(shown("soon", now, Some(0)), "soon");
        // Nobody has told the reader's clock: the time says which clock it is by.
        assert_eq!(shown("2026-11-24T14:22:05Z", now, None), "14:22 UTC");
        assert_eq!(shown("2026-11-23T14:22:05Z", now, None), "23 Nov 14:22 UTC");
        assert_eq!(date("2026-11-24T14:22:05Z", None), "2026-11-24 14:22 UTC");
        assert_eq!(date("2026-11-24T23:22:05Z", Some(60)), "2026-11-25 00:22 UTC+01:00");
        assert_eq!(date("2026-11-24T23:22:05Z", Some(-210)), "2026-11-24 19:52 UTC-03:30");
        assert_eq!(day_and_minute("1970-01-01T00:30:00Z", Some(90)), Some((0, 120)));
        assert_eq!(day_and_minute("1970-01-02T00:30:00Z", Some(-60)), Some((0, 1410)));
        assert_eq!(day_and_minute("soon", Some(0)), None);
        assert_eq!(seconds_between("2026-02-28T23:59:50Z", "2026-03-01T00:00:20Z"), Some(30));
    }
}
