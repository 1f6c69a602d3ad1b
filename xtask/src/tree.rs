//! The files of the checkout.

use std::path::{Path, PathBuf};

/// Folders that hold nothing that we wrote.
const PASSED_OVER: &[&str] = &["target", ".git", "corpus", "artifacts", "__pycache__", "node_modules"];

/// The folder that holds everything.
#[must_use]
pub fn root() -> PathBuf {
    let xtask = Path::new(env!("CARGO_MANIFEST_DIR"));
    xtask.parent().expect("xtask lies in the workspace").to_owned()
}

/// One text file of the checkout.
#[derive(Debug)]
pub struct File {
    /// From the root, with `/`.
    pub path: String,
    /// All of it.
    pub text: String,
}

/// Every file below `root` with one of these endings, in the order of their paths.
///
/// # Panics
/// When a folder cannot be read, or a file is no UTF-8.
#[must_use]
pub fn files(root: &Path, endings: &[&str]) -> Vec<File> {
    let mut found = Vec::new();
    let mut open = vec![root.to_owned()];
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder of the checkout can be read") {
            let path = entry.expect("a folder of the checkout can be listed").path();
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            if path.is_dir() {
                if !PASSED_OVER.contains(&name.as_str()) {
                    open.push(path);
                }
            } else if endings.iter().any(|ending| name.ends_with(ending)) {
                let below = path.strip_prefix(root).unwrap_or(&path);
                let text = std::fs::read_to_string(&path).expect("our files are text");
                found.push(File { path: below.to_string_lossy().replace('\\', "/"), text });
            }
        }
    }
    found.sort_by(|one, other| one.path.cmp(&other.path));
    found
}
