//! A line that another pulls over a gap: one or two heavy lines end to end between two edges, their joint free.
//!
//! With the level pull H along the chord's plan, the tension at the first edge is (H, V), and everything beyond follows by
//! walking along the line: where it has come to the joint's place its weight changes, where it has come to the far edge it
//! ends. V is the one root that ends at the far edge's height, H the one that hangs as it is held: each rises steadily.

use std::sync::Arc;

use glam::DVec3;

use super::certificate::certify;
use super::equilibrium;
use super::law::StrainLaw;
use super::net::{Member, Net, Node, Span};
use super::root::{Root, bracketed};
use super::span::{self, Zone};

/// A line by the metre.
#[derive(Debug, Clone)]
pub struct Strung {
    /// Weight per metre of unstretched length, N/m.
    pub weight_n_per_m: f64,
    /// Strain against tension.
    pub law: Arc<StrainLaw>,
    /// Wind per metre of unstretched length, across the gap, N/m.
    pub wind_n_per_m: f64,
}

/// Two edges, and what hangs between them: x along the gap from the sending edge, z up from it.
#[derive(Debug, Clone)]
pub struct Carry {
    /// From edge to edge, level, m.
    pub span_m: f64,
    /// Height of the receiving edge over the sending one, m.
    pub rise_m: f64,
    /// The line that is pulled over.
    pub pulled: Strung,
    /// The line that pulls it.
    pub pulling: Strung,
    /// Weight of joint, rings and what else is at the leading end, N.
    pub joint_n: f64,
}

/// What is held while it goes over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// The largest drop below the straight line between the edges, m.
    Drop(f64),
    /// The tension at the sending edge, N: of the two shapes that have it, the shallow one.
    Pull(f64),
}

/// How it hangs.
#[derive(Debug, Clone)]
pub struct Hung {
    /// How far over the leading end is, as a share of the span.
    pub share: f64,
    /// Tension along the line at the sending and at the receiving edge, N: x along the gap, z up.
    pub tension_n: [DVec3; 2],
    /// Unstretched length of the pulled and of the pulling line between the edges, m.
    pub lengths_m: [f64; 2],
    /// Where the joint is, m; the receiving edge when it is over.
    pub joint: DVec3,
    /// Where it hangs lowest below the straight line, m, and how far below it, m.
    pub lowest: (DVec3, f64),
    zones: [Zone; 2],
    joint_n: f64,
}

/// Something that lies below: a profile from left to right.
#[derive(Debug, Clone, PartialEq)]
pub struct Below {
    /// Its corners, x and z, m.
    pub profile_m: Vec<[f64; 2]>,
    /// From where to where it is looked at, m.
    pub between_m: [f64; 2],
}

/// The least height over a profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Least {
    /// Height, m; below zero it lies in it.
    pub height_m: f64,
    /// Where, m.
    pub x_m: f64,
}

/// Roots in force to this share of the force, in length to this share of the span.
const FINE: f64 = 1e-12;

impl Strung {
    fn zone(&self, length_m: f64, windy: bool) -> Zone {
        let wind = if windy { self.wind_n_per_m } else { 0.0 };
        Zone { length_m, load_n_per_m: DVec3::new(0.0, wind, -self.weight_n_per_m), law: Arc::clone(&self.law) }
    }
}

/// Unstretched length at which a line that leaves with tension `f0` has come `x_m` along, m; nothing where it never does.
fn length_to(strung: &Strung, f0: DVec3, x_m: f64) -> Option<f64> {
    if x_m <= 0.0 {
        return Some(0.0);
    }
    let zone = |s: f64| [strung.zone(s, false)];
    let mut s = x_m;
    // x grows with s all the way: Newton from the straight length, kept where x has not been passed.
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    for _ in 0..60 {
        let z = zone(s);
        let x = span::place(&z, f0, s).x;
        let off = x - x_m;
        if off.abs() <= FINE * x_m.max(1.0) {
            return Some(s);
        }
        if off > 0.0 {
            high = high.min(s);
        } else {
            low = low.max(s);
        }
        let t = span::tension_at(&z, f0, s);
        let n = t.length();
        let slope = (1.0 + strung.law.at(n).0) * t.x / n;
        let next = s - off / slope;
        s = if next > low && next < high {
            next
        } else if high.is_finite() {
            0.5 * (low + high)
        } else {
            2.0 * s
        };
        if s > 1e4 * x_m {
            return None;
        }
    }
    Some(s)
}

