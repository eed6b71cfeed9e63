//! Work that is many independent pieces, spread over threads. Their number decides nothing but the time.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

/// As many as the machine has.
pub(super) fn all() -> usize {
    thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// Does one piece of work on a thread of its own while `here` is done on this one.
pub(super) fn beside<A: Send, B>(other: impl FnOnce() -> A + Send, here: impl FnOnce() -> B) -> (A, B) {
    thread::scope(|scope| {
        let other = scope.spawn(other);
        let here = here();
        (other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)), here)
    })
}

/// Does `work` for each index below `count`, on at most `hands` threads; the results in order, nothing when stopped.
pub(super) fn each<T: Send>(
    hands: usize,
    count: usize,
    stop: &AtomicBool,
    work: impl Fn(usize) -> T + Sync,
) -> Option<Vec<T>> {
    let mut done: Vec<Option<T>> = (0..count).map(|_| None).collect();
    let order: Vec<usize> = (0..count).collect();
    as_done(hands, &order, stop, work, |k, result| done[k] = Some(result)).then(|| done.into_iter().flatten().collect())
}

/// Does `work` for each of `order`, begun in that order on at most `hands` threads, and gives `take` each result as it
/// comes, on this thread; false when stopped before all was done.
pub(super) fn as_done<T: Send>(
    hands: usize,
    order: &[usize],
    stop: &AtomicBool,
    work: impl Fn(usize) -> T + Sync,
    mut take: impl FnMut(usize, T),
) -> bool {
    let next = AtomicUsize::new(0);
    let (give, results) = mpsc::channel();
    let hand = |give: mpsc::Sender<(usize, T)>| {
        while let Some(&k) = order.get(next.fetch_add(1, Ordering::Relaxed)) {
            if stop.load(Ordering::Relaxed) || give.send((k, work(k))).is_err() {
                return;
            }
        }
    };
    let mut taken = 0;
    thread::scope(|scope| {
        for _ in 0..hands.min(order.len()) {
            let give = give.clone();
            scope.spawn(|| hand(give));
        }
        drop(give);
        for (k, result) in results {
            // What comes in after the word to stop is let go.
            if !stop.load(Ordering::Relaxed) {
                take(k, result);
                taken += 1;
            }
        }
    });
    taken == order.len()
}
