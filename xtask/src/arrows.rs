//! Who may import whom. An arrow that is not in the table was never defended; take it out, or add it here
//! with its reason in a commit of its own.

use crate::metadata::Workspace;
use crate::scan::{scan, words};
use crate::tree::File;

/// Every crate with the crates of ours that it may import; each may stand above those that it names. Tests and
/// benches may import any crate that stands below their own.
pub const TABLE: &[(&str, &[&str])] = &[
    (
        "loopwright",
        &[
            "serve", "store", "cells", "pages", "pack", "view", "signal", "assess", "drawing", "circuit",
            "supply", "identify", "cutover", "kit", "library", "job", "document", "network", "quantity",
        ],
    ),
    // Beyond the design's table: `assess`, for what its wire types say through the doors for programs; `library`, `job` and
    // `document`, for what comes in with a request or a write. No `pack`: the command line hands its documents in, so that the
    // tests of the server need no typesetter.
    ("serve", &["pages", "store", "cells", "assess", "signal", "library", "job", "document"]),
    // `document`: the largest text, and plain values of changes.
    ("store", &["job", "document"]),
    // Beyond the design's table: as in `view`, what a page says is taken from the engines' own types; `document` for what is
    // wrong with a job file that somebody brings.
    (
        "pages",
        &[
            "view", "assess", "circuit", "supply", "identify", "drawing", "library", "job", "document",
            "network", "quantity",
        ],
    ),
    (
        "pack",
        &[
            "view", "assess", "drawing", "circuit", "supply", "identify", "cutover", "kit", "signal",
            "library", "job", "document", "network", "quantity",
        ],
    ),
    // Beyond the design's table: what pages and documents both say and draw, said and drawn once; the words, names and
    // numbers are those of the engines' own types.
    ("view", &["assess", "drawing", "circuit", "supply", "kit", "library", "job", "network", "quantity"]),
    // `network` beyond the design's table: each contact of a circuit is a signal that somebody waits for.
    ("signal", &["job", "network", "quantity"]),
    // Nothing: it does not know what a cell means.
    ("cells", &[]),
    // `quantity` beyond the design's table: numbers are written on a drawing as everywhere else.
    ("drawing", &["assess", "job", "network", "quantity"]),
    // `document`: what a job names and the library does not have is told with its place in the text.
    (
        "assess",
        &[
            "circuit", "supply", "identify", "allocate", "kit", "cutover", "library", "job", "document",
            "network", "quantity",
        ],
    ),
    ("circuit", &["library", "job", "network", "quantity"]),
    // `network`: a sounder circuit and a two-wire smoke circuit are supply trees written in the notation.
    ("supply", &["library", "job", "network", "quantity"]),
    ("identify", &["library", "job", "network", "quantity"]),
    // Nothing: a table of what fits comes in, and the engine that made it stays unknown.
    ("allocate", &[]),
    // Plain data: what is needed and why comes from `assess`.
    ("kit", &["quantity"]),
    // Plain data: minutes and weights.
    ("cutover", &[]),
    ("library", &["document", "network", "quantity"]),
    ("job", &["document", "network", "quantity"]),
    ("document", &["quantity"]),
    ("network", &["quantity"]),
    ("quantity", &[]),
    ("xtask", &[]),
];

/// Every arrow that is not in the table, and every crate that is not.
#[must_use]
pub fn broken(workspace: &Workspace) -> Vec<String> {
    let mut broken = Vec::new();
    for package in workspace.ours() {
        let Some((_, allowed)) = TABLE.iter().find(|(name, _)| *name == package.name) else {
            broken.push(format!("the crate `{}` has no row in xtask/src/arrows.rs", package.name));
            continue;
        };
        for (needed, kinds) in &package.needs {
            let Some(needed) = workspace.packages.get(needed).filter(|needed| needed.ours) else { continue };
            let of_tests = kinds.iter().all(|kind| kind == "dev") && row(&needed.name) > row(&package.name);
            if !of_tests && !allowed.contains(&needed.name.as_str()) {
                broken.push(format!("{} -> {} is no arrow of the table", package.name, needed.name));
            }
        }
    }
    broken
}

/// What a crate of ours lists in its `Cargo.toml` and none of its code names.
#[must_use]
pub fn unused(workspace: &Workspace, files: &[File]) -> Vec<String> {
    let mut unused = Vec::new();
    for package in workspace.ours() {
        let folders = [format!("crates/{}/", package.name), format!("{}/", package.name)];
        let own = files.iter().filter(|file| folders.iter().any(|folder| file.path.starts_with(folder)));
        let code: Vec<String> = own.map(|file| scan(&file.text).code).collect();
        for listed in &package.listed {
            if !code.iter().any(|code| words(code).any(|word| word == listed)) {
                unused.push(format!("{} lists `{listed}` and does not use it", package.name));
            }
        }
    }
    unused
}

/// Where a crate stands in the table.
fn row(name: &str) -> Option<usize> {
    TABLE.iter().position(|(row, _)| *row == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arrow_upwards_is_named_and_one_downwards_in_a_test_is_not() {
        let json = serde_json::json!({
            "workspace_members": ["a", "b", "c", "d"],
            "packages": [
                { "id": "a", "name": "loopwright-quantity", "license": "MIT" },
                { "id": "b", "name": "loopwright-network", "license": "MIT" },
                { "id": "c", "name": "loopwright-circuit", "license": "MIT" },
                { "id": "d", "name": "loopwright-document", "license": "MIT" },
            ],
            "resolve": { "nodes": [
                { "id": "a", "deps": [{ "pkg": "b", "dep_kinds": [{ "kind": null }] }] },
                { "id": "b", "deps": [{ "pkg": "a", "dep_kinds": [{ "kind": null }] }] },
                { "id": "c", "deps": [{ "pkg": "d", "dep_kinds": [{ "kind": "dev" }] }] },
                { "id": "d", "deps": [{ "pkg": "c", "dep_kinds": [{ "kind": "dev" }] }] },
            ] },
        });
        let broken = broken(&Workspace::from_json(&json));
        let named = ["quantity -> network", "document -> circuit"];
        assert_eq!(broken, named.map(|arrow| format!("{arrow} is no arrow of the table")));
    }

    #[test]
    fn the_table_goes_one_way() {
        for (name, allowed) in TABLE {
            for needed in *allowed {
                assert!(row(needed) > row(name), "{name} -> {needed} goes upwards in the table");
            }
        }
    }
}