impl Carry {
    /// What hangs between the edges of the lines and of the joint, about, N: once over, the joint hangs no more.
    fn weights_n(&self, c: f64) -> [f64; 2] {
        let [sent, left] = [c, 1.0 - c].map(|share| share * self.span_m);
        let lines = self.pulled.weight_n_per_m * sent + self.pulling.weight_n_per_m * left;
        [lines, if c < 1.0 { self.joint_n } else { 0.0 }]
    }

    /// The shape that leaves the sending edge with the level pull `h_n` while the leading end is over the share `c` of the gap.
    fn at_pull(&self, c: f64, h_n: f64) -> Option<Hung> {
        let c = c.clamp(0.0, 1.0);
        let (x1, x2) = (c * self.span_m, (1.0 - c) * self.span_m);
        let weight: f64 = self.weights_n(c).iter().sum();
        let lengths = |v: f64| {
            let f0 = DVec3::new(h_n, 0.0, v);
            let l1 = length_to(&self.pulled, f0, x1)?;
            let first = [self.pulled.zone(l1, false)];
            let joint = span::place(&first, f0, l1);
            let f1 = span::tension_at(&first, f0, l1) + DVec3::Z * if x2 > 0.0 { self.joint_n } else { 0.0 };
            let l2 = length_to(&self.pulling, f1, x2)?;
            let end = joint + span::place(&[self.pulling.zone(l2, false)], f1, l2);
            Some((l1, l2, joint, f1, end))
        };
        // A line that leaves so high that no length of it comes over ends above everything.
        let rise = |v: f64| lengths(v).map_or(f64::INFINITY, |l| l.4.z - self.rise_m);
        // About the parabola's own V, outward until the far edge's height lies between, then inward to where it can be told.
        let about = h_n * self.rise_m / self.span_m - 0.5 * weight;
        let mut step = 0.5 * weight + 0.05 * h_n + 1e-9;
        let (mut low, mut high) = (about - step, about + step);
        for _ in 0..60 {
            step *= 2.0;
            match (rise(low) <= 0.0, rise(high) >= 0.0) {
                (true, true) => break,
                (false, _) => (low, high) = (low - step, low),
                (true, false) => (low, high) = (high, high + step),
            }
        }
        while rise(high).is_infinite() && high - low > FINE * h_n {
            let mid = 0.5 * (low + high);
            if rise(mid) > 0.0 { high = mid } else { low = mid }
        }
        let Root::At(v) = bracketed(low, high, FINE * (h_n + weight), 1e-12 * self.span_m, |v| Some(rise(v))) else {
            return None;
        };
        let (l1, l2, joint, f1, _) = lengths(v)?;
        let f0 = DVec3::new(h_n, 0.0, v);
        let zones = [self.pulled.zone(l1, false), self.pulling.zone(l2, false)];
        let end = span::tension_at(&zones[1..], f1, l2);
        let joint = if x2 > 0.0 { joint } else { DVec3::new(self.span_m, 0.0, self.rise_m) };
        let mut hung = Hung {
            share: c,
            tension_n: [f0, end],
            lengths_m: [l1, l2],
            joint,
            lowest: (joint, 0.0),
            zones,
            joint_n: if x2 > 0.0 { self.joint_n } else { 0.0 },
        };
        let chord = DVec3::new(self.span_m, 0.0, self.rise_m);
        let drop = |p: DVec3| (chord.z * p.x / chord.x - p.z, p);
        hung.lowest = hung
            .parallel(chord.z / chord.x)
            .into_iter()
            .chain([joint])
            .map(drop)
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(d, p)| (p, d))?;
        Some(hung)
    }

    /// How it hangs with the leading end over the share `c` of the gap, held so.
    ///
    /// # Errors
    /// The least that can be, where what is held cannot: the least tension at the sending edge, N, or nothing to be said.
    pub fn hung(&self, c: f64, held: Held) -> Result<Hung, Option<f64>> {
        let heavier = self.pulled.weight_n_per_m.max(self.pulling.weight_n_per_m) * self.span_m + self.joint_n;
        // With a sixth of what hangs it is deeper than the gap is wide; with less, lengths grow beyond telling.
        // The joint alone, P c (1 − c) L over its drop, is let hang a whole gap deep.
        let [lines_n, joint_n] = self.weights_n(c);
        let lowest_h = (lines_n / 6.0 + joint_n * c * (1.0 - c)).max(1e-6);
        let root = |low: f64, high: f64, of: &dyn Fn(&Hung) -> f64, close: f64| {
            let f = |ln: f64| self.at_pull(c, ln.exp()).map(|h| of(&h));
            match bracketed(low.ln(), high.ln(), FINE, close, f) {
                Root::At(ln) => self.at_pull(c, ln.exp()).ok_or(None),
                Root::OutOfReach(..) | Root::NoValue => Err(None),
            }
        };
        match held {
            Held::Drop(m) => {
                // H = w L²/8d, of the heavier line and much under the lighter.
                let about = (heavier * self.span_m / (8.0 * m)).max(1e-6);
                root(lowest_h, 20.0 * about.max(lowest_h), &|h| m - h.lowest.1, 1e-11 * self.span_m)
            }
            Held::Pull(n) => {
                let at_edge = |ln: f64| self.at_pull(c, ln.exp()).map_or(f64::INFINITY, |h| h.tension_n[0].length());
                let (least_h, least_n) = least(at_edge, lowest_h.ln(), (40.0 * heavier).max(n).ln());
                if n < least_n {
                    return Err(Some(least_n));
                }
                root(least_h.exp(), n.max(least_h.exp() * 1.000_1), &|h| h.tension_n[0].length() - n, 1e-12 * n)
            }
        }
    }

    /// How it hangs as low as may be over what lies below: the largest drop, between these, that keeps `clear_m` over all of
    /// it, m; nothing where none does.
    pub fn clearing(&self, c: f64, clear_m: f64, below: &[Below], between_m: [f64; 2]) -> Option<Hung> {
        let over = |m: f64| {
            let hung = self.hung(c, Held::Drop(m)).ok()?;
            Some(hung.least_over(below)?.height_m - clear_m)
        };
        // What clears even at the deepest is hung no deeper.
        if over(between_m[1]).is_some_and(|left| left >= 0.0) {
            return self.hung(c, Held::Drop(between_m[1])).ok();
        }
        match bracketed(between_m[0], between_m[1], FINE * between_m[1], 1e-10, over) {
            Root::At(m) => self.hung(c, Held::Drop(m)).ok(),
            Root::OutOfReach(..) | Root::NoValue => None,
        }
    }

    /// The net of a shape, its lengths held: what the certificate looks at, and what the wind blows on.
    fn net(&self, hung: &Hung, windy: bool) -> Net {
        let far = DVec3::new(self.span_m, 0.0, self.rise_m);
        let node = |place, fixed, n: f64| Node { place, fixed, load_n: -DVec3::Z * n };
        let [l1, l2] = hung.lengths_m;
        let first = |b| Member::Span(Span { a: 0, b, zones: vec![self.pulled.zone(l1, windy)] });
        let edge = node(DVec3::ZERO, true, 0.0);
        if l2 <= 0.0 {
            return Net { nodes: vec![edge, node(far, true, 0.0)], members: vec![first(1)] };
        }
        let second = Member::Span(Span { a: 1, b: 2, zones: vec![self.pulling.zone(l2, windy)] });
        Net {
            nodes: vec![edge, node(hung.joint, false, self.joint_n), node(far, true, 0.0)],
            members: vec![first(1), second],
        }
    }

    /// Whether the shape stands up to the certificate: the net of its lengths is at rest there, with the same tension at the
    /// edges.
    #[must_use]
    pub fn holds(&self, hung: &Hung) -> bool {
        let net = self.net(hung, false);
        let solved = equilibrium::solve(&net, None);
        let near = |member: usize, want: DVec3| {
            solved.span_force(member).is_some_and(|f| f.distance(want) <= 1e-6 * want.length().max(1e-3))
        };
        certify(&net, &solved).holds() && near(0, hung.tension_n[0])
    }

    /// The tension at both edges with the wind across and the lengths held, N, and where the joint is, m; nothing without a
    /// solution that the certificate stands by.
    #[must_use]
    pub fn in_wind(&self, hung: &Hung) -> Option<([f64; 2], DVec3)> {
        let net = self.net(hung, true);
        let solved = equilibrium::solve(&net, None);
        if !certify(&net, &solved).holds() {
            return None;
        }
        let last = net.members.len() - 1;
        let Member::Span(s) = &net.members[last] else { return None };
        let f = solved.span_force(last)?;
        let end = span::tension_at(&s.zones, f, span::length_m(&s.zones));
        Some(([solved.span_force(0)?.length(), end.length()], solved.places[if last > 0 { 1 } else { last + 1 }]))
    }
}

