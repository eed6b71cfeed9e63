//! spanwright

// `unit!` finds its helpers only this way.
#[macro_use]
extern crate uom;

pub mod catalogue;
pub mod document;
pub mod mechanics;
pub mod plan;
pub mod rig;
pub mod units;
