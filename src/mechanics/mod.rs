//! Statics and motion of nets of tension-only members. Plain `f64` in SI (m, N, kg, s), x from A to B, y to the left, z up.
//!
//! Knows nothing of plans, items or units; never fails, prints, reads a clock or touches a disk.

pub mod carry;
pub mod certificate;
pub mod creep;
pub mod edge;
pub mod equilibrium;
pub mod frame;
pub mod gauge;
pub mod impact;
pub mod law;
mod linsolve;
pub mod lump;
pub mod motion;
pub mod net;
pub mod reeving;
pub mod root;
pub mod sight;
pub mod sliding;
pub mod span;
pub mod tow;

/// Standard acceleration of free fall, m/s² (ISO 80000-3).
pub const G: f64 = 9.80665;
