//! A Rust source taken apart as far as the rules need it: code without comments and texts, and the texts.

use std::ops::Range;

/// A source taken apart.
#[derive(Debug, Default)]
pub struct Scanned {
    /// Everything but comments and what stands in quotes; line ends are kept.
    pub code: String,
    /// What stands in quotes, each with its line, from 1.
    pub quoted: Vec<(usize, String)>,
}

/// Takes a source apart.
#[must_use]
pub fn scan(text: &str) -> Scanned {
    let signs: Vec<char> = text.chars().collect();
    let mut scanned = Scanned::default();
    let mut line = 1;
    let mut at = 0;
    while at < signs.len() {
        let Some((end, text)) = skipped(&signs, at) else {
            scanned.code.push(signs[at]);
            line += usize::from(signs[at] == '\n');
            at += 1;
            continue;
        };
        if let Some(text) = text {
            scanned.quoted.push((line, signs[text].iter().collect()));
        }
        scanned.code.push(' ');
        let breaks = signs[at..end].iter().filter(|sign| **sign == '\n').count();
        scanned.code.extend(std::iter::repeat_n('\n', breaks));
        line += breaks;
        at = end;
    }
    scanned
}

/// Where a comment, a text or a character that begins here ends, and the place of the text in quotes.
fn skipped(signs: &[char], at: usize) -> Option<(usize, Option<Range<usize>>)> {
    let next = signs.get(at + 1);
    match (signs[at], next) {
        ('/', Some('/')) => Some((find(signs, at, "\n").unwrap_or(signs.len()), None)),
        ('/', Some('*')) => Some((block_comment(signs, at), None)),
        ('"', _) => {
            let close = quote(signs, at);
            Some((close + 1, Some(at + 1..close)))
        }
        ('r', Some('"' | '#')) if !follows_word(signs, at) => {
            let hashes = signs[at + 1..].iter().take_while(|sign| **sign == '#').count();
            let open = at + 1 + hashes;
            if signs.get(open) != Some(&'"') {
                return None; // a raw name, as `r#type`
            }
            let close = find(signs, open + 1, &format!("\"{}", "#".repeat(hashes)))?;
            Some((close + 1 + hashes, Some(open + 1..close)))
        }
        // A character, not a lifetime.
        ('\'', Some('\\')) => Some((find(signs, at + 3, "'")? + 1, None)),
        ('\'', Some(_)) if signs.get(at + 2) == Some(&'\'') => Some((at + 3, None)),
        _ => None,
    }
}

fn follows_word(signs: &[char], at: usize) -> bool {
    let before = |back: usize| at.checked_sub(back).map(|at| signs[at]);
    match before(1) {
        Some('b' | 'c') => before(2).is_some_and(is_word),
        Some(sign) => is_word(sign),
        None => false,
    }
}

fn is_word(sign: char) -> bool {
    sign.is_alphanumeric() || sign == '_'
}

fn find(signs: &[char], from: usize, wanted: &str) -> Option<usize> {
    let wanted: Vec<char> = wanted.chars().collect();
    (from..signs.len()).find(|&at| signs[at..].starts_with(&wanted))
}

fn block_comment(signs: &[char], from: usize) -> usize {
    let mut depth = 0_usize;
    let mut at = from;
    while at + 1 < signs.len() {
        match (signs[at], signs[at + 1]) {
            ('/', '*') => depth += 1,
            ('*', '/') => depth -= 1,
            _ => {
                at += 1;
                continue;
            }
        }
        at += 2;
        if depth == 0 {
            return at;
        }
    }
    signs.len()
}

/// The quote that closes the one here.
fn quote(signs: &[char], open: usize) -> usize {
    let mut at = open + 1;
    while at < signs.len() && signs[at] != '"' {
        at += if signs[at] == '\\' { 2 } else { 1 };
    }
    at.min(signs.len() - 1)
}

/// Lines, from 1, that belong to `#[cfg(test)]` items.
#[must_use]
pub fn test_lines(code: &str) -> Vec<Range<usize>> {
    let line_of = |at: usize| 1 + code[..at].matches('\n').count();
    let starts = code.match_indices("#[cfg(test)]").map(|(at, _)| at);
    starts.map(|start| line_of(start)..line_of(item_end(code, start)) + 1).collect()
}

/// Where the item that begins here ends: behind its braces, or its semicolon.
fn item_end(code: &str, start: usize) -> usize {
    let mut depth = 0_usize;
    for (at, sign) in code[start..].char_indices() {
        match sign {
            '{' => depth += 1,
            '}' if depth <= 1 => return start + at,
            '}' => depth -= 1,
            ';' if depth == 0 => return start + at,
            _ => {}
        }
    }
    code.len()
}

/// The words of a line.
pub fn words(line: &str) -> impl Iterator<Item = &str> {
    line.split(|sign: char| !is_word(sign)).filter(|word| !word.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_texts_and_characters_are_no_code() {
        let scanned = scan(
            "let a = \"fs // \\\" x\"; // std::fs\n/* std /* nested */ fs */ let b = r#\"raw \" text\"#;\nlet c = '\"';\nlet d: &'static str = br\"x\";",
        );
        assert_eq!(scanned.code, "let a =  ;  \n  let b =  ;\nlet c =  ;\nlet d: &'static str = b ;");
        let quoted: Vec<&str> = scanned.quoted.iter().map(|(_, text)| text.as_str()).collect();
        assert_eq!(quoted, ["fs // \\\" x", "raw \" text", "x"]);
        assert_eq!(scanned.quoted[1].0, 2);
    }

    #[test]
    fn tests_end_where_their_braces_do() {
        let code = "fn a() {}\n#[cfg(test)]\nmod tests {\n fn b() {}\n}\nfn c() {}\n";
        let lines: Vec<usize> = test_lines(code).into_iter().flatten().collect();
        assert_eq!(lines, [2, 3, 4, 5]);
    }
}
