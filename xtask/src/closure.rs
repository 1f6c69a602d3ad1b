//! What must never come into the closure of the crates that a phone's browser is to run.

use std::collections::BTreeMap;

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

/// Everything forbidden in the closure of a watched crate, with the way that leads to it.
#[must_use]
pub fn broken(workspace: &Workspace) -> Vec<String> {
    let mut broken = Vec::new();
    for (id, package) in &workspace.packages {
        if !package.ours || !WATCHED.contains(&package.name.as_str()) {
            continue;
        }
        for (found, way) in closure(workspace, id) {
            if let Some(brings) = brings(&found) {
                broken.push(format!("{} brings {brings}: {way}", package.name));
            }
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

/// Names in the closure over normal dependencies, each with the way that leads to it.
fn closure(workspace: &Workspace, from: &str) -> BTreeMap<String, String> {
    let mut ways: BTreeMap<&str, String> = BTreeMap::new();
    let mut open: Vec<(&str, String)> = vec![(from, String::new())];
    while let Some((id, way)) = open.pop() {
        let Some(package) = workspace.packages.get(id) else { continue };
        if ways.contains_key(id) {
            continue;
        }
        let way = if way.is_empty() { package.name.clone() } else { format!("{way} -> {}", package.name) };
        let needs = package.needs.iter();
        let normal = needs.filter(|(_, kinds)| kinds.iter().any(|kind| kind == "normal"));
        open.extend(normal.map(|(needed, _)| (needed.as_str(), way.clone())));
        ways.insert(id, way);
    }
    let named =
        ways.into_iter().filter_map(|(id, way)| Some((workspace.packages.get(id)?.name.clone(), way)));
    named.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_random_source_behind_another_crate_is_found_and_a_test_tool_is_not() {
        let json = serde_json::json!({
            "workspace_members": ["a"],
            "packages": [
                { "id": "a", "name": "loopwright-assess", "license": "MIT" },
                { "id": "b", "name": "harmless", "license": "MIT" },
                { "id": "c", "name": "getrandom", "license": "MIT" },
                { "id": "d", "name": "rand_chacha", "license": "MIT" },
            ],
            "resolve": { "nodes": [
                { "id": "a", "deps": [
                    { "pkg": "b", "dep_kinds": [{ "kind": null }] },
                    { "pkg": "d", "dep_kinds": [{ "kind": "dev" }] },
                ] },
                { "id": "b", "deps": [{ "pkg": "c", "dep_kinds": [{ "kind": null }] }] },
            ] },
        });
        let broken = broken(&Workspace::from_json(&json));
        assert_eq!(broken, ["assess brings a random source: assess -> harmless -> getrandom"]);
    }
}
