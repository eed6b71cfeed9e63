//! All tests that run without moving the process: one program, so that they are linked once.
//! `cargo test outside_motion` runs one part, `cargo test peaks_converge` one test.

#[path = "../common/mod.rs"]
mod common;

mod bad_input;
mod closed_forms;
mod crew;
mod day;
mod editing;
mod floors;
mod fuzz;
mod gear;
mod incidents;
mod invariants;
mod keys;
mod laws;
mod lessons;
mod outside_frames;
mod outside_incidents;
mod outside_motion;
mod outside_plans;
mod outside_published;
mod outside_pulleys;
mod outside_rigs;
mod outside_splices;
mod outside_statics;
mod outside_trade;
mod outside_trip;
mod pictures;
mod pinned;
mod pinned_review;
mod plain;
mod plans;
mod reviewed;
mod rules;
#[cfg(unix)]
mod saving;
mod scouting;
mod screens;
mod sheets;
mod stories;
mod studies;
mod swayed;
#[cfg(unix)]
mod terminal;
mod trip;
