//! Two texts line by line: what is new, what is gone, and two people's edits put together where they are about different
//! lines.

use std::ops::Range;

/// Pairs of lines that are compared; beyond that the whole stretch counts as changed.
const MOST_PAIRS: usize = 1_000_000;

/// A line of the difference.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Line<'t> {
    /// So many lines are the same.
    Same(usize),
    /// This one is gone.
    Out(&'t str),
    /// This one is new.
    In(&'t str),
}

fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

/// Which lines of the one became which of the other: everything between what is the same at both ends.
fn stretch(from: &[&str], to: &[&str]) -> (Range<usize>, Range<usize>) {
    let head = from.iter().zip(to).take_while(|(one, other)| one == other).count();
    let ends = from[head..].iter().rev().zip(to[head..].iter().rev());
    let tail = ends.take_while(|(one, other)| one == other).count();
    (head..from.len() - tail, head..to.len() - tail)
}

/// What has to go and what has to come so that the one text becomes the other.
pub(crate) fn difference<'t>(from: &'t str, to: &'t str) -> Vec<Line<'t>> {
    let (from, to) = (lines(from), lines(to));
    let (old, new) = stretch(&from, &to);
    let mut all = Vec::new();
    let (head, tail) = (old.start, from.len() - old.end);
    let (old, new) = (&from[old], &to[new]);
    if old.len().saturating_mul(new.len()) > MOST_PAIRS {
        all.extend(old.iter().map(|line| Line::Out(line)));
        all.extend(new.iter().map(|line| Line::In(line)));
    } else {
        longest_common(old, new, &mut all);
    }
    if head > 0 {
        all.insert(0, Line::Same(head));
    }
    if tail > 0 {
        all.push(Line::Same(tail));
    }
    all
}

/// By the longest common sequence of lines.
fn longest_common<'t>(old: &[&'t str], new: &[&'t str], all: &mut Vec<Line<'t>>) {
    let wide = new.len() + 1;
    let mut longest = vec![0_u32; (old.len() + 1) * wide];
    for i in (0..old.len()).rev() {
        for j in (0..new.len()).rev() {
            longest[i * wide + j] = if old[i] == new[j] {
                longest[(i + 1) * wide + j + 1] + 1
            } else {
                longest[(i + 1) * wide + j].max(longest[i * wide + j + 1])
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    while i < old.len() || j < new.len() {
        if i < old.len() && j < new.len() && old[i] == new[j] {
            match all.last_mut() {
                Some(Line::Same(count)) => *count += 1,
                _ => all.push(Line::Same(1)),
            }
            (i, j) = (i + 1, j + 1);
        } else if j == new.len()
            || (i < old.len() && longest[(i + 1) * wide + j] >= longest[i * wide + j + 1])
        {
            all.push(Line::Out(old[i]));
            i += 1;
        } else {
            all.push(Line::In(new[j]));
            j += 1;
        }
    }
}

/// How many lines go and come.
pub(crate) fn counted(difference: &[Line]) -> (usize, usize) {
    let out = difference.iter().filter(|line| matches!(line, Line::Out(_))).count();
    let new = difference.iter().filter(|line| matches!(line, Line::In(_))).count();
    (out, new)
}

/// A text with two edits of it in one; none where both are about the same lines, or lines that touch.
pub(crate) fn merged(base: &str, one: &str, other: &str) -> Option<String> {
    if base == one || one == other {
        return Some(other.to_owned());
    }
    if base == other {
        return Some(one.to_owned());
    }
    let (base, one, other) = (lines(base), lines(one), lines(other));
    let (from_one, to_one) = stretch(&base, &one);
    let (from_other, to_other) = stretch(&base, &other);
    let (first, first_new, second, second_new) = if from_one.end < from_other.start {
        (from_one, &one[to_one], from_other, &other[to_other])
    } else if from_other.end < from_one.start {
        (from_other, &other[to_other], from_one, &one[to_one])
    } else {
        return None;
    };
    let parts =
        [&base[..first.start], first_new, &base[first.end..second.start], second_new, &base[second.end..]];
    Some(parts.concat().concat())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Carries a difference out.
    fn carried_out(from: &str, difference: &[Line]) -> String {
        let from = lines(from);
        let (mut at, mut out) = (0, String::new());
        for line in difference {
            match line {
                Line::Same(count) => {
                    out.extend(from[at..at + count].iter().copied());
                    at += count;
                }
                Line::Out(line) => {
                    assert_eq!(from[at], *line);
                    at += 1;
                }
                Line::In(line) => out.push_str(line),
            }
        }
        assert_eq!(at, from.len());
        out
    }

    proptest! {
        #[test]
        fn a_difference_leads_from_one_text_to_the_other(from in "([abc]{0,1}\n){0,9}[ab]{0,1}", to in "([abc]{0,1}\n){0,9}[ab]{0,1}") {
            let all = difference(&from, &to);
            prop_assert_eq!(carried_out(&from, &all), to.clone());
            prop_assert_eq!(from == to, counted(&all) == (0, 0));
        }

        /// Edits of lines that lie apart are both in what comes out, whoever is called the first.
        #[test]
        fn edits_of_different_lines_are_both_kept(count in 3_usize..9, one in 0_usize..9, other in 0_usize..9) {
            let base: Vec<String> = (0..count).map(|line| format!("line {line}\n")).collect();
            let edit = |at: usize, word: &str| {
                let mut lines = base.clone();
                if let Some(line) = lines.get_mut(at) { *line = format!("{word}\n"); }
                lines.concat()
            };
            let (a, b) = (edit(one, "mine"), edit(other, "theirs"));
            let both = merged(&base.concat(), &a, &b);
            prop_assert_eq!(&both, &merged(&base.concat(), &b, &a));
            if one.abs_diff(other) > 1 && one < count && other < count {
                let mut lines = base.clone();
                lines[one] = "mine\n".to_owned();
                lines[other] = "theirs\n".to_owned();
                prop_assert_eq!(both, Some(lines.concat()));
            } else if one < count && other < count {
                prop_assert_eq!(both, None);
            }
        }
    }
}
