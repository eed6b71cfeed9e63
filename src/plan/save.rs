//! Writing a plan so that a kill or a full disk at any moment leaves the old file or the new one, whole.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Why nothing was written.
#[derive(Debug)]
pub enum SaveError {
    /// The file is no longer what was read.
    ChangedUnderneath,
    /// The system said no.
    Io(String),
}

impl std::fmt::Display for SaveError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::ChangedUnderneath => write!(f, "the file on disk has changed since it was read"),
            Self::Io(why) => write!(f, "could not be saved: {why}"),
        }
    }
}

/// Name of the copy that is kept of what stood there before.
#[must_use]
pub(super) fn backup_of(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".bak");
    name.into()
}

/// Writes `text` to `path`. `was` is what was read from there: when the file now holds something else, nothing is
/// written unless `anyway`. What stood there before is kept beside it as `.bak`.
///
/// # Errors
/// When the file has changed, or the system refuses.
pub fn save(path: &Path, text: &str, was: Option<&str>, anyway: bool) -> Result<(), SaveError> {
    let io = |e: std::io::Error| SaveError::Io(e.to_string());
    let now = match fs::read(path) {
        Ok(bytes) => Some(bytes),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => None,
        Err(e) => return Err(io(e)),
    };
    if !anyway && now.as_deref() != was.map(str::as_bytes) {
        return Err(SaveError::ChangedUnderneath);
    }
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if let Some(old) = &now {
        let mode = fs::metadata(path).ok().map(|m| m.permissions());
        replace(folder, &backup_of(path), old, mode).map_err(io)?;
    }
    let mode = fs::metadata(path).ok().map(|m| m.permissions());
    replace(folder, path, text.as_bytes(), mode).map_err(io)
}

/// A new plan may be read by others, as any file an editor writes.
#[cfg(unix)]
fn readable(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    fs::set_permissions(path, fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable(_: &Path) -> std::io::Result<()> {
    Ok(())
}

fn replace(folder: &Path, path: &Path, bytes: &[u8], mode: Option<fs::Permissions>) -> std::io::Result<()> {
    let mut new = tempfile::Builder::new().prefix(".spanwright-").tempfile_in(folder)?;
    new.write_all(bytes)?;
    match mode {
        Some(mode) => fs::set_permissions(new.path(), mode)?,
        None => readable(new.path())?,
    }
    new.as_file().sync_all()?;
    new.persist(path).map_err(|e| e.error)?;
    // The rename itself must reach the disk too; a folder that cannot be synced is no reason to fail.
    if let Ok(f) = fs::File::open(folder) {
        let _ = f.sync_all();
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keeps_a_copy_and_notices_a_change() {
        let dir = tempfile::tempdir().expect("folder");
        let path = dir.path().join("a.ron");
        save(&path, "one", None, false).expect("new file");
        save(&path, "two", Some("one"), false).expect("unchanged");
        assert_eq!(fs::read_to_string(backup_of(&path)).expect("copy"), "one");
        fs::write(&path, "three").expect("write");
        assert!(matches!(save(&path, "four", Some("two"), false), Err(SaveError::ChangedUnderneath)));
        assert_eq!(fs::read_to_string(&path).expect("file"), "three");
        save(&path, "four", Some("two"), true).expect("anyway");
        assert_eq!(fs::read_to_string(&path).expect("file"), "four");
        assert_eq!(fs::read_dir(dir.path()).expect("folder").count(), 2, "no strays");
    }
}
