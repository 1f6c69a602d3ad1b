//! `completions` and `man`: what a shell and a manual reader want.

use clap::CommandFactory;
use clap_complete::Shell;

use super::print_text;
use crate::arguments::Arguments;
use crate::outcome::Outcome;

/// Prints a completion script.
pub(crate) fn completions(shell: Shell) -> Outcome {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "loopwright", &mut script);
    Outcome::Done.after_printing(print_text(&String::from_utf8_lossy(&script)))
}

/// Prints the manual page.
pub(crate) fn man() -> Outcome {
    let mut page = Vec::new();
    let rendered = clap_mangen::Man::new(Arguments::command()).render(&mut page);
    Outcome::Done.after_printing(rendered.and_then(|()| print_text(&String::from_utf8_lossy(&page))))
}
