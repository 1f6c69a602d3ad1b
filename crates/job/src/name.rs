//! What an id or a tag may be: whatever is written on old paper and tied on cables, and nothing that nobody sees.

use document::Misread;

/// The most letters of an id, and of each side of a `/` in a device's.
const MOST_LETTERS: usize = 64;

const ACCEPT: &str = "1 to 64 letters, digits, signs and blanks, none at the ends and not only dots, as `M1`, `C07` or `Tür 3`";

/// Whether a letter is one that nobody sees: it steers a terminal, turns a line around, has no width or is none at all
/// (Unicode's general categories Cc, Zl and Zp, its bidirectional controls, its default ignorables without the selectors of
/// a variant, its noncharacters). What joins two letters in some scripts is not among them.
#[must_use]
pub fn is_unseen(letter: char) -> bool {
    letter.is_control()
        || u32::from(letter) & 0xfffe == 0xfffe
        || matches!(letter,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180e}'
            | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{3164}' | '\u{fdd0}'..='\u{fdef}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}'
            | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e00ff}'
            | '\u{e01f0}'..='\u{e0fff}')
}

/// The text, where it may be an id.
///
/// # Errors
/// What is wrong with it, and where.
pub(crate) fn good_id(text: &str) -> Result<&str, Misread> {
    if text.is_empty() {
        return Err(Misread::whole("a name is empty", ACCEPT));
    }
    if text.trim() != text {
        return Err(Misread::whole("a name begins or ends with a blank", ACCEPT));
    }
    if let Some(at) = unseen(text) {
        return Err(Misread::from(at, "a name holds a character that nobody sees", ACCEPT));
    }
    // Such a name is the way up in a path, and a browser takes it away.
    if text.chars().all(|letter| letter == '.' || letter.is_whitespace()) {
        return Err(Misread::whole("a name is only dots", ACCEPT));
    }
    let mut from = 0;
    for part in text.splitn(2, '/') {
        if let Some((at, _)) = part.char_indices().nth(MOST_LETTERS) {
            let says = format!("a name has more than {MOST_LETTERS} letters");
            return Err(Misread::from(from + at, says, ACCEPT));
        }
        from += part.len() + 1;
    }
    Ok(text)
}

/// Where the first letter stands that nobody sees.
fn unseen(text: &str) -> Option<usize> {
    let mut before = None;
    let mut letters = text.char_indices().peekable();
    while let Some((at, letter)) = letters.next() {
        let behind = letters.peek().map(|(_, letter)| *letter);
        let joins = matches!(letter, '\u{200c}' | '\u{200d}');
        if is_unseen(letter) || joins && !(before.is_some_and(is_joined) && behind.is_some_and(is_joined)) {
            return Some(at);
        }
        before = Some(letter);
    }
    None
}

/// Whether a script has this letter that writes words with a joiner or a non-joiner between letters: from Hebrew's block on,
/// with Arabic's, India's and those of their neighbours, to Mongolian's.
fn is_joined(letter: char) -> bool {
    matches!(letter, '\u{590}'..='\u{18af}' | '\u{a800}'..='\u{abff}' | '\u{fb50}'..='\u{fdcf}' | '\u{fe70}'..='\u{fefc}')
        && !is_unseen(letter)
}
