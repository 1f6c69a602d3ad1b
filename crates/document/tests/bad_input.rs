//! Texts that nobody would write on purpose: clear errors, in bounded time and memory.

use std::fmt::Write as _;

use document::{Complaint, Document, Key, MOST_BYTES, MOST_PROBLEMS, Problem, Source};
use proptest::prelude::*;

const KEYS: &[Key] = &["format", "circuit", "site"];
const CIRCUIT: &[Key] = &["tag", "length"];

/// Reads everything that a text can hold and returns what is wrong, each with its place.
fn told(source: &Source) -> Vec<Complaint> {
    let document = Document::parse(source);
    let root = document.root("", KEYS);
    let _ = root.required("format").map(|value| value.whole(1, 1));
    for circuit in root.tables("circuit", CIRCUIT) {
        let _ = circuit.text("tag");
        let _ = circuit.quantity::<quantity::Metres>("length");
    }
    let _ = root.table("site", CIRCUIT);
    document.into_problems().iter().map(|problem| source.complaint(problem)).collect()
}

/// Bytes of the texts that must take time in proportion to their size: a square would take hours.
const LARGE: usize = 2 * 1024 * 1024;

#[test]
fn bytes_that_are_no_text_are_named_with_their_place() {
    let bytes = b"format = 1\n# caf\xc3\xa9\nname = \"caf\xe9\"\n";
    let complaint = Source::read_bytes("job.toml", bytes).unwrap_err();
    assert_eq!((complaint.line, complaint.column, complaint.caret), (3, 12, 12));
    assert_eq!(complaint.text, "byte 30 (hexadecimal e9) is not UTF-8 text");
    assert!(Source::read_bytes("job.toml", b"format = 1").is_ok());
    assert_eq!(Source::read_bytes("x", &[0xff; 3]).unwrap_err().column, 1);
}

#[test]
fn a_file_that_is_too_large_is_not_even_decoded() {
    let complaint = Source::read_bytes("job.toml", &vec![0xff; MOST_BYTES + 1]).unwrap_err();
    assert_eq!((complaint.text.as_str(), complaint.accept.as_str()), ("the file has 17 MB", "at most 16 MB"));
    let source = Source::new("job.toml", "#".repeat(MOST_BYTES + 1));
    assert_eq!(told(&source)[0].text, "the file has 17 MB");
    assert_eq!(told(&source).len(), 1, "nothing is said about what was not read");
}

#[test]
fn a_large_file_is_read() {
    let mut text = "format = 1\n".to_owned();
    let mut number = 0;
    while text.len() < LARGE {
        let _ = writeln!(text, "[[circuit]]\ntag = \"C{number}\"\nlength = \"38 m\"");
        number += 1;
    }
    let source = Source::new("job.toml", text);
    assert_eq!(told(&source), []);
}

#[test]
fn nothing_overflows_the_stack() {
    let long_key = vec!["a"; 79].join(".");
    let nested = |open: &str, close: &str, times: usize| {
        format!("x = {}1{}\n", open.repeat(times), close.repeat(times))
    };
    for text in [
        nested("[", "]", 300_000),
        nested("{ a = ", " }", 300_000),
        nested(&format!("{{ {long_key} = "), " }", 79),
        nested("{ a.a.a.a.a.a.a.a = ", " }", 79),
        format!("{} = 1", vec!["a"; 300_000].join(".")),
        format!("[{}]", vec!["a"; 300_000].join(".")),
        "[".repeat(LARGE),
        "x = [".repeat(300_000),
        "x = \"\"\"".to_owned() + &"\\".repeat(300_000),
    ] {
        let source = Source::new("job.toml", text);
        assert!(!told(&source).is_empty());
    }
}

#[test]
fn a_text_of_nothing_but_errors_is_told_in_part() {
    for piece in ["= ", "=\n", "a = b\n", "\u{0}", "[[", "x = 'y\n", "circuit = 1\n"] {
        let source = Source::new("job.toml", piece.repeat(300_000 / piece.len()));
        let told = told(&source);
        assert!((1..=MOST_PROBLEMS + 1).contains(&told.len()), "{piece:?}: {}", told.len());
    }
    let source = Source::new("job.toml", "= ".repeat(LARGE / 2));
    assert_eq!(told(&source).len(), 1, "above a megabyte only the first");
}

