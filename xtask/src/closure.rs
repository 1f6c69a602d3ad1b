//! What must never come into the closure of the crates that a phone's browser is to run.

use std::path::Path;
use std::process::Command;

use crate::metadata::Workspace;

/// The crates whose closure is watched; one that does not exist yet is passed over.
pub const WATCHED: &[&str] = &["assess", "drawing", "pages"];

/// Names, or beginnings of names when they end in `*`, with what they would bring.
pub const FORBIDDEN: &[(&str, &[&str])] = &[
    (
        "a runtime",
        &[
            "tokio",
            "tokio-*",
            "async-std",
            "async-executor",
            "smol",
            "embassy-*",
            "futures-executor",
            "rayon*",
        ],
    ),
    (
        "a socket",
        &[
            "mio", "socket2", "hyper", "hyper-*", "h2", "axum*", "tower*", "reqwest", "ureq", "quinn*",
            "mdns-sd",
        ],
    ),
    (
        "a database",
        &["rusqlite", "libsqlite3-sys", "sqlx*", "diesel*", "tokio-postgres", "postgres*", "redb", "sled"],
    ),
    ("TLS", &["rustls*", "ring", "openssl*", "native-tls", "aws-lc*", "rcgen", "boring*"]),
    ("a typesetter", &["typst*", "krilla*", "printpdf", "pdf-writer", "rust_xlsxwriter"]),
    ("a random source", &["rand", "rand_*", "getrandom", "fastrand", "oorandom", "uuid", "ahash"]),
    ("signals", &["ctrlc", "signal-hook*", "nix"]),
    ("file watching", &["notify*", "inotify*", "walkdir", "tempfile", "dirs*"]),
    ("a clock", &["chrono", "time", "jiff*", "web-time"]),
    ("a terminal", &["clap*", "crossterm", "console", "indicatif", "terminal_size", "anstream"]),
];

/// What one crate may have behind it although it is forbidden, and why.
pub const EXCUSED: &[(&str, &str, &str)] = &[(
    "microlp",
    "web-time",
    "sums up its own working time; a deadline is read only where one was set, and `allocate` sets none. In a browser it asks \
     the page's own clock",
)];

/// Everything forbidden in the closure of a watched crate, with the way that leads to it.
///
/// # Panics
/// When cargo cannot be run.
#[must_use]
pub fn broken(workspace: &Workspace, root: &Path) -> Vec<String> {
    let watched = workspace.ours().filter(|package| WATCHED.contains(&package.name.as_str()));
    watched.flat_map(|package| forbidden(&package.name, &tree(root, &package.name))).collect()
}

/// What a crate is built on when it is built alone: beside others, features that they want would count as its own.
fn tree(root: &Path, name: &str) -> String {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let package = format!("loopwright-{name}");
    let asked =
        ["tree", "--offline", "--edges", "normal", "--prefix", "depth", "--format", " {p}", "-p", &package];
    let output = Command::new(cargo).args(asked).current_dir(root).output();
    let output = output.expect("cargo runs these tests, so it can be run");
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "cargo tree: {told}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// What a tree has that is forbidden; its lines are a depth, a name and a version.
fn forbidden(watched: &str, tree: &str) -> Vec<String> {
    let mut way: Vec<&str> = Vec::new();
    let mut broken = Vec::new();
    for line in tree.lines() {
        let mut words = line.split_whitespace();
        let (Some(Ok(depth)), Some(name)) = (words.next().map(str::parse::<usize>), words.next()) else {
            continue;
        };
        way.truncate(depth);
        way.push(name.strip_prefix("loopwright-").unwrap_or(name));
        // A package that stands in the tree again is shown with its first way alone.
        let behind = way.len().checked_sub(2).map(|parent| way[parent]);
        let excused = EXCUSED.iter().any(|(parent, excused, _)| behind == Some(*parent) && name == *excused);
        if let Some(brings) = brings(name).filter(|_| !line.ends_with("(*)") && !excused) {
            broken.push(format!("{watched} brings {brings}: {}", way.join(" -> ")));
        }
    }
    broken
}

fn brings(name: &str) -> Option<&'static str> {
    let is = |pattern: &&str| match pattern.strip_suffix('*') {
        Some(beginning) => name.starts_with(beginning),
        None => name == *pattern,
    };
    FORBIDDEN.iter().find(|(_, names)| names.iter().any(is)).map(|(brings, _)| *brings)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_random_source_behind_another_crate_is_found() {
        let tree = "0 loopwright-assess v0.1.0 (/somewhere)\n1 harmless v1.0.0\n2 getrandom v0.3.1\n1 other v1.0.0\n2 getrandom v0.3.1 (*)\n";
        assert_eq!(
            forbidden("assess", tree),
            ["assess brings a random source: assess -> harmless -> getrandom"]
        );
    }

    #[test]
    fn a_clock_is_excused_only_behind_the_crate_that_was_looked_at() {
        let tree = "0 loopwright-assess v0.1.0 (/somewhere)\n1 microlp v0.7.0\n2 web-time v1.1.0\n1 other v1.0.0\n2 web-time v1.1.0\n";
        assert_eq!(forbidden("assess", tree), ["assess brings a clock: assess -> other -> web-time"]);
    }
}
