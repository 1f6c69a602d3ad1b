//! Time by the receiver's clock, in GMT, and as a message writes it: `_HH:MM:SS,MM-DD-YYYY`.

use std::fmt;

/// A message may be this far ahead of the receiver's clock, in seconds.
pub const WINDOW_AHEAD_S: i64 = 20;
/// And this far behind it.
pub const WINDOW_BEHIND_S: i64 = 40;

const DAY_S: i64 = 86_400;

/// Seconds since 1970 began, in GMT, without leap seconds.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub struct Gmt(pub i64);

/// A date and a time of day, in no zone of its own.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) struct Civil {
    pub(crate) year: i64,
    pub(crate) month: u32,
    pub(crate) day: u32,
    pub(crate) hour: u32,
    pub(crate) minute: u32,
    pub(crate) second: u32,
}

/// A text is no time.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("`{text}` is no date and time")]
pub struct GmtError {
    /// The text.
    pub text: String,
}

impl GmtError {
    /// What would be accepted.
    #[must_use]
    pub fn accepted(&self) -> &'static str {
        "a date and time as 2026-03-14T09:26:53Z or 2026-03-14T10:26:53+01:00"
    }
}

impl Gmt {
    /// Reads RFC 3339: `2026-03-14T09:26:53Z`, with a zone's offset, or with parts of a second, which are dropped.
    ///
    /// # Errors
    /// When it is none.
    pub fn read(text: &str) -> Result<Self, GmtError> {
        Self::parts(text).ok_or_else(|| GmtError { text: text.to_owned() })
    }

    fn parts(text: &str) -> Option<Self> {
        let (date, rest) = text.split_at_checked(10)?;
        let rest = rest.strip_prefix(['T', 't', ' '])?;
        let (time, rest) = rest.split_at_checked(8)?;
        let number = |text: &str| {
            text.bytes().all(|digit| digit.is_ascii_digit()).then(|| text.parse::<u32>().ok()).flatten()
        };
        let pair = |text: &str, sign: char| {
            let mut parts = text.split(sign);
            Some([number(parts.next()?)?, number(parts.next()?)?, number(parts.next().unwrap_or("0"))?])
        };
        let ([year, month, day], [hour, minute, second]) = (pair(date, '-')?, pair(time, ':')?);
        let rest = match rest.strip_prefix('.') {
            Some(parts) if parts.starts_with(|sign: char| sign.is_ascii_digit()) => {
                parts.trim_start_matches(|sign: char| sign.is_ascii_digit())
            }
            Some(_) => return None,
            None => rest,
        };
        let east_s = if rest.eq_ignore_ascii_case("z") {
            0
        } else {
            let (sign, offset) = rest.split_at_checked(1)?;
            let [hours, minutes, _] = (offset.len() == 5).then(|| pair(offset, ':')).flatten()?;
            let sign = match sign {
                "+" => 1,
                "-" => -1,
                _ => return None,
            };
            (hours < 24 && minutes < 60).then(|| sign * i64::from(hours * 3600 + minutes * 60))?
        };
        let civil = Civil { year: i64::from(year), month, day, hour, minute, second };
        Some(Self(civil.seconds()? - east_s))
    }

    pub(crate) fn civil(self) -> Civil {
        let (days, seconds) = (self.0.div_euclid(DAY_S), self.0.rem_euclid(DAY_S));
        // Days to a date, and back below: the proleptic Gregorian calendar in eras of 400 years, from memory;
        // a test walks through every day of eight centuries.
        let shifted = days + 719_468;
        let era = shifted.div_euclid(146_097);
        let of_era = shifted.rem_euclid(146_097);
        let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let from_march = (5 * of_year + 2) / 153;
        let small = |number: i64| u32::try_from(number).unwrap_or(0);
        let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
        Civil {
            year: year_of_era + era * 400 + i64::from(month <= 2),
            month: small(month),
            day: small(of_year - (153 * from_march + 2) / 5 + 1),
            hour: small(seconds / 3600),
            minute: small(seconds / 60 % 60),
            second: small(seconds % 60),
        }
    }
}

/// RFC 3339 with `Z`.
impl fmt::Display for Gmt {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Civil { year, month, day, hour, minute, second } = self.civil();
        write!(out, "{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}Z")
    }
}

impl Civil {
    /// Seconds since 1970; none for a date or a time that does not exist.
    pub(crate) fn seconds(self) -> Option<i64> {
        let leap = self.year % 4 == 0 && (self.year % 100 != 0 || self.year % 400 == 0);
        let days = match self.month {
            2 => 28 + u32::from(leap),
            4 | 6 | 9 | 11 => 30,
            1..=12 => 31,
            _ => return None,
        };
        let exists = (1..=days).contains(&self.day) && self.hour < 24 && self.minute < 60 && self.second < 60;
        if !exists || !(0..=9999).contains(&self.year) {
            return None;
        }
        let year = self.year - i64::from(self.month <= 2);
        let era = year.div_euclid(400);
        let year_of_era = year.rem_euclid(400);
        let from_march = i64::from((self.month + 9) % 12);
        let of_year = (153 * from_march + 2) / 5 + i64::from(self.day) - 1;
        let of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + of_year;
        let day_s = i64::from(self.hour * 3600 + self.minute * 60 + self.second);
        Some((era * 146_097 + of_era - 719_468) * DAY_S + day_s)
    }
}

