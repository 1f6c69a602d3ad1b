//! Links between our documents lead to files that are there.

use std::path::Path;

use crate::tree::File;

/// Links of Markdown files that lead nowhere.
#[must_use]
pub fn broken(root: &Path, files: &[File]) -> Vec<String> {
    let mut broken = Vec::new();
    for file in files {
        let folder = root.join(&file.path).parent().map(Path::to_owned).unwrap_or_default();
        for (line, target) in targets(&file.text) {
            let path = target.split('#').next().unwrap_or_default();
            if !path.is_empty() && !folder.join(path).exists() {
                broken.push(format!("{}:{line}: `{target}` is not there", file.path));
            }
        }
    }
    broken
}

/// Targets of links to files, each with its line, from 1; what stands in code blocks is none.
fn targets(text: &str) -> Vec<(usize, &str)> {
    let mut found = Vec::new();
    let mut in_code = false;
    for (at, line) in text.lines().enumerate() {
        if line.trim_start().starts_with("```") {
            in_code = !in_code;
        }
        if in_code {
            continue;
        }
        for (from, _) in line.match_indices("](") {
            let target = line[from + 2..].split(')').next().unwrap_or_default();
            if !target.contains("://") && !target.starts_with("mailto:") {
                found.push((at + 1, target));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_to_files_are_found_and_others_are_not() {
        let text = "see [a](docs/a.md#top) and [b](https://example.org)\n```\n[c](c.md)\n```\n[d](#here)";
        assert_eq!(targets(text), [(1, "docs/a.md#top"), (5, "#here")]);
    }
}
