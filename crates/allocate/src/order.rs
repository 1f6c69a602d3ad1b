//! The order of tags and ids: numbers inside them count as numbers, so that C9 stands before C10.

use std::cmp::Ordering;

/// Compares two tags; equal only when they are the same text.
pub(crate) fn natural(one: &str, other: &str) -> Ordering {
    let (mut a, mut b) = (pieces(one), pieces(other));
    loop {
        let order = match (a.next(), b.next()) {
            (None, None) => return one.cmp(other),
            (None, Some(_)) => return Ordering::Less,
            (Some(_), None) => return Ordering::Greater,
            (Some(x), Some(y)) => match (number(x), number(y)) {
                (Some(x), Some(y)) => (x.len(), x).cmp(&(y.len(), y)),
                _ => x.cmp(y),
            },
        };
        if order != Ordering::Equal {
            return order;
        }
    }
}

/// Digits without leading zeros.
fn number(piece: &str) -> Option<&str> {
    piece.starts_with(|c: char| c.is_ascii_digit()).then(|| piece.trim_start_matches('0'))
}

/// Runs of digits and runs of anything else, in turn.
fn pieces(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let digit = rest.chars().next()?.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != digit).unwrap_or(rest.len());
        let (piece, after) = rest.split_at(end);
        rest = after;
        Some(piece)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_tags_count_as_numbers() {
        let mut tags = ["C10", "C9", "C09", "B2", "C", "C9a", "10", "9"];
        tags.sort_by(|a, b| natural(a, b));
        assert_eq!(tags, ["9", "10", "B2", "C", "C09", "C9", "C9a", "C10"]);
    }
}
