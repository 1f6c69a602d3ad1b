//! Profiles as small texts, and the errors that they must give, drawn under the line that they are about.

use document::{Complaint, Source};
use library::{Kind, ModuleProfile, Profile};

/// The first lines of every profile in the tests.
const HEAD: &str = "id = \"x\"\ntitle = \"x\"\nbasis = \"x\"\n";

fn line(complaint: &Complaint) -> String {
    let Complaint { line, column, text, accept, .. } = complaint;
    format!("{line}:{column}: {text} | {accept}")
}

/// Reads a profile that must be good, its id, title and basis left out.
pub(crate) fn good(body: &str) -> Profile {
    let source = Source::new("x.toml", format!("{HEAD}{body}"));
    Profile::read(&source).unwrap_or_else(|problems| {
        let told: Vec<String> = problems.iter().map(|problem| line(&source.complaint(problem))).collect();
        panic!("{}\n{body}", told.join("\n"))
    })
}

/// Reads a module that must be good, from its own keys and its modes.
pub(crate) fn module(body: &str) -> ModuleProfile {
    match good(&format!("kind = \"module\"\n{body}")).kind {
        Kind::Module(module) => module,
        other => panic!("{other:?}"),
    }
}

/// A profile with its expected errors: a line that begins with `^` (after blanks) is none of the text but
/// says that the line before it is wrong at the caret's column, in words that contain what follows the caret;
/// what stands behind a `|` must be contained in what would be accepted.
pub(crate) fn expect(drawn: &str) {
    let mut text = HEAD.to_owned();
    let mut number = HEAD.lines().count();
    let mut wanted = Vec::new();
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
    let source = Source::new("x.toml", text);
    let problems = Profile::read(&source).err().unwrap_or_default();
    let told: Vec<Complaint> = problems.iter().map(|problem| source.complaint(problem)).collect();
    let all: Vec<String> = told.iter().map(line).collect();
    assert_eq!(told.len(), wanted.len(), "{drawn}\n{}", all.join("\n"));
    for (complaint, (row, column, said, accept)) in told.iter().zip(&wanted) {
        let is = line(complaint);
        assert_eq!((complaint.line, complaint.column), (*row, *column), "{drawn}\n{is}");
        assert!(complaint.text.contains(said.as_str()), "{said:?} is not in {is}");
        assert!(complaint.accept.contains(accept.as_str()), "{accept:?} is not in what {is} accepts");
    }
}

/// What is wrong with a profile as a whole, its id, title and basis left out.
#[allow(dead_code, reason = "each test file uses its own part of this one")]
#[allow(clippy::allow_attributes, reason = "an expectation would fail in the files that do use it")]
pub(crate) fn told(body: &str) -> Vec<String> {
    let source = Source::new("x.toml", format!("{HEAD}{body}"));
    Profile::read(&source).err().unwrap_or_default().into_iter().map(|problem| problem.text).collect()
}
