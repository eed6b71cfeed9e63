//! A plan turned into a net, and back: who is who.
//!
//! Knows plans and mechanics; nothing of verdicts.

mod build;
mod lay;
mod load;
mod response;
mod tension;

pub use build::{Backup, Element, Joint, Leg, Line, Rig, RigFault, Spot};
pub use lay::{Lay, lay};
pub use load::{CaseNet, Load, Walker};
pub use response::{PointForce, Response};
pub use tension::{Lengths, Standing};
