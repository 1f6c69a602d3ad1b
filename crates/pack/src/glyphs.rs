//! No box ever prints: what none of our fonts can draw is written as its code point.

use std::borrow::Cow;

use crate::desk::has_glyph;

/// A text in which every character has a glyph; others become `(U+4E2D)`, and marks that only steer the
/// typesetter (controls, directions) are left out.
pub(crate) fn printable(text: &str) -> Cow<'_, str> {
    if text.is_ascii() {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if is_steering(character) {
            continue;
        }
        if character.is_ascii() || has_glyph(character) {
            out.push(character);
        } else {
            out.push_str(&format!("(U+{:04X})", u32::from(character)));
        }
    }
    Cow::Owned(out)
}

/// Letters that a narrow column surely holds in one line.
const LONG_WORD: usize = 20;

/// A text whose long words can be broken (by a zero-width space): after a `_`, or where nothing better is.
pub(crate) fn breakable(text: &str) -> Cow<'_, str> {
    if text.split(' ').all(|word| word.chars().count() <= LONG_WORD) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 8);
    let mut run = 0;
    for character in text.chars() {
        out.push(character);
        run = if character == ' ' { 0 } else { run + 1 };
        if run >= LONG_WORD || (run > LONG_WORD / 2 && matches!(character, '_' | '.' | '/' | '-' | ',')) {
            out.push(BREAK);
            run = 0;
        }
    }
    Cow::Owned(out)
}

/// A place where a line may break and nothing is printed.
const BREAK: char = '\u{200b}';

fn is_steering(character: char) -> bool {
    matches!(character, '\u{80}'..='\u{9f}' | '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_europe_and_our_signs_have_glyphs() {
        let text = "Zażółć gęślą jaźń, Łódź, Ærø, Dvořák, Ωμ, Дверь, Θύρα ■▲◇·≥±–…\u{2009}kΩ";
        assert_eq!(printable(text), text);
    }

    #[test]
    fn long_words_can_be_broken() {
        assert_eq!(breakable("front door"), "front door");
        assert_eq!(breakable("door_to_the_attic_stairs"), "door_to_the_\u{200b}attic_stairs");
        assert_eq!(breakable(&"x".repeat(41)).matches('\u{200b}').count(), 2);
    }

    #[test]
    fn what_has_no_glyph_is_written_as_its_code_point() {
        assert_eq!(printable("door 中\u{200d}"), "door (U+4E2D)");
    }
}
