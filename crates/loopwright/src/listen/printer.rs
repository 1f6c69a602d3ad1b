//! What is shown goes out on a thread of its own: a reader who is slow does not hold up the senders.

use std::io::{self, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::thread::JoinHandle;

/// Octets that may wait for a slow reader; beyond, lines are left out and counted.
const MOST_WAITING: usize = 64 * 1024 * 1024;

/// Prints on stdout, in order.
pub(super) struct Printer {
    to: Option<Sender<Vec<u8>>>,
    state: Arc<State>,
    thread: Option<JoinHandle<()>>,
    left_out: usize,
}

#[derive(Default)]
struct State {
    waiting: AtomicUsize,
    /// The reader has gone away.
    gone: AtomicBool,
}

impl Printer {
    /// Begins.
    pub(super) fn begun() -> Self {
        let (to, from) = channel::<Vec<u8>>();
        let state = Arc::new(State::default());
        let shared = Arc::clone(&state);
        let thread = std::thread::spawn(move || {
            for lines in from {
                if put(&lines).is_err() {
                    shared.gone.store(true, Ordering::Relaxed);
                    return;
                }
                shared.waiting.fetch_sub(lines.len(), Ordering::Relaxed);
            }
        });
        Self { to: Some(to), state, thread: Some(thread), left_out: 0 }
    }

    /// Hands lines over; whole ones, with their ends.
    pub(super) fn print(&mut self, lines: Vec<u8>, count: usize) {
        if self.state.waiting.load(Ordering::Relaxed) + lines.len() > MOST_WAITING {
            if self.left_out == 0 {
                crate::talk::say(
                    "what is printed is not read fast enough: lines are left out, none of the evidence",
                );
            }
            self.left_out += count;
            return;
        }
        if self.left_out > 0 {
            crate::talk::say(&format!("{} lines were left out", std::mem::take(&mut self.left_out)));
        }
        self.state.waiting.fetch_add(lines.len(), Ordering::Relaxed);
        if let Some(to) = &self.to
            && to.send(lines).is_err()
        {
            self.state.gone.store(true, Ordering::Relaxed);
        }
    }

    /// Whether nobody reads any more.
    pub(super) fn is_gone(&self) -> bool {
        self.state.gone.load(Ordering::Relaxed)
    }
}

/// Waits until everything was printed.
impl Drop for Printer {
    fn drop(&mut self) {
        self.to = None;
        if let Some(thread) = self.thread.take() {
            // A thread that failed has printed what it could.
            let _ = thread.join();
        }
    }
}

fn put(lines: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(lines)?;
    out.flush()
}
