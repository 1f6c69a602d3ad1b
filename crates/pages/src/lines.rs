//! Two texts line by line: what is new, what is gone, and two people's edits put together where they are about different
//! lines.

use similar::{Algorithm, DiffOp, TextMerge, capture_diff_slices};

/// Lines that are compared, of all texts together; a job of 5,000 pairs has some 50,000. Beyond that the whole text counts
/// as changed.
const MOST_LINES: usize = 200_000;

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

/// What has to go and what has to come so that the one text becomes the other.
pub(crate) fn difference<'t>(from: &'t str, to: &'t str) -> Vec<Line<'t>> {
    let (from, to) = (lines(from), lines(to));
    let ops = if from.len() + to.len() > MOST_LINES {
        vec![DiffOp::Replace { old_index: 0, old_len: from.len(), new_index: 0, new_len: to.len() }]
    } else {
        capture_diff_slices(Algorithm::Myers, &from, &to)
    };
    let mut all = Vec::new();
    for op in ops {
        if let DiffOp::Equal { len, .. } = op {
            all.push(Line::Same(len));
        } else {
            all.extend(from[op.old_range()].iter().map(|line| Line::Out(line)));
            all.extend(to[op.new_range()].iter().map(|line| Line::In(line)));
        }
    }
    all
}

/// How many lines go and come.
pub(crate) fn counted(difference: &[Line]) -> (usize, usize) {
    let out = difference.iter().filter(|line| matches!(line, Line::Out(_))).count();
    let new = difference.iter().filter(|line| matches!(line, Line::In(_))).count();
    (out, new)
}

