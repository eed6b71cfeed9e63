//! Finds where a net comes to rest: Newton on its convex potential energy.

use glam::{DMat3, DVec3};

use super::linsolve::Blocks;
use super::net::{Link, Member, Net};
use super::span::{self, SpanSolution};

/// How a solve ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Forces balance.
    Converged,
    /// No further progress, forces out of balance.
    Stalled,
    /// The allowed number of steps was used up.
    OutOfSteps,
    /// A number left the finite range.
    NotFinite,
}

/// Where a member stands in a solution.
#[derive(Debug, Clone, Copy)]
pub enum MemberState {
    /// A link: its largest tension (N), its tangent stiffness (N/m) and its length (m).
    Link {
        /// Largest tension along it, N.
        tension_n: f64,
        /// dT/dL, N/m.
        stiffness: f64,
        /// Length (weighted by the friction ratios), m.
        length_m: f64,
    },
    /// A span.
    Span(SpanSolution),
    /// A giving anchor: its pull on the point, N.
    Ground(DVec3),
}

/// A net at rest, or the last state reached.
#[derive(Debug, Clone)]
pub struct Solution {
    /// Place of every point, m.
    pub places: Vec<DVec3>,
    /// State of every member.
    pub members: Vec<MemberState>,
    /// ∂Π/∂x of every point, N: on a fixed point the force its support must give, on a free one what is out of balance.
    pub gradient: Vec<DVec3>,
    /// Potential energy: strain, and position under the dead loads, J.
    pub energy_j: f64,
    /// How it ended.
    pub status: Status,
    /// Largest force out of balance at a free point after each step, N.
    pub history: Vec<f64>,
}

impl Solution {
    /// Largest force out of balance, N.
    #[must_use]
    pub fn residual_n(&self) -> f64 {
        self.history.last().copied().unwrap_or(f64::INFINITY)
    }

    /// Tension vector of a span at its first end, if the member is one.
    #[must_use]
    pub fn span_force(&self, member: usize) -> Option<DVec3> {
        match self.members[member] {
            MemberState::Span(s) => Some(s.force),
            _ => None,
        }
    }
}

const STEPS: usize = 120;
/// Forces balance to this share of the largest tension.
const BALANCED: f64 = 1e-9;
/// What a stalled solve may leave and still count as balanced: rounding on stiff parts far from the origin.
const BALANCED_WHEN_STALLED: f64 = 1e-7;

struct Evaluation {
    energy: f64,
    gradient: Vec<DVec3>,
    members: Vec<MemberState>,
    finite: bool,
    scale: f64,
}

fn evaluate(net: &Net, places: &[DVec3], before: Option<&[MemberState]>) -> Evaluation {
    let mut gradient: Vec<DVec3> = net.nodes.iter().map(|n| -n.load_n).collect();
    let mut energy: f64 = -net.nodes.iter().zip(places).map(|(n, x)| n.load_n.dot(*x)).sum::<f64>();
    let mut scale = net.nodes.iter().filter(|n| !n.fixed).map(|n| n.load_n.length()).fold(1e-3, f64::max);
    let mut finite = true;
    let mut members = Vec::with_capacity(net.members.len());
    for (i, member) in net.members.iter().enumerate() {
        let state = match member {
            Member::Link(link) => {
                let length_m = path_length(link, places);
                let (tension_n, stiffness, e) = link.pull.at(length_m);
                energy += e;
                scale = scale.max(tension_n);
                if tension_n > 0.0 {
                    for (leg, ends) in link.path.windows(2).enumerate() {
                        let q = (places[ends[1]] - places[ends[0]]).normalize_or_zero();
                        let pull = q * (tension_n * link.ratio(leg));
                        gradient[ends[0]] -= pull;
                        gradient[ends[1]] += pull;
                    }
                }
                MemberState::Link { tension_n, stiffness, length_m }
            }
            Member::Span(s) => {
                let chord = places[s.b] - places[s.a];
                let start = match before.map(|b| b[i]) {
                    Some(MemberState::Span(old)) => old.force,
                    _ => span::guess(&s.zones, chord),
                };
                let mut state = span::solve(&s.zones, chord, start);
                if !state.converged {
                    state = span::solve(&s.zones, chord, span::guess(&s.zones, chord));
                }
                finite &= state.converged;
                let load = span::load_n(&s.zones);
                energy += state.energy - load.dot(places[s.b]);
                gradient[s.a] -= state.force;
                gradient[s.b] += state.force - load;
                scale = scale.max(state.force.length());
                MemberState::Span(state)
            }
            Member::Ground(g) => {
                let pull = (g.home - places[g.point]) * g.stiffness_n_per_m;
                energy += 0.5 * g.stiffness_n_per_m * (places[g.point] - g.home).length_squared();
                gradient[g.point] -= pull;
                scale = scale.max(pull.length());
                MemberState::Ground(pull)
            }
        };
        members.push(state);
    }
    finite &= energy.is_finite();
    Evaluation { energy, gradient, members, finite, scale }
}

