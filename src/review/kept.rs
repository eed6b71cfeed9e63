//! Motions kept for as long as the program runs: the same event on the same rig at the same grain is the same motion. An
//! edit taken back, a remark or a second question about a plan plays nothing again.

use std::fmt::{Debug, Write};
use std::sync::{LazyLock, Mutex, PoisonError};

use indexmap::IndexMap;
use sha2::{Digest, Sha256};

use super::incident::Incident;

/// A digest of everything that a motion follows from.
pub(super) type Key = [u8; 32];

/// Most motions kept: a dozen plans' worth. The oldest go first.
const MOST: usize = 2000;

static KEPT: LazyLock<Mutex<IndexMap<Key, Incident>>> = LazyLock::new(Mutex::default);

/// Takes in text as it is written, and keeps none of it.
struct Digested(Sha256);

impl Write for Digested {
    fn write_str(&mut self, s: &str) -> std::fmt::Result {
        self.0.update(s);
        Ok(())
    }
}

/// The key of what `parts` say of themselves.
pub(super) fn key(parts: &[&dyn Debug]) -> Key {
    let mut digested = Digested(Sha256::new());
    for part in parts {
        // Taking text in cannot fail.
        let _ = writeln!(digested, "{part:?}");
    }
    digested.0.finalize().into()
}

/// The motion of this key: as it was played before, or by `play`.
pub(super) fn or_played(key: Key, play: impl FnOnce() -> Incident) -> Incident {
    let kept = || KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    let before = kept().get(&key).cloned();
    before.unwrap_or_else(|| {
        let played = play();
        let mut all = kept();
        all.insert(key, played.clone());
        if all.len() > MOST {
            all.shift_remove_index(0);
        }
        played
    })
}
