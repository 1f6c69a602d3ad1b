//! What everything that we build on may be licensed under, and that somebody said why it is there.

use std::collections::BTreeSet;

use crate::metadata::Workspace;

/// Licences that go with ours.
pub const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Packages with no way to use them under an allowed licence.
#[must_use]
pub fn broken(workspace: &Workspace) -> Vec<String> {
    let packages = workspace.packages.values();
    packages
        .filter(|package| !may_be_used(&package.licence))
        .map(|package| format!("{} is licensed `{}`", package.name, package.licence))
        .collect()
}

/// Reads `A OR B`, `A AND B` and brackets; an old `A/B` is an `OR`.
fn may_be_used(expression: &str) -> bool {
    let expression = expression.trim().replace('/', " OR ");
    let expression = expression.trim();
    if let Some(parts) = split(expression, " OR ") {
        return parts.iter().any(|part| may_be_used(part));
    }
    if let Some(parts) = split(expression, " AND ") {
        return parts.iter().all(|part| may_be_used(part));
    }
    match expression.strip_prefix('(').and_then(|inner| inner.strip_suffix(')')) {
        Some(inner) => may_be_used(inner),
        None => ALLOWED.contains(&expression),
    }
}

/// The parts between a word that stands in no bracket; none when it stands nowhere.
fn split<'e>(expression: &'e str, word: &str) -> Option<Vec<&'e str>> {
    let mut parts = Vec::new();
    let mut depth = 0_usize;
    let mut from = 0;
    for (at, sign) in expression.char_indices() {
        match sign {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ if depth == 0 && at >= from && expression[at..].starts_with(word) => {
                parts.push(&expression[from..at]);
                from = at + word.len();
            }
            _ => {}
        }
    }
    parts.push(&expression[from..]);
    (parts.len() > 1).then_some(parts)
}

/// Direct dependencies of ours that `docs/dependencies.md` does not explain.
#[must_use]
pub fn unexplained(workspace: &Workspace, explained: &str) -> Vec<String> {
    let mut direct = BTreeSet::new();
    for package in workspace.ours() {
        let needed = package.needs.iter().filter_map(|(id, _)| workspace.packages.get(id));
        direct.extend(needed.filter(|needed| !needed.ours).map(|needed| needed.name.as_str()));
    }
    let missing = direct.into_iter().filter(|name| !explained.contains(&format!("| `{name}`")));
    missing.map(|name| format!("docs/dependencies.md does not say why `{name}` is there")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_are_read_as_they_are_meant() {
        for (expression, usable) in [
            ("MIT", true),
            ("MIT OR Apache-2.0", true),
            ("MIT/Apache-2.0", true),
            ("GPL-3.0-only", false),
            ("GPL-3.0-only OR MIT", true),
            ("GPL-3.0-only AND MIT", false),
            ("(MIT OR Apache-2.0) AND Unicode-3.0", true),
            ("(MIT OR Apache-2.0) AND GPL-3.0-only", false),
            ("", false),
        ] {
            assert_eq!(may_be_used(expression), usable, "{expression}");
        }
    }
}