fn path_length(link: &Link, places: &[DVec3]) -> f64 {
    link.path.windows(2).enumerate().map(|(k, e)| link.ratio(k) * places[e[0]].distance(places[e[1]])).sum()
}

pub(super) fn outer(a: DVec3, b: DVec3) -> DMat3 {
    DMat3::from_cols(a * b.x, a * b.y, a * b.z)
}

fn hessian(net: &Net, places: &[DVec3], at: &Evaluation, slot: &[Option<usize>], free: usize) -> Blocks {
    let mut blocks = Blocks::new(free);
    let mut pair = |i: usize, j: usize, k: DMat3| {
        // The stiffness k between two points: +k on each, −k across.
        if let Some(a) = slot[i] {
            blocks.add(a, a, k);
        }
        if let Some(b) = slot[j] {
            blocks.add(b, b, k);
        }
        if let (Some(a), Some(b)) = (slot[i], slot[j]) {
            if a == b {
                blocks.add(a, a, -2.0 * k);
            } else {
                blocks.add(a, b, -k);
            }
        }
    };
    let mut whole: Vec<(usize, DVec3, f64)> = Vec::new();
    for (m, (member, state)) in net.members.iter().zip(&at.members).enumerate() {
        match (member, state) {
            (Member::Link(link), MemberState::Link { tension_n, stiffness, .. }) if *tension_n > 0.0 => {
                for (leg, e) in link.path.windows(2).enumerate() {
                    let d = places[e[1]] - places[e[0]];
                    let length = d.length();
                    if length > 1e-12 {
                        let q = d / length;
                        let across = DMat3::IDENTITY - outer(q, q);
                        let mut k = across * (tension_n * link.ratio(leg) / length);
                        if link.path.len() == 2 {
                            k += outer(q, q) * *stiffness;
                        } else {
                            whole.push((m, q, link.ratio(leg)));
                        }
                        pair(e[0], e[1], k);
                    } else if link.path.len() > 2 {
                        whole.push((m, DVec3::ZERO, 0.0));
                    }
                }
            }
            (Member::Span(s), MemberState::Span(state)) => pair(s.a, s.b, state.stiffness),
            _ => {}
        }
    }
    // A sliding link's stiffness acts on its whole length: k g gᵀ over all its points.
    for (m, (member, state)) in net.members.iter().zip(&at.members).enumerate() {
        match (member, state) {
            (Member::Link(link), MemberState::Link { stiffness, .. }) if link.path.len() > 2 => {
                let legs: Vec<_> = whole.iter().filter(|w| w.0 == m).collect();
                if legs.is_empty() {
                    continue;
                }
                let mut g: Vec<(usize, DVec3)> = Vec::new();
                let mut push = |p: usize, v: DVec3| {
                    if let Some(s) = slot[p] {
                        match g.iter_mut().find(|(q, _)| *q == s) {
                            Some((_, sum)) => *sum += v,
                            None => g.push((s, v)),
                        }
                    }
                };
                for (e, (_, q, r)) in link.path.windows(2).zip(&legs) {
                    push(e[0], -*q * *r);
                    push(e[1], *q * *r);
                }
                for (i, (a, ga)) in g.iter().enumerate() {
                    for (b, gb) in &g[..=i] {
                        blocks.add(*a, *b, outer(*ga, *gb) * *stiffness);
                    }
                }
            }
            (Member::Ground(ground), _) => {
                if let Some(a) = slot[ground.point] {
                    blocks.add(a, a, DMat3::IDENTITY * ground.stiffness_n_per_m);
                }
            }
            _ => {}
        }
    }
    blocks
}

