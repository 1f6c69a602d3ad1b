//! Loopwright: takes over old hard-wired alarm installations.
//!
//! # Where to start
//! [`arguments`] is the command line as clap reads it, [`commands`] has one module a command. A command
//! loads a [`world`] (job and library, or everything that is wrong with them), asks an engine, and prints:
//! data on stdout, laid out by [`report`], talk on stderr through [`talk`].
//!
//! # What this crate leaves out
//! It computes nothing: every number that it prints comes from the engines or from `drawing`'s geometry.

mod arguments;
mod commands;
mod complaint;
mod evidence;
mod explain;
mod input;
mod kept;
mod listen;
mod outcome;
mod report;
mod sheet_file;
mod talk;
mod world;

use std::process::ExitCode;

fn main() -> ExitCode {
    std::panic::set_hook(Box::new(|panic| {
        talk::say(&format!("a fault of the program itself, not of your job: {panic}"));
        std::process::exit(3);
    }));
    match arguments::read(std::env::args_os()) {
        Ok(arguments) => commands::run(arguments).code(),
        Err(outcome) => outcome.code(),
    }
}
