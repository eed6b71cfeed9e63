//! Somebody who hangs still on a roller, towed along the line from one of its ends.
//!
//! All the line between the ends may run through the roller, with friction against the tow. For a place along the gap two
//! things are unknown: how the line divides (tensions across the roller stand as e^(μθ), θ its turn there) and how high the
//! roller hangs (what is left over points along the tow rope). Each rises steadily: two bracketed roots, one in the other.
//! The tow is what is left over; without friction it is the slope of the least potential energy along the rope.

use std::sync::Arc;

use glam::{DMat2, DVec2, DVec3};

use super::certificate::certify;
use super::equilibrium;
use super::law::StrainLaw;
use super::net::{Member, Net, Node, Span};
use super::root::{Root, bracketed};
use super::span::{self, Zone};

/// A line between two ends that do not give, and what hangs on its roller.
#[derive(Debug, Clone)]
pub struct Tow {
    /// Level distance from A to B, m.
    pub span_m: f64,
    /// Height of B over A, m.
    pub rise_m: f64,
    /// Unstretched line between the ends, m.
    pub length_m: f64,
    /// Weight per metre of unstretched length, N/m.
    pub weight_n_per_m: f64,
    /// Strain against tension.
    pub law: Arc<StrainLaw>,
    /// What hangs on the roller, N.
    pub load_n: f64,
    /// Coefficient of friction of the line through the roller.
    pub friction: f64,
    /// Whether B pulls; else A.
    pub to_b: bool,
}

/// The roller held at a place by the tow rope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Towed {
    /// Where the roller is: x from A towards B, z over A, m.
    pub place: DVec3,
    /// Unstretched line on A's side of it, m.
    pub split_m: f64,
    /// What the rope pulls with, N; below nothing it has to hold back.
    pub tow_n: f64,
    /// Tension at A and at B, N.
    pub ends_n: [f64; 2],
    /// Tension of the line at the roller on A's side and on B's, N.
    pub roller_n: [f64; 2],
    /// Slope of the line at the roller, down from A and up to B, rad.
    pub slopes_rad: [f64; 2],
    /// Way from the roller straight to the end that pulls, m.
    pub way_m: f64,
}

impl Towed {
    /// Turn of the line at the roller, rad.
    #[must_use]
    pub fn turn_rad(&self) -> f64 {
        self.slopes_rad[0] + self.slopes_rad[1]
    }
}

/// Most steps of a search from near by.
const STEPS: usize = 30;

/// What the two unknowns are off by, and how that changes with drop, m, and split, m: the tensions' ratio against its
/// friction, as a logarithm; what is left across the rope, as a share of the load.
struct Slopes {
    off: DVec2,
    by: DMat2,
    parts: Parts,
}

/// Both parts of the line with the roller at a place: the pull of each on the roller.
struct Parts {
    split_m: f64,
    /// Force on the first end of each, N.
    first: [DVec3; 2],
    /// What each pulls the roller with, N.
    pull: [DVec3; 2],
}

impl Tow {
    fn far(&self) -> DVec3 {
        DVec3::new(self.span_m, 0.0, self.rise_m)
    }

    fn zones(&self, split_m: f64) -> [[Zone; 1]; 2] {
        [split_m, self.length_m - split_m].map(|length_m| {
            [Zone { length_m, load_n_per_m: DVec3::NEG_Z * self.weight_n_per_m, law: Arc::clone(&self.law) }]
        })
    }

    fn parts(&self, place: DVec3, split_m: f64) -> Option<Parts> {
        let [a, b] = self.zones(split_m);
        let of = |zones: &[Zone], chord: DVec3| {
            let s = span::solve(zones, chord, span::guess(zones, chord));
            s.converged.then_some(s.force)
        };
        let first = [of(&a, place)?, of(&b, self.far() - place)?];
        let end = span::tension_at(&a, first[0], split_m);
        Some(Parts { split_m, first, pull: [-end, first[1]] })
    }

    /// The line divided so that its tensions across the roller stand as its friction lets them.
    fn divided(&self, place: DVec3) -> Option<Parts> {
        let to = [place.length(), (self.far() - place).length()];
        let against = if self.to_b { self.friction } else { -self.friction };
        let off = |split_m: f64| {
            let p = self.parts(place, split_m)?;
            let turn = std::f64::consts::PI - p.pull[0].angle_between(p.pull[1]);
            Some((p.pull[0].length() / p.pull[1].length()).ln() - against * turn)
        };
        let even = self.length_m * to[0] / (to[0] + to[1]);
        let [low, high] = self.outward(even, off)?;
        match bracketed(low, high, 1e-14 * self.length_m, 1e-11, off) {
            Root::At(split_m) => self.parts(place, split_m),
            Root::OutOfReach(..) | Root::NoValue => None,
        }
    }

