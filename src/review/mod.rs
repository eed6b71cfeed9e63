//! From a plan to verdicts: situations, demands, strengths, findings.
//!
//! Pure and deterministic: no clock, no disk, no thread decides a number. Knows rigs and the catalogue; nothing of
//! screens or sheets.

mod as_rigged;
mod bounds;
mod breaking;
mod case;
mod claims;
mod clearance;
mod desk;
mod doubt;
mod edge;
mod factors;
mod hands;
mod hardware;
mod hold;
mod incident;
mod incidents;
mod kept;
mod mend;
mod mending;
mod neighbours;
mod over;
mod peaks;
mod player;
mod probe;
mod pulling;
mod rescue;
mod reviewing;
mod row;
mod rows;
mod rules;
mod situation;
mod solve;
mod strength;
mod verdict;
mod wind;
mod work;

pub use as_rigged::{Compared, DayRead, Likely, Other, Read, creep_per_decade, day_read};
pub use bounds::{Bound, Edge, Varied, bound};
pub use breaking::{Broken, Limits};
pub use case::{Case, Class, Variant};
pub use claims::{Claimed, Stands};
pub use clearance::{Catch, Ground, Low, fall_estimate};
pub use desk::Desk;
pub use doubt::{Doubt, Doubted, RIGS, SEED, SPREADS, Unknown, doubt};
pub use edge::{AtEdge, Edges, LetsOver, SideAt, Tied, stopped_n};
pub use factors::{Kind, required};
pub use hardware::resultant_at;
pub use incident::{Against, Body, Event, Frame, Grain, Held, Incident, Who};
pub use mend::mends;
pub use mending::{Mended, mended};
pub use over::{HalfRigged, Over, StageOver, Way};
pub use peaks::Peaks;
pub use pulling::{OVER, Pulling, comes_through, hung_per_m, pulling};
pub use rescue::{HangsAt, On, Rescued, TowedIn};
pub use reviewing::{Limiting, LineSummary, Review, at_rest, in_view, review, reviewed};
pub(crate) use row::factor_text;
pub use row::{Hauled, Height, Lowest, Passed, Place, Row, TiePiece};
pub use rules::days::{BELIEVED, LIKE, OFF, likely};
pub use rules::{Finding, Gravity, RULES, Rule};
pub use situation::{Cause, FromSide, How, Lost, Seen, Share, Situation, Then, Unsolved, With};
pub use solve::{Solved, Solver};
pub use strength::{Amount, Step, Strength, Weak, part_strength};
pub use verdict::Verdict;
pub use wind::gust_m_s;
