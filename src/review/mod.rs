//! From a plan to verdicts: situations, demands, strengths, findings.
//!
//! Pure and deterministic: no clock, no disk, no thread decides a number. Knows rigs and the catalogue; nothing of
//! screens or sheets.

mod case;
mod factors;
mod hardware;
mod hold;
mod mend;
mod reviewing;
mod rules;
mod solve;
mod strength;
mod verdict;

pub use case::{Case, Class, Variant};
pub use factors::{Kind, required};
pub use hardware::largest_resultant;
pub use mend::{Mend, mends};
pub(crate) use reviewing::factor_text;
pub use reviewing::{Limiting, LineSummary, Options, Place, Review, Row, in_view, review};
pub use rules::{Finding, Gravity, RULES, Rule};
pub use solve::{Solved, Solver};
pub use strength::{Amount, Neighbour, Step, Strength, part_strength};
pub use verdict::Verdict;