    /// Splits between which the line is divided: the shorter a part, the harder it pulls, so outward from an even strain until
    /// the sign of `off` lies between.
    fn outward(&self, even_m: f64, off: impl Fn(f64) -> Option<f64>) -> Option<[f64; 2]> {
        let (mut low, mut high) = (0.999 * even_m, self.length_m - 0.999 * (self.length_m - even_m));
        for _ in 0..40 {
            match (off(low)? >= 0.0, off(high)? <= 0.0) {
                (true, true) => break,
                (false, _) => low *= 0.9,
                (true, false) => high = self.length_m - 0.9 * (self.length_m - high),
            }
        }
        Some([low, high])
    }

    /// The roller held over the place `x_m` along the gap; nothing where it cannot hang there.
    #[must_use]
    pub fn at(&self, x_m: f64) -> Option<Towed> {
        self.near(x_m, None)
    }

    /// The same, looked for first from what was found at a place near by: the place and how the line divides at once.
    #[must_use]
    pub fn near(&self, x_m: f64, found: Option<&Towed>) -> Option<Towed> {
        let stepped = found.and_then(|t| self.stepped(x_m, t));
        stepped.or_else(|| self.searched(x_m)).map(|(at, parts)| self.towed(at, &parts))
    }

    /// Newton on the drop and the split together, from a place near by; nothing where it does not settle. What is asked of
    /// both is the same as in the search, and each rises steadily, so what it settles on is what the search finds.
    fn stepped(&self, x_m: f64, from: &Towed) -> Option<(DVec3, Parts)> {
        let on_chord = self.rise_m * x_m / self.span_m;
        let split_at = |at: DVec3| self.length_m * at.length() / (at.length() + (self.far() - at).length());
        let drop = self.rise_m * from.place.x / self.span_m - from.place.z;
        let mut at = DVec3::new(x_m, 0.0, on_chord - drop);
        // As far from an even strain as it was there.
        let mut split_m = from.split_m + split_at(at) - split_at(from.place);
        let mut now = self.slopes_at(at, split_m, None)?;
        for _ in 0..STEPS {
            if now.off[0].abs() <= 1e-11 && now.off[1].abs() <= 1e-9 {
                return Some((at, now.parts));
            }
            let step = -(now.by.inverse() * now.off);
            if !step.is_finite() {
                return None;
            }
            let mut share = 1.0;
            (at, split_m, now) = loop {
                let (p, s) = (at - DVec3::Z * step.x * share, split_m + step.y * share);
                let inside = s > 0.0 && s < self.length_m;
                let tried = if inside { self.slopes_at(p, s, Some(now.parts.first)) } else { None };
                match tried {
                    Some(t) if t.off.length() < now.off.length() => break (p, s, t),
                    _ if share < 0.05 => return None,
                    _ => share *= 0.5,
                }
            };
        }
        None
    }

    /// How far off the division and the roller's rest are, and how that changes with drop and split.
    fn slopes_at(&self, at: DVec3, split_m: f64, start: Option<[DVec3; 2]>) -> Option<Slopes> {
        let zones = self.zones(split_m);
        let chords = [at, self.far() - at];
        let solved = [0, 1].map(|k| {
            let start = start.map_or_else(|| span::guess(&zones[k], chords[k]), |s| s[k]);
            span::solve(&zones[k], chords[k], start)
        });
        if solved.iter().any(|s| !s.converged) {
            return None;
        }
        let ends = [0, 1].map(|k| span::tension_at(&zones[k], solved[k].force, zones[k][0].length_m));
        // A metre more at the last end takes the reach along by its stretched length, and the force back by the stiffness.
        let longer = [0, 1].map(|k| {
            let t = ends[k].length();
            -(solved[k].stiffness * (ends[k] * ((1.0 + self.law.at(t).0) / t)))
        });
        let weight = DVec3::NEG_Z * self.weight_n_per_m;
        let pull = [-ends[0], solved[1].force];
        let deeper = [solved[0].stiffness * DVec3::Z, solved[1].stiffness * DVec3::Z];
        let parted = [weight - longer[0], -longer[1]];
        let against = if self.to_b { self.friction } else { -self.friction };
        let turn = std::f64::consts::PI - pull[0].angle_between(pull[1]);
        let to = if self.to_b { chords[1] } else { -at };
        let (way, along) = (to.length(), to.normalize());
        let across = |v: DVec3| if self.to_b { DVec3::new(-v.z, 0.0, v.x) } else { DVec3::new(v.z, 0.0, -v.x) };
        let left = pull[0] + pull[1] - DVec3::Z * self.load_n;
        let slope = |d: [DVec3; 2], moved: DVec3| {
            let log = |k: usize| pull[k].dot(d[k]) / pull[k].length_squared();
            let angle = |k: usize| (pull[k].x * d[k].z - pull[k].z * d[k].x) / pull[k].length_squared();
            let swung = -(moved - along * along.dot(moved)) / way;
            DVec2::new(
                log(0) - log(1) + against * (angle(0) - angle(1)),
                ((d[0] + d[1]).dot(across(along)) + left.dot(across(swung))) / self.load_n,
            )
        };
        Some(Slopes {
            off: DVec2::new(
                (pull[0].length() / pull[1].length()).ln() - against * turn,
                left.dot(across(along)) / self.load_n,
            ),
            by: DMat2::from_cols(slope(deeper, DVec3::NEG_Z), slope(parted, DVec3::ZERO)),
            parts: Parts { split_m, first: solved.map(|s| s.force), pull },
        })
    }

