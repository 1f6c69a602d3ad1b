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
    /// Folder with equipment/*.toml, rules/*.toml and habits/*.toml that add to or replace the built-in ones; may be given
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
    /// Read and validate a job, and count its findings
    Check {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
    },
    /// Say what is on every pair that was read, and which reading to take next
    Identify {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// Write the networks that readings settle into the job file, each with a comment on how it is known
        #[arg(long)]
        accept: bool,
        /// Take the readings of a filled-in survey sheet too (CSV or XLSX; ours, or any table with a header row)
        #[arg(long, value_name = "FILE")]
        sheet: Option<PathBuf>,
        /// What a column of that sheet means, where its header is not ours: `Ohms closed=rest`; may be given more than
        /// once
        #[arg(long, value_name = "HEADER=MEANING", requires = "sheet")]
        map: Vec<String>,
        /// Print a survey sheet to fill in, as CSV, in place of the report
        #[arg(long, conflicts_with_all = ["accept", "json"])]
        blank: bool,
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

/// What a schema describes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum SchemaOf {
    /// The job file
    Job,
    /// An equipment profile, a rule set or habits
    Profile,
    /// What `check --json` prints
    Check,
    /// What `identify --json` prints
    Identify,
    /// What `assess --json` prints
    Assess,
    /// What `explain --json` prints
    Explain,
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
