//! How a command ends: the exit codes of `docs/format.md`, section 5.

use std::io;
use std::process::ExitCode;

use job::{Finding, Severity};

/// How a command ended.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Outcome {
    /// It made what was asked, and nothing has to be fixed.
    Done,
    /// It made what was asked, and a finding of severity stop or fix exists.
    NeedsWork,
    /// The input is wrong.
    WrongInput,
    /// The machine failed.
    MachineFailed,
}

impl Outcome {
    /// The exit code.
    pub(crate) fn code(self) -> ExitCode {
        ExitCode::from(match self {
            Self::Done => 0,
            Self::NeedsWork => 1,
            Self::WrongInput => 2,
            Self::MachineFailed => 3,
        })
    }

    /// What a list of findings makes of a command.
    pub(crate) fn of(findings: &[Finding]) -> Self {
        let needs_work = findings.iter().any(|finding| finding.severity >= Severity::Fix);
        if needs_work { Self::NeedsWork } else { Self::Done }
    }

    /// The same outcome once it was printed: a reader who has gone away ends the command quietly, any other
    /// failure to print is the machine's.
    pub(crate) fn after_printing(self, printed: io::Result<()>) -> Self {
        match printed {
            Ok(()) => self,
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Self::Done,
            Err(error) => {
                crate::talk::say(&format!("cannot write the output: {error}"));
                Self::MachineFailed
            }
        }
    }
}