    /// The roller looked for between bounds: the drop, and for each the split.
    fn searched(&self, x_m: f64) -> Option<(DVec3, Parts)> {
        let on_chord = self.rise_m * x_m / self.span_m;
        let end = if self.to_b { self.far() } else { DVec3::ZERO };
        let place = |drop_m: f64| DVec3::new(x_m, 0.0, on_chord - drop_m);
        let left = |p: &Parts| p.pull[0] + p.pull[1] - DVec3::Z * self.load_n;
        let along = |at: DVec3| (end - at).normalize();
        // What is left across the rope, upwards: more, the lower it hangs.
        let off = |drop_m: f64| {
            let at = place(drop_m);
            let u = along(at);
            let up = if self.to_b { DVec3::new(-u.z, 0.0, u.x) } else { DVec3::new(u.z, 0.0, -u.x) };
            Some(left(&self.divided(at)?).dot(up))
        };
        let mut deep = 0.02 * self.span_m;
        while off(deep)? < 0.0 {
            deep *= 1.7;
            if deep > self.length_m {
                return None;
            }
        }
        let Root::At(drop_m) = bracketed(0.0, deep, 1e-13 * self.span_m, 1e-9 * self.load_n, off) else {
            return None;
        };
        let at = place(drop_m);
        Some((at, self.divided(at)?))
    }

    /// What is told of the roller at a place.
    fn towed(&self, at: DVec3, p: &Parts) -> Towed {
        let to = if self.to_b { self.far() - at } else { -at };
        let [_, b] = self.zones(p.split_m);
        let ends = [p.first[0], span::tension_at(&b, p.first[1], b[0].length_m)];
        let slope = |f: DVec3, side: f64| f.z.atan2(side * f.x);
        Towed {
            place: at,
            split_m: p.split_m,
            tow_n: (DVec3::Z * self.load_n - p.pull[0] - p.pull[1]).dot(to.normalize()),
            ends_n: ends.map(DVec3::length),
            roller_n: p.pull.map(DVec3::length),
            slopes_rad: [slope(p.pull[0], -1.0), slope(p.pull[1], 1.0)],
            way_m: to.length(),
        }
    }

    /// Whether it stands up to the certificate: the net of its two parts, the roller free and pulled with the tow, is at rest
    /// there, and the tensions across the roller stand as e^(μθ).
    #[must_use]
    pub fn holds(&self, t: &Towed) -> bool {
        let end = if self.to_b { self.far() } else { DVec3::ZERO };
        let node = |place, fixed, load_n| Node { place, fixed, load_n };
        let [a, b] = self.zones(t.split_m).map(Vec::from);
        let tow = (end - t.place).normalize() * t.tow_n;
        let net = Net {
            nodes: vec![
                node(DVec3::ZERO, true, DVec3::ZERO),
                node(t.place, false, tow - DVec3::Z * self.load_n),
                node(self.far(), true, DVec3::ZERO),
            ],
            members: vec![
                Member::Span(Span { a: 0, b: 1, zones: a.clone() }),
                Member::Span(Span { a: 1, b: 2, zones: b }),
            ],
        };
        let solved = equilibrium::solve(&net, None);
        let (Some(before), Some(after)) = (solved.span_force(0), solved.span_force(1)) else { return false };
        let before = span::tension_at(&a, before, t.split_m);
        let turn = before.angle_between(after);
        let against = if self.to_b { self.friction } else { -self.friction };
        let ratio = (before.length() / after.length()).ln() - against * turn;
        certify(&net, &solved).holds()
            && solved.places[1].distance(t.place) <= 1e-6 * self.span_m
            && ratio.abs() <= 1e-6
    }
}

/// Minutes of a rescue are these, s; common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// Until somebody moves.
    pub alarm_s: f64,
    /// Until the kit is on.
    pub kit_s: f64,
    /// Speed on the way out, m/s.
    pub out_m_per_s: f64,
    /// Until the casualty hangs on the roller.
    pub pick_up_s: f64,
    /// Speed on the way back, m/s.
    pub tow_m_per_s: f64,
    /// Over the edge.
    pub over_s: f64,
}

impl Times {
    /// From the alarm until the casualty is over the edge, from `x_m` off, s.
    #[must_use]
    pub fn total_s(&self, x_m: f64) -> f64 {
        self.alarm_s + self.kit_s + x_m / self.out_m_per_s + self.pick_up_s + x_m / self.tow_m_per_s + self.over_s
    }
}
