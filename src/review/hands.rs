//! Work that is many independent pieces, spread over threads. Their number decides nothing but the time.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;

/// As many as the machine has.
pub(super) fn all() -> usize {
    thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// Does `work` for each index below `count`, on at most `hands` threads; the results in order, nothing when stopped.
pub(super) fn each<T: Send>(
    hands: usize,
    count: usize,
    stop: &AtomicBool,
    work: impl Fn(usize) -> T + Sync,
) -> Option<Vec<T>> {
    let next = AtomicUsize::new(0);
    let mut done: Vec<(usize, T)> = thread::scope(|scope| {
        let hand = || {
            let mut out = Vec::new();
            loop {
                let k = next.fetch_add(1, Ordering::Relaxed);
                if k >= count || stop.load(Ordering::Relaxed) {
                    return out;
                }
                out.push((k, work(k)));
            }
        };
        let hands: Vec<_> = (0..hands.min(count)).map(|_| scope.spawn(hand)).collect();
        hands.into_iter().flat_map(|h| h.join().unwrap_or_else(|p| std::panic::resume_unwind(p))).collect()
    });
    done.sort_by_key(|d| d.0);
    (done.len() == count).then(|| done.into_iter().map(|d| d.1).collect())
}
