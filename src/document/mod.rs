//! RON text with places: what a file says, where it says it, what it may say, and edits that touch nothing else.
//!
//! The `ron` crate judges the syntax; a light scan keeps the place of every value, so that each finding points at its
//! text and an edit changes only its own characters (comments and layout stay). Knows nothing of rigs.

mod check;
mod diagnostic;
mod edit;
mod path;
mod reader;
mod scan;
pub mod schema;

pub use check::{check, references};
pub use diagnostic::{Diagnostic, Source, did_you_mean, plain};
pub use edit::{Splice, quote};
pub use path::{Path, Step};
pub use reader::Reader;
pub use scan::{Body, Entry, Node, scan};
