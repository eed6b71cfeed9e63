//! A fall's end by energy alone, for while one is typing: what falls, has fallen, and is held, adds up.
//!
//! The line is pushed down slowly, so its inertia is not felt: right on the lowest point within centimetres, too low on
//! the force. An estimate, never a verdict.

use super::G;
use super::law::LengthLaw;
use super::root::{Root, bracketed};

/// A rig pushed down at the ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pushed {
    /// Height of the ring, m.
    pub ring_z_m: f64,
    /// Energy of the rig, the push itself not counted, J.
    pub energy_j: f64,
}

/// Where a fall ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Largest force in the leash, N.
    pub leash_n: f64,
    /// How far the ring goes down, m.
    pub ring_drop_m: f64,
    /// How far the leash stretches, m.
    pub leash_stretch_m: f64,
    /// How far the body falls in all, m.
    pub fall_m: f64,
    /// What the rig and the leash then store, J.
    pub stored_j: f64,
}

/// Estimates the fall of `mass_kg`, `free_m` deep before the leash is taut with the ring where it was at the `start`;
/// `push` pushes the ring down with a force in N and says where it ends. Nothing when a push has no answer.
#[must_use]
pub fn estimate(
    mass_kg: f64,
    free_m: f64,
    leash: &LengthLaw,
    start: Pushed,
    mut push: impl FnMut(f64) -> Option<Pushed>,
) -> Option<Estimate> {
    let mut at = |force_n: f64| {
        let pushed = push(force_n)?;
        let long = leash.length(force_n);
        let (ring_drop_m, leash_stretch_m) = (start.ring_z_m - pushed.ring_z_m, long - leash.slack_m());
        let stored_j = pushed.energy_j - start.energy_j + leash.at(long).2;
        let fall_m = free_m + ring_drop_m + leash_stretch_m;
        Some((
            mass_kg * G * fall_m - stored_j,
            Estimate { leash_n: force_n, ring_drop_m, leash_stretch_m, fall_m, stored_j },
        ))
    };
    let mut high = 4.0 * mass_kg * G;
    while at(high)?.0 > 0.0 {
        high *= 2.0;
        if high > 1e7 {
            return None;
        }
    }
    // What stops a fall is more than the weight.
    match bracketed(mass_kg * G, high, 1e-10 * high, 1e-9 * mass_kg * G, &mut |f| at(f).map(|a| a.0)) {
        Root::At(force) => at(force).map(|a| a.1),
        _ => None,
    }
}
