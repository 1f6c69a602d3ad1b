//! Octets as text: what DC-09 calls text is Windows-1252 in 2013 and may be UTF-8 in the newest edition.

use std::borrow::Cow;

/// Windows-1252's own places, 80 to 9F (Unicode's mapping table for code page 1252; the five places without a
/// letter stay control characters, as browsers have it).
const HIGH: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}',
    '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

/// The text that octets stand for. UTF-8 where they are valid UTF-8 (text in Windows-1252 with letters above 7F
/// hardly ever is), else Windows-1252. Borrowed where it is UTF-8.
#[must_use]
pub fn decoded(octets: &[u8]) -> Cow<'_, str> {
    match std::str::from_utf8(octets) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(octets.iter().map(|&octet| letter(octet)).collect()),
    }
}

fn letter(octet: u8) -> char {
    match octet {
        0x80..=0x9F => HIGH[usize::from(octet - 0x80)],
        other => char::from(other),
    }
}

/// The same for a page: what does not print is shown as `·`, so that no sender steers a terminal.
#[must_use]
pub(crate) fn shown(octets: &[u8]) -> Cow<'_, str> {
    let text = decoded(octets);
    if text.chars().any(char::is_control) {
        Cow::Owned(text.chars().map(|letter| if letter.is_control() { '·' } else { letter }).collect())
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_codes_are_read() {
        assert_eq!(decoded(b"R\xe9serve n\xb0 4 \x80"), "Réserve n° 4 €");
        assert_eq!(decoded("Küche".as_bytes()), "Küche");
        assert_eq!(shown(b"a\x1b[2Jb"), "a·[2Jb");
    }
}
