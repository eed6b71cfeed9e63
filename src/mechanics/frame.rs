//! A head that stands on struts: where it rests, what pushes through each strut, and by how much it stands up.
//!
//! A strut pushes, and a pushing member has no convex energy, so it is none of the net's. The head is a fixed point of the
//! net instead, and its place is sought outside: the least energy of everything else, V(p), is convex in the head's place p
//! (Π is jointly convex), and −∇V is the pull R of all runs on the head, which the solver gives as its reaction. On struts of
//! fixed length the head may only move along a circle about the line of two feet, or over a sphere about one. It rests where R
//! has no part along that way, and stands there when a small push is pushed back:
//! V″ = tᵀ∇²V t − C/r > 0, with C the thrust along the radius r.

use glam::{DMat3, DVec3};

use super::equilibrium::{self, Solution, Status};
use super::net::Net;

/// A strut: a bar of fixed length on a fixed foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strut {
    /// Its foot, m.
    pub foot: DVec3,
    /// From foot to head, m.
    pub length_m: f64,
}

/// One head.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Its point of the net, which is a fixed one.
    pub point: usize,
    /// One, two or three.
    pub struts: Vec<Strut>,
    /// Where it is drawn, on its way, m.
    pub drawn: DVec3,
}

/// The way a head may move: about where, how far off, along what.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Way {
    radius_m: f64,
    out: DVec3,
    along: DVec3,
}

/// A head leans no further than this and still counts as standing, rad.
pub const LEANS_AT_MOST: f64 = 30.0 * std::f64::consts::PI / 180.0;
/// Places over that lean at which a single way is looked at for where it rests.
const LOOKED_AT: usize = 25;
/// Forces along the way balance to this share of the largest.
const BALANCED: f64 = 1e-9;
/// What is allowed to be left of them.
pub const LEFT: f64 = 1e-6;
/// Small travel for slopes, m.
const TRAVEL_M: f64 = 1e-4;

/// What came of looking for where heads rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Came {
    /// They rest.
    Rests,
    /// They run away from where they are drawn.
    Falls,
    /// The net could not be solved on the way.
    Unsolved,
}

impl Frame {
    /// A head near `at`, as its struts' lengths let it; nothing where they do not reach, or stand in one line.
    #[must_use]
    pub fn new(point: usize, struts: Vec<Strut>, at: DVec3) -> Option<Self> {
        let drawn = match struts.as_slice() {
            [s] => s.foot + (at - s.foot).try_normalize()? * s.length_m,
            [a, b] => {
                let between = b.foot - a.foot;
                let d = between.length();
                let axis = between.try_normalize()?;
                let along = (a.length_m * a.length_m - b.length_m * b.length_m + d * d) / (2.0 * d);
                let middle = a.foot + axis * along;
                let radius = (a.length_m * a.length_m - along * along).sqrt();
                let off = at - middle;
                let out = (off - axis * off.dot(axis)).try_normalize()?;
                (radius > 1e-3).then(|| middle + out * radius)?
            }
            [a, b, c] => three(*a, *b, *c, at)?,
            _ => return None,
        };
        Some(Self { point, struts, drawn })
    }

    /// Middle of its way, about which it leans: of two feet the nearest place between them.
    #[must_use]
    pub fn middle(&self) -> DVec3 {
        match self.struts.as_slice() {
            [a, b] => {
                let axis = (b.foot - a.foot).normalize_or_zero();
                a.foot + axis * (self.drawn - a.foot).dot(axis)
            }
            [a, ..] => a.foot,
            [] => DVec3::ZERO,
        }
    }

    fn ways(&self, head: DVec3) -> Vec<Way> {
        let off = head - self.middle();
        let (radius_m, out) = (off.length(), off.normalize_or_zero());
        match self.struts.as_slice() {
            [_] => {
                let along = out.any_orthonormal_vector();
                vec![Way { radius_m, out, along }, Way { radius_m, out, along: out.cross(along) }]
            }
            [a, b] => vec![Way { radius_m, out, along: (b.foot - a.foot).normalize_or_zero().cross(out) }],
            _ => Vec::new(),
        }
    }

    /// How far a head leans from where it is drawn, rad.
    #[must_use]
    pub fn lean(&self, head: DVec3) -> f64 {
        let c = self.middle();
        (head - c).angle_between(self.drawn - c)
    }