/// A text with two people's edits of it in one, in as many places as there are; none where both are about the same lines, or
/// lines that touch, and do not make the same of them.
pub(crate) fn merged(base: &str, one: &str, other: &str) -> Option<String> {
    if base == one || one == other {
        return Some(other.to_owned());
    }
    if base == other {
        return Some(one.to_owned());
    }
    let count: usize = [base, one, other].into_iter().map(|text| lines(text).len()).sum();
    if count > MOST_LINES {
        return None;
    }
    let merge = TextMerge::from_lines(base, one, other);
    (!merge.is_conflicted()).then(|| merge.to_string())
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

        /// Whatever two people make of a text, line by line: it is put together as by hand, and not at all where both touch
        /// the same lines or neighbours.
        #[test]
        fn two_peoples_edits_are_put_together_as_by_hand(
            all in proptest::collection::vec((deed(), deed()), 1..14),
            ends in any::<bool>(),
        ) {
            let own = |whose: &dyn Fn(&(Deed, Deed)) -> Deed, word: &str| -> Vec<(String, Deed)> {
                all.iter().enumerate().map(|(at, deeds)| (carried(at, whose(deeds), word), whose(deeds))).collect()
            };
            let (mine, theirs) = (own(&|deeds| deeds.0, "mine"), own(&|deeds| deeds.1, "theirs"));
            let ended = |text: String| if ends { text } else { text.trim_end_matches('\n').to_owned() };
            let whole = |of: &[(String, Deed)]| ended(of.iter().map(|(text, _)| text.as_str()).collect());
            let base: String = ended((0..all.len()).map(|at| carried(at, Deed::Leave, "")).collect());
            let both = merged(&base, &whole(&mine), &whole(&theirs));
            prop_assert_eq!(&both, &merged(&base, &whole(&theirs), &whole(&mine)), "whoever is called the first");
            // An edit reaches its own line, or the gap behind it.
            let reach = |at: usize, deed: Deed| match deed {
                Deed::Leave => None,
                Deed::Add => Some((at + 1, at + 1)),
                Deed::Write | Deed::Out => Some((at, at + 1)),
            };
            let reaches = |of: &[(String, Deed)]| -> Vec<(usize, usize)> {
                of.iter().enumerate().filter_map(|(at, (_, deed))| reach(at, *deed)).collect()
            };
            let touch = reaches(&mine).iter().any(|a| reaches(&theirs).iter().any(|b| a.1 >= b.0 && b.1 >= a.0));
            if !touch && ends {
                let wanted = mine.iter().zip(&theirs).map(|(mine, theirs)| if theirs.1 == Deed::Leave { &mine.0 } else { &theirs.0 });
                prop_assert_eq!(both, Some(wanted.map(String::as_str).collect::<String>()));
            } else if touch && ends && all.iter().all(|deeds| *deeds != (Deed::Out, Deed::Out)) {
                prop_assert_eq!(both, None);
            }
        }

        /// Lines that are often the same: whose edit is whose may not be told, but what stood in both or was made by both
        /// is there, nothing comes from nowhere, and who changed nothing changes nothing.
        #[test]
        fn nothing_is_lost_and_nothing_comes_from_nowhere(base in TEXT, one in TEXT, other in TEXT) {
            prop_assert_eq!(merged(&base, &one, &base), Some(one.clone()));
            prop_assert_eq!(merged(&base, &base, &other), Some(other.clone()));
            prop_assert_eq!(merged(&base, &one, &one), Some(one.clone()));
            let both = merged(&base, &one, &other);
            prop_assert_eq!(&both, &merged(&base, &other, &one));
            let Some(both) = both else { return Ok(()) };
            let count = |text: &str, wanted: &str| {
                i64::try_from(lines(text).into_iter().filter(|line| *line == wanted).count()).unwrap_or(0)
            };
            for line in lines(&format!("{both}{base}{one}{other}")) {
                let (base, one, other, both) = (count(&base, line), count(&one, line), count(&other, line), count(&both, line));
                // As many come and go as both together made, less what both made alike.
                let sum = base + (one - base) + (other - base);
                let alike = if (one - base).signum() == (other - base).signum() { (one - base).abs().min((other - base).abs()) } else { 0 };
                prop_assert!((both - sum).abs() <= alike + base, "{line:?}: {base} {one} {other} {both}");
                prop_assert!(both == 0 || one > 0 || other > 0, "{line:?} comes from nowhere");
            }
        }
    }

    const TEXT: &str = "([abc]{0,1}\n){0,9}[ab]{0,1}";

    /// What somebody does to a line.
    #[derive(Clone, Copy, PartialEq, Eq, Debug)]
    enum Deed {
        Leave,
        Write,
        Out,
        /// One more behind it.
        Add,
    }

    fn deed() -> impl Strategy<Value = Deed> {
        prop_oneof![6 => Just(Deed::Leave), 1 => Just(Deed::Write), 1 => Just(Deed::Out), 1 => Just(Deed::Add)]
    }

    fn carried(at: usize, deed: Deed, word: &str) -> String {
        match deed {
            Deed::Leave => format!("line {at}\n"),
            Deed::Write => format!("{word} {at}\n"),
            Deed::Out => String::new(),
            Deed::Add => format!("line {at}\n{word} behind {at}\n"),
        }
    }

    #[test]
    fn several_stretches_of_a_long_text_are_put_together() {
        let base: String = (0..4000).map(|at| format!("line {at}\n")).collect();
        let edit = |word: &str, all: &[usize]| {
            all.iter().fold(base.clone(), |text, at| {
                text.replace(&format!("line {at}\n"), &format!("{word} {at}\n"))
            })
        };
        let (mine, theirs) = (edit("mine", &[3, 1500, 3990]), edit("theirs", &[9, 1502, 3000, 3997]));
        let both = edit("mine", &[3, 1500, 3990]);
        let both = [9, 1502, 3000, 3997]
            .iter()
            .fold(both, |text, at| text.replace(&format!("line {at}\n"), &format!("theirs {at}\n")));
        assert_eq!(merged(&base, &mine, &theirs), Some(both));
        assert_eq!(merged(&base, &mine, &edit("theirs", &[9, 1501])), None, "lines that touch");
        assert_eq!(counted(&difference(&base, &mine)), (3, 3));
        // The same made by both is made once.
        assert_eq!(merged(&base, &edit("so", &[5]), &edit("so", &[5, 700])), Some(edit("so", &[5, 700])));
    }
}