/// Potential energy of `net` with its points at `places`, at rest there or not: strain, and position under the dead
/// loads, J.
#[must_use]
pub fn energy_j(net: &Net, places: &[DVec3]) -> f64 {
    evaluate(net, places, None).energy
}

/// Solves `net`, from `start` when given (places and members of a neighbouring solution of the same net shape), else
/// from the nodes' own places. Never fails: what could not be solved says so in its status.
#[must_use]
pub fn solve(net: &Net, start: Option<&Solution>) -> Solution {
    let mut slot = vec![None; net.nodes.len()];
    let mut free_nodes = Vec::new();
    for (i, node) in net.nodes.iter().enumerate() {
        if !node.fixed {
            slot[i] = Some(free_nodes.len());
            free_nodes.push(i);
        }
    }
    let warm = start.filter(|s| s.places.len() == net.nodes.len() && s.members.len() == net.members.len());
    let mut places: Vec<DVec3> = net
        .nodes
        .iter()
        .enumerate()
        .map(|(i, n)| if n.fixed { n.place } else { warm.map_or(n.place, |w| w.places[i]) })
        .collect();
    let residual = |e: &Evaluation| free_nodes.iter().map(|&i| e.gradient[i].length()).fold(0.0, f64::max);
    let cap = step_cap(net);
    let mut at = evaluate(net, &places, warm.map(|w| w.members.as_slice()));
    let mut history = vec![residual(&at)];
    let mut status = Status::OutOfSteps;
    if !at.finite {
        status = Status::NotFinite;
    }
    let mut flat_steps = 0;
    let mut kept = None;
    for _ in 0..STEPS {
        if status == Status::NotFinite {
            break;
        }
        let left = residual(&at);
        if left <= BALANCED * at.scale {
            status = Status::Converged;
            break;
        }
        let blocks = hessian(net, &places, &at, &slot, free_nodes.len());
        let rhs: Vec<DVec3> = free_nodes.iter().map(|&i| -at.gradient[i]).collect();
        let top = blocks.largest_diagonal().max(1e-3);
        let mut shift = 1e-11 * top;
        let step = loop {
            match blocks.solve(shift, &rhs, &mut kept) {
                Some(step) => break Some(step),
                None if shift > 1e3 * top => break None,
                None => shift *= 100.0,
            }
        };
        let Some(mut step) = step else {
            status = Status::NotFinite;
            break;
        };
        let longest = step.iter().map(|s| s.length()).fold(0.0, f64::max);
        if longest > cap {
            for s in &mut step {
                *s *= cap / longest;
            }
        }
        let slope: f64 = -rhs.iter().zip(&step).map(|(r, s)| r.dot(*s)).sum::<f64>();
        let noise = 1e-13 * (at.energy.abs() + at.scale);
        let mut alpha = 1.0;
        let mut next = None;
        for _ in 0..40 {
            let mut trial = places.clone();
            for (&i, s) in free_nodes.iter().zip(&step) {
                trial[i] += *s * alpha;
            }
            let e = evaluate(net, &trial, Some(&at.members));
            let gain = e.energy - at.energy;
            if e.finite && (gain <= 1e-4 * alpha * slope || (gain <= noise && residual(&e) < left)) {
                next = Some((trial, e));
                break;
            }
            alpha *= 0.5;
        }
        let Some((trial, e)) = next else {
            status = if left <= BALANCED_WHEN_STALLED * at.scale { Status::Converged } else { Status::Stalled };
            break;
        };
        let now = residual(&e);
        flat_steps = if now > 0.5 * left && now <= BALANCED_WHEN_STALLED * e.scale { flat_steps + 1 } else { 0 };
        (places, at) = (trial, e);
        history.push(now);
        if flat_steps >= 3 {
            status = Status::Converged;
            break;
        }
    }
    if status == Status::OutOfSteps && residual(&at) <= BALANCED_WHEN_STALLED * at.scale {
        status = Status::Converged;
    }
    Solution { places, members: at.members, gradient: at.gradient, energy_j: at.energy, status, history }
}

