//! Proof that a solution is an equilibrium, by code that shares nothing with the solver but the net itself.
//!
//! Links are measured again from the places and the raw points of their laws, spans integrated again by an adaptive
//! rule from the force they report, and forces added up anew. No verdict stands without it.

use glam::DVec3;

use super::equilibrium::{MemberState, Solution, Status};
use super::law::StrainLaw;
use super::net::{Link, Member, Net, Pull};
use super::span::Zone;

/// What the check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Certificate {
    /// Largest force out of balance at a free point, N.
    pub residual_n: f64,
    /// Largest tension in the net, N.
    pub largest_n: f64,
    /// What does not hold; empty when the equilibrium is certified.
    pub faults: Vec<String>,
}

impl Certificate {
    /// Whether everything held.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.faults.is_empty()
    }
}

/// Share of the largest tension that may be out of balance.
const BALANCE: f64 = 1e-6;

fn raw_strain(law: &StrainLaw, tension: f64) -> f64 {
    let mut from = (0.0, 0.0);
    let mut slope = 0.0;
    for &(t, e) in law.points() {
        slope = (e - from.1) / (t - from.0);
        if tension <= t {
            return from.1 + slope * (tension - from.0);
        }
        from = (t, e);
    }
    from.1 + slope * (tension - from.0)
}

fn chain_length(link: &Link, tension: f64) -> Option<(f64, f64)> {
    match &link.pull {
        Pull::Chain(law) => {
            let slack: f64 = law.pieces().iter().map(|p| p.length_m).sum();
            let stretch: f64 = law.pieces().iter().map(|p| p.gauge_m * raw_strain(&p.law, tension)).sum();
            Some((slack, slack + stretch))
        }
        Pull::Constant(_) | Pull::Tangent(..) => None,
    }
}

/// Nodes and weights of the 15-point Kronrod rule and its 7-point Gauss rule on [−1, 1] (positive half).
const KRONROD: [(f64, f64, f64); 8] = [
    (0.0, 0.209_482_141_084_727_83, 0.417_959_183_673_469_4),
    (0.207_784_955_007_898_47, 0.204_432_940_075_298_9, 0.0),
    (0.405_845_151_377_397_2, 0.190_350_578_064_785_42, 0.381_830_050_505_118_9),
    (0.586_087_235_467_691_1, 0.169_004_726_639_267_9, 0.0),
    (0.741_531_185_599_394_4, 0.140_653_259_715_525_92, 0.279_705_391_489_276_64),
    (0.864_864_423_359_769_1, 0.104_790_010_322_250_19, 0.0),
    (0.949_107_912_342_758_5, 0.063_092_092_629_978_56, 0.129_484_966_168_869_7),
    (0.991_455_371_120_812_6, 0.022_935_322_010_529_224, 0.0),
];

fn integrate(f: &impl Fn(f64) -> DVec3, from: f64, to: f64, tolerance: f64, depth: u32) -> DVec3 {
    let (mid, half) = (0.5 * (from + to), 0.5 * (to - from));
    let (mut kronrod, mut gauss) = (DVec3::ZERO, DVec3::ZERO);
    for (i, &(x, k, g)) in KRONROD.iter().enumerate() {
        let v = if i == 0 { f(mid) } else { f(mid - half * x) + f(mid + half * x) };
        kronrod += v * k;
        gauss += v * g;
    }
    if (kronrod - gauss).length() * half <= tolerance || depth == 0 {
        return kronrod * half;
    }
    integrate(f, from, mid, 0.5 * tolerance, depth - 1) + integrate(f, mid, to, 0.5 * tolerance, depth - 1)
}

struct Arrival {
    reach: DVec3,
    load: DVec3,
    /// Moment of the dead load about the first end, N m.
    moment: DVec3,
}

fn arrival(zones: &[Zone], force: DVec3) -> Arrival {
    let mut out = Arrival { reach: DVec3::ZERO, load: DVec3::ZERO, moment: DVec3::ZERO };
    let mut tension = force;
    for z in zones {
        let step = |s: f64| {
            let t = tension - z.load_n_per_m * s;
            let size = t.length();
            t / size.max(1e-12) * (1.0 + raw_strain(&z.law, size))
        };
        let tolerance = 1e-11 * z.length_m;
        let reach = integrate(&step, 0.0, z.length_m, tolerance, 48);
        // ∫ place(s) ds over the zone = reach·ℓ − ∫ s·step(s) ds.
        let first = integrate(&|s| step(s) * s, 0.0, z.length_m, tolerance * z.length_m, 48);
        let mean = (out.reach + reach) * z.length_m - first;
        out.moment += mean.cross(z.load_n_per_m);
        out.load += z.load_n_per_m * z.length_m;
        out.reach += reach;
        tension -= z.load_n_per_m * z.length_m;
    }
    out
}

