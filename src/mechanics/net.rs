//! A rig as mechanics sees it: points, and tension-only members between them.

use std::sync::Arc;

use glam::DVec3;

use super::law::LengthLaw;
use super::span::Zone;

/// A place where members meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Where it is, when fixed; where to start looking for it, when free. m.
    pub place: DVec3,
    /// Held by the ground.
    pub fixed: bool,
    /// Dead load on it, N.
    pub load_n: DVec3,
}

/// How a link's tension follows from its length.
#[derive(Debug, Clone, PartialEq)]
pub enum Pull {
    /// By the parts it is made of.
    Chain(Arc<LengthLaw>),
    /// One tension whatever the length: a leg while it is being adjusted to a share, N.
    Constant(f64),
    /// A straight line through (length m, tension N) with a stiffness N/m; for one step of a friction loop.
    Tangent(f64, f64, f64),
}

impl Pull {
    /// Tension (N), stiffness (N/m) and energy (J) at a length.
    #[must_use]
    #[inline]
    pub fn at(&self, length_m: f64) -> (f64, f64, f64) {
        match self {
            Self::Chain(law) => law.at(length_m),
            Self::Constant(t) => (*t, 0.0, t * length_m),
            Self::Tangent(at, tension, stiffness) => {
                let d = length_m - (at - tension / stiffness);
                if d <= 0.0 { (0.0, 0.0, 0.0) } else { (stiffness * d, *stiffness, 0.5 * stiffness * d * d) }
            }
        }
    }
}

/// A weightless run over two or more points.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    /// Points in order; those between the ends it slides over. A closed sling ends where it starts.
    pub path: Vec<usize>,
    /// Its stretch.
    pub pull: Pull,
    /// Tension of each leg over the largest, when friction holds them apart; empty when frictionless.
    pub ratios: Vec<f64>,
    /// Coefficient of friction at each inner point of the path; empty means none anywhere.
    pub friction: Vec<f64>,
}

impl Link {
    /// A frictionless link.
    #[must_use]
    pub fn new(path: Vec<usize>, law: Arc<LengthLaw>) -> Self {
        Self { path, pull: Pull::Chain(law), ratios: Vec::new(), friction: Vec::new() }
    }

    /// Ratio of the leg with this index.
    #[must_use]
    #[inline]
    pub fn ratio(&self, leg: usize) -> f64 {
        self.ratios.get(leg).copied().unwrap_or(1.0)
    }
}

/// A heavy line between two points.
#[derive(Debug, Clone, PartialEq)]
pub struct Span {
    /// First end.
    pub a: usize,
    /// Last end.
    pub b: usize,
    /// Its materials, from first end to last.
    pub zones: Vec<Zone>,
}

/// An anchor that gives: a spring in every direction about a home.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// The point it holds.
    pub point: usize,
    /// Where it holds it when unloaded, m.
    pub home: DVec3,
    /// Stiffness, N/m.
    pub stiffness_n_per_m: f64,
}

/// Anything that pulls.
#[derive(Debug, Clone, PartialEq)]
pub enum Member {
    /// Weightless.
    Link(Link),
    /// With weight.
    Span(Span),
    /// Support that gives.
    Ground(Ground),
}

impl Member {
    /// The points it touches, in order.
    #[must_use]
    pub fn points(&self) -> Vec<usize> {
        match self {
            Self::Link(l) => l.path.clone(),
            Self::Span(s) => vec![s.a, s.b],
            Self::Ground(g) => vec![g.point],
        }
    }
}

/// Points and members.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Net {
    /// The points.
    pub nodes: Vec<Node>,
    /// What pulls on them.
    pub members: Vec<Member>,
}
