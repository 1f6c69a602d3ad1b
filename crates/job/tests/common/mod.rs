//! Job files as small texts, and the errors that they must give, drawn under the line that they are about.

use document::{Complaint, Source};
use job::Job;

/// Reads a job that must be good.
#[allow(dead_code, reason = "each test file uses its own part of this one")]
#[allow(clippy::allow_attributes, reason = "an expectation would fail in the files that do use it")]
pub(crate) fn good(text: &str) -> Job {
    let source = Source::new("job.toml", text);
    match Job::read(&source) {
        Ok(job) => job,
        Err(problems) => {
            let told: Vec<String> =
                problems.iter().map(|problem| source.complaint(problem)).map(|it| line(&it)).collect();
            panic!("{}\n{text}", told.join("\n"));
        }
    }
}

/// Everything that is wrong with a text.
#[allow(dead_code, reason = "each test file uses its own part of this one")]
#[allow(clippy::allow_attributes, reason = "an expectation would fail in the files that do use it")]
pub(crate) fn complaints(text: &str) -> Vec<Complaint> {
    let source = Source::new("job.toml", text);
    let problems = Job::read(&source).err().unwrap_or_default();
    problems.iter().map(|problem| source.complaint(problem)).collect()
}

/// One complaint as one line.
pub(crate) fn line(complaint: &Complaint) -> String {
    let Complaint { line, column, text, accept, .. } = complaint;
    format!("{line}:{column}: {text} | {accept}")
}

/// A text with its expected errors: a line that begins with `^` (after blanks) is none of the text but says
/// that the line before it is wrong at the caret's column, in words that contain what follows the caret.
/// What stands behind a `|` must be contained in what would be accepted.
#[allow(dead_code, reason = "each test file uses its own part of this one")]
#[allow(clippy::allow_attributes, reason = "an expectation would fail in the files that do use it")]
pub(crate) fn expect(drawn: &str) {
    let mut text = String::new();
    let mut wanted = Vec::new();
    let mut number = 0;
    for row in drawn.trim_start_matches('\n').lines() {
        if let Some(said) = row.trim_start().strip_prefix('^') {
            let column = row.chars().take_while(|letter| *letter != '^').count() + 1;
            let (said, accept) = said.split_once('|').unwrap_or((said, ""));
            wanted.push((number, column, said.trim().to_owned(), accept.trim().to_owned()));
        } else {
            text.push_str(row);
            text.push('\n');
            number += 1;
        }
    }
    let told = complaints(&text);
    let all: Vec<String> = told.iter().map(line).collect();
    assert_eq!(told.len(), wanted.len(), "{drawn}\n{}", all.join("\n"));
    for (complaint, (row, column, said, accept)) in told.iter().zip(&wanted) {
        let is = line(complaint);
        assert_eq!((complaint.line, complaint.column), (*row, *column), "{drawn}\n{is}");
        assert!(complaint.text.contains(said.as_str()), "{said:?} is not in {is}");
        assert!(complaint.accept.contains(accept.as_str()), "{accept:?} is not in what {is} accepts");
    }
}
