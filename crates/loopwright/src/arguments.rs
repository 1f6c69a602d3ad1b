//! The command line as clap reads it. Only commands whose engines exist are listed.

use std::ffi::OsString;
use std::net::SocketAddr;
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
    /// Folder with equipment/*.toml, rules/*.toml, habits/*.toml and labour/*.toml that add to or replace the built-in
    /// ones; may be given more than once, the last one wins. LOOPWRIGHT_LIBRARY may hold a list of folders too
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
    /// The example job, all the way to the pack: writes DIR/job.toml, DIR/survey.toml and DIR/pack/
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
    /// Divide the circuits over inputs: which modules, in which modes, what has to be done to which circuit
    Allocate {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// Put it into the job file: new modules, inputs, modes, zones; what the file says already stays
        #[arg(long, conflicts_with = "compare")]
        write: bool,
        /// How many steps the search may take; the same count gives the same answer
        #[arg(long, value_name = "N", default_value_t = 200_000, value_parser = clap::value_parser!(u64).range(1..))]
        nodes: u64,
        /// Stop after so long, as "10s" or "2 min", with the best found by then
        #[arg(long, value_name = "TIME")]
        time_limit: Option<String>,
        /// Side by side with another job; without a name, with this job and nothing assigned
        #[arg(long, value_name = "OTHER", num_args = 0..=1)]
        compare: Option<Option<PathBuf>>,
    },
    /// Say for every circuit whether its input reads it right, and what to change where it does not
    Assess {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// List notes and announced faults too
        #[arg(long)]
        all: bool,
    },
    /// Put the moves from old to new equipment in order, and say what is unprotected when
    Cutover {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// How circuits go over, in place of the job's
        #[arg(long, value_enum)]
        way: Option<CutoverWay>,
        /// How many placements the search may try; the same number gives the same order
        #[arg(long, value_name = "NUMBER", default_value_t = assess::CUTOVER_NODES)]
        nodes: u64,
        /// Print the method statement and the notes too
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
    /// List what goes along for one visit, how long the work takes, and what it costs, each with its reasons
    Kit {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// Print a quotation for the customer in place of the list
        #[arg(long, conflicts_with = "json")]
        quotation: bool,
        /// The date of the visit; today's (UTC) where none is given. The age of detectors is counted to its year
        #[arg(long, value_name = "YYYY-MM-DD")]
        date: Option<String>,
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
    /// Be a test receiver for DC-09 on this machine, over TCP and UDP: print each signal, with a job tie it to
    /// circuit and condition and keep it as evidence. No monitoring receiver
    Receive(Receive),
    /// Play a job's expected signals to a receiver, for dry runs and tests; without --to they are listed
    Send(Send),
    /// Show jobs in a browser on this machine, and keep them: survey, circuits, supplies, record
    Serve(Serve),
    /// Copy, bring back, hand over and take in what `serve` keeps
    Store {
        /// What is to be done
        #[command(subcommand)]
        deed: StoreDeed,
        /// The file that jobs are kept in; that of `serve` where none is given
        #[arg(long, global = true, value_name = "FILE")]
        db: Option<PathBuf>,
    },
    /// Print what is programmed, what the monitoring station is told, or the call sheet of the test
    Sheet {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// Which one
        #[arg(value_enum, default_value_t = Which::Programming)]
        which: Which,
        /// Print its first table as CSV
        #[arg(long)]
        csv: bool,
    },
    /// Read the monitoring station's own list of signals (CSV, a workbook, pasted text), and tie each line to the
    /// job like a received signal
    History(HistoryOf),
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

/// How circuits go over.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum CutoverWay {
    /// New beside old: each circuit is dead only while it moves
    SideBySide,
    /// Old out first: every circuit is dead from the first lift
    Swap,
}

impl CutoverWay {
    /// The same in a job.
    pub(crate) fn in_job(self) -> job::CutoverWay {
        match self {
            Self::SideBySide => job::CutoverWay::SideBySide,
            Self::Swap => job::CutoverWay::Swap,
        }
    }
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

/// What `receive` takes.
#[derive(Args, Debug)]
pub(crate) struct Receive {
    /// Where to listen, TCP and UDP on one port; `[::]` takes IPv4 too, port 0 is any
    #[arg(long, value_name = "ADDR:PORT")]
    pub(crate) listen: SocketAddr,
    /// File with the key, as hex digits on one line; more lines may hold an account and its own key
    #[arg(long, value_name = "FILE")]
    pub(crate) key: Option<PathBuf>,
    /// Stop the receiver's clock at this time (for tests)
    #[arg(long, value_name = "RFC3339")]
    pub(crate) clock: Option<String>,
    /// A job file, or a folder with a job.toml: signals are tied to it and kept beside it
    pub(crate) job: Option<PathBuf>,
}

/// What `serve` takes.
#[derive(Args, Debug)]
pub(crate) struct Serve {
    /// Where to listen: this machine alone, since there are no accounts yet; port 0 is any
    #[arg(long, value_name = "ADDR:PORT", default_value = "127.0.0.1:8420")]
    pub(crate) listen: SocketAddr,
    /// The file that jobs are kept in; jobs.db in your own data folder where none is given
    #[arg(long, value_name = "FILE")]
    pub(crate) db: Option<PathBuf>,
}

/// What is done with what is kept.
#[derive(Subcommand, Debug)]
pub(crate) enum StoreDeed {
    /// Copy everything into a new file, while others work on
    Backup {
        /// The new file
        file: PathBuf,
    },
    /// Put a backup in the place of everything that is kept
    Restore {
        /// The backup
        file: PathBuf,
    },
    /// Write a job into a folder: job.toml, evidence.jsonl, versions.jsonl and its photos
    Export {
        /// The job's id, as its address shows it
        #[arg(value_name = "ID")]
        id: String,
        /// The folder, empty or not there yet
        #[arg(value_name = "DIR")]
        folder: PathBuf,
    },
    /// Take in a job with what lies beside it: evidence, versions, photos
    Import {
        /// The job file, or a folder with a job.toml
        job: PathBuf,
        /// The id that it gets; made from the folder's name where none is given
        #[arg(long = "as", value_name = "ID")]
        id: Option<String>,
    },
}

/// What `send` takes.
#[derive(Args, Debug)]
pub(crate) struct Send {
    /// The job file, or a folder with a job.toml
    pub(crate) job: PathBuf,
    /// The receiver
    #[arg(long, value_name = "ADDR:PORT")]
    pub(crate) to: Option<SocketAddr>,
    /// UDP in place of TCP
    #[arg(long)]
    pub(crate) udp: bool,
    /// File with the key, as hex digits on one line: messages are encrypted
    #[arg(long, value_name = "FILE")]
    pub(crate) key: Option<PathBuf>,
    /// The account, in place of the job's
    #[arg(long, value_name = "DIGITS")]
    pub(crate) account: Option<String>,
    /// How often the whole list is played
    #[arg(long, value_name = "NUMBER", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..))]
    pub(crate) times: u32,
}

/// What `history` takes.
#[derive(Args, Debug)]
pub(crate) struct HistoryOf {
    /// The job file, or a folder with a job.toml
    pub(crate) job: PathBuf,
    /// The list: CSV, XLSX, or text as pasted; - reads what is pasted here
    #[arg(value_name = "FILE")]
    pub(crate) list: PathBuf,
    /// The heading over a column: time, date, account, code, zone, area or event; may be given more than once.
    /// Those that are not given are the job's, or the usual ones
    #[arg(long, value_name = "COLUMN=HEADING")]
    pub(crate) map: Vec<String>,
    /// The order of its dates, where they do not settle it
    #[arg(long, value_enum)]
    pub(crate) order: Option<Order>,
    /// Added to its times to get GMT: its zone and what its clock is wrong by, as "5 h" or "-90 s"
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub(crate) shift: Option<String>,
    /// Keep the lines as evidence, and remember the headings in the job
    #[arg(long)]
    pub(crate) write: bool,
}

/// The order of a date's numbers.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum Order {
    /// 2026-03-14
    #[value(name = "year-first")]
    Year,
    /// 03/14/2026
    #[value(name = "month-first")]
    Month,
    /// 14/03/2026
    #[value(name = "day-first")]
    Day,
}

/// Which sheet.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum Which {
    /// Inputs, areas, users: what a person types into the control equipment
    Programming,
    /// Account, numbers and codes: what the monitoring station is told
    Station,
    /// One line an expected signal, in the order of the test
    Calls,
}

/// What a schema describes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub(crate) enum SchemaOf {
    /// The job file
    Job,
    /// An equipment profile, a rule set, habits or a labour table
    Profile,
    /// What `check --json` prints
    Check,
    /// What `identify --json` prints
    Identify,
    /// What `allocate --json` prints
    Allocate,
    /// What `assess --json` prints
    Assess,
    /// What `kit --json` prints
    Kit,
    /// What `cutover --json` prints
    Cutover,
    /// What `explain --json` prints
    Explain,
    /// What `pack --json` and `demo --json` print
    Pack,
    /// What `receive --json` prints, one object a line
    Receive,
    /// What `sheet --json` prints
    Sheet,
    /// What `history --json` prints
    History,
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