/// A message's own time: twenty octets from `_` on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stamp {
    /// When, by the sender's clock.
    pub at: Gmt,
}

impl Stamp {
    /// How many octets it has.
    pub const OCTETS: usize = 20;

    /// Reads exactly twenty octets.
    #[must_use]
    pub fn read(octets: &[u8]) -> Option<Self> {
        let octets: &[u8; Self::OCTETS] = octets.try_into().ok()?;
        let signs = [(0, b'_'), (3, b':'), (6, b':'), (9, b','), (12, b'-'), (15, b'-')];
        if signs.iter().any(|&(at, sign)| octets[at] != sign) {
            return None;
        }
        let number = |from: usize, to: usize| {
            octets[from..to].iter().try_fold(0_u32, |number, digit| {
                digit.is_ascii_digit().then(|| number * 10 + u32::from(digit - b'0'))
            })
        };
        let civil = Civil {
            hour: number(1, 3)?,
            minute: number(4, 6)?,
            second: number(7, 9)?,
            month: number(10, 12)?,
            day: number(13, 15)?,
            year: i64::from(number(16, 20)?),
        };
        Some(Self { at: Gmt(civil.seconds()?) })
    }

    /// The twenty octets.
    #[must_use]
    pub fn octets(self) -> [u8; Self::OCTETS] {
        let Civil { year, month, day, hour, minute, second } = self.at.civil();
        let mut octets = *b"_00:00:00,00-00-0000";
        let mut put = |at: usize, width: u32, number: u32| {
            for place in 0..width {
                let digit = number / 10_u32.pow(width - 1 - place) % 10;
                octets[at + place as usize] = b'0' + u8::try_from(digit).unwrap_or(0);
            }
        };
        put(1, 2, hour);
        put(4, 2, minute);
        put(7, 2, second);
        put(10, 2, month);
        put(13, 2, day);
        put(16, 4, u32::try_from(year).unwrap_or(0));
        octets
    }

    /// Whether an encrypted message of this time may be taken at `now`: at most 20 s ahead, at most 40 s behind.
    #[must_use]
    pub fn in_window(self, now: Gmt) -> bool {
        (-WINDOW_BEHIND_S..=WINDOW_AHEAD_S).contains(&(self.at.0 - now.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_of_eight_centuries_follows_the_one_before() {
        let mut before = Gmt(-11_676_096_000).civil();
        assert_eq!((before.year, before.month, before.day), (1600, 1, 1));
        for day in 1..292_194 {
            let gmt = Gmt(-11_676_096_000 + day * DAY_S);
            let civil = gmt.civil();
            assert_eq!(civil.seconds(), Some(gmt.0));
            let next_in_month = civil.month == before.month && civil.day == before.day + 1;
            let next_month = civil.day == 1 && before.day >= 28;
            assert!(next_in_month || next_month, "{gmt}");
            before = civil;
        }
        assert_eq!((before.year, before.month, before.day), (2399, 12, 31));
    }

    #[test]
    fn times_are_read_and_written() {
        // 951,782,400 s is 29 February 2000: 30 years, 7 leap days, 59 days.
        assert_eq!(Gmt(951_782_400).to_string(), "2000-02-29T00:00:00Z");
        let stamp = Stamp::read(b"_09:26:53,03-14-2026").expect("it is one");
        assert_eq!(stamp.at.to_string(), "2026-03-14T09:26:53Z");
        assert_eq!(&stamp.octets(), b"_09:26:53,03-14-2026");
        assert_eq!(Gmt::read("2026-03-14T10:26:53.25+01:00"), Ok(stamp.at));
        assert_eq!(Gmt::read("2026-03-14 09:26:53z"), Ok(stamp.at));
        for no in
            ["", "2026-03-14", "2026-03-14T09:26:53", "2026-02-30T00:00:00Z", "2026-03-14T09:26:53+1", "é"]
        {
            assert!(Gmt::read(no).is_err(), "{no}");
        }
        for no in
            [&b"_24:00:00,03-14-2026"[..], b"_09:26:53,14-03-2026", b"_09:26:53,02-29-2026", b"_9:26:53"]
        {
            assert_eq!(Stamp::read(no), None);
        }
    }

    #[test]
    fn the_window_has_both_its_ends() {
        let now = Gmt(1_000_000);
        for (off, taken) in [(-41, false), (-40, true), (0, true), (20, true), (21, false)] {
            assert_eq!(Stamp { at: Gmt(now.0 + off) }.in_window(now), taken, "{off}");
        }
    }
}
