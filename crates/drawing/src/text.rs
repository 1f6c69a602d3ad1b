//! Text on a grid: how many columns it takes, cut, filled up and broken into lines.

use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// Columns of the widest letters there are; no line is narrower.
const WIDEST_LETTER: usize = 4;

/// The text without what a terminal would obey in place of showing: control characters and those that turn
/// the direction of writing. Blanks of all kinds become blanks.
#[must_use]
pub fn clean(text: &str) -> String {
    let shown = |letter: char| match letter {
        '\t' | '\n' | '\r' => ' ',
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}' => '\u{fffd}',
        letter if letter.is_control() => '\u{fffd}',
        letter => letter,
    };
    text.chars().map(shown).collect()
}

/// How many columns a text takes on a terminal.
#[must_use]
pub fn width(text: &str) -> usize {
    text.width()
}

/// The text, or as much of it as fits with `…` behind it.
#[must_use]
pub fn clipped(text: &str, columns: usize) -> String {
    let text = clean(text);
    if width(&text) <= columns {
        return text;
    }
    let mut kept = String::new();
    for letter in text.chars() {
        kept.push(letter);
        if width(&kept) + 1 > columns {
            kept.pop();
            break;
        }
    }
    // What is left of a cut cluster may still be too wide.
    while width(&kept) + 1 > columns && kept.pop().is_some() {}
    let kept = kept.trim_end();
    if columns == 0 { String::new() } else { format!("{kept}…") }
}

/// The text cut or filled up with blanks to exactly so many columns.
#[must_use]
pub fn padded(text: &str, columns: usize) -> String {
    let mut text = clipped(text, columns);
    let missing = columns.saturating_sub(width(&text));
    text.extend(std::iter::repeat_n(' ', missing));
    text
}

/// The text in lines of at most so many columns (four at least), broken at blanks; a longer word is broken where it must be.
/// A thin space holds its number and unit together.
#[must_use]
pub fn wrapped(text: &str, columns: usize) -> Vec<String> {
    let columns = columns.max(WIDEST_LETTER);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in clean(text).split(' ').filter(|word| !word.is_empty()) {
        if !line.is_empty() && width(&line) + 1 + width(word) > columns {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        for cluster in word.graphemes(true) {
            if width(cluster) <= columns {
                join(&mut lines, &mut line, cluster, columns);
            } else {
                // A cluster of many letters: it is broken rather than cut.
                for letter in cluster.chars() {
                    join(&mut lines, &mut line, letter.encode_utf8(&mut [0; 4]), columns);
                }
            }
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// Puts a piece behind the line, on a new one where it does not fit. A letter may change how wide the one before
/// is shown, so the line is measured with the piece in it.
fn join(lines: &mut Vec<String>, line: &mut String, piece: &str, columns: usize) {
    let before = line.len();
    line.push_str(piece);
    if before > 0 && width(line) > columns {
        line.truncate(before);
        lines.push(std::mem::replace(line, piece.to_owned()));
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn wide_and_combining_letters_are_counted_as_they_are_shown() {
        assert_eq!(width("Łąka"), 4);
        assert_eq!(width("車庫"), 4);
        assert_eq!(clipped("車庫の扉", 5), "車庫…");
        assert_eq!(padded("e\u{301}te\u{301}", 4), "e\u{301}te\u{301} ");
    }

    #[test]
    fn a_long_word_is_broken_and_a_number_keeps_its_unit() {
        assert_eq!(wrapped("a\tb\u{1b}[31m", 40), ["a b\u{fffd}[31m"]);
        assert_eq!(wrapped("ab cdefghij k", 5), ["ab", "cdefg", "hij k"]);
        assert_eq!(wrapped("about 2.09\u{2009}kΩ", 8), ["about", "2.09\u{2009}kΩ"]);
        assert_eq!(wrapped("AAA*\u{fe0f}", 4), ["AAA", "*\u{fe0f}"]);
    }

    proptest! {
        #[test]
        fn nothing_is_wider_than_asked(text in "\\PC{0,60}", columns in WIDEST_LETTER..40) {
            prop_assert!(width(&clipped(&text, columns)) <= columns);
            prop_assert_eq!(width(&padded(&text, columns)), columns);
            for line in wrapped(&text, columns) {
                prop_assert!(width(&line) <= columns, "{:?}", line);
            }
        }
    }
}
