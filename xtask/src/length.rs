//! How long a file may get before it has to say why.

use crate::tree::File;

/// Lines.
pub const MOST: usize = 500;

/// Longer ones, each with one subject and a reason.
pub const LONGER: &[(&str, &str)] = &[];

/// Files that are longer without a reason, and reasons without a longer file.
#[must_use]
pub fn broken(files: &[File]) -> Vec<String> {
    let mut broken = Vec::new();
    for file in files {
        let lines = file.text.lines().count();
        let listed = LONGER.iter().any(|(path, _)| *path == file.path);
        if lines > MOST && !listed {
            broken
                .push(format!("{} has {lines} lines, more than {MOST}: split it, or say why not", file.path));
        }
        if lines <= MOST && listed {
            broken.push(format!(
                "{} has {lines} lines: take it off the list in xtask/src/length.rs",
                file.path
            ));
        }
    }
    for (path, _) in LONGER {
        if !files.iter().any(|file| file.path == *path) {
            broken.push(format!("{path} is gone: take it off the list in xtask/src/length.rs"));
        }
    }
    broken
}
