//! One module a command.

mod allocate;
mod assess;
mod check;
mod cutover;
mod demo;
mod explain;
mod history;
mod identify;
mod kit;
mod pack;
mod receive;
mod schema;
mod send;
mod serve;
mod sheet;
mod shell;
mod store;

use std::io::{self, Write};

use serde::Serialize;

pub(crate) use check::read;
pub(crate) use receive::{keys, seed};

use crate::arguments::{Arguments, Colour, Command};
use crate::complaint;
use crate::outcome::Outcome;

/// Runs a command.
pub(crate) fn run(arguments: Arguments) -> Outcome {
    let Arguments { command, common } = arguments;
    match common.color {
        Colour::Auto => anstream::ColorChoice::Auto,
        Colour::Always => anstream::ColorChoice::Always,
        Colour::Never => anstream::ColorChoice::Never,
    }
    .write_global();
    let ended = match &command {
        Command::Check { job } => check::run(job, &common),
        Command::Assess { job, all } => assess::run(job, *all, &common),
        Command::Allocate { job, write, nodes, time_limit, compare } => {
            let asked = allocate::Asked {
                write: *write,
                nodes: *nodes,
                time_limit: time_limit.as_deref(),
                compare: allocate::other(compare.as_ref()),
            };
            allocate::run(job, &asked, &common)
        }
        Command::Identify { job, accept, sheet, map, blank } => {
            let asked = identify::Asked { accept: *accept, sheet: sheet.as_deref(), map, blank: *blank };
            identify::run(job, &asked, &common)
        }
        Command::Cutover { job, way, nodes, all } => cutover::run(job, *way, *nodes, *all, &common),
        Command::Explain { job, place } => explain::run(job, place, &common),
        Command::Demo { folder, sheets } => demo::run(folder, sheets, &common),
        Command::Pack { job, output, sheets } => pack::run(job, output, sheets, &common),
        Command::Kit { job, quotation, date } => kit::run(job, *quotation, date.as_deref(), &common),
        Command::Receive(asked) => receive::run(asked, &common),
        Command::Send(asked) => send::run(asked, &common),
        Command::Serve(asked) => serve::run(asked, &common),
        Command::Store { deed, db } => store::run(deed, db.as_deref(), &common),
        Command::Sheet { job, which, csv } => sheet::run(job, *which, *csv, &common),
        Command::History(asked) => history::run(asked, &common),
        Command::Schema { of } => Ok(schema::run(*of)),
        Command::Completions { shell } => Ok(shell::completions(*shell)),
        Command::Man => Ok(shell::man()),
    };
    ended.unwrap_or_else(|complaints| {
        Outcome::WrongInput.after_printing(complaint::print(&complaints, common.json))
    })
}

/// Prints JSON on stdout, two blanks an indent.
pub(crate) fn print_json(value: &impl Serialize) -> io::Result<()> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    serde_json::to_writer_pretty(&mut out, value)?;
    writeln!(out)?;
    out.flush()
}

/// Prints a text on stdout as it is.
pub(crate) fn print_text(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()
}
