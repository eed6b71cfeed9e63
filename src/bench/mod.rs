//! The splice bench: what to cut, where to mark, what it will hold. Lengths follow from the rope's diameter; every figure
//! is common practice without a published source unless it says otherwise, and a maker's instructions go before it.

mod cut;
mod from_plan;
mod splice;
mod stock;

pub use cut::{Piece, pieces_of};
pub use from_plan::{Spliced, spliced_of};
pub use splice::{DONTS, Design, Eye, Gear, Mark, Refusal, Rope, design};
pub use stock::{CutPlan, KERF_M, Length, Taken, plan_cuts};
