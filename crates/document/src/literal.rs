//! Where in a string literal a place of its decoded text is.

use std::ops::Range;

/// The span of what follows byte `at` of `decoded`, in a text where `decoded` is written as the literal
/// at `span`. Exact for a literal without escapes; otherwise the whole literal.
pub(crate) fn inside(text: &str, span: &Range<usize>, decoded: &str, at: usize) -> Range<usize> {
    let Some(raw) = text.get(span.clone()) else { return span.clone() };
    let Some((content, length)) = content(raw) else { return span.clone() };
    if raw.get(content..content + length) != Some(decoded) {
        return span.clone();
    }
    let start = span.start + content;
    let end = start + decoded.len();
    let at = start + at.min(decoded.len());
    // at the very end of the string the caret stands under the closing quote
    at..end.max(at + 1)
}

/// Where the characters between the quotes begin, and how many bytes they have.
fn content(raw: &str) -> Option<(usize, usize)> {
    for quotes in ["\"\"\"", "'''"] {
        if let Some(rest) = raw.strip_prefix(quotes).and_then(|rest| rest.strip_suffix(quotes)) {
            let newline = if rest.starts_with("\r\n") { 2 } else { usize::from(rest.starts_with('\n')) };
            return Some((3 + newline, rest.len() - newline));
        }
    }
    let rest = raw.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
    let rest = rest.or_else(|| raw.strip_prefix('\'').and_then(|rest| rest.strip_suffix('\'')))?;
    Some((1, rest.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_point_between_the_quotes() {
        let text = "a = \"4k7 x\"\nb = '''\n4k7 x'''\nc = \"4k7\\tx\"";
        assert_eq!(inside(text, &(4..11), "4k7 x", 4), 9..10);
        assert_eq!(inside(text, &(16..28), "4k7 x", 4), 24..25);
        assert_eq!(inside(text, &(33..41), "4k7\tx", 4), 33..41, "an escape: the whole literal");
        assert_eq!(inside(text, &(4..11), "4k7 x", 5), 10..11, "the end: the closing quote");
    }
}