fn step_cap(net: &Net) -> f64 {
    let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    for n in &net.nodes {
        low = low.min(n.place);
        high = high.max(n.place);
    }
    (0.1 * (high - low).length()).max(1.0)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use proptest::prelude::*;

    use super::super::law::{LengthLaw, Piece, StrainLaw};
    use super::super::net::{Ground, Link, Node, Span};
    use super::super::span::Zone;
    use super::*;

    /// A net with every kind of member: a span, a leg, a sliding sling, a closed sling, a giving anchor.
    fn net(jitter: &[f64]) -> Net {
        let law = |ea| Arc::new(StrainLaw::linear(ea).expect("positive"));
        let chain = |l: f64| {
            Arc::new(LengthLaw::series(vec![Piece { length_m: l, gauge_m: l, law: law(3e5) }]).expect("stretches"))
        };
        let fixed = |x: f64, y: f64, z: f64| Node { place: DVec3::new(x, y, z), fixed: true, load_n: DVec3::ZERO };
        let free = |i: usize, x: f64, z: f64| Node {
            place: DVec3::new(x + jitter[3 * i], jitter[3 * i + 1], z + jitter[3 * i + 2]),
            fixed: false,
            load_n: DVec3::new(5.0, -20.0, -300.0),
        };
        let zone = Zone { length_m: 19.0, load_n_per_m: DVec3::new(0.0, 0.7, -1.1), law: law(6e4) };
        Net {
            nodes: vec![
                fixed(-2.0, -1.0, 0.2),
                fixed(-2.2, 1.1, -0.1),
                free(0, 0.0, 0.0),
                free(1, 20.0, 0.5),
                fixed(22.0, -1.0, 0.4),
                fixed(22.5, 0.9, 0.8),
            ],
            members: vec![
                Member::Span(Span { a: 2, b: 3, zones: vec![zone] }),
                Member::Link(Link::new(vec![0, 2], chain(2.0))),
                Member::Link(Link::new(vec![4, 3, 5], chain(4.3))),
                Member::Link(Link::new(vec![1, 2, 0, 2, 1], chain(8.6))),
                Member::Ground(Ground { point: 3, home: DVec3::new(20.3, 0.1, 0.4), stiffness_n_per_m: 4e3 }),
            ],
        }
    }

    proptest! {
        #[test]
        fn gradient_and_hessian_by_central_differences(jitter in proptest::collection::vec(-0.15..0.15_f64, 6)) {
            let net = net(&jitter);
            let places: Vec<DVec3> = net.nodes.iter().map(|n| n.place).collect();
            let at = evaluate(&net, &places, None);
            let slot = [None, None, Some(0), Some(1), None, None];
            let blocks = hessian(&net, &places, &at, &slot, 2);
            for (k, node) in [(0, 2), (1, 3)] {
                for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
                    let h = 2e-6;
                    let shifted = |by: f64| {
                        let mut p = places.clone();
                        p[node] += axis * by;
                        evaluate(&net, &p, Some(&at.members))
                    };
                    let (plus, minus) = (shifted(h), shifted(-h));
                    let slope = (plus.energy - minus.energy) / (2.0 * h);
                    prop_assert!((slope - at.gradient[node].dot(axis)).abs() < 1e-3 * at.scale, "gradient");
                    // Column of the Hessian: what the solver would answer to its own product.
                    let column: Vec<DVec3> = [2, 3].map(|n| (plus.gradient[n] - minus.gradient[n]) / (2.0 * h)).to_vec();
                    let back = blocks.solve(0.0, &column, &mut None).expect("definite");
                    for (j, v) in back.iter().enumerate() {
                        let want = if j == k { axis } else { DVec3::ZERO };
                        prop_assert!((*v - want).length() < 1e-4, "hessian {v} against {want}");
                    }
                }
            }
        }
    }
}
