//! The pure crates touch no file, no clock, no socket, no environment and no order that is a hash's.
//!
//! A scan of the sources, because clippy's lists hold for a whole workspace, tests and the binary included.

use crate::scan::{scan, test_lines, words};
use crate::tree::File;

/// Crates that may touch the machine; every other one under `crates/` is pure.
const IMPURE: &[&str] = &["loopwright", "serve", "store", "pack"];

/// Modules of `std` that a pure crate does not open.
const MODULES: &[&str] = &["fs", "env", "net", "os", "process", "thread"];

/// Names that a pure crate does not use, wherever they come from.
const NAMES: &[&str] = &[
    "HashMap",
    "HashSet",
    "RandomState",
    "Instant",
    "SystemTime",
    "OnceLock",
    "LazyLock",
    "Mutex",
    "RwLock",
    "thread_local",
];

/// Where one is used all the same: file, name, reason.
pub const EXCEPTIONS: &[(&str, &str, &str)] = &[
    ("crates/assess/src/threads.rs", "thread", "circuits side by side, behind the feature `threads`"),
    (
        "crates/library/src/embedded.rs",
        "OnceLock",
        "the embedded files, read once; nothing ever changes them",
    ),
];

/// Every use that has no exception, and every exception that has no use.
#[must_use]
pub fn broken(files: &[File]) -> Vec<String> {
    let mut broken = Vec::new();
    let mut used = Vec::new();
    for file in files.iter().filter(|file| is_pure(&file.path)) {
        for (line, name) in uses(&file.text) {
            if let Some(at) =
                EXCEPTIONS.iter().position(|(path, word, _)| *path == file.path && *word == name)
            {
                used.push(at);
            } else {
                broken.push(format!("{}:{line}: a pure crate does not use `{name}`", file.path));
            }
        }
    }
    for (at, (path, name, _)) in EXCEPTIONS.iter().enumerate() {
        if !used.contains(&at) {
            broken.push(format!("{path} no longer uses `{name}`: take it off the list in xtask/src/pure.rs"));
        }
    }
    broken
}

/// Sources of a pure crate; its tests and benches may do as they like.
fn is_pure(path: &str) -> bool {
    let mut parts = path.split('/');
    parts.next() == Some("crates")
        && parts.next().is_some_and(|name| !IMPURE.contains(&name))
        && parts.next() == Some("src")
        && path.ends_with(".rs")
}

fn uses(text: &str) -> Vec<(usize, String)> {
    let code = scan(text).code;
    let tests = test_lines(&code);
    let mut found: Vec<(usize, String)> = Vec::new();
    for (at, line) in code.lines().enumerate() {
        let names = words(line).filter(|word| NAMES.contains(word));
        found.extend(names.map(|name| (at + 1, name.to_owned())));
    }
    for (at, _) in code.match_indices("std::") {
        let line = 1 + code[..at].matches('\n').count();
        let opened = opened(&code[at + "std::".len()..]);
        found.extend(
            opened.into_iter().filter(|name| MODULES.contains(name)).map(|name| (line, name.to_owned())),
        );
    }
    found.retain(|(line, _)| !tests.iter().any(|lines| lines.contains(line)));
    found.sort();
    found
}

/// The modules that a path behind `std::` opens: the next name, or the first names of each part in braces.
fn opened(path: &str) -> Vec<&str> {
    let first = |text: &str| {
        text.len()
            - text.trim_start().trim_start_matches(|sign: char| sign.is_alphanumeric() || sign == '_').len()
    };
    let Some(list) = path.trim_start().strip_prefix('{') else {
        return vec![path[..first(path)].trim()];
    };
    let mut names = Vec::new();
    let mut depth = 1_usize;
    let mut wanted = true;
    for (at, sign) in list.char_indices() {
        match sign {
            '{' => depth += 1,
            '}' if depth == 1 => break,
            '}' => depth -= 1,
            ',' if depth == 1 => wanted = true,
            _ if wanted && sign.is_alphabetic() => {
                names.push(&list[at..at + first(&list[at..])]);
                wanted = false;
            }
            _ => {}
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> Vec<String> {
        uses(text).into_iter().map(|(line, name)| format!("{line} {name}")).collect()
    }

    #[test]
    fn what_touches_the_machine_is_found() {
        assert_eq!(found("use std::fs;\nlet t = std::time::Instant::now();"), ["1 fs", "2 Instant"]);
        assert_eq!(found("use std::{cell::{Cell, env}, net::IpAddr, fs};"), ["1 fs", "1 net"]);
        assert_eq!(found("let m: std::collections::HashMap<u8, u8>;"), ["1 HashMap"]);
    }

    #[test]
    fn comments_tests_and_namesakes_are_not() {
        assert_eq!(found("// std::fs\nuse std::fmt; let env = 1; process(); env!(\"X\");"), [""; 0]);
        assert_eq!(found("#[cfg(test)]\nmod tests {\n use std::fs;\n}\n"), [""; 0]);
    }
}
