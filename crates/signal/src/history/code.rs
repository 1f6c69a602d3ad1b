//! Codes as stations write them.

use crate::contact_id::{Qualifier, decimal};
use crate::expected::{Signal, SignalCode};

/// Reads a code: `E131`, `R131`, `1131`, `3131 01 002`, `131` (then the event's words say whether it is a restore),
/// `BA`, `BA002`, `NBA2`. The zone's column counts before a number behind the code.
pub(super) fn read(code: &str, zone: &str, event: &str) -> Option<Signal> {
    let code = code.trim().to_ascii_uppercase();
    let zone = zone.trim_start_matches(|sign: char| !sign.is_ascii_digit());
    let zone = &zone[..zone.bytes().take_while(u8::is_ascii_digit).count()];
    let zone = decimal(zone.as_bytes());
    let (code, behind) = contact_id(&code, event).or_else(|| letters(&code))?;
    Some(Signal { code, number: zone.or(behind).filter(|number| *number > 0) })
}

fn contact_id(code: &str, event: &str) -> Option<(SignalCode, Option<u32>)> {
    let parts: Vec<&str> =
        code.split(|sign: char| !sign.is_ascii_alphanumeric()).filter(|part| !part.is_empty()).collect();
    let first = *parts.first()?;
    // With area and number behind it, the number stands last.
    let number = if parts.len() >= 3 { decimal(parts[parts.len() - 1].as_bytes()) } else { None };
    let (qualifier, digits) = match (first.as_bytes().first()?, first.len()) {
        (b'E' | b'1', 4) => (Qualifier::New, &first[1..]),
        (b'R' | b'3', 4) => (Qualifier::Restore, &first[1..]),
        (_, 3) => (by_words(first, event), first),
        _ => return None,
    };
    if !digits.bytes().all(|digit| digit.is_ascii_digit()) {
        return None;
    }
    Some((SignalCode::ContactId(decimal(digits.as_bytes())?, qualifier), number))
}

/// A code without its qualifier: the list's own words say what it is.
fn by_words(code: &str, event: &str) -> Qualifier {
    let event = event.to_lowercase();
    let over = event.contains("restor") || (code.starts_with('4') && event.contains("clos"));
    if over { Qualifier::Restore } else { Qualifier::New }
}

fn letters(code: &str) -> Option<(SignalCode, Option<u32>)> {
    let bytes = code.as_bytes();
    // `NBA2`: the block's letter goes first.
    let bytes = match bytes {
        [b'N' | b'O', rest @ ..] if rest.len() >= 2 && rest[..2].iter().all(u8::is_ascii_uppercase) => rest,
        all => all,
    };
    let (letters, digits) = bytes.split_at_checked(2)?;
    let letters: [u8; 2] = letters.try_into().ok()?;
    let good = letters.iter().all(u8::is_ascii_uppercase) && digits.iter().all(u8::is_ascii_digit);
    good.then(|| (SignalCode::Letters(letters), decimal(digits)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_of_many_spellings() {
        let cid =
            |code, qualifier, number| Some(Signal { code: SignalCode::ContactId(code, qualifier), number });
        let two = |code: &[u8; 2], number| Some(Signal { code: SignalCode::Letters(*code), number });
        for (code, zone, event, wanted) in [
            ("E131", "002", "", cid(131, Qualifier::New, Some(2))),
            ("r131", "Zone 2", "", cid(131, Qualifier::Restore, Some(2))),
            ("3131 01 015", "", "", cid(131, Qualifier::Restore, Some(15))),
            ("E131-01-015", "", "", cid(131, Qualifier::New, Some(15))),
            ("130", "7", "Burglary restoral", cid(130, Qualifier::Restore, Some(7))),
            ("401", "2", "Closing", cid(401, Qualifier::Restore, Some(2))),
            ("301", "000", "AC loss", cid(301, Qualifier::New, None)),
            ("BA", "12", "", two(b"BA", Some(12))),
            ("NBA012", "", "", two(b"BA", Some(12))),
            ("NR", "", "", two(b"NR", None)),
            ("OP2", "", "", two(b"OP", Some(2))),
            ("6301", "", "", None),
            ("", "2", "", None),
            ("ALARM", "2", "", None),
            ("é1", "2", "", None),
        ] {
            assert_eq!(read(code, zone, event), wanted, "{code}");
        }
    }
}