    /// What pushes through each strut when everything pulls at the head with `pull`, N; below zero a foot would have to be
    /// held down.
    #[must_use]
    pub fn thrusts_n(&self, head: DVec3, pull: DVec3) -> Vec<f64> {
        let u: Vec<DVec3> = self.struts.iter().map(|s| (head - s.foot).normalize_or_zero()).collect();
        match u.as_slice() {
            [a] => vec![-pull.dot(*a)],
            [a, b] => {
                // The part in the plane of the two: what is left across it is the force along the way.
                let (g, p, q) = (a.dot(*b), -pull.dot(*a), -pull.dot(*b));
                let d = 1.0 - g * g;
                vec![(p - g * q) / d, (q - g * p) / d]
            }
            [a, b, c] => (DMat3::from_cols(*a, *b, *c).inverse() * -pull).to_array().to_vec(),
            _ => Vec::new(),
        }
    }
}

/// Where three lengths from three feet meet, on the side of `at`.
fn three(a: Strut, b: Strut, c: Strut, at: DVec3) -> Option<DVec3> {
    let x = (b.foot - a.foot).try_normalize()?;
    let d = (b.foot - a.foot).length();
    let off = c.foot - a.foot;
    let i = off.dot(x);
    let y = (off - x * i).try_normalize()?;
    let j = off.dot(y);
    let z = x.cross(y);
    let sq = |s: Strut| s.length_m * s.length_m;
    let px = (sq(a) - sq(b) + d * d) / (2.0 * d);
    let py = (sq(a) - sq(c) + i * i + j * j) / (2.0 * j) - i / j * px;
    let pz = sq(a) - px * px - py * py;
    let side = if (at - a.foot).dot(z) < 0.0 { -1.0 } else { 1.0 };
    (j.abs() > 1e-3 && pz > 1e-6).then(|| a.foot + x * px + y * py + z * (side * pz.sqrt()))
}

/// Heads on their ways, and the net solved with them there.
#[derive(Debug, Clone)]
struct At {
    heads: Vec<DVec3>,
    ways: Vec<Vec<Way>>,
    solution: Solution,
    /// Pull along each way, N.
    along_n: Vec<f64>,
    scale_n: f64,
}

/// Solves a net from a neighbouring solution; nothing where it does not come to rest.
pub type Solve<'a> = dyn FnMut(&Net, Option<&Solution>) -> Option<Solution> + 'a;

/// The net as it is, without friction.
fn plain(net: &Net, warm: Option<&Solution>) -> Option<Solution> {
    let solution = equilibrium::solve(net, warm);
    (solution.status == Status::Converged).then_some(solution)
}

struct Seek<'a, 's> {
    net: &'a mut Net,
    frames: &'a [Frame],
    solve: &'a mut Solve<'s>,
}

impl Seek<'_, '_> {
    fn at(&mut self, heads: &[DVec3], ways: Vec<Vec<Way>>, warm: Option<&Solution>) -> Option<At> {
        for (f, head) in self.frames.iter().zip(heads) {
            self.net.nodes[f.point].place = *head;
        }
        let solution = (self.solve)(self.net, warm)?;
        let pull = |f: &Frame| -solution.gradient[f.point];
        let of = |(f, ways): (&Frame, &Vec<Way>)| ways.iter().map(|w| pull(f).dot(w.along)).collect::<Vec<_>>();
        let along_n = self.frames.iter().zip(&ways).flat_map(of).collect();
        let scale_n = solution.gradient.iter().map(|g| g.length()).fold(1.0, f64::max);
        Some(At { heads: heads.to_vec(), ways, solution, along_n, scale_n })
    }

    fn from(&mut self, heads: &[DVec3], warm: Option<&Solution>) -> Option<At> {
        let ways = self.frames.iter().zip(heads).map(|(f, h)| f.ways(*h)).collect();
        self.at(heads, ways, warm)
    }

    /// With the heads moved along their ways by so much, m.
    fn moved(&mut self, at: &At, by_m: &[f64]) -> Option<At> {
        let mut by = by_m.iter();
        let (mut heads, mut ways) = (Vec::new(), Vec::new());
        for ((f, head), of) in self.frames.iter().zip(&at.heads).zip(&at.ways) {
            let step: Vec<f64> = by.by_ref().take(of.len()).copied().collect();
            let travel: DVec3 = of.iter().zip(&step).map(|(w, s)| w.along * *s).sum();
            let (Some(first), far) = (of.first(), travel.length()) else {
                heads.push(*head);
                ways.push(Vec::new());
                continue;
            };
            if far == 0.0 {
                heads.push(*head);
                ways.push(of.clone());
                continue;
            }
            let way = travel / far;
            let (sin, cos) = (far / first.radius_m).sin_cos();
            let out = first.out * cos + way * sin;
            heads.push(f.middle() + out * first.radius_m);
            let turn = |t: DVec3| t + (way * (cos - 1.0) - first.out * sin) * t.dot(way);
            ways.push(of.iter().map(|w| Way { out, along: turn(w.along), ..*w }).collect());
        }
        self.at(&heads, ways, Some(&at.solution))
    }

