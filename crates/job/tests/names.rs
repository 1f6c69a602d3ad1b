//! What an id and a tag may be: everything that old paper has, nothing that nobody sees.

use document::Source;
use job::Job;
use proptest::prelude::*;

fn quoted(text: &str) -> String {
    document::Plain::Text(text.to_owned()).literal()
}

/// A job with a module and a circuit of these names; what is wrong with it: line, column, text.
fn read(id: &str, tag: &str) -> Result<Job, Vec<(usize, usize, String)>> {
    let text = format!("format = 1\n[[module]]\nid = {}\n[[circuit]]\ntag = {}\n", quoted(id), quoted(tag));
    let source = Source::new("job.toml", text);
    Job::read(&source).map_err(|problems| {
        let complaints = problems.iter().map(|problem| source.complaint(problem));
        complaints.map(|one| (one.line, one.column, one.text)).collect()
    })
}

/// Letters that nobody sees, from every sort of them.
fn unseen() -> impl Strategy<Value = char> {
    prop::sample::select(vec![
        '\u{0}',
        '\u{7}',
        '\u{1b}',
        '\t',
        '\n',
        '\u{7f}',
        '\u{85}',
        '\u{ad}',
        '\u{34f}',
        '\u{61c}',
        '\u{180e}',
        '\u{200b}',
        '\u{200c}',
        '\u{200d}',
        '\u{200e}',
        '\u{200f}',
        '\u{2028}',
        '\u{2029}',
        '\u{202a}',
        '\u{202e}',
        '\u{2060}',
        '\u{2066}',
        '\u{2069}',
        '\u{206f}',
        '\u{3164}',
        '\u{fdd0}',
        '\u{feff}',
        '\u{fff9}',
        '\u{fffe}',
        '\u{e0041}',
        '\u{10ffff}',
    ])
}

proptest! {
    /// Letters of any script, figures, blanks and signs, up to 64 of them.
    #[test]
    fn what_old_paper_has_is_read(
        first in "[\\p{L}\\p{N}#*+?(]",
        rest in "[\\p{L}\\p{N} ._#:;,+*()\\-&'\"<>=!?°]{0,62}",
        last in "[\\p{L}\\p{N}\\p{M}.)]",
    ) {
        let name: String = format!("{first}{rest}{last}").chars().filter(|letter| !job::is_unseen(*letter)).collect();
        prop_assume!(name.trim() == name && !name.is_empty() && name.chars().any(|letter| letter != '.'));
        let job = read(&name, &name);
        prop_assert!(job.is_ok(), "{name:?}: {job:?}");
        let job = job.unwrap();
        prop_assert_eq!(job.circuits[0].tag.as_str(), name.as_str());
        prop_assert_eq!(job.modules[0].id.as_str(), name.as_str());
    }

    /// A letter that nobody sees is refused wherever it stands, at its own column.
    #[test]
    fn what_nobody_sees_is_refused_where_it_stands(
        before in "[A-Za-z0-9ä日]{0,20}",
        letter in unseen(),
        behind in "[A-Za-z0-9ä日]{0,20}",
    ) {
        let name = format!("{before}{letter}{behind}");
        let Err(said) = read(&name, "C01") else { return Err(TestCaseError::fail(format!("{name:?} was taken"))) };
        prop_assert_eq!(said.len(), 1, "{:?}", said);
        let (line, column, text) = &said[0];
        prop_assert_eq!(*line, 3);
        // A blank at an end is told as such.
        let at_an_end = name.trim() != name;
        prop_assert!(text.contains(if at_an_end { "blank" } else { "nobody sees" }), "{name:?}: {text}");
        if !at_an_end {
            // Where it is written as an escape, the whole text is pointed at.
            let escaped = quoted(&name).contains('\\');
            let expected = if escaped { "id = ".len() } else { "id = \"".len() + before.chars().count() };
            prop_assert_eq!(*column, expected + 1, "{}", text);
        }
    }

    #[test]
    fn a_name_of_more_than_64_letters_is_refused_at_the_next(letter in "[a-zäŻ日]", more in 1_usize..3000) {
        let name = letter.repeat(64 + more);
        let Err(said) = read("M1", &name) else { return Err(TestCaseError::fail("it was taken")) };
        prop_assert_eq!(&said, &[(5, "tag = \"".len() + 65, "a name has more than 64 letters".to_owned())]);
        prop_assert!(read("M1", &letter.repeat(64)).is_ok());
    }

    #[test]
    fn dots_alone_are_no_name(name in "\\.[. ]{0,10}\\.|\\.") {
        let Err(said) = read(&name, "C01") else { return Err(TestCaseError::fail("it was taken")) };
        prop_assert!(said[0].2.contains("only dots"), "{:?}", said);
        let (behind, before) = (format!("{name}1"), format!("1{name}"));
        prop_assert!(read(&behind, &before).is_ok());
    }
}

/// Words that need a joiner or a non-joiner between two letters keep it (Persian, Sinhala); anywhere else it is refused.
#[test]
fn joiners_stand_where_a_script_has_them() {
    for name in ["خانه\u{200c}ای", "ශ්\u{200d}රී 3"] {
        assert!(read(name, name).is_ok(), "{name}");
    }
    for name in ["C\u{200d}1", "\u{200c}خانه", "خانه\u{200c}", "خ\u{200c}\u{200c}ا", "1\u{200d}خ"]
    {
        assert!(read(name, "C01").is_err(), "{name:?}");
    }
}

/// A device of a circuit has both names in its own, each as long as may be.
#[test]
fn a_device_of_a_long_tag_has_a_name() {
    let tag = "ü".repeat(64);
    let text = |name: &str| {
        format!(
            "format = 1\n[[circuit]]\ntag = \"{tag}\"\nnetwork = \"nc:{name} - 2.2k\"\n[[device]]\nid = \"{tag}/{name}\"\n"
        )
    };
    assert!(Job::read(&Source::new("job.toml", text("door"))).is_ok());
    let problems = Job::read(&Source::new("job.toml", text(&"d".repeat(65)))).unwrap_err();
    assert!(problems.iter().any(|problem| problem.text.contains("more than 64 letters")), "{problems:?}");
}

/// What was kept before there was a limit is read as before.
#[test]
fn the_examples_are_read() {
    for text in [
        include_str!("../../../examples/orchard-row/job.toml"),
        include_str!("../../../examples/orchard-row/survey.toml"),
        include_str!("../../../examples/campus/job.toml"),
        include_str!("format_example.toml"),
    ] {
        assert!(Job::read(&Source::new("job.toml", text)).is_ok());
    }
}
