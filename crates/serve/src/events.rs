//! Live events: two windows on one job see each other's changes.

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::{OwnedSemaphorePermit, Semaphore, broadcast, mpsc, watch};

use crate::reply::{Reply, Stream};

/// Streams that are open at once.
const MOST_STREAMS: usize = 64;
/// A stream that had nothing to say for so long is closed; the browser opens another when it wants one.
const IDLE: Duration = Duration::from_secs(600);
/// A sign of life, so that a stream that nobody hears is noticed.
const BEAT: Duration = Duration::from_secs(25);
/// Changes that a slow reader may be behind; of those it missed it is told at once.
const BEHIND: usize = 64;

/// A job has changed: its text, its evidence or its photos.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Changed {
    pub(crate) job: String,
    pub(crate) version: i64,
}

impl Changed {
    /// To a window of the job its version, to a window of the list the job too.
    fn written(&self, of_one: bool) -> String {
        // Ids hold nothing that ends a line.
        if of_one {
            format!("data: {}\n\n", self.version)
        } else {
            format!("data: {} {}\n\n", self.version, self.job)
        }
    }
}

/// Tells every open window of what changes.
#[derive(Debug)]
pub(crate) struct Events {
    changes: broadcast::Sender<Changed>,
    room: Arc<Semaphore>,
}

impl Events {
    pub(crate) fn new() -> Self {
        Self { changes: broadcast::channel(BEHIND).0, room: Arc::new(Semaphore::new(MOST_STREAMS)) }
    }

    /// Somebody changed a job. Nobody to hear it is no failure.
    pub(crate) fn tell(&self, changed: Changed) {
        let _ = self.changes.send(changed);
    }

    /// A stream of the changes of one job, or of all; none when there is no room for one more.
    pub(crate) fn stream(&self, job: Option<Changed>, stopping: watch::Receiver<bool>) -> Option<Reply> {
        let room = Arc::clone(&self.room).try_acquire_owned().ok()?;
        let (to, from) = mpsc::channel(8);
        tokio::spawn(send(to, self.changes.subscribe(), job, stopping, room));
        Some(Reply::stream("text/event-stream", Stream::new(from)))
    }
}

/// Sends until the reader goes away, nothing has happened for long, or the server stops.
async fn send(
    to: mpsc::Sender<String>,
    mut changes: broadcast::Receiver<Changed>,
    job: Option<Changed>,
    mut stopping: watch::Receiver<bool>,
    _room: OwnedSemaphorePermit,
) {
    let hello = job.as_ref().map_or("data: 0\n\n".to_owned(), |job| job.written(true));
    if to.send(format!("retry: 3000\n{hello}")).await.is_err() {
        return;
    }
    let mut quiet = Duration::ZERO;
    while quiet < IDLE {
        let text = tokio::select! {
            _ = stopping.wait_for(|stopping| *stopping) => return,
            () = to.closed() => return,
            changed = changes.recv() => match changed {
                Ok(changed) if job.as_ref().is_none_or(|job| job.job == changed.job) => {
                    quiet = Duration::ZERO;
                    changed.written(job.is_some())
                }
                Ok(_) => continue,
                // It missed some: whatever they were, it is to look again.
                Err(broadcast::error::RecvError::Lagged(_)) => "data: 0\n\n".to_owned(),
                Err(broadcast::error::RecvError::Closed) => return,
            },
            () = tokio::time::sleep(BEAT) => {
                quiet += BEAT;
                ": beat\n\n".to_owned()
            }
        };
        if to.send(text).await.is_err() {
            return;
        }
    }
}
