//! How long a search may take, as somebody writes it.

use std::time::Duration;

use quantity::Seconds;

/// What [`time_limit`] takes.
pub const TIME_LIMITS: &str = "a time, as `10s` or `2 min`, up to a day";

/// Reads `10s`, `10 s` or `2 min`, up to a day; none for anything else.
#[must_use]
pub fn time_limit(text: &str) -> Option<Duration> {
    let digits = text.trim_end_matches(|letter: char| letter.is_alphabetic());
    let spaced = format!("{} {}", digits.trim_end(), text.get(digits.len()..).unwrap_or(""));
    let seconds = quantity::parse::<Seconds>(spaced.trim()).ok()?;
    (0.0..=86_400.0).contains(&seconds.0).then(|| Duration::from_secs_f64(seconds.0))
}
