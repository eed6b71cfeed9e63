//! The terminal.
use std::path::PathBuf;
use std::process::ExitCode;
/// run
pub fn run(
    _p: Option<PathBuf>,
    _n: &str,
    _d: &str,
    _s: crate::app::Settings,
) -> color_eyre::eyre::Result<ExitCode> {
    Ok(ExitCode::SUCCESS)
}