/// Least value of a function that falls and then rises, and where, by the golden section.
fn least(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> (f64, f64) {
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut a, mut b) = (high - golden * (high - low), low + golden * (high - low));
    let (mut fa, mut fb) = (f(a), f(b));
    for _ in 0..60 {
        if fa < fb {
            (high, b, fb) = (b, a, fa);
            a = high - golden * (high - low);
            fa = f(a);
        } else {
            (low, a, fa) = (a, b, fb);
            b = low + golden * (high - low);
            fb = f(b);
        }
    }
    if fa < fb { (a, fa) } else { (b, fb) }
}

impl Hung {
    /// The tension that leaves each line's first end, and where that end is.
    fn begins(&self) -> [(DVec3, DVec3); 2] {
        let end = span::tension_at(&self.zones[..1], self.tension_n[0], self.lengths_m[0]);
        [(self.tension_n[0], DVec3::ZERO), (end + DVec3::Z * self.joint_n, self.joint)]
    }

    /// Places along it from the sending edge on, `each` of each line.
    #[must_use]
    pub fn shape(&self, each: usize) -> Vec<DVec3> {
        let mut out = vec![DVec3::ZERO];
        for (zone, (f, from)) in self.zones.iter().zip(self.begins()) {
            if zone.length_m > 0.0 {
                let at = |k: usize| {
                    from + span::place(std::slice::from_ref(zone), f, zone.length_m * k as f64 / each as f64)
                };
                out.extend((1..=each).map(at));
            }
        }
        out
    }

