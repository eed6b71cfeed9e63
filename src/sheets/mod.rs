//! What is printed: the review as text, Markdown and JSON.

mod incidents;
mod json;
mod markdown;
mod text;

pub use incidents::{not_redundant, outcome};
pub use json::{Report, report, schema};
pub use markdown::markdown;
pub use text::{WIDTH, ascii, explain, review_text, wrap};

/// The usual caution, on the first screen and on everything printed.
pub const CAUTION: &str = "A planning aid. It replaces neither the judgement of a competent rigger on site, nor the makers' \
instructions, nor local codes. Numbers are only as good as what was put in.";

/// Version of the program, as printed.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
