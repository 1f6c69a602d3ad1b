//! `receive`: a test receiver on this machine.

use std::io;
use std::net::SocketAddr;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use document::Complaint;
use signal::{Expected, Gmt, Keys, Tally};

use crate::arguments::{Common, Receive};
use crate::evidence::{self, Evidence};
use crate::listen::{Clock, Desk, JobDesk, Server, Sockets, raise_file_limit};
use crate::outcome::Outcome;
use crate::{input, talk, world};

/// Runs the command.
pub(crate) fn run(asked: &Receive, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let clock = asked.clock.as_deref().map_or(Ok(Clock::Machine), stopped)?;
    let keys = asked.key.as_deref().map_or(Ok(Keys::default()), keys)?;
    let job = match asked.job.as_deref() {
        Some(job) => Some(job_desk(job, common)?),
        None => None,
    };
    let room = raise_file_limit();
    let sockets = Sockets::open(asked.listen).map_err(|error| vec![cannot_listen(asked.listen, &error)])?;
    talk::say(
        "a test receiver, no monitoring receiver: nobody is called, nothing is handed on. Never use it as one",
    );
    talk::say(&format!("listening on {}, TCP and UDP, until Ctrl-C", sockets.address));
    let mut desk = Desk::new(keys, seed(), clock, job, common.json);
    let served = Server::new(sockets, room).and_then(|mut server| server.run(&mut desk));
    drop(desk);
    Ok(match served {
        Ok(()) => Outcome::Done,
        Err(error) => {
            talk::say(&format!("stopped, and what came last was not acknowledged: {error}"));
            Outcome::MachineFailed
        }
    })
}

/// The job with its list, and what earlier evidence has ticked on it.
fn job_desk(job: &Path, common: &Common) -> Result<JobDesk, Vec<Complaint>> {
    let world = world::load(job, common)?;
    let path = evidence::path(&input::job_file(job));
    let failed = |error: io::Error| {
        vec![input::about_file(
            &path.display().to_string(),
            format!("the evidence cannot be kept: {error}"),
            "a folder that you may write into",
        )]
    };
    let mut tally = Tally::new(Expected::of(&world.job));
    let (kept, unread) = evidence::read(&path).map_err(failed)?;
    if unread > 0 {
        talk::say(&format!("{}: {unread} lines cannot be read; they stay as they are", path.display()));
    }
    let received = kept.iter().filter(|line| line.way == "received");
    for key in received.flat_map(|line| &line.ties).filter_map(|tie| tie.expected.as_deref()) {
        if !tally.count(key) {
            talk::say(&format!("the evidence holds `{key}`, which this job no longer expects"));
        }
    }
    talk::say(&format!(
        "{} of {} expected signals have come; evidence goes to {}",
        tally.done(),
        tally.len(),
        path.display()
    ));
    let evidence = Evidence::open(&path).map_err(failed)?;
    Ok(JobDesk::new(&world.job, tally, evidence))
}

fn stopped(text: &str) -> Result<Clock, Vec<Complaint>> {
    match Gmt::read(text) {
        Ok(at) => Ok(Clock::Stopped(at)),
        Err(error) => Err(vec![input::about_file("command line", error.to_string(), error.accepted())]),
    }
}

/// Reads a key file. What is said of it never holds a key.
pub(crate) fn keys(path: &Path) -> Result<Keys, Vec<Complaint>> {
    let source = input::read_other(path, "a key file").map_err(|complaint| vec![*complaint])?;
    Keys::read(source.text()).map_err(|(line, error)| {
        let name = path.display().to_string();
        let about = input::about_file(&name, error.to_string(), error.accepted());
        vec![Complaint { line, ..about }]
    })
}

fn cannot_listen(wanted: SocketAddr, error: &io::Error) -> Complaint {
    input::about_file(
        "command line",
        format!("cannot listen on {wanted}: {error}"),
        "an address of this machine (127.0.0.1, [::1], 0.0.0.0, [::]) and a port that nobody uses",
    )
}

/// Where the row of pads begins: different from run to run.
pub(crate) fn seed() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    since.as_secs().rotate_left(32) ^ u64::from(since.subsec_nanos()) ^ u64::from(std::process::id()) << 40
}
