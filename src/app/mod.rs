//! The workbench without a terminal: state, messages, update, commands, keys, jobs.
//!
//! Knows everything below it and nothing of terminals, so that whole sessions can be played in tests.

mod benchwork;
mod beside;
mod commands;
mod compare;
mod day;
mod dialogue;
mod display;
mod edges;
mod edits;
mod facts;
mod folding;
mod form;
mod fresh;
mod fuzzy;
mod headline;
mod jobs;
mod journal;
mod keymap;
mod keys;
pub mod keysheet;
pub mod lesson;
mod menu;
mod outline;
mod over;
mod pages;
mod pointing;
mod printing;
mod remarking;
mod rescue;
mod shape;
pub mod short;
mod starting;
mod state;
mod stay;
mod studies;
mod trials;
mod typing;
mod update;
mod view;
mod watching;

pub use benchwork::{BenchAnswers, BenchQuestion};
pub use beside::{Against, AgainstDone, BesideView};
pub use commands::{COMMANDS, Command, Group, Where};
pub use compare::{Compared, compare};
pub use dialogue::Dialogue;
pub use display::{Glyphs, Look, Looks, Palette, Picture};
pub use edges::EdgeView;
pub use facts::FaultForm;
pub use folding::{Fold, PathLine};
pub use form::{FormField, Taken, fields_of, in_words, item_rows};
pub use fresh::{PlanStep, Question};
pub use headline::Headline;
pub use jobs::{Job, JobDone};
pub use journal::Journal;
pub use keymap::{KeyFile, Keymap};
pub use keys::{Key, Press};
pub use menu::{About, Menu};
pub use outline::{Entry, Selected, outline};
pub use over::OverView;
pub use pointing::{PointAnswers, PointQuestion};
pub use printing::{Leaf, Sheet};
pub use rescue::RescueView;
pub use shape::Drag;
pub use state::{
    App, Choice, Effect, Opening, Overlay, Pane, Picker, PickerUse, Prompt, PromptUse, Settings, WorstRow,
};
pub use studies::{About as StudyAbout, Study, StudyDone};
pub use trials::{Outcome, Trial, TrialDone};
pub use view::{InView, View};
pub use watching::{TICK_MS, Watched, Watching};

/// Today, by the clock of the machine (UTC): the one place above the sheets that asks it.
#[must_use]
pub fn today() -> jiff::civil::Date {
    jiff::Timestamp::now().to_zoned(jiff::tz::TimeZone::UTC).date()
}