    /// Stiffness against travel along the ways, N/m: −∂(pull along)/∂(travel), by row.
    fn stiffness(&mut self, at: &At, both_sides: bool) -> Option<Vec<Vec<f64>>> {
        let n = at.along_n.len();
        let mut columns = Vec::new();
        for j in 0..n {
            let step = |h: f64| (0..n).map(|i| if i == j { h } else { 0.0 }).collect::<Vec<_>>();
            let on = self.moved(at, &step(TRAVEL_M))?.along_n;
            let (back, over) = if both_sides {
                (self.moved(at, &step(-TRAVEL_M))?.along_n, 2.0 * TRAVEL_M)
            } else {
                (at.along_n.clone(), TRAVEL_M)
            };
            columns.push(on.iter().zip(&back).map(|(a, b)| (b - a) / over).collect::<Vec<f64>>());
        }
        Some((0..n).map(|i| (0..n).map(|j| 0.5 * (columns[j][i] + columns[i][j])).collect()).collect())
    }

    /// From where they are, downhill in energy to where they rest.
    fn settle(&mut self, mut at: At) -> (At, Came) {
        for _ in 0..60 {
            let most = at.along_n.iter().fold(0.0_f64, |a, g| a.max(g.abs()));
            if most <= BALANCED * at.scale_n {
                break;
            }
            if self.frames.iter().zip(&at.heads).any(|(f, h)| f.lean(*h) > LEANS_AT_MOST) {
                return (at, Came::Falls);
            }
            let Some(k) = self.stiffness(&at, false) else { return (at, Came::Unsolved) };
            let reach = self.frames.iter().zip(&at.ways).filter_map(|(_, w)| w.first()).map(|w| w.radius_m);
            let reach = 0.1 * reach.fold(f64::INFINITY, f64::min);
            let mut step = downhill(&k, &at.along_n);
            let far = step.iter().map(|s| s * s).sum::<f64>().sqrt();
            if far > reach {
                for s in &mut step {
                    *s *= reach / far;
                }
            }
            let slope: f64 = at.along_n.iter().zip(&step).map(|(g, s)| g * s).sum();
            let mut share = 1.0;
            let next = loop {
                let by: Vec<f64> = step.iter().map(|s| s * share).collect();
                if let Some(new) = self.moved(&at, &by) {
                    let left: f64 = new.along_n.iter().zip(&step).map(|(g, s)| g * s).sum();
                    let gain = new.solution.energy_j - at.solution.energy_j;
                    if gain <= -1e-4 * share * slope || left.abs() <= 0.5 * slope.abs() {
                        break Some(new);
                    }
                }
                share *= 0.5;
                if share < 1e-6 {
                    break None;
                }
            };
            let Some(new) = next else {
                // Nothing goes down any more: rest, where what is left is small enough to be rounding.
                let came = if most <= LEFT * at.scale_n { Came::Rests } else { Came::Unsolved };
                return (at, came);
            };
            at = new;
        }
        let most = at.along_n.iter().fold(0.0_f64, |a, g| a.max(g.abs()));
        let came = if most <= LEFT * at.scale_n { Came::Rests } else { Came::Falls };
        (at, came)
    }
}

/// Puts the heads of `net` where they rest, from where they are in it, and solves it there. When they do not, they are left as
/// drawn, and held there.
pub fn rest(net: &mut Net, frames: &[Frame], warm: Option<&Solution>) -> (Solution, Came) {
    match rest_with(net, frames, warm, &mut plain) {
        (Some(solution), came) => (solution, came),
        (None, came) => (equilibrium::solve(net, warm), came),
    }
}

/// The same where something else than [`equilibrium::solve`] brings the net to rest; no solution where its heads do not rest,
/// and they are left as drawn.
pub fn rest_with(
    net: &mut Net,
    frames: &[Frame],
    warm: Option<&Solution>,
    solve: &mut Solve<'_>,
) -> (Option<Solution>, Came) {
    let heads: Vec<DVec3> = frames.iter().map(|f| net.nodes[f.point].place).collect();
    let drawn: Vec<DVec3> = frames.iter().map(|f| f.drawn).collect();
    let mut seek = Seek { net, frames, solve };
    let mut came = Came::Unsolved;
    // From as drawn as well: a neighbour's place may be far off.
    for from in [&heads, &drawn] {
        let Some(at) = seek.from(from, warm) else { continue };
        let (at, now) = seek.settle(at);
        came = now;
        if came == Came::Rests && seek.pushed_back(&at, TRAVEL_M) == Some(true) {
            let solution = seek.from(&at.heads, Some(&at.solution)).map_or(at.solution, |a| a.solution);
            return (Some(solution), came);
        }
        if heads == drawn {
            break;
        }
    }
    for (f, head) in frames.iter().zip(&drawn) {
        net.nodes[f.point].place = *head;
    }
    (None, if came == Came::Rests { Came::Falls } else { came })
}

