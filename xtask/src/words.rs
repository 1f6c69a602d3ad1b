//! Words that the program never prints, because it computes and records, and people decide and sign.

use crate::scan::{scan, test_lines, words};
use crate::tree::File;

/// In any letter case, as whole words; variants of a word that is built from it count as other words.
pub const NEVER: &[&str] = &["compliant", "compliance", "certified", "certifies", "passed", "foolproof"];

/// The same in the program's own sentences. In data it is mostly the box that money lies in.
pub const NEVER_OF_A_JOB: &[&str] = &["safe", "safely"];

/// Where one stands all the same: file, word, reason.
pub const EXCEPTIONS: &[(&str, &str, &str)] = &[];

/// Every text of the program, of its data and of its examples that holds such a word.
#[must_use]
pub fn broken(files: &[File]) -> Vec<String> {
    let mut broken = Vec::new();
    for file in files {
        let source = file.path.ends_with(".rs");
        let texts = if source { quoted(&file.text) } else { lines(&file.text) };
        let forbidden = |word: &&str| NEVER.contains(word) || (source && NEVER_OF_A_JOB.contains(word));
        let allowed = |word: &str| EXCEPTIONS.iter().any(|(path, it, _)| *path == file.path && *it == word);
        for (line, text) in texts {
            let lower = text.to_lowercase();
            for word in words(&lower).filter(forbidden).filter(|word| !allowed(word)) {
                broken.push(format!("{}:{line}: `{word}` is never printed", file.path));
            }
        }
    }
    broken
}

/// Whether a file holds what people will read: sources of our crates, profiles, rules, habits, labour, examples, snapshots.
#[must_use]
pub fn is_printed(path: &str) -> bool {
    let source = path.starts_with("crates/") && path.ends_with(".rs") && path.contains("/src/");
    let data = ["equipment/", "rules/", "habits/", "labour/", "examples/"]
        .iter()
        .any(|folder| path.starts_with(folder));
    source || data || path.ends_with(".snap")
}

fn quoted(text: &str) -> Vec<(usize, String)> {
    let scanned = scan(text);
    let tests = test_lines(&scanned.code);
    let printed = |(line, _): &(usize, String)| !tests.iter().any(|lines| lines.contains(line));
    scanned.quoted.into_iter().filter(printed).collect()
}

fn lines(text: &str) -> Vec<(usize, String)> {
    text.lines().enumerate().map(|(at, line)| (at + 1, line.to_owned())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_printed_word_is_found_and_a_comment_that_forbids_it_is_not() {
        let text = "// never `certified`\nlet word = \"silent_safe\";\nprint(\"This job is Safe.\");";
        let file = File { path: "crates/x/src/lib.rs".to_owned(), text: text.to_owned() };
        assert_eq!(broken(&[file]), ["crates/x/src/lib.rs:3: `safe` is never printed"]);
    }
}
