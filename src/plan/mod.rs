//! The plan: its model, its file, and edits of it.
//!
//! A plan's text is the truth: it is read into a model, and every edit is a change of the text. Knows the catalogue;
//! nothing of nets or verdicts.

pub mod changes;
pub mod claims;
pub mod crew;
pub mod crossing;
pub mod day;
pub mod describe;
pub mod fields;
mod file;
pub mod frame;
mod history;
mod measured;
mod model;
mod read;
mod read_trip;
pub mod rescue;
mod save;
pub mod sighted;
pub mod stay;
pub mod steps;
pub mod templates;
pub mod tensioning;
pub mod ties;
mod trip_fields;
mod validate;
mod validate_trip;

pub use file::{BYTES_LIMIT, FORMAT, PlanFile, RUNS_LIMIT, ReadError};
pub use history::{Change, History};
pub use measured::Measured;
pub use model::*;
pub use save::{SaveError, save};
