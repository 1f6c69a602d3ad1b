//! What people see, as snapshots; and that it fits, means the same without colour, and is the same every time.

mod common;

use common::run;
use unicode_width::UnicodeWidthStr;

/// Every report of the test jobs.
const REPORTS: &[&[&str]] = &[
    &["assess", "small"],
    &["assess", "small", "--all"],
    &["check", "small"],
    &["explain", "small", "C01"],
    &["explain", "small", "C01.leaf1"],
    &["explain", "small", "C02"],
    &["explain", "small", "C03.pir"],
    &["explain", "small", "C04"],
    &["explain", "small", "C04.D1"],
    &["explain", "small", "C05"],
    &["explain", "small", "M1"],
    &["explain", "small", "M1.2"],
    &["explain", "small", "M1.9"],
    &["explain", "small", "P1"],
    &["explain", "small", "P1.J1"],
    &["explain", "small", "job"],
    &["cutover", "small"],
    &["cutover", "small", "--way", "swap", "--all"],
    &["cutover", "names", "--all"],
    &["identify", "survey"],
    &["assess", "survey"],
    &["explain", "survey", "C03"],
    &["assess", "names"],
    &["assess", "names", "--all"],
    &["check", "names"],
    &["explain", "names", "図書館の裏口の扉"],
    &["explain", "names", "Zażółć-gęślą-jaźń-ŁĄKA-źdźbło-ŚĆIANA-przy-schodach-północ-ną"],
    &["explain", "names", "job"],
    &["kit", "small", "--date", "2026-11-28"],
    &["kit", "names", "--date", "2026-11-28"],
    &["kit", "small", "--quotation", "--date", "2026-11-28"],
    &["kit", "names", "--quotation", "--date", "2026-11-28"],
];

/// Every help text.
const HELP: &[&[&str]] = &[
    &["--help"],
    &["help", "check"],
    &["help", "assess"],
    &["help", "identify"],
    &["help", "cutover"],
    &["help", "kit"],
    &["help", "explain"],
    &["help", "receive"],
    &["help", "send"],
    &["help", "schema"],
    &["help", "completions"],
    &["help", "man"],
];

#[test]
fn an_assessment() {
    let run = run(&["assess", "small"]);
    assert_eq!(run.code, 1);
    insta::assert_snapshot!("assess", run.out);
    assert_eq!(run.talk, "");
}

#[test]
fn a_survey() {
    let run = run(&["identify", "survey"]);
    assert_eq!(run.code, 1, "foreign volts on one pair");
    insta::assert_snapshot!("identify", run.out);
    assert_eq!(run.talk, "");
}

#[test]
fn a_kit_and_its_quotation() {
    for (name, more) in [("kit", &[][..]), ("kit_quotation", &["--quotation"])] {
        let run = run(&[&["kit", "small", "--date", "2026-11-28"], more].concat());
        assert_eq!(run.code, 0, "made, whatever it finds");
        insta::assert_snapshot!(name, run.out);
        assert_eq!(run.talk, "");
    }
}

#[test]
fn a_cut_over() {
    let run = run(&["cutover", "small", "--all"]);
    assert_eq!(run.code, 0);
    insta::assert_snapshot!("cutover", run.out);
}

#[test]
fn a_check() {
    let run = run(&["check", "small"]);
    assert_eq!(run.code, 1);
    insta::assert_snapshot!("check", run.out);
}

#[test]
fn the_working_behind_a_circuit() {
    for (name, place) in [("explain-circuit", "C02"), ("explain-contact", "C03.pir"), ("explain-job", "job")]
    {
        let run = run(&["explain", "small", place]);
        assert_eq!(run.code, 0);
        insta::assert_snapshot!(name, run.out);
    }
}

#[test]
fn help() {
    let texts: Vec<String> = HELP.iter().map(|words| run(words).out).collect();
    insta::assert_snapshot!("help", texts.join("\n----\n\n"));
}

#[test]
fn everything_that_is_wrong_with_a_file() {
    let run = run(&["assess", "wrong.toml"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    insta::assert_snapshot!("wrong", run.talk);
}

#[test]
fn an_unknown_place_is_answered_with_the_nearest_names() {
    for (wanted, near) in
        [("C1", "`C01`"), ("C01.leef1", "`C01.leaf1`"), ("P1.J2", "`P1.J1`"), ("jop", "`job`")]
    {
        let run = run(&["explain", "small", wanted]);
        assert_eq!(run.code, 2);
        assert!(run.talk.contains(near), "{wanted}: {}", run.talk);
    }
}

#[test]
fn no_line_is_wider_than_a_terminal() {
    for words in REPORTS.iter().chain(HELP) {
        for line in run(words).out.lines() {
            assert!(line.width() <= 80, "{words:?}: {} columns: {line}", line.width());
        }
    }
    for file in ["wrong.toml", "nowhere", "small/job.toml/x"] {
        for line in run(&["check", file]).talk.lines() {
            assert!(line.width() <= 80, "{file}: {} columns: {line}", line.width());
        }
    }
}

#[test]
fn colour_adds_nothing_but_colour() {
    for words in REPORTS {
        let plain = run(&[*words, &["--color", "never"]].concat());
        let coloured = run(&[*words, &["--color", "always"]].concat());
        assert!(!plain.out.contains('\u{1b}'), "{words:?}");
        assert_eq!(stripped(&coloured.out), plain.out, "{words:?}");
        // Nobody looks at a pipe.
        assert_eq!(run(words).out, plain.out, "{words:?}");
    }
    assert!(run(&["assess", "small", "--color", "always"]).out.contains("\u{1b}["));
}

fn stripped(text: &str) -> String {
    anstream::adapter::strip_str(text).to_string()
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    for words in REPORTS {
        assert_eq!(run(words).out, run(words).out, "{words:?}");
        let json = [*words, &["--json"]].concat();
        assert_eq!(run(&json).out, run(&json).out, "{words:?}");
    }
}

#[test]
fn nothing_is_called_what_only_people_may_say() {
    for words in REPORTS {
        let text = run(words).out.to_lowercase();
        for word in ["compliant", "certified", "passed"] {
            assert!(!text.contains(word), "{words:?}: {word}");
        }
    }
}