    /// Places where a line runs parallel to the slope, one of each line at most.
    fn parallel(&self, slope: f64) -> Vec<DVec3> {
        let mut out = Vec::new();
        for (zone, (f, from)) in self.zones.iter().zip(self.begins()) {
            let weight = -zone.load_n_per_m.z;
            if zone.length_m <= 0.0 || weight <= 0.0 {
                continue;
            }
            let s = (slope * f.x - f.z) / weight;
            if s > 0.0 && s < zone.length_m {
                out.push(from + span::place(std::slice::from_ref(zone), f, s));
            }
        }
        out
    }

    /// Height of the line at a place along the gap, m.
    #[must_use]
    pub fn z_at(&self, x_m: f64) -> Option<f64> {
        let k = usize::from(x_m > self.joint.x && self.lengths_m[1] > 0.0);
        let (f, from) = self.begins()[k];
        let zone = std::slice::from_ref(&self.zones[k]);
        let far = zone[0].length_m;
        let off = |s: f64| Some(from.x + span::place(zone, f, s).x - x_m);
        match bracketed(0.0, far, FINE * far.max(1.0), 1e-10, off) {
            Root::At(s) => Some(from.z + span::place(zone, f, s).z),
            Root::OutOfReach(..) | Root::NoValue => None,
        }
    }

