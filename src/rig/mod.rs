//! A plan turned into a net, and back: who is who.
//!
//! Knows plans and mechanics; nothing of verdicts.

mod articles;
mod build;
mod lay;
mod load;
mod response;
mod seat;
mod stage;
mod tension;

pub use articles::Article;
pub use build::{Backup, Element, Joint, Leg, Line, Rig, RigFault, Spot, Where, tolerance};
pub use lay::{Lay, lay};
pub use load::{CaseNet, Expands, Load, Walker, chain_of, line_drag_n_per_m};
pub use response::{PointForce, Response};
pub use seat::{Neighbour, neighbours};
pub use stage::{Bystander, Gone, Loss, Rest, Rider, Staged, Tied};
pub use tension::{Lengths, Standing};
