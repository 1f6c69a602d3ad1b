//! What the list says of a job, found out after it was written: a reading is kept at once, its job is assessed later.

use std::collections::BTreeSet;
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use crate::state::State;
use crate::world::summary;

/// How long a job that was written is left alone: the next reading often follows soon.
const QUIET: Duration = Duration::from_millis(400);

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

    /// The next jobs, after a little quiet; none when it is to end.
    fn next(&self) -> Option<BTreeSet<String>> {
        let asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        let idle = |asked: &mut Asked| asked.jobs.is_empty() && !asked.ended;
        let asked = self.more.wait_while(asked, idle).unwrap_or_else(PoisonError::into_inner);
        let busy = |asked: &mut Asked| !asked.ended;
        let waited = self.more.wait_timeout_while(asked, QUIET, busy).unwrap_or_else(PoisonError::into_inner);
        let mut asked = waited.0;
        (!asked.ended).then(|| std::mem::take(&mut asked.jobs))
    }
}

/// Assesses jobs for the list, one after the other, until it is told to end.
pub(crate) fn work(state: &Arc<State>) -> std::io::Result<thread::JoinHandle<()>> {
    let state = Arc::clone(state);
    thread::Builder::new().name("summaries".to_owned()).spawn(move || {
        while let Some(jobs) = state.summaries.next() {
            for job in jobs {
                // A job that cannot be read now is told of by its own page; the list says its name.
                let _ = one(&state, &job);
            }
        }
    })
}

fn one(state: &State, job: &str) -> Result<(), store::StoreError> {
    let Some(kept) = state.store.job(job)? else { return Ok(()) };
    let (_, desk) = state.desks.of(job, &kept.text);
    let Ok(desk) = desk else { return Ok(()) };
    let made = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        summary(state.desks.assessed(job, &desk).summary())
    }));
    // A fault of the program is in the log already, and takes no other job with it.
    let Ok(summary) = made else { return Ok(()) };
    state.store.summarise(job, kept.row.version, &summary)
}
