//! The user's own editor on the plan's file.

use std::path::Path;
use std::process::Command;

/// The editor's program and arguments, from `$VISUAL`, else `$EDITOR`.
fn chosen() -> Option<(String, Vec<String>)> {
    ["VISUAL", "EDITOR"].iter().find_map(|name| {
        let text = std::env::var(name).ok()?;
        let mut words = text.split_whitespace().map(str::to_owned);
        Some((words.next()?, words.collect()))
    })
}

/// Runs it at a line of the file until it ends.
///
/// # Errors
/// What went wrong, in one sentence.
pub(super) fn open(path: &Path, line: usize) -> Result<(), String> {
    let (program, arguments) = chosen().ok_or("no editor is known: set VISUAL or EDITOR, such as EDITOR=vi")?;
    let status = Command::new(&program).args(arguments).arg(format!("+{line}")).arg(path).status();
    match status {
        Ok(s) if s.success() => Ok(()),
        Ok(s) => Err(format!("the editor “{program}” ended with {s}; the file was read again")),
        Err(e) => Err(format!("the editor “{program}” could not be started: {e}")),
    }
}
