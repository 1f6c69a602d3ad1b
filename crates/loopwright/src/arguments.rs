//! The command line as clap reads it. Only commands whose engines exist are listed.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;

use crate::complaint;
use crate::outcome::Outcome;

/// Where folders of the user's own equipment and rules may be named, besides `--library`.
pub(crate) const LIBRARY_VARIABLE: &str = "LOOPWRIGHT_LIBRARY";

/// Takes over an old hard-wired alarm installation: says for every pair of wires whether the new input reads
/// it right, in every state and under every fault, and what to change where it does not
#[derive(Parser, Debug)]
#[command(
    name = "loopwright",
    version,
    max_term_width = 80,
    after_help = "JOB is a job file, or a folder with a job.toml in it.\n\
                  Exit: 0 nothing to fix, 1 a finding of severity stop or fix, 2 the input is wrong, 3 the \
                  machine failed.\n\n\
                  Loopwright computes and records. Local code, the authority having jurisdiction and \
                  licensed people decide."
)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
    /// What every command takes.
    #[command(flatten)]
    pub(crate) common: Common,
}

/// What every command takes.
#[derive(Args, Debug)]
pub(crate) struct Common {
    /// Print JSON for programs in place of a report for people
    #[arg(long, global = true)]
    pub(crate) json: bool,
    /// Folder with equipment/*.toml and rules/*.toml that add to or replace the built-in ones; may be given
    /// more than once, the last one wins. LOOPWRIGHT_LIBRARY may hold a list of folders too
    #[arg(long, global = true, value_name = "DIR")]
    pub(crate) library: Vec<PathBuf>,
    /// Colour, beside the word or shape that says the same
    #[arg(long, global = true, value_name = "WHEN", value_enum, default_value_t = Colour::Auto)]
    pub(crate) color: Colour,
}

/// When to colour.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum Colour {
    /// On a terminal that can show it, unless NO_COLOR is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// The commands.
#[derive(Subcommand, Debug)]
pub(crate) enum Command {
    /// The example job, all the way to the pack: writes DIR/job.toml and DIR/pack/
    Demo {
        /// The folder; made where it is missing, and a changed job.toml in it is kept
        #[arg(value_name = "DIR", default_value = "orchard-row")]
        folder: PathBuf,
        /// What the sheets are like
        #[command(flatten)]
        sheets: Sheets,
    },
    /// Read and validate a job, and count its findings
    Check {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
    },
    /// Say for every circuit whether its input reads it right, and what to change where it does not
    Assess {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// List notes and announced faults too
        #[arg(long)]
        all: bool,
    },
    /// Show the working behind one result
    Explain {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// A circuit (C07), a contact (C07.leaf1), an input (M1.7), a module (M1), a supply or one of its
        /// points (P1, P1.J2), or `job`
        #[arg(value_name = "WHERE")]
        place: String,
    },
    /// Write every document of a job: drawings, sheets, door schedules, cable tags, tables
    Pack {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// The folder that they go into; made where it is missing
        #[arg(short, long = "output", value_name = "DIR")]
        output: PathBuf,
        /// What the sheets are like
        #[command(flatten)]
        sheets: Sheets,
    },
    /// Print the JSON Schema of a file that Loopwright reads or of what it prints
    Schema {
        /// Which one
        #[arg(value_enum, default_value_t = SchemaOf::Job)]
        of: SchemaOf,
    },
    /// Print a completion script for a shell
    Completions {
        /// The shell
        shell: Shell,
    },
    /// Print the manual page
    Man,
}

/// What the sheets of a pack are like.
#[derive(Args, Debug)]
pub(crate) struct Sheets {
    /// The paper
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub(crate) paper: Paper,
    /// The date on every sheet; today's (UTC) where none is given
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<String>,
}

/// The paper of a pack.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum Paper {
    /// 210 mm by 297 mm
    A4,
    /// 8.5 in by 11 in
    Letter,
}

impl From<Paper> for pack::Paper {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self::A4,
            Paper::Letter => Self::Letter,
        }
    }
}

/// What a schema describes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum SchemaOf {
    /// The job file
    Job,
    /// An equipment profile or a rule set
    Profile,
    /// What `check --json` prints
    Check,
    /// What `assess --json` prints
    Assess,
    /// What `explain --json` prints
    Explain,
    /// What `pack --json` and `demo --json` print
    Pack,
    /// What every command prints with --json at exit 2
    Errors,
}

/// Reads the command line. Help and version are printed here and end the program.
///
/// # Errors
/// How to end, when there is nothing left to do.
pub(crate) fn read(words: impl IntoIterator<Item = OsString>) -> Result<Arguments, Outcome> {
    let words: Vec<OsString> = words.into_iter().collect();
    Arguments::try_parse_from(&words).map_err(|error| {
        if !error.use_stderr() {
            return Outcome::Done.after_printing(error.print());
        }
        if words.iter().any(|word| word == "--json") {
            let text = error.to_string();
            let first = text.lines().next().unwrap_or_default().trim_start_matches("error: ");
            let printed = complaint::print_json(&[complaint::of_command_line(first)]);
            return Outcome::WrongInput.after_printing(printed);
        }
        // Nobody to hear it is no failure.
        let _ = error.print();
        Outcome::WrongInput
    })
}
