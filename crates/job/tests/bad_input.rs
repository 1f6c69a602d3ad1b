//! Job files that nobody would write on purpose: a job or problems that lie inside the text, never a panic.

mod common;

use std::fmt::Write as _;

use document::Source;
use job::Job;
use proptest::prelude::*;

const EXAMPLE: &str = include_str!("format_example.toml");

/// Reads a text; every problem must have a place in it.
fn read(text: &str) -> Result<bool, TestCaseError> {
    let source = Source::new("job.toml", text);
    let problems = match Job::read(&source) {
        Ok(_) => return Ok(true),
        Err(problems) => problems,
    };
    prop_assert!(!problems.is_empty() && problems.len() <= document::MOST_PROBLEMS + 1);
    for problem in problems {
        prop_assert!(problem.span.start <= problem.span.end, "{problem:?}");
        prop_assert!(problem.span.end <= text.len() + 1, "{problem:?}");
        let complaint = source.complaint(&problem);
        prop_assert!(complaint.column <= source.line(complaint.line).chars().count() + 2, "{complaint:?}");
        prop_assert!(!complaint.text.is_empty(), "{complaint:?}");
    }
    Ok(false)
}

/// What a slip of the hand, a bad merge or a broken disk puts into a file.
fn scrap() -> impl Strategy<Value = String> {
    prop_oneof![
        "\\PC{0,6}",
        prop::sample::select(vec![
            "",
            "\"",
            "'",
            "[",
            "]",
            "[[circuit]]\n",
            "{",
            "}",
            ",",
            "=",
            ".",
            "\n",
            "#",
            "\\",
            "-1",
            "1e999",
            "nan",
            "open",
            "\"4.7k\"",
            "[]",
            "{}",
            "true",
            "C07",
            "M1.7",
            "\u{0}",
            "\u{feff}",
            "\r",
            "/",
            "\"\"\"",
            "999999999999999999999"
        ])
        .prop_map(str::to_owned),
    ]
}

fn cut(text: &str, share: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a place in a short text"
    )]
    let mut at = (text.len() as f64 * share) as usize;
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn any_text(text in "\\PC{0,120}") {
        read(&text)?;
    }

    #[test]
    fn the_example_with_a_piece_replaced(one in 0.0..1.0_f64, other in 0.0..1.0_f64, scrap in scrap()) {
        let (a, b) = (cut(EXAMPLE, one.min(other)), cut(EXAMPLE, one.max(other)));
        let b = b.min(a + 40);
        let b = (a..=b).rev().find(|at| EXAMPLE.is_char_boundary(*at)).unwrap_or(a);
        read(&format!("{}{scrap}{}", &EXAMPLE[..a], &EXAMPLE[b..]))?;
    }

    #[test]
    fn the_example_with_two_lines_exchanged(one in 0..80_usize, other in 0..80_usize) {
        let mut lines: Vec<&str> = EXAMPLE.lines().collect();
        let count = lines.len();
        lines.swap(one % count, other % count);
        read(&lines.join("\n"))?;
    }

    #[test]
    fn the_example_cut_short(share in 0.0..1.0_f64) {
        read(&EXAMPLE[..cut(EXAMPLE, share)])?;
    }

    /// Any text at all in the place of any value.
    #[test]
    fn any_value_anywhere(at in 0..60_usize, value in scrap(), quoted in any::<bool>()) {
        let equals: Vec<usize> = EXAMPLE.match_indices(" = ").map(|(at, _)| at + 3).collect();
        let at = equals[at % equals.len()];
        let end = EXAMPLE[at..].find([',', '\n', '}', ']']).map_or(EXAMPLE.len(), |end| at + end);
        let value = if quoted { format!("'{}'", value.replace(['\'', '\n', '\r', '\u{0}'], "")) } else { value };
        read(&format!("{}{value}{}", &EXAMPLE[..at], &EXAMPLE[end..]))?;
    }
}

#[test]
fn the_example_itself_is_read() {
    assert!(read(EXAMPLE).unwrap());
}

/// Time grows with the size of the job, not with its square (which would take an hour here): names, inputs,
/// devices and points are looked up.
#[test]
fn ten_thousand_circuits_with_a_device_each() {
    let mut text = "format = 1\n[[module]]\nid = \"M1\"\n".to_owned();
    for number in 0..10_000 {
        let _ = writeln!(text, "[[circuit]]\ntag = \"C{number}\"\nnetwork = \"wire:38m - nc:door - 4.7k\"");
        let _ = writeln!(text, "[[device]]\nid = \"C{number}/door\"");
    }
    text.push_str("[[supply]]\nid = \"P1\"\nruns = [\n");
    for number in 0..10_000 {
        let from = if number == 0 { "P1".to_owned() } else { format!("J{}", number - 1) };
        let _ = writeln!(text, "{{ from = \"{from}\", to = \"J{number}\", ohms = \"1 ohm\" }},");
    }
    text.push_str("]\n");
    let job = common::good(&text);
    assert_eq!((job.circuits.len(), job.devices.len(), job.supplies[0].runs.len()), (10_000, 10_000, 10_000));
}

/// The largest network with the deepest brackets is read and taken apart again; more is an error.
#[test]
fn networks_at_their_limits() {
    let circuit = |network: &str| format!("format = 1\n[[circuit]]\ntag = \"C01\"\nnetwork = \"{network}\"");
    assert!(read(&circuit(&vec!["1k"; 2000].join("-"))).unwrap());
    assert!(!read(&circuit(&vec!["1k"; 2001].join("-"))).unwrap());
    assert!(!read(&circuit(&vec!["1k"; 1_000_000].join("|"))).unwrap());
    assert!(read(&circuit(&format!("{}1k{}", "(".repeat(64), ")".repeat(64)))).unwrap());
    assert!(!read(&circuit(&"(".repeat(1_000_000))).unwrap());
}