#[test]
fn a_very_long_line_is_shown_around_its_caret() {
    let text = format!("format = 1 # {}\nsite = {{ tag = {}1 }}", "x".repeat(1000), " ".repeat(1000));
    let source = Source::new("job.toml", text);
    let complaint =
        source.complaint(&Problem::new(source.text().len() - 3..source.text().len() - 2, "here", ""));
    assert_eq!((complaint.line, complaint.column), (2, 1016));
    assert!(complaint.source_line.chars().count() <= 166);
    assert_eq!(complaint.source_line.chars().nth(complaint.caret - 1), Some('1'));
    let first = source.complaint(&Problem::new(0..6, "here", ""));
    assert_eq!((first.caret, first.width), (1, 6));
    assert!(first.source_line.starts_with("format = 1") && first.source_line.ends_with("..."));
}

#[test]
fn columns_are_counted_in_characters_and_lines_by_line_feeds() {
    let source = Source::new("job.toml", "a = 1\r\n# \u{e9}\u{e9}\ntür = \"日本\"\r");
    assert_eq!(source.line(1), "a = 1");
    let at = source.text().find('本').unwrap();
    assert_eq!(source.place(at), document::Place { line: 3, column: 9 });
    assert_eq!(source.place(at + 1), document::Place { line: 3, column: 9 }, "inside the character");
    assert_eq!(source.place(10_000).line, 3);
    assert_eq!(source.line(3), "tür = \"日本\"");
    assert_eq!((source.line(0), source.line(4)), ("", ""));
}

proptest! {
    /// Whatever the text: no panic, and every problem lies in the text.
    #[test]
    fn any_text_is_read_or_told(text in "\\PC{0,200}") {
        all_inside(&text)?;
    }

    #[test]
    fn any_mixture_of_toml_is_read_or_told(pieces in prop::collection::vec(piece(), 0..40)) {
        all_inside(&pieces.concat())?;
    }

    #[test]
    fn any_bytes_are_decoded_or_told(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        match Source::read_bytes("x", &bytes) {
            Ok(source) => all_inside(source.text())?,
            Err(complaint) => prop_assert!(complaint.caret <= complaint.source_line.chars().count() + 1),
        }
    }
}

fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "format",
            "circuit",
            "tag",
            "site",
            "length",
            " = ",
            "[[",
            "]]",
            "[",
            "]",
            "{",
            "}",
            ",",
            ".",
            "\n",
            "\r\n",
            "\"",
            "'",
            "\"\"\"",
            "'''",
            "\\",
            "#",
            "1",
            "0x",
            "-",
            "true",
            "1979-05-27",
            "\u{feff}",
            "é",
            "\u{0}",
            " "
        ])
        .prop_map(str::to_owned),
        Just("[[circuit]]\ntag = \"C01\"\n".to_owned()),
        Just("length = \"38 m\"\n".to_owned()),
    ]
}

fn all_inside(text: &str) -> Result<(), TestCaseError> {
    let source = Source::new("x", text);
    let document = Document::parse(&source);
    let root = document.root("", KEYS);
    let _ = root.required("format").map(|value| value.whole(1, 1));
    for circuit in root.tables("circuit", CIRCUIT) {
        let _ = circuit.text("tag");
        let _ = circuit.quantity::<quantity::Metres>("length");
    }
    for problem in document.into_problems() {
        prop_assert!(
            problem.span.start <= problem.span.end && problem.span.end <= text.len() + 1,
            "{problem:?}"
        );
        let complaint = source.complaint(&problem);
        let length = source.line(complaint.line).chars().count();
        prop_assert!(
            complaint.line >= 1 && complaint.column >= 1 && complaint.column <= length + 2,
            "{complaint:?}"
        );
        prop_assert!(complaint.caret <= complaint.source_line.chars().count() + 1, "{complaint:?}");
    }
    Ok(())
}
