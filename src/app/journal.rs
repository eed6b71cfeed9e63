//! Keeps unsaved work where a kill cannot reach it: a copy of the plan's text in the user's state folder.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use sha2::{Digest, Sha256};

/// The journal of one plan.
#[derive(Debug)]
pub struct Journal {
    file: Option<PathBuf>,
}

/// `$XDG_STATE_HOME/spanwright`, else `~/.local/state/spanwright`.
fn folder() -> Option<PathBuf> {
    let set = |k: &str| std::env::var_os(k).filter(|v| !v.is_empty()).map(PathBuf::from);
    let state = set("XDG_STATE_HOME").or_else(|| Some(set("HOME")?.join(".local/state")))?;
    Some(state.join("spanwright"))
}

impl Journal {
    /// The journal of the plan at `path` (of the demo without one).
    #[must_use]
    pub fn of(path: Option<&Path>) -> Self {
        let name = path.map_or_else(|| PathBuf::from("demo"), |p| fs::canonicalize(p).unwrap_or_else(|_| p.to_owned()));
        let digest = Sha256::digest(name.as_os_str().as_encoded_bytes());
        let short: String = digest[..8].iter().fold(String::new(), |out, b| out + &format!("{b:02x}"));
        Self { file: folder().map(|f| f.join(format!("{short}.ron"))) }
    }

    /// What was left there by a session that did not end tidily, and how long ago.
    #[must_use]
    pub fn left(&self) -> Option<(String, Option<Duration>)> {
        let file = self.file.as_ref()?;
        let text = fs::read_to_string(file).ok()?;
        let written = fs::metadata(file).and_then(|m| m.modified()).ok();
        Some((text, written.and_then(|at| at.elapsed().ok())))
    }

    /// Whether the program was never run here before; from now on it was.
    #[must_use]
    pub fn first_time() -> bool {
        // Where nothing can be kept it would be the first time for ever.
        folder().is_some_and(|f| !f.exists() && fs::create_dir_all(f).is_ok())
    }

    /// Writes the plan's text as it is now.
    ///
    /// # Errors
    /// What the disk refused.
    pub fn write(&self, text: &str) -> std::io::Result<()> {
        let Some(file) = &self.file else { return Ok(()) };
        let Some(folder) = file.parent() else { return Ok(()) };
        fs::create_dir_all(folder)?;
        let new = file.with_extension("new");
        fs::write(&new, text)?;
        fs::rename(new, file)
    }

    /// Forgets it: the work is saved, or was given up.
    pub fn clear(&self) {
        if let Some(f) = &self.file {
            // It may never have been written.
            let _ = fs::remove_file(f);
        }
    }
}
