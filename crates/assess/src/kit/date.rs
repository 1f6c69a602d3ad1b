//! The date of a visit.

/// The year of a date, as 2026-11-25; none for anything else.
#[must_use]
pub fn year_of(date: &str) -> Option<i32> {
    let mut parts = date.split('-');
    let mut number = |letters: usize| {
        let part = parts.next().filter(|part| part.len() == letters)?;
        part.bytes().all(|digit| digit.is_ascii_digit()).then(|| part.parse::<i32>().ok()).flatten()
    };
    let (year, month, day) = (number(4)?, number(2)?, number(2)?);
    let whole = parts.next().is_none() && (1..=12).contains(&month) && (1..=days(year, month)).contains(&day);
    whole.then_some(year)
}

/// Days of a month of the Gregorian calendar.
fn days(year: i32, month: i32) -> i32 {
    match month {
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_year_is_that_of_a_date() {
        assert_eq!(year_of("2026-11-25"), Some(2026));
        assert_eq!(year_of("2028-02-29"), Some(2028));
        for wrong in ["2026-02-30", "2026-02-29", "2100-02-29", "2026-04-31"] {
            assert_eq!(year_of(wrong), None, "{wrong}");
        }
        for wrong in
            ["", "2026", "2026-13-01", "2026-01-32", "26-01-01", "2026-01-01-01", "２026-01-01", "2026-+1-01"]
        {
            assert_eq!(year_of(wrong), None, "{wrong}");
        }
    }
}
