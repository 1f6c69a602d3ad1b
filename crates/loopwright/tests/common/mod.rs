//! Runs the program as a person would.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// What one run gave.
pub(crate) struct Run {
    /// The exit code.
    pub(crate) code: i32,
    /// Data.
    pub(crate) out: String,
    /// Talk.
    pub(crate) talk: String,
}

/// The program, in the folder of the test jobs and with nothing of the machine's own settings.
pub(crate) fn program(words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loopwright"));
    command.args(words).current_dir(jobs()).stdin(Stdio::null());
    for variable in ["LOOPWRIGHT_LIBRARY", "NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS", "CI"] {
        command.env_remove(variable);
    }
    command
}

/// The folder of the test jobs.
pub(crate) fn jobs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/jobs")
}

/// Runs the program.
pub(crate) fn run(words: &[&str]) -> Run {
    told(&program(words).output().expect("the program runs"))
}

/// What a run gave, as text.
pub(crate) fn told(output: &Output) -> Run {
    Run {
        code: output.status.code().expect("no signal ended it"),
        out: String::from_utf8(output.stdout.clone()).expect("it prints UTF-8"),
        talk: String::from_utf8(output.stderr.clone()).expect("it prints UTF-8"),
    }
}
