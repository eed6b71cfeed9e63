//! What readings of a rigged line say of it: how stretchy it is, how heavy, what slipped.
//!
//! Every stretch of the line's law is taken times κ. A tension without walker fixes the unstretched length for a κ; a second
//! reading (a sag or a tension with a walker, or what came through the lock on the way up) then fixes κ: one bracketed root.
//! A sag without walker says nothing of stretch: with a tension it weighs the line.

use std::sync::Arc;

use glam::{DMat2, DVec2, DVec3};

use super::G;
use super::certificate::certify;
use super::equilibrium;
use super::law::StrainLaw;
use super::net::{Member, Net, Node, Span};
use super::root::{Root, bracketed};
use super::span::{self, Zone};

/// A line between two points that do not give.
#[derive(Debug, Clone)]
pub struct Gauged {
    /// Level distance, m.
    pub span_m: f64,
    /// Height of B over A, m.
    pub rise_m: f64,
    /// Weight per metre of unstretched length, N/m.
    pub weight_n_per_m: f64,
    /// Strain against tension, as the catalogue or the plan has it.
    pub law: Arc<StrainLaw>,
}

/// A second reading, beside the tension at A with nobody on the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Second {
    /// Sag below the straight line at a walker of so many newtons, at a share of the unstretched length, m.
    Sag {
        /// Weight, N.
        walker_n: f64,
        /// Share.
        at: f64,
        /// Sag, m.
        sag_m: f64,
    },
    /// Tension at A with such a walker, N.
    Tension {
        /// Weight, N.
        walker_n: f64,
        /// Share.
        at: f64,
        /// Tension, N.
        tension_n: f64,
    },
    /// Unstretched line that came through between this tension and the standing one, m.
    Through {
        /// Tension at which it was begun, N.
        from_n: f64,
        /// What came through, m.
        through_m: f64,
    },
}

/// What became of a line since its tension was read first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Since {
    /// Stretches over what they were.
    pub creep: f64,
    /// Lengths over what they were, by temperature.
    pub swell: f64,
    /// Line that came through a lock, m.
    pub slipped_m: f64,
}

/// Time that a pulse takes along a line and back, s: twice the length over the wave's speed, the root of tension over
/// mass per metre.
#[must_use]
pub fn pulse_s(length_m: f64, mass_per_m: f64, tension_n: f64) -> f64 {
    2.0 * length_m * (mass_per_m / tension_n).sqrt()
}

/// Most steps to a line's length from its tension.
const STEPS: usize = 20;

/// A line that hangs longer than its chord by more than this share is no rig.
const LONGEST: f64 = 0.5;

/// What κ is looked for between.
pub const KAPPA: [f64; 2] = [0.2, 6.0];

impl Gauged {
    /// The law with every stretch times κ; nothing where that is no law.
    fn stretched(&self, kappa: f64) -> Option<Arc<StrainLaw>> {
        self.law.stretched(kappa).map(Arc::new)
    }

    /// Unstretched length with a tension at A, and the sag then, m; nothing when it cannot hang so.
    #[must_use]
    pub fn standing(&self, kappa: f64, tension_n: f64) -> Option<[f64; 2]> {
        let law = self.stretched(kappa)?;
        let chord = DVec3::new(self.span_m, 0.0, self.rise_m);
        let zone = |length_m: f64| {
            [Zone { length_m, load_n_per_m: DVec3::NEG_Z * self.weight_n_per_m, law: Arc::clone(&law) }]
        };
        let hung = |length_m: f64| {
            let z = zone(length_m);
            let s = span::solve(&z, chord, span::guess(&z, chord));
            s.converged.then_some(s.force)
        };
        let (length_m, f) = self.drawn(&law, tension_n).or_else(|| {
            let off = |length_m: f64| Some(hung(length_m)?.length() - tension_n);
            // Drawn straight with what its higher end has it pulls harder than that at either; longer, until it pulls less.
            let most_n = tension_n + self.weight_n_per_m * self.rise_m.abs();
            let low = chord.length() / (1.0 + law.at(most_n).0);
            let mut more = 1e-4;
            while off(low * (1.0 + more))? > 0.0 {
                more *= 2.0;
                if more > LONGEST {
                    return None;
                }
            }
            match bracketed(low, low * (1.0 + more), 1e-13 * low, 1e-9 * tension_n, off) {
                Root::At(length_m) => Some((length_m, hung(length_m)?)),
                Root::OutOfReach(..) | Root::NoValue => None,
            }
        })?;
        let z = zone(length_m);
        let lowest = span::place(&z, f, span::furthest_below(&z, f, chord));
        Some([length_m, self.rise_m * lowest.x / self.span_m - lowest.z])
    }

