//! The workbench without a terminal: state, messages, update, commands, keys, jobs.
//!
//! Knows everything below it and nothing of terminals, so that whole sessions can be played in tests.

mod commands;
mod display;
mod edits;
mod facts;
mod form;
mod fresh;
mod jobs;
mod journal;
mod keys;
mod outline;
mod state;
mod update;
mod view;
mod watching;

pub use commands::{COMMANDS, Command, Where};
pub use display::{Glyphs, Look, Looks, Palette, Picture};
pub use form::{FormField, fields_of, item_rows};
pub use fresh::Question;
pub use jobs::{Job, JobDone};
pub use journal::Journal;
pub use keys::{Key, Press};
pub use outline::{Entry, Selected, outline};
pub use state::{App, Effect, Overlay, Pane, Picker, PickerUse, Prompt, PromptUse, Settings, WorstRow};
pub use view::{Situation, View};
pub use watching::{TICK_MS, Watched, Watching};
