//! What computes for seconds: two at once, a few that wait, so that pages always find a thread and a core.

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::refusal::Refusal;

/// Computed at once.
const AT_ONCE: usize = 2;
/// Waiting beside those.
const WAITING: usize = 16;
/// The longest search, whatever was asked for; the answer says that the clock has ended it.
pub(crate) const LONGEST: Duration = Duration::from_secs(20);

/// Turns for what takes long.
#[derive(Debug)]
pub(crate) struct Long {
    room: Arc<Semaphore>,
    queue: Arc<Semaphore>,
}

/// A turn: taken along to where the work is done, since whoever asked may be gone before that ends.
#[derive(Debug)]
pub(crate) struct Turn {
    _place: OwnedSemaphorePermit,
    _room: OwnedSemaphorePermit,
}

impl Default for Long {
    fn default() -> Self {
        Self { room: Arc::new(Semaphore::new(AT_ONCE)), queue: Arc::new(Semaphore::new(AT_ONCE + WAITING)) }
    }
}

impl Long {
    /// Waits for a turn.
    pub(crate) async fn turn(&self) -> Result<Turn, Refusal> {
        let full = || Refusal::new(503, "too much is being computed", "the same a little later");
        let place = Arc::clone(&self.queue).try_acquire_owned().map_err(|_| full())?;
        let room = Arc::clone(&self.room).acquire_owned().await.map_err(|_| full())?;
        Ok(Turn { _place: place, _room: room })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn two_have_their_turn_some_wait_and_more_are_told() {
        let long = Long::default();
        let (first, second) = (long.turn().await.unwrap(), long.turn().await.unwrap());
        let mut waiting: Vec<_> = (0..WAITING).map(|_| Box::pin(long.turn())).collect();
        for turn in &mut waiting {
            let soon = tokio::time::timeout(Duration::from_millis(1), turn).await;
            assert!(soon.is_err(), "a third has its turn");
        }
        assert_eq!(long.turn().await.unwrap_err().status, 503);
        drop(first);
        assert!(tokio::time::timeout(Duration::from_secs(5), &mut waiting[0]).await.is_ok());
        drop((second, waiting));
        assert!(long.turn().await.is_ok());
    }
}
