//! The machine's time, and ids that were never given before.

use std::time::{SystemTime, UNIX_EPOCH};

use signal::Gmt;

/// Now, RFC 3339 in UTC.
pub(crate) fn now() -> String {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    Gmt(i64::try_from(since.as_secs()).unwrap_or(i64::MAX)).to_string()
}

/// 25 letters and digits that nobody can guess, the first a letter.
///
/// # Errors
/// The system has no chance to give.
pub(crate) fn fresh_id() -> Result<String, getrandom::Error> {
    const SIGNS: &[u8; 32] = b"abcdefghijkmnpqrstuvwxyz23456789";
    let mut chance = [0; 25];
    getrandom::fill(&mut chance)?;
    let mut id: String = chance.iter().map(|byte| char::from(SIGNS[usize::from(byte % 32)])).collect();
    id.replace_range(..1, "x");
    Ok(id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_differ_and_times_are_times() {
        assert_ne!(fresh_id().unwrap(), fresh_id().unwrap());
        assert_eq!(fresh_id().unwrap().len(), 25);
        assert!(Gmt::read(&now()).unwrap() > Gmt(1_700_000_000));
    }
}
