//! A run that bends over an edge: what is left of its pull behind the edge, what presses on it, what is drawn over it.

use glam::DVec3;

/// A run from a bolt over an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// From the bolt to the edge, a unit vector.
    pub to: DVec3,
    /// On from the edge, a unit vector.
    pub on: DVec3,
}

impl Turn {
    /// From a bolt over an edge and on towards somewhere, m.
    #[must_use]
    pub fn new(bolt: DVec3, edge: DVec3, way: DVec3) -> Self {
        Self { to: (edge - bolt).normalize_or_zero(), on: way.normalize_or_zero() }
    }

    /// How far it turns, rad.
    #[must_use]
    pub fn angle(&self) -> f64 {
        self.to.angle_between(self.on)
    }

    /// Tension behind the edge when it is pulled before it, N: as much less as friction holds (μ > 0), or, when it is being let
    /// back, as much more (μ < 0): Euler and Eytelwein.
    #[must_use]
    pub fn behind_n(&self, pull_n: f64, friction: f64) -> f64 {
        pull_n * (-friction * self.angle()).exp()
    }

    /// What presses on the edge, N.
    #[must_use]
    pub fn on_edge_n(&self, pull_n: f64, behind_n: f64) -> f64 {
        (self.on * pull_n - self.to * behind_n).length()
    }
}

/// What is drawn over an edge when the strain behind it grows, of a run that is so long from bolt to edge, m.
#[must_use]
pub fn drawn_over_m(way_m: f64, strain_before: f64, strain_after: f64) -> f64 {
    way_m / (1.0 + strain_before) - way_m / (1.0 + strain_after)
}