    /// Unstretched length with a tension at A, m, and the force there, N, by Newton on the length and on the force's slope
    /// together; nothing where that does not settle, or not on the tauter of the two shapes that have this tension.
    fn drawn(&self, law: &Arc<StrainLaw>, tension_n: f64) -> Option<(f64, DVec3)> {
        let weight = self.weight_n_per_m;
        let chord = DVec3::new(self.span_m, 0.0, self.rise_m);
        // The parabola of this tension.
        let level_n = tension_n * self.span_m / chord.length();
        let dip = weight * self.span_m / level_n;
        let mut length_m = chord.length() * (1.0 + dip * dip / 24.0) / (1.0 + law.at(tension_n).0);
        let mut slope = (self.rise_m / self.span_m - 0.5 * dip).atan();
        for _ in 0..STEPS {
            let zone = [Zone { length_m, load_n_per_m: DVec3::NEG_Z * weight, law: Arc::clone(law) }];
            let (sin, cos) = slope.sin_cos();
            let f = DVec3::new(cos, 0.0, sin) * tension_n;
            let hang = span::hang(&zone, f);
            let end = span::tension_at(&zone, f, length_m);
            let longer = end * ((1.0 + law.at(end.length()).0) / end.length());
            let off = hang.reach - chord;
            if off.length() <= 1e-13 * chord.length() {
                // Of the tauter shape a longer line pulls less.
                let taut = f.dot(hang.give.inverse() * longer) > 0.0;
                return taut.then_some((length_m, f));
            }
            let turned = hang.give * DVec3::new(-sin, 0.0, cos) * tension_n;
            let both = DMat2::from_cols(DVec2::new(longer.x, longer.z), DVec2::new(turned.x, turned.z));
            let step = both.inverse() * DVec2::new(off.x, off.z);
            if !step.is_finite() || step.y.abs() > 0.5 || step.x.abs() > LONGEST * length_m {
                return None;
            }
            (length_m, slope) = (length_m - step.x, slope - step.y);
        }
        None
    }

    /// Time of a pulse there and back with a tension at A, s.
    #[must_use]
    pub fn pulse_s(&self, kappa: f64, tension_n: f64) -> Option<f64> {
        let [length_m, _] = self.standing(kappa, tension_n)?;
        Some(pulse_s(length_m, self.weight_n_per_m / G, tension_n))
    }

    /// Tension at A by the time of a pulse there and back, N.
    #[must_use]
    pub fn by_pulse_n(&self, kappa: f64, pulse: f64) -> Option<f64> {
        // By the chord first; a line is never much longer or shorter than that.
        let chord = self.span_m.hypot(self.rise_m);
        let first = self.weight_n_per_m / G * (2.0 * chord / pulse).powi(2);
        // A line that hangs deep is longer, and then tighter for the same time.
        let off = |n: f64| Some(self.pulse_s(kappa, n)? - pulse);
        match bracketed(0.5 * first, 1.5 * first, 1e-9 * first, 0.0, off) {
            Root::At(n) => Some(n),
            Root::OutOfReach(..) | Root::NoValue => None,
        }
    }

    /// Tension at A, sag and tension at B with a walker of so many newtons at a share of the unstretched length; nothing when
    /// the certificate does not stand by it.
    #[must_use]
    pub fn with_walker(&self, kappa: f64, length_m: f64, walker_n: f64, at: f64) -> Option<[f64; 3]> {
        let law = self.stretched(kappa)?;
        let zone = |share: f64| Zone {
            length_m: share * length_m,
            load_n_per_m: DVec3::new(0.0, 0.0, -self.weight_n_per_m),
            law: Arc::clone(&law),
        };
        let far = DVec3::new(self.span_m, 0.0, self.rise_m);
        let node = |place, fixed, n: f64| Node { place, fixed, load_n: -DVec3::Z * n };
        let net = Net {
            nodes: vec![
                node(DVec3::ZERO, true, 0.0),
                node(far * at - DVec3::Z * (0.05 * self.span_m), false, walker_n),
                node(far, true, 0.0),
            ],
            members: vec![
                Member::Span(Span { a: 0, b: 1, zones: vec![zone(at)] }),
                Member::Span(Span { a: 1, b: 2, zones: vec![zone(1.0 - at)] }),
            ],
        };
        let solved = equilibrium::solve(&net, None);
        if !certify(&net, &solved).holds() {
            return None;
        }
        let p = solved.places[1];
        let last = [zone(1.0 - at)];
        let end = span::tension_at(&last, solved.span_force(1)?, last[0].length_m);
        Some([solved.span_force(0)?.length(), self.rise_m * p.x / self.span_m - p.z, end.length()])
    }