/// Checks `solution` against `net`.
#[must_use]
pub fn certify(net: &Net, solution: &Solution) -> Certificate {
    let x = &solution.places;
    let mut faults = Vec::new();
    let mut forces: Vec<DVec3> = net.nodes.iter().map(|n| n.load_n).collect();
    let mut largest = 0.0_f64;
    let mut total = DVec3::ZERO;
    let mut moment = DVec3::ZERO;
    let extent = x.iter().map(|p| p.length()).fold(1.0, f64::max);
    for (n, p) in net.nodes.iter().zip(x) {
        total += n.load_n;
        moment += p.cross(n.load_n);
    }
    if solution.status != Status::Converged {
        faults.push(format!("the solver did not settle ({:?})", solution.status));
    }
    let mut lengths: Vec<(usize, f64, f64)> = Vec::new();
    for (m, (member, state)) in net.members.iter().zip(&solution.members).enumerate() {
        match (member, state) {
            (Member::Link(link), MemberState::Link { tension_n, stiffness, .. }) => {
                if *tension_n < 0.0 {
                    faults.push(format!("member {m} pushes"));
                }
                largest = largest.max(*tension_n);
                for (k, e) in link.path.windows(2).enumerate() {
                    let q = (x[e[1]] - x[e[0]]).normalize_or_zero();
                    let t = *tension_n * link.ratios.get(k).copied().unwrap_or(1.0);
                    forces[e[0]] += q * t;
                    forces[e[1]] -= q * t;
                }
                lengths.push((m, *tension_n, *stiffness));
            }
            (Member::Span(s), MemberState::Span(state)) => {
                let arrived = arrival(&s.zones, state.force);
                let miss = (x[s.a] + arrived.reach - x[s.b]).length();
                let size: f64 = s.zones.iter().map(|z| z.length_m).sum();
                if miss.is_nan() || miss > 1e-8 * size {
                    faults.push(format!("span {m} misses its end by {miss:.1e} m"));
                }
                largest = largest.max(state.force.length()).max((state.force - arrived.load).length());
                forces[s.a] += state.force;
                forces[s.b] += arrived.load - state.force;
                total += arrived.load;
                moment += x[s.a].cross(arrived.load) + arrived.moment;
            }
            (Member::Ground(g), _) => {
                let pull = (g.home - x[g.point]) * g.stiffness_n_per_m;
                forces[g.point] += pull;
                total += pull;
                moment += x[g.point].cross(pull);
            }
            _ => faults.push(format!("member {m} has a state of another kind")),
        }
    }
    let allowed = (BALANCE * largest).max(1e-6);
    for (m, tension, stiffness) in lengths {
        if let Member::Link(link) = &net.members[m]
            && let Some(fault) = length_fault(link, x, tension, stiffness, allowed)
        {
            faults.push(format!("member {m} {fault}"));
        }
    }
    let mut residual = 0.0_f64;
    for (i, n) in net.nodes.iter().enumerate() {
        if n.fixed {
            // What the members pull with, the support must give back.
            let reaction = solution.gradient[i];
            if (reaction + forces[i]).length() > allowed {
                faults.push(format!("the reaction at point {i} does not match"));
            }
            total += reaction;
            moment += x[i].cross(reaction);
        } else {
            residual = residual.max(forces[i].length());
        }
    }
    if residual.is_nan() || residual > allowed {
        faults.push(format!("{residual:.1e} N out of balance"));
    }
    let points = net.nodes.len() as f64;
    if total.is_nan() || total.length() > allowed * points {
        faults.push(format!("reactions and loads differ by {:.1e} N", total.length()));
    }
    if moment.is_nan() || moment.length() > allowed * points * extent {
        faults.push(format!("moments differ by {:.1e} N m", moment.length()));
    }
    Certificate { residual_n: residual, largest_n: largest, faults }
}

fn length_fault(link: &Link, x: &[DVec3], tension: f64, stiffness: f64, allowed: f64) -> Option<String> {
    let (slack, stretched) = chain_length(link, tension)?;
    let legs: Vec<f64> = link.path.windows(2).map(|e| x[e[0]].distance(x[e[1]])).collect();
    if link.ratios.is_empty() {
        let length: f64 = legs.iter().sum();
        if tension > 0.0 {
            let off = (length - stretched).abs();
            // Rounding of a place is about 1e-14 of the rig's size; a stiff link turns that into force.
            if off * stiffness > allowed && off > 1e-12 * (1.0 + length) {
                return Some(format!("is {off:.1e} m off its law"));
            }
        } else if length > slack * (1.0 + 1e-12) + 1e-12 {
            return Some("is called slack but stretched".to_owned());
        }
        return None;
    }
    let used: f64 = legs
        .iter()
        .zip(&link.ratios)
        .filter_map(|(l, r)| chain_length(link, tension * r).map(|(_, long)| l * slack / long))
        .sum();
    if (used - slack).abs() > 1e-7 * slack {
        return Some(format!("uses {:.1e} m more material than it has", used - slack));
    }
    for k in 1..legs.len() {
        let (before, at, after) = (x[link.path[k - 1]], x[link.path[k]], x[link.path[k + 1]]);
        let bend = (at - before).angle_between(after - at);
        let may = link.friction.get(k - 1).copied().unwrap_or(0.0) * bend;
        let ratio = (link.ratios[k] / link.ratios[k - 1]).ln().abs();
        if ratio > may + 1e-6 {
            return Some(format!("slips at its point {k}"));
        }
    }
    None
}