impl Seek<'_, '_> {
    /// Whether every head that is pushed along a way by so much, either way, is pushed back.
    fn pushed_back(&mut self, at: &At, by_m: f64) -> Option<bool> {
        let n = at.along_n.len();
        for j in 0..n {
            for by in [by_m, -by_m] {
                let step: Vec<f64> = (0..n).map(|i| if i == j { by } else { 0.0 }).collect();
                if self.moved(at, &step)?.along_n[j] * by >= 0.0 {
                    return Some(false);
                }
            }
        }
        Some(true)
    }
}

/// How a net with its heads at rest answers to pushes, worked out anew by more solves about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stands {
    /// Side stiffness over what the thrust needs: under 1 it falls. Nothing where no thrust needs any.
    pub stiffness_ratio: Option<f64>,
    /// Whether it is pushed back from 5 mm to either side.
    pub from_5_mm: bool,
    /// Whether it is pushed back from 50 mm.
    pub from_50_mm: bool,
    /// Largest pull left along a way, N.
    pub left_n: f64,
}

/// Looks at a net with its heads at rest; nothing when it cannot be solved about it.
#[must_use]
pub fn stands(net: &Net, frames: &[Frame], solution: &Solution) -> Option<Stands> {
    let mut net = net.clone();
    let heads: Vec<DVec3> = frames.iter().map(|f| solution.places[f.point]).collect();
    let mut seek = Seek { net: &mut net, frames, solve: &mut plain };
    let at = seek.from(&heads, Some(solution))?;
    let mut k = seek.stiffness(&at, true)?;
    // The thrust along the radius takes C/r away; without it there is the stiffness of what pulls.
    let needed: Vec<f64> = frames
        .iter()
        .zip(&at.ways)
        .flat_map(|(f, ways)| ways.iter().map(|w| at.solution.gradient[f.point].dot(w.out) / w.radius_m))
        .collect();
    for (i, d) in needed.iter().enumerate() {
        k[i][i] += d;
    }
    let from_5_mm = seek.pushed_back(&at, 0.005)?;
    let from_50_mm = seek.pushed_back(&at, 0.05).unwrap_or(false);
    let left_n = at.along_n.iter().fold(0.0, |a: f64, g| a.max(g.abs()));
    Some(Stands { stiffness_ratio: least_ratio(&k, &needed), from_5_mm, from_50_mm, left_n })
}

/// Where a single head that may move one way only rests within its lean, on both sides of as drawn: place, and whether it is
/// pushed back there. By looking at places all over the lean, so what lies between two of them may be missed.
#[must_use]
pub fn resting_places(net: &Net, frame: &Frame, warm: Option<&Solution>) -> Vec<(DVec3, bool)> {
    let mut net = net.clone();
    let frames = std::slice::from_ref(frame);
    let mut seek = Seek { net: &mut net, frames, solve: &mut plain };
    let Some(drawn) = seek.from(&[frame.drawn], warm) else { return Vec::new() };
    let [way] = drawn.ways[0].as_slice() else { return Vec::new() };
    let most = LEANS_AT_MOST * way.radius_m;
    let mut pull = |s: f64| seek.moved(&drawn, &[s]).map(|a| (a.along_n[0], a.heads[0]));
    let looked: Vec<(f64, f64)> = (0..LOOKED_AT)
        .map(|i| most * (2.0 * i as f64 / (LOOKED_AT - 1) as f64 - 1.0))
        .filter_map(|s| Some((s, pull(s)?.0)))
        .collect();
    let most_n = looked.iter().fold(0.0_f64, |a, l| a.max(l.1.abs()));
    let mut out = Vec::new();
    for w in looked.windows(2) {
        // Where nothing is taut nothing rests.
        let slack = w[0].1.abs().min(w[1].1.abs()) <= LEFT * most_n;
        if slack || w[0].1.signum() == w[1].1.signum() {
            continue;
        }
        let root = super::root::bracketed(w[0].0, w[1].0, 1e-12, 1e-7, |s| Some(pull(s)?.0));
        if let super::root::Root::At(s) = root
            && let Some((_, head)) = pull(s)
        {
            out.push((head, w[0].1 > 0.0));
        }
    }
    out
}

