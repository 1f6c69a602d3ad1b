//! Talk: what goes to stderr and is no data.

use std::io::{IsTerminal, Write};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Nothing is shown of what takes less than this.
const PATIENCE: Duration = Duration::from_secs(1);

/// One line of talk. Nobody to hear it is no failure.
pub(crate) fn say(text: &str) {
    let _ = writeln!(anstream::stderr(), "loopwright: {text}");
}

/// Something that may take long: shows how far it is, on a terminal and only once it has taken a second.
pub(crate) struct Progress {
    begun: Instant,
    bar: ProgressBar,
    done: AtomicUsize,
}

impl Progress {
    /// Begins.
    pub(crate) fn begun() -> Self {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{pos} of {len} circuits, {eta} left") {
            bar.set_style(style);
        }
        Self { begun: Instant::now(), bar, done: AtomicUsize::new(0) }
    }

    /// So many of so many are done.
    pub(crate) fn tell(&self, done: usize, of: usize) {
        if self.begun.elapsed() < PATIENCE {
            return;
        }
        if self.done.fetch_max(done, Ordering::Relaxed) == 0 && std::io::stderr().is_terminal() {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
        self.bar.set_length(of as u64);
        self.bar.set_position(done as u64);
    }

    /// Takes the bar away.
    pub(crate) fn ended(&self) {
        self.bar.finish_and_clear();
    }
}