    /// Where it comes lowest over what lies below: at an end of what is looked at, over a corner, at the joint, or where a
    /// line runs parallel to what is under it.
    #[must_use]
    pub fn least_over(&self, below: &[Below]) -> Option<Least> {
        let mut out: Option<Least> = None;
        let mut see = |x_m: f64, z_m: f64, ground_m: f64| {
            let height_m = z_m - ground_m;
            if out.is_none_or(|l| height_m < l.height_m) {
                out = Some(Least { height_m, x_m });
            }
        };
        for b in below {
            for w in b.profile_m.windows(2) {
                let ([x0, z0], [x1, z1]) = (w[0], w[1]);
                let (from, to) = (x0.max(b.between_m[0]), x1.min(b.between_m[1]));
                if to < from || x1 <= x0 {
                    continue;
                }
                let slope = (z1 - z0) / (x1 - x0);
                let ground = |x: f64| z0 + slope * (x - x0);
                for x in [from, to] {
                    if let Some(z) = self.z_at(x) {
                        see(x, z, ground(x));
                    }
                }
                for p in self.parallel(slope).into_iter().chain([self.joint]) {
                    if p.x >= from && p.x <= to {
                        see(p.x, p.z, ground(p.x));
                    }
                }
            }
        }
        out
    }

    /// From the level to the line at an edge, rad: 0 sending, 1 receiving.
    #[must_use]
    pub fn angle_rad(&self, edge: usize) -> f64 {
        let t = self.tension_n[edge];
        (t.z.abs() / t.x.hypot(t.y)).atan()
    }

    /// Tension at an edge, N: 0 sending, 1 receiving.
    #[must_use]
    pub fn edge_n(&self, edge: usize) -> f64 {
        self.tension_n[edge].length()
    }

    /// Behind an edge whose friction hinders, N: what hands pull there for the line to come.
    #[must_use]
    pub fn hauled_n(&self, edge: usize, friction: f64) -> f64 {
        self.edge_n(edge) * capstan(friction, self.angle_rad(edge))
    }

    /// Behind an edge whose friction helps, N: what a brake holds there.
    #[must_use]
    pub fn braked_n(&self, edge: usize, friction: f64) -> f64 {
        self.edge_n(edge) / capstan(friction, self.angle_rad(edge))
    }
}

/// Ratio of tensions across a turn that slips (Euler and Eytelwein).
#[must_use]
pub fn capstan(friction: f64, turn_rad: f64) -> f64 {
    (friction * turn_rad).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(weight_n_per_m: f64) -> Strung {
        let law = StrainLaw::linear(2e5).expect("a law");
        Strung { weight_n_per_m, law: Arc::new(law), wind_n_per_m: 0.0 }
    }

    /// Whatever pulls whatever, from the first metre to the last, with whatever at its leading end: a sag that can be is found,
    /// and the certificate stands by it.
    #[test]
    fn every_ladder_hangs() {
        let mut wrong = Vec::new();
        for (heavy, light) in [(1.1, 0.02), (0.02, 1.1), (0.5, 0.5), (2.0, 0.1)] {
            for c in [0.02, 0.1, 0.5, 0.9, 0.9875, 1.0] {
                for sag in [0.02, 0.1, 0.3] {
                    for joint_n in [0.0, 5.0, 3000.0] {
                        let (pulled, pulling) = (line(heavy), line(light));
                        let carry = Carry { span_m: 44.0, rise_m: 3.0, pulled, pulling, joint_n };
                        let hung = carry.hung(c, Held::Drop(44.0 * sag));
                        if !hung.is_ok_and(|h| (h.lowest.1 - 44.0 * sag).abs() < 1e-7 && carry.holds(&h)) {
                            wrong.push((heavy, light, c, sag, joint_n));
                        }
                    }
                }
            }
        }
        assert!(wrong.is_empty(), "{wrong:?}");
    }
}
