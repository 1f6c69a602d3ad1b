//! A look at a text before it is parsed: are its dotted keys of a length that anybody could mean?
//!
//! The parser allows 80 brackets and 80 parts of a key, each bracket with such a key inside: 6,400 tables in
//! one another, and taking those apart again overflows the stack. With at most [`MOST_PARTS`] parts it is
//! some 700, which fits. The tokens are cut exactly as the parser cuts them, so nothing hides in a string.

use crate::problem::Problem;

/// The longest dotted key; the formats need two parts.
const MOST_PARTS: usize = 8;

/// Refuses a text with a key of more than [`MOST_PARTS`] parts.
pub(crate) fn check(text: &str) -> Result<(), Problem> {
    let bytes = text.as_bytes();
    let mut at = 0;
    let mut dots = 0;
    while let Some(byte) = bytes.get(at) {
        let end = token_end(bytes, at, *byte);
        match byte {
            b'.' => dots += 1,
            b'=' | b',' | b'[' | b']' | b'{' | b'}' | b'#' | b'\r' | b'\n' => dots = 0,
            _ => {}
        }
        if dots >= MOST_PARTS {
            return Err(Problem::new(
                at..at + 1,
                format!("a key of more than {MOST_PARTS} parts"),
                "tables of this format are at most two deep",
            ));
        }
        at = end;
    }
    Ok(())
}

/// Where the token that begins at `at` ends; always after `at`.
fn token_end(bytes: &[u8], at: usize, first: u8) -> usize {
    let from = |start: usize| bytes.get(start..).unwrap_or(&[]);
    match first {
        b'#' => at + from(at).iter().position(|b| matches!(b, b'\r' | b'\n')).unwrap_or(bytes.len() - at),
        b'\'' if from(at).starts_with(b"'''") => multi_line_end(bytes, at, b'\''),
        b'"' if from(at).starts_with(b"\"\"\"") => multi_line_end(bytes, at, b'"'),
        b'\'' | b'"' => string_end(bytes, at, first),
        b'.' | b'=' | b',' | b'[' | b']' | b'{' | b'}' | b' ' | b'\t' | b'\r' | b'\n' => at + 1,
        _ => at + from(at).iter().position(|b| b".=,[]{} \t#\r\n".contains(b)).unwrap_or(bytes.len() - at),
    }
}

/// A string on one line ends behind its quote, or, for want of one, at the end of the line.
fn string_end(bytes: &[u8], at: usize, quote: u8) -> usize {
    let mut next = at + 1;
    while let Some(byte) = bytes.get(next) {
        match byte {
            b'\n' => return next,
            b'\\' if quote == b'"' => {
                next += 1 + usize::from(matches!(bytes.get(next + 1), Some(b'\\' | b'"')))
            }
            byte if *byte == quote => return next + 1,
            _ => next += 1,
        }
    }
    bytes.len()
}

/// A string over several lines ends behind its three quotes, or at the end of the text.
fn multi_line_end(bytes: &[u8], at: usize, quote: u8) -> usize {
    let mut next = at + 3;
    while let Some(byte) = bytes.get(next) {
        if *byte == b'\\' && quote == b'"' {
            next += 1 + usize::from(matches!(bytes.get(next + 1), Some(b'\\' | b'"')));
        } else if bytes.get(next..next + 3) == Some(&[quote; 3]) {
            let more =
                bytes.get(next + 3..).unwrap_or(&[]).iter().take(2).take_while(|b| **b == quote).count();
            return next + 3 + more;
        } else {
            next += 1;
        }
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dots_in_strings_and_comments_are_no_key() {
        let dots = "a.".repeat(40);
        for text in [
            format!("x = \"{dots}\""),
            format!("x = '{dots}'"),
            format!("x = '''\n{dots}'''"),
            format!("x = \"\"\"\\\"\"\"{dots}\"\"\""),
            format!("# {dots}"),
            "a.b.c.d.e.f.g.h = 1".to_owned(),
        ] {
            assert_eq!(check(&text), Ok(()), "{text}");
        }
    }

    #[test]
    fn a_key_of_nine_parts_is_refused_where_the_ninth_begins() {
        let problem = check("x = 1\na.b.c.d.e.f.g.h.i = 1").unwrap_err();
        assert_eq!(problem.span, 21..22);
        assert!(check("x = { a . \"b\" . c.d.e.f.g.h.i = 1 }").is_err());
        assert!(check("# comment ended by a carriage return\ra.b.c.d.e.f.g.h.i = 1").is_err());
    }
}
