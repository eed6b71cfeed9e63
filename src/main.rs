//! Entry: error hooks, arguments, dispatch.

use std::process::ExitCode;

fn main() -> color_eyre::eyre::Result<ExitCode> {
    color_eyre::install()?;
    spanwright::cli::run()
}
