//! spanwright plans highlines: the tension on every part of a rig in every situation, what its terminations, bends and
//! conditions leave of its strength, and the weak part.
//!
//! Floors, from the ground up; each may use those above it in this list, never those below:
//!
//! 1. [`units`]: quantities as text and back, over uom types.
//! 2. [`mechanics`]: statics of nets of tension-only members, plain `f64` in SI; uses nothing of this crate.
//! 3. [`document`]: RON text with places, tables of fields, edits that touch nothing else.
//! 4. [`catalogue`]: kinds of gear, ratings, what terminations and bends keep.
//! 5. [`inventory`]: what somebody owns, and what happened to each piece.
//! 6. [`plan`]: one rig as its rigger wrote it.
//! 7. [`rig`]: a plan turned into a net, and back.
//! 8. [`mod@bench`]: splices and soft gear, what to cut.
//! 9. [`review`]: situations, demands, strengths, heights, verdicts, findings.
//! 10. [`sheets`]: what is printed.
//! 11. [`app`]: the workbench without a terminal.
//! 12. [`plain`]: the workbench as a conversation in lines of text.
//! 13. [`tui`]: the terminal.
//! 14. [`cli`]: the command line.
//!
//! A planning aid: it replaces neither the judgement of a competent rigger on site, nor the makers' instructions, nor
//! local codes.

// uom's `unit!` finds its helpers only this way.
#[macro_use]
extern crate uom;

pub mod app;
pub mod bench;
pub mod catalogue;
pub mod cli;
pub mod document;
pub mod inventory;
pub use spanwright_mechanics as mechanics;
pub mod plain;
pub mod plan;
pub mod review;
pub mod rig;
pub mod sheets;
pub mod tui;
pub mod units;
