//! The splice bench: what to cut, where to mark, what it will hold. Lengths follow from the rope's diameter; every figure
//! is common practice without a published source unless it says otherwise, and a maker's instructions go before it.

mod adjustable;
mod braid;
mod cut;
mod endless;
mod from_plan;
mod gear;
mod rope;
mod shackle;
mod sling;
mod steps;
mod stock;
mod tail;
mod throat;

pub use braid::{Band, ByLay, Hand, TestPiece, bare, by_lay, lay_of_picks};
pub use cut::{Piece, knots_take_m, pieces_of};
pub use endless::centre_line;
pub use from_plan::{Spliced, spliced_of};
pub use gear::{
    Design, Eye, EyeMade, From, Gear, Lock, Mark, Note, ShackleKnot, Step, TAPER, design, legs_differ_by, reference_kg,
    reference_n,
};
pub use rope::{Refusal, Rope};
pub use shackle::{body, least_for, noose, room};
pub use steps::{RETIRE, WORDS, habits, inspection, note, steps, tools};
pub use stock::{CutPlan, KERF_M, Length, Taken, plan_cuts};
pub(crate) use throat::{POINT_DEG, WIDEST_DEG};
pub use throat::{Throat, half_eye, least_eye, usual_eye};
