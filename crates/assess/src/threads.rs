//! Circuits are independent, so they may be studied side by side; the order of the results is the job's.

use std::sync::atomic::{AtomicUsize, Ordering};

/// Calls `one` for `0..count` and returns the results in that order.
pub(crate) fn each<T: Send>(
    count: usize,
    one: &(dyn Fn(usize) -> T + Sync),
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Vec<T> {
    let done = AtomicUsize::new(0);
    let counted = |at: usize| {
        let result = one(at);
        progress(done.fetch_add(1, Ordering::Relaxed) + 1, count);
        result
    };
    side_by_side(count, &counted)
}

#[cfg(not(feature = "threads"))]
fn side_by_side<T: Send>(count: usize, one: &(dyn Fn(usize) -> T + Sync)) -> Vec<T> {
    (0..count).map(one).collect()
}

/// Slices of the list are taken by whichever thread is free.
#[cfg(feature = "threads")]
fn side_by_side<T: Send>(count: usize, one: &(dyn Fn(usize) -> T + Sync)) -> Vec<T> {
    const SLICE: usize = 32;
    let threads = std::thread::available_parallelism().map_or(1, usize::from).min(count.div_ceil(SLICE));
    if threads < 2 {
        return (0..count).map(one).collect();
    }
    let next = AtomicUsize::new(0);
    let work = || {
        let mut mine = Vec::new();
        loop {
            let from = next.fetch_add(SLICE, Ordering::Relaxed);
            if from >= count {
                return mine;
            }
            mine.push((from, (from..count.min(from + SLICE)).map(one).collect::<Vec<T>>()));
        }
    };
    let mut slices: Vec<(usize, Vec<T>)> = std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads).map(|_| scope.spawn(work)).collect();
        let mut slices = work();
        for other in others {
            // A thread that panicked is our bug: let it show as one.
            slices.extend(other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        slices
    });
    slices.sort_by_key(|(from, _)| *from);
    slices.into_iter().flat_map(|(_, slice)| slice).collect()
}