    /// κ from the standing tension at A and a second reading; nothing where no κ between a fifth and six gives both.
    #[must_use]
    pub fn kappa(&self, standing_n: f64, second: Second) -> Option<f64> {
        let off = |kappa: f64| {
            let [length_m, _] = self.standing(kappa, standing_n)?;
            Some(match second {
                Second::Sag { walker_n, at, sag_m } => self.with_walker(kappa, length_m, walker_n, at)?[1] - sag_m,
                Second::Tension { walker_n, at, tension_n } => {
                    tension_n - self.with_walker(kappa, length_m, walker_n, at)?[0]
                }
                Second::Through { from_n, through_m } => self.standing(kappa, from_n)?[0] - length_m - through_m,
            })
        };
        match bracketed(KAPPA[0], KAPPA[1], 1e-10, 0.0, off) {
            Root::At(k) => Some(k),
            Root::OutOfReach(..) | Root::NoValue => None,
        }
    }

    /// Weight per metre over the planned one, from the sag that a line with this tension at A has with nobody on it.
    #[must_use]
    pub fn mass_ratio(&self, standing_n: f64, sag_m: f64) -> Option<f64> {
        let off = |ratio: f64| {
            let other = Self { weight_n_per_m: ratio * self.weight_n_per_m, ..self.clone() };
            Some(other.standing(1.0, standing_n)?[1] - sag_m)
        };
        match bracketed(0.2, 5.0, 1e-10, 0.0, off) {
            Root::At(r) => Some(r),
            Root::OutOfReach(..) | Root::NoValue => None,
        }
    }

    /// Tension expected later, N, and the line that slipped through for what is read then, m.
    #[must_use]
    pub fn later(&self, kappa: f64, standing_n: f64, read_n: f64, since: Since) -> Option<[f64; 2]> {
        let Since { creep, swell, slipped_m } = since;
        let [length_m, _] = self.standing(kappa, standing_n)?;
        // What is read is of the line as it is then; at the first temperature it is that much shorter.
        let [now_m, _] = self.standing(kappa * creep, read_n)?;
        let slipped = now_m / swell - length_m;
        let off = |n: f64| Some(self.standing(kappa * creep, n)?[0] - (length_m + slipped_m) * swell);
        let expected = match bracketed(0.2 * standing_n, 2.0 * standing_n, 1e-6, 0.0, off) {
            Root::At(n) => n,
            Root::OutOfReach(..) | Root::NoValue => return None,
        };
        Some([expected, slipped])
    }
}

/// One deviation of a figure from those of its readings, independent, by central differences of one deviation each way: pairs
/// of reading and deviation go in, in the order that `of` takes them.
#[must_use]
pub fn deviation(readings: &[(f64, f64)], of: impl Fn(&[f64]) -> Option<f64>) -> Option<f64> {
    let base: Vec<f64> = readings.iter().map(|r| r.0).collect();
    let mut sum = 0.0;
    for (k, (_, sd)) in readings.iter().enumerate() {
        let at = |by: f64| {
            let mut moved = base.clone();
            moved[k] += by;
            of(&moved)
        };
        sum += (0.5 * (at(*sd)? - at(-*sd)?)).powi(2);
    }
    Some(sum.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stands_at_its_tension_whatever_it_stretches() {
        let law =
            Arc::new(StrainLaw::from_points(&[(2e3, 0.01), (4e3, 0.02), (10e3, 0.045), (30e3, 0.12)]).expect("a law"));
        let g = Gauged { span_m: 62.0, rise_m: 3.0, weight_n_per_m: 1.1, law };
        for kappa in [0.2, 0.5, 1.0, 3.0, 6.0] {
            for n in [300.0, 2_500.0, 9_000.0] {
                let [length_m, sag_m] = g.standing(kappa, n).expect("it stands");
                // By the parabola: d = w L² / 8 H, and half a per cent for the rise and for what the ends are apart.
                let parabola = 1.1 * length_m * 62.0 / (8.0 * n);
                assert!((sag_m / parabola - 1.0).abs() < 0.02, "{kappa} {n}: {sag_m} {parabola}");
                assert!(g.with_walker(kappa, length_m, 813.0, 0.5).is_some());
            }
        }
    }
}