/// Step downhill: (K + λ)⁻¹ g with the least λ that makes it definite.
fn downhill(k: &[Vec<f64>], g: &[f64]) -> Vec<f64> {
    let top = k.iter().enumerate().map(|(i, r)| r[i].abs()).fold(1.0, f64::max);
    let mut shift = 0.0;
    loop {
        if let Some(x) = solved(k, shift, g) {
            return x;
        }
        shift = if shift == 0.0 { 1e-3 * top } else { 4.0 * shift };
    }
}

/// x with (K + λ) x = g by Cholesky; nothing when it is not definite.
fn solved(k: &[Vec<f64>], shift: f64, g: &[f64]) -> Option<Vec<f64>> {
    let l = cholesky(k, |_| shift)?;
    let n = g.len();
    let mut x = g.to_vec();
    for i in 0..n {
        for j in 0..i {
            x[i] -= l[i][j] * x[j];
        }
        x[i] /= l[i][i];
    }
    for i in (0..n).rev() {
        for j in i + 1..n {
            x[i] -= l[j][i] * x[j];
        }
        x[i] /= l[i][i];
    }
    Some(x)
}

/// The lower factor of K with something added to its diagonal; nothing when that is not definite.
fn cholesky(k: &[Vec<f64>], add: impl Fn(usize) -> f64) -> Option<Vec<Vec<f64>>> {
    let n = k.len();
    let mut l = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let mut sum = k[i][j] + if i == j { add(i) } else { 0.0 };
            sum -= l[i].iter().zip(&l[j]).take(j).map(|(a, b)| a * b).sum::<f64>();
            l[i][j] = if i == j {
                if sum.is_nan() || sum <= 0.0 {
                    return None;
                }
                sum.sqrt()
            } else {
                sum / l[j][j]
            };
        }
    }
    Some(l)
}

/// The least σ for which K − σ D is not definite any more, D diagonal; nothing where D has nothing in it.
fn least_ratio(k: &[Vec<f64>], needed: &[f64]) -> Option<f64> {
    if needed.iter().all(|d| *d <= 0.0) {
        return None;
    }
    let stands = |s: f64| cholesky(k, |i| -s * needed[i].max(0.0)).is_some();
    if !stands(0.0) {
        return Some(0.0);
    }
    let (mut low, mut high) = (0.0, 1.0);
    while stands(high) {
        (low, high) = (high, 4.0 * high);
        if high > 1e9 {
            return None;
        }
    }
    while high - low > 1e-12 * high {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if stands(middle) { low = middle } else { high = middle }
    }
    Some(low)
}

/// What a strut is cut from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Outside diameter, m.
    pub outside_m: f64,
    /// Wall of a tube; nothing when it is solid, m.
    pub wall_m: Option<f64>,
    /// Young's modulus, Pa.
    pub modulus_pa: f64,
    /// Stress at which it yields, Pa.
    pub yields_pa: f64,
}

/// What a strut bears, N.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bears {
    /// Euler's load of a straight one: π² E I / (K ℓ)².
    pub euler_n: f64,
    /// Squashed: A f.
    pub squash_n: f64,
    /// With its bow and its load off centre (Ayrton and Perry, 1886).
    pub bears_n: f64,
}

impl Section {
    /// Area, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        let inside = self.wall_m.map_or(0.0, |w| self.outside_m - 2.0 * w);
        0.25 * std::f64::consts::PI * (self.outside_m.powi(2) - inside.powi(2))
    }

    /// Second moment of area, m⁴.
    #[must_use]
    pub fn second_moment_m4(&self) -> f64 {
        let inside = self.wall_m.map_or(0.0, |w| self.outside_m - 2.0 * w);
        std::f64::consts::PI / 64.0 * (self.outside_m.powi(4) - inside.powi(4))
    }

    /// What a strut of it bears that buckles over a length, bowed or loaded off its axis by so much, m.
    #[must_use]
    pub fn bears(&self, buckles_over_m: f64, off_m: f64) -> Bears {
        let (area, second) = (self.area_m2(), self.second_moment_m4());
        let euler_n = std::f64::consts::PI.powi(2) * self.modulus_pa * second / buckles_over_m.powi(2);
        let squash_n = area * self.yields_pa;
        let eta = off_m * 0.5 * self.outside_m * area / second;
        let b = squash_n + (1.0 + eta) * euler_n;
        let bears_n = 0.5 * (b - (b * b - 4.0 * squash_n * euler_n).sqrt());
        Bears { euler_n, squash_n, bears_n }
    }
}
