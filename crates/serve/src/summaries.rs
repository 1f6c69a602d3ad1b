//! What follows a change that was kept, on a thread of its own: the survey of its job at once, since the next page asks for
//! it, and a little later what the list says of it.

use std::collections::BTreeSet;
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use pages::Desk;
use store::StoreError;

use crate::state::State;
use crate::world::summary;

/// How long a job that was written is left alone before the list asks: the next reading often follows soon.
const QUIET: Duration = Duration::from_millis(400);
/// How long the list waits at most, where one change follows the other.
const PATIENCE: Duration = Duration::from_secs(3);

/// Jobs that are to be assessed for the list.
#[derive(Debug, Default)]
pub(crate) struct Summaries {
    asked: Mutex<Asked>,
    more: Condvar,
}

#[derive(Debug, Default)]
struct Asked {
    jobs: BTreeSet<String>,
    ended: bool,
}

impl Summaries {
    /// Has a job assessed for the list soon.
    pub(crate) fn ask(&self, job: &str) {
        let mut asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        if asked.jobs.insert(job.to_owned()) {
            self.more.notify_one();
        }
    }

    /// Ends the thread once it has done what it is at.
    pub(crate) fn end(&self) {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner).ended = true;
        self.more.notify_all();
    }

    /// What to do next; `waiting`: whether jobs wait for a little quiet.
    fn next(&self, waiting: bool) -> Next {
        let asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        let idle = |asked: &mut Asked| asked.jobs.is_empty() && !asked.ended;
        let mut asked = if waiting {
            self.more.wait_timeout_while(asked, QUIET, idle).unwrap_or_else(PoisonError::into_inner).0
        } else {
            self.more.wait_while(asked, idle).unwrap_or_else(PoisonError::into_inner)
        };
        match std::mem::take(&mut asked.jobs) {
            _ if asked.ended => Next::End,
            jobs if jobs.is_empty() => Next::Assess,
            jobs => Next::Survey(jobs),
        }
    }
}

/// What the thread does next.
enum Next {
    /// These jobs were just changed.
    Survey(BTreeSet<String>),
    /// Nothing came for a while.
    Assess,
    /// The server stops.
    End,
}

/// Surveys and assesses jobs, one after the other, until it is told to end.
pub(crate) fn work(state: &Arc<State>) -> std::io::Result<thread::JoinHandle<()>> {
    let state = Arc::clone(state);
    thread::Builder::new().name("summaries".to_owned()).spawn(move || {
        let mut waiting = BTreeSet::new();
        let mut since = Instant::now();
        loop {
            // A job that cannot be read now is told of by its own page; the list says its name.
            match state.summaries.next(!waiting.is_empty()) {
                Next::End => return,
                Next::Assess => {}
                Next::Survey(jobs) => {
                    if waiting.is_empty() {
                        since = Instant::now();
                    }
                    for job in jobs {
                        let _ = survey(&state, &job);
                        waiting.insert(job);
                    }
                    if since.elapsed() < PATIENCE {
                        continue;
                    }
                }
            }
            for job in std::mem::take(&mut waiting) {
                let _ = summarise(&state, &job);
            }
        }
    })
}

/// Makes the survey that the next page of a job asks for.
fn survey(state: &State, job: &str) -> Result<(), StoreError> {
    let _ = of_desk(state, job, |desk| drop(state.desks.surveyed(job, desk)))?;
    Ok(())
}

fn summarise(state: &State, job: &str) -> Result<(), StoreError> {
    match of_desk(state, job, |desk| summary(state.desks.assessed(job, desk).summary()))? {
        Some((version, summary)) => state.store.summarise(job, version, &summary),
        None => Ok(()),
    }
}

/// What is made of a job as it stands, and its version; none where it cannot be read.
fn of_desk<T>(
    state: &State,
    job: &str,
    make: impl FnOnce(&Desk) -> T,
) -> Result<Option<(i64, T)>, StoreError> {
    let Some(kept) = state.store.job(job)? else { return Ok(None) };
    let (_, desk) = state.desks.of(job, &kept.text);
    let Ok(desk) = desk else { return Ok(None) };
    // A fault of the program is in the log already, and takes no other job with it.
    let made = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| make(&desk)));
    Ok(made.ok().map(|made| (kept.row.version, made)))
}
