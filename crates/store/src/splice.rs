//! From a text to the one before it, in as few bytes as the two differ.

/// At byte `at`, `length` bytes become `text`.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Splice {
    pub(crate) at: usize,
    pub(crate) length: usize,
    pub(crate) text: String,
}

impl Splice {
    /// What turns `from` into `to`.
    pub(crate) fn between(from: &str, to: &str) -> Self {
        let same = from.bytes().zip(to.bytes()).take_while(|(a, b)| a == b).count();
        let start = (0..=same).rev().find(|&at| from.is_char_boundary(at) && to.is_char_boundary(at));
        let start = start.unwrap_or(0);
        let (from_rest, to_rest) = (&from[start..], &to[start..]);
        let ends = from_rest.bytes().rev().zip(to_rest.bytes().rev());
        let same = ends.take_while(|(a, b)| a == b).count();
        let whole = |text: &str, end: usize| text.is_char_boundary(text.len() - end);
        let end = (0..=same).rev().find(|&end| whole(from_rest, end) && whole(to_rest, end)).unwrap_or(0);
        Self { at: start, length: from_rest.len() - end, text: to_rest[..to_rest.len() - end].to_owned() }
    }

    /// The other text; none when it does not fit.
    pub(crate) fn apply(&self, from: &str) -> Option<String> {
        let end = self.at.checked_add(self.length)?;
        let (before, after) = (from.get(..self.at)?, from.get(end..)?);
        from.get(self.at..end)?;
        Some([before, &self.text, after].concat())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_splice_leads_from_one_text_to_the_other(from in "[abä€]{0,12}", to in "[abä€]{0,12}") {
            let splice = Splice::between(&from, &to);
            prop_assert_eq!(splice.apply(&from), Some(to));
        }

        #[test]
        fn a_splice_that_does_not_fit_is_refused(from in "[ä€]{0,4}", at in 0_usize..20, length in 0_usize..20) {
            // Never a panic, whatever stands in a file that somebody else wrote.
            let _ = Splice { at, length, text: String::new() }.apply(&from);
            let _ = Splice { at: usize::MAX, length, text: String::new() }.apply(&from);
        }
    }

    #[test]
    fn one_changed_letter_costs_one_letter() {
        let splice = Splice::between("network = \"2.2k\"", "network = \"4.2k\"");
        assert_eq!(splice, Splice { at: 11, length: 1, text: "4".to_owned() });
    }
}
