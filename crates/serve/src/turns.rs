//! One writer after the other for each job.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// Turns that are given out: two jobs seldom share one, and it only costs them a little waiting when they do.
const TURNS: usize = 64;

/// Who writes to which job now. Whoever has the turn reads the newest text, decides and writes; nobody of this program
/// is quicker meanwhile, so that nothing is decided twice.
#[derive(Debug)]
pub(crate) struct Turns(Vec<Mutex<()>>);

impl Default for Turns {
    fn default() -> Self {
        Self((0..TURNS).map(|_| Mutex::default()).collect())
    }
}

impl Turns {
    /// Waits for the turn of a job, and has it until the guard goes.
    pub(crate) fn of(&self, job: &str) -> MutexGuard<'_, ()> {
        let sum = job.bytes().fold(0_usize, |sum, byte| sum.wrapping_mul(31).wrapping_add(usize::from(byte)));
        // A request that panicked has written nothing, or all of it.
        self.0[sum % TURNS].lock().unwrap_or_else(PoisonError::into_inner)
    }
}
