//! Which known word a misspelt one was meant to be, and lists of words in a sentence.

/// The longest word that is compared; what is longer is no misspelling.
const LONGEST: usize = 40;

/// The known word nearest to `written`, if one is near enough to be meant: at most a third of its
/// letters differ, and at most three.
#[must_use]
pub fn nearest<'w>(written: &str, known: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    if written.chars().count() > LONGEST {
        return None;
    }
    let lower = written.to_lowercase();
    known
        .into_iter()
        .map(|word| (steps(&lower, &word.to_lowercase()), word))
        .filter(|(steps, word)| near(*steps, word.chars().count()))
        .min_by_key(|(steps, _)| *steps)
        .map(|(_, word)| word)
}

/// Few enough steps for a word of that length; one letter is never another one misspelt.
fn near(steps: usize, length: usize) -> bool {
    steps <= (length / 3).clamp(1, 3) && steps < length
}

/// `a, b or c`; a long list is cut with its count.
#[must_use]
pub fn list<'w>(words: impl IntoIterator<Item = &'w str>) -> String {
    let words: Vec<&str> = words.into_iter().collect();
    if words.len() > 24 {
        return format!("{} ... ({} in all)", words.get(..20).unwrap_or(&[]).join(", "), words.len());
    }
    match words.split_last() {
        None => "nothing".to_owned(),
        Some((last, [])) => (*last).to_owned(),
        Some((last, first)) => format!("{} or {last}", first.join(", ")),
    }
}

/// Insertions, removals, changes and swaps of neighbours that lead from one word to the other.
fn steps(one: &str, other: &str) -> usize {
    let one: Vec<char> = one.chars().collect();
    let other: Vec<char> = other.chars().collect();
    let mut before: Vec<usize> = Vec::new();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, a) in one.iter().enumerate() {
        let mut next = vec![i + 1];
        for (j, b) in other.iter().enumerate() {
            let changed = row[j] + usize::from(a != b);
            let mut least = changed.min(row[j + 1] + 1).min(next[j] + 1);
            if i > 0 && j > 0 && *a == other[j - 1] && one[i - 1] == *b {
                least = least.min(before[j - 1] + 1);
            }
            next.push(least);
        }
        before = std::mem::replace(&mut row, next);
    }
    row[other.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_finger_finds_its_word() {
        let words = ["network", "found", "input", "resistor_at"];
        assert_eq!(nearest("netwrok", words), Some("network"));
        assert_eq!(nearest("Input", words), Some("input"));
        assert_eq!(nearest("resistor-at", words), Some("resistor_at"));
        assert_eq!(nearest("voltage", words), None);
        assert_eq!(nearest("", words), None);
    }

    #[test]
    fn words_make_a_sentence() {
        assert_eq!(list(["a"]), "a");
        assert_eq!(list(["a", "b", "c"]), "a, b or c");
        assert_eq!(list([]), "nothing");
    }
}
