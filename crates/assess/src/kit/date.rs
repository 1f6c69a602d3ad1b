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
    let whole = parts.next().is_none() && (1..=12).contains(&month) && (1..=31).contains(&day);
    whole.then_some(year)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_year_is_that_of_a_date() {
        assert_eq!(year_of("2026-11-25"), Some(2026));
        for wrong in
            ["", "2026", "2026-13-01", "2026-01-32", "26-01-01", "2026-01-01-01", "２026-01-01", "2026-+1-01"]
        {
            assert_eq!(year_of(wrong), None, "{wrong}");
        }
    }
}
