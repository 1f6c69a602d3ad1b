//! The README's code blocks are run: what it shows is what the program does. The examples of the format's page are
//! read.
//!
//! * `console`: each `$ ` line is run from the root of the repository, and what stands below it must be what is
//!   printed; a line `...` stands for any number of lines.
//! * `toml`: one that begins with `format` is a job, one that begins with `id` a profile; both are read.
//! * `notation`: each line, up to its `#`, is a network.
//! * `sh`: commands that are not run here.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// One fenced block.
struct Block {
    /// The line of its fence, from 1.
    line: usize,
    language: String,
    text: String,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the repository is there")
}

fn blocks(page: &str) -> Vec<Block> {
    let text = std::fs::read_to_string(root().join(page)).expect("the page is there");
    let mut blocks: Vec<Block> = Vec::new();
    let mut inside = false;
    for (at, line) in text.lines().enumerate() {
        if let Some(language) = line.strip_prefix("```") {
            inside = !inside;
            if inside {
                blocks.push(Block { line: at + 1, language: language.to_owned(), text: String::new() });
            }
        } else if let Some(block) = blocks.last_mut().filter(|_| inside) {
            block.text.push_str(line);
            block.text.push('\n');
        }
    }
    assert!(!inside, "a fence is not closed");
    blocks
}

fn blocks_in(page: &str, language: &str) -> Vec<Block> {
    let blocks: Vec<Block> = blocks(page).into_iter().filter(|block| block.language == language).collect();
    assert!(!blocks.is_empty(), "{page} has no `{language}` block");
    blocks
}

fn loopwright(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_loopwright"))
        .args(words)
        .current_dir(root())
        .env_remove("LOOPWRIGHT_LIBRARY")
        .env_remove("COLUMNS")
        .env("NO_COLOR", "1")
        .output()
        .expect("the program runs")
}

/// Reads a job, with a library of its own where one is given; the input must not be wrong.
fn check(name: &str, job: &str, profile: Option<&str>) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("readme-{name}"));
    std::fs::create_dir_all(folder.join("equipment")).expect("the build's folder can be written");
    let path = folder.join("job.toml");
    std::fs::write(&path, job).expect("the build's folder can be written");
    let path = path.to_string_lossy();
    let output = match profile {
        None => loopwright(&["check", &path]),
        Some(profile) => {
            let file = folder.join("equipment/own.toml");
            std::fs::write(file, profile).expect("the build's folder can be written");
            loopwright(&["check", &path, "--library", &folder.to_string_lossy()])
        }
    };
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{name}: {told}");
}

/// Whether lines are as shown, where `...` is any number of them.
fn is_shown(lines: &[&str], shown: &[&str]) -> bool {
    match shown {
        [] => lines.is_empty(),
        ["...", rest @ ..] => (0..=lines.len()).any(|skipped| is_shown(&lines[skipped..], rest)),
        [first, rest @ ..] => lines.first() == Some(first) && is_shown(&lines[1..], rest),
    }
}

#[test]
fn commands_print_what_is_shown() {
    for block in blocks_in("README.md", "console") {
        let mut commands: Vec<(&str, Vec<&str>)> = Vec::new();
        for line in block.text.lines() {
            if let Some(command) = line.strip_prefix("$ ") {
                commands.push((command, Vec::new()));
            } else if let Some((_, shown)) = commands.last_mut() {
                shown.push(line.trim_end());
            }
        }
        for (command, shown) in commands {
            let words = command
                .strip_prefix("cargo run --release -- ")
                .or_else(|| command.strip_prefix("loopwright "))
                .unwrap_or_else(|| panic!("README.md:{}: `{command}` cannot be run here", block.line));
            let output = loopwright(&words.split_whitespace().collect::<Vec<_>>());
            let printed = String::from_utf8_lossy(&output.stdout);
            let told = String::from_utf8_lossy(&output.stderr);
            assert!(matches!(output.status.code(), Some(0 | 1)), "{command}: {told}");
            let lines: Vec<&str> = printed.lines().map(str::trim_end).collect();
            assert!(is_shown(&lines, &shown), "README.md:{}: `{command}` now prints\n{printed}", block.line);
        }
    }
}

#[test]
fn jobs_and_profiles_can_be_read() {
    for page in ["README.md", "docs/format.md"] {
        for block in blocks_in(page, "toml") {
            let name = format!("{}-{}", page.replace(['.', '/'], "-"), block.line);
            if block.text.starts_with("id") {
                check(&name, "format = 1\n", Some(&block.text));
            } else {
                check(&name, &block.text, None);
            }
        }
    }
}

#[test]
fn the_notation_can_be_read() {
    for block in blocks_in("README.md", "notation") {
        for (at, line) in block.text.lines().enumerate() {
            let network = line.split('#').next().unwrap_or_default().trim();
            let job = format!("format = 1\n[[circuit]]\ntag = \"C01\"\nnetwork = \"{network}\"\n");
            check(&format!("line-{}", block.line + at + 1), &job, None);
        }
    }
}

#[test]
fn every_block_is_of_a_kind_that_is_run_or_said_not_to_be() {
    for block in blocks("README.md") {
        let known = ["console", "toml", "notation", "sh"].contains(&block.language.as_str());
        assert!(known, "README.md:{}: a block of `{}`", block.line, block.language);
    }
}

#[test]
fn three_points_stand_for_any_number_of_lines() {
    let lines = ["a", "b", "c"];
    assert!(is_shown(&lines, &["a", "...", "c"]) && is_shown(&lines, &["a", "b", "...", "c", "..."]));
    assert!(!is_shown(&lines, &["a", "c"]) && !is_shown(&lines, &["...", "b"]));
}
